package balance

import (
	"math"
	"testing"
)

// TestLog2 holds the fast logarithm to the library's; 1e-10 st is a millionth of what any setting
// shows.
func TestLog2(t *testing.T) {
	d := dice(5)
	for range 200000 {
		x := math.Exp2(d.in(-60, 60))
		if e := math.Abs(log2(x) - math.Log2(x)); e > 1e-10 {
			t.Fatalf("log2(%g) off by %g", x, e)
		}
	}
}
