package kind

import (
	"halfstop/geom"
)

var _ = objects.add(Object{Word: "table", Says: "a table on four legs", Size: [3]float64{1.2, 0.7, 0.75},
	Surface: "light wood", Foot: Square, Body: table})

// table is a top on four round legs.
func table(b *Solid, w, d, h float64) {
	mat, metal := Own, b.Surface("steel brushed")
	b.Box(geom.V(0, 0, h-0.025), geom.V(w, d, h), 0.004, mat)
	b.Box(geom.V(0.06, 0.06, h-0.085), geom.V(w-0.06, d-0.06, h-0.025), 0.002, mat)
	for _, x := range [2]float64{0.07, w - 0.07} {
		for _, y := range [2]float64{0.07, d - 0.07} {
			b.Rod(geom.V(x, y, 0), geom.V(x, y, h-0.03), 0.019, metal)
		}
	}
}
