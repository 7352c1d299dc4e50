package figure

import "math"

// vec is a point or direction in drawing space: millimetres, X the sitter's left, Y up, Z the way
// the face looks, origin on the midline at eye height above the ear canals. The finished Mesh is in
// scene space (metres, z up); toScene crosses over.
type vec struct{ X, Y, Z float64 }

func (a vec) add(b vec) vec             { return vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a vec) sub(b vec) vec             { return vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a vec) mul(s float64) vec         { return vec{a.X * s, a.Y * s, a.Z * s} }
func (a vec) dot(b vec) float64         { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a vec) len() float64              { return math.Sqrt(a.dot(a)) }
func (a vec) lerp(b vec, t float64) vec { return a.add(b.sub(a).mul(t)) }
func (a vec) mirror() vec               { return vec{-a.X, a.Y, a.Z} }
func (a vec) abs() vec                  { return vec{math.Abs(a.X), a.Y, a.Z} }
func (a vec) cross(b vec) vec {
	return vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// unit returns a/|a|, and straight up for the zero vector.
func (a vec) unit() vec {
	l := a.len()
	if l < 1e-12 {
		return vec{0, 1, 0}
	}
	return a.mul(1 / l)
}

// frame is an orthonormal basis with an origin; it carries local shapes (ears, hands, nose wings)
// into place.
type frame struct{ o, x, y, z vec }

func (f frame) in(p vec) vec {
	q := p.sub(f.o)
	return vec{q.dot(f.x), q.dot(f.y), q.dot(f.z)}
}
func (f frame) dir(v vec) vec { return f.x.mul(v.X).add(f.y.mul(v.Y)).add(f.z.mul(v.Z)) }
func (f frame) out(v vec) vec { return f.o.add(f.dir(v)) }

// rot is a rotation as three rows.
type rot [3]vec

func (r rot) ap(v vec) vec { return vec{r[0].dot(v), r[1].dot(v), r[2].dot(v)} }

// about turns p round the point c.
func (r rot) about(p, c vec) vec { return r.ap(p.sub(c)).add(c) }

// euler turns about Z (roll), then X (pitch), then Y (yaw), radians.
func euler(yaw, pitch, roll float64) rot {
	sy, cy := math.Sincos(yaw)
	sx, cx := math.Sincos(pitch)
	sz, cz := math.Sincos(roll)
	f := func(v vec) vec {
		v = vec{v.X*cz - v.Y*sz, v.X*sz + v.Y*cz, v.Z}
		v = vec{v.X, v.Y*cx - v.Z*sx, v.Y*sx + v.Z*cx}
		return vec{v.X*cy + v.Z*sy, v.Y, -v.X*sy + v.Z*cy}
	}
	a, b, c := f(vec{1, 0, 0}), f(vec{0, 1, 0}), f(vec{0, 0, 1})
	return rot{{a.X, b.X, c.X}, {a.Y, b.Y, c.Y}, {a.Z, b.Z, c.Z}}
}

func clamp(x, a, b float64) float64 { return min(max(x, a), b) }

// smooth runs from 0 at a to 1 at b with level ends; a may lie above b.
func smooth(a, b, x float64) float64 {
	t := clamp((x-a)/(b-a), 0, 1)
	return t * t * (3 - 2*t)
}

func lerp(a, b, t float64) float64 { return a + (b-a)*t }

// band is 1 between a and b and falls to 0 within 8 mm outside.
func band(y, a, b float64) float64 { return smooth(a-8, a, y) * smooth(b+8, b, y) }

// side is +1 for the left (index 0), -1 for the right (index 1).
func side(i int) float64 { return 1 - 2*float64(i) }
