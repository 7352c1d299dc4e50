package spectrum

import (
	"math"
	"testing"
)

func TestOfChromaticity(t *testing.T) {
	worst, edge, n := 0.0, 0, 0
	for x := 0.0; x < 0.75; x += 0.035 {
		for y := 0.005; y < 0.85; y += 0.035 {
			c, err := OfChromaticity(x, y)
			if err != nil {
				if InsideLocus(XY{x, y}) {
					t.Errorf("%g %g: %v", x, y, err)
				}
				continue
			}
			n++
			if err := c.Check(); err != nil {
				t.Errorf("%g %g: %v", x, y, err)
			}
			if _, smooth := quadraticLight(XY{x, y}); !smooth {
				edge++
			}
			d := DeltaUVPrime(c.XY(), XY{x, y})
			worst = math.Max(worst, d)
			if d > 5e-4 {
				t.Errorf("%g %g: Δu'v' %g", x, y, d)
			}
			near(t, "Y", c.XYZ().Y, 1, 1e-9)
		}
	}
	t.Logf("%d chromaticities, %d near the edge, worst Δu'v' %.2g", n, edge, worst)
	for _, c := range []XY{{0.9, 0.9}, {0, 0}, {-0.1, 0.3}, {math.NaN(), 0.3}, {0.3, math.Inf(1)}, {0.25, 0.02}} {
		if _, err := OfChromaticity(c.X, c.Y); err == nil {
			t.Errorf("%v taken", c)
		}
	}
	// The white of a lamp gives a smooth light.
	c, _ := OfChromaticity(0.3127, 0.3290)
	for i := 1; i < len(c.V); i++ {
		if math.Abs(c.V[i]-c.V[i-1]) > 0.01*c.Max() {
			t.Fatalf("step at %d", i)
		}
	}
}

func TestReflectanceOfSRGB(t *testing.T) {
	worst := 0.0
	var at [3]float64
	light := d65()
	white := light.XYZ()
	for r := 0.0; r <= 1; r += 0.25 {
		for g := 0.0; g <= 1; g += 0.25 {
			for b := 0.0; b <= 1; b += 0.25 {
				c := ReflectanceOfSRGB(r, g, b)
				for _, v := range c.V {
					if !(v >= 0 && v <= 1) {
						t.Fatalf("%g %g %g: %g", r, g, b, v)
					}
				}
				got := light.Mul(c).XYZ().Lab(white)
				want := SRGB.XYZ([3]float64{Decode(r), Decode(g), Decode(b)}).Lab(WhiteD65)
				if e := DeltaE2000(got, want); e > worst {
					worst, at = e, [3]float64{r, g, b}
				}
			}
		}
	}
	if worst > 0.02 {
		t.Errorf("worst ΔE2000 %g at %v", worst, at)
	}
	t.Logf("worst ΔE2000 %.3f at %v", worst, at)
	for _, v := range []float64{math.NaN(), math.Inf(1), -3, 7} {
		if err := ReflectanceOfSRGB(v, 0.5, v).Check(); err != nil {
			t.Error(err)
		}
	}
}

func TestDisplays(t *testing.T) {
	for _, d := range []*Display{SRGB, DisplayP3} {
		w := d.XYZ([3]float64{1, 1, 1})
		near(t, d.Name+" white", w.XY().X, 0.3127, 1e-9)
		near(t, d.Name+" white", w.Y, 1, 1e-9)
		v := d.Linear(d.XYZ([3]float64{0.2, 0.5, 0.9}))
		near(t, "round trip", v[1], 0.5, 1e-9)
	}
	// IEC 61966-2-1 gives the luminance weights 0.2126 0.7152 0.0722.
	near(t, "red", SRGB.XYZ([3]float64{1, 0, 0}).Y, 0.2126, 5e-5)
	near(t, "green", SRGB.XYZ([3]float64{0, 1, 0}).Y, 0.7152, 5e-5)
	w := oklab(WhiteD65)
	near(t, "Oklab white", w[0], 1, 1e-4)
	near(t, "Oklab white", math.Hypot(w[1], w[2]), 0, 2e-4)
}

// A lamp's colour keeps its Oklab hue on the display at any level, stays inside, and colours that
// fit are untouched.
func TestMapKeepsHue(t *testing.T) {
	for _, d := range []*Display{SRGB, DisplayP3} {
		for _, name := range []string{"led red", "neon red", "led blue", "led green", "led amber", "neon blue",
			"led cyan", "low pressure sodium", "led royal blue"} {
			l, err := Lamp(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, level := range []float64{0.02, 0.1, 0.3, 1, 5, 100} {
				in := l.XYZ().Scale(level)
				out := d.Map(in)
				if !inside(out, 0) {
					t.Fatalf("%v", out)
				}
				a, b := oklab(in), oklab(d.XYZ(out))
				if math.Hypot(b[1], b[2]) < 0.01 {
					t.Errorf("%s %s at %g went grey: %v", d.Name, name, level, out)
				}
				dh := math.Abs(math.Remainder(hueDegrees(a[1], a[2])-hueDegrees(b[1], b[2]), 360))
				if dh > 1.5 {
					t.Errorf("%s %s at %g: hue moved by %.1f°", d.Name, name, level, dh)
				}
			}
		}
	}
	red, _ := Lamp("led red")
	for _, level := range []float64{0.2, 1, 4} {
		v := SRGB.Map(red.XYZ().Scale(level))
		if v[0] < 0.6 || v[1] > 0.35*v[0] || v[2] > 0.5*v[0] {
			t.Errorf("red LED at %g shows as %.3f", level, v)
		}
	}
	in := [3]float64{0.3, 0.6, 0.1}
	out := SRGB.Map(SRGB.XYZ(in))
	for i := range in {
		near(t, "untouched", out[i], in[i], 1e-6)
	}
	for _, bad := range []XYZ{{math.NaN(), 1, 1}, {math.Inf(1), 1, 1}, {-1, -1, -1}, {}, {1, 1e-300, 1}} {
		if v := SRGB.Map(bad); !inside(v, 0) {
			t.Errorf("%v: %v", bad, v)
		}
	}
}

// A chip keeps its luminance and, where the display has it, its chromaticity.
func TestTint(t *testing.T) {
	for _, n := range Names() {
		l, err := Lamp(n)
		if err != nil {
			t.Fatal(err)
		}
		for _, Y := range []float64{0.15, 0.5, 0.56, 1} {
			v := SRGB.Tint(l.XY(), Y)
			if !inside(v, 0) {
				t.Errorf("%s: %v", n, v)
			}
			near(t, n, SRGB.XYZ(v).Y, Y, 1e-6)
		}
	}
	c := XY{0.35, 0.36}
	near(t, "kept", SRGB.XYZ(SRGB.Tint(c, 0.5)).XY().X, c.X, 1e-9)
	for _, bad := range []XY{{}, {math.NaN(), 0.3}, {0.3, 1e-320}, {math.Inf(1), 1}} {
		if v := SRGB.Tint(bad, 0.5); !inside(v, 0) {
			t.Errorf("%v: %v", bad, v)
		}
	}
	if v := SRGB.Tint(c, math.NaN()); v != [3]float64{} {
		t.Error(v)
	}
}
