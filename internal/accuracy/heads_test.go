package accuracy

import (
	"fmt"
	"math"
)

// Section J and the ways to define a head: each must give back, metered in an empty black place,
// what it is defined by.
func headScenes() []scene {
	gives := func(f ...figure) []figure { return f }
	cosine := func(deg float64) float64 { return 100 * math.Cos(deg*math.Pi/180) }
	spot := func(deg float64) float64 { return 1000 * math.Pow(math.Cos(deg*math.Pi/180), 8) }
	batwing := func(deg, c float64) float64 {
		s, k := math.Sincos(deg * math.Pi / 180)
		cc := math.Cos(c * math.Pi / 180)
		return 100 * (k + 3*s*s*k*cc*cc)
	}
	// around lists points 10 m from a fixture that shines down, at an angle off its axis in the
	// plane of x, facing it: E = I/100.
	around := func(photometry string, of func(deg float64) float64, id string) scene {
		y := "lights: [{name: lamp, at: [0, 0, 10], aim: [0, 0, 0], emitter: {shape: point, photometry: " + photometry +
			"}}]\npoints:\n"
		s := scene{name: "candela of " + photometry}
		for _, deg := range []float64{0, 20, 40, 60, 80} {
			sin, cos := math.Sincos(deg * math.Pi / 180)
			y += fmt.Sprintf("  - {name: a%g, at: [%s, 0, %s], facing: [%s, 0, %s]}\n", deg, num(10*sin),
				num(10-10*cos), num(-sin), num(cos))
			if of(deg) > 0.01 {
				s.gives = append(s.gives, lux(fmt.Sprintf("%s %g°", id, deg),
					fmt.Sprintf("%s: candela at %g° off the axis", photometry, deg), fmt.Sprintf("a%g", deg),
					of(deg)).per(100, "cd"))
			}
		}
		s.yaml = lab(y)
		return s
	}
	kit := func(head, light, points string) string {
		return "halfstop: 1\nkit:\n  heads:\n    - " + head + "\nsetups:\n  - name: empty black place\n    lights: [" +
			light + "]\n    points: [" + points + "]\n"
	}
	mounted := "{name: l, head: h, modifier: bare, at: [0, 0, 5], aim: [0, 0, 0]}"
	practical := func(p string, points string) string {
		return "halfstop: 1\nroom:\n  practicals:\n    - " + p +
			"\nsetups:\n  - name: empty black place\n    points: [" + points + "]\n"
	}
	return []scene{
		around("cosine.ies", cosine, "J2.1"),
		around("cosine.ldt", cosine, "J2.1 ldt"),
		around("spot.ies", spot, "J spot"),
		around("spot.ldt", spot, "J spot ldt"),
		// Upright frame of a light that points straight down: its width, and the web's plane C 0,
		// lies along x.
		around("batwing.ies", func(d float64) float64 { return batwing(d, 0) }, "J batwing"),
		around("batwing.ldt", func(d float64) float64 { return batwing(d, 0) }, "J batwing ldt"),
		{name: "photometry scaled to a flux", yaml: lab(`
lights: [{name: lamp, at: [0, 0, 10], aim: [0, 0, 0], emitter: {shape: point, photometry: cosine.ies, flux: 313.96 lm}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), gives: gives(
			lux("J2.1 flux", "cosine table scaled to its own 313.96 lm: candela on axis", "p", 100).per(100, "cd"))},
		{name: "photometry on a face", yaml: lab(`
lights:
  - {name: lamp, at: [0, 0, 10], aim: [0, 0, 0], emitter: {shape: disc, size: 10 cm, photometry: cosine.ies}}
  - {name: other, at: [100, 0, 10], aim: [100, 0, 0], emitter: {shape: rectangle, size: [10 cm, 10 cm], photometry: cosine.ies}}
points:
  - {name: p, at: [0, 0, 0], facing: up}
  - {name: q, at: [10, 0, 0], facing: up}
  - {name: r, at: [110, 0, 0], facing: up}`), gives: gives(
			exactly("J face", "cosine table on a disc of 10 cm, 10 m below", 1, "lx", 0.014,
				func(a *answered) float64 { return a.point("p").light("lamp").Direct }),
			exactly("J face 45°", "the same at 45°: 100 cos⁴/100", 0.25, "lx", 0.0035,
				func(a *answered) float64 { return a.point("q").light("lamp").Direct }),
			exactly("J rectangle 45°", "on a square of 10 cm at 45°", 0.25, "lx", 0.0035,
				func(a *answered) float64 { return a.point("r").light("other").Direct }))},
		{name: "head by photometric file",
			yaml: kit("{name: h, kind: continuous, photometry: spot.ies, colour: {kelvin: 5600 K}, mount: frame}",
				mounted,
				"{name: p, at: [0, 0, 0], facing: up}, {name: q, at: [1.81985, 0, 0], facing: [-1.81985, 0, 5]}"),
			gives: gives(
				lux("head photometry", "head by spot.ies: candela on axis", "p", 1000).per(25, "cd"),
				lux("head photometry 20°", "and 20° off", "q", spot(20)).per(25+1.81985*1.81985, "cd"))},
		{name: "head by what it gives",
			yaml: kit("{name: h, kind: continuous, gives: {lux: 4000 lx, at: 1 m}, face: {shape: rectangle, size: "+
				"[0.6, 0.6], beam: 110 deg}, colour: {kelvin: 5600 K}, mount: frame}", mounted,
				"{name: p, at: [0, 0, 4], facing: up}"), gives: gives(
				lux("head gives", "4000 lx at 1 m from a face of 0.6 m (near field)", "p", 4000))},
		{name: "head by what it gives, near", yaml: kit(
			"{name: h, kind: continuous, gives: {lux: 4000 lx, at: 0.5 m}, face: {shape: disc, size: [0.6], beam: "+
				"80 deg}, colour: {kelvin: 5600 K}, mount: frame}", mounted,
			"{name: p, at: [0, 0, 4.5], facing: up}"), gives: gives(
			lux("head gives near", "4000 lx at 0.5 m from a disc of 0.6 m", "p", 4000))},
		{name: "head by flux",
			yaml: kit("{name: h, kind: continuous, flux: 3141.59265 lm, face: {shape: rectangle, size: [0.1, "+
				"0.1], beam: 120 deg}, colour: {kelvin: 5600 K}, mount: frame}", mounted,
				"{name: p, at: [0, 0, 0], facing: up}"), gives: gives(
				lux("head flux", "3141.6 lm from a Lambertian face of 10 cm: 1000 cd on axis", "p",
					1000).per(25, "cd"))},
		{name: "head by reading",
			yaml: kit("{name: h, kind: flash, reads: [{f-number: f/8 + 0.3, from: 2 m, modifier: bare}], face: "+
				"{shape: disc, size: [0.4], beam: 100 deg}, colour: {lamp: xenon flash}, mount: frame}", mounted,
				"{name: p, at: [0, 0, 3], facing: up}"), gives: gives(
				fNumber("head reads", "read f/8 + 0.3 from 2 m", "p", 8*math.Exp2(0.15)))},
		{name: "head by a dome's reading of its box", yaml: kit(
			"{name: h, kind: flash, reads: [{f-number: f/5.6 + 0.0, from: 1 m, modifier: softbox 60x90, receptor: "+
				"dome}], mount: bayonet, colour: {lamp: xenon flash}}",
			"{name: l, head: h, modifier: softbox 60x90, at: [0, 0, 5], aim: [0, 0, 0]}",
			"{name: p, at: [0, 0, 4], facing: up, receptor: dome}"), gives: gives(
			fNumber("head reads box", "dome read f/5.6 1 m before a box of 60 × 90 cm", "p", math.Exp2(2.5)))},
		{name: "head of a tube",
			yaml: kit("{name: h, kind: continuous, gives: {lux: 1000 lx, at: 0.5 m}, face: {shape: tube, size: "+
				"[1.2, 26 mm]}, colour: {kelvin: 5600 K}, mount: tube}", mounted,
				"{name: p, at: [0, 0, 4.487], facing: up}"), gives: gives(
				lux("head tube", "1000 lx at 0.5 m from the face of a tube of 1.2 m × 26 mm", "p", 1000))},
		{name: "head of a ball",
			yaml: kit("{name: h, kind: continuous, gives: {lux: 1000 lx, at: 0.5 m}, face: {shape: sphere, size: "+
				"[60 cm]}, colour: {kelvin: 5600 K}, mount: frame}", mounted,
				"{name: p, at: [0, 0, 4.2], facing: up}"), gives: gives(
				lux("head ball", "1000 lx at 0.5 m from the face of a ball of 60 cm", "p", 1000))},
		{name: "practical by reading, tube", yaml: practical(
			"{name: sign, path: [[0, 0, 2], [1.2, 0, 2]], colour: neon red, reads: {f-number: f/2.8, shutter: "+
				"1/60 s, iso: 800, from: 1 m}}", "{name: p, at: [0.6, 0, 1], facing: up}"), gives: gives(
			lux("reads tube", "tube read f/2.8, 1/60 s, ISO 800 at 1 m from its middle: N² C/(t S)", "p",
				8*60*250/800.0))},
		{name: "practical by reading, disc", yaml: practical(
			"{name: lamp, at: [0, 0, 3], emitter: {shape: disc, size: 50 cm}, reads: {lux: 300 lx, from: 0.7 m}}",
			"{name: p, at: [0, 0, 2.3], facing: up}"), gives: gives(
			lux("reads disc", "disc of 50 cm read 300 lx at 0.7 m", "p", 300))},
		{name: "practical by reading, ball", yaml: practical(
			"{name: globe, at: [0, 0, 3], emitter: {shape: sphere, size: 50 cm}, reads: {lux: 300 lx, from: 1 m}}",
			"{name: p, at: [0, 0, 1.75], facing: up}"), gives: gives(
			lux("reads ball", "ball of 50 cm read 300 lx at 1 m from its face", "p", 300))},
		{name: "practical by reading, spot", yaml: practical(
			"{name: lamp, at: [0, 0, 3], emitter: {shape: rectangle, size: [0.5, 0.5]}, reads: {f-number: f/8, "+
				"shutter: 1/125 s, receptor: spot}}", "{name: p, at: [0, 0, 3], from: [0, 0, 1], receptor: spot}"),
			gives: gives(
				luminance("reads spot", "rectangle spot-read f/8, 1/125 s, ISO 100: N² K/(t S)",
					"p", 64*125*12.5/100))},
		{name: "practical by flux",
			yaml: practical("{name: bulb, at: [0, 0, 3], emitter: {shape: sphere, size: 6 cm}, flux: 806 lm}",
				"{name: p, at: [0, 0, 1], facing: up}"), gives: gives(
				lux("practical flux", "ball of 806 lm at 2 m: Φ/(4π d²)", "p", 806/(16*math.Pi)))},
		{name: "grid and box keep the axis", yaml: `halfstop: 1
kit:
  heads: [{name: h, kind: flash, guide number: 40 m, rated with: softbox 60x90, mount: bayonet, colour: {lamp: xenon flash}}]
setups:
  - name: rated with its box
    lights: [{name: l, head: h, modifier: softbox 60x90, at: [0, 0, 40], aim: [0, 0, 0]}]
    points: [{name: p, at: [0, 0, 0], facing: up}]
`, gives: gives(
			luxSeconds("head guide box", "guide number 40 m with a box, seen from 40 m: C/S · GN²/d² = 2.5 lx s",
				"p", 2.5))},
	}
}
