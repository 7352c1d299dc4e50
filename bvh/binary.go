package bvh

import "math"

// BinaryNode is a node of a two-wide tree as a graphics processor reads it, 64 bytes: the box of
// each child, with where it is. A child of 0 or more is a node; the complement of another is first
// triangle << 3 | triangles - 1, in the order that BuildBinary gives.
type BinaryNode struct {
	Lo0    [3]float32
	Child0 int32
	Hi0    [3]float32
	Child1 int32
	Lo1    [3]float32
	_      uint32
	Hi1    [3]float32
	_      uint32
}

// BuildBinary builds the two-wide tree that every Tree begins as, and gives it with the triangles
// in the order of its leaves. node and first are where both will lie among others. depth is that of
// its deepest leaf. Check: TestBinary.
func BuildBinary(verts [][3]float32, tris [][3]uint32, node, first int) (
	nodes []BinaryNode, order []uint32, depth int,
) {
	b := builder{verts: verts, tris: tris, width: 4, leafMax: 2, splitAt: splitAt4, nodeCost: nodeCost4}
	g := b.take()
	if len(b.refs) == 0 {
		return
	}
	root := b.split(&slab{}, 0, len(b.refs), &g, 0)
	leaf := func(p *part) int32 {
		at := first + len(order)
		for _, r := range b.refs[p.first : p.first+p.n] {
			for i := range r.n {
				order = append(order, uint32(r.id+i))
			}
		}
		return ^int32(at<<3 | (first + len(order) - at - 1))
	}
	var lay func(p *part, d int) int32
	lay = func(p *part, d int) int32 {
		depth = max(depth, d)
		if p.l == nil {
			return leaf(p)
		}
		id := len(nodes)
		nodes = append(nodes, BinaryNode{})
		c0, c1 := lay(p.l, d+1), lay(p.r, d+1)
		n := &nodes[id]
		n.Lo0, n.Hi0, n.Child0 = p.l.box.lo, p.l.box.hi, c0
		n.Lo1, n.Hi1, n.Child1 = p.r.box.lo, p.r.box.hi, c1
		return int32(node + id)
	}
	if root.l == nil { // one leaf: a node whose other child no ray meets
		i := float32(math.Inf(1))
		nodes = append(nodes, BinaryNode{Lo0: root.box.lo, Hi0: root.box.hi, Child0: leaf(root),
			Lo1: [3]float32{i, i, i}, Hi1: [3]float32{-i, -i, -i}, Child1: -1})
		return
	}
	lay(root, 1)
	return
}
