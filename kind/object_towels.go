package kind

import "math"

var _ = objects.add(Object{Word: "towels", Says: "a stack of folded towels", Size: [3]float64{0.36, 0.28, 0.2},
	Surface: "white cotton", Foot: Square, Body: towels})

// towels is a stack of folded cloth, the folds to the front.
func towels(b *Solid, w, d, h float64) {
	mat := Own
	n := max(1, int(math.Round(h/0.045)))
	t := h / float64(n)
	for i := range n {
		in := 0.04 * w * Hash2(int64(i), 31)
		x0, x1 := in, w-0.04*w*Hash2(int64(i), 32)
		y0 := 0.06 * d * Hash2(int64(i), 33)
		r, z := t/2, float64(i)*t
		// Two leaves, each a round fold in front and the open edges behind.
		for k := range 2 {
			zk := z + float64(k)*r
			b.fold(x0, x1, y0, d-0.02*d*Hash2(int64(i), 34), zk, zk+r, mat)
		}
	}
}
