package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "bench", Says: "a slatted bench", Size: [3]float64{1.2, 0.4, 0.45},
	Surface: "dark wood", Foot: Square, Body: bench})

// bench is a slatted seat on a frame of square tube.
func bench(b *Solid, w, d, h float64) {
	mat, metal := Own, b.Surface("dark grey")
	n := max(2, int(math.Round(d/0.09)))
	for i := range n {
		y0, y1 := d*float64(i)/float64(n)+0.005, d*float64(i+1)/float64(n)-0.005
		b.Box(geom.V(0, y0, h-0.03), geom.V(w, y1, h), 0.006, mat)
	}
	const t = 0.03
	for _, x := range [2]float64{0.12, w - 0.12 - t} {
		b.Box(geom.V(x, 0.02, h-0.06), geom.V(x+t, d-0.02, h-0.03), 0.002, metal)
		for _, y := range [2]float64{0.03, d - 0.03 - t} {
			b.Box(geom.V(x, y, 0), geom.V(x+t, y+t, h-0.06), 0.002, metal)
		}
	}
}
