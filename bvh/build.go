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

// growTo takes in a point.
func (b *box) growTo(p *[3]float32) {
	for a := range 3 {
		b.lo[a] = min(b.lo[a], p[a])
		b.hi[a] = max(b.hi[a], p[a])
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

// ref is one triangle in the order of the tree so far.
type ref struct {
	box box
	id  int32
}

// middle returns twice the centre of a box.
func (r *ref) middle() (m [3]float32) {
	for a := range 3 {
		m[a] = r.box.lo[a] + r.box.hi[a]
	}
	return m
}

type builder struct {
	refs     []ref
	verts    [][3]float32
	tris     [][3]uint32
	leafMax  int     // triangles a leaf may hold
	together uint32  // triangles tested at the price of one, less one
	shift    uint32  // and the power of two that it is
	nodeCost float32 // price of one node test, in triangle tests
	leaves   []*part // of the tree, in order
	starts   []int   // of the portable tree: where the triangles of each leaf begin
	held     int     // and how many there are in all
	median   bool    // split in the middle only: a poorer tree, but one of known depth
}

const bins = 48 // 16 cost a tenth more nodes a ray; past 48 little is won

// slab hands out parts, many to an allocation; each goroutine has its own.
type slab []part

func (s *slab) part() *part {
	if len(*s) == 0 {
		*s = make([]part, 512)
	}
	p := &(*s)[0]
	*s = (*s)[1:]
	return p
}

// cut is the best place found to divide a part: bin at on axis, or axis −1.
type cut struct {
	axis, at int
	cost     float32
}

// scale maps middles on an axis to bins.
func scale(cen *box, axis, nb int) float32 {
	return float32(nb) * 0.9999 / (cen.hi[axis] - cen.lo[axis])
}

// best weighs dividing refs, whose middles span cen, between any two of nb bins on each axis by the surface area heuristic.
func (b *builder) best(refs []ref, cen *box, nb int) cut {
	c := cut{axis: -1, cost: math.MaxFloat32}
	n := int32(len(refs))
	for a := range 3 {
		if cen.hi[a]-cen.lo[a] < 2e-9 {
			continue
		}
		sc, lo := scale(cen, a, nb), cen.lo[a]
		var cnt [bins]int32
		var bx [bins]box
		for i := range nb {
			bx[i] = nothing
		}
		for i := range refs {
			r := &refs[i]
			j := int((r.box.lo[a] + r.box.hi[a] - lo) * sc)
			cnt[j]++
			bx[j].grow(&r.box)
		}
		var left [bins]float32
		acc, k := nothing, int32(0)
		for j := range nb - 1 {
			acc.grow(&bx[j])
			k += cnt[j]
			left[j] = acc.area() * b.price(k)
		}
		acc, k = nothing, 0
		for j := nb - 1; j > 0; j-- {
			acc.grow(&bx[j])
			k += cnt[j]
			if k == 0 || k == n {
				continue
			}
			if cost := left[j-1] + float32(acc.area()*b.price(k)); cost < c.cost {
				c = cut{a, j, cost}
			}
		}
	}
	return c
}

// split divides b.refs[first:first+n], in the box whole and with middles that span cen, until leaves are reached.
func (b *builder) split(s *slab, first, n int, whole, cen *box, depth int) *part {
	p := s.part()
	p.box, p.first, p.n = *whole, first, n
	if n == 1 {
		return p
	}
	refs := b.refs[first : first+n]
	nb := min(bins, n+4) // few triangles need few
	c := cut{axis: -1, cost: math.MaxFloat32}
	if !b.median {
		c = b.best(refs, cen, nb)
	}
	if n <= b.leafMax && (c.axis < 0 || c.cost+float32(b.nodeCost*p.box.area()) >= float32(p.box.area()*b.price(int32(n)))) {
		return p
	}
	m := 0
	if c.axis >= 0 {
		sc, lo := scale(cen, c.axis, nb), cen.lo[c.axis]
		for j := n - 1; m <= j; {
			if r := &refs[m]; int((r.box.lo[c.axis]+r.box.hi[c.axis]-lo)*sc) < c.at {
				m++
			} else {
				refs[m], refs[j] = refs[j], refs[m]
				j--
			}
		}
	}
	if m == 0 || m == n {
		m = n / 2
	}
	lb, lc := span(refs[:m])
	rb, rc := span(refs[m:])
	if n > 20000 && depth < 4 {
		var wg sync.WaitGroup
		wg.Go(func() { p.l = b.split(&slab{}, first, m, &lb, &lc, depth+1) })
		p.r = b.split(s, first+m, n-m, &rb, &rc, depth+1)
		wg.Wait()
	} else {
		p.l = b.split(s, first, m, &lb, &lc, depth+1)
		p.r = b.split(s, first+m, n-m, &rb, &rc, depth+1)
	}
	return p
}

// span returns the box about refs and the box about their middles.
func span(refs []ref) (whole, cen box) {
	whole, cen = nothing, nothing
	for i := range refs {
		whole.grow(&refs[i].box)
		m := refs[i].middle()
		cen.growTo(&m)
	}
	return
}

// price returns what a leaf of c triangles costs, in triangle tests.
func (b *builder) price(c int32) float32 {
	return float32((uint32(c) + b.together) >> b.shift)
}

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
	b := builder{verts: verts, tris: tris, leafMax: 8, together: 7, shift: 3, nodeCost: 1.2}
	if !wide {
		b.leafMax, b.together, b.shift, b.nodeCost = leafMax4, 0, 0, nodeCost4
		room = min(room, stackLen4-4)
	}
	var cen box
	t.box, cen = b.take()
	t.n = len(b.refs)
	if t.n == 0 {
		return t
	}
	for {
		b.leaves, b.starts, b.held = b.leaves[:0], b.starts[:0], 0
		root := b.split(&slab{}, 0, t.n, &t.box, &cen, 0)
		if root.l == nil {
			root = &part{box: root.box, l: root}
		}
		t.nodes, t.nodes4 = t.nodes[:0], t.nodes4[:0]
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
	b.fill(t, wide)
	t.asm = wide && haveAsm
	return t
}

// take makes refs of the usable triangles and returns the box that their middles span.
func (b *builder) take() (whole, cen box) {
	b.refs = make([]ref, len(b.tris))
	parts := make([]struct {
		whole, cen box
		lo, n      int
	}, shares)
	each(len(b.tris), func(k, lo, hi int) {
		n := lo
		for i := lo; i < hi; i++ {
			tr := &b.tris[i]
			if !usable(b.verts, *tr) {
				continue
			}
			r := ref{nothing, int32(i)}
			for _, c := range tr {
				r.box.growTo(&b.verts[c])
			}
			b.refs[n] = r
			n++
		}
		p := &parts[k]
		p.whole, p.cen = span(b.refs[lo:n])
		p.lo, p.n = lo, n-lo
	})
	whole, cen = nothing, nothing
	n := 0
	for i := range parts {
		p := &parts[i]
		whole.grow(&p.whole)
		cen.grow(&p.cen)
		n += copy(b.refs[n:], b.refs[p.lo:p.lo+p.n])
	}
	b.refs = b.refs[:n]
	return whole, cen
}

// shares is how many parts each divides its work into.
const shares = 8

// each calls f for the shares of 0 to n, several at once.
func each(n int, f func(k, lo, hi int)) {
	var wg sync.WaitGroup
	for k := range shares {
		wg.Go(func() { f(k, k*n/shares, (k+1)*n/shares) })
	}
	wg.Wait()
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
				child = ^int32(len(b.leaves))
				b.leaves = append(b.leaves, kids[k])
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

// fill copies the triangles into the leaves.
func (b *builder) fill(t *Tree, wide bool) {
	if wide {
		t.leaves = make([]leaf, len(b.leaves))
	} else {
		t.tris4 = make([]tri4, b.held)
	}
	each(len(b.leaves), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			p := b.leaves[i]
			refs := b.refs[p.first:][:p.n]
			slices.SortFunc(refs, func(x, y ref) int { return int(x.id - y.id) })
			if wide {
				t.leaves[i].set(b, refs)
				continue
			}
			for k, r := range refs {
				tr := &t.tris4[b.starts[i]+k]
				tr.prim = uint32(r.id)
				for c := range 3 {
					copy(tr.v[c][:], b.verts[b.tris[r.id][c]][:])
				}
			}
		}
	})
}

func (l *leaf) set(b *builder, refs []ref) {
	for k := range l.prim {
		l.prim[k] = NoHit
	}
	for k := range refs {
		tr := &b.tris[refs[k].id]
		for c := range 3 {
			v := &b.verts[tr[c]]
			for a := range 3 {
				l.v[c][a][k] = v[a]
			}
		}
		l.prim[k] = uint32(refs[k].id)
	}
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
				child = ^int32(b.held<<3 | (kids[k].n - 1))
				b.leaves, b.starts = append(b.leaves, kids[k]), append(b.starts, b.held)
				b.held += kids[k].n
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
