package accuracy

import (
	"fmt"
	"math"
	"strings"
)

// Section F: surfaces. Sources: Fresnel's equations; energy (a white furnace); the readings of
// cards and cloth are closed forms.
func materialScenes() []scene {
	var out []scene
	// F1: a black surface under a smooth coat mirrors a large bright face: its luminance is F(θ) of
	// the face's.
	var b strings.Builder
	s := scene{name: "smooth coat on black", error: 0.004}
	b.WriteString("lights:\n")
	degs := []float64{0.001, 45, 60, 75, 85}
	for i, d := range degs {
		sin, cos := math.Sincos(d * math.Pi / 180)
		x := 1000 * float64(i)
		fmt.Fprintf(&b,
			"  - {name: l%d, at: [%s, 0, %s], aim: [%g, 0, 0], emitter: {shape: disc, size: 1 m, luminance: 1000 "+
				"cd/m2}}\n", i, num(x-3*sin), num(3*cos), x)
	}
	b.WriteString("objects:\n")
	for i := range degs {
		fmt.Fprintf(&b,
			"  - {name: plate %d, quad: {at: [%d, 0, 0], facing: up, size: [2, 2]}, surface: {diffuse: 0, "+
				"coat: 1.5}}\n", i, 1000*i)
	}
	b.WriteString("points:\n")
	for i, want := range []float64{0.04, 0.0502399, 0.0891867, 0.253061, 0.6128} {
		sin, cos := math.Sincos(degs[i] * math.Pi / 180)
		x := 1000 * float64(i)
		fmt.Fprintf(&b, "  - {name: p%d, at: [%g, 0, 0], from: [%s, 0, %s], receptor: spot, angle: 0.2 deg}\n", i, x,
			num(x+2*sin), num(2*cos))
		s.gives = append(s.gives, luminance(fmt.Sprintf("F1.%d", i+1),
			fmt.Sprintf("Fresnel n = 1.5 at %.0f°: the mirrored share", degs[i]), fmt.Sprintf("p%d", i), want).per(1e-3,
			""))
	}
	s.yaml = lab(b.String())
	out = append(out, s)
	// White furnace: even light all round; whatever returns all light shows the luminance round it.
	surfaces := []struct{ id, what, surface string }{
		{"F2 alpha 0.1", "white conductor, GGX alpha 0.1", "{mirror: 1, rough: 0.316227766}"},
		{"F2 alpha 0.5", "white conductor, GGX alpha 0.5", "{mirror: 1, rough: 0.707106781}"},
		{"F2 alpha 1.0", "white conductor, GGX alpha 1.0", "{mirror: 1, rough: 1}"},
		{"F furnace diffuse", "white diffuse", "1"},
		{"F furnace coat", "white under a coat of n = 1.5", "{diffuse: 1, coat: 1.5}"},
		{"F furnace rough coat", "white under a rough coat", "{diffuse: 1, coat: 1.5, coat rough: 0.5}"},
		{"F furnace half mirror", "half diffuse, half mirror", "{diffuse: 0.5, mirror: 0.5}"},
		{"F furnace silk", "silk that absorbs nothing", "{diffuse: 0.4, transmit: 0.6}"},
		{"F furnace coated silk", "silk under a coat", "{diffuse: 0.4, transmit: 0.6, coat: 1.5}"},
		{"F furnace coated mirror", "half diffuse, half mirror, under a coat",
			"{diffuse: 0.5, mirror: 0.5, coat: 1.5}"},
		{"F furnace coated net", "part straight through, under a coat", "{diffuse: 0.3, clear: 0.7, coat: 1.5}"},
		{"F furnace glass", "clear pane", "{clear: 1, coat: 1.5}"},
		{"F furnace net", "net: part straight through", "{diffuse: 0.3, clear: 0.7}"},
	}
	for _, q := range surfaces {
		for _, slant := range []int{0, 60} {
			sin, cos := math.Sincos(float64(slant) * math.Pi / 180)
			id := fmt.Sprintf("%s %d°", q.id, slant)
			out = append(out, scene{name: "furnace " + id, error: 0.003, yaml: lab(fmt.Sprintf(`
lights:
%sobjects: [{name: plate, quad: {at: [0, 0, 0], facing: up, size: [1, 1]}, surface: %s}]
points: [{name: p, at: [0, 0, 0], from: [%s, 0, %s], receptor: spot, angle: 0.1 deg}]`, allRound(5), q.surface, num(2*sin), num(2*cos))), gives: []figure{
				luminance(id, fmt.Sprintf("white furnace: %s seen at %d°", q.what, slant), "p", 1000)}})
		}
	}
	out = append(out, scene{name: "grey and velvet under white", error: 0.002, yaml: lab(`
lights: [{name: lamp, at: [0, 0, 50], aim: [0, 0, 0], emitter: {shape: point, intensity: 2500000 cd}}]
objects:
  - {name: white, quad: {at: [0, 0, 0], facing: up, size: [0.1, 0.1]}, surface: 1}
  - {name: grey, quad: {at: [0.2, 0, 0], facing: up, size: [0.1, 0.1]}, surface: 18 %}
  - {name: velvet, quad: {at: [0.4, 0, 0], facing: up, size: [0.1, 0.1]}, surface: 0.005}
points:
  - {name: white, at: [0, 0, 0], from: [0, 1, 3], receptor: spot}
  - {name: grey, at: [0.2, 0, 0], from: [0.2, 1, 3], receptor: spot}
  - {name: velvet, at: [0.4, 0, 0], from: [0.4, 1, 3], receptor: spot}`), gives: []figure{
		exactly("F3.1", "18 % grey below white", 2.47393, "st", 0.01,
			func(a *answered) float64 { return math.Log2(a.point("white").Luminance / a.point("grey").Luminance) }),
		exactly("F3.2", "velvet of 0.5 % below white", 7.64386, "st", 0.01,
			func(a *answered) float64 { return math.Log2(a.point("white").Luminance / a.point("velvet").Luminance) })}})
	return out
}

// allRound is six faces of 1000 cd/m² at distance r from the origin.
func allRound(r float64) string {
	var b strings.Builder
	for i, n := range []string{"[%g, 0, 0]", "[-%g, 0, 0]", "[0, %g, 0]", "[0, -%g, 0]", "[0, 0, %g]", "[0, 0, -%g]"} {
		fmt.Fprintf(&b,
			"  - {name: l%d, at: %s, aim: [0, 0, 0], emitter: {shape: rectangle, size: [%g, %g], luminance: 1000 "+
				"cd/m2}}\n", i, fmt.Sprintf(n, r), 2*r, 2*r)
	}
	return b.String()
}

// Section G: haze.
func hazeScenes() []scene {
	airlight := func(id, what string, g float64, eye, to float64, want float64) scene {
		return scene{name: "airlight " + id, error: 0.004, yaml: lab(fmt.Sprintf(`
haze: {extinction: 0.02, albedo: 0.001, forward: %g}
lights: [{name: lamp, at: [0, 0, 1], emitter: {shape: point, intensity: 1000 cd}}]
objects: [{name: black, quad: {at: [%g, 0, 0], facing: [%g, 0, 0], size: [2, 2]}, surface: 0}]
points: [{name: ray, at: [%g, 0, 0], from: [%g, 0, 0], receptor: spot, angle: 0.01 deg}]`, g, to, eye, to, eye)), gives: []figure{
			luminance(id, what, "ray", want).per(1000, "cd/m²")}}
	}
	return []scene{
		{name: "beer's law", error: 0.001, yaml: lab(`
haze: {extinction: 0.05, albedo: 0}
lights: [{name: lamp, at: [0, 0, 6], emitter: {shape: point, intensity: 3600 cd}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), gives: []figure{
			lux("G1.1", "0.05 /m over 6 m: what is left", "p", 0.740818).per(0.01, ""),
			exactly("G1.2", "the same in stops", 0.432809, "st", straight,
				func(a *answered) float64 { return math.Log2(100 / a.point("p").Lux) })}},
		{name: "visibility", error: 0.001, yaml: lab(`
haze: {visibility: 78.24 m, albedo: 0}
lights: [{name: lamp, at: [0, 0, 6], emitter: {shape: point, intensity: 3600 cd}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), gives: []figure{
			exactly("G4.3", "visibility of 78.24 m: extinction", 0.05, "/m", 0.0001,
				func(a *answered) float64 { return -math.Log(a.point("p").Lux/100) / 6 })}},
		// Only single scattering has a closed form: an albedo of 0.001 with the answer times 1000
		// leaves 0.1 % of the rest.
		airlight("G3.2", "airlight of 1000 cd 1 m off the ray, even phase, extinction 0.02 /m", 0, -3, 3, 3.63806),
		airlight("G3.3", "the same, Henyey–Greenstein 0.8", 0.8, -3, 3, 2.82172),
		airlight("G3.4", "seen from the other side", 0.8, 3, -3, 2.82172),
	}
}

// Section H: facts of the lens.
func lensScenes() []scene {
	fact := func(id, what, key string, want float64, unit string, bound float64) figure {
		return exactly(id, what, want, unit, bound, func(a *answered) float64 {
			return a.Setups[0].Facts[key].(float64)
		})
	}
	return []scene{{name: "lens", yaml: lab(`
camera: {at: [0, 0, 1.5], aim: [2, 0, 1.5], focus: [2, 0, 1.5], lens: 85 mm, aperture: f/2.80}
sitter: {at: [2, 0.6]}
lights: [{name: lamp, at: [1, 1, 2], aim: [2, 0, 1.5], emitter: {shape: point, intensity: 1000 cd}}]
objects: [{name: back, quad: {at: [5, 0, 1.5], facing: x-, size: [6, 3]}, surface: 0.5}]`), gives: []figure{
		fact("H2.3", "85 mm f/2.8 at 2 m, circle 0.030 mm: near limit", "near_metres", 1.95644, "m", 0.0005),
		fact("H2.4", "far limit", "far_metres", 2.04554, "m", 0.0005),
		fact("H2.6", "blur of a background at 5 m on the sensor", "background_blur_mm", 0.808467, "mm", 0.001),
	}}}
}
