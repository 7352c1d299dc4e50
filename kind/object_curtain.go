package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "curtain", Says: "a curtain that hangs in folds from a pole", Size: [3]float64{1.2,
	0.14, 2.2},
	Surface: "burgundy velvet", Foot: Square, Body: curtain})

// curtain hangs in round folds 11 cm or so apart, even at the pole and looser to the hem; one
// sheet with two sides. Half again as much cloth as width is common practice, no source.
func curtain(b *Solid, w, d, h float64) {
	n := max(3, int(math.Round(w/0.11)))
	wave := func(u, v float64) geom.Vec {
		loose := 1 - v
		ph := 2 * math.Pi * float64(n) * (u + loose*0.25*(0.6*math.Sin(5.1*u*2+1)+0.4*math.Sin(11*u+3))/float64(n))
		amp := (0.5*d - 0.008) * (0.62 + 0.38*math.Sin(3.3*u*2*math.Pi+2*loose)*loose)
		s := math.Sin(ph)
		x := w*u + 0.22*w/float64(n)*math.Sin(2*ph)*0.35
		return geom.V(min(max(x, 0), w), d/2+amp*(s+0.12*math.Sin(3*ph)), 0.004+(h-0.05)*v)
	}
	b.Grid(n*14, 18, Own, wave)          // one sheet: what passes light passes it once a fold
	for _, y := range [2]float64{0, d} { // light comes to the folds through one face of their box, whichever it is
		b.Cloth(geom.V(0, y, 0.004), geom.V(w, 0, 0), geom.V(0, 0, h-0.05))
	}
	metal := b.Surface("steel brushed")
	b.Rod(geom.V(0, d/2, h-0.012), geom.V(w, d/2, h-0.012), 0.012, metal)
	for i := range n {
		b.Rod(geom.V(w*(float64(i)+0.5)/float64(n), d/2, h-0.055), geom.V(w*(float64(i)+0.5)/float64(n), d/2, h-0.028),
			0.003, metal)
	}
}
