package trace

import (
	"context"
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/sample"
)

// measureAll traces receptors and returns the transports.
func measureAll(t *testing.T, sc *Scene, recs []Receptor, m MeasureOptions) []Transport {
	t.Helper()
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	out, err := sc.Measure(context.Background(), recs, m)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// mean and standard error of one layer in window 8.
func meanOf(tr *Transport, layer int) (mean, se float64) {
	var s sample.Tally
	for r := range Reps {
		s.Add(float64(tr.Parts[r][layer][8]))
	}
	return s.Mean(), s.StdErr()
}

// same fails where two estimates differ by more than 4 standard errors (one in 16,000 by chance;
// seeds are fixed).
func same(t *testing.T, what string, a, sa, b, sb float64) {
	t.Helper()
	if d := math.Abs(a - b); d > 4*math.Hypot(sa, sb)+1e-5*math.Abs(a) {
		t.Errorf("%s: %.6g ± %.2g against %.6g ± %.2g", what, a, sa, b, sb)
	}
}

// furnished is a room with every kind of surface and light, scaled, turned about z and moved.
func furnished(t *testing.T, scale, turn float64, by geom.Vec, order []int) (*Scene, []Receptor) {
	t.Helper()
	sc := New()
	sn, cs := math.Sincos(turn)
	at := func(x, y, z float64) geom.Vec { return geom.V(x*cs-y*sn, x*sn+y*cs, z).Mul(scale).Add(by) }
	to := func(x, y, z float64) geom.Vec { return geom.V(x*cs-y*sn, x*sn+y*cs, z).Unit() }
	fr := func(x, y, z float64) geom.Frame { return geom.UprightFrame(to(x, y, z)) }
	wall := mat(t, sc, Material{Diffuse: Grey(0.6)})
	gloss := mat(t, sc, Material{Diffuse: Grey(0.3), Coat: 1.5, CoatAlpha: 0.1})
	metal := mat(t, sc, Material{Mirror: Grey(0.8), Alpha: 0.2})
	mirror := mat(t, sc, Material{Mirror: Grey(0.85)})
	silk := mat(t, sc, Material{Diffuse: Grey(0.35), Trans: Grey(0.5)})
	pane := mat(t, sc, Material{Clear: Grey(0.98), Glass: 1.52})
	room := geom.Frame{S: to(1, 0, 0), T: to(0, 1, 0), N: up}
	sc.AddBox(at(2, 2.5, 1.35), room, geom.V(4, 5, 2.7).Mul(scale), [6]int{wall, gloss, wall, wall, wall, wall}, true)
	sc.AddQuad(at(2, 0.01, 1.3), fr(0, 1, 0), 1*scale, 1.6*scale, mirror)
	sc.AddQuad(at(1, 2, 1.4), fr(1, 0.3, 0), 1.2*scale, 1.2*scale, silk)
	sc.AddQuad(at(3, 3, 1.2), fr(-1, 0, 0), 0.8*scale, 1*scale, pane)
	sc.AddBox(at(3, 1, 0.4), room, geom.V(0.6, 0.5, 0.8).Mul(scale),
		[6]int{metal, metal, gloss, gloss, wall, metal}, false)
	lights := []func(layer int) *Emitter{
		func(l int) *Emitter {
			return Rectangle(l, at(0.3, 1.8, 1.5), fr(1, 0.1, 0), 0.6*scale, 0.4*scale, 900, nil, false)
		},
		func(l int) *Emitter { return Sphere(l, at(3.3, 4.3, 2.2), 0.1*scale, up, 2000, nil, nil) },
		func(l int) *Emitter { return Tube(l, at(1, 4.9, 2.5), at(2.5, 4.9, 2.5), 0.03*scale, 4000) },
		func(l int) *Emitter {
			return Disc(l, at(3.7, 2, 2.3), fr(-1, 0, -0.8), 0.2*scale, 1500, nil, false, nil)
		},
		func(l int) *Emitter {
			return Point(l, at(1.5, 1, 2.6), to(0, 0, -1), 60*scale*scale, nil, 0, nil, 0)
		},
	}
	if order == nil {
		order = []int{0, 1, 2, 3, 4}
	}
	for i, k := range order {
		sc.AddEmitter(lights[k](i))
	}
	return sc, []Receptor{{Kind: Flat, At: at(2, 2.5, 1.2), Facing: to(-1, 0.2, 0.1)},
		{Kind: Dome, At: at(2.5, 3.5, 1.5), Facing: to(0.3, -1, 0)},
		{Kind: Flat, At: at(2, 3, 0.001), Facing: up},
		{Kind: Spot, At: at(2, 4.5, 1.5), Facing: to(0, -1, -0.05), Angle: 0.02}}
}

// Scale, rotation, place and the order of lights change nothing: ×0.1 (a model), ×10 (a hall),
// turned 37°, 50 m from the origin.
func TestInvariance(t *testing.T) {
	m := MeasureOptions{Seed: 1, Most: 128}
	sc, recs := furnished(t, 1, 0, geom.Vec{}, nil)
	want := measureAll(t, sc, recs, m)
	order := []int{3, 1, 4, 0, 2}
	for _, c := range []struct {
		name        string
		scale, turn float64
		by          geom.Vec
		order       []int
	}{{"×0.1", 0.1, 0, geom.Vec{}, nil}, {"×10", 10, 0, geom.Vec{}, nil},
		{"turned", 1, 37 * math.Pi / 180, geom.Vec{}, nil},
		{"50 m away", 1, 0, geom.V(50, -50, 50), nil}, {"in another order", 1, 0, geom.Vec{}, order}} {
		if testing.Short() && c.name != "50 m away" {
			continue
		}
		m.Seed++
		sc, recs := furnished(t, c.scale, c.turn, c.by, c.order)
		got := measureAll(t, sc, recs, m)
		for i := range recs {
			for l := range sc.Layers {
				of := l
				if c.order != nil {
					of = c.order[l]
				}
				a, sa := meanOf(&want[i], of)
				b, sb := meanOf(&got[i], l)
				same(t, c.name, b, sb, a, sa)
			}
		}
	}
}

// The number of threads changes no bit.
func TestThreads(t *testing.T) {
	sc, recs := furnished(t, 1, 0, geom.Vec{}, nil)
	one := measureAll(t, sc, recs, MeasureOptions{Seed: 1, Most: 32, Threads: 1})
	for _, n := range []int{2, 3, 7} {
		many := measureAll(t, sc, recs, MeasureOptions{Seed: 1, Most: 32, Threads: n})
		for i := range recs {
			if !equalTransport(&one[i], &many[i]) {
				t.Errorf("%d threads: receptor %d differs", n, i)
			}
		}
	}
}

func equalTransport(a, b *Transport) bool {
	for l := range a.Direct {
		if a.Direct[l] != b.Direct[l] || a.Bounced[l] != b.Bounced[l] {
			return false
		}
		for r := range Reps {
			if a.Parts[r][l] != b.Parts[r][l] {
				return false
			}
		}
	}
	return true
}

// A light gives the same alone as in company: the sum of solo layers is the whole.
func TestLinearity(t *testing.T) {
	sc, recs := furnished(t, 1, 0, geom.Vec{}, nil)
	whole := measureAll(t, sc, recs, MeasureOptions{Seed: 1, Most: 128})
	for l := range sc.Layers {
		if testing.Short() && l > 1 {
			break
		}
		solo, recs := furnished(t, 1, 0, geom.Vec{}, []int{l})
		got := measureAll(t, solo, recs, MeasureOptions{Seed: uint64(10 + l), Most: 128})
		again := measureAll(t, sc, recs, MeasureOptions{Seed: uint64(20 + l), Most: 128, Layers: []int{l}})
		for i := range recs {
			a, sa := meanOf(&whole[i], l)
			b, sb := meanOf(&got[i], 0)
			same(t, "alone in the room", b, sb, a, sa)
			c, sc := meanOf(&again[i], l)
			same(t, "asked for alone", c, sc, a, sa)
		}
	}
}

// Reciprocity: a small Lambertian disc at A and a flat receptor at B, looking along the same
// normals, may change places.
func TestReciprocity(t *testing.T) {
	a, na := geom.V(0.6, 0.8, 1.1), geom.V(0.4, 1, 0.2).Unit()
	b, nb := geom.V(2.9, 3.6, 0.9), geom.V(-0.2, -1, 0.3).Unit()
	run := func(from, nf, to, nt geom.Vec) (float64, float64) {
		sc, _ := furnished(t, 1, 0, geom.Vec{}, []int{})
		sc.AddEmitter(Disc(0, from, geom.UprightFrame(nf), 0.02, 1e6, nil, false, nil))
		out := measureAll(t, sc, []Receptor{{Kind: Flat, At: to, Facing: nt}}, MeasureOptions{Seed: 5, Most: 2048})
		return meanOf(&out[0], 0)
	}
	x, sx := run(a, na, b, nb)
	y, sy := run(b, nb, a, na)
	same(t, "changed places", x, sx, y, sy)
	if e := math.Abs(math.Log2(x / y)); e > 0.05 {
		t.Errorf("%.5g ± %.2g against %.5g ± %.2g: %.3f st", x, sx, y, sy, e)
	}
}

// Energy: closed rooms of one reflectance give Φ/(A (1−ρ)) on average, of whatever material that
// returns it evenly; nothing gives more than it gets. B7.4 with ρ = 0.5, C1.5's ρ = 0.9, and coats,
// rough mirrors and silks that lose nothing but by a black floor.
func TestEnergy(t *testing.T) {
	// A white room with a black floor: all light ends there, so its mean illuminance is Φ/A_floor.
	for name, m := range map[string]Material{
		"diffuse": {Diffuse: Grey(1)}, "coat": {Diffuse: Grey(1), Coat: 1.5, CoatAlpha: 0.05},
		"rough mirror": {Mirror: Grey(1), Alpha: 0.5},
		"mirror":       {Mirror: Grey(1)},
		"silk, coated": {Diffuse: Grey(0.5), Trans: Grey(0.5), Coat: 1.5, CoatAlpha: 0.3},
		"half":         {Diffuse: Grey(0.5), Mirror: Grey(0.5)},
		"half, coated": {Diffuse: Grey(0.5), Mirror: Grey(0.5), Coat: 1.5, CoatAlpha: 0.05},
	} {
		sc := New()
		w := mat(t, sc, m)
		black := mat(t, sc, Material{})
		sc.AddBox(geom.V(1, 1, 1), geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: up}, geom.V(2, 2, 2),
			[6]int{w, w, w, w, black, w}, true)
		sc.AddQuad(geom.V(1, 1, 1.7), upright(geom.V(0.3, 0.2, -1).Unit()), 0.5, 0.5,
			mat(t, sc, Material{Diffuse: Grey(0.4), Trans: Grey(0.6)}))
		sc.AddEmitter(Sphere(0, geom.V(1, 1, 1), 0.1, up, 1000/(4*math.Pi*math.Pi*0.01), nil, nil))
		var recs []Receptor
		const n = 5
		for i := range n {
			for j := range n {
				recs = append(recs, Receptor{Kind: Flat, At: geom.V(2*(float64(i)+0.5)/n, 2*(float64(j)+0.5)/n, 0),
					Facing: up})
			}
		}
		out := measureAll(t, sc, recs, MeasureOptions{Seed: 3, Most: 24})
		sum, v := 0.0, 0.0
		for i := range out {
			a, sa := meanOf(&out[i], 0)
			sum += a
			v += sa * sa
		}
		got := sum / (n * n)
		t.Logf("%s: %.1f ± %.1f lx", name, got, math.Sqrt(v)/(n*n))
		limit := 0.05 + 3*math.Sqrt(v)/(n*n)/got/math.Ln2 // engine.md 11, and the scatter of so few paths
		if name == "half, coated" || name == "silk, coated" {
			// A coat over a mirror loses what is caught between them, a silk lets light out: never
			// more.
			if got > 250*1.02 || got < 250*0.2 {
				t.Errorf("%s: %.1f lx of 250", name, got)
			}
			continue
		}
		within(t, name, got, 250, limit)
	}
}

// A white room with a black floor keeps its energy whatever stands in it that absorbs nothing:
// panes, mirrors, coated and rough things; for a ball of light and for a point, whose images in
// mirrors and panes must all be found.
func TestEnergyOfThings(t *testing.T) {
	things := map[string]Material{
		"pane": {Clear: Grey(1), Glass: 1.52}, "mirror": {Mirror: Grey(1)},
		"net": {Clear: Grey(0.6), Diffuse: Grey(0.4)}, "half mirror": {Mirror: Grey(0.5), Clear: Grey(0.5)},
		"coated": {Diffuse: Grey(1), Coat: 1.5}, "metal": {Mirror: Grey(1), Alpha: 0.1},
	}
	for name, m := range things {
		for _, point := range []bool{false, true} {
			sc := New()
			w := mat(t, sc, Material{Diffuse: Grey(1)})
			sc.AddBox(geom.V(1, 1, 1), geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: up}, geom.V(2, 2, 2),
				[6]int{w, w, w, w, mat(t, sc, Material{}), w}, true)
			sc.AddQuad(geom.V(0.7, 1.2, 1), geom.UprightFrame(geom.V(1, 0.4, 0.1).Unit()), 1.2, 1.4, mat(t, sc, m))
			if point {
				sc.AddEmitter(Point(0, geom.V(1.3, 1, 1.1), up, 1000/(4*math.Pi), nil, 0, nil, 0))
			} else {
				sc.AddEmitter(Sphere(0, geom.V(1.3, 1, 1.1), 0.1, up, 1000/(4*math.Pi*math.Pi*0.01), nil, nil))
			}
			var recs []Receptor
			const n = 5
			for i := range n {
				for j := range n {
					recs = append(recs, Receptor{Kind: Flat, At: geom.V(2*(float64(i)+0.5)/n, 2*(float64(j)+0.5)/n,
						0), Facing: up})
				}
			}
			out := measureAll(t, sc, recs, MeasureOptions{Seed: 6, Most: 32})
			sum, v := 0.0, 0.0
			for i := range out {
				a, sa := meanOf(&out[i], 0)
				sum += a
				v += sa * sa
			}
			got, se := sum/(n*n), math.Sqrt(v)/(n*n)
			t.Logf("%s, point %v: %.1f ± %.1f lx", name, point, got, se)
			// The mean by 25 points adds about 1 %.
			within(t, name, got, 250, 0.05+3*se/got/math.Ln2)
		}
	}
}

// The stated standard error holds the truth: of 240 intervals of ±1.96 times the error stated, at
// least 93 in 100 hold the closed form, with the stopping rule of the meter (go on until the error
// is small enough).
func TestCoverage(t *testing.T) {
	type known struct {
		sc   *Scene
		r    Receptor
		want float64
	}
	cases := func() []known {
		var out []known
		cavity := New()
		cavity.AddSphere(geom.Vec{}, 1, mat(t, cavity, Material{Diffuse: Grey(0.5)}), true)
		cavity.AddEmitter(Point(0, geom.Vec{}, up, 1000/(4*math.Pi), nil, 0, nil, 0))
		out = append(out, known{cavity, Receptor{Kind: Flat, At: geom.V(0, 0, -0.9), Facing: up},
			79.5775 + 1000/(4*math.Pi)/0.81})
		plane := New()
		plane.AddQuad(geom.Vec{}, upright(up), 400, 400, mat(t, plane, Material{Diffuse: Grey(0.8)}))
		plane.AddEmitter(Point(0, geom.V(0, 0, 1), down, 1000, nil, 0, nil, 0))
		out = append(out, known{plane, Receptor{Kind: Flat, At: geom.V(0, 0, 0.5), Facing: down},
			wallBounce(0.8, 1000, 1, 0.5)})
		silk := New()
		silk.AddQuad(geom.Vec{}, upright(up), 200, 200, mat(t, silk, Material{Trans: Grey(0.6)}))
		silk.AddEmitter(Point(0, geom.V(0, 0, 1), down, 1000, nil, 0, nil, 0))
		out = append(out, known{silk, Receptor{Kind: Flat, At: geom.V(0, 0, -1), Facing: up}, 240})
		near := New()
		near.AddEmitter(Disc(0, geom.V(0, 0, 0.2), upright(down), 0.5, 1000, nil, false, nil))
		out = append(out, known{near, Receptor{Kind: Flat, Facing: up}, math.Pi * 1000 * 0.25 / 0.29})
		window := New()
		window.AddEmitter(Portal(0, geom.V(3, 0, 1.75), geom.UprightFrame(geom.V(-1, 0, 0)), 2, 1.5,
			func(w geom.Vec) float64 { return 1000 * (1 + 2*w.Z) / 3 }))
		out = append(out, known{window, Receptor{Kind: Flat, Facing: up}, 0.0264871 * 1000 * 7 * math.Pi / 9})
		return out
	}()
	held, tried := 0, 0
	for k := range cases {
		c := &cases[k]
		if err := c.sc.Prepare(); err != nil {
			t.Fatal(err)
		}
		for seed := range uint64(48) {
			var s sample.Tally
			_, err := c.sc.Measure(context.Background(), []Receptor{c.r},
				MeasureOptions{Seed: seed*977 + uint64(k), Start: 8, Most: 256,
					Wanted: func(_, done int, tr *Transport) int {
						s = sample.Tally{}
						for r := range Reps {
							s.Add(float64(tr.Parts[r][0][8]))
						}
						if s.NormalError()/s.Mean() < 0.01 {
							return done
						}
						return 2 * done
					}})
			if err != nil {
				t.Fatal(err)
			}
			tried++
			// What the closed form leaves out (the endless plane, the round ball of facets) is
			// under 0.1 %.
			if math.Abs(s.Mean()-c.want) <= 1.96*s.NormalError()+0.001*c.want {
				held++
			}
		}
	}
	t.Logf("%d of %d", held, tried)
	if float64(held) < 0.93*float64(tried) {
		t.Errorf("%d of %d intervals hold the truth, want 93 in 100", held, tried)
	}
}

// wallBounce is check-values B10 in closed form for z < h.
func wallBounce(rho, i, h, z float64) float64 {
	// Integrated over rings, Simpson's rule in the angle at the foot: the closed form's numbers to
	// 1e-6 (B10.2, B10.3 by the same sum).
	sum := 0.0
	const n = 20000
	for k := range n {
		a := (float64(k) + 0.5) / n * math.Pi / 2
		r := math.Tan(a)
		e := i * h / math.Pow(h*h+r*r, 1.5)
		sum += rho * e / math.Pi * 2 * math.Pi * r * z * z / math.Pow(z*z+r*r, 2) * (1 + r*r) * math.Pi / 2 / n
	}
	return sum
}

func TestWallBounceSum(t *testing.T) {
	within(t, "B10.2", wallBounce(0.8, 1000, 1, 2), 155.094, 1e-4)
	within(t, "B10.3", wallBounce(0.8, 1000, 2, 1), 127.815, 1e-4)
}

// Error falls at least as 1/√n: 16 times the paths, a quarter of the error (a third allowed for the
// scatter of 32 parts).
func TestConvergence(t *testing.T) {
	sc, recs := furnished(t, 1, 0, geom.Vec{}, nil)
	few := measureAll(t, sc, recs, MeasureOptions{Seed: 4, Most: 32})
	many := measureAll(t, sc, recs, MeasureOptions{Seed: 4, Most: 512})
	a, b := 0.0, 0.0
	for i := range recs {
		for l := range sc.Layers {
			m, s := meanOf(&few[i], l)
			if m > 0 {
				a += s / m
			}
			m, s = meanOf(&many[i], l)
			if m > 0 {
				b += s / m
			}
		}
	}
	t.Logf("mean relative error %.4f, then %.4f", a/20, b/20)
	if b > a/3 {
		t.Errorf("16 times the paths took the error from %.4f to %.4f", a/20, b/20)
	}
}

// Roulette adds no bias: deep light in a closed room of 0.9 against Φ/(A (1−ρ)) at every point of a
// hollow ball.
func TestRoulette(t *testing.T) {
	sc := New()
	sc.AddSphere(geom.Vec{}, 1, mat(t, sc, Material{Diffuse: Grey(0.9)}), true)
	sc.AddEmitter(Point(0, geom.Vec{}, up, 1000/(4*math.Pi), nil, 0, nil, 0))
	out := measureAll(t, sc, []Receptor{{Kind: Flat, At: geom.V(0, 0, -0.995), Facing: up}},
		MeasureOptions{Seed: 1, Most: 512})
	a, sa := meanOf(&out[0], 0)
	t.Logf("%.1f ± %.1f", a, sa)
	// Facets: 5,120 triangles of the ball's volume have 0.1 % more area.
	if want := 1000 / (4 * math.Pi * 0.1); math.Abs(a-want) > 4*sa+0.005*want {
		t.Errorf("%.1f ± %.1f lx, want %.1f", a, sa, want)
	}
}

// Closed rooms of reflectance over 0.98: light goes round hundreds of times and none of it is cut
// off. Φ/(A (1−ρ)), as above.
func TestBrightCavity(t *testing.T) {
	for _, c := range []struct {
		rho   float64
		paths int
	}{{0.98, 32}, {0.99, 24}, {0.995, 16}} {
		sc := New()
		sc.AddSphere(geom.Vec{}, 1, mat(t, sc, Material{Diffuse: Grey(c.rho)}), true)
		sc.AddEmitter(Point(0, geom.Vec{}, up, 1000/(4*math.Pi), nil, 0, nil, 0))
		out := measureAll(t, sc, []Receptor{{Kind: Flat, At: geom.V(0, 0, -0.995), Facing: up}},
			MeasureOptions{Seed: 1, Start: c.paths, Most: c.paths})
		a, sa := meanOf(&out[0], 0)
		want := 1000 / (4 * math.Pi * (1 - c.rho))
		t.Logf("ρ %g: %.0f ± %.0f lx, want %.0f", c.rho, a, sa, want)
		if math.Abs(a-want) > 4*sa+0.005*want || sa > 0.1*want {
			t.Errorf("ρ %g: %.0f ± %.0f lx, want %.0f", c.rho, a, sa, want)
		}
	}
}

// Single-scatter albedo of GGX lobes, F = 1: F2.6 to F2.10. The table is linear between 33 cosines;
// 0.002 as published.
func TestLobeAlbedo(t *testing.T) {
	for _, c := range []struct {
		id                 string
		alpha, deg, albedo float64
	}{{"F2.6", 0.1, 0, 0.988323}, {"F2.7", 0.5, 0, 0.68791}, {"F2.8", 0.5, 60, 0.698256}, {"F2.9", 1, 0, 0.306901},
		{"F2.10", 1, 60, 0.4507}} {
		// A lobe of ours is with the energy lost by directions below the surface left out, as
		// published.
		if got := lobeOf(c.alpha, nil).at(math.Cos(c.deg * math.Pi / 180)); math.Abs(got-c.albedo) > 0.002 {
			t.Errorf("%s: %.6f, want %.6f", c.id, got, c.albedo)
		}
	}
	// The mean Fresnel reflectance of a smooth coat from outside: F1.8.
	if got := lobeOf(minAlpha, func(c float64) float64 { return fresnelDielectric(c, 1.5) }).avg; math.Abs(
		got-0.091778) > 0.002 {
		t.Errorf("F1.8: %.6f, want 0.091778", got)
	}
}
