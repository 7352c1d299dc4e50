package meter

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/figure"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
)

// staged builds the first setup of a shoot.
func staged(t testing.TB, yaml string) *stage.Stage {
	t.Helper()
	f, doc, list := shoot.Parse("shoot.yaml", []byte(yaml), shoot.Options{})
	if f == nil || len(list) > 0 {
		t.Fatal(list.Text())
	}
	s, list := stage.Build(f, doc, 0, stage.Options{Detail: figure.Shadow})
	if s == nil {
		t.Fatal(list.Text())
	}
	return s
}

func readings(t testing.TB, s *stage.Stage, w Work) []Reading {
	t.Helper()
	m, err := Measure(context.Background(), s, w)
	if err != nil {
		t.Fatal(err)
	}
	return Weigh(s, m, CameraOf(s))
}

// Levels of house lights are known to 0.3 st each: two equal ones together to (2^0.3 − 1)/√2 of the
// light, for their errors have nothing to do with each other; one alone to 0.3 st; a light that
// says its candela has none.
func TestUncertainty(t *testing.T) {
	const lamp = "{name: %s, at: [%g, 0, 2], emitter: {shape: sphere, size: 10 cm}, flux: 1000 lm}"
	one := "halfstop: 1\nroom: {practicals: [" + fmt.Sprintf(lamp, "a", 0.5) +
		"]}\nsetups: [{name: s, points: [{name: p, at: [0, 0, 0], facing: up}]}]\n"
	two := "halfstop: 1\nroom: {practicals: [" + fmt.Sprintf(lamp, "a", 0.5) + ", " + fmt.Sprintf(lamp, "b", -0.5) +
		"]}\nsetups: [{name: s, points: [{name: p, at: [0, 0, 0], facing: up}]}]\n"
	bare := "halfstop: 1\nsetups: [{name: s, lights: [{name: l, at: [0, 0, 1], emitter: {shape: point, intensity: " +
		"100 cd}}], points: [{name: p, at: [0, 0, 0], facing: up}]}]\n"
	for _, c := range []struct {
		yaml string
		want float64
	}{{one, 0.3}, {two, math.Log2(1 + (math.Exp2(0.3)-1)/math.Sqrt2)}, {bare, 0}} {
		if got := readings(t, staged(t, c.yaml), Work{Seed: 1})[0].Uncertainty; math.Abs(float64(got)-c.want) > 0.005 {
			t.Errorf("%.4f st, want %.4f", got, c.want)
		}
	}
}

// Weighing again for other settings is the same as measuring again: no tracing needed.
func TestWeighAgain(t *testing.T) {
	y := func(shutter string) string {
		return "halfstop: 1\nsetups:\n  - name: s\n    camera: {at: [3, 0, 1], aim: [0, 0, 1], shutter: " + shutter + `, iso: 400}
    lights:
      - {name: flash, at: [1, 0, 2], aim: [0, 0, 1], emitter: {shape: disc, size: 0.4, intensity: 20 cd s}}
      - {name: lamp, at: [1, 1, 2], aim: [0, 0, 1], emitter: {shape: disc, size: 0.4, intensity: 900 cd}}
    objects: [{name: wall, quad: {at: [0, 0, 0], facing: up, size: [6, 6]}, surface: 0.5}]
    points: [{name: p, at: [0, 0, 1], facing: x+}]
`
	}
	a, b := staged(t, y("1/125 s")), staged(t, y("1/30 s"))
	m, err := Measure(context.Background(), a, Work{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	cam := CameraOf(a)
	cam.Shutter = 1.0 / 30
	got, want := Weigh(a, m, cam)[0], readings(t, b, Work{Seed: 1})[0]
	if math.Abs(float64(got.FNumber.StopsOver(want.FNumber))) > 0.03 {
		t.Errorf("%v, want %v", got.FNumber, want.FNumber)
	}
}

// furnishedRoom is a room like the demonstration's with eight lights and twenty points, one of them
// the light that moves.
func furnishedRoom(x float64) string {
	var b strings.Builder
	b.WriteString(`halfstop: 1
room:
  outline: [[0, 0], [7.2, 0], [7.2, 3.8], [0, 3.8]]
  ceiling: 2.75
  surfaces: {walls: off-white gloss, floor: grey lino, ceiling: white emulsion}
  windows: [{name: street, wall: 4, from: 0.9, width: 1.7, sill: 0.95, head: 2.35}]
  outside: {sky: overcast, illuminance: 300 lx}
  practicals:
    - {name: sign, path: [[0.3, 0.05, 2.1], [1.5, 0.05, 2.1]], colour: neon red, reads: {f-number: f/2.8, shutter: 1/60 s, iso: 800, from: 1 m}}
    - {name: tubes, path: [[1, 1.9, 2.7], [6, 1.9, 2.7]], diameter: 26 mm, colour: fluorescent 4000, flux: 9000 lm}
  objects:
    - {name: machines, box: {at: [0.5, 0], size: [5.5, 0.7, 1.05]}, surface: white enamel}
    - {name: bench, box: {at: [2, 3.2], size: [3, 0.4, 0.45]}, surface: light wood}
    - {name: mirror, quad: {at: [7.19, 1.9, 1.5], facing: x-, size: [1, 1.2]}, surface: mirror}
setups:
  - name: aisle
    camera: {at: [5.6, 2.5], height: 1.42, lens: 50 mm, aperture: f/4, shutter: 1/60 s, iso: 400}
    sitter: {at: [3.4, 1.9], turn: 15 deg, skin: 4}
    lights:
`)
	fmt.Fprintf(&b,
		"      - {name: key, role: key, head: battery head 500, modifier: softbox 60x90, at: [%g, 1.0], height: "+
			"2.0, power: 1/8}\n", x)
	b.WriteString(`      - {name: fill, head: battery head 500, modifier: umbrella white 105, at: [5.5, 3.2], height: 2.0, power: 1/16}
      - {name: edge, head: battery head 200, modifier: strip 30x90, at: [1.6, 3.0], height: 2.0, aim: sitter.hair, power: 1/8}
      - {name: accent, head: rgb panel 300, at: [1.7, 1.1], height: 1.6, aim: sitter.hair, level: 60 %}
      - {name: background, head: battery head 200, modifier: standard reflector, at: [1.2, 2.2], height: 1.0, aim: [0, 2.2, 1.4], power: 1/16}
    points:
`)
	for i := range 11 {
		// none inside the sitter
		fmt.Fprintf(&b, "      - {name: place %d, at: [%g, %g, %g], facing: [1, 0.2, 0.3]}\n", i, 0.5+0.6*float64(i),
			0.9+0.05*float64(i), 0.9+0.08*float64(i))
	}
	return b.String()
}

// BenchmarkReadings measures 20 points × 8 lights in a furnished room: after one light moved, its
// own layer to ±0.1 st; and all layers to ±0.02 st. Aims on two cores: 50 ms and 1 s (engine.md 8).
func BenchmarkReadings(b *testing.B) {
	s := staged(b, furnishedRoom(4.4))
	if len(s.Points) != 20 || len(s.Layers) != 8 {
		b.Fatalf("%d points, %d lights", len(s.Points), len(s.Layers))
	}
	run := func(name string, w Work) {
		b.Run(name, func(b *testing.B) {
			paths := 0
			for i := range b.N {
				w.Seed = uint64(i + 1)
				m, err := Measure(context.Background(), s, w)
				if err != nil {
					b.Fatal(err)
				}
				paths = 0
				for _, t := range m.Incident {
					if t != nil {
						paths += t.Paths
					}
				}
			}
			b.ReportMetric(float64(paths), "paths/op")
		})
	}
	run("one light to 0.1 st", Work{Error: 0.1, Layers: []int{s.LayerNamed("key")}})
	run("all to 0.02 st", Work{Error: q.Stops(0.02)})
	b.Run("stage", func(b *testing.B) {
		for range b.N {
			staged(b, furnishedRoom(4.4))
		}
	})
}

// TestSoon: a first answer in haze ends where a point is known to a tenth of a stop and 8,192 paths
// did not bring what is asked; without haze it is no other than one that is not wanted soon.
func TestSoon(t *testing.T) {
	const src = `halfstop: 1
setups:
  - name: s
    %s
    lights: [{name: l, at: [3, 5, 2.5], aim: [3, 2, 1], emitter: {shape: disc, size: 0.1, intensity: 1000 cd,
      beam: 20}}]
    points: [{name: beside, at: [4, 3, 1], facing: [3, 5, 2.5], receptor: flat}]
`
	at := func(haze string, w Work) (Reading, *Measured) {
		s := staged(t, fmt.Sprintf(src, haze))
		m, err := Measure(context.Background(), s, w)
		if err != nil {
			t.Fatal(err)
		}
		return Weigh(s, m, CameraOf(s))[0], m
	}
	const asked = 0.002
	long, _ := at("haze: {density: medium}", Work{Seed: 1, Error: asked, Samples: 1 << 14})
	soon, m := at("haze: {density: medium}", Work{Seed: 1, Error: asked, Samples: 1 << 14, Soon: true})
	if long.Paths <= soon.Paths || soon.Paths < 32*soonPaths || soon.Error > soonError || soon.Error <= asked ||
		m.Capped {
		t.Errorf("in haze %d paths, ±%.3f st, capped %v; not soon %d paths", soon.Paths, soon.Error, m.Capped,
			long.Paths)
	}
	a, _ := at("", Work{Seed: 1, Error: asked, Samples: 1 << 14})
	b, _ := at("", Work{Seed: 1, Error: asked, Samples: 1 << 14, Soon: true})
	if a.Paths != b.Paths || a.Exposure != b.Exposure {
		t.Errorf("without haze %d paths, soon %d", a.Paths, b.Paths)
	}
}

// A neutral filter before the lens takes its stops from the picture and none from the meter.
func TestND(t *testing.T) {
	const src = "halfstop: 1\nsetups: [{name: s, camera: {at: [2, 0, 1], aim: [0, 0, 0]%s}, lights: [{name: l, " +
		"at: [0, 0, 1], emitter: {shape: point, intensity: 100 cd}}], points: [{name: p, at: [0, 0, 0], facing: " +
		"up}]}]\n"
	a := readings(t, staged(t, fmt.Sprintf(src, "")), Work{Seed: 1})[0]
	b := readings(t, staged(t, fmt.Sprintf(src, ", nd: 3 st")), Work{Seed: 1})[0]
	if a.FNumber != b.FNumber || math.Abs(float64(a.Stops-b.Stops)-3) > 1e-9 {
		t.Errorf("meter %v and %v, picture %v and %v", a.FNumber, b.FNumber, a.Stops, b.Stops)
	}
}

// Key : fill compares the lights at the key side of the face, each alone. A clamshell of 89 % to 11
// % is 8:1, though both sides are alike; a key alone says that the room fills; a setup without a
// key says why there is no number; a key weaker than the fill is told as inverted by its sides.
func TestRatioOfLights(t *testing.T) {
	const src = `halfstop: 1
room: {size: [5, 5, 3], surfaces: {all: %s}}
setups:
  - name: s
    camera: {at: [4.5, 2.5], height: 1.5 m, aim: sitter.face}
    sitter: {at: [2, 2.5], faces: camera}
    lights: [%s]
`
	const key = "{role: key, at: [3.2, %g, 2.6], aim: sitter.face, emitter: {shape: disc, size: 0.6, intensity: %g cd}}"
	const fill = "{role: fill, at: [3.2, 2.5, 0.5], aim: sitter.face, emitter: {shape: disc, size: 0.6, " +
		"intensity: %g cd}}"
	to := func(error float64, walls, lights string) Facts {
		s := staged(t, fmt.Sprintf(src, walls, lights))
		return FactsOf(s, CameraOf(s), readings(t, s, Work{Seed: 1, Error: q.Stops(error)}))
	}
	facts := func(walls, lights string) Facts { return to(0.004, walls, lights) }
	// Scale the fill so that the key has 89 % at the key side.
	f := facts("0", fmt.Sprintf(key, 2.5, 1000.0)+", "+fmt.Sprintf(fill, 1000.0))
	even := f.Ratio.Lights
	f = facts("0", fmt.Sprintf(key, 2.5, 1000.0)+", "+fmt.Sprintf(fill, 1000*even*0.11/0.89))
	if r := f.Ratio; math.Abs(r.Lights-0.89/0.11) > 0.1 || math.Abs(float64(r.LitOverShade)) > 0.2 ||
		r.Words != "even" || r.Fill != "fill" {
		t.Errorf("clamshell: %+v", *r)
	}
	if r := facts("0.5", fmt.Sprintf(key, 4.0, 1000.0)).Ratio; !strings.Contains(r.Fill, "the room") ||
		r.Lights < 1 || r.Sides < 1.5 {
		t.Errorf("one light: %+v", *r)
	}
	// A weak lamp beside it fills less than the room does: the room is what fills.
	weak := fmt.Sprintf(key, 4.0, 1000.0) + ", " + fmt.Sprintf(fill, 12.0)
	if r := facts("0.5", weak).Ratio; !strings.HasPrefix(r.Fill, "the room") || r.Lights > 2.5*r.Sides {
		t.Errorf("a weak lamp in a pale room: %+v", *r)
	}
	if r := facts("0.05", weak).Ratio; r.Fill != "fill" {
		t.Errorf("a weak lamp in a dark room: %+v", *r)
	}
	if r := facts("0", strings.Replace(fmt.Sprintf(key, 4.0, 1000.0), "role: key", "role: edge",
		1)).Ratio; r != nil && (r.Lights != 0 || !strings.Contains(r.Fill, "no light has the role key")) {
		t.Errorf("no key: %+v", *r)
	}
	thrown := strings.Replace(fmt.Sprintf(key, 4.0, 1000.0), "aim: sitter.face", "aim: [3.2, 4, 3]", 1)
	if r := to(0.1, "0.5", thrown).Ratio; r.Lights != 0 || !strings.Contains(r.Fill, "comes off a surface") {
		t.Errorf("a key thrown at the ceiling: %+v", *r)
	}
	strong := "{role: side, at: [2.6, 0.8, 1.6], aim: sitter.face, emitter: {shape: disc, size: 0.6, intensity: " +
		"3000 cd}}"
	if r := facts("0.3", fmt.Sprintf(key, 4.0, 300.0)+", "+strong).Ratio; r.LitOverShade > -0.5 ||
		!strings.Contains(r.Words, "inverted") || r.Lights > 5 {
		t.Errorf("inverted: %+v", *r)
	}
}

// Fifteen equal panels are one line, weighed by what they give; the same far away and weak, under 1
// % of every point, are none. The speeds are real ones.
func TestFlickerTogether(t *testing.T) {
	var panels []string
	for i := range 15 {
		panels = append(panels, fmt.Sprintf(
			"{name: p%d, kind: fluorescent tube, path: [[%g, %g, 2.7], [%g, %g, 2.7]], flux: FLUX, mains: 50 Hz}", i+1,
			1+float64(i%5), 1+float64(i/5), 1.6+float64(i%5), 1+float64(i/5)))
	}
	src := "halfstop: 1\nroom: {size: [7, 5, 2.8], practicals: [" + strings.Join(panels, ", ") + `]}
setups:
  - name: s
    camera: {at: [6, 2.5], height: 1.5 m, aim: sitter.face, shutter: 1/250 s}
    sitter: {at: [3, 2.5], faces: camera}
    lights: [{role: key, at: [4, 3.5, 2], aim: sitter.face, emitter: {shape: disc, size: 0.6, intensity: 3000 cd}}]
`
	facts := func(flux string) Facts {
		s := staged(t, strings.ReplaceAll(src, "FLUX", flux))
		return FactsOf(s, CameraOf(s), readings(t, s, Work{Seed: 1, Error: 0.05}))
	}
	f := facts("2000 lm")
	if len(f.Flicker) != 1 || f.Flicker[0].Many != 15 || f.Flicker[0].Name != "p1 and 14 like it" ||
		f.Flicker[0].Share < 0.3 {
		t.Fatalf("%+v", f.Flicker)
	}
	for _, s := range f.Flicker[0].Steady {
		if s <= 0 {
			t.Error("a speed of nothing", f.Flicker[0].Steady)
		}
	}
	if f := facts("1 lm"); len(f.Flicker) != 0 {
		t.Errorf("%+v", f.Flicker)
	}
}
