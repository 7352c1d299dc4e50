package trace

import (
	"math"
	"testing"

	"halfstop/geom"
)

// An octagon with the area of a disc gives its axis from afar what the disc does, and the same
// flux; its corner lies farther out than the disc's edge and its side nearer (an octagon of area π
// has its sides 0.974 and its corners 1.054 from the middle: 8 tan 22.5° in² = π).
func TestOctagon(t *testing.T) {
	f := geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: geom.V(0, 0, 1)}
	o, d := Octagon(0, geom.Vec{}, f, 1, 2, nil), Disc(0, geom.Vec{}, f, 1, 2, nil, false, nil)
	if a, b := o.flux(), d.flux(); math.Abs(a/b-1) > 1e-9 {
		t.Errorf("flux %.6g, a disc's %.6g", a, b)
	}
	met := func(x, y float64) bool {
		_, _, _, ok := o.hit(geom.V(x, y, 3), geom.V(0, 0, -1), 10)
		return ok
	}
	sn, cs := math.Sincos(math.Pi / 8)
	for r, want := range map[float64]bool{0.973: true, 0.976: false} {
		if met(r, 0) != want || met(0, -r) != want || met(r/math.Sqrt2, r/math.Sqrt2) != want {
			t.Errorf("side at %.3f: met is not %v", r, want)
		}
	}
	for r, want := range map[float64]bool{1.052: true, 1.056: false} {
		if met(r*cs, r*sn) != want {
			t.Errorf("corner at %.3f: met is not %v", r, want)
		}
	}
}
