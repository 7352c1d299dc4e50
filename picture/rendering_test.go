package picture

import (
	"math"
	"testing"

	"halfstop/spectrum"
)

// TestStandard holds the curve to what it is to do: mid-grey and the clip where they belong, the
// gradient asked for, no step back, a toe and a shoulder (gradients under the middle's near the
// clip, over 1 in the shadows), and tables that agree with it.
func TestStandard(t *testing.T) {
	for _, c := range []float64{0, LeastContrast, 1.25, 1.5, MostContrast, 9} {
		r := Standard(c)
		want := c
		if c == 0 {
			want = DefaultContrast
		}
		want = min(want, MostContrast)
		if y := r.Tone(MidGrey); math.Abs(y-MidGrey) > 1e-9 {
			t.Errorf("%g: mid-grey becomes %g", c, y)
		}
		if y := r.Tone(Clipped); math.Abs(y-1) > 1e-9 {
			t.Errorf("%g: the clip becomes %g", c, y)
		}
		gradient := func(x float64) float64 { return math.Log(r.Tone(x*1.001)/r.Tone(x/1.001)) / math.Log(1.001*1.001) }
		if g := gradient(MidGrey); math.Abs(g-want) > 1e-3 {
			t.Errorf("%g: the gradient at mid-grey is %g", c, g)
		}
		if g := gradient(Clipped / 1.1); g > 0.8*want {
			t.Errorf("%g: no shoulder: the gradient just under the clip is %g", c, g)
		}
		if g := gradient(MidGrey / 32); g < want {
			t.Errorf("%g: no toe: the gradient five stops down is %g", c, g)
		}
		g, last := gainsOf(r), 0.0
		for x := 1e-6; x < 3; x *= 1.01 {
			y := r.Tone(x)
			if y < last || y > 1 {
				t.Fatalf("%g: %g becomes %g after %g", c, x, y, last)
			}
			if d := g.at(x)*x/y - 1; math.Abs(d) > 1e-3 {
				t.Fatalf("%g: the table is off by %g at %g", c, d, x)
			}
			last = y
		}
	}
	if r := Straight(); r.Tone(0.5) != 0.5 || r.Tone(2) != 1 {
		t.Error("Straight is not straight")
	}
	if Plain().Tone(0.9) != Tone(0.9) {
		t.Error("Plain is not Tone")
	}
}

// TestGlare: a black frame with a tenth of it white at 1 is lifted by a tenth of the glare
// everywhere, and none without.
func TestGlare(t *testing.T) {
	px := make([]spectrum.XYZ, 100)
	for i := range 10 {
		px[i] = spectrum.XYZ{X: 1, Y: 1, Z: 1}
	}
	r := Plain()
	if out := r.veiled(px); &out[0] != &px[0] {
		t.Error("without glare the picture is copied")
	}
	r.Glare = 0.02
	if out := r.veiled(px); math.Abs(out[50].Y-0.002) > 1e-12 || math.Abs(out[0].X-(0.98+0.002)) > 1e-12 ||
		px[50].Y != 0 {
		t.Errorf("black becomes %v, white %v", out[50], out[0])
	}
}
