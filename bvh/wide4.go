package bvh

import "math"

// node4 is 128 bytes: per axis the four low planes then the four high ones, then the children.
// A child is a node index, or the complement of (first triangle << 3 | count - 1). An unused child has an inside-out box.
type node4 struct {
	b     [3][2][4]float32
	child [4]int32
	_     [4]int32
}

// tri4 holds one triangle: three corners, the fourth number unused so that an axis can be picked with a mask.
type tri4 struct {
	v    [3][4]float32
	prim uint32
}

const node4Bytes, tri4Bytes = 128, 52

// stackLen4 is the room for pending children in a walk of the portable tree; Build never makes one that needs more.
// A node writes four whether it meets them or not.
const stackLen4 = 128

// padSteps is pad in steps of float32: from 34 to 67 of them, by where in its octave a number lies.
const padSteps = 67

// Leaf size and the price of a node in triangle tests, chosen by BenchmarkRoom.
const (
	leafMax4  = 4
	nodeCost4 = 0.5
)

// boxes puts the children met into stack[base:], farthest first, and returns the new height. It has but one branch that depends on the
// ray, since a mispredicted one costs more than a box: a child that is missed gets key 0, a sorting network moves the zeros
// to the end, and they are left above the height. Distances are compared as bits, see latest.
func (n *node4) boxes(q *query, stack *[stackLen4]uint64, base int) int {
	sx, sy, sz := q.side[0]>>5&1, q.side[1]>>5&1, q.side[2]>>5&1
	nx, fx := &n.b[0][sx], &n.b[0][sx^1]
	ny, fy := &n.b[1][sy], &n.b[1][sy^1]
	nz, fz := &n.b[2][sz], &n.b[2][sz^1]
	ox, oy, oz, ix, iy, iz := q.o[0], q.o[1], q.o[2], q.inv[0], q.inv[1], q.inv[2]
	tmin, best := q.tmin, q.best
	sp := base + 4
	var t0, t1 int32
	var miss int64 // all ones, or none
	t0 = latest((nx[0]-ox)*ix, (ny[0]-oy)*iy, (nz[0]-oz)*iz, tmin)
	t1 = earliest((fx[0]-ox)*ix, (fy[0]-oy)*iy, (fz[0]-oz)*iz, best)
	miss = (int64(t1) + padSteps - int64(t0)) >> 63
	k0 := (uint64(t0)<<32 | uint64(uint32(n.child[0]))) &^ uint64(miss)
	sp += int(miss)
	t0 = latest((nx[1]-ox)*ix, (ny[1]-oy)*iy, (nz[1]-oz)*iz, tmin)
	t1 = earliest((fx[1]-ox)*ix, (fy[1]-oy)*iy, (fz[1]-oz)*iz, best)
	miss = (int64(t1) + padSteps - int64(t0)) >> 63
	k1 := (uint64(t0)<<32 | uint64(uint32(n.child[1]))) &^ uint64(miss)
	sp += int(miss)
	t0 = latest((nx[2]-ox)*ix, (ny[2]-oy)*iy, (nz[2]-oz)*iz, tmin)
	t1 = earliest((fx[2]-ox)*ix, (fy[2]-oy)*iy, (fz[2]-oz)*iz, best)
	miss = (int64(t1) + padSteps - int64(t0)) >> 63
	k2 := (uint64(t0)<<32 | uint64(uint32(n.child[2]))) &^ uint64(miss)
	sp += int(miss)
	t0 = latest((nx[3]-ox)*ix, (ny[3]-oy)*iy, (nz[3]-oz)*iz, tmin)
	t1 = earliest((fx[3]-ox)*ix, (fy[3]-oy)*iy, (fz[3]-oz)*iz, best)
	miss = (int64(t1) + padSteps - int64(t0)) >> 63
	k3 := (uint64(t0)<<32 | uint64(uint32(n.child[3]))) &^ uint64(miss)
	sp += int(miss)
	if sp <= base+1 {
		stack[base&(stackLen4-1)] = k0 | k1 | k2 | k3
		return sp
	}
	a, b := max(k0, k1), min(k0, k1)
	c, d := max(k2, k3), min(k2, k3)
	a, c = max(a, c), min(a, c)
	b, d = max(b, d), min(b, d)
	b, c = max(b, c), min(b, c)
	stack[base&(stackLen4-1)] = a
	stack[(base+1)&(stackLen4-1)] = b
	stack[(base+2)&(stackLen4-1)] = c
	stack[(base+3)&(stackLen4-1)] = d
	return sp
}

// solve tests one triangle: the steps of (*leaf).solve, in its order, leaving as soon as the signs of two edges differ.
func (tr *tri4) solve(q *query) (e [3]float32, w, det float32, in bool) {
	kx, ky, kz := q.axis[0]>>5&3, q.axis[1]>>5&3, q.axis[2]>>5&3
	ox, oy, oz := q.ok[0], q.ok[1], q.ok[2]
	sx, sy := q.shear[0], q.shear[1]
	az, bz, cz := tr.v[0][kz]-oz, tr.v[1][kz]-oz, tr.v[2][kz]-oz
	ax := tr.v[0][kx] - ox - float32(sx*az)
	ay := tr.v[0][ky] - oy - float32(sy*az)
	bx := tr.v[1][kx] - ox - float32(sx*bz)
	by := tr.v[1][ky] - oy - float32(sy*bz)
	cx := tr.v[2][kx] - ox - float32(sx*cz)
	cy := tr.v[2][ky] - oy - float32(sy*cz)
	e0 := float32(bx*cy) - float32(by*cx)
	e1 := float32(cx*ay) - float32(cy*ax)
	e2 := float32(ax*by) - float32(ay*bx)
	if min(e0, e1, e2) < 0 && max(e0, e1, e2) > 0 {
		return
	}
	det = e0 + e1 + e2
	s := math.Float32bits(det) & (1 << 31)
	e0 = math.Float32frombits(math.Float32bits(e0) ^ s)
	e1 = math.Float32frombits(math.Float32bits(e1) ^ s)
	e2 = math.Float32frombits(math.Float32bits(e2) ^ s)
	if !(e0 >= 0 && e1 >= 0 && e2 >= 0) {
		return
	}
	w = (float32(e0*az) + float32(e1*bz) + float32(e2*cz)) * q.shear[2]
	return [3]float32{e0, e1, e2}, w, abs(det), true
}

func (t *Tree) closest4(q *query) Hit {
	var stack [stackLen4]uint64
	h := Hit{Prim: NoHit}
	sp := 1 // stack[0] is the root, met at distance 0
	for sp > 0 {
		sp--
		key := stack[sp&(stackLen4-1)]
		if uint32(key>>32) > math.Float32bits(q.cull) {
			continue
		}
		c := int32(uint32(key))
		if c >= 0 {
			sp = t.nodes4[c].boxes(q, &stack, sp)
			continue
		}
		first, n := int(^c)>>3, int(^c&7)+1
		for i := range t.tris4[first : first+n] {
			tr := &t.tris4[first+i]
			if e, w, det, in := tr.solve(q); in {
				d := w / det
				if d > q.tmin && (d < q.best || d == q.best && tr.prim < h.Prim) {
					q.best, q.cull = d, d*pad
					h = Hit{T: d, U: e[1] / det, V: e[2] / det, Prim: tr.prim}
				}
			}
		}
	}
	return h
}

func (t *Tree) any4(q *query) bool {
	var stack [stackLen4]uint64
	sp := 1
	for sp > 0 {
		sp--
		c := int32(uint32(stack[sp&(stackLen4-1)]))
		if c >= 0 {
			sp = t.nodes4[c].boxes(q, &stack, sp)
			continue
		}
		first, n := int(^c)>>3, int(^c&7)+1
		for i := range t.tris4[first : first+n] {
			if _, w, det, in := t.tris4[first+i].solve(q); in {
				if d := w / det; d > q.tmin && d <= q.best {
					return true
				}
			}
		}
	}
	return false
}
