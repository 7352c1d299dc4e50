package answer

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfstop/spectrum"
)

// TestAsTraced: a beam whose filter made it wide and short gets its light back where it was
// traced, to 15 % (the filter is off by twice what is thought of one); of traced light that is
// nearly all noise the filtered stays.
func TestAsTraced(t *testing.T) {
	const w, h = 60, 40
	r := rand.New(rand.NewPCG(5, 6))
	truth, wide, traced := make([]spectrum.XYZ, w*h), make([]spectrum.XYZ, w*h), make([]spectrum.XYZ, w*h)
	for i := range truth {
		x, y := float64(i%w-30), float64(i/w-20)
		truth[i].Y = 0.02 + math.Exp(-(x*x+y*y/4)/50)
		wide[i].Y = 0.02 + 0.5*math.Exp(-(x*x+y*y/4)/100)
		traced[i].Y = truth[i].Y * (1 + 0.3*r.NormFloat64())
	}
	mean := func(px []spectrum.XYZ, cx, cy int) float64 {
		s := 0.0
		for y := cy - 3; y <= cy+3; y++ {
			for x := cx - 3; x <= cx+3; x++ {
				s += px[y*w+x].Y
			}
		}
		return s / 49
	}
	out := asTraced(traced, wide, w, h)
	for _, at := range [][2]int{{30, 20}, {30, 30}, {34, 14}} {
		if a, b := mean(out, at[0], at[1]), mean(truth, at[0], at[1]); math.Abs(a/b-1) > 0.15 {
			t.Errorf("at %v: %.3f, traced %.3f, filtered %.3f", at, a, b, mean(wide, at[0], at[1]))
		}
	}
	for i := range traced { // one pixel in two hundred has all the light
		traced[i].Y = 0
		if r.IntN(200) == 0 {
			traced[i].Y = 200 * truth[i].Y
		}
	}
	out = asTraced(traced, truth, w, h)
	if a, b := mean(out, 30, 20), mean(truth, 30, 20); math.Abs(a/b-1) > 0.2 {
		t.Errorf("of noise: %.3f, filtered %.3f", a, b)
	}
}
