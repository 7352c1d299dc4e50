package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "books", Says: "a stack of books", Size: [3]float64{0.24, 0.17, 0.12},
	Surface: "red paint", Foot: Square, Body: books})

// books is a stack of them, each a few centimetres thick and laid down by hand: two boards, a spine
// and the paper between.
func books(b *Solid, w, d, h float64) {
	mat, paper := Own, b.Surface("paper white")
	n := max(1, int(math.Round(h/0.032)))
	t := h / float64(n)
	const board = 0.0025
	for i := range n {
		slack := 0.12 * min(w, d)
		x0, x1 := slack*Hash2(int64(i), 21), w-slack*Hash2(int64(i), 22)
		y0, y1 := slack*Hash2(int64(i), 23), d-slack*Hash2(int64(i), 24)
		z0, z1 := float64(i)*t, float64(i+1)*t-0.0003
		if i == n-1 {
			z1 = h
		}
		b.Box(geom.V(x0, y0, z0), geom.V(x1, y1, z0+board), 0.0008, mat)
		b.Box(geom.V(x0, y0, z1-board), geom.V(x1, y1, z1), 0.0008, mat)
		b.Box(geom.V(x0, y0, z0), geom.V(x1, y0+2*board, z1), 0.002, mat) // spines to the front
		b.Box(geom.V(x0+0.004, y0+2*board, z0+board), geom.V(x1-0.004, y1-0.005, z1-board), 0.0005, paper)
	}
}
