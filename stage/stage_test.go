package stage

import (
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/optics"
	"halfstop/shoot"
)

func built(t *testing.T, yaml string) (*Stage, diag.List) {
	t.Helper()
	f, doc, list := shoot.Parse("shoot.yaml", []byte(yaml), shoot.Options{})
	if list.Has(diag.Error) {
		return nil, list
	}
	s, more := Build(f, doc, 0, Options{Detail: figure.Shadow})
	return s, append(list, more...)
}

const room = "halfstop: 1\nroom: {size: [4, 5, 2.7]}\nsetups:\n  - name: s\n"

// What cannot be built is an Error, what cannot stand as written a finding; both say where and why.
// What a pixel covers decides: 36 mm over 50 mm and 2 m are 1.44 m across the frame.
func TestDetailOfPicture(t *testing.T) {
	s := &Stage{View: &View{View: optics.View{At: geom.V(2, 0, 1.4), Lens: 0.05, Format: optics.FullFrame}}}
	for wide, want := range map[int]figure.Detail{0: figure.Shadow, 120: figure.Shadow, 480: figure.Far,
		1920: figure.Portrait, 6000: figure.Close} {
		s.opt = Options{Detail: figure.Shadow, Pixels: [2]int{wide, wide * 2 / 3}}
		if got := s.detail(geom.V(0, 0, 0)); got != want {
			t.Errorf("%d pixels across: drawn as %d, want %d", wide, got, want)
		}
	}
}

func TestMistakes(t *testing.T) {
	camera := "    camera: {at: [3.6, 2.5], height: 1.4, lens: 50 mm}\n    sitter: {at: [1.4, 2.5]}\n"
	for _, c := range []struct {
		name, yaml, want string
		fatal            bool
	}{
		{"light in a wall", room +
			"    lights: [{name: key, head: battery head 500, modifier: softbox 60x90, at: [-0.5, 1, 1.5], aim: " +
			"[2, 2, 1]}]\n", "in a wall or outside", false},
		{"box through the wall",
			room + "    lights: [{name: key, head: battery head 500, modifier: softbox 60x90, at: [0.1, 2, 1.5], " +
				"aim: [4, 2, 1.5]}]\n", "into wall 4", false},
		{"box through the ceiling",
			room + "    lights: [{name: key, head: battery head 500, modifier: softbox 60x90, at: [2, 2, 2.6], " +
				"aim: [4, 2, 2.6]}]\n", "through the ceiling", false},
		{"box through the floor",
			room + "    lights: [{name: key, head: battery head 500, modifier: softbox 60x90, at: [2, 2, 0.2], " +
				"aim: [4, 2, 0.2]}]\n", "below the floor", false},
		{"two in one place", room +
			"    lights:\n      - {name: a, head: battery head 500, at: [2, 2, 1], aim: [3, 2, 1]}\n      - " +
			"{name: b, head: battery head 500, at: [2, 2, 1], aim: [3, 2, 1]}\n", "in one place", false},
		{"light in frame", room + camera +
			"    lights: [{name: key, head: battery head 500, modifier: softbox 60x90, at: [2, 2.6], height: 1.5}]\n",
			"in the frame", false},
		{"light in the sitter", room + camera +
			"    lights: [{name: key, head: battery head 500, at: [1.4, 2.5], height: 1.2}]\n",
			"where the sitter is", false},
		{"camera outside", room + "    camera: {at: [-2, 1, 1], aim: [1, 1, 1]}\n", "the camera at", true},
		{"point in a wall", room + "    points: [{name: p, at: [9, 1, 1], facing: up}]\n", "lies in a wall", true},
		{"light without an aim",
			room + "    lights: [{name: l, at: [1, 1, 1], emitter: {shape: disc, size: 1, luminance: 5 cd/m2}}]\n",
			"aim", true},
		{"window off the wall",
			"halfstop: 1\nroom: {size: [4, 5, 2.7], windows: [{name: w, wall: 1, from: 3, width: 2, sill: 1, " +
				"head: 2}]}\nsetups: [{name: s}]\n", "wall 1", true},
		{"crossed outline",
			"halfstop: 1\nroom: {outline: [[0, 0], [2, 2], [2, 0], [0, 2]], ceiling: 3}\nsetups: [{name: s}]\n",
			"outline", true},
		{"head asked for more", room +
			"    lights: [{name: key, head: battery head 500, at: [2, 2, 1], aim: [3, 2, 1], power: 2/1}]\n", "", true},
	} {
		s, list := built(t, c.yaml)
		if !strings.Contains(list.Text(), c.want) || list.Has(diag.Error) != c.fatal || (s == nil) != c.fatal {
			t.Errorf("%s: want %q (error %v), got:\n%s", c.name, c.want, c.fatal, list.Text())
		}
		for _, m := range list {
			if m.Pos.Line == 0 || m.Text == "" {
				t.Errorf("%s: no place: %+v", c.name, m)
			}
		}
	}
}

// Layers come as house lights, windows, lights; each is named, and flash is told from burning
// light.
func TestLayers(t *testing.T) {
	s, list := built(t, `halfstop: 1
room:
  size: [4, 5, 2.7]
  windows: [{name: window, wall: 1, from: 1, width: 1, sill: 1, head: 2}]
  outside: {sky: overcast, illuminance: 1000 lx}
  practicals: [{name: bulb, at: [2, 2, 2.5], emitter: {shape: sphere, size: 6 cm}, flux: 800 lm}]
setups:
  - name: s
    lights:
      - {role: key, head: battery head 500, modifier: softbox 60x90, at: [2, 3, 1.8], aim: [1, 1, 1]}
      - {role: fill, at: [3, 3, 1.8], aim: [1, 1, 1], emitter: {shape: disc, size: 0.4, intensity: 100 cd}}
      - {role: other, at: [3, 4, 1.8], aim: [1, 1, 1], off: true, emitter: {shape: disc, size: 0.4, intensity: 100 cd}}
    points: [{name: p, at: [1, 1, 1], facing: up}]
`)
	if s == nil {
		t.Fatal(list.Text())
	}
	var got []string
	for _, l := range s.Layers {
		got = append(got, l.Name+" "+string(l.Kind))
	}
	if w := "bulb practical, window daylight, key flash, fill continuous"; strings.Join(got, ", ") != w {
		t.Errorf("%s, want %s", strings.Join(got, ", "), w)
	}
	if s.LayerNamed("KEY") != 2 || s.LayerNamed("nobody") != -1 || s.PointNamed("points.p") != 0 {
		t.Error("names are not found")
	}
}
