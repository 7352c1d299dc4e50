package kind

import (
	"halfstop/geom"
)

var _ = objects.add(Object{Word: "carton", Says: "a carton with a lid", Size: [3]float64{0.2, 0.08, 0.26},
	Surface: "cardboard", Solid: true, Foot: Square, Body: carton})

// carton is a box of board with a lid that stands over by its own thickness, and a label.
func carton(b *Solid, w, d, h float64) {
	mat, label := Own, b.Surface("paper white")
	const t = 0.003
	lid := min(0.03, 0.2*h)
	b.Box(geom.V(t, t, 0), geom.V(w-t, d-t, h-t), 0.003, mat)
	b.Box(geom.V(0, 0, h-lid), geom.V(w, d, h), 0.003, mat)
	b.Box(geom.V(0.18*w, t/2, 0.2*h), geom.V(0.82*w, t, 0.72*h), 0.0003, label)
}
