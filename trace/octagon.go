package trace

import (
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// octagon is a flat lit regular octagon, a side level: the face of an eight-sided box, and its
// catchlight.
type octagon struct {
	c    geom.Vec
	f    geom.Frame
	in   float64 // from the middle to a side
	le   float64
	beam Beam
}

// Octagon returns a flat regular octagon, lit on the side of f.N, with the area of a disc of the
// given radius (metres); le is its luminance per unit emission. Check: TestEmitterSamplers,
// TestOctagon.
func Octagon(layer int, c geom.Vec, f geom.Frame, radius, le float64, beam Beam) *Emitter {
	// Area of a regular octagon: 8 (√2 − 1) in².
	return newEmitter(layer, &octagon{c, f, radius * math.Sqrt(math.Pi/(8*(math.Sqrt2-1))), le, beam})
}

// holds reports whether a place of its plane lies in it: in the square about it, less the corners.
func (q *octagon) holds(p geom.Vec) bool {
	d := p.Sub(q.c)
	x, y := math.Abs(d.Dot(q.f.S)), math.Abs(d.Dot(q.f.T))
	return x <= q.in && y <= q.in && x+y <= q.in*math.Sqrt2
}

func (q *octagon) radiance(w geom.Vec) float64 {
	if cos := -w.Dot(q.f.N); cos > 0 {
		return q.le * q.beam.at(cos)
	}
	return 0
}

// around is the square about it as seen from a near x, as for a disc.
func (q *octagon) around(x geom.Vec) (seen sample.SphRect, near bool) {
	if q.c.Sub(x).Len2() > 9*q.in*q.in {
		return
	}
	a, b := q.f.S.Mul(q.in), q.f.T.Mul(q.in)
	return sample.RectSeen(q.c.Sub(a).Sub(b), a.Mul(2), b.Mul(2), x), true
}

func (q *octagon) sample(x geom.Vec, u, v float64, s *lightSample) bool {
	d, pdf := geom.Vec{}, 0.0
	seen, near := q.around(x)
	if near {
		d, pdf = seen.Sample(u, v)
	} else {
		d = q.c.Add(q.f.Out((2*u-1)*q.in, (2*v-1)*q.in, 0)).Sub(x)
	}
	s.dist = d.Len()
	if s.dist == 0 || !q.holds(x.Add(d)) {
		return false
	}
	s.w = d.Mul(1 / s.dist)
	if !near {
		pdf = s.dist * s.dist / (max(1e-9, math.Abs(s.w.Dot(q.f.N))) * 4 * q.in * q.in)
	}
	s.le, s.pdf, s.dirac = q.radiance(s.w), pdf, false
	return s.le > 0 && pdf > 0
}

func (q *octagon) hit(o, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	dn := d.Dot(q.f.N)
	if dn > -1e-9 {
		return
	}
	t = q.c.Sub(o).Dot(q.f.N) / dn
	if !(t > 0 && t < tmax) || !q.holds(o.AddMul(d, t)) {
		return
	}
	le = q.radiance(d)
	if seen, near := q.around(o); near {
		pdf = seen.Pdf(d)
	} else {
		pdf = t * t / (-dn * 4 * q.in * q.in)
	}
	return t, le, pdf, le > 0 && pdf > 0
}

func (q *octagon) bounds() (geom.Vec, float64) { return q.c, q.in / math.Cos(math.Pi/8) }
func (q *octagon) flux() float64 {
	return faceFlux(8*(math.Sqrt2-1)*q.in*q.in, q.le, q.beam)
}
