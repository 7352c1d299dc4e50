package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "stool", Says: "a round stool, low or at bar height", Size: [3]float64{0.4, 0.4, 0.75},
	Surface: "dark wood lacquered", Foot: Round, Body: stoolBody})

// stoolBody is a turned seat on four splayed legs with a ring to put the feet on.
func stoolBody(b *Solid, w, d, h float64) {
	metal := b.Surface("black gloss")
	r, c := min(w, d)/2, geom.V(w/2, d/2, 0)
	b.Turned(c, geom.V(0, 0, 1), [][2]float64{{0, h - 0.04}, {0.86 * r, h - 0.04}, {0.94 * r, h - 0.028}, {0.94 * r,
		h - 0.01},
		{0.90 * r, h}, {0, h - 0.003}}, 40, Own)
	ring := 0.38 * h
	var at [4]geom.Vec
	for k := range at {
		s, co := math.Sincos(math.Pi/4 + float64(k)*math.Pi/2)
		top, foot := c.Add(geom.V(0.6*r*co, 0.6*r*s, h-0.035)), c.Add(geom.V(0.97*r*co, 0.97*r*s, 0))
		b.Bar(top, foot, 0.013, 12, metal)
		at[k] = foot.Lerp(top, ring/h)
	}
	for k := range at {
		b.Bar(at[k], at[(k+1)%4], 0.008, 10, metal)
	}
}
