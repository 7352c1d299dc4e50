package kind

import (
	"halfstop/geom"
)

var _ = objects.add(Object{Word: "mirror", Says: "a tall mirror without a frame, leant or hung", Size: [3]float64{0.8,
	0.03, 1.8},
	Surface: "mirror", Foot: Square, Body: mirror})

// mirror is a sheet on a board of its own size; its edges are ground.
func mirror(b *Solid, w, d, h float64) {
	b.Box(geom.V(0, 0, 0), geom.V(w, d, h), 0.002, Own)
}
