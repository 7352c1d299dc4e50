package accuracy

import (
	"fmt"
	"math"
	"strings"
)

// Section B, direct light: closed forms (Lambert 1760; Howell's catalogue B-3, B-4 for the
// rectangles).
func directScenes() []scene {
	gives := func(f ...figure) []figure { return f }
	return []scene{
		{name: "point", yaml: lab(`
lights: [{name: lamp, at: [0, 0, 2], aim: [0, 0, 0], emitter: {shape: point, intensity: 1000 cd}}]
points:
  - {name: a, at: [0, 0, 0], facing: up}
  - {name: b, at: [0, 0, 0], facing: [1.7320508, 0, 1]}
  - {name: c, at: [1.5, 0, 0], facing: up}`), gives: gives(
			lux("B1.1", "point of 1000 cd at 2 m", "a", 250), lux("B1.2", "the same at 60°", "b", 125),
			lux("B1.3", "cos³: 2 m up, 1.5 m off axis", "c", 128))},
		{name: "disc", yaml: lab(`
lights: [{name: lamp, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: disc, size: 1 m, luminance: 1000 cd/m2}}]
points:
  - {name: axis, at: [0, 0, 0], facing: up}
  - {name: off, at: [0.7, 0, 0], facing: up}`), gives: gives(
			lux("B2.1", "disc of 1000 cd/m², radius 0.5 m, 1 m on axis", "axis", 628.319),
			lux("B2.2", "the same 0.7 m off axis: form factor", "off", 0.110793).per(1/(1000*math.Pi), ""),
			lux("B2.3", "the same: illuminance", "off", 348.068))},
		{name: "square", yaml: lab(`
lights: [{name: lamp, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: rectangle, size: [1, 1], luminance: 1000 cd/m2}}]
points:
  - {name: corner, at: [0.5, 0.5, 0], facing: up}
  - {name: centre, at: [0, 0, 0], facing: up}`), gives: gives(
			lux("B3.1", "1 × 1 m, 1 m below a corner: form factor", "corner", 0.138532).per(1/(1000*math.Pi), ""),
			lux("B3.2", "1 m before the centre: form factor", "centre", 0.239456).per(1/(1000*math.Pi), ""),
			lux("B3.3", "the same: illuminance", "centre", 752.275))},
		{name: "softbox", yaml: lab(`
lights: [{name: box, at: [1.5, 0, 1], aim: [0, 0, 1], emitter: {shape: rectangle, size: [0.6, 0.9], luminance: 5000 cd/m2}}]
points: [{name: p, at: [0, 0, 1], facing: x+}]`), gives: gives(lux("B3.5", "0.6 × 0.9 m of 5000 cd/m², 1.5 m before it", "p", 1104.96))},
		{name: "square at right angles", yaml: lab(`
lights: [{name: box, at: [1, 0.5, 0.5], aim: [0, 0.5, 0.5], emitter: {shape: rectangle, size: [1, 1], luminance: 1000 cd/m2}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), gives: gives(
			lux("B3.6", "square at right angles, a corner at the foot: form factor", "p", 0.0557342).
				per(1/(1000*math.Pi), ""))},
		{name: "window", yaml: lab(`
lights: [{name: window, at: [2, 0, 0.75], aim: [0, 0, 0.75], emitter: {shape: rectangle, size: [2, 1.5], luminance: 1000 cd/m2}}]
points:
  - {name: up, at: [0, 0, 0], facing: up}
  - {name: facing, at: [0, 0, 0], facing: x+}`), gives: gives(
			lux("B3.7", "window 2 × 1.5 m, 2 m away, sill level with the point: horizontal form factor", "up",
				0.0506885).per(1/(1000*math.Pi), ""),
			lux("B3.8", "the same, facing it", "facing", 0.156784).per(1/(1000*math.Pi), ""))},
		{name: "triangle", yaml: lab(`
lights: [{name: sail, emitter: {shape: polygon, path: [[-1, -0.5, 1.5], [0, 1.5, 2.5], [1, 0, 2]], luminance: 1000 cd/m2}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), gives: gives(
			lux("B3.9", "triangle, Lambert's polygon formula: form factor", "p", 0.114785).per(1/(1000*math.Pi), ""))},
		{name: "tube", yaml: lab(`
lights: [{name: neon, emitter: {shape: tube, size: 12 mm, path: [[-0.6, 0, 0.5], [0.6, 0, 0.5]], luminance: 3000 cd/m2}}]
points:
  - {name: middle, at: [0, 0, 0], facing: up}
  - {name: foot, at: [-0.6, 0, 0], facing: x+}`), gives: gives(
			lux("B4.2", "tube 12 mm × 1.2 m of 3000 cd/m², facing its middle at 0.5 m", "middle", 98.486),
			lux("B4.3", "facing along the tube, 0.5 m from an end", "foot", 30.6746))},
		{name: "long tube", yaml: lab(`
lights: [{name: neon, emitter: {shape: tube, size: 12 mm, path: [[-100, 0, 0.5], [100, 0, 0.5]], luminance: 3000 cd/m2}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), gives: gives(lux("B4.4", "endless tube at 0.5 m (200 m here)", "p", 113.097))},
		{name: "tube by flux", yaml: lab(`
lights: [{name: neon, emitter: {shape: tube, size: 12 mm, path: [[-0.6, 0, 0.5], [0.6, 0, 0.5]], flux: 426.367 lm}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), gives: gives(lux("B4.5", "the tube by its flux of 426.367 lm: the reading of B4.2", "p", 98.486))},
		{name: "sphere", yaml: lab(`
lights: [{name: ball, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: sphere, size: 30 cm, luminance: 1000 cd/m2}}]
points:
  - {name: facing, at: [0, 0, 0], facing: up}
  - {name: tilted, at: [0, 0, 0], facing: [1.7320508, 0, 1]}`), gives: gives(
			lux("B5.1", "sphere of radius 0.15 m, 1000 cd/m², at 1 m", "facing", 70.6858),
			lux("B5.2", "the same at 60°", "tilted", 35.3429))},
		fiveTimes(),
		{name: "profiles", yaml: lab(`
lights:
  - {name: even, at: [0, 0, 2], aim: [0, 0, 0], emitter: {shape: point, flux: 1256.64 lm}}
  - {name: face, at: [100, 0, 2], aim: [100, 0, 0], emitter: {shape: disc, size: 1 cm, flux: 314.159 lm}}
  - {name: cone, at: [200, 0, 2], aim: [200, 0, 0], emitter: {shape: point, flux: 378.922 lm, beam: 40 deg}}
points:
  - {name: even, at: [0, 0, 0], facing: up}
  - {name: disc, at: [100, 0, 0], facing: up}
  - {name: cone, at: [200, 0, 0], facing: up}`), gives: gives(
			exactly("B11.1", "1256.64 lm all round: 100 cd", 25, "lx", 25*0.014,
				func(a *answered) float64 { return a.point("even").light("even").Direct }),
			exactly("B11.2", "314.159 lm from a Lambertian face: 100 cd on axis", 25, "lx", 25*0.014,
				func(a *answered) float64 { return a.point("disc").light("face").Direct }),
			exactly("B11.3", "378.922 lm in a cone of 40°: 1000 cd", 250, "lx", 2.5*0.014,
				func(a *answered) float64 { return a.point("cone").light("cone").Direct }))},
		{name: "lit side and shadow side", yaml: lab(`
camera: {at: [5, 0, 0], aim: [0, 0, 0], shutter: 1/125 s}
lights:
  - {name: key, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: point, intensity: 160 cd s}}
  - {name: fill, at: [0, 2, 0], aim: [0, 0, 0], emitter: {shape: point, intensity: 160 cd s}}
points:
  - {name: lit, at: [0, 0, 0], facing: [0, 0, 1]}
  - {name: fill alone, at: [0, 0, 0], facing: y+}`), gives: gives(
			exactly("A7.8", "key at f/8, fill at f/4, fill on both sides: lit over shadow", 5, ":1", 0.01,
				func(a *answered) float64 {
					k, f := a.point("lit").LuxSeconds, a.point("fill alone").LuxSeconds
					return (k + f) / f
				}))},
	}
}

// fiveTimes: how much too high the point rule reads near a disc, a square, a tube (B6).
func fiveTimes() scene {
	var b strings.Builder
	b.WriteString(`lights:
  - {name: disc, at: [0, 0, 0], aim: [1, 0, 0], emitter: {shape: disc, size: 1 m, intensity: 1000 cd}}
  - {name: square, at: [0, 100, 0], aim: [1, 100, 0], emitter: {shape: rectangle, size: [1, 1], intensity: 1000 cd}}
  - {name: tube, emitter: {shape: tube, size: 1 mm, path: [[0, 200, -0.5], [0, 200, 0.5]], intensity: 1000 cd}}
points:
`)
	s := scene{name: "five times rule", error: 0.001}
	for _, c := range []struct {
		id, light string
		y         int
		d, want   float64
	}{{"B6.1", "disc", 0, 1, 25}, {"B6.2", "disc", 0, 2, 6.25}, {"B6.3", "disc", 0, 3, 2.77778},
		{"B6.4", "disc", 0, 5, 1},
		{"B6.5", "square", 100, 1, 32.9302}, {"B6.6", "square", 100, 2, 8.30162}, {"B6.7", "square", 100, 3, 3.69712},
		{"B6.8", "square", 100, 5, 1.33246},
		{"B6.9", "tube", 200, 1, 15.788}, {"B6.10", "tube", 200, 2, 4.1075}, {"B6.11", "tube", 200, 5, 0.665118}} {
		fmt.Fprintf(&b, "  - {name: %s, at: [%g, %d, 0], facing: x-}\n", c.id, c.d, c.y)
		// 1.4 % of light is 0.02 st.
		s.gives = append(s.gives, exactly(c.id, fmt.Sprintf("%s: point rule too high at %g × its size", c.light, c.d),
			c.want, "%", 1.4*(1+c.want/100),
			func(a *answered) float64 { return (1000/c.d/c.d/a.point(c.id).light(c.light).Direct - 1) * 100 }))
	}
	s.yaml = lab(b.String())
	return s
}
