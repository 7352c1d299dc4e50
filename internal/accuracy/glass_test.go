package accuracy

import (
	"fmt"
	"math"
	"strings"
)

// slab is the transmittance of a clear pane by Fresnel's equations with all internal bounces,
// worked out here on its own: the reference of the panes below. C4.1 to C4.6 are its values at six
// angles.
func slab(cos, n float64) float64 {
	sinT := math.Sqrt(1-cos*cos) / n
	cosT := math.Sqrt(1 - sinT*sinT)
	rs := math.Pow((cos-n*cosT)/(cos+n*cosT), 2)
	rp := math.Pow((cosT-n*cos)/(cosT+n*cos), 2)
	return ((1-rs)/(1+rs) + (1-rp)/(1+rp)) / 2
}

// Section C4: glass.
func glassScenes() []scene {
	gives := func(f ...figure) []figure { return f }
	var b strings.Builder
	s := scene{name: "pane at a slant", error: 0.002}
	b.WriteString("lights:\n")
	for i := range 6 {
		fmt.Fprintf(&b,
			"  - {name: l%d, at: [%d, 0, 2], aim: [%d, 0, 0], emitter: {shape: disc, size: 20 cm, luminance: 1000 "+
				"cd/m2}}\n", i, 100*i, 100*i)
	}
	b.WriteString("objects:\n")
	for i, deg := range []float64{0, 30, 45, 60, 75, 85} {
		sin, cos := math.Sincos(deg * math.Pi / 180)
		fmt.Fprintf(&b,
			"  - {name: pane %d, quad: {at: [%d, 0, 1], facing: [0, %s, %s], size: [1, 4]}, surface: {clear: 1, "+
				"coat: 1.52}}\n", i, 100*i, num(sin), num(-cos))
	}
	b.WriteString("points:\n")
	for i, want := range []float64{0.918318, 0.915957, 0.902528, 0.843471, 0.614805, 0.245646} {
		fmt.Fprintf(&b, "  - {name: through %d, at: [%d, 0, 2], from: [%d, 0, 0], receptor: spot, angle: 1 deg}\n", i,
			100*i, 100*i)
		s.gives = append(s.gives, luminance(fmt.Sprintf("C4.%d", i+1),
			fmt.Sprintf("clear pane n = 1.52 at %d°: transmittance", []int{0, 30, 45, 60, 75, 85}[i]),
			fmt.Sprintf("through %d", i), want).per(1e-3, ""))
	}
	s.yaml = lab(b.String())

	// An area source behind a pane, and the same in its mirror image: integrals of L·T and L·R over
	// the disc by Simpson's rule.
	through, back := 0.0, 0.0
	const steps = 2000
	edge := math.Atan(0.5 / 1.0)
	for i := 0; i <= steps; i++ {
		w := 2.0
		if i%2 == 1 {
			w = 4
		}
		if i == 0 || i == steps {
			w = 1
		}
		th := edge * float64(i) / steps
		f := 2 * math.Pi * math.Cos(th) * math.Sin(th) * w * edge / steps / 3 * 1000
		through += f * slab(math.Cos(th), 1.52)
		back += f * (1 - slab(math.Cos(th), 1.52))
	}
	return []scene{s,
		{name: "area source behind a pane", error: 0.002, yaml: lab(`
lights:
  - {name: behind, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: disc, size: 1 m, luminance: 1000 cd/m2}}
  - {name: before, at: [10, 0, 0.2], aim: [10, 0, 1], emitter: {shape: disc, size: 1 m, luminance: 1000 cd/m2}}
objects:
  - {name: pane, quad: {at: [0, 0, 0.5], facing: down, size: [4, 4]}, surface: {clear: 1, coat: 1.52}}
  - {name: other pane, quad: {at: [10, 0, 0.6], facing: down, size: [4, 4]}, surface: {clear: 1, coat: 1.52}}
points:
  - {name: through, at: [0, 0, 0], facing: up}
  - {name: mirrored, at: [10, 0, 0], facing: up}`), gives: gives(
			lux("C4.area", "disc of 1 m, 1000 cd/m², 1 m away behind a pane (∫ L T cos dΩ)", "through", through),
			// Its image stands at 0.6 + 0.4 = 1 m.
			lux("C4.mirror", "the disc's image in a pane, 1 m away (∫ L (1 − T) cos dΩ)", "mirrored", back))},
		{name: "sheets", error: 0.002, yaml: lab(`
lights: [{name: far, at: [0, 0, 5], aim: [0, 0, 0], emitter: {shape: point, intensity: 2500 cd}}]
objects:
  - {name: a, quad: {at: [0, 0, 1], facing: down, size: [0.2, 0.2]}, surface: {clear: 0.7}}
  - {name: b, quad: {at: [1, 0, 1], facing: down, size: [0.2, 0.2]}, surface: {clear: 0.5}}
  - {name: c, quad: {at: [2, 0, 1], facing: down, size: [0.2, 0.2]}, surface: {clear: 0.35}}
  - {name: d, quad: {at: [3, 0, 1], facing: down, size: [0.2, 0.2]}, surface: {clear: 0.25}}
points:
  - {name: open, at: [0, 1, 0], facing: [0, -1, 5]}
  - {name: a, at: [0, 0, 0], facing: up}
  - {name: b, at: [1.25, 0, 0], facing: [-1.25, 0, 5]}
  - {name: c, at: [2.5, 0, 0], facing: [-2.5, 0, 5]}
  - {name: d, at: [3.75, 0, 0], facing: [-3.75, 0, 5]}`), gives: gives(
			loss("F4.1", 0.7, "a", 25, 0.514573), loss("F4.2", 0.5, "b", 25+1.25*1.25, 1),
			loss("F4.3", 0.35, "c", 25+2.5*2.5, 1.51457), loss("F4.4", 0.25, "d", 25+3.75*3.75, 2))},
	}
}

func loss(id string, tau float64, point string, d2, want float64) figure {
	return exactly(id, fmt.Sprintf("a sheet that passes %g: stops lost", tau), want, "st", 0.002,
		func(a *answered) float64 { return math.Log2(2500 / d2 / a.point(point).Lux) })
}
