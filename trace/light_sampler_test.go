package trace

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/sample"
)

// crowded is a room with several emitters a layer, some of them behind every surface, with or
// without a mirror on a wall.
func crowded(t *testing.T, mirror bool) *Scene {
	t.Helper()
	sc := New()
	box(sc, 4, 5, 2.7, mat(t, sc, Material{Diffuse: Grey(0.5)}))
	if mirror {
		sc.AddQuad(geom.V(0.02, 2.5, 1.3), upright(geom.V(1, 0, 0)), 1.5, 1.5, mat(t, sc, Material{Mirror: Grey(0.9)}))
	}
	for i, p := range []geom.Vec{{X: 0.5, Y: 0.5, Z: 2}, {X: 3.5, Y: 0.6, Z: 2.2}, {X: 2, Y: 4.5, Z: 1},
		{X: 1, Y: 3, Z: 0.4}, {X: 3, Y: 3, Z: 2.5}} {
		sc.AddEmitter(Sphere(i%2, p, 0.05+0.03*float64(i), up, 100*float64(1+i), nil, nil))
		sc.AddEmitter(Point(0, p.Add(geom.V(0.2, 0.2, -0.2)), down, 10*float64(1+i), nil, 0, nil, 0))
		sc.AddEmitter(Rectangle(1, p.Add(geom.V(-0.2, 0.1, 0.1)), upright(geom.V(0.3, 1-float64(i)/2, -0.2).Unit()),
			0.3, 0.2, 50, nil, false))
	}
	if err := sc.Prepare(); err != nil {
		t.Fatal(err)
	}
	return sc
}

// vertices gives surface points that look into the room in all sorts of ways.
func vertices(sc *Scene, n int) []*vertex {
	var out []*vertex
	seq := sample.New(3, 9)
	m := sc.mats[0]
	for i := range n {
		v := &vertex{kind: onSurface, lights: newLightSampler(sc)}
		a, b := seq.Point2(uint32(i), 0)
		c, _ := seq.Point2(uint32(i), 1)
		v.p = geom.V(0.1+3.8*a, 0.1+4.8*b, 0.05+2.6*c)
		d, e := seq.Point2(uint32(i), 2)
		v.ng = sample.Sphere(d, e)
		v.n, v.m, v.frame = v.ng, m, geom.FrameOf(v.ng)
		v.wo = v.ng
		v.prepare()
		out = append(out, v)
	}
	return out
}

// TestLightSampler holds Sample and PMF against each other: the probabilities of a layer sum to the
// layer's, Sample returns emitters as often as PMF says (chi-squared at 1e-5), and no emitter that
// lights a vertex, straight or in the mirror, has a probability of zero.
func TestLightSampler(t *testing.T) {
	for _, mirror := range []bool{false, true} {
		sc := crowded(t, mirror)
		for i, v := range vertices(sc, 24) {
			for _, facing := range []*vertex{nil, v} {
				for l := range sc.Layers {
					for _, prob := range []float64{1, 0.37} {
						some := v.lights.weigh(l, v.p, facing, prob)
						sum := 0.0
						for _, e := range sc.byLayer[l] {
							sum += v.lights.PMF(e)
							var s lightSample
							lit := e.sample(v.p, 0.5, 0.5, &s) && v.eval(s.w, &Band{}) > 0
							for k := range sc.mirrors {
								m := &sc.mirrors[k]
								lit = lit || m.mayReflect(e, v.p, v.p.Sub(m.p).Dot(m.n))
							}
							if lit && v.lights.PMF(e) <= 0 {
								t.Fatalf("mirror %v, vertex %d: emitter %d gives light and has no chance",
									mirror, i, e.id)
							}
						}
						if some && math.Abs(sum-prob) > 1e-12 || !some && sum != 0 {
							t.Fatalf("mirror %v, vertex %d, layer %d: probabilities sum to %g, want %g", mirror, i, l,
								sum, prob)
						}
						if some && prob == 1 && i < 6 {
							frequencies(t, &v.lights, l)
						}
					}
				}
			}
		}
	}
}

func frequencies(t *testing.T, s *lightSampler, layer int) {
	t.Helper()
	const n = 20000
	seen, seq := map[*Emitter]float64{}, sample.New(5, 5)
	for i := range uint32(n) {
		e, rest := s.Sample(layer, seq.Noise(i, 0), 1)
		if e == nil || !(rest >= 0 && rest < 1) {
			t.Fatalf("returned %v, %g", e, rest)
		}
		seen[e]++
	}
	chi2, cells := 0.0, -1
	for _, e := range s.sc.byLayer[layer] {
		want := n * s.PMF(e)
		if want < 5 {
			continue
		}
		d := seen[e] - want
		chi2, cells = chi2+d*d/want, cells+1
	}
	if cells > 0 {
		// Wilson and Hilferty 1931; 4.265 is the normal deviate of 1e-5.
		f := 2 / (9 * float64(cells))
		c := 1 - f + 4.265*math.Sqrt(f)
		if chi2 > float64(cells)*c*c*c {
			t.Errorf("chi-squared %.1f over %d degrees of freedom", chi2, cells)
		}
	}
}

// TestLayerProbabilities: layers are taken as often as their probabilities say, by one number for
// all.
func TestLayerProbabilities(t *testing.T) {
	sc := crowded(t, false)
	s := newLightSampler(sc)
	s.weighLayers(sc.all, geom.V(1, 1, 1), 1.3)
	const n = 20000
	got := make([]float64, sc.Layers)
	for i := range uint32(n) {
		turn := systematic(sample.New(1, 1).Noise(i, 0))
		for l := range sc.Layers {
			if turn.take(s.layer[l]) {
				got[l]++
			}
		}
	}
	for l, p := range s.layer {
		if !(p > 0 && p <= 1) {
			t.Errorf("layer %d: probability %g", l, p)
		}
		// Five binomial standard deviations.
		if math.Abs(got[l]/n-p) > 5*math.Sqrt(p*(1-p)/n)+1e-9 {
			t.Errorf("layer %d taken %g of the time, want %g", l, got[l]/n, p)
		}
	}
}
