package bvh

import "math"

// NoHit is the Prim of a Hit that met nothing.
const NoHit = math.MaxUint32

// Ray runs from O along D and counts hits with TMin < t <= TMax, t in lengths of D.
//
// O must lie within ±1e15, the longest component of D between 1e-18 and 1e18, no number may be NaN;
// TMax may be infinite. Any other ray meets nothing. Hits nearer than 1e-30 do not count. Check:
// TestBadRays.
type Ray struct {
	O, D       [3]float32
	TMin, TMax float32
}

// Hit names the nearest triangle: position O + T·D, and U, V the weights of its second and third
// corner.
//
// When triangles tie, the lowest index wins, whatever the shape of the tree. Prim is NoHit, and the
// rest zero, when nothing was met. Check: TestSameSpot, TestPlanes.
type Hit struct {
	T, U, V float32
	Prim    uint32
}

// Tree is built once and then read by any number of goroutines. The zero Tree is empty.
type Tree struct {
	nodes  []node // wide layout
	leaves []leaf
	nodes4 []node4 // portable layout; one of the two is empty
	pairs4 []pair4
	asm    bool
	n      int
	box    box
}

// Closest returns the nearest hit. It does not allocate (TestNoAllocation).
func (t *Tree) Closest(r *Ray) Hit {
	var q query
	if t.n == 0 || !q.ready(r) {
		return Hit{Prim: NoHit}
	}
	if len(t.nodes4) > 0 {
		if t.closest4(&q); q.prim == NoHit {
			return Hit{Prim: NoHit}
		}
		return Hit{T: q.best, U: q.u, V: q.v, Prim: q.prim}
	}
	q.nodes, q.leaves = &t.nodes[0], &t.leaves[0]
	if t.asm {
		walkClosest(&q)
	} else {
		t.closest8(&q)
	}
	if q.prim == NoHit {
		return Hit{Prim: NoHit}
	}
	u, v := t.leaves[q.leaf].uv(&q, int(q.lane&7))
	return Hit{T: q.best, U: u, V: v, Prim: q.prim}
}

// Occluded reports whether anything is hit: Closest would have a Prim. It does not allocate.
func (t *Tree) Occluded(r *Ray) bool {
	var q query
	if t.n == 0 || !q.ready(r) {
		return false
	}
	if len(t.nodes4) > 0 {
		return t.any4(&q)
	}
	q.nodes, q.leaves = &t.nodes[0], &t.leaves[0]
	if t.asm {
		return walkAny(&q) != 0
	}
	return t.any8(&q)
}

// Triangles returns how many triangles the tree holds: those given, less those Build left out.
func (t *Tree) Triangles() int { return t.n }

// Bounds returns the corners of the box about all triangles in the tree; both zero when there are
// none.
func (t *Tree) Bounds() (lo, hi [3]float32) {
	if t.n == 0 {
		return
	}
	return t.box.lo, t.box.hi
}

// Bytes returns the memory the tree holds.
func (t *Tree) Bytes() int {
	return cap(t.nodes)*nodeBytes + cap(t.leaves)*leafBytes + cap(t.nodes4)*node4Bytes + cap(t.pairs4)*pair4Bytes
}
