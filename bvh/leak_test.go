package bvh

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestLeaks sends rays from inside a closed mesh exactly at its edges and corners. None may slip
// out: the triangle test takes the same numbers, with opposite signs, for an edge from both its
// sides (Woop, Benthin and Wald 2013).
func TestLeaks(t *testing.T) {
	const nu, nv = 200, 100
	var v [][3]float32
	var f [][3]uint32
	at := func(i, j int) uint32 { return uint32(j*nu + i%nu) }
	for j := 0; j <= nv; j++ {
		for i := range nu {
			a, b := 2*math.Pi*float64(i)/nu, math.Pi*float64(j)/nv
			v = append(v, [3]float32{float32(3 * math.Cos(a) * math.Sin(b)), float32(3 * math.Sin(a) * math.Sin(b)),
				float32(3 * math.Cos(b))})
		}
	}
	for i := range nu { // one point at each pole
		v[i], v[nv*nu+i] = [3]float32{0, 0, 3}, [3]float32{0, 0, -3}
	}
	for j := range nv {
		for i := range nu {
			f = append(f, [3]uint32{at(i, j), at(i, j+1), at(i+1, j+1)}, [3]uint32{at(i, j), at(i+1, j+1), at(i+1, j)})
		}
	}
	n := 500_000
	if testing.Short() {
		n = 50_000
	}
	for name, tr := range walks(v, f) {
		r := rand.New(rand.NewPCG(1, 2))
		leaks := [2]int{}
		for i := range n {
			tri := f[r.IntN(len(f))]
			a, b := v[tri[0]], v[tri[1+i%2]]
			s := r.Float32()
			corner := i%8 == 0
			if corner {
				s = 0
			}
			q := Ray{TMin: 1e-4, TMax: 100}
			for k := range 3 {
				q.O[k] = r.Float32() - 0.5
				q.D[k] = a[k] + s*(b[k]-a[k]) - q.O[k]
			}
			if tr.Closest(&q).Prim == NoHit {
				if corner {
					leaks[1]++
				} else {
					leaks[0]++
				}
			}
		}
		if leaks[0]+leaks[1] > 0 {
			t.Errorf("%s: %d leaks at edges, %d at corners, of %d rays", name, leaks[0], leaks[1], n)
		}
	}
}
