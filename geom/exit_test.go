package geom

import "testing"

// A line leaves a box where its planes say.
func TestExit(t *testing.T) {
	b := Box{Vec{0, 0, 0}, Vec{4, 2, 3}}
	for _, c := range []struct {
		o, d Vec
		want float64
	}{
		{V(1, 1, 1), V(1, 0, 0), 3},
		{V(1, 1, 1), V(-1, 0, 0), 1},
		{V(1, 1, 1), V(0.6, 0.8, 0), 1.25},
		{V(-2, 1, 1), V(1, 0, 0), 6},  // from outside, through it
		{V(-2, 1, 1), V(-1, 0, 0), 0}, // away from it
		{V(-2, 3, 1), V(1, 0, 0), 0},  // past it
		{V(4, 1, 1), V(1, 0, 0), 0},   // from its border
		{V(4, 1, 1), V(-1, 0, 0), 4},
	} {
		if got := b.Exit(c.o, c.d); got < c.want-1e-12 || got > c.want+1e-12 {
			t.Errorf("from %v along %v: %g, want %g", c.o, c.d, got, c.want)
		}
	}
}
