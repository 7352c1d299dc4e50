package bvh

import "math"

// node is 256 bytes: per axis the eight low planes then the eight high ones, then the children. A
// child is a node index, or the complement of a leaf index. An unused child has an inside-out box.
type node struct {
	b     [3][2][8]float32
	child [8]int32
	_     [8]int32
}

// leaf is 320 bytes: the corners, each as eight x, eight y, eight z; then the triangle indices in
// rising order. Unused slots come last: triangles without area, which nothing hits, with index
// NoHit.
type leaf struct {
	v    [3][3][8]float32
	prim [8]uint32
}

// place sets the box of child k.
func (n *node) place(k int, b *box) {
	for a := range 3 {
		n.b[a][0][k], n.b[a][1][k] = b.planes(a)
	}
}

const nodeBytes, leafBytes = 256, 320

// stackLen is the room for pending children in a walk of the wide tree; Build never makes one that
// needs more.
const stackLen = 256

// Every product below stands inside float32(...): that forbids the compiler to fuse it with the sum
// around it, which it would do on arm64, and so keeps the answers the same on all machines.

// pad widens the far end of a box test by more than its rounding error and that of a hit's distance
// (32 steps of float32 together), so that a triangle that lies in a side of its box, and ties with
// another, is still looked at.
const pad = 1.000004

// boxes tests the eight children and inserts those met into stack[base:], farthest first. A key is
// the entry distance's bits above the child's: positive floats sort as their bits do.
func (n *node) boxes(q *query, stack *[stackLen]uint64, base int) int {
	sx, sy, sz := q.side[0]>>5&1, q.side[1]>>5&1, q.side[2]>>5&1
	nx, fx := &n.b[0][sx], &n.b[0][sx^1]
	ny, fy := &n.b[1][sy], &n.b[1][sy^1]
	nz, fz := &n.b[2][sz], &n.b[2][sz^1]
	ox, oy, oz, ix, iy, iz := q.o[0], q.o[1], q.o[2], q.inv[0], q.inv[1], q.inv[2]
	tmin, best := q.tmin, q.best
	sp := base
	for k := range 8 {
		t0 := max((nx[k]-ox)*ix, (ny[k]-oy)*iy, (nz[k]-oz)*iz, tmin)
		t1 := min((fx[k]-ox)*ix, (fy[k]-oy)*iy, (fz[k]-oz)*iz, best)
		if t0 <= t1*pad {
			key := uint64(math.Float32bits(t0))<<32 | uint64(uint32(n.child[k]))
			j := sp
			for ; j > base && stack[(j-1)&(stackLen-1)] < key; j-- {
				stack[j&(stackLen-1)] = stack[(j-1)&(stackLen-1)]
			}
			stack[j&(stackLen-1)] = key
			sp++
		}
	}
	return sp
}

// solve tests one triangle. It shears the corners so that the ray is an axis and takes the three
// edge functions there (Woop, Benthin and Wald 2013). Two triangles that share an edge compute the
// same numbers for it with opposite signs, so no ray slips between them; fused multiply-add would
// break just that. A hit has all three of one sign; t = w/det.
func (l *leaf) solve(q *query, k int) (e [3]float32, w, det float32, in bool) {
	kx, ky, kz := q.axis[0]>>5%3, q.axis[1]>>5%3, q.axis[2]>>5%3
	ox, oy, oz := q.ok[0], q.ok[1], q.ok[2]
	az, bz, cz := l.v[0][kz][k]-oz, l.v[1][kz][k]-oz, l.v[2][kz][k]-oz
	ax := l.v[0][kx][k] - ox - float32(q.shear[0]*az)
	ay := l.v[0][ky][k] - oy - float32(q.shear[1]*az)
	bx := l.v[1][kx][k] - ox - float32(q.shear[0]*bz)
	by := l.v[1][ky][k] - oy - float32(q.shear[1]*bz)
	cx := l.v[2][kx][k] - ox - float32(q.shear[0]*cz)
	cy := l.v[2][ky][k] - oy - float32(q.shear[1]*cz)
	e[0] = float32(bx*cy) - float32(by*cx)
	e[1] = float32(cx*ay) - float32(cy*ax)
	e[2] = float32(ax*by) - float32(ay*bx)
	det = e[0] + e[1] + e[2]
	s := math.Float32bits(det) & (1 << 31)
	for i := range e {
		e[i] = math.Float32frombits(math.Float32bits(e[i]) ^ s)
	}
	if !(e[0] >= 0 && e[1] >= 0 && e[2] >= 0) {
		return
	}
	w = (float32(e[0]*az) + float32(e[1]*bz) + float32(e[2]*cz)) * q.shear[2]
	return e, w, abs(det), true
}

func (l *leaf) uv(q *query, k int) (float32, float32) {
	e, _, det, _ := l.solve(q, k)
	return e[1] / det, e[2] / det
}

func (t *Tree) closest8(q *query) {
	var stack [stackLen]uint64
	sp := 1 // stack[0] is the root, met at distance 0
	for sp > 0 {
		sp--
		key := stack[sp&(stackLen-1)]
		if uint32(key>>32) > math.Float32bits(q.cull) {
			continue
		}
		c := int32(uint32(key))
		if c >= 0 {
			sp = t.nodes[c].boxes(q, &stack, sp)
			continue
		}
		l := &t.leaves[^c]
		for k := 0; k < 8 && l.prim[k] != NoHit; k++ {
			if _, w, det, in := l.solve(q, k); in {
				d := w / det
				if d > q.tmin && (d < q.best || d == q.best && l.prim[k] < q.prim) {
					q.best, q.prim, q.leaf, q.lane = d, l.prim[k], uint32(^c), uint32(k)
					q.cull = d * pad
				}
			}
		}
	}
}

func (t *Tree) any8(q *query) bool {
	var stack [stackLen]uint64
	sp := 1
	for sp > 0 {
		sp--
		c := int32(uint32(stack[sp&(stackLen-1)]))
		if c >= 0 {
			sp = t.nodes[c].boxes(q, &stack, sp)
			continue
		}
		l := &t.leaves[^c]
		for k := 0; k < 8 && l.prim[k] != NoHit; k++ {
			if _, w, det, in := l.solve(q, k); in {
				if d := w / det; d > q.tmin && d <= q.best {
					return true
				}
			}
		}
	}
	return false
}
