package denoise

import (
	"math"
	"math/rand/v2"
	"testing"
)

// airlit is a wall at 6 m behind a post at 2 m, whatever their colours, and what haze adds before
// them: in proportion to the way, brighter to the right, with noise of several times itself as rare
// paths have it.
func airlit(seed uint64) (s *Features, truth [][3]float32, l Layer) {
	const w, h = 160, 120
	r := rand.New(rand.NewPCG(seed, 2))
	s = &Features{W: w, H: h, Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h),
		Depth: make([]float32, w*h)}
	truth = make([][3]float32, w*h)
	l = Layer{C: make([][3]float32, w*h), Airlight: true}
	for i := range truth {
		x, y := i%w, i/w
		s.Depth[i], s.Normal[i], s.Albedo[i] = 6, [3]float32{0, 0, 1}, 0.1+0.8*float32(y%2)
		if x > 60 && x < 80 {
			s.Depth[i] = 2
		}
		v := s.Depth[i] * (1 + float32(x)/w)
		truth[i] = [3]float32{v, v, v}
		e := float32(0)
		if r.IntN(8) == 0 { // one in eight finds light, all of it: a standard deviation of √7 times the mean
			e = 8
		}
		l.C[i] = [3]float32{v * e, v * e, v * e}
	}
	return
}

// Cells of 8 pixels (16 · √(200/770) at 160 × 120) blurred by two cells each way hold some 200
// pixels at least: √7/√200 is 0.19, and what a cell blurs of the slope is 5 %. The post's airlight
// is a third of the wall's, so one that leaked would be wrong by far more.
func TestAirlight(t *testing.T) {
	s, truth, l := airlit(1)
	out := filter(t, s, l)[0]
	if e := rmse(out, truth); !(e < 0.2) {
		t.Errorf("error %.3f after, %.3f before", e, rmse(l.C, truth))
	}
	// What light there was is still there: over the means of many pictures of noise, to three of
	// their standard errors (√7/√(19200·20) is 0.4 %).
	sum, want := 0.0, 0.0
	for seed := range uint64(20) {
		s, truth, l := airlit(10 + seed)
		for i, p := range filter(t, s, l)[0] {
			sum += float64(p[1])
			want += float64(truth[i][1])
		}
	}
	if math.Abs(sum/want-1) > 0.013 {
		t.Errorf("%.4f of the light is left", sum/want)
	}
}

// Weights do not know the light: the airlight of two layers add up.
func TestAirlightAddsUp(t *testing.T) {
	s, _, a := airlit(3)
	_, _, b := airlit(4)
	both := Layer{C: make([][3]float32, len(a.C)), Airlight: true}
	for i := range both.C {
		for c := range 3 {
			both.C[i][c] = a.C[i][c] + b.C[i][c]
		}
	}
	out := filter(t, s, a, b, both)
	for i, p := range out[2] {
		if q := out[0][i][1] + out[1][i][1]; abs(p[1]-q) > 1e-4*q {
			t.Fatalf("pixel %d: %g together, %g one by one", i, p[1], q)
		}
	}
}

// Rare bright pixels keep their light, spread over what is round about in proportion to what that
// has; a pixel that sees a lamp is left alone.
func TestFireflies(t *testing.T) {
	s, _, l := scene(0, 1)
	s.ID = make([]uint32, len(s.Depth))
	before := float32(0)
	lamp, dark, at := 30*96+52, 30*96+50, 30*96+48
	for i := range l.Var {
		l.C[i], l.Var[i], s.ID[i] = [3]float32{1, 1, 1}, 0.01, 1
	}
	s.ID[lamp], l.C[lamp] = 3, [3]float32{500, 500, 500}
	l.C[dark] = [3]float32{0.01, 0.01, 0.01}
	l.C[at], l.Var[at] = [3]float32{21, 21, 21}, 441
	for _, c := range l.C {
		before += c[1]
	}
	s.suppressFireflies(&l, make([]float32, len(l.C)))
	sum := -before
	for _, c := range l.C {
		sum += c[1]
	}
	// Sums of some 6,000 numbers of 24 bits.
	if abs(sum) > 0.05 {
		t.Errorf("of a firefly 20 over its neighbours, %.3f are left", sum+20)
	}
	if c := l.C[lamp][1]; c != 500 {
		t.Errorf("a lamp has %.1f, not 500", c)
	}
	// Four levels give 3 % each at most, of a picture of 96 × 64; the rest is 0.3 % of all.
	if c := l.C[dark][1]; c > 0.01*1.15 {
		t.Errorf("a dark pixel of 0.01 has %.4f", c)
	}
	if p := l.C[at][1]; p > 1.15 {
		t.Errorf("the firefly is still at %.2f", p)
	}
}

// One pixel a million times as bright as the rest would be a blot where cells are averaged. It is
// cut to 300 times the picture's mean, hence 2.5 times the mean of a cell of some 200 pixels, and
// then to 30 times that, which is a third of it: bounds within which noise of 19 % stays under 2.
// What was cut comes back over the picture as a quarter of its light at most (pixelShare).
func TestAirlightClamps(t *testing.T) {
	s, _, l := airlit(5)
	before := filter(t, s, l)[0]
	at := 60*160 + 120
	l.C[at] = [3]float32{1e6, 1e6, 1e6}
	after := filter(t, s, l)[0]
	if r := after[at][1] / before[at][1]; r > 2*(1+pixelShare) {
		t.Errorf("one pixel makes its surroundings %.1f times as bright", r)
	}
}

// Airlight keeps its sum and an even one is even still, on a picture whose depths are all over the
// place; one blot among it too.
func TestAirlightKeeps(t *testing.T) {
	s, _, l := airlit(6)
	for i := range s.Depth {
		s.Depth[i] = 1 + float32(i*i%97)/9
	}
	l.C[7000] = [3]float32{2e3, 2e3, 2e3}
	before, after := 0.0, 0.0
	for i, c := range filter(t, s, l)[0] {
		before, after = before+float64(l.C[i][1]), after+float64(c[1])
	}
	// Five steps of balancing leave some thousandths.
	if r := after / before; math.Abs(r-1) > 0.005 {
		t.Errorf("filtered, airlight has %.4f of its sum", r)
	}
	for i := range l.C {
		l.C[i] = [3]float32{1, 1, 1}
	}
	for i, c := range filter(t, s, l)[0] {
		if abs(c[1]-1) > 0.03 {
			t.Fatalf("pixel %d of an even veil has %.3f", i, c[1])
		}
	}
}
