package trace

import (
	"math"
	"testing"

	"halfstop/geom"
)

// TestMergeHot: cells of a hot spot become at most so many rectangles that cover the same ground
// and pass on the same light; cool cells, and hot ones of another rectangle, stay as they are.
func TestMergeHot(t *testing.T) {
	const n = 12
	of := outline{geom.V(1, 2, 0), geom.V(3, 0, 0), geom.V(0, 3, 0)}
	other := outline{geom.V(0, 0, 5), geom.V(1, 0, 0), geom.V(0, 1, 0)}
	var all []patch
	light := func(set []patch) (sum, area float64) {
		for i := range set {
			p := &set[i]
			sum += (p.f + p.b) * p.lx * p.ly
			area += p.lx * p.ly
		}
		return
	}
	add := func(of outline, x, y, side, l float64) {
		p := patch{of: of, corner: of.corner.AddMul(of.ex, x).AddMul(of.ey, y), ex: of.ex.Mul(side),
			ey: of.ey.Mul(side), f: 0.75 * l, b: 0.25 * l, front: []float64{0.75 * l}, back: []float64{0.25 * l}}
		p.lx, p.ly = p.ex.Len(), p.ey.Len()
		all = append(all, p)
	}
	for i := range n {
		for j := range n {
			x, y := (float64(i)+0.5)/n-0.5, (float64(j)+0.5)/n-0.5
			add(of, float64(i)/n, float64(j)/n, 1.0/n, 0.001+math.Exp(-60*(x*x+y*y)))
		}
	}
	add(other, 0, 0, 1, 2)
	sum, area := light(all)
	merged := mergeHot(all, 6)
	if s, a := light(merged); math.Abs(s/sum-1) > 1e-9 || math.Abs(a/area-1) > 1e-9 {
		t.Errorf("%g light on %g m², want %g on %g", s, a, sum, area)
	}
	hot, far := 0, 0
	for i := range merged {
		p := &merged[i]
		if (p.f+p.b)*area > hotTimes*sum {
			hot++
		}
		if p.of == other {
			far++
		}
		if d := p.front[0] - p.f; math.Abs(d) > 1e-9 {
			t.Errorf("cell %d: front is off by %g", i, d)
		}
	}
	if hot > 6 || hot < 3 || far != 1 {
		t.Errorf("%d hot cells, %d of the other rectangle; want at most 6, and 1", hot, far)
	}
	// Each place lies on one cell.
	for i := range n {
		for j := range n {
			x, y, on := (float64(i)+0.5)/n, (float64(j)+0.5)/n, 0
			for k := range merged {
				u := merged[k].place()
				if merged[k].of == of && x > u[0] && x < u[1] && y > u[2] && y < u[3] {
					on++
				}
			}
			if on != 1 {
				t.Errorf("%g, %g lies on %d cells", x, y, on)
			}
		}
	}
}
