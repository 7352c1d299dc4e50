package bvh

import (
	"math"
	"slices"
	"sync"
)

type box struct{ lo, hi [3]float32 }

var nothing = func() box {
	i := float32(math.Inf(1))
	return box{[3]float32{i, i, i}, [3]float32{-i, -i, -i}}
}()

func (b *box) grow(o *box) {
	for a := range 3 {
		b.lo[a] = min(b.lo[a], o.lo[a])
		b.hi[a] = max(b.hi[a], o.hi[a])
	}
}

func (b *box) area() float32 {
	x, y, z := b.hi[0]-b.lo[0], b.hi[1]-b.lo[1], b.hi[2]-b.lo[2]
	if x < 0 {
		return 0
	}
	return float32(x*y) + float32(y*z) + float32(z*x)
}

// part is a node of the two-wide tree that comes first.
type part struct {
	box      box
	l, r     *part
	first, n int
}

type builder struct {
	boxes    []box
	centre   [][3]float32
	order    []int32 // indices into the triangles given
	verts    [][3]float32
	tris     [][3]uint32
	leafMax  int     // triangles a leaf may hold
	together int     // triangles tested at the price of one
	nodeCost float32 // price of one node test, in triangle tests
	median   bool    // split in the middle only: a poorer tree, but one of known depth
}

const bins = 48 // 16 cost a tenth more nodes a ray; past 48 little is won

func (b *builder) split(first, n, depth int) *part {
	p := &part{box: nothing, first: first, n: n}
	cen := nothing
	for _, i := range b.order[first : first+n] {
		p.box.grow(&b.boxes[i])
		cen.grow(&box{b.centre[i], b.centre[i]})
	}
	if n == 1 {
		return p
	}
	nb := min(bins, n+4) // few triangles need few
	axis, at, best := -1, 0, float32(math.MaxFloat32)
	for a := 0; a < 3 && !b.median; a++ {
		ext := cen.hi[a] - cen.lo[a]
		if ext < 1e-9 {
			continue
		}
		sc := float32(nb) * 0.9999 / ext
		var cnt [bins]int
		var bx [bins]box
		for i := range nb {
			bx[i] = nothing
		}
		for _, i := range b.order[first : first+n] {
			j := int((b.centre[i][a] - cen.lo[a]) * sc)
			cnt[j]++
			bx[j].grow(&b.boxes[i])
		}
		var left [bins]float32
		acc, c := nothing, 0
		for j := range nb - 1 {
			acc.grow(&bx[j])
			c += cnt[j]
			left[j] = acc.area() * b.price(c)
		}
		acc, c = nothing, 0
		for j := nb - 1; j > 0; j-- {
			acc.grow(&bx[j])
			c += cnt[j]
			if c == 0 || c == n {
				continue
			}
			if cost := left[j-1] + float32(acc.area()*b.price(c)); cost < best {
				axis, at, best = a, j, cost
			}
		}
	}
	if n <= b.leafMax && (axis < 0 || best+float32(b.nodeCost*p.box.area()) >= float32(p.box.area()*b.price(n))) {
		return p
	}
	m := first
	if axis >= 0 {
		sc := float32(nb) * 0.9999 / (cen.hi[axis] - cen.lo[axis])
		for j := first + n - 1; m <= j; {
			if int((b.centre[b.order[m]][axis]-cen.lo[axis])*sc) < at {
				m++
			} else {
				b.order[m], b.order[j] = b.order[j], b.order[m]
				j--
			}
		}
	}
	if m == first || m == first+n {
		m = first + n/2
	}
	if n > 20000 && depth < 4 {
		var wg sync.WaitGroup
		wg.Go(func() { p.l = b.split(first, m-first, depth+1) })
		p.r = b.split(m, first+n-m, depth+1)
		wg.Wait()
	} else {
		p.l = b.split(first, m-first, depth+1)
		p.r = b.split(m, first+n-m, depth+1)
	}
	return p
}

// price returns what a leaf of c triangles costs, in triangle tests.
func (b *builder) price(c int) float32 { return float32((c + b.together - 1) / b.together) }

// Build makes a tree over triangles given as corner positions and three corner indices each.
//
// Triangles that Check reports are left out; more than MaxTriangles give an empty tree. The shape of the tree depends on the
// machine (see the package comment), the answers do not.
func Build(verts [][3]float32, tris [][3]uint32) *Tree {
	return build(verts, tris, haveAsm, stackLen)
}

// build makes the wide tree or the portable one. A tree whose walk could need more than room pending children is built again with
// middle splits, which bound the depth by the logarithm of the number of triangles.
func build(verts [][3]float32, tris [][3]uint32, wide bool, room int) *Tree {
	t := &Tree{}
	if len(tris) > MaxTriangles {
		return t
	}
	b := builder{verts: verts, tris: tris, leafMax: 8, together: 8, nodeCost: 1.2}
	if !wide {
		b.leafMax, b.together, b.nodeCost = leafMax4, 1, nodeCost4
		room = min(room, stackLen4-4)
	}
	b.boxes, b.centre, b.order = make([]box, len(tris)), make([][3]float32, len(tris)), make([]int32, 0, len(tris))
	t.box = nothing
	for i, tr := range tris {
		if !usable(verts, tr) {
			continue
		}
		bx := nothing
		for _, c := range tr {
			bx.grow(&box{verts[c], verts[c]})
		}
		b.boxes[i] = bx
		for a := range 3 {
			b.centre[i][a] = (bx.lo[a] + bx.hi[a]) / 2
		}
		b.order = append(b.order, int32(i))
		t.box.grow(&bx)
	}
	t.n = len(b.order)
	if t.n == 0 {
		return t
	}
	for {
		root := b.split(0, t.n, 0)
		if root.l == nil {
			root = &part{box: root.box, l: root}
		}
		t.nodes, t.leaves, t.nodes4, t.tris4 = t.nodes[:0], t.leaves[:0], t.nodes4[:0], t.tris4[:0]
		need := 0
		if wide {
			_, need = t.flatten8(&b, root)
		} else {
			_, need = t.flatten4(&b, root)
		}
		if need < room || b.median {
			break
		}
		b.median = true
	}
	t.asm = wide && haveAsm
	return t
}

// open returns up to width parts below p that together hold all of it, opening the largest first.
func (p *part) open(kids []*part, width int) []*part {
	kids = append(kids, p.l)
	if p.r != nil {
		kids = append(kids, p.r)
	}
	for len(kids) < width {
		big := -1
		for i, k := range kids {
			if k.l != nil && (big < 0 || k.box.area() > kids[big].box.area()) {
				big = i
			}
		}
		if big < 0 {
			break
		}
		k := kids[big]
		kids[big] = k.l
		kids = append(kids, k.r)
	}
	return kids
}

// flatten8 returns the node's index and the stack room a walk below it can need.
func (t *Tree) flatten8(b *builder, p *part) (int32, int) {
	var room [8]*part
	kids := p.open(room[:0], 8)
	id := int32(len(t.nodes))
	t.nodes = append(t.nodes, node{})
	need := 0
	for k := range 8 {
		bx, child := nothing, int32(0)
		if k < len(kids) {
			bx = kids[k].box
			if kids[k].l == nil {
				child = ^t.addLeaf(b, b.order[kids[k].first:][:kids[k].n])
			} else {
				c, n := t.flatten8(b, kids[k])
				child, need = c, max(need, n)
			}
		}
		nd := &t.nodes[id]
		for a := range 3 {
			nd.b[a][0][k], nd.b[a][1][k] = bx.lo[a], bx.hi[a]
		}
		nd.child[k] = child
	}
	return id, need + len(kids)
}

func (t *Tree) addLeaf(b *builder, ids []int32) int32 {
	slices.Sort(ids)
	var l leaf
	for k := range l.prim {
		l.prim[k] = NoHit
	}
	for k, i := range ids {
		for c := range 3 {
			for a := range 3 {
				l.v[c][a][k] = b.verts[b.tris[i][c]][a]
			}
		}
		l.prim[k] = uint32(i)
	}
	t.leaves = append(t.leaves, l)
	return int32(len(t.leaves) - 1)
}

// flatten4 is flatten8 for the portable tree.
func (t *Tree) flatten4(b *builder, p *part) (int32, int) {
	var room [4]*part
	kids := p.open(room[:0], 4)
	id := int32(len(t.nodes4))
	t.nodes4 = append(t.nodes4, node4{})
	need := 0
	for k := range 4 {
		bx, child := nothing, int32(0)
		if k < len(kids) {
			bx = kids[k].box
			if kids[k].l == nil {
				ids := b.order[kids[k].first:][:kids[k].n]
				child = ^int32(len(t.tris4)<<3 | (len(ids) - 1))
				for _, i := range ids {
					tr := tri4{prim: uint32(i)}
					for c := range 3 {
						copy(tr.v[c][:], b.verts[b.tris[i][c]][:])
					}
					t.tris4 = append(t.tris4, tr)
				}
			} else {
				c, n := t.flatten4(b, kids[k])
				child, need = c, max(need, n)
			}
		}
		nd := &t.nodes4[id]
		for a := range 3 {
			nd.b[a][0][k], nd.b[a][1][k] = bx.lo[a], bx.hi[a]
		}
		nd.child[k] = child
	}
	return id, need + len(kids)
}
