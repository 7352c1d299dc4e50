package accuracy

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/meter"
)

// The trade's table of how far a background falls below the sitter (trade table 3.4; common
// practice, no source, to a tenth of a stop), and two worked cases from the trade press: 10 ft and
// a wall 10 ft behind is 2 stops, halving the distance makes it about 3; 1 m and 6 m more is a
// little over 5. Metered with a small source through the whole program. Tolerance: half of the
// table's last digit, and 0.02 st.
func TestBackgroundFalloff(t *testing.T) {
	const foot = 0.3048
	cases := []struct{ d, b, stops, tol float64 }{
		{0.7, 0.5, 1.6, 0.07}, {0.7, 2, 3.9, 0.07}, {1, 1, 2.0, 0.07}, {1, 3, 4.0, 0.07}, {1.5, 2, 2.4, 0.07},
		{2, 0.5, 0.6, 0.07},
		{2, 4, 3.2, 0.07}, {3, 6, 3.2, 0.07}, {3, 1, 0.8, 0.07},
		{10 * foot, 10 * foot, 2, 0.02}, {5 * foot, 10 * foot, 3, 0.25}, {1, 6, 5.4, 0.3},
	}
	var b strings.Builder
	b.WriteString(
		"halfstop: 1\nsetups:\n  - name: a\n    lights:\n      - {name: lamp, emitter: {shape: disc, size: 2 cm, " +
			"intensity: 1000 cd}, at: [0, 0, 0], aim: [1, 0, 0]}\n    points:\n")
	for i, c := range cases {
		fmt.Fprintf(&b,
			"      - {name: near %d, at: [%g, 0, 0], facing: x-}\n      - {name: far %d, at: [%g, 0, 0], facing: x-}\n",
			i, c.d, i, c.d+c.b)
	}
	a, list, err := ask(b.String(), nil, meter.Work{Seed: 1})
	if err != nil || len(list) > 0 {
		t.Fatal(err, list.Text())
	}
	points := a.Setups[0].Points
	for i, c := range cases {
		if got := math.Log2(points[2*i].Lux / points[2*i+1].Lux); math.Abs(got-c.stops) > c.tol {
			t.Errorf("light at %.2f m, background %.2f m behind: %.2f stops below, want %.1f", c.d, c.b, got, c.stops)
		}
	}
}
