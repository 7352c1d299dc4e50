package figure

import "math"

// Solids are signed distances in millimetres, negative inside. Ellipsoids and lofts are first-order
// estimates; the mesher allows for that. smin and smax are the quadratic rounded union and
// intersection: k is the breadth of the fillet.

func smin(a, b, k float64) float64 {
	d := a - b
	if d >= k {
		return b
	}
	if d <= -k {
		return a
	}
	if d < 0 {
		h := k + d
		return a - h*h/(4*k)
	}
	h := k - d
	return b - h*h/(4*k)
}
func smax(a, b, k float64) float64 { return -smin(-a, -b, k) }

func sphere(p, c vec, r float64) float64 { return p.sub(c).len() - r }

func ellipsoid(p, c, r vec) float64 {
	x, y, z := (p.X-c.X)/r.X, (p.Y-c.Y)/r.Y, (p.Z-c.Z)/r.Z
	k0 := math.Sqrt(x*x + y*y + z*z)
	x, y, z = x/r.X, y/r.Y, z/r.Z
	k1 := math.Sqrt(x*x + y*y + z*z)
	if k1 < 1e-9 {
		return -min(r.X, min(r.Y, r.Z))
	}
	return k0 * (k0 - 1) / k1
}

// ellipsoidIn is an ellipsoid in a local frame.
func ellipsoidIn(p vec, f *frame, r vec) float64 { return ellipsoid(f.in(p), vec{}, r) }

// cone is a capsule whose radius runs from ra to rb.
func cone(p, a, b vec, ra, rb float64) float64 {
	ab, ap := b.sub(a), p.sub(a)
	t := min(max(ap.dot(ab)/ab.dot(ab), 0), 1)
	return ap.sub(ab.mul(t)).len() - ra - (rb-ra)*t
}

// chain is a run of cones through pts with radii r.
func chain(p vec, pts []vec, r []float64) float64 {
	d := math.Inf(1)
	for i := 0; i+1 < len(pts); i++ {
		d = min(d, cone(p, pts[i], pts[i+1], r[i], r[i+1]))
	}
	return d
}

// bump is a sculptor's dab: amount amt at c, falling smoothly to nothing at the radii r.
func bump(p, c, r vec, amt float64) float64 {
	x, y, z := (p.X-c.X)/r.X, (p.Y-c.Y)/r.Y, (p.Z-c.Z)/r.Z
	d := x*x + y*y + z*z
	if d >= 1 {
		return 0
	}
	d = 1 - d
	return amt * d * d * d
}

// stroke is a dab drawn along a segment.
func stroke(p, a, b vec, r, amt float64) float64 {
	ab, ap := b.sub(a), p.sub(a)
	t := clamp(ap.dot(ab)/ab.dot(ab), 0, 1)
	q := ap.sub(ab.mul(t))
	d := q.dot(q) / (r * r)
	if d >= 1 {
		return 0
	}
	d = 1 - d
	return amt * d * d * d
}
