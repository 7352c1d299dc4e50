package kind

import (
	"math"

	"halfstop/geom"
)

var _ = objects.add(Object{Word: "car", Says: "a small car, simple in form", Size: [3]float64{4.1, 1.75, 1.45},
	Surface: "deep red gloss", Solid: true, Foot: Square, Body: car})

// car is a hatchback without detail that would name it: a body lofted along its length, a cabin
// with dark glass, wheels, lamps.
func car(b *Solid, w, d, h float64) {
	dark, tyre := b.Surface("black gloss"), b.Surface("dark grey")
	rim, lamp := b.Surface("aluminium brushed"), b.Surface("chrome")
	soft := func(x, a, b float64) float64 {
		if a == b {
			return 0
		}
		t := min(max((x-a)/(b-a), 0), 1)
		return t * t * (3 - 2*t)
	}
	sill, waist := 0.19*h, 0.60*h
	// lower body: sections across are rounded oblongs whose top follows bonnet and tail
	top := func(u float64) float64 {
		return sill + (waist-sill)*(0.62+0.38*soft(u, 0.0, 0.24))*(0.80+0.20*soft(u, 1.0, 0.93))
	}
	half := func(u float64) float64 { return d / 2 * (0.82 + 0.18*soft(u, 0, 0.2)*soft(u, 1, 0.88)) }
	section := func(u, v, zlo, zhi, halfw, tuck float64) geom.Vec {
		s, c := math.Sincos(2*math.Pi*v - math.Pi/2)
		p := func(x, e float64) float64 { return math.Copysign(math.Pow(math.Abs(x), e), x) }
		z := (zlo+zhi)/2 + (zhi-zlo)/2*p(s, 0.38)
		y := halfw * p(c, 0.38) * (1 - tuck*soft(z, zlo, zhi))
		return geom.V(w*u, d/2+y, z)
	}
	loft := func(u0, u1 float64, mat int, zlo, zhi, hw func(u float64) float64, tuck float64) {
		at := func(u, v float64) geom.Vec {
			q := u0 + (u1-u0)*u
			e := math.Sqrt(max(0, 1-math.Pow(math.Abs(2*u-1), 14))) // ends are rounded off
			lo, hi := zlo(q), zhi(q)
			m := (lo + hi) / 2
			return section(q, v, m+(lo-m)*e, m+(hi-m)*e, hw(q)*(0.25+0.75*e), tuck)
		}
		b.Grid(60, 40, mat, func(u, v float64) geom.Vec { return at(min(max(u, 0), 1), v) })
	}
	flat := func(z float64) func(float64) float64 { return func(float64) float64 { return z } }
	loft(0, 1, Own, flat(sill), top, half, 0.06)
	roof := func(u float64) float64 {
		return waist*0.9 + (h-waist*0.9)*soft(u, 0.25, 0.48)*soft(u, 0.995, 0.80)
	}
	cabin := func(u float64) float64 { return 0.94 * d / 2 }
	loft(0.25, 0.97, dark, flat(waist*0.86), func(u float64) float64 { return roof(u) - 0.022 },
		func(u float64) float64 { return cabin(u) - 0.012 }, 0.22)
	loft(0.40, 0.93, Own, func(u float64) float64 { return roof(u) - 0.07 }, roof,
		func(u float64) float64 { return 0.80 * cabin(u) }, 0.04)
	r := 0.215 * h
	for _, u := range [2]float64{0.185, 0.80} {
		for _, side := range [2]float64{-1, 1} {
			c, ax := geom.V(w*u, d/2+side*0.43*d, r), geom.V(0, side, 0)
			b.Turned(c.Add(geom.V(0, 0, 0.22*r)), ax, [][2]float64{{0, -0.1}, {1.22 * r, -0.1}, {1.22 * r, 0.058 * d},
				{0, 0.058 * d}}, 40, dark)
			b.Turned(c, ax, [][2]float64{{0, -0.05}, {r, -0.05}, {r, 0.055 * d}, {0.95 * r, 0.064 * d}, {0.66 * r,
				0.064 * d}, {0.63 * r, 0.05 * d}}, 40, tyre)
			b.Turned(c, ax, [][2]float64{{0.64 * r, 0.06 * d}, {0.5 * r, 0.052 * d}, {0.12 * r, 0.056 * d}, {0,
				0.058 * d}}, 40, rim)
		}
	}
	for _, side := range [2]float64{-1, 1} {
		b.cushion(geom.V(0.012*w, d/2+side*0.33*d-0.13, 0.40*h), geom.V(0.05*w, d/2+side*0.33*d+0.13, 0.47*h), 0, lamp)
	}
	b.Box(geom.V(0.006*w, 0.24*d, 0.24*h), geom.V(0.02*w, 0.76*d, 0.33*h), 0.01, dark)
}
