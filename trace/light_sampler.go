package trace

import (
	"math"

	"halfstop/geom"
)

// lightSampler chooses emitters for next-event estimation at one place. Layers are either all taken
// or chosen by systematic sampling with probabilities of their own; of a layer either every emitter
// is taken or one, by importance. PMF is the probability with which an emitter is chosen, whatever
// the scheme. What a layer gets is unbiased whatever the others do.
type lightSampler struct {
	sc    *Scene
	pmf   []float64 // by emitter
	layer []float64 // by layer
}

const (
	deepLayerSamples = 2.0 // layers that are sampled at a vertex that light has to bounce to, on average
	uniformShare     = 0.3 // of a layer's probability that is the same for every layer
	mirrorShare      = 0.1 // of the importance of an emitter behind the surface, which only a mirror may show
)

func newLightSampler(sc *Scene) lightSampler {
	return lightSampler{sc: sc, pmf: make([]float64, len(sc.Emitters)), layer: make([]float64, sc.Layers)}
}

// PMF is the probability with which e is chosen.
func (s *lightSampler) PMF(e *Emitter) float64 { return s.pmf[e.id] }

// every prepares for taking every emitter of a layer.
func (s *lightSampler) every(layer int) {
	for _, e := range s.sc.byLayer[layer] {
		s.pmf[e.id] = 1
	}
}

// weigh prepares for taking one emitter of a layer at x, the layer itself being taken with
// probability prob. v, where not nil, is the vertex at x: what lies behind it has no chance unless
// a mirror shows it. It reports false where no emitter has a chance.
func (s *lightSampler) weigh(layer int, x geom.Vec, v *vertex, prob float64) bool {
	es, total := s.sc.byLayer[layer], 0.0
	for _, e := range es {
		k := e.importance(x)
		if v != nil && v.facesAway(e) {
			if k *= mirrorShare; len(s.sc.mirrors) == 0 {
				k = 0
			}
		}
		s.pmf[e.id] = k
		total += k
	}
	if total == 0 {
		return false
	}
	for _, e := range es {
		s.pmf[e.id] *= prob / total
	}
	return true
}

// Sample returns the emitter of a layer that u, 0 to 1, chooses after weigh with prob, and u's
// place within that emitter's part, 0 to 1.
func (s *lightSampler) Sample(layer int, u, prob float64) (e *Emitter, rest float64) {
	want := u * prob
	for _, q := range s.sc.byLayer[layer] {
		p := s.pmf[q.id]
		if p == 0 {
			continue
		}
		if e, rest = q, want/p; rest < 1 {
			return e, rest
		}
		want -= p
	}
	return e, math.Nextafter(1, 0) // rounding
}

// weighLayers prepares for taking n of some layers on average at x.
func (s *lightSampler) weighLayers(layers []int, x geom.Vec, n float64) {
	some, sum := 0, 0.0
	for _, l := range layers {
		s.layer[l] = 0
		if len(s.sc.byLayer[l]) == 0 {
			continue
		}
		some++
		for _, e := range s.sc.byLayer[l] {
			s.layer[l] += e.importance(x)
		}
		if f := s.sc.lm[l]; f > 0 {
			s.layer[l] /= f
		}
		if l < len(s.sc.Importance) {
			s.layer[l] *= s.sc.Importance[l]
		}
		sum += s.layer[l]
	}
	for _, l := range layers {
		if len(s.sc.byLayer[l]) == 0 {
			continue
		}
		share := 1 / float64(some)
		if sum > 0 {
			share = uniformShare*share + (1-uniformShare)*s.layer[l]/sum
		}
		s.layer[l] = min(1, n*share)
	}
}

// systematic takes each of a row of things with a probability of its own, by one random number for
// all: their number varies as little as can be. (Madow and Madow 1944.)
type systematic float64

// take reports whether the next thing, of probability p, is taken.
func (s *systematic) take(p float64) bool {
	if *s += systematic(p); *s < 1 {
		return false
	}
	*s--
	return true
}

// goldenShift turns a number on the unit circle by i golden sections: one point set serves several
// integrals (Cranley and Patterson 1976).
func goldenShift(x float64, i int) float64 {
	x += float64(i) * 0.6180339887498949
	return x - math.Floor(x)
}

// importance is a rough measure of what e gives at x, never zero: flux over squared distance, less
// off a face's axis.
func (e *Emitter) importance(x geom.Vec) float64 {
	if math.IsInf(e.radius, 1) {
		return max(e.lm, 1e-30) * e.skyFalloff
	}
	to := x.Sub(e.centre)
	d2 := to.Len2()
	k := 1.0
	if e.axis != (geom.Vec{}) && d2 > e.radius*e.radius {
		k = max(0.05, to.Dot(e.axis)/math.Sqrt(d2))
	}
	return max(e.lm, 1e-30) * k / max(d2, e.radius*e.radius, 1e-6)
}

// facesAway reports whether e is wholly on the side of a surface that passes nothing on.
func (v *vertex) facesAway(e *Emitter) bool {
	return (v.kind == flatReceptor || v.kind == onSurface && !v.m.hasTrans) && e.centre.Sub(v.p).Dot(v.ng) < -e.radius
}
