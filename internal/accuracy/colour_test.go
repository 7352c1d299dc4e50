package accuracy

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/spectrum"
)

// gauss writes a Gaussian emission spectrum as pairs at 2 nm.
func gauss(peak, fwhm float64) string {
	var b strings.Builder
	b.WriteString("[")
	for nm := 380.0; nm <= 780; nm += 2 {
		v := math.Exp(-4 * math.Ln2 * (nm - peak) * (nm - peak) / fwhm / fwhm)
		if v > 1e-6 {
			if b.Len() > 1 {
				b.WriteString(", ")
			}
			fmt.Fprintf(&b, "[%g, %.7f]", nm, v)
		}
	}
	return b.String() + "]"
}

// Section E: the colour of light at a point, as the JSON says it. Sources: CIE 015 tables, CIE
// daylight series, Planck's law, Ohno 2013; the LED figures are derived from Gaussian primaries.
func colourScenes() []scene {
	x := func(id, what, point string, want, bound float64) figure {
		return exactly(id, what+": x", want, "", bound, func(a *answered) float64 { return a.point(point).XY[0] })
	}
	y := func(id, what, point string, want, bound float64) figure {
		return exactly(id, what+": y", want, "", bound, func(a *answered) float64 { return a.point(point).XY[1] })
	}
	kelvin := func(id, what, point string, want, bound float64) figure {
		return exactly(id, what+": CCT", want, "K", bound, func(a *answered) float64 { return *a.point(point).Kelvin })
	}
	duv := func(id, what, point string, want, bound float64) figure {
		return exactly(id, what+": Duv", want, "", bound, func(a *answered) float64 { return *a.point(point).Duv })
	}
	var b, p strings.Builder
	i := 0
	add := func(name, colour string) {
		// Far apart, each in a narrow cone, so that none lights another's point.
		fmt.Fprintf(&b,
			"  - {name: light %s, at: [%d, 0, 1], aim: [%d, 0, 0], colour: %s, emitter: {shape: point, intensity: "+
				"1000 cd, beam: 10 deg}}\n", name, 10*i, 10*i, colour)
		fmt.Fprintf(&p, "  - {name: %s, at: [%d, 0, 0], facing: up}\n", name, 10*i)
		i++
	}
	add("A", "A")
	add("D50", "D50")
	add("D65", "D65")
	add("k2856", "2856 K")
	add("k7000", "7000 K")
	add("red", gauss(630, 18))
	add("green", gauss(525, 33))
	add("blue", gauss(465, 22))
	add("xy", "[0.3127, 0.3290]")
	lights, points := b.String(), p.String()
	out := []scene{{name: "colours of light", yaml: lab("lights:\n" + lights + "points:\n" + points), gives: []figure{
		x("E1.Ax", "illuminant A", "A", 0.447571, 2e-4), y("E1.Ay", "illuminant A", "A", 0.40744, 2e-4),
		x("E1.D65x", "D65", "D65", 0.312711, 2e-4), y("E1.D65y", "D65", "D65", 0.329008, 2e-4),
		x("E1.D50x", "D50", "D50", 0.345668, 2e-4), y("E1.D50y", "D50", "D50", 0.358497, 2e-4),
		x("E1.2", "Planck 2856 K", "k2856", 0.447538, 2e-4),
		x("D9.5", "daylight locus at 7000 K", "k7000", 0.305357, 2e-4), y("D9.6", "daylight locus at 7000 K", "k7000",
			0.321646, 2e-4),
		kelvin("E2.4", "A", "A", 2855.58, 3), duv("E2.5", "A", "A", 5.57077e-07, 5e-5),
		kelvin("E2.7", "D50", "D50", 5001.87, 3), duv("E2.8", "D50", "D50", 0.00320451, 5e-5),
		kelvin("E2.10", "D65", "D65", 6503.63, 3), duv("E2.11", "D65", "D65", 0.00320617, 5e-5),
		x("E6.1", "Gaussian LED 630/18", "red", 0.703631, 3e-4), y("E6.2", "Gaussian LED 630/18", "red", 0.296285,
			3e-4),
		x("E6.3", "Gaussian LED 525/33", "green", 0.147592, 3e-4), y("E6.4", "Gaussian LED 525/33", "green", 0.765725,
			3e-4),
		x("E6.5", "Gaussian LED 465/22", "blue", 0.13529, 3e-4), y("E6.6", "Gaussian LED 465/22", "blue", 0.045611,
			3e-4),
		// A colour asked by x, y, said to hold the level: 1000 cd at 1 m are 1000 lx in every
		// colour.
		lux("E.level", "a light of stated x, y at 1000 cd, 1 m", "xy", 1000),
	}}}
	gelled := func(kelvin, gel string) string {
		return `halfstop: 1
kit:
  heads: [{name: h, kind: continuous, gives: {lux: 1000 lx, at: 1 m}, colour: {kelvin: ` + kelvin + `}, mount: frame}]
setups:
  - name: gelled
    lights: [{name: l, head: h, modifier: bare, gel: ` + gel + `, at: [0, 0, 1], aim: [0, 0, 0]}]
    points: [{name: p, at: [0, 0, 0], facing: up}]
`
	}
	// Gels are spectra, so the shift holds in mired within what the trade's sheets scatter: 6
	// mired.
	for _, g := range []struct {
		id, from, gel string
		shift, want   float64
	}{{"E5.9", "5600 K", "full orange", 159, 2962.34}, {"E5.10", "5600 K", "half orange", 109, 3477.4},
		{"E5.11", "3200 K", "full blue", -137, 5698.01}, {"E5.12", "3200 K", "half blue", -78, 4264.39}} {
		out = append(out, scene{name: g.from + " and " + g.gel, yaml: gelled(g.from, g.gel), gives: []figure{
			exactly(g.id, fmt.Sprintf("%s behind %s (%+.0f mired)", g.from, g.gel, g.shift), 1e6/g.want, "mired", 6,
				func(a *answered) float64 { return 1e6 / *a.point("p").Kelvin })}})
	}
	mix := func(shares [3]float64) string {
		return lab(fmt.Sprintf(`
lights:
  - {name: r, at: [0, 0, 1], aim: [0, 0, 0], colour: %s, emitter: {shape: point, intensity: %s cd}}
  - {name: g, at: [0, 0, 1], aim: [0, 0, 0], colour: %s, emitter: {shape: point, intensity: %s cd}}
  - {name: b, at: [0, 0, 1], aim: [0, 0, 0], colour: %s, emitter: {shape: point, intensity: %s cd}}
points: [{name: p, at: [0, 0, 0], facing: up}]`, gauss(630, 18), num(1000*shares[0]), gauss(525, 33), num(1000*shares[1]), gauss(465, 22), num(1000*shares[2])))
	}
	out = append(out, scene{name: "red, green and blue make D65", yaml: mix([3]float64{0.275542, 0.668043, 0.0564154}),
		gives: []figure{
			x("E6.7 x", "luminance shares 0.2755, 0.6680, 0.0564 of the three LEDs: D65", "p", 0.312711, 0.001),
			y("E6.7 y", "the same", "p", 0.329008, 0.001)}},
		scene{name: "red, green and blue make 3200 K", yaml: mix([3]float64{0.371338, 0.607698, 0.020964}),
			gives: []figure{
				kelvin("E6.10", "shares 0.3713, 0.6077, 0.0210: Planck 3200 K", "p", 3200, 15)}})
	// Light by way of a coloured surface: what comes from it, against S·ρ summed at 1 nm.
	ramp := [][2]float64{{400, 0.05}, {500, 0.1}, {560, 0.5}, {600, 0.8}, {700, 0.85}}
	want := bySurface("D65", ramp)
	out = append(out, scene{name: "a coloured wall", error: 0.005, yaml: lab(`
lights: [{name: lamp, at: [0, 0, 1], aim: [0, 0, 0], colour: D65, emitter: {shape: point, intensity: 1000 cd}}]
objects: [{name: wall, quad: {at: [0, 0, 0], facing: up, size: [1, 1]}, surface: {diffuse: [[400, 0.05], [500, 0.1], [560, 0.5], [600, 0.8], [700, 0.85]]}}]
points: [{name: wall, at: [0, 0, 0], from: [1, 0, 1], receptor: spot, angle: 0.1 deg}]`), gives: []figure{
		luminance("E.wall", "an orange wall under D65 of 1000 lx: L = E ρ/π, ρ at 1 nm", "wall", 1000/math.Pi*want[1]),
		x("E.wall x", "the same, 16 windows against 1 nm", "wall", want[0], 0.001), y("E.wall y", "the same", "wall",
			want[2], 0.001)}})
	return out
}

// bySurface sums lamp × reflectance × observer at 1 nm: x, luminous reflectance, y.
func bySurface(lamp string, pairs [][2]float64) [3]float64 {
	s, err := spectrum.Lamp(lamp)
	if err != nil {
		panic(err)
	}
	r, err := spectrum.Smooth(pairs)
	if err != nil {
		panic(err)
	}
	obs := observer()
	var X, Y, Z, white float64
	for nm := 380.0; nm <= 780; nm++ {
		o := obs(nm)
		v := s.At(nm)
		X += v * r.At(nm) * o[0]
		Y += v * r.At(nm) * o[1]
		Z += v * r.At(nm) * o[2]
		white += v * o[1]
	}
	return [3]float64{X / (X + Y + Z), Y / white, Y / (X + Y + Z)}
}

// observer reads the CIE 1931 table itself.
func observer() func(nm float64) [3]float64 {
	src, err := os.ReadFile(filepath.Join("..", "..", "spectrum", "data", "cie1931.csv"))
	if err != nil {
		m, _ := filepath.Glob(filepath.Join("..", "..", "spectrum", "data", "*1931*"))
		if len(m) == 0 {
			panic(err)
		}
		if src, err = os.ReadFile(m[0]); err != nil {
			panic(err)
		}
	}
	rows := map[int][3]float64{}
	for _, l := range strings.Split(string(src), "\n") {
		var nm float64
		var c [3]float64
		if n, _ := fmt.Sscanf(strings.ReplaceAll(l, ",", " "), "%g %g %g %g", &nm, &c[0], &c[1], &c[2]); n == 4 {
			rows[int(nm)] = c
		}
	}
	return func(nm float64) [3]float64 {
		lo := int(nm) / 5 * 5
		a, b, f := rows[lo], rows[lo+5], (nm-float64(lo))/5
		return [3]float64{a[0]*(1-f) + b[0]*f, a[1]*(1-f) + b[1]*f, a[2]*(1-f) + b[2]*f}
	}
}

func TestObserverTableIsRead(t *testing.T) {
	s := 0.0
	for nm := 360.0; nm <= 825; nm += 5 {
		s += observer()(nm)[1]
	}
	if math.Abs(s-21.3714) > 0.001 { // E1.1
		t.Errorf("sum of ybar %.4f", s)
	}
}
