// Package geom holds vectors, frames, boxes and transforms: metres, right-handed, z up.
//
// It must not know light.
package geom

import "math"

// Vec is a point or a direction: metres, or without unit.
type Vec struct{ X, Y, Z float64 }

// V makes a Vec.
func V(x, y, z float64) Vec { return Vec{x, y, z} }

// Of makes a Vec from three numbers in a row.
func Of(a [3]float64) Vec { return Vec{a[0], a[1], a[2]} }

// Array gives the three numbers.
func (a Vec) Array() [3]float64 { return [3]float64{a.X, a.Y, a.Z} }

func (a Vec) Add(b Vec) Vec               { return Vec{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a Vec) Sub(b Vec) Vec               { return Vec{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a Vec) Mul(k float64) Vec           { return Vec{a.X * k, a.Y * k, a.Z * k} }
func (a Vec) AddMul(b Vec, k float64) Vec { return Vec{a.X + b.X*k, a.Y + b.Y*k, a.Z + b.Z*k} }
func (a Vec) Neg() Vec                    { return Vec{-a.X, -a.Y, -a.Z} }
func (a Vec) Dot(b Vec) float64           { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a Vec) Len2() float64               { return a.Dot(a) }
func (a Vec) Len() float64                { return math.Sqrt(a.Dot(a)) }
func (a Vec) Cross(b Vec) Vec {
	return Vec{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Unit returns a/|a|; the zero vector stays zero.
func (a Vec) Unit() Vec {
	l := a.Len()
	if l == 0 {
		return a
	}
	return a.Mul(1 / l)
}

// Lerp returns a + t(b-a).
func (a Vec) Lerp(b Vec, t float64) Vec { return a.Add(b.Sub(a).Mul(t)) }

// Reflect mirrors direction a (pointing away from the surface or towards it) in the plane of normal
// n (unit).
func (a Vec) Reflect(n Vec) Vec { return a.Sub(n.Mul(2 * a.Dot(n))) }

// Finite reports whether all three numbers are neither NaN nor infinite.
func (a Vec) Finite() bool {
	s := a.X + a.Y + a.Z
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// Frame is an orthonormal basis. N is the main axis: a surface normal or an aim.
type Frame struct{ S, T, N Vec }

// FrameOf builds a frame about the unit vector n, with S and T chosen freely. Source: Duff et al.
// 2017, 'Building an Orthonormal Basis, Revisited'.
func FrameOf(n Vec) Frame {
	s := math.Copysign(1, n.Z)
	a := -1 / (s + n.Z)
	b := n.X * n.Y * a
	return Frame{Vec{1 + s*n.X*n.X*a, s * b, -s * n.X}, Vec{b, s + n.Y*n.Y*a, -n.Y}, n}
}

// UprightFrame builds a frame about the unit vector n with S level and T as far up as it can be.
// For a vertical n, S is +x. A panel, a softbox and a camera without roll hang like this.
func UprightFrame(n Vec) Frame {
	s := V(0, 0, 1).Cross(n)
	if s.Len2() < 1e-12 {
		s = V(1, 0, 0)
	}
	s = s.Unit()
	return Frame{s, n.Cross(s), n}
}

// Roll turns the frame about N by rad radians, anticlockwise for who looks against N.
func (f Frame) Roll(rad float64) Frame {
	c, s := math.Cos(rad), math.Sin(rad)
	return Frame{f.S.Mul(c).Add(f.T.Mul(s)), f.T.Mul(c).Sub(f.S.Mul(s)), f.N}
}

// Out takes local coordinates (along S, T, N) to the world.
func (f Frame) Out(x, y, z float64) Vec {
	return Vec{f.S.X*x + f.T.X*y + f.N.X*z, f.S.Y*x + f.T.Y*y + f.N.Y*z, f.S.Z*x + f.T.Z*y + f.N.Z*z}
}

// In takes a world direction to local coordinates.
func (f Frame) In(a Vec) Vec { return Vec{f.S.Dot(a), f.T.Dot(a), f.N.Dot(a)} }

// Box is an axis-aligned bounding box. The zero Box holds the origin; Empty gives one that holds
// nothing.
type Box struct{ Lo, Hi Vec }

// Empty contains nothing.
func Empty() Box {
	i := math.Inf(1)
	return Box{Vec{i, i, i}, Vec{-i, -i, -i}}
}

// Grow returns the smallest box that holds b and p.
func (b Box) Grow(p Vec) Box {
	return Box{Vec{min(b.Lo.X, p.X), min(b.Lo.Y, p.Y), min(b.Lo.Z, p.Z)},
		Vec{max(b.Hi.X, p.X), max(b.Hi.Y, p.Y), max(b.Hi.Z, p.Z)}}
}

// Exit returns how far the line from o along d (unit) runs before it leaves b: 0 where it never is
// in b, or was before o.
func (b Box) Exit(o, d Vec) float64 {
	in, out := 0.0, math.Inf(1)
	for _, k := range [3][4]float64{{b.Lo.X, b.Hi.X, o.X, d.X}, {b.Lo.Y, b.Hi.Y, o.Y, d.Y},
		{b.Lo.Z, b.Hi.Z, o.Z, d.Z}} {
		if k[3] == 0 {
			if k[2] < k[0] || k[2] > k[1] {
				return 0
			}
			continue
		}
		t, u := (k[0]-k[2])/k[3], (k[1]-k[2])/k[3]
		in, out = max(in, min(t, u)), min(out, max(t, u))
	}
	if out < in {
		return 0
	}
	return out
}

// Size returns Hi-Lo.
func (b Box) Size() Vec { return b.Hi.Sub(b.Lo) }

// Centre returns the middle of the box.
func (b Box) Centre() Vec { return b.Lo.Add(b.Hi).Mul(0.5) }

// Contains reports whether p lies in b or on its border.
func (b Box) Contains(p Vec) bool {
	return p.X >= b.Lo.X && p.Y >= b.Lo.Y && p.Z >= b.Lo.Z && p.X <= b.Hi.X && p.Y <= b.Hi.Y && p.Z <= b.Hi.Z
}
