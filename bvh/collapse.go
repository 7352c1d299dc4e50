package bvh

import (
	"cmp"
	"math"
	"slices"
)

// opened says how to make a wide tree of the two-wide one at the lowest price (Ylitie, Karras and
// Laine 2017): what it costs to hold all that is below a part by at most 1, 2 ... 8 children of a
// node, and how many of these are then on the left, 0 being no more than with one child fewer. By
// one child is as a leaf, where left is 0, or as a node of its own, where it is how many of that
// node's children are on the left.
type opened struct {
	cost [8]float32
	left [8]int8
}

// weigh works out what p.opened is from that of its halves.
func (b *builder) weigh(p *part) {
	area := p.box.area()
	leaf := float32(area * b.price(p.size))
	if p.l == nil {
		for i := range b.width {
			p.cost[i] = leaf
		}
		return
	}
	for i := 1; i < b.width; i++ {
		p.cost[i] = float32(math.Inf(1))
		for k := range i {
			if c := p.l.cost[k] + p.r.cost[i-1-k]; c < p.cost[i] {
				p.cost[i], p.left[i] = c, int8(k+1)
			}
		}
	}
	p.cost[0], p.left[0] = p.cost[b.width-1]+float32(area*b.nodeCost), max(1, p.left[b.width-1])
	if p.size <= b.leafMax && leaf <= p.cost[0] {
		p.cost[0], p.left[0] = leaf, 0
	}
	for i := 1; i < b.width; i++ {
		if p.cost[i-1] <= p.cost[i] {
			p.cost[i], p.left[i] = p.cost[i-1], 0
		}
	}
}

// leaf reports whether p is best tested whole.
func (p *part) leaf() bool { return p.l == nil || p.left[0] == 0 }

// children appends the children of the node that p is.
func (p *part) children(kids []*part, width int) []*part {
	if p.r == nil { // the root of a tree of one leaf
		return append(kids, p.l)
	}
	k := int(p.left[0])
	return p.r.held(p.l.held(kids, k), width-k)
}

// held appends at most n parts that hold all that p does.
func (p *part) held(kids []*part, n int) []*part {
	for n > 1 && p.left[n-1] == 0 {
		n--
	}
	if n == 1 {
		return append(kids, p)
	}
	k := int(p.left[n-1])
	return p.r.held(p.l.held(kids, k), n-k)
}

// flatten makes the node that p is and all below it, and returns its index and how many children
// can be pending in a walk below it.
func (t *Tree) flatten(b *builder, p *part) (id int32, need int) {
	var room [8]*part
	kids := p.children(room[:0], b.width)
	if b.wide {
		id = int32(len(t.nodes))
		t.nodes = append(t.nodes, node{})
	} else {
		id = int32(len(t.nodes4))
		t.nodes4 = append(t.nodes4, node4{})
		// Largest first: any4 goes to the last it meets.
		slices.SortStableFunc(kids, func(x, y *part) int { return cmp.Compare(y.box.area(), x.box.area()) })
	}
	for k := range b.width {
		bx, child := nothing, int32(0)
		if k < len(kids) {
			bx = kids[k].box
			if kids[k].leaf() {
				child = b.leaf(kids[k])
			} else {
				c, n := t.flatten(b, kids[k])
				child, need = c, max(need, n)
			}
		}
		if b.wide {
			t.nodes[id].place(k, &bx)
			t.nodes[id].child[k] = child
		} else {
			t.nodes4[id].place(k, &bx)
			t.nodes4[id].child[k] = child
		}
	}
	return id, need + len(kids) - 1
}

// leaf notes p as a leaf and returns how a node names it.
func (b *builder) leaf(p *part) int32 {
	name := ^int32(len(b.leaves))
	if !b.wide {
		name = ^int32(b.held<<3 | (p.n - 1))
	}
	b.leaves, b.starts = append(b.leaves, p), append(b.starts, b.held)
	b.held += p.n
	return name
}
