package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "bar", Says: "a bar with panels, a foot rail and an edge to lean on",
	Size:    [3]float64{2.4, 0.65, 1.1},
	Surface: "dark wood lacquered", Solid: true, Foot: Square, Body: barCounter})

// barCounter has a top that stands over with a rounded edge, framed panels, a plinth and a rail of
// brass to put a foot on. Its top at 1.10 m is common practice, no source.
func barCounter(b *Solid, w, d, h float64) {
	brass, dark := b.Surface("brass"), b.Surface("black gloss")
	y := 0.17
	b.Box(geom.V(0, 0.02, h-0.045), geom.V(w, d, h), 0.008, Own)
	b.Bar(geom.V(0, 0.024, h-0.0225), geom.V(w, 0.024, h-0.0225), 0.0225, 20, Own)
	b.Box(geom.V(0.02, y, 0.1), geom.V(w-0.02, d, h-0.045), 0.003, Own)
	b.Box(geom.V(0.03, y+0.03, 0), geom.V(w-0.03, d, 0.1), 0.002, dark)
	n := max(1, int(math.Round(w/0.6)))
	for i := range n {
		x0, x1 := 0.02+(w-0.04)*float64(i)/float64(n)+0.02, 0.02+(w-0.04)*float64(i+1)/float64(n)-0.02
		const t, deep = 0.07, 0.014
		z0, z1 := 0.13, h-0.09
		b.Box(geom.V(x0, y-deep, z0), geom.V(x0+t, y, z1), 0.004, Own)
		b.Box(geom.V(x1-t, y-deep, z0), geom.V(x1, y, z1), 0.004, Own)
		b.Box(geom.V(x0+t, y-deep, z0), geom.V(x1-t, y, z0+t), 0.004, Own)
		b.Box(geom.V(x0+t, y-deep, z1-t), geom.V(x1-t, y, z1), 0.004, Own)
		b.Box(geom.V(x0+t+0.02, y-0.6*deep, z0+t+0.02), geom.V(x1-t-0.02, y, z1-t-0.02), 0.006, Own)
		m := (x0 + x1) / 2
		b.Bar(geom.V(m, y, 0.2), geom.V(m, 0.075, 0.2), 0.008, 10, brass)
		b.Turned(geom.V(m, y-deep, 0.2), geom.V(0, -1, 0), [][2]float64{{0.022, 0}, {0.022, 0.006}, {0, 0.008}}, 20,
			brass)
	}
	b.Bar(geom.V(0.01, 0.07, 0.2), geom.V(w-0.01, 0.07, 0.2), 0.025, 24, brass)
}
