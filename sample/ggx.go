package sample

import (
	"math"

	"halfstop/geom"
)

// leastAlpha keeps a polished surface from dividing by zero; below it a surface should be treated
// as a mirror.
const leastAlpha = 1e-4

// GGX returns a microfacet normal visible from wo, both about +z, for roughness alpha; wo unit with
// wo.Z >= 0.
//
// The mirror direction is wo reflected in it, and may point below the surface. Source: Heitz 2018,
// 'Sampling the GGX Distribution of Visible Normals', JCGT 7(4), from memory. Check:
// TestDirections.
func GGX(wo geom.Vec, alpha, u, v float64) geom.Vec {
	alpha = max(alpha, leastAlpha)
	// stretch the view so that the surface is a hemisphere
	vh := geom.V(alpha*wo.X, alpha*wo.Y, wo.Z).Unit()
	t1 := geom.V(1, 0, 0)
	if l2 := vh.X*vh.X + vh.Y*vh.Y; l2 > 1e-18 {
		t1 = geom.V(-vh.Y, vh.X, 0).Mul(1 / math.Sqrt(l2))
	}
	t2 := vh.Cross(t1)
	// a point of the hemisphere's projection along the view
	r := math.Sqrt(u)
	sin, cos := math.Sincos(2 * math.Pi * v)
	p1, p2 := r*cos, r*sin
	s := 0.5 * (1 + vh.Z)
	p2 = (1-s)*math.Sqrt(max(0, 1-p1*p1)) + s*p2
	n := t1.Mul(p1).AddMul(t2, p2).AddMul(vh, math.Sqrt(max(0, 1-p1*p1-p2*p2)))
	// and back
	return geom.V(alpha*n.X, alpha*n.Y, max(1e-12, n.Z)).Unit()
}

// GGXD is the GGX distribution of microfacet normals at cosine c from the surface's, per steradian:
// a²/(π(c²(a²-1)+1)²). Check: TestGGXHandbook (F2.1–F2.3).
func GGXD(c, alpha float64) float64 {
	a2 := max(alpha, leastAlpha)
	a2 *= a2
	// 1-c² is kept whole: for small alpha the sum above loses its digits
	d := a2*c*c + (1-c)*(1+c)
	return a2 / (math.Pi * d * d)
}
