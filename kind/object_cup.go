package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "cup", Says: "a paper cup", Size: [3]float64{0.08, 0.08, 0.11},
	Surface: "paper white", Foot: Round, Body: cup})

// cup is of paper: open, wider at its rolled rim.
func cup(b *Solid, w, d, h float64) {
	mat := Own
	r, c := min(w, d)/2, geom.V(w/2, d/2, 0)
	rim := 0.05 * r
	profile := [][2]float64{{0, 0.02 * h}, {0.68 * r, 0.02 * h}, {0.68 * r, 0}, {0.70 * r, 0}, {r - rim, h - 2*rim}}
	for k := range 7 { // over the rim
		sn, cs := math.Sincos(math.Pi * (float64(k)/6 - 0.5))
		profile = append(profile, [2]float64{r - rim + rim*cs, h - rim + rim*sn})
	}
	profile = append(profile, [2]float64{r - 1.6*rim, h - 2*rim}, [2]float64{0.66 * r, 0.05 * h}, [2]float64{0,
		0.05 * h})
	b.Turned(c, geom.V(0, 0, 1), profile, 40, mat)
}
