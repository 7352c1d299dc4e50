package bvh

import (
	"math"
	"slices"

	"halfstop/parallel"
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

// planes returns the low and the high end on an axis, moved out a little: a ray that runs in a side
// of the box meets it, whichever way it is leant by the least slope in the box test, as far as 1000
// m.
func (b *box) planes(axis int) (lo, hi float32) {
	lo, hi = b.lo[axis], b.hi[axis]
	if lo > hi {
		return lo, hi
	}
	return lo - 1e-9 - float32(abs(lo)*1.2e-7), hi + 1e-9 + float32(abs(hi)*1.2e-7)
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
	first, n int   // of the refs
	size     int32 // what they count for in a leaf
	opened
}

// ref is a triangle, or two that follow each other and share a side, in the order of the tree so
// far.
type ref struct {
	box box
	id  int32
	n   int32
}

// middle returns twice the centre of a box.
func (r *ref) middle() (m [3]float32) {
	for a := range 3 {
		m[a] = r.box.lo[a] + r.box.hi[a]
	}
	return m
}

type builder struct {
	refs  []ref
	verts [][3]float32
	tris  [][3]uint32
	// leaves count triangles, tested eight at a time; those of the portable tree count refs, tested
	// one by one
	wide     bool
	width    int     // children of a node
	leafMax  int32   // what a leaf may hold
	splitAt  float32 // price of one node of the two-wide tree, in tests of a leaf
	nodeCost float32 // and of the tree to be
	leaves   []*part // of the tree, in order
	starts   []int   // of the portable tree: where the pairs of each leaf begin
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

// best weighs dividing refs, which count for n and whose middles span cen, between any two of nb
// bins on each axis by the surface area heuristic.
func (b *builder) best(refs []ref, n int32, cen *box, nb int) cut {
	c := cut{axis: -1, cost: math.MaxFloat32}
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
			cnt[j] += b.size(r)
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

// split divides b.refs[first:first+n], within g, until leaves are reached.
func (b *builder) split(s *slab, first, n int, g *group, depth int) *part {
	p := s.part()
	p.box, p.first, p.n, p.size = g.whole, first, n, g.size
	if n == 1 {
		b.weigh(p)
		return p
	}
	refs := b.refs[first : first+n]
	nb := min(bins, n+4) // few triangles need few
	c := cut{axis: -1, cost: math.MaxFloat32}
	if !b.median {
		c = b.best(refs, g.size, &g.middles, nb)
	}
	if g.size <= b.leafMax && (c.axis < 0 || c.cost+float32(b.splitAt*p.box.area()) >= float32(
		p.box.area()*b.price(g.size))) {
		b.weigh(p)
		return p
	}
	m := 0
	if c.axis >= 0 {
		sc, lo := scale(&g.middles, c.axis, nb), g.middles.lo[c.axis]
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
	l, r := b.span(refs[:m]), b.span(refs[m:])
	if n > 20000 && depth < 4 {
		var wg parallel.Group
		wg.Go(func() { p.l = b.split(&slab{}, first, m, &l, depth+1) })
		p.r = b.split(s, first+m, n-m, &r, depth+1)
		wg.Wait()
	} else {
		p.l = b.split(s, first, m, &l, depth+1)
		p.r = b.split(s, first+m, n-m, &r, depth+1)
	}
	b.weigh(p)
	return p
}

// group is what some refs span: the box about them, the box about their middles, and what they
// count for.
type group struct {
	whole, middles box
	size           int32
}

func (g *group) grow(o *group) {
	g.whole.grow(&o.whole)
	g.middles.grow(&o.middles)
	g.size += o.size
}

func (b *builder) span(refs []ref) group {
	g := group{nothing, nothing, 0}
	for i := range refs {
		r := &refs[i]
		g.whole.grow(&r.box)
		m := r.middle()
		g.middles.growTo(&m)
		g.size += b.size(r)
	}
	return g
}

// size returns what a ref counts for in a leaf.
func (b *builder) size(r *ref) int32 {
	if b.wide {
		return r.n
	}
	return 1
}

// price returns what testing a leaf of this size costs.
func (b *builder) price(size int32) float32 {
	if b.wide {
		return float32((uint32(size) + 7) >> 3)
	}
	return float32(size)
}

// Build makes a tree over triangles given as corner positions and three corner indices each.
//
// Triangles that Check reports are left out; more than MaxTriangles give an empty tree. The shape
// of the tree depends on the machine (see the package comment), the answers do not.
func Build(verts [][3]float32, tris [][3]uint32) *Tree {
	return build(verts, tris, haveAsm, stackLen)
}

// build makes the wide tree or the portable one. A tree whose walk could need more than room
// pending children is built again with middle splits, which bound the depth by the logarithm of the
// number of triangles.
func build(verts [][3]float32, tris [][3]uint32, wide bool, room int) *Tree {
	t := &Tree{}
	if len(tris) > MaxTriangles {
		return t
	}
	b := builder{verts: verts, tris: tris, wide: wide, width: 8, leafMax: 8, splitAt: 1.2, nodeCost: 1.2}
	if !wide {
		b.width, b.leafMax, b.splitAt, b.nodeCost = 4, leafMax4, splitAt4, nodeCost4
		room = min(room, stackLen4)
	}
	room -= b.width // a node may write that many past the last
	g := b.take()
	t.box = g.whole
	for i := range b.refs {
		t.n += int(b.refs[i].n)
	}
	if t.n == 0 {
		return t
	}
	for {
		b.leaves, b.starts, b.held = b.leaves[:0], b.starts[:0], 0
		root := b.split(&slab{}, 0, len(b.refs), &g, 0)
		if root.leaf() {
			root = &part{l: root}
		}
		t.nodes, t.nodes4 = t.nodes[:0], t.nodes4[:0]
		if _, need := t.flatten(&b, root); need < room || b.median {
			break
		}
		b.median = true
	}
	b.fill(t)
	t.asm = wide && haveAsm
	return t
}

// take makes refs of the usable triangles.
func (b *builder) take() group {
	b.refs = make([]ref, len(b.tris))
	parts := make([]struct {
		group
		lo, n int
	}, shares)
	each(len(b.tris), func(k, lo, hi int) {
		n := lo
		for i := lo; i < hi; n++ {
			for i < hi && !usable(b.verts, b.tris[i]) {
				i++
			}
			if i == hi {
				break
			}
			r := &b.refs[n]
			*r = ref{b.around(i), int32(i), 1}
			i++
			if i < hi && usable(b.verts, b.tris[i]) {
				if _, _, ok := side(&b.tris[i-1], &b.tris[i]); ok {
					r.join(b.around(i))
				}
			}
			i += int(r.n) - 1
		}
		p := &parts[k]
		p.group, p.lo, p.n = b.span(b.refs[lo:n]), lo, n-lo
	})
	g := group{nothing, nothing, 0}
	n := 0
	for i := range parts {
		p := &parts[i]
		g.grow(&p.group)
		n += copy(b.refs[n:], b.refs[p.lo:p.lo+p.n])
	}
	b.refs = b.refs[:n]
	return g
}

// around returns the box about a triangle.
func (b *builder) around(i int) box {
	x := nothing
	for _, c := range b.tris[i] {
		x.growTo(&b.verts[c])
	}
	return x
}

// join takes in the next triangle, unless the two are better off in boxes of their own.
func (r *ref) join(next box) {
	both := r.box
	both.grow(&next)
	if both.area() <= r.box.area()+next.area() {
		r.box, r.n = both, 2
	}
}

// shares is how many parts each divides its work into.
const shares = 8

// each calls f for the shares of 0 to n, several at once. Shares begin at even numbers, as pairs of
// triangles tend to.
func each(n int, f func(k, lo, hi int)) {
	var wg parallel.Group
	lo := 0
	for k := range shares {
		from, to := lo, (k+1)*n/shares&^1
		if k == shares-1 {
			to = n
		}
		wg.Go(func() { f(k, from, to) })
		lo = to
	}
	wg.Wait()
}

// fill copies the triangles into the leaves.
func (b *builder) fill(t *Tree) {
	if b.wide {
		t.leaves = make([]leaf, len(b.leaves))
	} else {
		t.pairs4 = make([]pair4, b.held)
	}
	each(len(b.leaves), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			p := b.leaves[i]
			refs := b.refs[p.first:][:p.n]
			slices.SortFunc(refs, func(x, y ref) int { return int(x.id - y.id) })
			if b.wide {
				t.leaves[i].set(b, refs)
				continue
			}
			for k, r := range refs {
				t.pairs4[b.starts[i]+k].set(b.verts, b.tris, uint32(r.id), int(r.n))
			}
		}
	})
}

func (l *leaf) set(b *builder, refs []ref) {
	for k := range l.prim {
		l.prim[k] = NoHit
	}
	k := 0
	for i := range refs {
		for id := refs[i].id; id < refs[i].id+refs[i].n; id++ {
			for c, corner := range b.tris[id] {
				for a, x := range b.verts[corner] {
					l.v[c][a][k] = x
				}
			}
			l.prim[k] = uint32(id)
			k++
		}
	}
}
