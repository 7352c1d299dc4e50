package bvh

import "slices"

// Refit makes a tree of the same shape over the same triangles with their corners elsewhere, in
// about a tenth of Build's time; the triangles before from are where they were. Nil where t has
// not these triangles. Its answers are those of Build; rays are slower the farther things moved. t
// stays as it is. Check: TestRefit.
func (t *Tree) Refit(verts [][3]float32, tris [][3]uint32, from int) *Tree {
	if t.n != len(tris) || t.n == 0 || len(t.nodes) == 0 && len(t.nodes4) == 0 {
		return nil
	}
	for _, tr := range tris[from:] {
		if !usable(verts, tr) {
			return nil
		}
	}
	o := &Tree{asm: t.asm, n: t.n, box: t.box, nodes: slices.Clone(t.nodes), leaves: slices.Clone(t.leaves),
		nodes4: slices.Clone(t.nodes4), pairs4: slices.Clone(t.pairs4)}
	boxes := make([]box, max(len(o.nodes), len(o.nodes4))) // of the nodes that moved
	moved := make([]bool, len(boxes))
	// Children stand behind their parents: from the last node to the first each finds its
	// children's boxes ready.
	if len(o.nodes) > 0 {
		for id := len(o.nodes) - 1; id >= 0; id-- {
			nd := &o.nodes[id]
			var is [8]bool
			for k, c := range nd.child {
				is[k] = c < 0 && o.leaves[^c].last() >= from || c > 0 && moved[c]
				moved[id] = moved[id] || is[k]
			}
			if !moved[id] {
				continue
			}
			boxes[id] = nothing
			for k, c := range nd.child {
				bx := nd.boxOf(k)
				if is[k] {
					if bx = boxes[max(c, 0)]; c < 0 {
						bx = o.leaves[^c].move(verts, tris)
					}
					nd.place(k, &bx)
				}
				boxes[id].grow(&bx)
			}
		}
	} else {
		for id := len(o.nodes4) - 1; id >= 0; id-- {
			nd := &o.nodes4[id]
			var is [4]bool
			for k, c := range nd.child {
				is[k] = c < 0 && o.lastOf(c) >= from || c > 0 && moved[c]
				moved[id] = moved[id] || is[k]
			}
			if !moved[id] {
				continue
			}
			boxes[id] = nothing
			for k, c := range nd.child {
				bx := nd.boxOf(k)
				if is[k] {
					if bx = boxes[max(c, 0)]; c < 0 {
						bx = nothing
						for i := range int(^c&7) + 1 {
							p := &o.pairs4[int(^c>>3)+i]
							if !p.set(verts, tris, p.prim[0], p.triangles()) {
								return nil
							}
							own := p.box()
							bx.grow(&own)
						}
					}
					nd.place(k, &bx)
				}
				boxes[id].grow(&bx)
			}
		}
	}
	if moved[0] {
		o.box = boxes[0]
	}
	return o
}

// boxOf gives the box of child k as it stands in its node, which is a little larger than the child;
// nothing where there is no child.
func (n *node) boxOf(k int) box {
	var b box
	for a := range 3 {
		b.lo[a], b.hi[a] = n.b[a][0][k], n.b[a][1][k]
	}
	return b
}

func (n *node4) boxOf(k int) box {
	var b box
	for a := range 3 {
		b.lo[a], b.hi[a] = n.b[8*a+k], n.b[8*a+4+k]
	}
	return b
}

// last is the highest number of a leaf's triangles.
func (l *leaf) last() int {
	last := 0
	for _, p := range l.prim {
		if p == NoHit {
			break
		}
		last = int(p) // they stand in rising order
	}
	return last
}

// lastOf is the highest number of the triangles of a leaf of the narrow tree.
func (t *Tree) lastOf(c int32) int {
	last := 0
	for i := range int(^c&7) + 1 {
		for _, p := range t.pairs4[int(^c>>3)+i].prim {
			if p != NoHit {
				last = max(last, int(p))
			}
		}
	}
	return last
}

// move puts a leaf's corners where they are now and gives their box.
func (l *leaf) move(verts [][3]float32, tris [][3]uint32) box {
	bx := nothing
	for k, p := range l.prim {
		if p == NoHit {
			break
		}
		for c, v := range tris[p] {
			x := &verts[v]
			bx.grow(&box{*x, *x})
			for a := range 3 {
				l.v[c][a][k] = x[a]
			}
		}
	}
	return bx
}
