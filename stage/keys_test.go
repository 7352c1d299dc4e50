package stage

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"halfstop/figure"
	"halfstop/shoot"
)

// TestKeys changes one thing of the demonstration's first setup at a time: keys change where traced
// light does and nowhere else, and a stage built from the one before has the keys of one built
// anew.
func TestKeys(t *testing.T) {
	src, err := os.ReadFile(filepath.Join("..", "internal", "demo", "launderette", "shoot.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	_, doc, _ := shoot.Parse("t", src, shoot.Options{})
	build := func(text []byte, like *Stage) *Stage {
		f, doc, list := shoot.Parse("t", text, shoot.Options{})
		s, more := Build(f, doc, 0, Options{Detail: figure.Shadow, Like: like})
		if s == nil {
			t.Fatal(list.Text(), more.Text())
		}
		return s
	}
	old := build(src, nil)
	for i, c := range []struct{ path, value, changes string }{
		{"setups[0].name", "Other", ""},
		{"setups[0].lights[0].power", "1/8", ""},
		{"setups[0].lights[1].level", "20 %", ""},
		{"setups[0].lights[0].name", "main", ""},
		{"setups[0].camera.iso", "800", ""},
		{"setups[0].camera.aperture", "f/8", ""},
		{"setups[0].camera.white balance", "3200 K", ""},
		{"setups[0].look[0].reads", "f/8", ""},
		{"setups[0].lights[0].gel", "full orange", "colours"},
		{"setups[0].lights[1].colour", "3200 K", "colours"},
		{"setups[0].lights[0].at", "[4.3, 1.05]", "light 0, points"}, // a point looks towards the key
		{"setups[0].lights[0].height", "2.1 m", "light 0, points"},
		{"setups[0].lights[0].modifier", "softbox 60x90", "light 0, colours"},
		{"setups[0].lights[2].grid", "grid 30", "light 2, colours"},
		{"setups[0].lights[2].off", "true", "light 2, colours"},
		{"setups[0].camera.at", "[5.5, 2.5]",
			"place, light 0, light 1, view, points"}, // the sitter faces it, and lights aim at the face
		{"setups[0].camera.lens", "85 mm", "view"},
		{"setups[0].camera.blades", "6", "view"},
		{"setups[0].points[0].at", "[0.005, 0.5, 1.8]", "points"},
		{"setups[0].points[0].name", "wall", "points"},
		{"setups[0].sitter.skin", "7", "place"},
		{"setups[0].panels[0].at", "[3.75, 3.05]", "place"},
		{"setups[0].haze", "{visibility: 40 m}", "place"},
		{"room.surfaces.floor", "red brick", "place"},
		{"room.practicals[1].flux", "2000 lm", "place"},
		{"room.practicals[1].colour", "tungsten", "colours"},
		{"room.windows[0].head", "2.2 m", "place"},
		{"room.outside.illuminance", "900 lx", "place"},
	} {
		text, err := doc.Set(c.path, c.value)
		if err != nil {
			t.Fatal(err)
		}
		s := build(text, old)
		a, b := &old.Keys, &s.Keys
		var got []string
		note := func(changed bool, what string) {
			if changed {
				got = append(got, what)
			}
		}
		note(a.Place != b.Place, "place")
		for i := range a.Lights {
			note(a.Lights[i] != b.Lights[i], "light "+string(rune('0'+i)))
		}
		note(a.View != b.View, "view")
		note(a.Points != b.Points, "points")
		note(a.Colours != b.Colours, "colours")
		if want := c.changes; strings.Join(got, ", ") != want {
			t.Errorf("%s: %s: changed %q, want %q", c.path, c.value, strings.Join(got, ", "), want)
		}
		if i%6 > 0 { // a stage takes a quarter of a second
			continue
		}
		warm := build(text, nil).Keys
		if warm.Place != b.Place || warm.View != b.View || warm.Points != b.Points || warm.Colours != b.Colours ||
			!slices.Equal(warm.Lights, b.Lights) {
			t.Errorf("%s: built from the stage before it has other keys than built anew", c.path)
		}
	}
}
