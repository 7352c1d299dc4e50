package kind

import (
	"math"

	"halfstop/geom"
)

var (
	_ = objects.add(Object{Word: "glass", Says: "a drinking glass, a third full", Size: [3]float64{0.075, 0.075, 0.12},
		Surface: "water", Foot: Round, Body: tumbler})
	_ = objects.add(Object{Word: "wine glass", Says: "a wine glass, a third full", Size: [3]float64{0.085, 0.085, 0.21},
		Surface: "red wine", Foot: Round, Body: wineGlass})
	_ = objects.add(Object{Word: "glass bottle", Says: "a bottle of glass with what is in it", Size: [3]float64{0.076,
		0.076, 0.3},
		Surface: "red wine", Foot: Round, Body: glassBottle})
)

// tumbler has walls and a thick bottom of glass; what the shoot says it is made of is the liquid.
func tumbler(b *Solid, w, d, h float64) {
	g := b.Surface("glass clear")
	r, c, up := min(w, d)/2, geom.V(w/2, d/2, 0), geom.V(0, 0, 1)
	b.Turned(c, up, [][2]float64{{0, 0}, {0.82 * r, 0}, {r, h}}, 40, g)
	b.Turned(c, up, [][2]float64{{r - 0.002, h}, {0.80*r - 0.001, 0.09 * h}, {0, 0.09 * h}}, 40, g)
	fill := 0.42
	b.Turned(c, up, [][2]float64{{0, 0.095 * h}, {0.79*r - 0.002, 0.095 * h}, {(0.82+0.18*fill)*r - 0.0035, fill * h},
		{0, fill * h}}, 40, Own)
}

// wineGlass is a bowl on a stem.
func wineGlass(b *Solid, w, d, h float64) {
	g := b.Surface("glass clear")
	r, c, up := min(w, d)/2, geom.V(w/2, d/2, 0), geom.V(0, 0, 1)
	bowl := func(t float64) float64 { // radius at t of the bowl's height
		return r * (0.30 + 0.70*math.Sqrt(max(0, math.Sin(math.Pi*(0.06+0.60*t)))))
	}
	z0 := 0.46 * h
	profile := [][2]float64{{0, 0}, {0.86 * r, 0.002}, {0.3 * r, 0.008}, {0.08 * r, 0.03}, {0.07 * r, 0.40 * h}}
	const n = 14
	for i := range n + 1 {
		t := float64(i) / n
		profile = append(profile, [2]float64{bowl(t), z0 + (h-z0)*t})
	}
	b.Turned(c, up, profile, 40, g)
	fill := 0.36
	liquid := [][2]float64{{0, z0 + 0.004}}
	for i := range n + 1 {
		t := 0.02 + fill*float64(i)/n
		liquid = append(liquid, [2]float64{bowl(t) - 0.0015, z0 + 0.004 + (h-z0)*t})
	}
	b.Turned(c, up, append(liquid, [2]float64{0, z0 + 0.004 + (h-z0)*(fill+0.02)}), 40, Own)
}

// glassBottle has a round shoulder, a label of paper and liquid to below the neck.
func glassBottle(b *Solid, w, d, h float64) {
	g, paper, foil := b.Surface("bottle green"), b.Surface("cream emulsion"), b.Surface("deep red gloss")
	r, c, up := min(w, d)/2-0.0004, geom.V(w/2, d/2, 0), geom.V(0, 0, 1)
	neck := 0.38 * r
	shape := func(in float64) [][2]float64 {
		p := [][2]float64{{0, in}, {0.92*r - in, in}, {r - in, 0.02*h + in}, {r - in, 0.58 * h}}
		const n = 10
		for k := 1; k <= n; k++ {
			t := float64(k) / n
			p = append(p, [2]float64{neck + (r-neck)*(0.5+0.5*math.Cos(math.Pi*t)) - in, h * (0.58 + 0.17*t)})
		}
		return p
	}
	b.Turned(c, up, append(shape(0), [2]float64{neck, 0.97 * h}, [2]float64{1.12 * neck, 0.975 * h},
		[2]float64{1.12 * neck, h},
		[2]float64{0, h}), 40, g)
	b.Turned(c, up, append(shape(0.003), [2]float64{0, 0.75 * h}), 40, Own)
	b.Turned(c, up, [][2]float64{{r + 0.0003, 0.16 * h}, {r + 0.0003, 0.44 * h}}, 40, paper)
	b.Turned(c, up, [][2]float64{{neck + 0.0004, 0.82 * h}, {1.13*neck + 0.0004, 0.97 * h}, {1.13 * neck, 1 * h}}, 32,
		foil)
}
