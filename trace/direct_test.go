package trace

import (
	"context"
	"math"
	"testing"

	"halfstop/geom"
)

// measureOne traces one receptor of a scene with all layers and returns the mean of window 8,
// direct and bounced.
func measureOne(t *testing.T, sc *Scene, r Receptor, paths int) (direct, bounced, se float64) {
	t.Helper()
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	out, err := sc.Measure(context.Background(), []Receptor{r}, MeasureOptions{Seed: 1, Most: paths})
	if err != nil {
		t.Fatal(err)
	}
	d, b, m2 := 0.0, 0.0, 0.0
	for l := range sc.Layers {
		d += float64(out[0].Direct[l][8])
		b += float64(out[0].Bounced[l][8])
	}
	for r := range Reps {
		s := 0.0
		for l := range sc.Layers {
			s += float64(out[0].Parts[r][l][8])
		}
		m2 += (s - d - b) * (s - d - b)
	}
	return d, b, math.Sqrt(m2 / (Reps - 1) / Reps)
}

var (
	up   = geom.V(0, 0, 1)
	down = geom.V(0, 0, -1)
)

func upright(n geom.Vec) geom.Frame { return geom.UprightFrame(n) }

// stops is the tolerance unit of engine.md 11: direct light within 0.02 st.
func within(t *testing.T, what string, got, want, stops float64) {
	t.Helper()
	if e := math.Abs(math.Log2(got / want)); !(e <= stops) {
		t.Errorf("%s: got %.6g, want %.6g, off by %.4f st (allowed %.3f)", what, got, want, e, stops)
	}
}

// Direct light against the closed forms of check-values B; ids beside each. Tolerance 0.02 st
// (engine.md 11).
func TestDirectClosedForms(t *testing.T) {
	atO := Receptor{Kind: Flat, Facing: up}
	tilt60 := geom.V(math.Sin(math.Pi/3), 0, math.Cos(math.Pi/3))
	for _, c := range []struct {
		id   string
		e    *Emitter
		r    Receptor
		want float64
	}{
		{"B1.1", Point(0, geom.V(0, 0, 2), down, 1000, nil, 0, nil, 0), atO, 250},
		{"B1.2", Point(0, geom.V(0, 0, 2), down, 1000, nil, 0, nil, 0), Receptor{Kind: Flat, Facing: tilt60}, 125},
		{"B1.3", Point(0, geom.V(1.5, 0, 2), down, 1000, nil, 0, nil, 0), atO, 128},
		{"B2.1", Disc(0, geom.V(0, 0, 1), upright(down), 0.5, 1000, nil, false, nil), atO, 628.319},
		{"B2.3", Disc(0, geom.V(0.7, 0, 1), upright(down), 0.5, 1000, nil, false, nil), atO, 348.068},
		{"B3.1", Rectangle(0, geom.V(0.5, 0.5, 1), upright(down), 1, 1, 1000, nil, false), atO,
			0.138532 * math.Pi * 1000},
		{"B3.3", Rectangle(0, geom.V(0, 0, 1), upright(down), 1, 1, 1000, nil, false), atO, 752.275},
		{"B3.5", Rectangle(0, geom.V(0, 0, 1.5), upright(down), 0.6, 0.9, 5000, nil, false), atO, 1104.96},
		{"B3.6", Rectangle(0, geom.V(1, 0.5, 0.5), upright(geom.V(-1, 0, 0)), 1, 1, 1000, nil, false), atO,
			0.0557342 * math.Pi * 1000},
		{"B3.7", Rectangle(0, geom.V(2, 0, 0.75), upright(geom.V(-1, 0, 0)), 2, 1.5, 1000, nil, false), atO,
			0.0506885 * math.Pi * 1000},
		{"B3.8", Rectangle(0, geom.V(2, 0, 0.75), upright(geom.V(-1, 0, 0)), 2, 1.5, 1000, nil, false),
			Receptor{Kind: Flat, Facing: geom.V(1, 0, 0)}, 0.156784 * math.Pi * 1000},
		{"B3.9", Polygon(0, []geom.Vec{{X: -1, Y: -0.5, Z: 1.5}, {Y: 1.5, Z: 2.5}, {X: 1, Z: 2}}, 1000, false), atO,
			0.114785 * math.Pi * 1000},
		{"B4.2", Tube(0, geom.V(-0.6, 0, 0.5), geom.V(0.6, 0, 0.5), 0.012, 3000), atO, 98.486},
		{"B4.3", Tube(0, geom.V(0.5, 0, 0), geom.V(0.5, 0, 1.2), 0.012, 3000), Receptor{Kind: Flat, Facing: up},
			30.6746},
		{"B5.1", Sphere(0, geom.V(0, 0, 1), 0.15, down, 1000, nil, nil), atO, 70.6858},
		{"B5.2", Sphere(0, geom.V(0, 0, 1), 0.15, down, 1000, nil, nil), Receptor{Kind: Flat, Facing: tilt60}, 35.3429},
		{"A8.2", Point(0, geom.V(1, 0, 1), down, 2, nil, 0, nil, 0), Receptor{Kind: Dome, Facing: up}, 0.853553},
		{"A8.4", Point(0, geom.V(1, 0, -1), down, 2, nil, 0, nil, 0), Receptor{Kind: Dome, Facing: up}, 0.146447},
		{"A8.7", Sky(0, func(geom.Vec) float64 { return 1 }), Receptor{Kind: Dome, Facing: up}, 6.28319},
	} {
		sc := New()
		sc.AddEmitter(c.e)
		d, b, _ := measureOne(t, sc, c.r, 256)
		within(t, c.id, d, c.want, 0.02)
		if b != 0 {
			t.Errorf("%s: %g bounced without a surface", c.id, b)
		}
	}
}

func box(sc *Scene, x, y, z float64, m int) {
	sc.AddBox(geom.V(x/2, y/2, z/2), geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: up}, geom.V(x, y, z),
		[6]int{m, m, m, m, m, m}, true)
}

func mat(t *testing.T, sc *Scene, m Material) int {
	t.Helper()
	id, err := sc.AddMaterial(m)
	if err != nil {
		t.Fatal(err)
	}
	return id
}

// Light in a sphere of one reflectance is even: B7.1, B7.2, B7.3. Within 0.05 st (engine.md 11,
// with bounce).
func TestSphereCavity(t *testing.T) {
	sc := New()
	sc.AddSphere(geom.Vec{}, 1, mat(t, sc, Material{Diffuse: Grey(0.5)}), true)
	sc.AddEmitter(Point(0, geom.Vec{}, up, 1000/(4*math.Pi), nil, 0, nil, 0))
	d, b, _ := measureOne(t, sc, Receptor{Kind: Flat, At: geom.V(0, 0, -0.999), Facing: up}, 256)
	within(t, "B7.1", d, 79.5775, 0.02)
	within(t, "B7.3", b, 79.5775, 0.05)
}

// furnace is a box whose walls emit 100 lm/m² each and reflect 0.6: radiosity 250 everywhere.
func furnace(t *testing.T) *Scene {
	sc := New()
	box(sc, 4, 5, 2.7, mat(t, sc, Material{Diffuse: Grey(0.6)}))
	le := 100 / math.Pi
	for _, f := range []struct {
		c, n geom.Vec
		w, h float64
	}{{geom.V(2, 2.5, 0), up, 4, 5}, {geom.V(2, 2.5, 2.7), down, 4, 5}, {geom.V(0, 2.5, 1.35), geom.V(1, 0, 0), 5, 2.7},
		{geom.V(4, 2.5, 1.35), geom.V(-1, 0, 0), 5, 2.7}, {geom.V(2, 0, 1.35), geom.V(0, 1, 0), 4, 2.7},
		{geom.V(2, 5, 1.35), geom.V(0, -1, 0), 4, 2.7}} {
		sc.AddEmitter(Rectangle(0, f.c, geom.UprightFrame(f.n), f.w, f.h, le, nil, false))
	}
	return sc
}

// White furnace: a receptor on a wall reads the radiosity, 250: B7.6.
func TestFurnace(t *testing.T) {
	d, b, se := measureOne(t, furnace(t), Receptor{Kind: Flat, At: geom.V(1, 1, 0.001), Facing: up}, 512)
	t.Logf("direct %.2f bounced %.2f ± %.2f", d, b, se)
	within(t, "B7.6", d+b, 250, 0.02)
}

// Haze that absorbs nothing leaves the light of a furnace as it is, however much it scatters and
// whichever way (radiative equilibrium: the radiance is the same everywhere and in every direction,
// so what is scattered out of a way is scattered into it).
func TestHazeFurnace(t *testing.T) {
	for _, g := range []float64{0, 0.8} {
		for _, r := range []Receptor{{Kind: Flat}, {Kind: Dome}} {
			r.At, r.Facing = geom.V(1, 1, 1), up
			want := map[bool]float64{true: 250, false: 500}[r.Kind == Flat] // a dome's weights add up to 2π
			sc := furnace(t)
			sc.Medium = &Medium{Extinction: 0.5, Albedo: 1, G: g}
			d, b, se := measureOne(t, sc, r, 1024)
			t.Logf("g %g, kind %v: direct %.2f bounced %.2f ± %.2f", g, r.Kind, d, b, se)
			within(t, "furnace in haze", d+b, want, 0.05)
		}
	}
}

// Wall bounce: B10.1 to B10.3; silk: B9.4 (an endless silk; 40 m square here takes in all but 0.3
// %).
func TestBounceAndSilk(t *testing.T) {
	for _, c := range []struct {
		id      string
		h, z, e float64
	}{{"B10.1", 1, 1, 320}, {"B10.2", 1, 2, 155.094}, {"B10.3", 2, 1, 127.815}} {
		sc := New()
		sc.AddQuad(geom.Vec{}, upright(up), 60, 60, mat(t, sc, Material{Diffuse: Grey(0.8)}))
		sc.AddEmitter(Point(0, geom.V(0, 0, c.h), down, 1000, nil, 0, nil, 0))
		_, b, se := measureOne(t, sc, Receptor{Kind: Flat, At: geom.V(0, 0, c.z), Facing: down}, 1024)
		t.Logf("%s %.2f ± %.2f", c.id, b, se)
		within(t, c.id, b, c.e, 0.05)
	}
	sc := New()
	sc.AddQuad(geom.Vec{}, upright(up), 40, 40, mat(t, sc, Material{Trans: Grey(0.6)}))
	sc.AddEmitter(Point(0, geom.V(0, 0, 1), down, 1000, nil, 0, nil, 0))
	_, b, se := measureOne(t, sc, Receptor{Kind: Flat, At: geom.V(0, 0, -1), Facing: up}, 1024)
	t.Logf("B9.4 %.2f ± %.2f", b, se)
	within(t, "B9.4", b, 240, 0.05)
}

// Mirror: C3.1. The lamp has no size, so its light is found through its image only.
func TestMirrorImage(t *testing.T) {
	sc := New()
	sc.AddQuad(geom.Vec{}, upright(up), 4, 4, mat(t, sc, Material{Mirror: Grey(0.9)}))
	sc.AddEmitter(Point(0, geom.V(0, 0, 1), up, 1000, nil, 0, nil, 0))
	d, b, _ := measureOne(t, sc, Receptor{Kind: Flat, At: geom.V(0, 0, 3), Facing: down}, 64)
	within(t, "C3.1", b, 56.25, 0.02)
	// The lamp lies between: straight light comes too, 1000/4.
	within(t, "C3.1 direct", d, 250, 0.02)
}

// Airlight: G3.1 (no extinction is not a medium of ours: G3.2 and G3.3 are), read by a spot along
// the ray on to a black wall.
func TestAirlight(t *testing.T) {
	for _, c := range []struct {
		id   string
		g, l float64
	}{{"G3.2", 0, 3.63806}, {"G3.3", 0.8, 2.82172}} {
		sc := New()
		sc.AddQuad(geom.V(3, 0, 0), geom.UprightFrame(geom.V(-1, 0, 0)), 2, 2, mat(t, sc, Material{}))
		// Only single scattering has the closed form: an albedo of 1e-3 with the answer divided by
		// it leaves 0.1 % of the rest.
		sc.Medium = &Medium{Extinction: 0.02, Albedo: 1e-3, G: c.g}
		sc.AddEmitter(Point(0, geom.V(0, 0, 1), down, 1000, nil, 0, nil, 0))
		d, b, se := measureOne(t, sc, Receptor{Kind: Spot, At: geom.V(-3, 0, 0), Facing: geom.V(1, 0, 0),
			Angle: 1e-4}, 2048)
		t.Logf("%s %.4f ± %.4f", c.id, (d+b)*1e3, se*1e3)
		within(t, c.id, (d+b)*1e3, c.l, 0.02)
	}
}

// A round receptor reads a lone small light as a flat one turned to it does, from any side;
// DirectOnly gives the same.
func TestSphericalReceptor(t *testing.T) {
	sc := New()
	sc.AddEmitter(Rectangle(0, geom.V(0, 0, 2), upright(down), 0.1, 0.1, 1000, nil, false))
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	rec := Receptor{Kind: Spherical, At: geom.Vec{}, Facing: geom.V(1, 0, 0)}
	for _, only := range []bool{false, true} {
		out, err := sc.Measure(context.Background(), []Receptor{rec},
			MeasureOptions{Seed: 1, Most: 64, DirectOnly: only})
		if err != nil {
			t.Fatal(err)
		}
		within(t, "round", float64(out[0].Direct[0][8]), 1000*0.01/4, 0.02)
	}
}

// The quick arc cosine against the library's. Bound: Abramowitz and Stegun state 2e-8 of the
// polynomial.
func TestAcos(t *testing.T) {
	for i := range 20001 {
		x := float64(i)/10000 - 1
		if e := math.Abs(acos(x) - math.Acos(x)); !(e < 3e-8) {
			t.Fatalf("acos(%g): off by %g", x, e)
		}
	}
}
