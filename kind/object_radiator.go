package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "radiator", Says: "a radiator of columns", Size: [3]float64{1.0, 0.14, 0.6},
	Surface: "white gloss", Foot: Square, Body: radiator})

// radiator has double columns 60 mm apart on feet, with a valve at one end.
func radiator(b *Solid, w, d, h float64) {
	n := max(2, int(math.Round(w/0.06)))
	step := w / float64(n)
	for i := range n {
		x := step * (float64(i) + 0.5)
		for _, y := range [2]float64{0.28 * d, 0.72 * d} {
			b.Bar(geom.V(x, y, 0.13*h), geom.V(x, y, h), 0.3*step, 12, Own)
		}
		for _, z := range [2]float64{0.14, 0.94} {
			b.Bar(geom.V(x, 0.1*d, z*h), geom.V(x, 0.9*d, z*h), 0.34*step, 12, Own)
		}
	}
	for _, z := range [2]float64{0.14, 0.94} {
		b.Bar(geom.V(0.2*step, d/2, z*h), geom.V(w-0.2*step, d/2, z*h), 0.2*step, 12, Own)
	}
	for _, x := range [2]float64{0.5 * step, w - 0.5*step} {
		for _, y := range [2]float64{0.28 * d, 0.72 * d} {
			b.Bar(geom.V(x, y, 0), geom.V(x, y, 0.14*h), 0.2*step, 10, Own)
		}
	}
	brass := b.Surface("brass")
	b.Bar(geom.V(w-0.012, d/2, 0), geom.V(w-0.012, d/2, 0.16*h), 0.009, 10, brass)
	b.Turned(geom.V(w-0.014, d/2, 0.16*h), geom.V(0, 0, 1), [][2]float64{{0, 0}, {0.014, 0}, {0.014, 0.05}, {0, 0.05}},
		16, Own)
}
