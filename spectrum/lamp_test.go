package spectrum

import (
	"math"
	"strings"
	"testing"
)

// Every lamp is finite, nowhere negative, at Y = 1, on the grid, and comes back by the name Names
// gives it.
func TestLamps(t *testing.T) {
	for _, n := range Names() {
		c, err := Lamp(n)
		if err != nil {
			t.Errorf("%s: %v", n, err)
			continue
		}
		if err := c.Check(); err != nil {
			t.Errorf("%s: %v", n, err)
		}
		near(t, n+" Y", c.XYZ().Y, 1, 1e-9)
		if c.Start != gridStart || c.Step != 1 || len(c.V) != gridCount {
			t.Errorf("%s: not on the grid", n)
		}
		if !InsideLocus(c.XY()) && c.Efficacy() < 500 && n != "led red" && n != "led deep red" {
			t.Logf("%s lies on the edge: %v", n, c.XY())
		}
		if LampNote(n) == "" {
			t.Errorf("%s: no note", n)
		}
	}
	for name, want := range map[string]string{"neon rde": `"neon red"`, "flourescent 4000": `"fluorescent"`,
		"white lde": `"white led"`, "xenon flsh": `"xenon flash"`, "": "no name",
		"D65 3000": "one colour", "tungsten 9000": "1500 K to 3600 K", "white led 3000 4000": "two temperatures",
		"tungsten 12": "no colour temperature"} {
		if _, err := Lamp(name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: error %v does not say %s", name, err, want)
		}
	}
	for _, same := range [][2]string{{"neon blue", "mercury-argon"}, {"White LED 5600 K", "white led 5600"},
		{"5,600 K", "white 5600"}, {"fluorescent 4000K", "fluorescent"}, {"red neon", "neon red"}} {
		a, err1 := Lamp(same[0])
		b, err2 := Lamp(same[1])
		if err1 != nil || err2 != nil || a.XY() != b.XY() {
			t.Errorf("%v: %v %v", same, err1, err2)
		}
	}
}

// Made-up lamps hit the temperature asked (5 K or 0.1 %: Ohno's own error) and their Duv.
func TestLampTemperatures(t *testing.T) {
	for _, c := range []struct {
		name   string
		make   func(float64) Curve
		lo, hi float64
		duv    func(T float64) float64
		tol    float64
	}{
		{"white led", WhiteLED, 2200, 10000, func(T float64) float64 {
			_, d,
				_ := CCTOhno2013(White(T).XY())
			return d
		}, 2e-4},
		{"fluorescent", Fluorescent, 2700, 6500, func(float64) float64 { return FluorescentDuv }, 2e-4},
		{"triphosphor", Triphosphor, 2700, 6500, func(float64) float64 { return 0.002 }, 2e-4},
	} {
		for T := c.lo; T <= c.hi; T += 100 {
			l := c.make(T)
			got, duv, ok := CCTOhno2013(l.XY())
			if !ok {
				t.Errorf("%s %g: no CCT", c.name, T)
			}
			near(t, c.name+" K", got, T, math.Max(6, T/500))
			near(t, c.name+" Duv", duv, c.duv(T), c.tol)
		}
	}
	lines := func(l Curve) float64 { return l.At(546) / l.At(530) }
	if r := lines(Fluorescent(4000)); r < 3 {
		t.Errorf("the 546 nm line stands %.1f times over its surroundings", r)
	}
}

func TestWhite(t *testing.T) {
	worst := 0.0
	last := XY{}
	for T := 1000.0; T <= 25000; T += 50 {
		w := White(T)
		near(t, "Y", w.XYZ().Y, 1, 1e-9)
		got, _, _ := CCTOhno2013(w.XY())
		worst = math.Max(worst, math.Abs(got-T)/T)
		if T <= 10000 && math.Abs(got-T) > 6 {
			t.Errorf("White(%g) has %g K", T, got)
		}
		// Smooth: no jump at the ends of the crossover.
		if T > 3000 && DeltaUVPrime(w.XY(), last) > 0.004 {
			t.Errorf("jump at %g", T)
		}
		last = w.XY()
	}
	if worst > 1e-3 {
		t.Errorf("largest CCT error %.2g %%", 100*worst)
	}
	t.Logf("largest CCT error %.2g %%", 100*worst)
	for _, T := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -5} {
		if err := White(T).Check(); err != nil {
			t.Error(err)
		}
	}
}

func TestCCTRoundTrip(t *testing.T) {
	worstT, worstD := 0.0, 0.0
	for T := 1500.0; T < 20000; T *= 1.07 {
		for _, duv := range []float64{-0.02, -0.006, -0.001, 0, 0.001, 0.006, 0.02} {
			got, d, ok := CCTOhno2013(XYOfCCT(T, duv))
			if !ok {
				t.Errorf("%g %g: not ok", T, duv)
			}
			worstT = math.Max(worstT, math.Abs(1e6/got-1e6/T))
			worstD = math.Max(worstD, math.Abs(d-duv))
		}
	}
	// Ohno states errors within 1 K up to 20,000 K near the locus for this table; 0.1 mired and
	// 2e-5 leave room for Duv ±0.02.
	if worstT > 0.1 || worstD > 2e-5 {
		t.Errorf("worst %.3g mired, %.3g Duv", worstT, worstD)
	}
	t.Logf("worst %.3g mired, %.3g Duv", worstT, worstD)
	for _, c := range []XY{{}, {math.NaN(), 0.3}, {0.3, math.Inf(1)}, {-1, -1}, {0.7, 0.29}, {0.3, 0.7}, {0.15, 0.05}} {
		if T, d, ok := CCTOhno2013(c); math.IsNaN(T+d) || ok {
			t.Errorf("%v: %g %g %v", c, T, d, ok)
		}
		if T, _ := CCTRobertson1968(c); math.IsNaN(T) {
			t.Errorf("%v: NaN", c)
		}
	}
}

// A line keeps its power and its centroid on the 1 nm grid.
func TestLinesKeepPower(t *testing.T) {
	for _, nm := range []float64{404.6565, 546.0750, 589, 640.2248, 829.5} {
		c := OfLines([]Line{{nm, 2.5}})
		centroid, power := 0.0, 0.0
		for i, v := range c.V {
			centroid += v * (gridStart + float64(i))
			power += v
		}
		near(t, "power", power, 2.5, 1e-12)
		near(t, "centroid", centroid/power, nm, 1e-9)
	}
	// A line that a finely sampled file holds keeps its area too.
	var pairs [][2]float64
	for k := 0; k <= 200; k++ {
		nm := 540 + 0.1*float64(k)
		v := 0.0
		if k == 61 {
			v = 10
		}
		pairs = append(pairs, [2]float64{nm, v})
	}
	c, err := OfPairs(pairs)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "area of a thin line", c.Power(), 1, 1e-6)
}

// E6.7 to E6.12, and RGB matching against exhaustive search.
func TestDrives(t *testing.T) {
	rgb := Drives{Primaries: []Primary{{"red", Gaussian(630, 18), 1, false}, {"green", Gaussian(525, 33), 1, false},
		{"blue", Gaussian(465, 22), 1, false}}}
	share := func(target XY) [3]float64 {
		d, reached, ok := rgb.Solve(target)
		if !ok || DeltaUVPrime(reached, target) > 1e-6 {
			t.Fatalf("%v not reached: %v %v", target, d, reached)
		}
		s := d[0] + d[1] + d[2]
		return [3]float64{d[0] / s, d[1] / s, d[2] / s}
	}
	s := share(WhiteD65.XY())
	near(t, "E6.7", s[0], 0.2755417, 1e-3)
	near(t, "E6.8", s[1], 0.6680429, 1e-3)
	near(t, "E6.9", s[2], 0.0564154, 1e-3)
	s = share(Planck(3200).XY())
	near(t, "E6.10", s[0], 0.3713376, 1e-3)
	near(t, "E6.11", s[1], 0.6076984, 1e-3)
	near(t, "E6.12", s[2], 0.0209640, 1e-3)

	rgbw := Drives{Primaries: []Primary{{"red", Gaussian(630, 18), 300, false}, {"green", Gaussian(525, 33), 700,
		false}, {"blue", Gaussian(465, 22), 90, false}, {"white", WhiteLED(5600), 1500, true}}}
	// Inside the gamut: reached, and no mix on a fine grid is brighter at that colour.
	n := 0
	for k := 0; k < 120; k++ {
		a, b := float64(k%17)/17, float64(k%23)/23
		if a+b > 1 {
			a, b = 1-a, 1-b
		}
		r, g, bl := rgbw.Primaries[0].Light.XY(), rgbw.Primaries[1].Light.XY(), rgbw.Primaries[2].Light.XY()
		target := XY{r.X + a*(g.X-r.X) + b*(bl.X-r.X), r.Y + a*(g.Y-r.Y) + b*(bl.Y-r.Y)}
		d, reached, ok := rgbw.Solve(target)
		if !ok || DeltaUVPrime(reached, target) > 1e-4 {
			t.Errorf("%v in gamut, reached %v", target, reached)
			continue
		}
		n++
		top := rgbw.Output(d).Y
		for w := 0.0; w <= 1; w += 0.05 {
			// The white fixed, the rest is three equations: the brightest scale that keeps all
			// drives in bounds.
			best := bruteRGBW(rgbw, target, w)
			if best > top*(1+1e-6) {
				t.Errorf("%v: %g by search, %g by Solve", target, best, top)
			}
		}
		// At a tenth of it: same colour, level met, white first.
		dl, reached, out, _ := rgbw.SolveLevel(target, top/10)
		near(t, "level", out/top*10, 1, 1e-6)
		if DeltaUVPrime(reached, target) > 1e-4 || dl[3] < d[3]/10-1e-9 {
			t.Errorf("%v at a tenth: %v from %v", target, dl, d)
		}
	}
	t.Logf("%d targets inside", n)

	// Outside: on the edge, no point of a fine walk along the edges is nearer, and it says so.
	for _, target := range []XY{{0.08, 0.83}, {0.55, 0.44}, {0.05, 0.3}, {0.4, 0.1}, {0.16, 0.01}} {
		_, reached, ok := rgb.Solve(target)
		if ok {
			t.Errorf("%v said to be in gamut", target)
		}
		lab := func(c XY) Lab { return c.XYZ(0.5).Lab(WhiteD65) }
		got := DeltaE2000(lab(reached), lab(target))
		for i := range rgb.Primaries {
			for j := range i {
				p, q := rgb.Primaries[i].Light.XY(), rgb.Primaries[j].Light.XY()
				for s := 0.0; s <= 1; s += 0.001 {
					if de := DeltaE2000(lab(XY{p.X + s*(q.X-p.X), p.Y + s*(q.Y-p.Y)}), lab(target)); de < got-1e-3 {
						t.Fatalf("%v: reached %v at %g, but %g is to be had", target, reached, got, de)
					}
				}
			}
		}
	}
	// Two colours of white: a point of the line between them, and the nearest off it.
	bi := Drives{Primaries: []Primary{{"warm", WhiteLED(2700), 1000, true}, {"cool", WhiteLED(6500), 1200, true}}}
	d, reached, _ := bi.Solve(White(4000).XY())
	if d == nil || DeltaUVPrime(reached, White(4000).XY()) > 0.01 || math.Max(d[0], d[1]) < 1-1e-9 {
		t.Errorf("bi-colour: %v %v", d, reached)
	}
	one := Drives{Primaries: []Primary{{"white", WhiteLED(5600), 1000, true}}}
	if d, _, _ := one.Solve(XY{0.6, 0.3}); len(d) != 1 || d[0] != 1 {
		t.Errorf("single: %v", d)
	}
	if d, _, ok := (Drives{}).Solve(XY{0.3, 0.3}); d != nil || ok {
		t.Error("no primaries")
	}
	if d, _, ok := rgb.Solve(XY{math.NaN(), 0.3}); d != nil || ok {
		t.Error("NaN target")
	}
}

// bruteRGBW returns the most output at the target chromaticity with the white drive fixed, 0 if
// none.
func bruteRGBW(d Drives, target XY, w float64) float64 {
	p := d.at()
	var m [3][3]float64
	for j := range 3 {
		m[0][j], m[1][j], m[2][j] = p[j].X, p[j].Y, p[j].Z
	}
	inv, _ := invert(m)
	c := target.XYZ(1)
	// drives = inv (Y c − w white): linear in Y, so bounds give an interval of Y.
	a := apply(inv, [3]float64{c.X, c.Y, c.Z})
	b := apply(inv, [3]float64{w * p[3].X, w * p[3].Y, w * p[3].Z})
	lo, hi := 0.0, math.Inf(1)
	for k := range 3 {
		// 0 ≤ a Y − b ≤ 1
		l, h := b[k]/a[k], (1+b[k])/a[k]
		if a[k] < 0 {
			l, h = h, l
		}
		lo, hi = math.Max(lo, l), math.Min(hi, h)
	}
	if lo > hi {
		return 0
	}
	return hi
}

// With six primaries no mix found by chance is brighter than Solve at its own chromaticity, drives
// stay in 0 to 1, and levels are met.
func TestDrivesManyPrimaries(t *testing.T) {
	var d Drives
	for i, n := range []string{"led red", "led amber", "led lime", "led cyan", "led royal blue", "white led 3000"} {
		l, err := Lamp(n)
		if err != nil {
			t.Fatal(err)
		}
		d.Primaries = append(d.Primaries, Primary{n, l, 100 + 150*float64(i%4), i == 5})
	}
	state := uint64(12345)
	next := func() float64 {
		state = state*6364136223846793005 + 1442695040888963407
		return float64(state>>11) / (1 << 53)
	}
	for range 150 {
		x := make([]float64, len(d.Primaries))
		for i := range x {
			x[i] = next()
			if next() < 0.3 {
				x[i] = math.Round(x[i])
			}
		}
		by := d.Output(x)
		if by.Y == 0 {
			continue
		}
		drives, reached, ok := d.Solve(by.XY())
		if !ok || DeltaUVPrime(reached, by.XY()) > 1e-4 {
			t.Fatalf("%v: %v not reached: %v", x, by.XY(), drives)
		}
		got := d.Output(drives).Y
		if got < by.Y*(1-1e-6) {
			t.Errorf("%v gives %g, Solve %v only %g", x, by.Y, drives, got)
		}
		level := by.Y * 0.4
		dl, reached, out, _ := d.SolveLevel(by.XY(), level)
		near(t, "level", out/level, 1, 1e-6)
		near(t, "colour", DeltaUVPrime(reached, by.XY()), 0, 1e-4)
		for _, v := range append(dl, drives...) {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("drive %g", v)
			}
		}
		if l := d.Light(dl); math.Abs(l.XYZ().Y/level-1) > 1e-6 {
			t.Errorf("the spectrum has %g, not %g", l.XYZ().Y, level)
		}
	}
}
