package kind

import (
	"math"

	"halfstop/geom"
)

// Solid gathers the triangles of a thing built from simple parts, in its own frame: x along its
// front from left to right, y to the back, z up; metres. Pos and Normals are in the scene's frame;
// a zero normal is that of the triangle.
type Solid struct {
	Pos, Normals [][3]float32
	Tris         [][3]uint32
	Mat          []int    // for each triangle, the number of its surface in Surfaces
	Surfaces     []string // names of preset surfaces; the first is empty: what the shoot says the thing is made of
	Sheets       []Sheet  // cloth that light meets: relays of paths

	put func(x, y, z float64) geom.Vec
	way func(x, y, z float64) geom.Vec // directions
}

// Sheet is a rectangle that cloth fills as light meets it from one side, in the scene's frame:
// edges EX, EY from Corner, metres.
type Sheet struct{ Corner, EX, EY geom.Vec }

// Cloth marks the rectangle with edges ex and ey from corner as one that cloth fills.
func (s *Solid) Cloth(corner, ex, ey geom.Vec) {
	s.Sheets = append(s.Sheets, Sheet{s.put(corner.X, corner.Y, corner.Z), s.way(ex.X, ex.Y, ex.Z),
		s.way(ey.X, ey.Y, ey.Z)})
}

// Own is the surface that the shoot states for the thing itself.
const Own = 0

// Surface gives the number of a preset surface, for the mat of the parts that are made of it.
func (s *Solid) Surface(preset string) int {
	for i, n := range s.Surfaces {
		if n == preset {
			return i
		}
	}
	s.Surfaces = append(s.Surfaces, preset)
	return len(s.Surfaces) - 1
}

// NewSolid puts a thing's origin at o in the frame whose x, y, z run along f.S, f.T, f.N.
func NewSolid(o geom.Vec, f geom.Frame) *Solid {
	return &Solid{Surfaces: []string{""}, put: func(x, y, z float64) geom.Vec { return o.Add(f.Out(x, y, z)) },
		way: f.Out}
}

func (s *Solid) corner(p, n geom.Vec) uint32 {
	p = s.put(p.X, p.Y, p.Z)
	n = s.way(n.X, n.Y, n.Z)
	s.Pos = append(s.Pos, [3]float32{float32(p.X), float32(p.Y), float32(p.Z)})
	s.Normals = append(s.Normals, [3]float32{float32(n.X), float32(n.Y), float32(n.Z)})
	return uint32(len(s.Pos) - 1)
}

// Face adds a flat convex polygon, anticlockwise from outside.
func (s *Solid) Face(mat int, p ...geom.Vec) {
	id := make([]uint32, len(p))
	for i := range p {
		id[i] = s.corner(p[i], geom.Vec{})
	}
	for i := 2; i < len(p); i++ {
		s.Tris = append(s.Tris, [3]uint32{id[0], id[i-1], id[i]})
		s.Mat = append(s.Mat, mat)
	}
}

// Box adds a box from lo to hi with its edges cut at 45° by bevel.
func (s *Solid) Box(lo, hi geom.Vec, bevel float64, mat int) {
	d := hi.Sub(lo)
	b := min(bevel, 0.45*min(d.X, d.Y, d.Z))
	c := lo.Lerp(hi, 0.5)
	h := d.Mul(0.5)
	// A corner of the box pulled in along all axes but one: the corner of the face on that axis.
	at := func(sx, sy, sz float64, axis int) geom.Vec {
		p := geom.V(h.X-b, h.Y-b, h.Z-b)
		switch axis {
		case 0:
			p.X = h.X
		case 1:
			p.Y = h.Y
		default:
			p.Z = h.Z
		}
		return c.Add(geom.V(p.X*sx, p.Y*sy, p.Z*sz))
	}
	pick := func(axis int, a, u, v float64, of int) geom.Vec {
		w := [3]float64{}
		w[axis], w[(axis+1)%3], w[(axis+2)%3] = a, u, v
		return at(w[0], w[1], w[2], of)
	}
	out := func(p ...geom.Vec) { // turned so that it looks away from the middle
		n := p[1].Sub(p[0]).Cross(p[2].Sub(p[0]))
		if n.Dot(p[0].Sub(c)) < 0 {
			for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
				p[i], p[j] = p[j], p[i]
			}
		}
		s.Face(mat, p...)
	}
	for axis := range 3 {
		for _, a := range [2]float64{-1, 1} {
			out(pick(axis, a, -1, -1, axis), pick(axis, a, 1, -1, axis), pick(axis, a, 1, 1, axis), pick(axis, a, -1,
				1, axis))
			if b <= 0 {
				continue
			}
			// The bevel to the next axis' face.
			next := (axis + 1) % 3
			for _, u := range [2]float64{-1, 1} {
				out(pick(axis, a, u, -1, axis), pick(axis, a, u, 1, axis), pick(axis, a, u, 1, next), pick(axis, a, u,
					-1, next))
			}
		}
	}
	if b > 0 {
		for k := range 8 {
			sx, sy, sz := float64(k&1)*2-1, float64(k>>1&1)*2-1, float64(k>>2)*2-1
			out(at(sx, sy, sz, 0), at(sx, sy, sz, 1), at(sx, sy, sz, 2))
		}
	}
}

// Turned adds a body of revolution about the axis through c along dir: profile gives radius and way
// along the axis, from one end to the other, outside to the left of the way. Shaded smooth along
// and round, but creases sharper than 30° stay.
func (s *Solid) Turned(c, dir geom.Vec, profile [][2]float64, n, mat int) {
	f := geom.FrameOf(dir.Unit())
	for k := 1; k < len(profile); k++ {
		a, b := profile[k-1], profile[k]
		dr, dz := b[0]-a[0], b[1]-a[1]
		l := math.Hypot(dr, dz)
		if l == 0 {
			continue
		}
		nr, nz := dz/l, -dr/l
		first := uint32(len(s.Pos))
		for i := range n {
			sn, cs := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			nrm := f.Out(nr*cs, nr*sn, nz)
			s.corner(c.Add(f.Out(a[0]*cs, a[0]*sn, a[1])), nrm)
			s.corner(c.Add(f.Out(b[0]*cs, b[0]*sn, b[1])), nrm)
		}
		for i := range uint32(n) {
			j := (i + 1) % uint32(n)
			a0, b0, a1, b1 := first+2*i, first+2*i+1, first+2*j, first+2*j+1
			s.Tris = append(s.Tris, [3]uint32{a0, a1, b1}, [3]uint32{a0, b1, b0})
			s.Mat = append(s.Mat, mat, mat)
		}
	}
}

// Rod adds a round bar from a to b.
func (s *Solid) Rod(a, b geom.Vec, r float64, mat int) {
	l := b.Sub(a).Len()
	s.Turned(a, b.Sub(a), [][2]float64{{0, 0}, {r, 0}, {r, l}, {0, l}}, 16, mat)
}

// Bar is a round bar with n sides and closed ends.
func (s *Solid) Bar(a, b geom.Vec, r float64, n, mat int) {
	l := b.Sub(a).Len()
	if l < 1e-6 {
		return
	}
	s.Turned(a, b.Sub(a), [][2]float64{{0, 0}, {r, 0}, {r, l}, {0, l}}, n, mat)
}

// fold is a cushion of cloth from x0 to x1: round in front, its top and bottom swelling a little
// towards it, square behind.
func (s *Solid) fold(x0, x1, y0, y1, z0, z1 float64, mat int) {
	const n = 12
	r, zc := (z1-z0)/2, (z0+z1)/2
	var ring []geom.Vec
	for k := range n + 1 {
		sn, cs := math.Sincos(math.Pi * (float64(k)/n - 0.5))
		ring = append(ring, geom.V(0, y0+r*(1-cs), zc+r*sn))
	}
	ring = append(ring, geom.V(0, y1, z1-0.1*r), geom.V(0, y1, z0+0.1*r))
	at := func(x float64, k int) geom.Vec { p := ring[k%len(ring)]; p.X = x; return p }
	for k := range ring {
		s.Face(mat, at(x0, k), at(x1, k), at(x1, k+1), at(x0, k+1))
	}
	var left, right []geom.Vec
	for k := range ring {
		left = append(left, at(x0, len(ring)-1-k))
		right = append(right, at(x1, k))
	}
	s.Face(mat, right...)
	s.Face(mat, left...)
}

// Hash2 is a repeatable number from 0 to 1 for a cell.
func Hash2(a, b int64) float64 {
	x := uint64(a)*0x9e3779b97f4a7c15 + uint64(b)*0xbf58476d1ce4e5b9 + 0x94d049bb133111eb
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	x ^= x >> 31
	return float64(x>>11) / (1 << 53)
}
