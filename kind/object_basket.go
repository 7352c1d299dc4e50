package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "basket", Says: "a basket of laundry", Size: [3]float64{0.55, 0.38, 0.28},
	Surface: "white gloss", Foot: Square, Body: basket})

// basket is an open laundry basket of plastic: a floor, upright bars, two hoops and a rim, with
// cloth in it up to the rim.
func basket(b *Solid, w, d, h float64) {
	mat, cloth := Own, b.Surface("white cotton")
	const t, bar = 0.004, 0.012
	b.Box(geom.V(t, t, 0), geom.V(w-t, d-t, 0.03), 0.004, mat)
	for _, z := range [2][2]float64{{0.45 * h, 0.45*h + 0.02}, {h - 0.03, h}} {
		out := 0.0
		if z[1] < h {
			out = t / 2
		}
		b.Box(geom.V(out, out, z[0]), geom.V(w-out, out+2*t, z[1]), 0.002, mat)
		b.Box(geom.V(out, d-out-2*t, z[0]), geom.V(w-out, d-out, z[1]), 0.002, mat)
		b.Box(geom.V(out, out+2*t, z[0]), geom.V(out+2*t, d-out-2*t, z[1]), 0.002, mat)
		b.Box(geom.V(w-out-2*t, out+2*t, z[0]), geom.V(w-out, d-out-2*t, z[1]), 0.002, mat)
	}
	row := func(l float64, put func(x float64)) {
		n := max(2, int(math.Round(l/0.032)))
		for i := range n {
			put((l-bar)*float64(i)/float64(n-1) + 0)
		}
	}
	row(w-2*t, func(x float64) {
		for _, y := range [2]float64{t, d - 2*t} {
			b.Box(geom.V(t+x, y, 0.02), geom.V(t+x+bar, y+t, h-0.02), 0.001, mat)
		}
	})
	row(d-2*t, func(y float64) {
		for _, x := range [2]float64{t, w - 2*t} {
			b.Box(geom.V(x, t+y, 0.02), geom.V(x+t, t+y+bar, h-0.02), 0.001, mat)
		}
	})
	// What lies in it: a few folds across each other.
	in := geom.V(3*t, 3*t, 0.03)
	n := 4
	for i := range n {
		z0, z1 := in.Z+(h-0.05)*float64(i)/float64(n), in.Z+(h-0.05)*float64(i+1)/float64(n)
		b.fold(in.X+0.01*float64(i%2), w-3*t-0.02*float64((i+1)%2), in.Y+0.02*Hash2(int64(i), 41), d-3*t, z0, min(z1,
			h-0.01), cloth)
	}
}
