package trace

import (
	"context"
	"math"
	"runtime"
	"testing"

	"halfstop/geom"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/sample"
)

// chamber is a room of 2 × 2 × 2 m, grey of 0.5, open towards -y, with whatever a scene puts into
// it, seen from y = -3.
func chamber(t *testing.T, fill func(sc *Scene, paint func(Material) int)) (*Scene, Lens) {
	t.Helper()
	sc := New()
	paint := func(m Material) int {
		id, err := sc.AddMaterial(m)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	grey := paint(Material{Name: "grey", Diffuse: Grey(0.5)})
	sc.AddBox(geom.V(0, 0, 1), geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: geom.V(0, 0, 1)},
		geom.V(2, 2, 2), [6]int{grey, grey, -1, grey, grey, grey}, true)
	fill(sc, paint)
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	return sc, lensAt(geom.V(0, -3, 1), geom.V(0, 0, 1))
}

func lensAt(at, aim geom.Vec) Lens {
	v := optics.Look(at, aim, optics.Format{Width: 0.024, Height: 0.024}, 0.03, 3)
	return Lens{At: at, Right: v.Right, Up: v.Up, Axis: v.Axis, Width: 0.024, Height: 0.024,
		Image: 0.03 * 3 / (3 - 0.03), Focus: 3}
}

const (
	pixels = 6
	runs   = 16
)

// exposeRuns gives the means over independent runs of n samples.
func exposeRuns(sc *Scene, lens Lens, n int, how mode, seed uint64) *frames {
	w := newIntegrator(sc, nil)
	w.directDepth, w.mode = 1, how
	out := &frames{name: "full transport", runs: runs}
	if how == unidirectional {
		out.name = "path tracing by chance"
	}
	var x [runs][pixels * pixels]float64
	for r := range runs {
		f := NewFilm(pixels, pixels, sc.Layers, lens)
		e := exposer{w: w, f: f, planes: f.Planes, ids: sc.all, sum: make([]Band, sc.Layers),
			veil: make([]Band, sc.Layers), squares: make([]float32, sc.Layers)}
		for i := range pixels * pixels {
			e.pixel(i%pixels, i/pixels, 0, n, seed+uint64(r))
			for l := range sc.Layers {
				b := f.At(l, i%pixels, i/pixels)
				x[r][i] += float64(b[8])
			}
			out.mean[i] += x[r][i] / runs
		}
	}
	for i := range out.mean {
		for r := range runs {
			d := x[r][i] - out.mean[i]
			out.se2[i] += d * d / (runs * (runs - 1))
		}
	}
	return out
}

// pictured is a small scene of which pictures are tested.
type pictured struct {
	name string
	fill func(sc *Scene, paint func(Material) int)
	lens func(l *Lens)
}

func pictures() []pictured {
	lamp := func(sc *Scene) {
		sc.AddEmitter(Sphere(0, geom.V(0.4, 0, 1.5), 0.25, down, 10, nil, nil))
	}
	into := geom.UprightFrame(geom.V(0, 1, -0.4).Unit())
	return []pictured{
		{"sphere", func(sc *Scene, paint func(Material) int) { lamp(sc) }, nil},
		{"two layers", func(sc *Scene, paint func(Material) int) {
			lamp(sc)
			sc.AddEmitter(Rectangle(1, geom.V(-0.6, 0, 1.2), upright(geom.V(1, 0, 0)), 0.6, 0.8, 8, nil, false))
			sc.AddEmitter(Rectangle(2, geom.V(0, 0.5, 1.9), upright(down), 0.4, 0.4, 20, nil, false))
			sc.AddEmitter(Disc(3, geom.V(0.8, 0, 0.4), upright(geom.V(-1, 0, 0)), 0.3, 8, nil, true, nil))
		}, nil},
		{"near disc", func(sc *Scene, paint func(Material) int) {
			sc.AddEmitter(Disc(0, geom.V(0, 0.9, 1), upright(geom.V(0, 1, 0)), 0.4, 10, nil, false, nil))
		}, nil},
		{"tube", func(sc *Scene, paint func(Material) int) {
			sc.AddEmitter(Tube(0, geom.V(-0.8, 0.5, 1.7), geom.V(0.8, 0.5, 1.7), 0.15, 10))
		}, nil},
		{"silk", func(sc *Scene, paint func(Material) int) {
			m := paint(Material{Name: "silk", Diffuse: Grey(0.4), Trans: Grey(0.5)})
			sc.AddEmitter(Rectangle(0, geom.V(0.8, 0, 1), upright(geom.V(-1, 0, 0)), 0.8, 0.8, 20, nil, false))
			sc.AddQuad(geom.V(0.3, 0.1, 1), upright(geom.V(-1, 0, 0)), 1, 1, m)
		}, nil},
		{"mirror", func(sc *Scene, paint func(Material) int) {
			m := paint(Material{Name: "mirror", Mirror: Grey(0.9)})
			lamp(sc)
			sc.AddQuad(geom.V(-0.9, 0, 1), upright(geom.V(1, 0, 0)), 1.2, 1.2, m)
		}, nil},
		// Surfaces that look away from both lamps of a layer and see them in the mirror only.
		{"two lamps a layer, in a mirror", func(sc *Scene, paint func(Material) int) {
			m := paint(Material{Name: "mirror", Mirror: Grey(0.9)})
			white := paint(Material{Name: "white", Diffuse: Grey(0.8)})
			sc.AddEmitter(Sphere(0, geom.V(-0.6, -0.7, 1.6), 0.1, down, 60, nil, nil))
			sc.AddEmitter(Sphere(0, geom.V(0.6, -0.8, 1.2), 0.15, down, 20, nil, nil))
			sc.AddEmitter(Rectangle(1, geom.V(0, -0.9, 1.8), upright(geom.V(0, 1, -0.3).Unit()), 0.4, 0.2, 40,
				nil, false))
			sc.AddEmitter(Disc(1, geom.V(0.7, -0.6, 0.4), upright(geom.V(0, 1, 0)), 0.1, 90, nil, false, nil))
			sc.AddQuad(geom.V(0, 0.98, 1), upright(geom.V(0, -1, 0)), 1.9, 1.9, m)
			sc.AddQuad(geom.V(0.1, 0.4, 1), upright(geom.V(0, 1, 0.2).Unit()), 0.9, 0.9, white)
		}, nil},
		{"window", func(sc *Scene, paint func(Material) int) {
			m := paint(Material{Name: "pane", Glass: 1.5, Clear: Grey(0.95)})
			lamp(sc)
			sc.AddQuad(geom.V(0, -0.5, 1), upright(geom.V(0, -1, 0)), 1.9, 1.9, m)
			sc.AddEmitter(Sphere(1, geom.V(-0.8, -2, 1), 0.3, down, 10, nil, nil))
		}, nil},
		{"coat", func(sc *Scene, paint func(Material) int) {
			m := paint(Material{Name: "gloss", Diffuse: Grey(0.3), Coat: 1.5, CoatAlpha: 0.12})
			lamp(sc)
			sc.AddBox(geom.V(-0.3, 0.2, 0.4), into, geom.V(0.8, 0.8, 0.8), [6]int{m, m, m, m, m, m}, false)
		}, nil},
		{"metal", func(sc *Scene, paint func(Material) int) {
			m := paint(Material{Name: "metal", Mirror: Grey(0.8), Alpha: 0.3})
			lamp(sc)
			sc.AddSphere(geom.V(-0.3, 0.2, 0.7), 0.5, m, false)
		}, nil},
		{"haze", func(sc *Scene, paint func(Material) int) {
			sc.Medium = &Medium{Extinction: 0.3, Albedo: 0.9, G: 0.5}
			lamp(sc)
			sc.AddEmitter(Disc(1, geom.V(-0.7, 0, 1), upright(geom.V(1, 0, 0)), 0.3, 10, nil, false, nil))
		}, nil},
		{"haze, silk", func(sc *Scene, paint func(Material) int) {
			m := paint(Material{Name: "silk", Diffuse: Grey(0.4), Trans: Grey(0.5)})
			sc.Medium = &Medium{Extinction: 0.2, Albedo: 0.8}
			sc.AddEmitter(Rectangle(0, geom.V(0.8, 0, 1), upright(geom.V(-1, 0, 0)), 0.8, 0.8, 20, nil, false))
			sc.AddQuad(geom.V(0.4, 0.1, 1), upright(geom.V(-1, 0, 0)), 0.8, 0.8, m)
		}, nil},
		{"depth of field", func(sc *Scene, paint func(Material) int) { lamp(sc) }, func(
			l *Lens) {
			l.Radius, l.Blades, l.Focus = 0.2, 6, 2
		}},
	}
}

// The full integrator (next-event estimation, relays, images in mirrors, equiangular sampling in
// haze, roulette, branches at panes) has the expectation of plain path tracing, pixel by pixel.
func TestFilmAgainstChance(t *testing.T) {
	scenes := pictures()
	for _, c := range scenes {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			sc, lens := chamber(t, c.fill)
			if c.lens != nil {
				c.lens(&lens)
			}
			fast := exposeRuns(sc, lens, 32, fullTransport, 1)
			slow := exposeRuns(sc, lens, 256, unidirectional, 1000)
			compareFrames(t, fast, slow, len(scenes))
		})
	}
}

// The same seed gives the same picture bit for bit whatever the number of threads, and a layer
// exposed by itself is the same picture within its noise (a layer's sum over 144 pixels within 5 of
// its standard errors, each layer by a chance of 6e-7).
func TestFilmSeedAndLayers(t *testing.T) {
	sc, lens := chamber(t, func(sc *Scene, paint func(Material) int) {
		sc.AddEmitter(Sphere(0, geom.V(0.4, 0, 1.5), 0.25, down, 10, nil, nil))
		sc.AddEmitter(Rectangle(1, geom.V(-0.6, 0, 1.2), upright(geom.V(1, 0, 0)), 0.6, 0.8, 8, nil, false))
		sc.AddEmitter(Disc(2, geom.V(0.8, 0, 0.4), upright(geom.V(-1, 0, 0)), 0.3, 8, nil, true, nil))
	})
	const side, n = 12, 32
	take := func(threads int, layers []int) *Film {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(threads))
		f := NewFilm(side, side, 3, lens)
		if err := sc.Expose(context.Background(), f, n, 7, layers, nil); err != nil {
			t.Fatal(err)
		}
		return f
	}
	one, three := take(1, nil), take(3, nil)
	for l := range 3 {
		alone := take(2, []int{l})
		d, v := 0.0, 0.0
		for i := range side * side {
			x, y := i%side, i/side
			if one.At(l, x, y) != three.At(l, x, y) {
				t.Fatalf("layer %d, pixel %d differs between one thread and three", l, i)
			}
			a, va := one.Planes[l].Noise(i)
			b, vb := alone.Planes[l].Noise(i)
			d, v = d+a-b, v+va+vb
		}
		if math.Abs(d) > 5*math.Sqrt(v) {
			t.Errorf("layer %d alone differs by %.2f standard errors", l, math.Abs(d)/math.Sqrt(v))
		}
	}
}

// A spot reading out of pixels is what the spot meter reads: 25 pixels that cover about the spot's
// cone on an even wall, within 5 joint standard errors and 1 % for what square and round differ by.
func TestFilmSpot(t *testing.T) {
	sc, lens := chamber(t, func(sc *Scene, paint func(Material) int) {
		sc.AddEmitter(Rectangle(0, geom.V(0, 0, 1.9), upright(down), 1, 1, 10, nil, false))
	})
	const side = 61 // of 43.6°: the middle 5 × 5 pixels are 3.6° across
	f := NewFilm(side, side, 1, lens)
	if err := sc.ExposeMasked(context.Background(), f, 512, 3, nil,
		func(i int) bool { return near(i%side, side/2, 2) && near(i/side, side/2, 2) }, nil); err != nil {
		t.Fatal(err)
	}
	mean, v := 0.0, 0.0
	for i := range side * side {
		if near(i%side, side/2, 2) && near(i/side, side/2, 2) {
			m, vi := f.Planes[0].Noise(i)
			mean, v = mean+m/25, v+vi/625
		}
	}
	_, b, se := measureOne(t, sc, Receptor{Kind: Spot, At: lens.At, Facing: lens.Axis, Angle: 3.6 * math.Pi / 180}, 512)
	d, _, _ := measureOne(t, sc, Receptor{Kind: Spot, At: lens.At, Facing: lens.Axis, Angle: 3.6 * math.Pi / 180}, 512)
	if want := b + d; math.Abs(mean-want) > 5*math.Sqrt(v+se*se)+0.01*want {
		t.Errorf("pixels %.5g ± %.2g, spot %.5g ± %.2g", mean, math.Sqrt(v), want, se)
	}
}

func near(a, b, d int) bool { return a-b <= d && b-a <= d }

// A small lamp lands on the pixel that optics.View.Project names, wherever it is in the frame.
func TestFilmPerspective(t *testing.T) {
	r := sample.New(1, 1)
	for k := range 8 {
		x, y := r.Point2(uint32(k), 0)
		z, _ := r.Point2(uint32(k), 1)
		p := geom.V(2*x-1, 4*z, 2*y-0.2)
		sc := New()
		sc.AddEmitter(Sphere(0, p, 0.03, down, 1, nil, nil))
		if err := sc.Prepare(); err != nil {
			t.Fatal(err)
		}
		v := optics.Look(geom.V(0.3, -3, 1.2), geom.V(0, 0, 0.9), optics.Format{Width: 0.036, Height: 0.024}, 0.03, 3)
		const w, h = 90, 60
		f := NewFilm(w, h, 1, Lens{At: v.At, Right: v.Right, Up: v.Up, Axis: v.Axis, Width: 0.036, Height: 0.024,
			Image: 0.03 * 3 / (3 - 0.03), Focus: 3})
		if err := sc.Expose(context.Background(), f, 64, 1, nil, nil); err != nil {
			t.Fatal(err)
		}
		sx, sy, s := 0.0, 0.0, 0.0
		for i := range w * h {
			m, _ := f.Planes[0].Noise(i)
			sx, sy, s = sx+m*(float64(i%w)+0.5), sy+m*(float64(i/w)+0.5), s+m
		}
		px, py, _, ok := v.Project(p)
		if !ok || px < 0.02 || px > 0.98 || py < 0.02 || py > 0.98 {
			continue
		}
		// A fifth of a pixel: the lamp is one to two pixels across, sampled 64 times a pixel, and a
		// ball off the axis lands a little oblong.
		if math.Abs(sx/s-px*w) > 0.2 || math.Abs(sy/s-py*h) > 0.2 {
			t.Errorf("%v lands at %.2f, %.2f, Project says %.2f, %.2f", p, sx/s, sy/s, px*w, py*h)
		}
	}
}

// The edge of a wide lit sheet out of focus is as wide as the formula's blur disc: the light falls
// off over it as over a disc cut by a line, whose mean and spread are known: the variance of x over
// a disc of diameter c is c²/16. Check: optics.Blur (H2.6 to H2.8).
func TestFilmBlur(t *testing.T) {
	const n, focal = 4.0, 0.05
	for _, at := range []float64{1.2, 6} {
		sc := New()
		// Covers the right half of the frame at distance at.
		sc.AddEmitter(Rectangle(0, geom.V(5, at, 0), upright(geom.V(0, -1, 0)), 10, 10, 1, nil, false))
		if err := sc.Prepare(); err != nil {
			t.Fatal(err)
		}
		const s = 2.0
		want := float64(optics.Blur(focal, n, s, q.Metres(at)))
		v := optics.Look(geom.V(0, 0, 0), geom.V(0, 1, 0), optics.Format{}, focal, s)
		const w = 200
		lens := Lens{At: v.At, Right: v.Right, Up: v.Up, Axis: v.Axis, Width: 3 * want, Height: 3 * want / w,
			Image: focal * s / (s - focal), Focus: s, Radius: focal / n / 2}
		f := NewFilm(w, 1, 1, lens)
		if err := sc.Expose(context.Background(), f, 4096, 1, nil, nil); err != nil {
			t.Fatal(err)
		}
		// The slope along the row is the disc seen edge on.
		s0, s1, s2, last := 0.0, 0.0, 0.0, 0.0
		for x := range w {
			m, _ := f.Planes[0].Noise(x)
			d, p := m-last, (float64(x)/w-0.5)*3*want
			last = m
			s0, s1, s2 = s0+d, s1+d*p, s2+d*p*p
		}
		got := 4 * math.Sqrt(s2/s0-(s1/s0)*(s1/s0))
		// 1.5 %: 67 pixels across the disc (a pixel's own width adds 1e-4) and 4096 samples, whose
		// noise was seen to give 0.5 %.
		if math.Abs(got/want-1) > 0.015 {
			t.Errorf("at %g m: %.4g mm across, the formula says %.4g", at, 1000*got, 1000*want)
		}
	}
}

// A plane keeps a Band to a 131,070th of its largest number, and no bad number gets in.
func TestPacked(t *testing.T) {
	var p packed
	for k := range 200 {
		var b, c Band
		for i := range b {
			b[i] = float32(math.Exp(float64((k*7+i*13)%60) - 30))
		}
		p.set(&b)
		p.get(&c)
		for i := range b {
			if math.Abs(float64(b[i]-c[i])) > float64(maxBand(&b))/131000 {
				t.Fatalf("%g became %g beside %g", b[i], c[i], maxBand(&b))
			}
		}
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), -1} {
		b := Grey(bad)
		p.set(&b)
		if p.get(&b); b != (Band{}) {
			t.Errorf("%g became %v", bad, b)
		}
	}
	for _, sc := range []*Scene{{Layers: 8}, {Layers: 8, Medium: &Medium{}}} {
		// What the denoiser gives takes 12 bytes a pixel and layer, what it needs 56 a pixel and
		// 24 for edges; a tenth of a GiB is the scene's.
		if need := sc.FoldedFilmBytes(1920, 1280) + 1920*1280*(12*8+56+24); need > 9<<30/10 {
			t.Errorf("1920 × 1280 with eight layers takes %d MiB, over nine tenths of a GiB", need>>20)
		}
	}
}

// Three numbers in four bytes come back within half a 128th of the largest.
func TestSharedExponent(t *testing.T) {
	for _, c := range [][3]float32{{1, 1, 1}, {0.999999, 0.3, 0}, {3e-12, 1e-12, 2e-12}, {7e20, 1e20, 6e20},
		{128, 64, 1}, {255.9, 255.9, 255.9}} {
		got, most := shareExponent(c).get(), max(c[0], c[1], c[2])
		for k, v := range got {
			if d := v - c[k]; max(d, -d) > most/256*1.001 {
				t.Errorf("%v became %v", c, got)
			}
		}
	}
	for _, c := range [][3]float32{{}, {float32(math.NaN()), 1, 1}, {float32(math.Inf(1)), 0, 0}, {-1, -1, -1}} {
		if got := shareExponent(c).get(); got != ([3]float32{}) {
			t.Errorf("%v became %v", c, got)
		}
	}
}
