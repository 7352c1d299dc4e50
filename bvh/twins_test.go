package bvh

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"testing"
	"unsafe"
)

func soup(n int, seed uint64) (v [][3]float32, f [][3]uint32) {
	r := rand.New(rand.NewPCG(seed, 1))
	v = make([][3]float32, 3*n)
	f = make([][3]uint32, n)
	size := float32(1)
	if n > 100 {
		size = 0.1
	}
	for i := range f {
		c := [3]float32{r.Float32(), r.Float32(), r.Float32()}
		for k := range 3 {
			p := 3*i + k
			for a := range 3 {
				v[p][a] = c[a] + float32(size*(r.Float32()-0.5))
			}
			f[i][k] = uint32(p)
		}
		switch i % 17 {
		case 3: // without area
			f[i][2] = f[i][1]
		case 5: // twice the same
			f[i] = f[i-1]
		case 7: // flat along an axis
			v[3*i][0], v[3*i+1][0], v[3*i+2][0] = 0.5, 0.5, 0.5
		}
	}
	return v, f
}

func ray(r *rand.Rand) Ray {
	q := Ray{TMin: 1e-4, TMax: float32(math.Inf(1))}
	for a := range 3 {
		q.O[a] = float32(r.Float32()*2) - 0.5
		q.D[a] = r.Float32() - q.O[a] // towards the cube
	}
	switch r.IntN(8) {
	case 0:
		q.D[r.IntN(3)] = 0
	case 1:
		q.D = [3]float32{}
		q.D[r.IntN(3)] = -1
	case 2:
		q.O[r.IntN(3)] = 0.5
	case 3:
		q.TMax = r.Float32()
	}
	return q
}

// walks are the three ways to the same answer: assembly (where the machine has it), its plain twin,
// the portable tree.
func walks(v [][3]float32, f [][3]uint32) map[string]*Tree {
	m := map[string]*Tree{"plain8": build(v, f, true, stackLen), "portable4": build(v, f, false, stackLen)}
	m["plain8"].SetAccelerated(false)
	if haveAsm {
		m["assembly"] = build(v, f, true, stackLen)
	}
	return m
}

// TestTwins holds the walks to each other, bit for bit, and to a plain loop over all triangles.
func TestTwins(t *testing.T) {
	if !haveAsm {
		t.Log("no assembly here: only the plain walks are tested")
	}
	for _, n := range []int{1, 2, 7, 8, 9, 64, 3000} {
		v, f := soup(n, uint64(n))
		ws := walks(v, f)
		r := rand.New(rand.NewPCG(uint64(n), 2))
		hits := 0
		for range 10000 {
			q := ray(r)
			h, o := ws["plain8"].Closest(&q), ws["plain8"].Occluded(&q)
			for name, tr := range ws {
				if g, p := tr.Closest(&q), tr.Occluded(&q); g != h || p != o {
					t.Fatalf("%d triangles, %+v: plain8 %+v %v, %s %+v %v", n, q, h, o, name, g, p)
				}
			}
			if o != (h.Prim != NoHit) {
				t.Fatalf("%+v: Closest %+v but Occluded %v", q, h, o)
			}
			if o {
				hits++
			}
			if n <= 64 {
				if w := ws["plain8"].all(&q); w != h {
					t.Fatalf("%d triangles, %+v: walk %+v, loop %+v", n, q, h, w)
				}
			}
		}
		if hits < 20 {
			t.Errorf("%d triangles: only %d rays hit; the test looks past them", n, hits)
		}
	}
}

// TestBits holds every platform to the same answers: the sum was taken on amd64 and on arm64
// (emulated) by the study this package comes from.
func TestBits(t *testing.T) {
	for name, tr := range walks(soup(3000, 5)) {
		r := rand.New(rand.NewPCG(3, 4))
		sum := fnv.New64a()
		for range 20000 {
			q := ray(r)
			binary.Write(sum, binary.LittleEndian, tr.Closest(&q))
		}
		if got := sum.Sum64(); got != 0xf2c9e0c89dc633a0 {
			t.Errorf("%s: %#x", name, got)
		}
	}
}

func (t *Tree) all(r *Ray) Hit {
	var q query
	if !q.ready(r) {
		return Hit{Prim: NoHit}
	}
	h := Hit{Prim: NoHit}
	for i := range t.leaves {
		l := &t.leaves[i]
		for k := range 8 {
			if _, w, det, in := l.solve(&q, k); in {
				if d := w / det; d > q.tmin && (d < q.best || d == q.best && l.prim[k] < q.prim) {
					q.best, q.prim = d, l.prim[k]
					u, v := l.uv(&q, k)
					h = Hit{T: d, U: u, V: v, Prim: l.prim[k]}
				}
			}
		}
	}
	return h
}

// TestLayout guards the offsets written in gen.
func TestLayout(t *testing.T) {
	var q query
	var l leaf
	var n node
	for i, p := range [][2]uintptr{
		{unsafe.Offsetof(q.o), 0}, {unsafe.Offsetof(q.inv), 12}, {unsafe.Offsetof(q.d), 24}, {unsafe.Offsetof(q.tmin),
			36},
		{unsafe.Offsetof(q.best), 40}, {unsafe.Offsetof(q.prim), 44}, {unsafe.Offsetof(q.leaf), 48},
		{unsafe.Offsetof(q.lane), 52},
		{unsafe.Offsetof(q.cull), 56}, {unsafe.Offsetof(q.side), 64}, {unsafe.Offsetof(q.nodes), 88},
		{unsafe.Offsetof(q.leaves), 96},
		{unsafe.Offsetof(q.axis), 104}, {unsafe.Offsetof(q.ok), 128}, {unsafe.Offsetof(q.shear), 140},
		{unsafe.Offsetof(n.child), 192}, {unsafe.Sizeof(n), 256},
		{unsafe.Offsetof(l.prim), 288}, {unsafe.Sizeof(l), leafBytes}, {nodeBytes, 256}, {leafBytes, 320},
		{unsafe.Sizeof(node4{}), node4Bytes}, {unsafe.Sizeof(pair4{}), pair4Bytes},
	} {
		if p[0] != p[1] {
			t.Errorf("offset %d: %d, not %d", i, p[0], p[1])
		}
	}
}
