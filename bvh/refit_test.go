package bvh

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// TestRefit moves corners about: the tree moved with them answers as one built anew, bit for bit,
// in both layouts.
func TestRefit(t *testing.T) {
	for _, n := range []int{1, 9, 300, 5000, 0} {
		v, f := soup(n, uint64(n))
		if n == 0 { // neighbours that share sides, where soup has none
			m := &mesh{}
			m.ball(20, [3]float64{0.5, 0.5, 0.5}, [3]float64{0.4, 0.5, 0.3},
				func(x, y, z float64) float64 { return 0.1 * x * y })
			v, f = m.v, m.f
		}
		for _, wide := range []bool{true, false} {
			tree := build(v, f, wide, stackLen)
			moved := make([][3]float32, len(v))
			r := rand.New(rand.NewPCG(7, uint64(n)))
			for i := range v {
				moved[i] = v[i]
				if i/3%3 == 0 { // a third of the triangles, far
					moved[i][0] += 0.7
					moved[i][2] *= -0.5
				}
			}
			got, want := tree.Refit(moved, f, 0), build(moved, f, wide, stackLen)
			if got == nil {
				t.Fatalf("%d triangles, wide %v: not refitted", n, wide)
			}
			lo, hi := got.Bounds()
			if l, h := want.Bounds(); l != lo || h != hi {
				t.Errorf("bounds %v %v, want %v %v", lo, hi, l, h)
			}
			for range 3000 {
				q := ray(r)
				if a, b := got.Closest(&q), want.Closest(&q); a != b {
					t.Fatalf("%d triangles, wide %v: %+v meets %+v, want %+v", n, wide, q, a, b)
				}
				if a, b := got.Occluded(&q), want.Occluded(&q); a != b {
					t.Fatalf("%d triangles, wide %v: %+v occluded %v, want %v", n, wide, q, a, b)
				}
			}
		}
		if build(v, f, true, stackLen).Refit(v, f[:len(f)-1], 0) != nil {
			t.Error("a tree of other triangles was refitted")
		}
	}
}

// TestRefitPart moves the last few triangles, again and again: the tree moved with them from the
// first of them on answers as one built anew, bit for bit.
func TestRefitPart(t *testing.T) {
	const n = 3000
	v, f := soup(n, 5)
	for _, wide := range []bool{true, false} {
		for _, from := range []int{0, n - 40, n - 1, n} {
			tree, r := build(v, f, wide, stackLen), rand.New(rand.NewPCG(9, uint64(from)))
			moved := slices.Clone(v)
			for step := range 4 {
				for _, tr := range f[from:] {
					for _, c := range tr {
						moved[c][0] += float32(step) * 0.2
						moved[c][1] *= 0.8
					}
				}
				tree = tree.Refit(moved, f, from)
				want := build(moved, f, wide, stackLen)
				for range 1000 {
					q := ray(r)
					if a, b := tree.Closest(&q), want.Closest(&q); a != b {
						t.Fatalf("from %d, wide %v, step %d: %+v meets %+v, want %+v", from, wide, step, q, a, b)
					}
				}
			}
		}
	}
}
