package bvh

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestPairs holds what two triangles that share a side give together to what (*leaf).solve gives of
// each: bit for bit, signs of zeros too, however the two are turned. Corners lie on a coarse grid,
// as do the rays, so that many run through sides and corners.
func TestPairs(t *testing.T) {
	r := rand.New(rand.NewPCG(26, 4))
	grid := func() float32 { return float32(r.IntN(9)) / 8 }
	same := func(a, b float32) bool { return math.Float32bits(a) == math.Float32bits(b) }
	hits, both := 0, 0
	for i := range 20000 {
		v := [][3]float32{{grid(), grid(), grid()}, {grid(), grid(), grid()}, {grid(), grid(), grid()},
			{grid(), grid(), grid()}}
		if i%10 == 0 {
			v[3] = v[i/10%4] // without area
		}
		one, two := [3]uint32{0, 1, 2}, [3]uint32{0, 2, 3}
		a, b := i%3, i/3%3
		f := [][3]uint32{{one[a], one[(a+1)%3], one[(a+2)%3]}, {two[b], two[(b+1)%3], two[(b+2)%3]}}
		var p pair4
		var l leaf
		if !p.set(v, f, 0, 2) || p.triangles() != 2 {
			t.Fatalf("%v share no side", f)
		}
		l.set(&builder{verts: v, tris: f}, []ref{{n: 2}})
		ray := Ray{O: [3]float32{grid(), grid(), grid()}, TMax: 2}
		for a := range 3 {
			ray.D[a] = grid() - ray.O[a]
		}
		if r.IntN(3) == 0 {
			ray.D = [3]float32{}
			ray.D[r.IntN(3)] = 1
		}
		var got, q query
		if !q.ready(&ray) {
			continue
		}
		got = q
		want := Hit{Prim: NoHit}
		met := 0
		for k := range 2 {
			if _, w, det, in := l.solve(&q, k); in {
				if d := w / det; d > q.tmin && (d < q.best || d == q.best && l.prim[k] < want.Prim) {
					q.best, want.T, want.Prim = d, d, l.prim[k]
					want.U, want.V = l.uv(&q, k)
				}
				met++
			}
		}
		if p.meet(&got) != (want.Prim != NoHit) {
			t.Fatalf("%v %v %+v: met %v", v, f, ray, want.Prim == NoHit)
		}
		if want.Prim == NoHit {
			continue
		}
		if got.prim != want.Prim || !same(got.best, want.T) || !same(got.u, want.U) || !same(got.v, want.V) {
			t.Fatalf("%v %v %+v: %+v, not %+v", v, f, ray, got, want)
		}
		hits++
		if met == 2 {
			both++
		}
	}
	if hits < 1000 || both < 100 {
		t.Error("only", hits, "hits,", both, "of them on the side shared")
	}
}

// TestShare: neighbours in a mesh become pairs, those turned against each other or far larger
// together than apart do not.
func TestShare(t *testing.T) {
	v := [][3]float32{{0, 0, 0}, {1, 0, 0}, {1, 1, 0}, {0, 1, 0}, {100, 100, 100}}
	for _, c := range []struct {
		f [][3]uint32
		n int
	}{
		{[][3]uint32{{0, 1, 2}, {0, 2, 3}}, 1},
		{[][3]uint32{{1, 2, 0}, {3, 0, 2}}, 1},
		{[][3]uint32{{0, 1, 2}, {2, 0, 3}}, 2},
		{[][3]uint32{{0, 1, 2}, {0, 2, 1}}, 1},
		{[][3]uint32{{0, 1, 2}, {0, 1, 2}}, 2},
		{[][3]uint32{{0, 1, 2}, {9, 2, 3}, {0, 2, 3}}, 2},
		{[][3]uint32{{0, 1, 2}, {0, 2, 3}, {0, 1, 2}, {0, 2, 3}, {0, 1, 2}}, 3},
	} {
		tree := build(v, c.f, false, stackLen)
		if len(tree.pairs4) != c.n {
			t.Errorf("%v: %d pairs, not %d", c.f, len(tree.pairs4), c.n)
		}
	}
	tree := build(v, [][3]uint32{{0, 1, 2}, {0, 2, 3}}, false, stackLen)
	if tree.Refit(v, [][3]uint32{{0, 1, 2}, {0, 1, 3}}, 0) != nil {
		t.Error("refitted to triangles that share no side")
	}
}
