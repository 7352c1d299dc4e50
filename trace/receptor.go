package trace

import (
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// ReceptorKind says how a receptor weighs light by direction.
type ReceptorKind uint8

const (
	Flat ReceptorKind = iota // by the cosine: illuminance. ISO 2720 flat receptor.
	Dome                     // by (1+cos)/2 over the whole sphere: an ideal hemispherical dome. Check: A8.
	Spot                     // evenly within a narrow cone: luminance of what is seen
	// evenly from all round: what a flat receptor turned
	// to a lone light reads, wherever that stands
	Spherical
)

// Receptor is where light is measured. Flat and Dome sit at At and look along Facing (unit). A
// Spot's eye is at At.
type Receptor struct {
	Kind   ReceptorKind
	At     geom.Vec
	Facing geom.Vec
	Angle  float64 // full angle of a Spot's cone, rad
}

// measure traces n paths of one randomisation into w.direct and w.bounced.
func (w *integrator) measureReplicate(r *Receptor, seq sample.Seq, first, n uint32) {
	w.clear()
	w.seq = seq
	w.directDepth = 0
	if r.Kind == Spot {
		w.directDepth = 1
	}
	for i := range n {
		w.index = first + i
		w.dim = 0
		switch r.Kind {
		case Flat:
			w.traceFromReceptor(flatReceptor, r.At, r.Facing)
		case Dome:
			w.traceFromReceptor(domeReceptor, r.At, r.Facing)
		case Spherical:
			w.traceFromReceptor(sphericalReceptor, r.At, r.Facing)
		case Spot:
			u, v := w.next2D()
			f := geom.FrameOf(r.Facing)
			sin := math.Sqrt(u) * math.Sin(r.Angle/2)
			s, c := math.Sincos(2 * math.Pi * v)
			w.traceFromCamera(r.At, f.Out(sin*c, sin*s, math.Sqrt(1-sin*sin)))
		}
		if w.train != nil {
			w.train.end()
		}
	}
}

// relayBehind is what of the light behind a receptor may come to it by way of what is in front.
const relayBehind = 0.2

// relayPotential is about what the lit surfaces of the scene would give r by one bounce if nothing
// stood in the way, by layer, in the unit of its Transport. It bounds what may reach r unseen.
func (sc *Scene) relayPotential(r *Receptor) []float64 {
	out := make([]float64, sc.Layers)
	p, n, k := r.At, r.Facing, 1.0
	if r.Kind == Spot {
		id, h := sc.closest(r.At, r.Facing)
		if id < 0 {
			return out
		}
		p, n = r.At.AddMul(r.Facing, float64(h.T)), sc.faceNormal(id)
		if n.Dot(r.Facing) > 0 {
			n = n.Neg()
		}
		m := sc.mats[sc.triMat[id]]
		k = float64(meanBand(&m.Diffuse)+meanBand(&m.Mirror)) / math.Pi
	}
	for i := range sc.lit {
		q := &sc.lit[i]
		d := q.corner.AddMul(q.ex, 0.5).AddMul(q.ey, 0.5).Sub(p)
		d2 := d.Len2()
		if d2 == 0 {
			continue
		}
		w := d.Mul(1 / math.Sqrt(d2))
		c := w.Dot(n)
		switch r.Kind {
		case Dome:
			c = (1 + c) / 2
		case Spherical:
			c = 1
		}
		c = max(c, relayBehind) // by way of what lies in front
		there, side := -w.Dot(q.n), q.front
		if there < 0 {
			there, side = -there, q.back
		}
		if c <= 0 || there <= 0 {
			continue
		}
		area := q.lx * q.ly
		c *= k * there * area / (math.Pi*d2 + area)
		for l := range out {
			out[l] += c * side[l]
		}
	}
	return out
}
