package stage

import (
	"strings"
	"testing"

	"halfstop/figure"
	"halfstop/geom"
	"halfstop/shoot"
)

// A softbox beside the lens shows in glasses and, off to the side, in a mirror behind the sitter;
// moved away it does not. The places are worked out by the law of reflection: the camera at 1, 2
// and the sitter's eyes at about 2.9, 2, so a box at 0.9, 2.1 mirrors within a lens half way, one
// at 1.2, 1.3 would mirror 35 cm beside it.
func TestReflections(t *testing.T) {
	build := func(light, mirror string) string {
		src := `halfstop: 1
room:
  size: [5, 4, 2.7]
` + mirror + `setups:
  - name: A
    camera: {at: [1, 2], height: 1.55 m, lens: 35 mm, aim: sitter.eyes}
    sitter: {at: [3, 2], glasses: true}
    lights:
      - {role: key, head: battery head 500, modifier: softbox 40x40, ` + light + `}
`
		f, doc, list := shoot.Parse("t", []byte(src), shoot.Options{})
		_, l := Build(f, doc, 0, Options{Detail: figure.Shadow})
		var codes []string
		for _, m := range append(list, l...) {
			codes = append(codes, m.Code)
		}
		return strings.Join(codes, " ")
	}
	mirror := "  objects: [{name: mirror, quad: {at: [4.99, 2.9, 1.5], facing: x-, size: [1, 1]}, surface: mirror}]\n"
	for _, c := range []struct {
		light, mirror string
		glasses, wall bool
	}{
		{"at: [0.9, 2.1], height: 1.65 m", "", true, false},
		{"at: [1.2, 1.3], height: 1.65 m", "", false, false},
		{"at: [1.0, 3.4], height: 1.65 m, aim: [4.9, 2.8, 1.5]", mirror, false, true},
		{"at: [1.0, 3.4], height: 1.65 m, aim: [0, 3.4, 1.5]", mirror, false, false}, // its back
	} {
		codes := build(c.light, c.mirror)
		if got := strings.Contains(codes, "stage.in-glasses"); got != c.glasses {
			t.Errorf("%s: in the glasses %v, want %v (%s)", c.light, got, c.glasses, codes)
		}
		if got := strings.Contains(codes, "stage.reflected"); got != c.wall {
			t.Errorf("%s: in the mirror %v, want %v (%s)", c.light, got, c.wall, codes)
		}
	}
}

// TestGlassNamed: what shows in a mirror is told with the mirror's name, also where it is a box
// turned about its corner: half a metre along it, but not where it would be unturned.
func TestGlassNamed(t *testing.T) {
	f, doc, _ := shoot.Parse("t", []byte(`halfstop: 1
room:
  size: [5, 4, 2.7]
  objects: [{name: wardrobe, box: {at: [3, 1], size: [1, 0.1, 2]}, turn: 30 deg, surface: mirror}]
setups:
  - name: A
    camera: {at: [1, 2], height: 1.55 m, lens: 35 mm, aim: [3, 2, 1.5]}
    objects: [{name: cheval glass, box: {at: [4, 3], size: [0.5, 0.05, 1.6]}, turn: 90 deg, surface: mirror}]
`), shoot.Options{})
	s, list := Build(f, doc, 0, Options{Detail: figure.Shadow})
	if s == nil {
		t.Fatal(list.Text())
	}
	for p, want := range map[geom.Vec]string{
		geom.V(3.43, 1.25, 1): "wardrobe", geom.V(3.5, 1.05, 1): "", geom.V(3.43, 1.25, 2.2): "",
		geom.V(3.99, 3.3, 1): "cheval glass", geom.V(4.3, 3, 1): "",
	} {
		if got := s.glassAt(p); got != want {
			t.Errorf("%v: %q, want %q", p, got, want)
		}
	}
}
