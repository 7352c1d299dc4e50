package bvh

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestBinary walks the two-wide tree as a graphics processor does and finds what every triangle
// tried one by one gives; leaves name each triangle once.
func TestBinary(t *testing.T) {
	r := rand.New(rand.NewPCG(19, 1))
	var verts [][3]float32
	var tris [][3]uint32
	for range 700 {
		at := [3]float32{float32(r.Float64() * 5), float32(r.Float64() * 4), float32(r.Float64() * 3)}
		for range 3 {
			v := at
			for k := range v {
				v[k] += float32(r.Float64()-0.5) * 0.6
			}
			verts = append(verts, v)
		}
		n := uint32(len(verts))
		tris = append(tris, [3]uint32{n - 3, n - 2, n - 1})
	}
	const node, first = 11, 29
	nodes, order, depth := BuildBinary(verts, tris, node, first)
	seen := make([]int, len(tris))
	for _, o := range order {
		seen[o]++
	}
	for i, n := range seen {
		if n != 1 {
			t.Fatalf("triangle %d stands in %d leaves", i, n)
		}
	}
	if depth < 9 || depth >= 40 {
		t.Errorf("depth %d: the page's stack holds 40", depth)
	}
	hit := func(i uint32, o, d [3]float64) float64 {
		var p [3][3]float64
		for k := range 3 {
			for c := range 3 {
				p[k][c] = float64(verts[tris[i][k]][c])
			}
		}
		sub := func(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
		cross := func(a, b [3]float64) [3]float64 {
			return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
		}
		dot := func(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
		e1, e2 := sub(p[1], p[0]), sub(p[2], p[0])
		pv := cross(d, e2)
		det := dot(e1, pv)
		if det == 0 {
			return math.Inf(1)
		}
		tv := sub(o, p[0])
		u := dot(tv, pv) / det
		qv := cross(tv, e1)
		v := dot(d, qv) / det
		if at := dot(e2, qv) / det; u >= 0 && v >= 0 && u+v <= 1 && at > 0 {
			return at
		}
		return math.Inf(1)
	}
	enters := func(lo, hi [3]float32, o, d [3]float64, most float64) bool {
		t0, t1 := 0.0, most
		for k := range 3 {
			a, b := (float64(lo[k])-o[k])/d[k], (float64(hi[k])-o[k])/d[k]
			t0, t1 = max(t0, min(a, b)), min(t1, max(a, b))
		}
		return t0 <= t1*1.0000005
	}
	met := 0
	for range 2000 {
		o := [3]float64{r.Float64() * 5, r.Float64() * 4, r.Float64() * 3}
		d := [3]float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		want := math.Inf(1)
		for i := range tris {
			want = min(want, hit(uint32(i), o, d))
		}
		got := math.Inf(1)
		stack := []int32{node}
		for len(stack) > 0 {
			c := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			if c < 0 {
				leaf := int(^c)
				for i := leaf >> 3; i <= leaf>>3+leaf&7; i++ {
					got = min(got, hit(order[i-first], o, d))
				}
				continue
			}
			n := &nodes[c-node]
			if enters(n.Lo0, n.Hi0, o, d, got) {
				stack = append(stack, n.Child0)
			}
			if enters(n.Lo1, n.Hi1, o, d, got) {
				stack = append(stack, n.Child1)
			}
		}
		if got != want {
			t.Fatalf("from %v along %v the tree finds %v, every triangle %v", o, d, got, want)
		}
		if !math.IsInf(want, 1) {
			met++
		}
	}
	if met < 500 {
		t.Errorf("only %d of 2000 rays meet anything", met)
	}
	if nodes, order, _ := BuildBinary(verts, tris[:1], 0, 0); len(nodes) != 1 || len(order) != 1 {
		t.Errorf("one triangle: %d nodes, %d in order", len(nodes), len(order))
	}
	if nodes, _, _ := BuildBinary(verts, nil, 0, 0); nodes != nil {
		t.Error("nothing has a tree")
	}
}
