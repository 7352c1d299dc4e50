package accuracy

import (
	"fmt"
	"math"
	"strings"
)

// Section A: exposure, meters, flash. The scenes give stated light to a receptor and read off what
// the meter shows. Sources: ISO 2720 (meter equations), ISO 12232 (sensor), closed forms.
func exposureScenes() []scene {
	var out []scene
	// A1: one lamp a setup, 2.5·2^EV lx at 1 m, 1 s, ISO 100.
	var y strings.Builder
	y.WriteString("halfstop: 1\nsetups:\n")
	var gives []figure
	for ev := 0; ev <= 16; ev++ {
		e := 2.5 * math.Exp2(float64(ev))
		fmt.Fprintf(&y, `  - name: EV %d
    camera: {at: [5, 0, 0], aim: [0, 0, 0], shutter: 1 s, iso: 100}
    lights: [{name: lamp, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: point, intensity: %s cd}}]
    points: [{name: p%d, at: [0, 0, 0], facing: up}]
`, ev, num(e), ev)
		gives = append(gives, exactly(fmt.Sprintf("A1.%d", ev), fmt.Sprintf("flat receptor in %s lx: EV at ISO 100",
			num(e)), float64(ev), "EV", 0.001,
			func(a *answered) float64 { return 2 * math.Log2(a.point(fmt.Sprintf("p%d", ev)).FNumber) }))
	}
	out = append(out, scene{name: "EV by illuminance", yaml: y.String(), gives: gives})
	// A1.L: a spot on a disc of 0.125·2^EV cd/m².
	y.Reset()
	y.WriteString("halfstop: 1\nsetups:\n")
	gives = nil
	for _, ev := range []int{0, 5, 10, 15} {
		l := 0.125 * math.Exp2(float64(ev))
		fmt.Fprintf(&y, `  - name: EV %d
    camera: {at: [0, 0, 0], aim: [0, 0, 2], shutter: 1 s, iso: 100}
    lights: [{name: lamp, at: [0, 0, 2], aim: [0, 0, 0], emitter: {shape: disc, size: 1 m, luminance: %s cd/m2}}]
    points: [{name: s%d, at: [0, 0, 2], receptor: spot}]
`, ev, num(l), ev)
		gives = append(gives, exactly(fmt.Sprintf("A1.L%d", ev), fmt.Sprintf("spot of %s cd/m²: EV at ISO 100", num(l)),
			float64(ev), "EV", 0.001,
			func(a *answered) float64 { return 2 * math.Log2(a.point(fmt.Sprintf("s%d", ev)).FNumber) }))
	}
	out = append(out, scene{name: "EV by luminance", yaml: y.String(), gives: gives})

	out = append(out, scene{name: "sunny sixteen", yaml: lab(`
camera: {at: [5, 0, 0], aim: [0, 0, 0], shutter: 1/100 s, iso: 100}
lights:
  - {name: for the flat one, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: point, intensity: 64000 cd, beam: 10 deg}}
  - {name: for the dome, at: [10, 0, 1], aim: [10, 0, 0], emitter: {shape: point, intensity: 84480 cd, beam: 10 deg}}
  - {name: for the spot, at: [20, 0, 1], aim: [20, 0, 0], emitter: {shape: disc, size: 20 cm, luminance: 3200 cd/m2, beam: 20 deg}}
points:
  - {name: flat, at: [0, 0, 0], facing: up}
  - {name: dome, at: [10, 0, 0], facing: up, receptor: dome}
  - {name: spot, at: [20, 0, 1], from: [20, 0, 0], receptor: spot}`), gives: []figure{
		fNumber("A2.2", "64,000 lx on a flat receptor, 1/100 s, ISO 100", "flat", 16),
		fNumber("A2.3", "84,480 lx on a dome (C = 330)", "dome", 16),
		fNumber("A2.4", "spot of 3,200 cd/m²", "spot", 16),
	}})
	out = append(out, scene{name: "card, flat, dome", error: 0.002, yaml: lab(`
camera: {at: [2, 0, 3], aim: [0, 0, 0], shutter: 1/60 s, iso: 100}
lights: [{name: lamp, at: [0, 0, 10], aim: [0, 0, 0], emitter: {shape: point, intensity: 100000 cd}}]
objects: [{name: card, quad: {at: [0, 0, 0], facing: up, size: [0.2, 0.2]}, surface: 0.18}]
points:
  - {name: card, at: [0, 0, 0], receptor: spot}
  - {name: flat, at: [0, 0, 0.001], facing: up}
  - {name: dome, at: [0, 0, 0.3], facing: up, receptor: dome}
  - {name: level, at: [0, 0, 0.3], facing: up}`), gives: []figure{
		exactly("A3.3", "spot of an 18 % card minus flat reading", 0.196501, "st", straight,
			func(a *answered) float64 { return 2 * math.Log2(a.point("card").FNumber/a.point("flat").FNumber) }),
		// Both at one height; the card below adds its own light to the dome, so only the straight
		// light is compared.
		exactly("A3.5", "step between C = 250 and C = 330: flat minus dome, straight light", 0.400538, "st", straight,
			func(a *answered) float64 {
				d, f := a.point("dome"), a.point("level")
				return 2*math.Log2(f.FNumber/d.FNumber) - math.Log2(f.Lux/d.Lux)
			}),
	}})
	out = append(out, scene{name: "card and dome", error: 0.002, yaml: lab(`
camera: {at: [2, 0, 3], aim: [0, 0, 0], shutter: 1/60 s, iso: 100}
lights: [{name: lamp, at: [0, 0, 200], emitter: {shape: point, intensity: 40000000 cd}}]
objects: [{name: card, quad: {at: [0, 0, 0], facing: up, size: [0.2, 0.2]}, surface: 0.18}]
points:
  - {name: card, at: [0, 0, 0], receptor: spot}
  - {name: dome, at: [5, 0, 0], facing: up, receptor: dome}`), gives: []figure{
		exactly("A3.4", "spot of an 18 % card minus dome reading, frontal light", 0.597039, "st", straight,
			func(a *answered) float64 { return 2 * math.Log2(a.point("card").FNumber/a.point("dome").FNumber) }),
	}})
	out = append(out, scene{name: "what the sensor gets", yaml: `
halfstop: 1
setups:
  - name: by f-number
    camera: {at: [0, 0, 0], aim: [0, 0, 2], shutter: 1/60 s, iso: 100, aperture: f/4}
    lights: [{name: lamp, at: [0, 0, 2], aim: [0, 0, 0], emitter: {shape: disc, size: 1 m, luminance: 100 cd/m2}}]
    points: [{name: n, at: [0, 0, 2], receptor: spot}]
  - name: by T 4
    camera: {at: [0, 0, 0], aim: [0, 0, 2], shutter: 1/60 s, iso: 100, aperture: f/4, t-stop: f/4.00}
    lights: [{name: lamp, at: [0, 0, 2], aim: [0, 0, 0], emitter: {shape: disc, size: 1 m, luminance: 100 cd/m2}}]
    points: [{name: t4, at: [0, 0, 2], receptor: spot}]
  - name: by T 4.4
    camera: {at: [0, 0, 0], aim: [0, 0, 2], shutter: 1/60 s, iso: 100, aperture: f/4, t-stop: f/4.40}
    lights: [{name: lamp, at: [0, 0, 2], aim: [0, 0, 0], emitter: {shape: disc, size: 1 m, luminance: 100 cd/m2}}]
    points: [{name: t44, at: [0, 0, 2], receptor: spot}]
`, gives: []figure{
		exactly("A4.8", "100 cd/m² at f/4, 1/60 s, ISO 100: 0.0677083 lx s, stops to mid-grey at 0.1 lx s",
			math.Log2(0.0677083/0.1), "st", 0.001,
			func(a *answered) float64 { return *a.point("n").Stops }),
		exactly("A4.9", "T 4.4 against T 4.0", -0.275007, "st", 0.001,
			func(a *answered) float64 { return *a.point("t44").Stops - *a.point("t4").Stops }),
	}})
	out = append(out, scene{name: "flash heads by guide number and energy", yaml: `
halfstop: 1
kit:
  heads:
    - {name: fifty-eight, kind: flash, guide number: 58 m, mount: bayonet, colour: {lamp: xenon flash}}
    - {name: fifty-eight by dome, kind: flash, guide number: 58 m, guide constant: 330, mount: bayonet, colour: {lamp: xenon flash}}
    - {name: bare tube, kind: flash, energy: 400 Ws, efficacy: 45, face: {shape: point, beam: 360 deg}, mount: bayonet, colour: {lamp: xenon flash}, range: 8 st, step: 0.1 st}
setups:
  - name: guide number 250
    lights: [{name: a, head: fifty-eight, modifier: bare, at: [0, 0, 1], aim: [0, 0, 0]}]
    points: [{name: g250, at: [0, 0, 0], facing: up}]
  - name: guide number 330
    lights: [{name: a, head: fifty-eight by dome, modifier: bare, at: [0, 0, 1], aim: [0, 0, 0]}]
    points: [{name: g330, at: [0, 0, 0], facing: up}]
  - name: energy
    lights: [{name: a, head: bare tube, modifier: bare, at: [0, 0, 1], aim: [0, 0, 0]}]
    points: [{name: tube, at: [0, 0, 0], facing: up}]
  - name: half energy
    lights: [{name: a, head: bare tube, modifier: bare, at: [0, 0, 1], aim: [0, 0, 0], power: 1/2}]
    points: [{name: half, at: [0, 0, 0], facing: up}]
  - name: more sensitive
    camera: {at: [5, 0, 0], aim: [0, 0, 0], iso: 400}
    lights: [{name: a, head: bare tube, modifier: bare, at: [0, 0, 1], aim: [0, 0, 0]}]
    points: [{name: iso400, at: [0, 0, 0], facing: up}]
`, gives: []figure{
		luxSeconds("A6.1", "guide number 58 m at ISO 100, C = 250: light at 1 m", "g250", 8410),
		luxSeconds("A6.2", "the same said for C = 330", "g330", 11101.2),
		fNumber("A6.4", "400 Ws, 45 lm/W, bare even tube: guide number, read as the f-number at 1 m", "tube", 23.9365),
		exactly("A6.6", "guide number factor for half the energy", 0.707107, "", 0.001,
			func(a *answered) float64 { return a.point("half").FNumber / a.point("tube").FNumber }),
		exactly("A6.7", "guide number factor from ISO 100 to 400", 2, "", 0.001,
			func(a *answered) float64 { return a.point("iso400").FNumber / a.point("tube").FNumber }),
	}})
	both := func(shutter string) string {
		return lab(`
camera: {at: [5, 0, 0], aim: [0, 0, 0], shutter: ` + shutter + `, iso: 100, sync: 1/160 s}
lights:
  - {name: flash, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: point, intensity: 80 cd s}}
  - {name: room, at: [0, 0, 2], aim: [0, 0, 0], emitter: {shape: point, intensity: 8000 cd}}
points: [{name: both, at: [0, 0, 0], facing: up}]`)
	}
	out = append(out, scene{name: "100 lx s", yaml: lab(`
lights: [{name: flash, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: point, intensity: 100 cd s}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), gives: []figure{fNumber("A6.3", "100 lx s at ISO 100", "p", 6.32456)}},
		scene{name: "flash and ambient, 1/160 s", yaml: both("1/160 s"), gives: []figure{
			fNumber("A6.11", "flash 80 lx s + 2,000 lx at 1/160 s", "both", 6.08276),
			exactly("A6.13", "share of the flash in it", 0.864865, "", 0.001,
				func(a *answered) float64 { return a.point("both").light("flash").Share }),
		}},
		scene{name: "flash and ambient, 1/80 s", yaml: both("1/80 s"),
			gives: []figure{fNumber("A6.12", "the same at 1/80 s", "both", 6.48074)}})
	// A7: a second light n stops below the first.
	y.Reset()
	y.WriteString("halfstop: 1\nsetups:\n")
	gives = nil
	for n, want := range []float64{1, 0.584963, 0.321928, 0.169925, 0.0874628, 0.0443941} {
		fmt.Fprintf(&y, `  - name: %d below
    lights:
      - {name: one, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: point, intensity: 1024 cd}}
      - {name: two, at: [0, 0, 2], aim: [0, 0, 0], emitter: {shape: point, intensity: %d cd}}
    points: [{name: n%d, at: [0, 0, 0], facing: up}]
`, n, 4096>>n, n)
		gives = append(gives, exactly(fmt.Sprintf("A7.%d", n),
			fmt.Sprintf("a light %d st below the first raises the reading by", n), want, "st", 0.001,
			func(a *answered) float64 {
				p := a.point(fmt.Sprintf("n%d", n))
				return math.Log2(p.Lux / p.light("one").Direct)
			}))
	}
	out = append(out, scene{name: "adding lights", yaml: y.String(), gives: gives})
	// A8: domes.
	y.Reset()
	y.WriteString(
		"lights: [{name: lamp, at: [0, 0, 0], aim: [1, 0, 0], emitter: {shape: point, intensity: 1000 cd}}]\npoints:\n")
	gives = nil
	for i, want := range []float64{1, 0.853553, 0.5, 0.146447, 0} {
		s, c := math.Sincos(float64(i) * math.Pi / 4)
		// The dome stands 1 m below the lamp and looks the stated angle off it.
		fmt.Fprintf(&y, "  - {name: d%d, at: [0, 0, -1], facing: [%s, 0, %s], receptor: dome}\n", i, num(s), num(c))
		gives = append(gives, exactly(fmt.Sprintf("A8.%d", i+1),
			fmt.Sprintf("dome %d° off a small light, against facing it", 45*i), want, "", 5e-5,
			func(a *answered) float64 { return a.point(fmt.Sprintf("d%d", i)).Lux / 1000 }))
	}
	out = append(out, scene{name: "domes", yaml: lab(y.String()), gives: gives})
	out = append(out, scene{name: "domes in even light", yaml: evenCube(false, ""), gives: []figure{
		lux("A8.7", "dome in even luminance all round: E/L", "dome up", 6.28319).per(1e-3, "sr"),
		lux("D2.3", "flat receptor under an even sky: E/L", "flat up", math.Pi).per(1e-3, "sr"),
	}}, scene{name: "domes under an even sky", yaml: evenCube(true, "uniform"), gives: []figure{
		lux("A8.6", "dome up, even luminance from its front half only: E/L", "dome up", 4.71239).per(1e-3, "sr"),
		lux("A8.9", "dome facing the horizon, even sky over black ground: E/L", "dome level", 3.14159).per(1e-3, "sr"),
		lux("D2.3 sky", "the same sky on a flat receptor: E/L", "flat up", 3.14159).per(1e-3, "sr"),
	}}, scene{name: "domes under an overcast sky", yaml: evenCube(true, "overcast"), gives: []figure{
		lux("A8.8", "dome up under the CIE overcast sky: E/Lz", "dome up", 3.31613).per(1e-3, "sr"),
		lux("D2.1", "CIE overcast: horizontal illuminance over zenith luminance", "flat up", 2.44346).per(1e-3, "sr"),
		{"D2.2", "vertical over horizontal illuminance, sky only", 0.396177, "", stops, straight,
			func(a *answered) float64 { return a.point("flat level").Lux / a.point("flat up").Lux }},
	}})
	return out
}

// evenCube is a box of light round the origin: emitters of 1000 cd/m² all round, or (half) openings
// over the upper half.
func evenCube(half bool, sky string) string {
	var b strings.Builder
	lo, h, mid := -1.0, 2.0, 0.0
	if half {
		lo, h, mid = 0, 1, 0.5
	}
	type face struct {
		at, facing string
		w, h       float64
	}
	faces := []face{{"[0, 0, 1]", "[0, 0, -1]", 2, 2}, {fmt.Sprintf("[1, 0, %g]", mid), "[-1, 0, 0]", 2, h},
		{fmt.Sprintf("[-1, 0, %g]", mid), "[1, 0, 0]", 2, h},
		{fmt.Sprintf("[0, 1, %g]", mid), "[0, -1, 0]", 2, h}, {fmt.Sprintf("[0, -1, %g]", mid), "[0, 1, 0]", 2, h}}
	if !half {
		faces = append(faces, face{fmt.Sprintf("[0, 0, %g]", lo), "[0, 0, 1]", 2, 2})
	}
	if half {
		b.WriteString("openings:\n")
	} else {
		b.WriteString("lights:\n")
	}
	for i, f := range faces {
		if half {
			fmt.Fprintf(&b,
				"  - {name: o%d, at: %s, facing: %s, size: [%g, %g], outside: {sky: %s, luminance: 1000 cd/m2, "+
					"ground: 0}}\n", i, f.at, f.facing, f.w, f.h, sky)
		} else {
			fmt.Fprintf(&b,
				"  - {name: l%d, at: %s, aim: [0, 0, 0], emitter: {shape: rectangle, size: [%g, %g], luminance: "+
					"1000 cd/m2}}\n", i, f.at, f.w, f.h)
		}
	}
	b.WriteString(`points:
  - {name: dome up, at: [0, 0, 0], facing: up, receptor: dome}
  - {name: dome level, at: [0, 0, 0], facing: x+, receptor: dome}
  - {name: flat up, at: [0, 0, 0], facing: up}
  - {name: flat level, at: [0, 0, 0], facing: x+}
`)
	return lab(b.String())
}
