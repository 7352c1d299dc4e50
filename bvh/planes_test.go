package bvh

import (
	"math/rand/v2"
	"testing"
)

// TestPlanes sends rays along the axes from places that corners share coordinates with, so that
// they run in the sides of boxes. All walks find what a loop over all triangles does, whichever
// boxes stand about them.
func TestPlanes(t *testing.T) {
	m := &mesh{}
	m.ball(8, [3]float64{0.5, 0.5, 0.5}, [3]float64{0.5, 0.5, 0.5}, func(x, y, z float64) float64 { return 0 })
	m.box([3]float64{0.25, 0.25, 0.25}, [3]float64{0.75, 0.75, 0.75})
	m.box([3]float64{-0.25, -0.25, 0}, [3]float64{1, 1, 1.25})
	m.patch(16, 16, func(u, v float64) [3]float64 { return [3]float64{u, v, 0.125} })
	ws := walks(m.v, m.f)
	r := rand.New(rand.NewPCG(1, 1))
	hits := 0
	for range 10000 {
		q := Ray{TMax: 10}
		for a := range 3 {
			q.O[a] = float32(r.IntN(33))/16 - 0.5
		}
		if r.IntN(2) == 0 {
			q.O[r.IntN(3)] = m.v[r.IntN(len(m.v))][r.IntN(3)]
		}
		q.D[r.IntN(3)] = float32(2*r.IntN(2)) - 1
		want := ws["plain8"].all(&q)
		if want.Prim != NoHit {
			hits++
		}
		for name, w := range ws {
			if g := w.Closest(&q); g != want || w.Occluded(&q) != (want.Prim != NoHit) {
				t.Fatalf("%s %+v: %+v, not %+v", name, q, g, want)
			}
		}
	}
	if hits < 2000 {
		t.Error("only", hits, "hits")
	}
}
