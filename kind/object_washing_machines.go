package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "washing machines", Says: "a row of front loaders", Size: [3]float64{2.6, 0.7, 1.05},
	Surface: "white enamel", Solid: true, Foot: Square, Body: machines})

// machines is a row of front loaders under one slab, each about 0.65 m wide: enamel body, panel,
// round door in a steel ring, plinth.
func machines(b *Solid, w, d, h float64) {
	mat := Own
	n := max(1, int(math.Round(w/0.66)))
	step := w / float64(n)
	ring, dark, panel := b.Surface("chrome"), b.Surface("black gloss"), b.Surface("pale grey")
	slab := min(0.04, h*0.05)
	b.Box(geom.V(0, 0.012, h-slab), geom.V(w, d, h), 0.004, b.Surface("dark grey"))
	body := h - slab
	foot := 0.08
	b.Box(geom.V(0.02, 0.06, 0), geom.V(w-0.02, d, foot+0.01), 0.002, dark)
	for i := range n {
		x0, x1 := float64(i)*step+0.003, float64(i+1)*step-0.003
		x := (x0 + x1) / 2
		b.Box(geom.V(x0, 0.03, foot), geom.V(x1, d, body-0.002), 0.008, mat)
		// Control panel: proud of the body, with a coin box, a dial and a window.
		top := body - 0.02
		b.Box(geom.V(x0+0.02, 0.02, top-0.13), geom.V(x1-0.02, 0.035, top), 0.004, panel)
		b.Box(geom.V(x1-0.14, 0.008, top-0.11), geom.V(x1-0.05, 0.03, top-0.02), 0.004, ring)
		b.Turned(geom.V(x0+0.10, 0.021, top-0.065), geom.V(0, -1, 0), [][2]float64{{0.034, 0}, {0.03, 0.016}, {0,
			0.016}}, 24, ring)
		b.Box(geom.V(x0+0.17, 0.016, top-0.09), geom.V(x0+0.30, 0.03, top-0.04), 0.002, dark)
		// Door: ring, hinge side left, a dished glass that shows the dark drum.
		r := min(0.21, step*0.34, (body-foot)*0.3)
		z := foot + (top-0.13-foot)*0.52
		c := geom.V(x, 0.031, z)
		out := geom.V(0, -1, 0)
		b.Turned(c, out, [][2]float64{{r, 0}, {r, 0.012}, {r - 0.012, 0.026}, {r - 0.045, 0.026}, {r - 0.055, 0.012}},
			48, ring)
		rg := r - 0.055
		var dish [][2]float64
		for k := range 7 {
			t := float64(k) / 6 * math.Pi / 2
			dish = append(dish, [2]float64{rg * math.Cos(t), 0.012 + 0.03*math.Sin(t)})
		}
		dish[6][0] = 0
		b.Turned(c, out, dish, 40, dark)
		b.Box(geom.V(x+r-0.035, 0.0, z-0.04), geom.V(x+r-0.012, 0.012, z+0.04), 0.004, panel)
	}
}
