package sample

import (
	"math"

	"halfstop/geom"
)

// SphRect is a rectangle as seen from a point: uniform over the solid angle it covers.
//
// Where that angle is too small to divide (below 1e-4 sr), the point lies in the plane, or the
// sides are not square to each other, points are uniform over the area instead and Sample and Pdf
// convert the density. Both are exact; only the noise differs. Source: Ureña, Fajardo and King
// 2013, 'An Area-Preserving Parametrization for Spherical Rectangles', from memory. Check:
// TestDirections, TestRectSolidAngle.
type SphRect struct {
	x, y, z              geom.Vec // axes; z away from the rectangle
	x0, y0, z0, x1, y1   float64  // extent as seen from the origin; z0 is below 0
	b0, b1, k, omega     float64
	corner, ex, ey, norm geom.Vec // corner from the origin
	area                 float64
	byArea               bool
}

// leastOmega is where the sum of four angles, each good to 1e-8 at worst, still gives the solid
// angle to 1e-4.
const leastOmega = 1e-4

// RectSeen prepares the rectangle at corner with sides ex and ey as seen from o, all in metres.
func RectSeen(corner, ex, ey, o geom.Vec) SphRect {
	r := SphRect{corner: corner.Sub(o), ex: ex, ey: ey}
	c := ex.Cross(ey)
	r.area = c.Len()
	r.byArea = true
	lx, ly := ex.Len(), ey.Len()
	if !(r.area > 0) || math.Abs(ex.Dot(ey)) > 1e-6*lx*ly {
		r.norm = c.Unit()
		return r
	}
	r.x, r.y, r.z = ex.Mul(1/lx), ey.Mul(1/ly), c.Mul(1/r.area)
	r.norm = r.z
	r.z0 = r.corner.Dot(r.z)
	if r.z0 > 0 {
		r.z, r.z0 = r.z.Neg(), -r.z0
	}
	r.x0, r.y0 = r.corner.Dot(r.x), r.corner.Dot(r.y)
	r.x1, r.y1 = r.x0+lx, r.y0+ly
	if -r.z0 <= 1e-9*(lx+ly) {
		return r
	}
	// Normals of the four planes through the point and a side; each has a zero component, so two
	// numbers do.
	z2 := r.z0 * r.z0
	n0 := 1 / math.Sqrt(z2+r.y0*r.y0)
	n1 := 1 / math.Sqrt(z2+r.x1*r.x1)
	n2 := 1 / math.Sqrt(z2+r.y1*r.y1)
	n3 := 1 / math.Sqrt(z2+r.x0*r.x0)
	// n0 = (0, z0, -y0), n1 = (-z0, 0, x1), n2 = (0, -z0, y1), n3 = (z0, 0, -x0), each to unit
	// length
	g0 := math.Acos(clamp(r.y0*r.x1*n0*n1, -1, 1))
	g1 := math.Acos(clamp(-r.x1*r.y1*n1*n2, -1, 1))
	g2 := math.Acos(clamp(r.y1*r.x0*n2*n3, -1, 1))
	g3 := math.Acos(clamp(-r.x0*r.y0*n3*n0, -1, 1))
	r.b0, r.b1 = -r.y0*n0, r.y1*n2
	r.k = 2*math.Pi - g2 - g3
	r.omega = g0 + g1 - r.k
	r.byArea = !(r.omega > leastOmega)
	return r
}

// Sample returns a point of the rectangle, as a vector from the origin (not unit), and the density
// of its direction per steradian. The density is 0 where the rectangle is seen edge on or has no
// area: do not use the point.
func (r *SphRect) Sample(u, v float64) (p geom.Vec, pdf float64) {
	if r.byArea {
		p = r.corner.AddMul(r.ex, u).AddMul(r.ey, v)
		return p, r.areaPdf(p)
	}
	// the part of the rectangle left of xu covers u of the angle
	au := u*r.omega + r.k
	sin, cos := math.Sincos(au)
	fu := (cos*r.b0 - r.b1) / sin
	cu := clamp(math.Copysign(1/math.Sqrt(fu*fu+r.b0*r.b0), fu), -1, 1)
	xu := clamp(-(cu*r.z0)/math.Sqrt(max(1-cu*cu, 1e-300)), r.x0, r.x1)
	// along y the angle of a thin strip goes as the sine of the elevation
	d2 := xu*xu + r.z0*r.z0
	h0 := r.y0 / math.Sqrt(d2+r.y0*r.y0)
	h1 := r.y1 / math.Sqrt(d2+r.y1*r.y1)
	hv := h0 + v*(h1-h0)
	yv := r.y1
	if hv*hv < 1-1e-12 {
		yv = clamp(hv*math.Sqrt(d2/(1-hv*hv)), r.y0, r.y1)
	}
	return r.x.Mul(xu).AddMul(r.y, yv).AddMul(r.z, r.z0), 1 / r.omega
}

// Pdf is the density of Sample in a direction (any length); 0 when that misses the rectangle.
func (r *SphRect) Pdf(dir geom.Vec) float64 {
	den := dir.Dot(r.norm)
	t := r.corner.Dot(r.norm) / den
	if !(t > 0) || math.IsInf(t, 0) {
		return 0
	}
	p := dir.Mul(t)
	q := p.Sub(r.corner)
	// coordinates along the sides, which need not be square
	a := q.Cross(r.ey).Dot(r.norm) / r.area
	b := r.ex.Cross(q).Dot(r.norm) / r.area
	if !(a >= 0 && a <= 1 && b >= 0 && b <= 1) {
		return 0
	}
	if r.byArea {
		return r.areaPdf(p)
	}
	return 1 / r.omega
}

// SolidAngle returns what the rectangle covers, in steradian; for one sampled by area, an estimate
// from its middle.
func (r *SphRect) SolidAngle() float64 {
	if !r.byArea {
		return r.omega
	}
	pdf := r.areaPdf(r.corner.AddMul(r.ex, 0.5).AddMul(r.ey, 0.5))
	if pdf == 0 {
		return 0
	}
	return min(1/pdf, 2*math.Pi)
}

// ByArea reports whether points are uniform over the area instead.
func (r *SphRect) ByArea() bool { return r.byArea }

// areaPdf converts the density 1/area at p to one per steradian; 0 where it would be infinite.
func (r *SphRect) areaPdf(p geom.Vec) float64 {
	d2 := p.Len2()
	cos := math.Abs(p.Dot(r.norm))
	pdf := d2 * math.Sqrt(d2) / (cos * r.area)
	if math.IsInf(pdf, 0) || math.IsNaN(pdf) {
		return 0
	}
	return pdf
}

func clamp(x, lo, hi float64) float64 { return min(max(x, lo), hi) }
