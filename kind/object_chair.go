package kind

import (
	"halfstop/geom"
)

var _ = objects.add(Object{Word: "chair", Says: "a wooden chair with a back", Size: [3]float64{0.45, 0.52, 0.82},
	Surface: "light wood lacquered", Foot: Square, Body: chair})

// chair has a seat at 0.55 of its height, four legs, and a back of two rails and three slats at its
// back side. A seat of 45 cm is common practice, no source.
func chair(b *Solid, w, d, h float64) {
	mat := Own
	seat := 0.55 * h
	t := 0.036
	b.Box(geom.V(0.005, 0.01, seat-0.022), geom.V(w-0.005, d-0.05, seat), 0.007, mat)
	for _, x := range [2]float64{0.012, w - 0.012 - t} {
		b.Box(geom.V(x, 0.02, 0), geom.V(x+t, 0.02+t, seat-0.02), 0.005, mat)
		// the back legs lean out from the seat up
		b.Bar(geom.V(x+t/2, d-0.07, 0.001), geom.V(x+t/2, d-0.075, seat), 0.018, 12, mat)
		b.Bar(geom.V(x+t/2, d-0.075, seat-0.01), geom.V(x+t/2, d-0.02, h-0.01), 0.016, 12, mat)
		b.Box(geom.V(x+0.006, 0.03, seat-0.075), geom.V(x+t-0.006, d-0.08, seat-0.022), 0.003, mat)
		b.Bar(geom.V(x+t/2, 0.04, 0.32*seat), geom.V(x+t/2, d-0.07, 0.32*seat), 0.011, 10, mat)
	}
	b.Box(geom.V(0.03, 0.026, seat-0.075), geom.V(w-0.03, 0.05, seat-0.022), 0.003, mat)
	b.Box(geom.V(0.03, d-0.036, h-0.052), geom.V(w-0.03, d-0.012, h), 0.006, mat)
	for _, z := range [1]float64{0.58} {
		y := d - 0.075 + 0.055*z
		b.Box(geom.V(0.03, y-0.012, seat+z*(h-seat)-0.03), geom.V(w-0.03, y+0.012, seat+z*(h-seat)+0.022), 0.006, mat)
	}
	for k := range 3 {
		x := w * (0.27 + 0.23*float64(k))
		b.Bar(geom.V(x, d-0.045, seat+0.58*(h-seat)), geom.V(x, d-0.025, seat+0.94*(h-seat)), 0.011, 10, mat)
	}
}
