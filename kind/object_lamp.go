package kind

import (
	"math"

	"halfstop/geom"
)

// Lamps stand dark: the light in them is a practical of the room, a bulb in the middle of the
// shade.
var (
	_ = objects.add(Object{Word: "table lamp", Says: "a table lamp with a cloth shade; its bulb is a practical",
		Size: [3]float64{0.32, 0.32, 0.5}, Surface: "muslin", Foot: Round, Body: func(b *Solid, w, d, h float64) {
			shadedLamp(b, w, d, h, 0.44*h, 0.05)
		}})
	_ = objects.add(Object{Word: "floor lamp", Says: "a floor lamp with a cloth shade; its bulb is a practical",
		Size: [3]float64{0.42, 0.42, 1.6}, Surface: "muslin", Foot: Round, Body: func(b *Solid, w, d, h float64) {
			shadedLamp(b, w, d, h, 0.28, 0.014)
		}})
)

// shadedLamp is a foot, a stem of radius stem and a conical shade as tall as shade, open above and
// below.
func shadedLamp(b *Solid, w, d, h, shade, stem float64) {
	metal := b.Surface("brass")
	r, c := min(w, d)/2, geom.V(w/2, d/2, 0)
	foot := min(0.55*r, 0.15)
	z := h - shade
	b.Turned(c, geom.V(0, 0, 1), [][2]float64{{0, 0}, {foot, 0}, {foot, 0.012}, {0.5 * foot, 0.03}, {0.8 * stem, 0.045},
		{stem, 0.3 * z}, {0.7 * stem, 0.8 * z}, {0.008, z + 0.3*shade}, {0, z + 0.3*shade}}, 32, metal)
	// two sides, a millimetre apart
	b.Turned(c, geom.V(0, 0, 1), [][2]float64{{r, z}, {0.66 * r, h}}, 48, Own)
	b.Turned(c, geom.V(0, 0, 1), [][2]float64{{0.66*r - 0.001, h}, {r - 0.001, z}}, 48, Own)
	for k := range 3 {
		s, co := math.Sincos(float64(k) * 2 * math.Pi / 3)
		b.Bar(c.Add(geom.V(0, 0, z+0.3*shade)), c.Add(geom.V(0.7*r*co, 0.7*r*s, h-0.02)), 0.0015, 6, metal)
	}
}
