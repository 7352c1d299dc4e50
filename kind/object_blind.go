package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "blind", Says: "a blind of level slats, half open", Size: [3]float64{1.2, 0.05, 1.3},
	Surface: "white gloss", Foot: Square, Body: blind})

// blind has slats 42 mm apart, turned 25 degrees, between a head and a foot rail on two cords.
func blind(b *Solid, w, d, h float64) {
	b.Box(geom.V(0, 0, h-0.04), geom.V(w, d, h), 0.003, Own)
	b.Box(geom.V(0, 0.25*d, 0), geom.V(w, 0.75*d, 0.018), 0.004, Own)
	n := max(1, int((h-0.07)/0.042))
	s, c := math.Sincos(25 * math.Pi / 180)
	r := 0.48 * d
	for i := range n {
		z := 0.03 + (h-0.08)*(float64(i)+0.5)/float64(n)
		at := func(x, q float64) geom.Vec { // a slat is a little hollow
			k := q * r
			return geom.V(x, d/2+k*c, z+k*s+0.003*(1-q*q))
		}
		for j := range 4 {
			q0, q1 := -1+0.5*float64(j), -0.5+0.5*float64(j)
			b.Face(Own, at(0, q0), at(w, q0), at(w, q1), at(0, q1))
		}
	}
	for _, x := range [2]float64{0.15 * w, 0.85 * w} {
		b.Bar(geom.V(x, 0.1*d, 0.01), geom.V(x, 0.1*d, h-0.03), 0.0012, 6, Own)
		b.Bar(geom.V(x, 0.9*d, 0.01), geom.V(x, 0.9*d, h-0.03), 0.0012, 6, Own)
	}
}
