package stage

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/kind"
)

// A pattern must not move a reading: its mean over 6 m by 6 m, on a floor and on a wall, is 1
// within 0.02 (0.03 stop).
func TestTexturesKeepTheMean(t *testing.T) {
	for _, name := range []string{"white tile", "red brick", "light wood", "grey lino", "navy wool", "white emulsion",
		"painted canvas grey", "dyed muslin green"} {
		f, _ := textureOf(name)
		for _, n := range []geom.Vec{{Z: 1}, {Y: 1}, {X: -1}} {
			sum := 0.0
			const k = 600
			for i := range k {
				for j := range k {
					u, v := 6*(float64(i)+kind.Hash2(int64(i), int64(j)))/k, 6*(float64(j)+kind.Hash2(int64(j),
						int64(i)))/k
					x := f(geom.V(u, v, v), n)
					if n.X != 0 {
						x = f(geom.V(0, u, v), n)
					}
					if !(x > 0) || math.IsInf(float64(x), 0) {
						t.Fatalf("%s: factor %v", name, x)
					}
					sum += float64(x)
				}
			}
			if m := sum / (k * k); math.Abs(m-1) > 0.02 {
				t.Errorf("%s on %v: mean %.3f", name, n, m)
			}
		}
	}
	for _, name := range []string{"0.5", "grey card"} {
		if f, n := textureOf(name); f != nil || n != 0 {
			t.Errorf("%s got a pattern", name)
		}
	}
}
