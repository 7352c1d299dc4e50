package bvh

import (
	"errors"
	"fmt"
)

// MaxTriangles is the most a tree takes.
const MaxTriangles = 1 << 24

// farCorner bounds corner coordinates, so that areas and edge functions stay finite in float32.
const farCorner = 1e9

// ErrTooMany means more triangles than MaxTriangles.
var ErrTooMany = errors.New("too many triangles for one tree")

// Check reports triangles that Build would leave out: a corner that is NaN, infinite or beyond ±1e9, or an index past the end of
// verts. Nil when there are none. Triangles without area are not reported: no ray meets them. Check: TestDegenerate.
func Check(verts [][3]float32, tris [][3]uint32) error {
	if len(tris) > MaxTriangles {
		return fmt.Errorf("%w: %d, at most %d", ErrTooMany, len(tris), MaxTriangles)
	}
	bad, first := 0, 0
	for i, tr := range tris {
		if !usable(verts, tr) {
			if bad == 0 {
				first = i
			}
			bad++
		}
	}
	if bad == 0 {
		return nil
	}
	return fmt.Errorf("%d of %d triangles have a corner that is not a finite position within ±1e9 m; the first is %d", bad, len(tris), first)
}

func usable(verts [][3]float32, tr [3]uint32) bool {
	for _, c := range tr {
		if uint64(c) >= uint64(len(verts)) {
			return false
		}
		for _, x := range verts[c] {
			if !(abs(x) <= farCorner) {
				return false
			}
		}
	}
	return true
}
