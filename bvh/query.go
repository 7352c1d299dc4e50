package bvh

import "math"

// query is one ray made ready for a walk, and the walk's answer. The assembly knows its layout
// (TestLayout).
type query struct {
	o, inv, d  [3]float32
	tmin       float32
	best       float32
	prim       uint32
	leaf, lane uint32
	cull       float32   // best, padded: what is entered beyond it is passed over
	side       [3]uint64 // byte offset of the near planes on each axis: 0 or 32, plus 64 times the axis
	nodes      *node
	leaves     *leaf
	axis       [3]uint64  // for the triangles: byte offsets of the two minor axes and of the major one
	ok, shear  [3]float32 // origin in that order; what makes the ray run along the major axis, length 1
	u, v       float32    // of the hit; the portable walk only
}

// Limits of a usable ray. Within them no box test overflows to NaN; see Ray.
const (
	farthest = 1e15
	shortest = 1e-18
	longest  = 1e18
	flat     = 1e-12 // least slope in the box test, in parts of the longest component
)

// ready fills q and reports whether r can meet anything.
func (q *query) ready(r *Ray) bool {
	if !(abs(r.O[0]) <= farthest && abs(r.O[1]) <= farthest && abs(r.O[2]) <= farthest) {
		return false
	}
	if r.D[0] != r.D[0] || r.D[1] != r.D[1] || r.D[2] != r.D[2] || r.TMin != r.TMin || !(r.TMax > 0) {
		return false
	}
	k := 0
	if abs(r.D[1]) > abs(r.D[0]) {
		k = 1
	}
	if abs(r.D[2]) > abs(r.D[k]) {
		k = 2
	}
	major := abs(r.D[k])
	if !(major >= shortest && major <= longest) {
		return false
	}
	q.o, q.d = r.O, r.D
	// Above zero, so that entry distances sort as integers; finite, so that a flat triangle (t
	// infinite) is no hit.
	q.tmin = max(r.TMin, 1e-30)
	q.best = min(r.TMax, math.MaxFloat32)
	q.cull = q.best * pad
	q.prim = NoHit
	least := major * flat
	for a := range 3 {
		d := r.D[a]
		if d > -least && d < least {
			d = least
		}
		q.inv[a] = 1 / d
		q.side[a] = uint64(64*a) + uint64(math.Float32bits(d)>>31)<<5
	}
	for i := range 3 {
		k++
		if k == 3 {
			k = 0
		}
		q.axis[i], q.ok[i], q.shear[i] = uint64(32*k), r.O[k], r.D[k]
	}
	q.shear[2] = 1 / r.D[k]
	q.shear[0] *= q.shear[2]
	q.shear[1] *= q.shear[2]
	return true
}

func abs(x float32) float32 { return math.Float32frombits(math.Float32bits(x) &^ (1 << 31)) }
