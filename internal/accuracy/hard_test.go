package accuracy

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
)

// hard is a scene that invites a wrong answer: it must be refused with words, or give what check
// wants.
type hard struct {
	name, yaml string
	refused    string // a part of the message of an Error
	paths      int    // most of each point; 0: 8,192
	check      func(t *testing.T, a *answered)
}

// hazePaths are enough for what the scenes in haze show, that they end and give a bounded number: a
// path there has hundreds of vertices.
const hazePaths = 1 << 10

func near(t *testing.T, what string, got, want, st float64) {
	t.Helper()
	if e := math.Abs(math.Log2(got / want)); !(e <= st) {
		t.Errorf("%s: %.6g, want %.6g (off by %.3f st, allowed %.3f)", what, got, want, e, st)
	}
}

func hardScenes() []hard {
	dark := func(names ...string) func(*testing.T, *answered) {
		return func(t *testing.T, a *answered) {
			for _, n := range names {
				if p := a.point(n); p == nil || p.Stops != nil || p.Lux != 0 || p.FNumber != 0 || p.Kelvin != nil ||
					p.XY != nil {
					t.Errorf("%s: %+v, want darkness with stops null", n, p)
				}
			}
		}
	}
	luxOf := func(name string, want, st float64) func(*testing.T, *answered) {
		return func(t *testing.T, a *answered) { t.Helper(); near(t, name, a.point(name).Lux, want, st) }
	}
	all := func(f ...func(*testing.T, *answered)) func(*testing.T, *answered) {
		return func(t *testing.T, a *answered) {
			for _, g := range f {
				g(t, a)
			}
		}
	}
	mirrors := func(emitter string) string {
		return lab(`
lights: [{name: lamp, at: [0, 0, 1], aim: [0, 0, 0], emitter: ` + emitter + `}]
objects:
  - {name: below, quad: {at: [0, 0, 0], facing: up, size: [40, 40]}, surface: {mirror: 0.5}}
  - {name: above, quad: {at: [0, 0, 3], facing: down, size: [40, 40]}, surface: {mirror: 0.5}}
points: [{name: p, at: [0, 0, 2], facing: down}]`)
	}
	// Images of a lamp at 1 between mirrors of 0.5 at 0 and 3, seen by a receptor at 2 that looks
	// down: lamps at 1 − 6k (2k mirrors) and at −1 − 6k (2k + 1 mirrors).
	images := 0.0
	for k := 0.0; k < 40; k++ {
		images += math.Pow(0.5, 2*k)/math.Pow(1+6*k, 2) + math.Pow(0.5, 2*k+1)/math.Pow(3+6*k, 2)
	}
	return []hard{
		{name: "no light at all",
			yaml: lab("points: [{name: p, at: [0, 0, 0], facing: up}, {name: d, at: [0, 0, 0], facing: up, " +
				"receptor: dome}]"), check: dark("p", "d")},
		{name: "only a dark light",
			yaml: lab("lights: [{name: l, at: [0, 0, 1], emitter: {shape: point, intensity: 100 cd}, level: 0 " +
				"%}]\npoints: [{name: p, at: [0, 0, 0], facing: up}]"), check: dark("p")},
		{name: "behind the receptor",
			yaml: lab("lights: [{name: l, at: [0, 0, 1], emitter: {shape: point, intensity: 100 cd}}]\npoints: " +
				"[{name: p, at: [0, 0, 2], facing: up}]"), check: dark("p")},
		{name: "zero size",
			yaml: lab("lights: [{name: l, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: disc, size: 0, " +
				"luminance: 100 cd/m2}}]\npoints: [{name: p, at: [0, 0, 0], facing: up}]"), refused: "size"},
		{name: "no size",
			yaml: lab("lights: [{name: l, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: disc, luminance: 100 " +
				"cd/m2}}]\npoints: [{name: p, at: [0, 0, 0], facing: up}]"), refused: "size"},
		{name: "no level",
			yaml: lab("lights: [{name: l, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: disc, size: " +
				"1}}]\npoints: [{name: p, at: [0, 0, 0], facing: up}]"), refused: "luminance, intensity, flux"},
		{name: "receptor on a surface", yaml: `halfstop: 1
room: {size: [4, 4, 4], surfaces: {all: 0.5}}
setups:
  - name: on
    lights: [{name: l, at: [2, 2, 2], emitter: {shape: point, flux: 10000 lm}}]
    points:
      - {name: on, at: [1, 1, 0], facing: up}
      - {name: off, at: [1, 1, 0.001], facing: up}
      - {name: dome on, at: [1, 1, 0], facing: up, receptor: dome}
      - {name: dome off, at: [1, 1, 0.001], facing: up, receptor: dome}
`, check: func(t *testing.T, a *answered) {
			near(t, "flat on the floor", a.point("on").Lux, a.point("off").Lux, 0.06)
			near(t, "dome on the floor", a.point("dome on").Lux, a.point("dome off").Lux, 0.06)
		}},
		{name: "emitter flush with a wall", yaml: `halfstop: 1
room: {size: [4, 4, 4], surfaces: {all: 0}}
setups:
  - name: flush
    lights: [{name: l, at: [0, 2, 2], aim: [1, 2, 2], emitter: {shape: disc, size: 10 cm, luminance: 10000 cd/m2}}]
    points: [{name: p, at: [0.3, 2, 3.9], facing: down}]
`, check: luxOf("p", 10000*math.Pi*0.0025*(0.3*1.9)/math.Pow(0.09+1.9*1.9, 2), 0.02)},
		{name: "coincident surfaces", yaml: lab(`
lights: [{name: l, at: [0, 0, 2], emitter: {shape: point, intensity: 400 cd}}]
objects:
  - {name: one, quad: {at: [0, 0, 0], facing: up, size: [20, 20]}, surface: 0.5}
  - {name: two, quad: {at: [0, 0, 0], facing: up, size: [20, 20]}, surface: 0.5}
points: [{name: p, at: [0.01, 0, 2], facing: down}]`), check: func(t *testing.T, a *answered) {
			near(t, "p", a.point("p").bounced(), 2*0.5*400/5/4, 0.06) // B10: 2 ρ I/(5 h²)
		}},
		{name: "receptor touches a silk", yaml: lab(`
lights: [{name: l, at: [0, 0, 1], emitter: {shape: point, intensity: 1000 cd}}]
panels: [{name: silk, kind: silk, size: [2, 2], at: [0, 0, 0], aim: [0, 0, 1], surface: {transmit: 0.6}}]
points: [{name: p, at: [0, 0, 0], facing: down}, {name: under, at: [0, 0, -0.001], facing: up}]`), check: all(luxOf("under", 600, 0.03), dark("p"))}, // π L = τ E at contact
		{name: "tube end-on", yaml: lab(`
lights: [{name: l, emitter: {shape: tube, size: 26 mm, path: [[0, 0, 1], [0, 0, 2]], luminance: 5000 cd/m2}}]
points: [{name: p, at: [0, 0, 0], facing: up}, {name: beside, at: [0.5, 0, 1.5], facing: x-}]`), check: all(dark("p"),
			luxOf("beside", 5000*0.026/(2*0.5)*2*(math.Pi/4+0.5), 0.03))},
		{name: "inside a ball of light",
			yaml: lab("lights: [{name: l, at: [0, 0, 0], emitter: {shape: sphere, size: 2 m, luminance: 100 " +
				"cd/m2}}]\npoints: [{name: p, at: [0, 0, 0.2], facing: up}]"), refused: "inside"},
		{name: "inside a tube",
			yaml: lab("lights: [{name: l, emitter: {shape: tube, size: 26 mm, path: [[0, 0, 1], [0, 0, 2]], " +
				"luminance: 5000 cd/m2}}]\npoints: [{name: p, at: [0, 0, 1.5], facing: up}]"), refused: "inside"},
		{name: "bent emitter",
			yaml: lab("lights: [{name: l, emitter: {shape: polygon, path: [[0, 0, 1], [1, 0, 1], [1, 1, 1.5], [0, " +
				"1, 1]], flux: 100 lm}}]\npoints: [{name: p, at: [0, 0, 0], facing: up}]"), refused: "plane"},
		{name: "light behind glass", yaml: lab(`
lights: [{name: l, at: [0, 0, 2], emitter: {shape: point, intensity: 400 cd}}]
objects: [{name: pane, quad: {at: [0, 0, 1], facing: up, size: [9, 9]}, surface: {clear: 1, coat: 1.52}}]
points: [{name: p, at: [0, 0, 0], facing: up}]`), check: luxOf("p", 100*0.918318, 0.02)},
		{name: "mirrors face to face, ball", yaml: mirrors("{shape: sphere, size: 10 cm, intensity: 1000 cd}"),
			check: luxOf("p", 1000*images, 0.05)},
		{name: "mirrors face to face, point", yaml: mirrors("{shape: point, intensity: 1000 cd}"),
			check: luxOf("p", 1000*images, 0.05)},
		{name: "silk in haze", paths: hazePaths, yaml: lab(`
haze: {density: medium}
lights: [{name: l, at: [0, 0, 2], emitter: {shape: point, intensity: 1000 cd}}]
panels: [{name: silk, kind: silk, size: [2, 2], at: [0, 0, 1], aim: [0, 0, 0]}]
points: [{name: p, at: [0, 0, 0], facing: up}, {name: s, at: [0, 0, 1], from: [0, 0.5, -1], receptor: spot}]`), check: func(t *testing.T, a *answered) {
			if v := a.point("p").Lux; !(v > 10 && v < 250) {
				t.Errorf("%g lx", v)
			}
		}},
		{name: "a room of 10 cm", yaml: tinyRoom(0.1), check: luxOf("p", 10000/0.01*tinyAnswer, 0.05)},
		{name: "a room of 900 m", yaml: tinyRoom(900), check: luxOf("p", 10000.0/810000*tinyAnswer, 0.05)},
		{name: "window only", yaml: `halfstop: 1
room:
  size: [4, 4, 2.7]
  surfaces: {all: 0.5}
  windows: [{name: w, wall: 1, from: 1, width: 2, sill: 1, head: 2}]
  outside: {sky: overcast, illuminance: 10 klx}
setups:
  - name: day
    points: [{name: p, at: [2, 2, 1], facing: [0, -1, 0]}, {name: back, at: [2, 3.9, 1], facing: y+}]
`, check: func(t *testing.T, a *answered) {
			if p, b := a.point("p").Lux, a.point("back").Lux; !(p > 200 && p < 4000 && b > 5 && b < p) {
				t.Errorf("%g and %g lx", p, b)
			}
		}},
		{name: "concave room", yaml: `halfstop: 1
room:
  outline: [[0, 0], [4, 0], [4, 2], [2, 2], [2, 4], [0, 4]]
  ceiling: 2.5
  surfaces: {all: 0}
setups:
  - name: corner
    lights: [{name: l, at: [3.5, 1, 1], emitter: {shape: point, intensity: 100 cd}}]
    points: [{name: hidden, at: [1.9, 3.9, 1], facing: [1, -1, 0]}, {name: seen, at: [0.5, 1, 1], facing: x+}]
`, check: all(dark("hidden"), luxOf("seen", 100.0/9, 0.02))},
		{name: "concave emitter", yaml: lab(`
lights: [{name: l, emitter: {shape: polygon, path: [[1, 2, 3], [1, 1, 3], [2, 1, 3], [2, 0, 3], [0, 0, 3], [0, 2, 3]], flux: 9424.778 lm}}]
points: [{name: p, at: [0.5, 0.5, -97], facing: up}, {name: outside, at: [1.9, 1.9, 2.99], facing: up}, {name: within, at: [0.5, 0.5, 2.999], facing: up}]`), check: func(t *testing.T, a *answered) {
			// 3 m², L = Φ/(π A) = 1000: from afar 3000 cd; touching it π L; under the missing
			// corner a tenth of that at most.
			near(t, "afar", a.point("p").Lux, 3000.0/10000, 0.02)
			near(t, "touching", a.point("within").Lux, 1000*math.Pi, 0.02)
			if v := a.point("outside").Lux; v > 100 {
				t.Errorf("under the missing corner %g lx", v)
			}
		}},
		{name: "twelve lights", yaml: twelve(), check: luxOf("p", 12*1000.0/4, 0.02)},
		{name: "receptor where a light is",
			yaml: lab("lights: [{name: l, at: [0, 0, 0], emitter: {shape: point, intensity: 100 cd}}]\npoints: " +
				"[{name: p, at: [0, 0, 0], facing: up}, {name: d, at: [0, 0, 0], facing: up, receptor: dome}]"),
			check: dark("p", "d")},
		{name: "spot from where it looks",
			yaml: lab("points: [{name: p, at: [0, 0, 0], from: [0, 0, 0], receptor: spot}]"), refused: "from"},
		{name: "camera in a wall",
			yaml: "halfstop: 1\nroom: {size: [4, 4, 3]}\nsetups: [{name: s, camera: {at: [-1, 1, 1], aim: [1, " +
				"1, 1]}}]\n", refused: "wall"},
		{name: "sitter outside",
			yaml:    "halfstop: 1\nroom: {size: [4, 4, 3]}\nsetups: [{name: s, sitter: {at: [9, 1], faces: x-}}]\n",
			refused: "outside"},
		{name: "reflectance over one",
			yaml: "halfstop: 1\nroom: {size: [4, 4, 3], surfaces: {all: {diffuse: 0.8, mirror: 0.4}}}\nsetups: " +
				"[{name: s}]\n", refused: "1"},
		{name: "file outside the folder",
			yaml: lab("lights: [{name: l, at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: point, photometry: " +
				"../secret.ies}}]"), refused: "folder"},
		{name: "huge haze", paths: hazePaths,
			yaml: lab("haze: {extinction: 100}\nlights: [{name: l, at: [0, 0, 5], emitter: {shape: point, " +
				"intensity: 1000 cd}}]\npoints: [{name: p, at: [0, 0, 0], facing: up}]"),
			check: func(t *testing.T, a *answered) {}},
		{name: "white room",
			yaml: "halfstop: 1\nroom: {size: [4, 4, 3], surfaces: {all: 1}}\nsetups: [{name: s, lights: [{name: " +
				"l, at: [2, 2, 1], emitter: {shape: point, flux: 100 lm}}], points: [{name: p, at: [1, 1, 1], " +
				"facing: up}]}]\n", check: func(t *testing.T, a *answered) {}},
	}
}

// tinyRoom is a cube of side s, all 0.5, 10,000 lm in its middle; tinyAnswer is E·s²/Φ on the
// middle of the floor: direct 1/(4π/4) = 1/π.
func tinyRoom(s float64) string {
	return fmt.Sprintf(`halfstop: 1
room: {size: [%g, %g, %g], surfaces: {all: 0}}
setups:
  - name: cube
    lights: [{name: l, at: [%g, %g, %g], emitter: {shape: point, flux: 10000 lm}}]
    points: [{name: p, at: [%g, %g, 0], facing: up}]
`, s, s, s, s/2, s/2, s/2, s/2, s/2)
}

const tinyAnswer = 1 / math.Pi

func twelve() string {
	var b strings.Builder
	b.WriteString("lights:\n")
	for i := range 12 {
		s, c := math.Sincos(float64(i) * math.Pi / 6)
		// All at 2 m and all 60° off the receptor's axis: twice the intensity makes up for it.
		fmt.Fprintf(&b, "  - {name: l%d, at: [%s, %s, 1], emitter: {shape: point, intensity: 2000 cd}}\n", i,
			num(math.Sqrt(3)*c), num(math.Sqrt(3)*s))
	}
	return lab(b.String() + "points: [{name: p, at: [0, 0, 0], facing: up}]")
}

// TestHardScenes: each is right, or refused with words; none hangs; no number is not a number.
func TestHardScenes(t *testing.T) {
	for _, h := range hardScenes() {
		t.Run(h.name, func(t *testing.T) {
			job, list := parsed(h.yaml, nil)
			text := []byte("{}")
			if job != nil && !list.Has(diag.Error) {
				ctx, stop := context.WithTimeout(context.Background(), 60*time.Second)
				defer stop()
				most := 1 << 13
				if h.paths > 0 {
					most = h.paths
				}
				m, more, err := job.Meter(ctx, 0, meter.Work{Seed: 1, Samples: most, Error: 0.005})
				if err != nil {
					t.Fatal(err)
				}
				list = append(list, more...)
				if m != nil {
					if ctx.Err() != nil {
						t.Error("took over a minute")
					}
					if text, err = json.Marshal(answer.Readings{Setups: []answer.SetupReadings{m.JSON()}}); err != nil {
						t.Fatal(err)
					}
				}
			}
			if h.refused != "" {
				if !list.Has(diag.Error) || !strings.Contains(list.Text(), h.refused) {
					t.Errorf("not refused with %q:\n%s\n%s", h.refused, list.Text(), text)
				}
				return
			}
			if list.Has(diag.Error) {
				t.Fatalf("refused:\n%s", list.Text())
			}
			if bytes.Contains(text, []byte("NaN")) || bytes.Contains(text, []byte("Inf")) {
				t.Errorf("%s", text)
			}
			var a answered
			if err := json.Unmarshal(text, &a); err != nil {
				t.Fatal(err)
			}
			h.check(t, &a)
		})
	}
}
