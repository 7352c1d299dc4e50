package bvh

import (
	"errors"
	"fmt"
)

// What the tests hold the room's own code against.

// Accelerated reports whether the assembly is in use.
func (t *Tree) Accelerated() bool { return t.asm }

// Check reports triangles that Build would leave out: a corner that is NaN, infinite or beyond
// ±1e9, or an index past the end of verts. Nil when there are none. Triangles without area are not
// reported: no ray meets them. Check: TestDegenerate.
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
	return fmt.Errorf("%d of %d triangles have a corner that is not a finite position within ±1e9 m; the first is %d",
		bad, len(tris), first)
}

// SetAccelerated switches the assembly off, or on where the processor and the tree have what it
// needs. Not to be called while others query the tree.
func (t *Tree) SetAccelerated(on bool) { t.asm = on && haveAsm && len(t.nodes) > 0 }

// ErrTooMany means more triangles than MaxTriangles.
var ErrTooMany = errors.New("too many triangles for one tree")
