package bvh

import "math"

// pair4 is 64 bytes: two triangles a b c and a c d that share a side and a sense of turning, or
// one, with d at a. What the side takes is worked out once. turn says which of a triangle's corners
// here is its first, since a sum of three numbers depends on their order.
type pair4 struct {
	v    [12]float32 // a, b, c, d
	prim [2]uint32   // the second is NoHit when there is but one
	turn [2]uint32
}

// side returns how two triangles are turned to be a b c and a c d.
func side(p, q *[3]uint32) (i, j int, ok bool) {
	for i = range 3 {
		for j = range 3 {
			if p[i] == q[j] && p[(i+2)%3] == q[(j+1)%3] {
				return i, j, true
			}
		}
	}
	return 0, 0, false
}

// set takes up n triangles, one or two, and reports whether two share a side.
func (p *pair4) set(verts [][3]float32, tris [][3]uint32, id uint32, n int) bool {
	p.prim, p.turn = [2]uint32{id, NoHit}, [2]uint32{}
	one := tris[id]
	corners := [4]uint32{one[0], one[1], one[2], one[0]}
	if n == 2 {
		two := tris[id+1]
		i, j, ok := side(&one, &two)
		if !ok {
			return false
		}
		corners = [4]uint32{one[i], one[(i+1)%3], one[(i+2)%3], two[(j+2)%3]}
		p.prim[1] = id + 1
		p.turn = [2]uint32{uint32(3-i) % 3, uint32(3-j) % 3}
	}
	for k, c := range corners {
		copy(p.v[3*k:], verts[c][:])
	}
	return true
}

// triangles returns how many there are.
func (p *pair4) triangles() int {
	if p.prim[1] == NoHit {
		return 1
	}
	return 2
}

// box returns the box about them.
func (p *pair4) box() box {
	b := nothing
	for k := range 4 {
		b.growTo((*[3]float32)(p.v[3*k:]))
	}
	return b
}

// meet tests both triangles with the numbers of (*leaf).solve and reports whether q was given a
// nearer hit.
func (p *pair4) meet(q *query) bool {
	kx, ky, kz := q.axis[0]>>5, q.axis[1]>>5, q.axis[2]>>5
	if kx > 2 || ky > 2 || kz > 2 { // never; saves checking each corner
		return false
	}
	ox, oy, oz := q.ok[0], q.ok[1], q.ok[2]
	sx, sy := q.shear[0], q.shear[1]
	az, bz, cz, dz := p.v[kz]-oz, p.v[3+kz]-oz, p.v[6+kz]-oz, p.v[9+kz]-oz
	ax := p.v[kx] - ox - float32(sx*az)
	ay := p.v[ky] - oy - float32(sy*az)
	bx := p.v[3+kx] - ox - float32(sx*bz)
	by := p.v[3+ky] - oy - float32(sy*bz)
	cx := p.v[6+kx] - ox - float32(sx*cz)
	cy := p.v[6+ky] - oy - float32(sy*cz)
	dx := p.v[9+kx] - ox - float32(sx*dz)
	dy := p.v[9+ky] - oy - float32(sy*dz)
	ab := float32(ax*by) - float32(ay*bx)
	bc := float32(bx*cy) - float32(by*cx)
	x, y := float32(cx*ay), float32(cy*ax)
	ca, ac := x-y, y-x // not -ca: its zeros have another sign
	cd := float32(cx*dy) - float32(cy*dx)
	da := float32(dx*ay) - float32(dy*ax)
	met := false
	if inside(bc, ca, ab) {
		met = q.take(bc, ca, ab, az, bz, cz, p.turn[0], p.prim[0])
	}
	if inside(cd, da, ac) && q.take(cd, da, ac, az, cz, dz, p.turn[1], p.prim[1]) {
		met = true
	}
	return met
}

// inside reports whether no two of three numbers have opposite signs; zeros have none. As unsigned
// numbers the bits of what is below zero come after those of minus zero.
func inside(a, b, c float32) bool {
	i, j, k := math.Float32bits(a), math.Float32bits(b), math.Float32bits(c)
	return max(i, j, k) <= 1<<31 || max(int32(i), int32(j), int32(k)) <= 0
}

// take works out the distance to a triangle that the ray's line meets, with its edges and corners
// in the order of its own, and reports whether it is the new nearest: the steps of (*leaf).solve.
func (q *query) take(a, b, c, az, bz, cz float32, turn, prim uint32) bool {
	e, z := [6]float32{a, b, c, a, b}, [6]float32{az, bz, cz, az, bz}
	turn &= 3
	e0, e1, e2 := e[turn], e[turn+1], e[turn+2]
	det := e0 + e1 + e2
	s := math.Float32bits(det) & (1 << 31)
	e0 = math.Float32frombits(math.Float32bits(e0) ^ s)
	e1 = math.Float32frombits(math.Float32bits(e1) ^ s)
	e2 = math.Float32frombits(math.Float32bits(e2) ^ s)
	w := (float32(e0*z[turn]) + float32(e1*z[turn+1]) + float32(e2*z[turn+2])) * q.shear[2]
	det = abs(det)
	d := w / det
	if !(d > q.tmin && (d < q.best || d == q.best && prim < q.prim)) {
		return false
	}
	q.best, q.prim, q.u, q.v = d, prim, e1/det, e2/det
	return true
}
