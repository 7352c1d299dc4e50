package trace

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/sample"
)

// places are receivers near, far, beside and level with the emitters below, in their own terms.
var places = []geom.Vec{{X: 0.1, Y: -0.2, Z: -1}, {X: 2, Y: 1, Z: -0.3}, {X: -0.4, Y: 0.3, Z: -0.09},
	{X: 7, Y: -5, Z: -9}, {X: 0.2, Y: 0.1, Z: 1.5}}

func everyEmitter() map[string]*Emitter {
	f := geom.UprightFrame(geom.V(0.2, 0.1, -1).Unit())
	horizon := func(w geom.Vec) float64 { return max(0, 1+w.X) }
	half := FaceBeam([]float64{1, 1, 0.9, 0.5, 0.1})
	return map[string]*Emitter{
		"rectangle":           Rectangle(0, geom.Vec{}, f, 0.8, 0.5, 3, nil, false),
		"rectangle two-sided": Rectangle(0, geom.Vec{}, f, 0.8, 0.5, 3, nil, true),
		"rectangle beam":      Rectangle(0, geom.Vec{}, f, 0.8, 0.5, 3, half, false),
		"portal":              Portal(0, geom.Vec{}, f, 1.2, 0.4, horizon),
		"disc":                Disc(0, geom.Vec{}, f, 0.4, 3, nil, false, nil),
		"disc two-sided":      Disc(0, geom.Vec{}, f, 0.4, 3, nil, true, nil),
		"octagon":             Octagon(0, geom.Vec{}, f, 0.4, 3, nil),
		"sphere":              Sphere(0, geom.Vec{}, 0.04, f.N, 3, nil, nil),
		"large sphere":        Sphere(0, geom.V(0, 0, 0.5), 0.5, f.N, 3, nil, nil),
		"tube":                Tube(0, geom.V(-0.6, 0, 0.1), geom.V(0.6, 0.1, 0), 0.15, 3),
		"fat tube":            Tube(0, geom.V(-0.3, 0, 0.3), geom.V(0.3, 0, 0.3), 0.4, 3),
		"polygon": Polygon(0, []geom.Vec{{X: -0.5, Y: -0.4}, {X: -0.1, Y: 0.5}, {X: 0.5, Y: 0.3},
			{X: 0.4, Y: -0.5}}, 3, true),
		"sky": Sky(0, horizon),
		"sun": Sun(0, geom.V(0.3, 0.1, 1).Unit(), 100, 0.05),
	}
}

// Every sampler gives back its own density, finds itself along the ray it drew at the distance and
// with the light it said, and its samples fill directions as the density says (chi-squared over
// cells of the cone that holds the emitter, at 1e-5).
func TestEmitterSamplers(t *testing.T) {
	for name, e := range everyEmitter() {
		for k, x := range places {
			axis, open := geom.V(0, 0, 1), 2.0 // versine of a cone about axis that holds all directions drawn
			if c, r := e.bounds(); !math.IsInf(r, 1) {
				if d := c.Sub(x); d.Len() > r {
					axis, open = d.Unit(), 1-math.Sqrt(1-r*r/d.Len2())
				}
			}
			if name == "sun" {
				axis, open = e.shape.(*sun).f.N, 1-math.Cos(0.03)
			}
			f := geom.FrameOf(axis)
			const cells, n = 12, 40000
			var seen [cells][cells]float64
			drawn := 0
			seq := sample.New(uint64(k), 7)
			for i := range n {
				u, v := seq.Noise(uint32(i), 0), seq.Noise(uint32(i), 1)
				var s lightSample
				if !e.sample(x, u, v, &s) {
					continue
				}
				drawn++
				in := f.In(s.w)
				a := min(cells-1, int((1-in.Z)/open*cells))
				b := int((math.Atan2(in.Y, in.X)/(2*math.Pi) + 0.5) * cells)
				seen[a][min(cells-1, max(0, b))]++
				if i%200 != 0 {
					continue
				}
				d, le, pdf, ok := e.hit(x, s.w, far*2)
				if !ok {
					// At the very edge rounding decides; elsewhere it must be found.
					if u > 1e-3 && u < 1-1e-3 && v > 1e-3 && v < 1-1e-3 {
						t.Errorf("%s from %v: drawn towards %v, not met there", name, x, s.w)
					}
					continue
				}
				if math.Abs(d-s.dist) > 1e-6*s.dist || math.Abs(pdf/s.pdf-1) > 1e-3 || math.Abs(le/s.le-1) > 1e-6 {
					t.Errorf("%s from %v: drawn %.6g m, density %.6g, light %.6g; met %.6g, %.6g, %.6g", name, x,
						s.dist, s.pdf, s.le, d, pdf, le)
				}
			}
			if drawn == 0 {
				continue
			}
			// Expected counts by summing the density of what is met over fine cells.
			var want [cells][cells]float64
			whole := 0.0
			const fine = 40
			for a := range cells * fine {
				for b := range cells * fine {
					z := 1 - open*(float64(a)+0.5)/(cells*fine)
					r := math.Sqrt(max(0, 1-z*z))
					sn, cs := math.Sincos(2 * math.Pi * ((float64(b)+0.5)/(cells*fine) - 0.5))
					w := f.Out(r*cs, r*sn, z)
					if _, _, pdf, ok := e.hit(x, w, far*2); ok {
						p := pdf * 2 * math.Pi * open / (cells * fine * cells * fine)
						want[a/fine][b/fine] += p
						whole += p
					}
				}
			}
			// The share of draws that ended in light is the integral of the density; the sum above
			// meets edges to a few per cent.
			if math.Abs(whole-float64(drawn)/n) > 0.04 {
				t.Errorf("%s from %v: density sums to %.4f, %.4f of the draws gave light", name, x, whole,
					float64(drawn)/n)
			}
			// Cells whose edge cuts the emitter carry the error of the sum: 5 % of the cell on top
			// of the scatter of counts.
			chi, deg := 0.0, 0
			for a := range cells {
				for b := range cells {
					if m := want[a][b] / whole * float64(drawn); m > 25 {
						d := seen[a][b] - m
						chi += d * d / (m + 0.05*0.05*m*m)
						deg++
					}
				}
			}
			// Wilson and Hilferty 1931: chi-squared at 1e-5.
			kf := float64(deg)
			if lim := kf * math.Pow(1-2/(9*kf)+4.265*math.Sqrt(2/(9*kf)), 3); deg > 0 && chi > lim {
				t.Errorf("%s from %v: chi-squared %.1f over %d cells, limit %.1f", name, x, chi, deg, lim)
			}
		}
	}
}

// The mixture of relays is a density: it integrates to 1 over the sphere, and its samples follow
// it.
func TestRelayMixture(t *testing.T) {
	sc := New()
	box(sc, 4, 5, 2.7, mat(t, sc, Material{Diffuse: Grey(0.6)}))
	sc.AddQuad(geom.V(2, 1, 1.5), geom.UprightFrame(geom.V(0.2, 1, -0.3).Unit()), 1.2, 1.2,
		mat(t, sc, Material{Diffuse: Grey(0.4), Trans: Grey(0.5)}))
	sc.AddEmitter(Disc(0, geom.V(2, 0.3, 1.8), geom.UprightFrame(geom.V(0, 1, -0.3).Unit()), 0.1, 1000, nil,
		false, nil))
	sc.AddEmitter(Point(1, geom.V(3, 4, 2), up, 100, nil, 0, nil, 0))
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	if len(sc.guides) == 0 {
		t.Fatal("no relays")
	}
	for _, x := range []geom.Vec{geom.V(2, 3, 1.2), geom.V(0.5, 0.5, 0.1), geom.V(3.9, 2, 2.6)} {
		var g guide
		g.prepare(sc.guides, x, nil)
		const cells, n = 16, 60000
		var seen, want [cells][2 * cells]float64
		seq := sample.New(3, 9)
		drawn := 0
		for i := range n {
			w, ok := g.sample(seq.Noise(uint32(i), 0), seq.Noise(uint32(i), 1), seq.Noise(uint32(i), 2))
			if !ok {
				continue
			}
			drawn++
			seen[min(cells-1, int((1-w.Z)/2*cells))][min(2*cells-1,
				int((math.Atan2(w.Y, w.X)/(2*math.Pi)+0.5)*2*cells))]++
		}
		const fine = 20
		whole := 0.0
		for a := range cells * fine {
			for b := range 2 * cells * fine {
				z := 1 - 2*(float64(a)+0.5)/(cells*fine)
				r := math.Sqrt(1 - z*z)
				sn, cs := math.Sincos(2 * math.Pi * ((float64(b)+0.5)/(2*cells*fine) - 0.5))
				p := g.pdf(geom.V(r*cs, r*sn, z)) * 4 * math.Pi / (cells * fine * 2 * cells * fine)
				want[a/fine][b/fine] += p
				whole += p
			}
		}
		if math.Abs(whole-float64(drawn)/n) > 0.01 {
			t.Errorf("from %v: density sums to %.4f, %.4f of the draws went somewhere", x, whole, float64(drawn)/n)
		}
		chi, deg := 0.0, 0
		for a := range cells {
			for b := range 2 * cells {
				if m := want[a][b] * n; m > 25 {
					d := seen[a][b] - m
					chi += d * d / (m + 0.02*0.02*m*m)
					deg++
				}
			}
		}
		kf := float64(deg)
		if lim := kf * math.Pow(1-2/(9*kf)+4.265*math.Sqrt(2/(9*kf)), 3); chi > lim {
			t.Errorf("from %v: chi-squared %.1f over %d cells, limit %.1f", x, chi, deg, lim)
		}
	}
}
