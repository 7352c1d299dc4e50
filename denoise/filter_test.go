package denoise

import (
	"context"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"
)

// scene is a wall with a step in its light, another surface behind it, a stripe of texture and one
// bright small highlight, with noise of known variance.
func scene(noise float64, seed uint64) (s *Features, truth [][3]float32, l Layer) {
	const w, h = 96, 64
	r := rand.New(rand.NewPCG(seed, 1))
	s = &Features{W: w, H: h, Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h),
		Depth: make([]float32, w*h)}
	truth = make([][3]float32, w*h)
	l = Layer{C: make([][3]float32, w*h), Var: make([]float32, w*h)}
	for i := range truth {
		x, y := i%w, i/w
		a, light := float32(0.5), float32(1)
		s.Normal[i], s.Depth[i] = [3]float32{0, 0, 1}, 3
		if x > 64 {
			s.Normal[i], s.Depth[i], light = [3]float32{1, 0, 0}, 4, 0.2
		}
		if y%4 == 0 {
			a = 0.25
		}
		if x < 30 {
			light *= 4
		}
		if x >= 46 && x < 50 && y >= 30 && y < 34 {
			light *= 60 // a catchlight of 4 × 4 pixels
		}
		s.Albedo[i] = a
		v := a * light
		truth[i] = [3]float32{v, v, v * 0.5}
		sd := noise * float64(v)
		e := float32(1 + noise*r.NormFloat64())
		l.C[i] = [3]float32{v * e, v * e, v * 0.5 * e}
		l.Var[i] = float32(sd * sd)
	}
	return
}

func rmse(a, b [][3]float32) float64 {
	s := 0.0
	for i := range a {
		d := float64(a[i][1]-b[i][1]) / float64(b[i][1])
		s += d * d
	}
	return math.Sqrt(s / float64(len(a)))
}

func (l *Layer) copyTo(into *Layer) {
	into.Airlight = l.Airlight
	copy(into.C, l.C)
	copy(into.Var, l.Var)
}

func filter(t *testing.T, s *Features, l ...Layer) [][][3]float32 {
	t.Helper()
	out, airlight, err := Filter(context.Background(), s, 1, len(l), func(k int, into *Layer) { l[k].copyTo(into) })
	if err != nil {
		t.Fatal(err)
	}
	for k, a := range airlight {
		if a != nil {
			out[k] = make([][3]float32, s.W*s.H)
			a.addTo(out[k])
		}
	}
	return out
}

// Noise of 30 % falls to under half, the many edges of the scene included (a mean over three
// neighbours as like would leave 0.15); edges of surfaces, of light, texture and the highlight
// stay.
func TestFilter(t *testing.T) {
	s, truth, l := scene(0.3, 1)
	out := filter(t, s, l)[0]
	if e := rmse(out, truth); !(e < 0.15) {
		t.Errorf("error %.3f after, %.3f before", e, rmse(l.C, truth))
	}
	mean := 0.0
	for y := 30; y < 34; y++ {
		for x := 46; x < 50; x++ {
			mean += float64(out[y*96+x][1]/truth[y*96+x][1]) / 16
		}
	}
	// 16 pixels of 30 % noise leave 7.5 % on their mean: three times that.
	if math.Abs(mean-1) > 0.225 {
		t.Errorf("the highlight has %.2f of its light", mean)
	}
}

// A picture without noise comes out as it is, to what a relative difference of a thousandth per
// level may do.
func TestFilterKeeps(t *testing.T) {
	s, truth, l := scene(0, 1)
	if e := rmse(filter(t, s, l)[0], truth); e > 0.005 {
		t.Errorf("changed by %.4f", e)
	}
}

// The filter is a mean with weights: twice the light is twice the picture, whatever the scale.
func TestFilterScale(t *testing.T) {
	s, _, l := scene(0.3, 2)
	k := Layer{C: make([][3]float32, len(l.C)), Var: make([]float32, len(l.C))}
	for i := range l.C {
		for c := range 3 {
			k.C[i][c] = 1024 * l.C[i][c]
		}
		k.Var[i] = 1024 * 1024 * l.Var[i]
	}
	out := filter(t, s, l, k)
	for i := range out[0] {
		// Powers of two scale exactly but for the tiny constant beside the variances.
		if a, b := out[0][i][1]*1024, out[1][i][1]; abs(a-b) > 1e-5*b {
			t.Fatalf("pixel %d: %g and %g", i, a, b)
		}
	}
}

// No input makes it panic, hang or yield a number that is none where the input had one; threads do
// not matter.
func TestFilterBad(t *testing.T) {
	s, _, l := scene(0.3, 3)
	for i := range l.Var {
		switch i % 5 {
		case 0:
			l.Var[i] = float32(math.Inf(1))
		case 1:
			l.Var[i] = 0
		case 2:
			s.Depth[i], s.Normal[i], s.Albedo[i] = 0, [3]float32{}, 0
		}
	}
	a := filter(t, s, l)[0]
	n := runtime.GOMAXPROCS(1)
	b := filter(t, s, l)[0]
	runtime.GOMAXPROCS(n)
	for i := range a {
		if a[i] != b[i] || a[i][1] != a[i][1] {
			t.Fatalf("pixel %d: %v and %v", i, a[i], b[i])
		}
	}
	if _, _, err := Filter(context.Background(), &Features{}, 1, 1, func(int, *Layer) {}); err != nil {
		t.Error(err)
	}
}

// One layer of 640 × 427.
func BenchmarkFilter(b *testing.B) {
	const w, h = 640, 427
	s := &Features{W: w, H: h, Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h),
		Depth: make([]float32, w*h)}
	l := Layer{C: make([][3]float32, w*h), Var: make([]float32, w*h)}
	r := rand.New(rand.NewPCG(1, 1))
	for i := range l.C {
		e := float32(1 + 0.3*r.NormFloat64())
		s.Albedo[i], s.Normal[i], s.Depth[i] = 0.5, [3]float32{0, 0, 1}, 3
		l.C[i], l.Var[i] = [3]float32{e, e, e}, 0.09
	}
	for b.Loop() {
		if _, _, err := Filter(context.Background(), s, 1, 1, func(_ int, into *Layer) { l.copyTo(into) }); err != nil {
			b.Fatal(err)
		}
	}
}
