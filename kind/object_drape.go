package kind

import (
	"math"

	"halfstop/geom"
)

var (
	_ = objects.add(Object{Word: "drape", Says: "a cloth that hangs flat from a bar, before a wall or near the lens",
		Size: [3]float64{2, 0.04, 2.4}, Surface: "black stage cloth", Foot: Square, Body: drape})
	_ = objects.add(Object{Word: "backdrop",
		Says: "a painted or dyed cloth on a bar between two stands; in a deep box it runs out over the floor",
		Size: [3]float64{2.7, 0.5, 2.5}, Surface: "painted canvas grey", Foot: Square, Body: backdrop})
)

// drape is one flat sheet from a bar to its hem, 5 mm off the floor; it has two sides.
func drape(b *Solid, w, d, h float64) {
	b.Face(Own, geom.V(0, d/2, 0.005), geom.V(w, d/2, 0.005), geom.V(w, d/2, h-0.012), geom.V(0, d/2, h-0.012))
	b.Cloth(geom.V(0, d/2, 0.005), geom.V(w, 0, 0), geom.V(0, 0, h-0.017))
	b.Rod(geom.V(0, d/2, h-0.012), geom.V(w, d/2, h-0.012), 0.012, b.Surface("steel brushed"))
}

// backdrop hangs at the back of its box. Where the box is deeper than its stands' feet the cloth
// turns in a quarter circle and runs out to the front. Thicknesses are common practice, no source.
func backdrop(b *Solid, w, d, h float64) {
	metal, black := b.Surface("steel brushed"), b.Surface("black gloss")
	const foot = 0.5 // deep, of the stands
	y, top := d-0.06, h-0.03
	if d < foot {
		y = d / 2
	}
	const stand = 0.1 // beside the cloth
	x0, x1 := min(stand, w/8), w-min(stand, w/8)
	run := max(0, y-foot)
	r := min(0.45, run, 0.8*h)
	// The sheet by the way along it: down, round, out.
	down, turn := top-r-0.003, math.Pi/2*r
	sheet := func(u, v float64) geom.Vec {
		s := (1 - v) * (down + turn + max(0, run-r))
		x := x0 + (x1-x0)*u
		switch {
		case s <= down:
			return geom.V(x, y, top-s)
		case s <= down+turn && r > 0:
			sn, cs := math.Sincos((s - down) / r)
			return geom.V(x, y-r*(1-cs), 0.003+r*(1-sn))
		}
		return geom.V(x, y-r-(s-down-turn), 0.003)
	}
	n := 1
	if r > 0 {
		n = 48
	}
	b.Grid(2, n, Own, sheet)
	b.Cloth(geom.V(x0, y, top-down), geom.V(x1-x0, 0, 0), geom.V(0, 0, down))
	b.Rod(geom.V(0, y, top), geom.V(w, y, top), 0.018, metal)
	for _, x := range [2]float64{0.012, w - 0.012} {
		b.Bar(geom.V(x, y, 0), geom.V(x, y, h), 0.012, 10, black)
		for _, to := range [2]float64{-1, 1} {
			end := y + to*max(0, min(foot/2, y, d-y)-0.02)
			b.Bar(geom.V(x, y, min(0.3, h/2)), geom.V(x, end, 0.012), 0.01, 8, black)
		}
	}
}
