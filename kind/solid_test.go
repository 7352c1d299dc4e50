package kind

import (
	"math"
	"testing"

	"halfstop/geom"
)

// Every part is closed and turned outwards: by the divergence theorem its triangles enclose the
// volume of its shape. A box of 0.6 × 0.5 × 0.4 m loses with a bevel b along its twelve edges b²/2
// · edge, and at its eight corners what three prisms share; the limit is that bound.
func TestSolidsEnclose(t *testing.T) {
	volume := func(s *Solid) float64 {
		v := 0.0
		for _, tr := range s.Tris {
			var p [3]geom.Vec
			for k, i := range tr {
				q := s.Pos[i]
				p[k] = geom.V(float64(q[0]), float64(q[1]), float64(q[2]))
			}
			v += p[0].Dot(p[1].Cross(p[2])) / 6
		}
		return v
	}
	frame := geom.Frame{S: geom.V(0, 1, 0), T: geom.V(-1, 0, 0), N: geom.V(0, 0,
		1)} // turned, to see that turning keeps the fronts
	for _, bevel := range []float64{0, 0.01} {
		b := NewSolid(geom.V(1, 2, 0), frame)
		b.Box(geom.V(0, 0, 0), geom.V(0.6, 0.5, 0.4), bevel, 0)
		whole := 0.6 * 0.5 * 0.4
		lost := bevel * bevel / 2 * 4 * (0.6 + 0.5 + 0.4)
		if v := volume(b); v > whole+1e-6 || v < whole-lost-1e-6 {
			t.Errorf("bevel %g: encloses %.6f, want %.6f less %.6f at most", bevel, v, whole, lost)
		}
	}
	r := NewSolid(geom.V(1, 2, 0), frame)
	r.Rod(geom.V(0, 0, 0), geom.V(0.1, 0.2, 0.5), 0.02, 0)
	// a prism of sixteen sides inside the round bar
	want := 16 * math.Sin(2*math.Pi/16) / 2 * 0.02 * 0.02 * math.Sqrt(0.30)
	if v := volume(r); math.Abs(v/want-1) > 1e-3 {
		t.Errorf("the rod encloses %.8f, want %.8f", v, want)
	}
}

// Furniture keeps inside the box that the shoot says, stands on its foot and reaches its height, at
// its usual size and at others. Door glasses stand 12 mm proud of the row.
func TestFurnitureStaysInItsBox(t *testing.T) {
	for _, o := range Objects() {
		for _, k := range [][3]float64{{1, 1, 1}, {1.6, 1, 0.8}, {0.7, 1.3, 1.2}} {
			size := [3]float64{o.Size[0] * k[0], o.Size[1] * k[1], o.Size[2] * k[2]}
			b := NewSolid(geom.Vec{}, geom.Frame{S: geom.V(1, 0, 0), T: geom.V(0, 1, 0), N: geom.V(0, 0, 1)})
			o.Body(b, size[0], size[1], size[2])
			lo, hi := [3]float64{9, 9, 9}, [3]float64{}
			for _, p := range b.Pos {
				for k := range p {
					if math.IsNaN(float64(p[k])) {
						t.Fatalf("%s: a corner at %v", o.Word, p)
					}
					lo[k], hi[k] = min(lo[k], float64(p[k])), max(hi[k], float64(p[k]))
				}
			}
			for k := range lo {
				if lo[k] < -0.0125 || hi[k] > size[k]+1e-6 {
					t.Errorf("%s: from %v to %v does not fit %v", o.Word, lo, hi, size)
				}
			}
			if hi[2] < size[2]-1e-6 {
				t.Errorf("%s: its top is at %.3f, not %.3f", o.Word, hi[2], size[2])
			}
		}
	}
}
