package stage

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/trace"
)

// Every part is closed and turned outwards: by the divergence theorem its triangles enclose the volume of its shape. A box of 0.6 × 0.5 × 0.4 m loses
// with a bevel b along its twelve edges b²/2 · edge, and at its eight corners what three prisms share; the limit is that bound.
func TestSolidsEnclose(t *testing.T) {
	volume := func(s *solid) float64 {
		v := 0.0
		for _, tr := range s.mesh.Tris {
			var p [3]geom.Vec
			for k, i := range tr {
				q := s.mesh.Pos[i]
				p[k] = geom.V(float64(q[0]), float64(q[1]), float64(q[2]))
			}
			v += p[0].Dot(p[1].Cross(p[2])) / 6
		}
		return v
	}
	frame := geom.Frame{S: geom.V(0, 1, 0), T: geom.V(-1, 0, 0), N: geom.V(0, 0, 1)} // turned, to see that turning keeps the fronts
	for _, bevel := range []float64{0, 0.01} {
		b := newSolid(geom.V(1, 2, 0), frame)
		b.box(geom.V(0, 0, 0), geom.V(0.6, 0.5, 0.4), bevel, 0)
		whole := 0.6 * 0.5 * 0.4
		lost := bevel * bevel / 2 * 4 * (0.6 + 0.5 + 0.4)
		if v := volume(b); v > whole+1e-6 || v < whole-lost-1e-6 {
			t.Errorf("bevel %g: encloses %.6f, want %.6f less %.6f at most", bevel, v, whole, lost)
		}
	}
	r := newSolid(geom.V(1, 2, 0), frame)
	r.rod(geom.V(0, 0, 0), geom.V(0.1, 0.2, 0.5), 0.02, 0)
	want := 16 * math.Sin(2*math.Pi/16) / 2 * 0.02 * 0.02 * math.Sqrt(0.30) // a prism of sixteen sides inside the round bar
	if v := volume(r); math.Abs(v/want-1) > 1e-3 {
		t.Errorf("the rod encloses %.8f, want %.8f", v, want)
	}
}

// Furniture keeps inside the box that the shoot says, and stands with its front to the room.
func TestFurnitureStaysInItsBox(t *testing.T) {
	s := &Stage{Scene: trace.New(), mats: map[string]int{}}
	for name, build := range map[string]func(b *solid){
		"machines": func(b *solid) { s.machines(b, 2.6, 0.7, 1.05, 0, "") },
		"counter":  func(b *solid) { s.counter(b, 1.6, 0.55, 0.92, 0, "") },
		"bench":    func(b *solid) { bench(b, 1.5, 0.45, 0.44, 0, 0) },
		"table":    func(b *solid) { table(b, 1.2, 0.7, 0.74, 0, 0) },
		"bottle":   func(b *solid) { bottle(b, 0.09, 0.09, 0.28, 0, 0) },
		"cup":      func(b *solid) { cup(b, 0.08, 0.08, 0.11, 0) },
		"books":    func(b *solid) { books(b, 0.24, 0.17, 0.12, 0, 0) },
		"carton":   func(b *solid) { carton(b, 0.2, 0.08, 0.26, 0, 0) },
		"towels":   func(b *solid) { towels(b, 0.36, 0.28, 0.2, 0) },
		"basket":   func(b *solid) { basket(b, 0.55, 0.38, 0.28, 0, 0) },
	} {
		size := map[string][3]float64{"machines": {2.6, 0.7, 1.05}, "counter": {1.6, 0.55, 0.92}, "bench": {1.5, 0.45, 0.44}, "table": {1.2, 0.7, 0.74},
			"bottle": {0.09, 0.09, 0.28}, "cup": {0.08, 0.08, 0.11}, "books": {0.24, 0.17, 0.12}, "carton": {0.2, 0.08, 0.26}, "towels": {0.36, 0.28, 0.2}, "basket": {0.55, 0.38, 0.28}}[name]
		b := newSolid(geom.Vec{}, geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: geom.V(0, 0, 1)})
		build(b)
		lo, hi := [3]float64{9, 9, 9}, [3]float64{}
		for _, p := range b.mesh.Pos {
			for k := range p {
				lo[k], hi[k] = min(lo[k], float64(p[k])), max(hi[k], float64(p[k]))
			}
		}
		for k := range lo {
			// Door glasses stand 12 mm proud of the row.
			if lo[k] < -0.012 || hi[k] > size[k]+1e-6 {
				t.Errorf("%s: from %v to %v does not fit %v", name, lo, hi, size)
			}
		}
		if hi[2] < size[2]-1e-6 {
			t.Errorf("%s: its top is at %.3f, not %.3f", name, hi[2], size[2])
		}
	}
}
