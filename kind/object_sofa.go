package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "sofa", Says: "an upholstered sofa with arms", Size: [3]float64{1.9, 0.9, 0.8},
	Surface: "charcoal wool", Solid: true, Foot: Square, Body: sofa})

// sofa has a frame on short feet, rolled arms, and cushions of the seat and the back that swell. A
// seat at 0.54 of its height is common practice, no source.
func sofa(b *Solid, w, d, h float64) {
	mat, wood := Own, b.Surface("dark wood")
	seat, arm := 0.54*h, min(0.18, 0.14*w)
	b.Box(geom.V(0.02, 0.03, 0.09), geom.V(w-0.02, d-0.01, 0.55*seat), 0.02, mat)
	for _, x := range [2]float64{0.08, w - 0.14} {
		for _, y := range [2]float64{0.06, d - 0.12} {
			b.Box(geom.V(x, y, 0), geom.V(x+0.05, y+0.05, 0.1), 0.006, wood)
		}
	}
	for _, x := range [2]float64{0, w - arm} {
		b.Box(geom.V(x+0.015, 0.02, 0.1), geom.V(x+arm-0.015, d-0.02, 0.72*h), 0.02, mat)
		b.Bar(geom.V(x+arm/2, 0.005, 0.72*h), geom.V(x+arm/2, d-0.03, 0.72*h), arm/2, 24, mat)
	}
	b.Box(geom.V(0.02, d-0.16, 0.1), geom.V(w-0.02, d, h-0.05), 0.05, mat)
	n := max(1, int(math.Round((w-2*arm)/0.65)))
	for i := range n {
		x0, x1 := arm+(w-2*arm)*float64(i)/float64(n)+0.004, arm+(w-2*arm)*float64(i+1)/float64(n)-0.004
		b.cushion(geom.V(x0, 0.0, 0.55*seat), geom.V(x1, d-0.17, seat), 0.035, mat)
		b.cushion(geom.V(x0+0.01, d-0.30, seat-0.005), geom.V(x1-0.01, d-0.10, h), 0.05, mat)
	}
}

// cushion is a box with swelling faces and soft edges: a superellipsoid of exponent 5 about it,
// dented by a hand's breadth of noise.
func (s *Solid) cushion(lo, hi geom.Vec, _ float64, mat int) {
	c, r := lo.Lerp(hi, 0.5), hi.Sub(lo).Mul(0.5)
	s.Grid(28, 20, mat, func(u, v float64) geom.Vec {
		sa, ca := math.Sincos(2 * math.Pi * u)
		sb, cb := math.Sincos(math.Pi * (v - 0.5))
		p := func(x float64) float64 { return math.Copysign(math.Pow(math.Abs(x), 0.4), x) }
		soft := 1 + 0.012*math.Sin(9*u*2*math.Pi+c.X*7)*cb
		return c.Add(geom.V(r.X*p(cb)*p(ca)*soft, r.Y*p(cb)*p(sa)*soft, r.Z*p(sb)))
	})
}

// Grid is a smooth sheet: at runs over u and v from 0 to 1 in nu by nv pieces; outside is to the
// left of growing u as seen along growing v. Faces that shrink to nothing are left out.
func (s *Solid) Grid(nu, nv, mat int, at func(u, v float64) geom.Vec) {
	first := uint32(len(s.Pos))
	for j := range nv + 1 {
		for i := range nu + 1 {
			u, v := float64(i)/float64(nu), float64(j)/float64(nv)
			const e = 1e-3
			p := at(u, v)
			du, dv := at(u+e, v).Sub(at(u-e, v)), at(u, min(v+e, 1)).Sub(at(u, max(v-e, 0)))
			n := du.Cross(dv)
			if n.Len2() < 1e-18 { // a pole: away from the sheet's middle
				n = p.Sub(at(0.25, 0.5).Lerp(at(0.75, 0.5), 0.5))
			}
			s.corner(p, n.Unit())
		}
	}
	w := uint32(nu + 1)
	for j := range uint32(nv) {
		for i := range uint32(nu) {
			a := first + j*w + i
			for _, t := range [2][3]uint32{{a, a + 1, a + w + 1}, {a, a + w + 1, a + w}} {
				if s.Pos[t[0]] == s.Pos[t[1]] || s.Pos[t[1]] == s.Pos[t[2]] || s.Pos[t[2]] == s.Pos[t[0]] {
					continue
				}
				s.Tris = append(s.Tris, t)
				s.Mat = append(s.Mat, mat)
			}
		}
	}
}
