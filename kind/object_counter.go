package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "counter", Says: "a counter with cupboards", Size: [3]float64{1.6, 0.6, 0.9},
	Surface: "light wood", Solid: true, Foot: Square, Body: counter})

// counter has a top that stands over, a body of panels and a plinth set back.
func counter(b *Solid, w, d, h float64) {
	mat := Own
	front := b.Surface("white satin")
	b.Box(geom.V(0, 0, h-0.038), geom.V(w, d, h), 0.005, mat)
	b.Box(geom.V(0.03, 0.09, 0), geom.V(w-0.03, d-0.02, 0.1), 0.002, b.Surface("dark grey"))
	n := max(1, int(math.Round(w/0.55)))
	b.Box(geom.V(0.025, 0.05, 0.09), geom.V(w-0.025, d-0.015, h-0.038), 0.002, front)
	for i := range n {
		x0, x1 := 0.025+(w-0.05)*float64(i)/float64(n), 0.025+(w-0.05)*float64(i+1)/float64(n)
		b.Box(geom.V(x0+0.003, 0.03, 0.10), geom.V(x1-0.003, 0.051, h-0.05), 0.003, front)
		b.Rod(geom.V(x1-0.05, 0.015, h-0.13), geom.V(x1-0.05, 0.015, h-0.27), 0.006, b.Surface("steel brushed"))
	}
}
