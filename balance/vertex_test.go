package balance

import (
	"math"
	"testing"
)

// TestPolygonAgainstBound: at a minimum of a convex piecewise-linear sum the dual bound equals the value; both are computed
// by different code, so equality proves both. No outside source is needed for a theorem (strong duality of linear programs).
func TestPolygonAgainstBound(t *testing.T) {
	rng := dice(1)
	var s polygon
	for trial := range 2000 {
		n, m := 1+rng.n(15), rng.n(40)
		b := box{}
		x := make([]float64, n)
		for j := range n {
			b.lo = append(b.lo, -1-rng.float())
			b.hi = append(b.hi, 1+rng.float())
			b.keep = append(b.keep, rng.float()*4-2)
			b.price = append(b.price, rng.float()*0.01*float64(rng.n(2)))
			x[j] = b.lo[j] + rng.float()*(b.hi[j]-b.lo[j])
		}
		var lines []line
		for range m {
			a := make([]float64, n)
			for j := range a {
				if rng.n(3) > 0 {
					a[j] = rng.float()
				}
			}
			lo := rng.in(-4, 4)
			w := math.Pow(1000, float64(rng.n(3)))
			lines = append(lines, line{a: a, kinks: []float64{lo, lo + rng.float()*0.2}, slopes: []float64{-w, 0, w}})
		}
		lower := s.minimise(x, b, lines)
		value := 0.0
		for i := range lines {
			value += lines[i].at(dot(lines[i].a, x))
		}
		for j := range x {
			value += b.price[j] * math.Abs(x[j]-b.keep[j])
		}
		if math.Abs(value-lower) > 1e-7*(1+math.Abs(value)) {
			t.Fatalf("trial %d (n=%d m=%d): value %.12g, proven bound %.12g", trial, n, m, value, lower)
		}
	}
}

// TestLog2 holds the fast logarithm to the library's; 1e-10 st is a millionth of what any setting shows.
func TestLog2(t *testing.T) {
	d := dice(5)
	for range 200000 {
		x := math.Exp2(d.in(-60, 60))
		if e := math.Abs(log2(x) - math.Log2(x)); e > 1e-10 {
			t.Fatalf("log2(%g) off by %g", x, e)
		}
	}
}
