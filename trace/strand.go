package trace

import (
	"math"
	"sync"

	"halfstop/geom"
	"halfstop/sample"
)

// Hair seen as a surface. A lock is a bundle of fibres, so its facets face all ways round the fibre
// and hardly any way along it: a GGX distribution with alpha strandAcross across the strand (even
// over the half-turn that is seen) and the material's own along it. Light mirrored by the outside
// (the coat) keeps its colour and leans towards the root by the slant of the scales, strandTilt;
// light that has been through the fibre and back (Mirror, tinted) leans towards the tip by half as
// much again. So the sheen runs across the locks, as a ring round the head. Sources: Kajiya and Kay
// 1989 (sheen by the strand, not the surface); Marschner et al. 2003 (two lobes, scales of 2° to
// 4°, the second one tinted, opposite and wider); Heitz 2014 for the anisotropic distribution and
// its masking. From a fibre to a lock: drawn by eye. Check: TestStrandFurnace,
// TestStrandReciprocal, TestStrandAcross.
const (
	strandAcross = 1.0
	strandTilt   = 3 * math.Pi / 180
)

// sheen is one such lobe: alpha along the strand, and the slant of its mean facet towards the tip,
// radians.
type sheen struct {
	along    float64
	sin, cos float64
	index    float64 // of a dielectric; 0: mirrors everything
	table    *sheenTable
}

// sheenTable is the directional albedo of a sheen by cosine and by turn round the normal, 0 along
// the strand to the tip, π to the root.
type sheenTable struct {
	e   [sheenCos][sheenTurns]float32
	avg float64
}

const sheenCos, sheenTurns = 17, 9

func newSheen(along, tilt, index float64) *sheen {
	s := &sheen{along: max(along, minAlpha), index: index}
	s.sin, s.cos = math.Sincos(tilt)
	s.table = sheens.of(*s)
	return s
}

// lean turns a direction of the surface's frame (x along the strand, z outward) into the sheen's
// own, and back.
func (s *sheen) lean(w geom.Vec) geom.Vec {
	return geom.V(w.X*s.cos-w.Z*s.sin, w.Y, w.X*s.sin+w.Z*s.cos)
}
func (s *sheen) unlean(w geom.Vec) geom.Vec {
	return geom.V(w.X*s.cos+w.Z*s.sin, w.Y, w.Z*s.cos-w.X*s.sin)
}

func (s *sheen) lambda(w geom.Vec) float64 {
	x, y := s.along*w.X, strandAcross*w.Y
	return (math.Sqrt(1+(x*x+y*y)/(w.Z*w.Z)) - 1) / 2
}

// eval gives reflectance times cosine for directions of the surface's frame, and the density of
// sample.
func (s *sheen) eval(wo, wi geom.Vec) (f, pdf float64) {
	o, i := s.lean(wo), s.lean(wi)
	o.Z = max(o.Z, 1e-4)
	h := o.Add(i).Unit()
	if h.Z <= 0 || o.Dot(h) <= 0 || wi.Z <= 0 {
		return 0, 0
	}
	x, y := h.X/s.along, h.Y/strandAcross
	d := x*x + y*y + h.Z*h.Z
	d = 1 / (math.Pi * s.along * strandAcross * d * d)
	lo := s.lambda(o)
	pdf = d / (1 + lo) / (4 * o.Z)
	if i.Z <= 1e-6 { // drawn, but under the slanted horizon: a facet in front takes it
		return 0, pdf
	}
	return d / (1 + lo + s.lambda(i)) / (4 * o.Z * i.Z) * wi.Z * s.fresnel(o.Dot(h)), pdf
}

func (s *sheen) fresnel(c float64) float64 {
	if s.index == 0 {
		return 1
	}
	return fresnelDielectric(c, s.index)
}

// sample draws a direction by the facets that wo sees. Source: Heitz 2018, visible normals, by
// stretching the view.
func (s *sheen) sample(wo geom.Vec, u, v float64) geom.Vec {
	o := s.lean(wo)
	o.Z = max(o.Z, 1e-4)
	// To a hemisphere: stretch across, then draw with one alpha along, which is what is left.
	k := strandAcross / s.along
	h := sample.GGX(geom.V(o.X/k, o.Y, o.Z).Unit(), strandAcross, u, v)
	h = geom.V(h.X/k, h.Y, h.Z).Unit()
	return s.unlean(h.Mul(2 * o.Dot(h)).Sub(o))
}

// at interpolates the albedo towards w, of the surface's frame.
func (t *sheenTable) at(w geom.Vec) float64 {
	x := min(1, max(0, w.Z)) * (sheenCos - 1)
	y := math.Atan2(math.Abs(w.Y), w.X) / math.Pi * (sheenTurns - 1)
	i, j := min(sheenCos-2, int(x)), min(sheenTurns-2, max(0, int(y)))
	a, b := float32(x-float64(i)), float32(y-float64(j))
	lo := t.e[i][j]*(1-b) + t.e[i][j+1]*b
	hi := t.e[i+1][j]*(1-b) + t.e[i+1][j+1]*b
	return float64(lo*(1-a) + hi*a)
}

// prepareStrand makes the sheens of a hair material; its round lobes keep their mean over all
// turns, for whoever asks without a strand.
func (m *Material) prepareStrand() {
	if m.Coat > 0 {
		m.coatSheen = newSheen(m.CoatAlpha, -strandTilt, m.Coat)
		m.coatLobe = m.coatSheen.table.round()
	}
	if m.hasMirror && m.Alpha > 0 {
		m.backSheen = newSheen(m.Alpha, 1.5*strandTilt, 0)
		m.mirrorLobe = m.backSheen.table.round()
	}
}

// round is the table's mean over all turns as a lobe of the cosine alone.
func (t *sheenTable) round() *lobe {
	l := &lobe{avg: t.avg}
	for k := range l.e {
		c := float64(k) / float64(len(l.e)-1)
		r, sum := math.Sqrt(1-c*c), 0.0
		for j := range 2 * sheenTurns {
			sn, cs := math.Sincos((float64(j) + 0.5) / (2 * sheenTurns) * math.Pi)
			sum += t.at(geom.V(r*cs, r*sn, c))
		}
		l.e[k] = float32(sum / (2 * sheenTurns))
	}
	return l
}

// coatE and mirrorE are the albedo of coat and rough mirror towards w, whose cosine is cos.
func (s *surfacePoint) coatE(w geom.Vec, cos float64) float64 {
	if s.m.coatSheen != nil {
		return s.m.coatSheen.table.at(s.frame.In(w))
	}
	return s.m.coatLobe.at(cos)
}

func (s *surfacePoint) mirrorE(w geom.Vec, cos float64) float64 {
	if s.m.backSheen != nil {
		return s.m.backSheen.table.at(s.frame.In(w))
	}
	return s.m.mirrorLobe.at(cos)
}

// evalStrand adds the sheens to f and returns their part of the density. What the inner one loses
// to masking comes back spread, as for other mirrors.
func (s *surfacePoint) evalStrand(wi geom.Vec, pr lobeShares, under float64, f *Band) (pdf float64) {
	m := s.m
	o, i := s.frame.In(s.wo), s.frame.In(wi)
	if m.coatSheen != nil {
		v, p := m.coatSheen.eval(o, i)
		for b := range f {
			f[b] += float32(v)
		}
		pdf += pr.coat * p
	}
	if m.backSheen != nil {
		v, p := m.backSheen.eval(o, i)
		t := m.backSheen.table
		v += (1 - t.at(o)) * (1 - t.at(i)) / (math.Pi * (1 - t.avg)) * i.Z
		for b := range f {
			f[b] += m.Mirror[b] * float32(v*under)
		}
		pdf += pr.mirror * p
	}
	return pdf
}

// along turns the frame of a point so that its first axis follows the strand there, where the mesh
// has one.
func (n *vertex) alignToStrand(sc *Scene, t [3]uint32, u, v float64) {
	if int(max(t[0], t[1], t[2])) >= len(sc.strands) {
		return
	}
	a, b, c := sc.strands[t[0]], sc.strands[t[1]], sc.strands[t[2]]
	k := [3]float64{1 - u - v, u, v}
	d := geom.V(float64(a[0])*k[0]+float64(b[0])*k[1]+float64(c[0])*k[2],
		float64(a[1])*k[0]+float64(b[1])*k[1]+float64(c[1])*k[2],
		float64(a[2])*k[0]+float64(b[2])*k[1]+float64(c[2])*k[2])
	d = d.AddMul(n.n, -d.Dot(n.n))
	if d.Len2() < 1e-6 {
		return
	}
	n.frame.S = d.Unit()
	n.frame.T = n.n.Cross(n.frame.S)
}

// sheens remembers the tables: there are two a colour of hair at most.
var sheens = sheenCache{known: map[sheen]*sheenTable{}}

type sheenCache struct {
	sync.Mutex
	known map[sheen]*sheenTable
}

func (c *sheenCache) of(s sheen) *sheenTable {
	c.Lock()
	defer c.Unlock()
	t := c.known[s]
	if t == nil {
		if len(c.known) >= 64 {
			clear(c.known)
		}
		t = s.integrate()
		c.known[s] = t
	}
	return t
}

func (s *sheen) integrate() *sheenTable {
	t := &sheenTable{}
	const n = 512
	sum, weight := 0.0, 0.0
	for a := range sheenCos {
		c := max(float64(a)/(sheenCos-1), 1e-3)
		for b := range sheenTurns {
			sn, cs := math.Sincos(float64(b) / (sheenTurns - 1) * math.Pi)
			r := math.Sqrt(1 - c*c)
			wo := geom.V(r*cs, r*sn, c)
			e := 0.0
			for k := range n {
				wi := s.sample(wo, (float64(k)+0.5)/n, math.Mod(float64(k)*0.6180339887498949+0.5, 1))
				if f, pdf := s.eval(wo, wi); pdf > 0 {
					e += f / pdf
				}
			}
			e = min(1, e/n)
			t.e[a][b] = float32(e)
			// ∫E cos dω/π: trapezoids in the turn, and in the cosine with weight cos.
			w := c
			if a == 0 || a == sheenCos-1 {
				w /= 2
			}
			if b == 0 || b == sheenTurns-1 {
				w /= 2
			}
			sum += w * e
			weight += w
		}
	}
	t.avg = sum / weight
	return t
}
