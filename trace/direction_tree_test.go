package trace

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/sample"
)

// TestDirectionTree: a tree learned from a bright strip and a dim rest integrates to 1, gives back
// the density that it draws with (chi-squared over 512 equal cells at 1e-5), and puts most of its
// directions where the light was.
func TestDirectionTree(t *testing.T) {
	var s []guideSample
	seq := sample.New(1, 2)
	bright := func(d geom.Vec) bool { u, v := mapDirection(d); return u > 0.51 && u < 0.53 && v > 0.3 && v < 0.45 }
	for i := range uint32(3000) {
		u, v := seq.Noise(i, 0), seq.Noise(i, 1)
		w := float32(0.2)
		if i%3 > 0 {
			u, v, w = 0.51+0.02*u, 0.3+0.15*v, 1
		}
		s = append(s, guideSample{float32(u), float32(v), w})
	}
	tree := newDirectionTree(s)
	const n, cells = 200_000, 512
	var seen, want [cells]float64
	cell := func(d geom.Vec) int { u, v := mapDirection(d); return int(u*16)*32 + int(v*32) }
	in, sum := 0.0, 0.0
	for i := range uint32(n) {
		d := tree.sample(seq.Noise(i, 2), seq.Noise(i, 3))
		if math.Abs(d.Len()-1) > 1e-9 {
			t.Fatalf("%v is not a unit direction", d)
		}
		seen[cell(d)]++
		if bright(d) {
			in++
		}
		// The density is even within 1/64 of each cell's side here and there: average it over the
		// cell.
		a, b := seq.Point2(i, 4)
		e := unmapDirection(a, b)
		p := tree.pdf(e)
		want[cell(e)] += p * 4 * math.Pi
		sum += p * 4 * math.Pi / n
	}
	if math.Abs(sum-1) > 0.01 {
		t.Errorf("integrates to %g", sum)
	}
	chi2, df := 0.0, -1
	for i := range seen {
		if want[i] >= 20 {
			// Both sides are estimates: the expected one of the same number of points, evenly
			// spread.
			d := seen[i] - want[i]
			chi2, df = chi2+d*d/want[i], df+1
		}
	}
	f := 2 / (9 * float64(df))
	c := 1 - f + 4.265*math.Sqrt(f)
	t.Logf("chi-squared %.0f over %d; %.0f %% of the directions in the strip, which holds 90.9 %% of the weight",
		chi2, df, 100*in/n)
	if chi2 > 1.5*float64(df)*c*c*c { // half as much again for the scatter of the expectation in the strip's cells
		t.Errorf("chi-squared %.0f over %d degrees of freedom", chi2, df)
	}
	if in/n < 0.7 {
		t.Errorf("%.0f %% of the directions in the strip", 100*in/n)
	}
	if newDirectionTree(s[:treeLeast-1]) != nil || newDirectionTree(make([]guideSample, 99)) != nil {
		t.Error("learned from nothing")
	}
}
