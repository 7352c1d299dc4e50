package sample

import (
	"math"

	"halfstop/geom"
)

// SphTri is a triangle as seen from a point: uniform over the solid angle it covers.
//
// Where that angle is below 1e-4 sr, points are uniform over the area instead, as in SphRect.
// Source: Arvo 1995, 'Stratified Sampling of Spherical Triangles', from memory. Check:
// TestDirections, TestTriangleSolidAngle.
type SphTri struct {
	p, e1, e2, norm  geom.Vec // a corner from the origin, sides, unit normal
	area             float64
	a, b, c          geom.Vec // directions of the corners
	omega            float64
	sinA, cosA, cosC float64 // angle at a; side from a to b
	ortho            geom.Vec
	byArea           bool
}

// Sample returns a point of the triangle, as a vector from the origin (not unit), and the density
// of its direction per steradian; 0 where the triangle is seen edge on or has no area: do not use
// the point.
func (t *SphTri) Sample(u, v float64) (p geom.Vec, pdf float64) {
	if t.byArea {
		su := math.Sqrt(u)
		p = t.p.AddMul(t.e1, su*(1-v)).AddMul(t.e2, su*v)
		return p, t.areaPdf(p)
	}
	// move the third corner along its side until u of the angle is left
	sinF, cosF := math.Sincos(u*t.omega + math.Pi)
	sinF, cosF = sinF*t.cosA-cosF*t.sinA, cosF*t.cosA+sinF*t.sinA
	k1 := cosF + t.cosA
	k2 := sinF - t.sinA*t.cosC
	cosB := (k2 + (k2*cosF-k1*sinF)*t.cosA) / ((k2*sinF + k1*cosF) * t.sinA)
	if math.IsNaN(cosB) {
		cosB = 1
	}
	cosB = clamp(cosB, -1, 1)
	cp := t.a.Mul(cosB).AddMul(t.ortho, math.Sqrt(1-cosB*cosB))
	// then along the arc from b to it, uniform in the versine
	w := v * cp.Sub(t.b).Len2() / 2
	dir := t.b.Mul(1-w).AddMul(cp.Sub(t.b.Mul(cp.Dot(t.b))).Unit(), math.Sqrt(max(0, w*(2-w))))
	k := t.p.Dot(t.norm) / dir.Dot(t.norm)
	if !(k > 0) || k > math.MaxFloat64 {
		return t.p, 0
	}
	return dir.Mul(k), 1 / t.omega
}

// Pdf is the density of Sample in a direction (any length); 0 when that misses the triangle.
func (t *SphTri) Pdf(dir geom.Vec) float64 {
	d := t.p.Dot(t.norm) / dir.Dot(t.norm)
	if !(d > 0) || math.IsInf(d, 0) {
		return 0
	}
	p := dir.Mul(d)
	q := p.Sub(t.p)
	a := q.Cross(t.e2).Dot(t.norm) / (2 * t.area)
	b := t.e1.Cross(q).Dot(t.norm) / (2 * t.area)
	if !(a >= 0 && b >= 0 && a+b <= 1) {
		return 0
	}
	if t.byArea {
		return t.areaPdf(p)
	}
	return 1 / t.omega
}

// SolidAngle returns what the triangle covers, in steradian.
func (t *SphTri) SolidAngle() float64 { return t.omega }

func (t *SphTri) areaPdf(p geom.Vec) float64 {
	d2 := p.Len2()
	pdf := d2 * math.Sqrt(d2) / (math.Abs(p.Dot(t.norm)) * t.area)
	if math.IsInf(pdf, 0) || math.IsNaN(pdf) {
		return 0
	}
	return pdf
}
