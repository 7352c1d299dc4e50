package kind

import (
	"math"

	"halfstop/geom"
)

// Parts of a building. A column and a beam are as long as their box says; the file states where
// floor and ceiling are.
var (
	_ = objects.add(Object{Word: "column", Says: "a square column or a pier of the building",
		Size: [3]float64{0.4, 0.4, 2.7}, Surface: "white emulsion", Foot: Square, Solid: true, Body: column})
	_ = objects.add(Object{Word: "round column", Says: "a round column of the building",
		Size: [3]float64{0.35, 0.35, 2.7}, Surface: "white emulsion", Foot: Round, Solid: true, Body: roundColumn})
	_ = objects.add(Object{Word: "beam", Says: "a beam under the ceiling: at: [x, y, height of its underside]",
		Size: [3]float64{4, 0.25, 0.3}, Surface: "white emulsion", Foot: Square, Solid: true, Body: column})
	_ = objects.add(Object{Word: "steps",
		Says: "a flight of steps that rises along y of its box; turn says another way",
		Size: [3]float64{1.2, 0.84, 0.51}, Surface: "concrete", Foot: Square, Solid: true, Fixed: true, Body: steps})
	_ = objects.add(Object{Word: "platform", Says: "a low stage, or a part of the floor that is higher",
		Size: [3]float64{2, 2, 0.2}, Surface: "light wood", Foot: Square, Body: platform})
)

// column is a box with its edges taken off by 5 mm.
func column(b *Solid, w, d, h float64) { b.Box(geom.Vec{}, geom.V(w, d, h), 0.005, Own) }

// roundColumn fits into its box; where that is no square it is oval in nothing: the smaller side
// counts.
func roundColumn(b *Solid, w, d, h float64) {
	r := min(w, d) / 2
	b.Turned(geom.V(w/2, d/2, 0), geom.V(0, 0, 1), [][2]float64{{0, 0}, {r, 0}, {r, h}, {0, h}}, 48, Own)
}

// usualRise is the height of a step, metres: common practice, no source (150 to 190 mm).
const usualRise = 0.17

// StepsOf gives how many steps a flight of height h metres has.
func StepsOf(h float64) int { return max(1, int(math.Round(h/usualRise))) }

// StepAt gives the height of the tread at a share of the way up a flight of height h, metres.
func StepAt(way, h float64) float64 {
	n := float64(StepsOf(h))
	return h * min(n, math.Floor(way*n)+1) / n
}

// steps rise from the front to the back, each as high and as deep as the next, closed below.
func steps(b *Solid, w, d, h float64) {
	n := StepsOf(h)
	for i := range n {
		y0, z0, z1 := d*float64(i)/float64(n), h*float64(i)/float64(n), h*float64(i+1)/float64(n)
		y1 := d * float64(i+1) / float64(n)
		b.Face(Own, geom.V(0, y0, z0), geom.V(w, y0, z0), geom.V(w, y0, z1), geom.V(0, y0, z1))
		b.Face(Own, geom.V(0, y0, z1), geom.V(w, y0, z1), geom.V(w, y1, z1), geom.V(0, y1, z1))
		b.Face(Own, geom.V(0, y1, 0), geom.V(0, y0, 0), geom.V(0, y0, z1), geom.V(0, y1, z1))
		b.Face(Own, geom.V(w, y0, 0), geom.V(w, y1, 0), geom.V(w, y1, z1), geom.V(w, y0, z1))
	}
	b.Face(Own, geom.V(w, d, 0), geom.V(0, d, 0), geom.V(0, d, h), geom.V(w, d, h))
	b.Face(Own, geom.V(0, d, 0), geom.V(w, d, 0), geom.V(w, 0, 0), geom.V(0, 0, 0))
}

// platform has a top that stands over its skirt by 10 mm.
func platform(b *Solid, w, d, h float64) {
	t := min(0.03, h/2)
	b.Box(geom.V(0, 0, h-t), geom.V(w, d, h), 0.002, Own)
	const in = 0.01
	b.Box(geom.V(in, in, 0), geom.V(w-in, d-in, h-t), 0, Own)
}
