package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "bottle", Says: "a bottle with a cap", Size: [3]float64{0.09, 0.09, 0.28},
	Surface: "white gloss", Foot: Round, Body: bottle})

// bottle is a body of round shoulders with a neck and a screw cap.
func bottle(b *Solid, w, d, h float64) {
	mat, lid := Own, b.Surface("white gloss")
	r, c := min(w, d)/2, geom.V(w/2, d/2, 0)
	neck := 0.42 * r
	profile := [][2]float64{{0, 0}, {0.9 * r, 0}, {r, 0.02 * h}, {r, 0.60 * h}}
	const n = 10
	for k := 1; k <= n; k++ { // the shoulder: half a wave from body to neck
		t := float64(k) / n
		profile = append(profile, [2]float64{neck + (r-neck)*(0.5+0.5*math.Cos(math.Pi*t)), h * (0.60 + 0.24*t)})
	}
	b.Turned(c, geom.V(0, 0, 1), append(profile, [2]float64{neck, 0.90 * h}, [2]float64{0, 0.90 * h}), 40, mat)
	k := 1.12 * neck
	b.Turned(c, geom.V(0, 0, 1), [][2]float64{{0, 0.88 * h}, {k, 0.88 * h}, {k, 0.985 * h}, {0.85 * k, h}, {0, h}},
		32, lid)
}
