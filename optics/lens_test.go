package optics

import (
	"fmt"
	"math"
	"testing"

	"halfstop/geom"
	q "halfstop/quantity"
)

func TestLens(t *testing.T) {
	near, far := Sharp(0.085, 2.8, 3e-5, 2)
	aps := Format{0.0236, 0.0157}
	cs := []check{
		{"H2.1", float64(Hyperfocal(0.035, 8, 3e-5)), 5.13917, 1e-3},
		{"H2.2", float64(Hyperfocal(0.050, 8, 3e-5)), 10.4667, 1e-3},
		{"H2.3", float64(near), 1.95644, 1e-4},
		{"H2.4", float64(far), 2.04554, 1e-4},
		{"H2.5", float64(far-near) * 1000, 89.1016, 0.1},
		{"H2.6", float64(Blur(0.085, 2.8, 2, 5)) * 1000, 0.808467, 1e-4},
		{"H2.7", float64(Blur(0.085, 2.8, 2, q.Metres(math.Inf(1)))) * 1000, 1.34744, 1e-4},
		{"H2.8", float64(Blur(0.085, 2.8, 2, far)) * 1000, 0.03, 1e-6},
		{"H3.1", aps.Crop(), 1.52642, 1e-3},
		{"H3.2", float64(Framed(0.036, 0.050, 3)), 2.124, 1e-4},
		{"H5.1", float64(TNumber(2.8, 0.85)), 3.03703, 1e-3},
		{"H5.2", float64(CloseUpLoss(0.25)), 0.643856, 1e-4},
	}
	for i, c := range []struct{ f, h, v float64 }{{24, 73.7398, 53.1301}, {35, 54.4322, 37.8493},
		{50, 39.5978, 26.9915}, {85, 23.9132, 16.0714}, {135, 15.1893, 10.1592}} {
		cs = append(cs, check{fmt.Sprintf("H1.%d", i+1), float64(Field(0.036, q.Metres(c.f/1000))), c.h, 0.01},
			check{fmt.Sprintf("H1.%dv", i+1), float64(Field(0.024, q.Metres(c.f/1000))), c.v, 0.01})
	}
	for i, c := range []struct{ x, s float64 }{{0.940602, 0.0883439}, {0.779728, 0.358957}, {0.5625, 0.830075},
		{0.344363, 1.538}} {
		off := q.Degrees(10 * (i + 1))
		cs = append(cs, check{fmt.Sprintf("H4.%d", i+1), Cos4(off), c.x, 1e-5}, check{fmt.Sprintf("H4.%ds", i+1),
			float64(Vignetting(off, 1)), c.s, 1e-4})
	}
	run(t, cs)
	if _, far := Sharp(0.035, 8, 3e-5, 6); !math.IsInf(float64(far), 1) {
		t.Error("beyond the hyperfocal distance everything is sharp")
	}
	// focused far away: near limit N·c → H - f, and the blur of a point at x is f²/(N·x)
	inf := q.Metres(math.Inf(1))
	near, far = Sharp(0.05, 8, 3e-5, inf)
	if math.Abs(float64(near-Hyperfocal(0.05, 8, 3e-5)+0.05)) > 1e-9 || far != inf || Blur(0.05, 8, inf, inf) != 0 ||
		math.Abs(float64(Blur(0.05, 8, inf, 5))-0.05*0.05/40) > 1e-12 {
		t.Error(near, far, Blur(0.05, 8, inf, inf), Blur(0.05, 8, inf, 5))
	}
}

func TestParseFormat(t *testing.T) {
	for s, want := range map[string]Format{"": FullFrame, "full frame": FullFrame, "36x24 mm": FullFrame,
		"36 x 24 mm": FullFrame, "crop 1.5": {0.0236, 0.0157}} {
		if got, ok := ParseFormat(s); !ok || got != want {
			t.Errorf("%q: %v %v", s, got, ok)
		}
	}
	for _, s := range []string{"x", "36", "NaNx24 mm", "0x24 mm", "1e9x24 mm", "36x24x3 mm", "Infx2"} {
		if got, ok := ParseFormat(s); ok {
			t.Errorf("%q: %v", s, got)
		}
	}
	if f, _ := ParseFormat("crop 1.6"); f.Upright().Height != f.Width || math.Abs(f.Crop()-1.6) > 0.02 {
		t.Error(f)
	}
}

func FuzzParseFormat(f *testing.F) {
	f.Add("36x24 mm")
	f.Add("crop 1.5")
	f.Fuzz(func(t *testing.T, s string) {
		if v, ok := ParseFormat(s); ok && !(v.Width >= 0.001 && v.Height >= 0.001 && v.Width <= 0.3 &&
			v.Height <= 0.3) {
			t.Error(s, v)
		}
	})
}

func TestProject(t *testing.T) {
	v := Look(geom.V(0, 0, 1.5), geom.V(0, 3, 1.5), FullFrame, 0.05, 3)
	// H3.2: at 3 m the frame is 2.124 m wide; its right edge is at +x
	x, y, d, ok := v.Project(geom.V(1.062, 3, 1.5))
	if !ok || math.Abs(x-1) > 1e-12 || math.Abs(y-0.5) > 1e-12 || d != 3 {
		t.Error(x, y, d, ok)
	}
	if x, y, _, _ := v.Project(geom.V(0, 3, 1.5+1.062*24/36)); math.Abs(y) > 1e-12 || x != 0.5 {
		t.Error("up is the top of the frame", x, y)
	}
	if _, _, _, ok := v.Project(geom.V(0, -1, 1.5)); ok || v.Sees(geom.V(0, -1, 1.5), 1) {
		t.Error("behind the lens")
	}
	if v.Sees(geom.V(1.1, 3, 1.5), 0) || !v.Sees(geom.V(1.1, 3, 1.5), 0.05) {
		t.Error("margin")
	}
	v = Look(geom.V(1, 2, 0.5), geom.V(-2, 3, 2.5), FullFrame.Upright(), 0.085, 0)
	for _, a := range [][2]float64{{0, 0}, {1, 0.2}, {0.3, 0.9}} {
		p := v.At.AddMul(v.Ray(a[0], a[1]), 4)
		if x, y, _, ok := v.Project(p); !ok || math.Abs(x-a[0]) > 1e-9 || math.Abs(y-a[1]) > 1e-9 {
			t.Error(a, x, y)
		}
	}
	// trade 3.17: lens at 1.45 m level, subject 2.5 m away, 35 mm landscape: frame top at 2.31 m
	// (focused far away)
	v = Look(geom.V(0, 0, 1.45), geom.V(0, 1, 1.45), FullFrame, 0.035, 0)
	top := v.Ray(0.5, 0)
	if got := 1.45 + top.Z/top.Y*2.5; math.Abs(got-2.31) > 0.005 {
		t.Error("frame top", got)
	}
	l, r, ok := v.Wedge()
	if !ok || math.Abs(math.Atan2(r.X, r.Y)*180/math.Pi-54.4322/2) > 0.001 || l.X != -r.X {
		t.Error("wedge", l, r, ok)
	}
	v = Look(geom.V(0, 0, 3), geom.V(0, 0, 0), FullFrame, 0.035, 0)
	if _, _, ok := v.Wedge(); ok {
		t.Error("no wedge straight down")
	}
}

// However a size is written, it is one format; what is no sensor is refused.
func TestParseFormatForms(t *testing.T) {
	for _, s := range []string{"36x24 mm", "24x36 mm", "36 × 24 mm", "Full Frame", "", "36 x 24mm"} {
		if f, ok := ParseFormat(s); !ok || f != FullFrame {
			t.Errorf("%q: %v, %v", s, f, ok)
		}
	}
	for _, s := range []string{"huge", "36 mm", "0x24 mm", "900x24 mm", "NaNx24 mm"} {
		if f, ok := ParseFormat(s); ok {
			t.Errorf("%q passes as %v", s, f)
		}
	}
}
