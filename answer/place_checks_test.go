package answer

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/shoot"
)

// placed is a room of 6 × 4 × 3 m with a sitter, a camera at its far end, and some lines put in.
func placed(room, setup, lights string) string {
	return fmt.Sprintf(`halfstop: 1
room:
  size: [6, 4, 3]
%s
setups:
  - name: A
    camera: {at: [5.5, 2], height: 1.5 m, lens: 85 mm, aim: sitter.face, sync: 1/200 s, shutter: 1/200 s}
    sitter: {at: [2, 2]}
%s
    lights: [%s]
`, room, setup, lights)
}

// turnedBar is a bar turned about its low corner: its middle is at 3, 3.22.
const turnedBar = "  objects: [{name: bar, box: {at: [3, 2.8], size: [0.6, 0.6, 1.1]}, turn: 45 deg}]"

// codesOf gives the codes of all that is found of a shoot's place and its lights, and of its
// readings where they are asked for.
func codesOf(t *testing.T, src string, read bool) (codes []string) {
	t.Helper()
	f, doc, list := shoot.Parse("t", []byte(src), shoot.Options{})
	j := &Job{File: f, Doc: doc}
	if !list.Has(diag.Error) {
		s, more := j.Stage(0, figure.Shadow)
		list = append(list, more...)
		if !more.Has(diag.Error) {
			list = append(list, j.Cautions(s)...)
			if read {
				m, _, err := j.Meter(context.Background(), 0, meter.Work{Seed: 1, Error: 0.1, Samples: 2048})
				if err != nil {
					t.Fatal(err)
				}
				list = append(list, m.Judge()...)
			}
		}
	}
	for _, m := range list {
		if m.Severity == diag.Error {
			t.Errorf("%s: %s", m.Code, m.Text)
		}
		codes = append(codes, m.Code)
	}
	return codes
}

// TestEveryPlaceCheck: each finding and caution about a place, a light or the camera has a shoot
// that sets it off and one that just does not; each that the sources say stands here, or beside the
// room's own test.
func TestEveryPlaceCheck(t *testing.T) {
	key := func(s string) string {
		return "{role: key, head: battery head 500, modifier: standard reflector, " + s + "}"
	}
	box := func(s string) string {
		return "{role: key, head: battery head 500, modifier: softbox 60x90, " + s + "}"
	}
	const mirror = "  objects: [{name: glass, quad: {at: [0.01, 3.2, 1.5], facing: x+, size: [1.4, 1.4]}, " +
		"surface: mirror}]"
	fill := func(s string) string { return strings.Replace(key(s), "role: key", "role: fill", 1) }
	through := func(camera, sitter string) string {
		return fmt.Sprintf("halfstop: 1\nroom:\n  size: [6, 4, 3]\n%s\nsetups:\n  - name: A\n    "+
			"camera: {%s, height: 1.5 m, "+
			"lens: 35 mm, mirror: glass}\n    sitter: {%s}\n    lights: [%s]\n", mirror, camera, sitter,
			key("at: [4, 0.5], height: 2 m"))
	}
	skin := func(spot string) string {
		return strings.Replace(placed("", "", ""), "sitter: {at: [2, 2]}",
			"sitter: {at: [2, 2], skin reads: {incident: f/4, spot: "+spot+"}}", 1)
	}
	tested := map[string]bool{}
	for _, c := range []struct{ code, off, quiet string }{
		// The box of 60 × 90 cm stands upright: 45 cm over its middle, tipped toward the face less.
		{"stage.through-ceiling", placed("", "", box("at: [3, 3], height: 2.95 m")),
			placed("", "", box("at: [3, 3], height: 2.2 m"))},
		{"stage.through-floor", placed("", "", box("at: [3, 3], height: 0.2 m, aim: [2, 2, 0.2]")),
			placed("", "", box("at: [3, 3], height: 0.5 m, aim: [2, 2, 0.5]"))},
		{"stage.through-wall", placed("", "", box("at: [3, 3.85], height: 1.6 m, aim: [2, 3.85, 1.6]")),
			placed("", "", box("at: [3, 3.6], height: 1.6 m, aim: [2, 3.6, 1.6]"))},
		{"stage.outside", placed("", "", key("at: [3, 4.2], height: 2 m")),
			placed("", "", key("at: [3, 3.8], height: 2 m"))},
		{"stage.in-object", placed("  objects: [{name: bar, box: {at: [3, 2.8], size: [0.6, 0.6, 1.1]}}]", "",
			key("at: [3.3, 3.1], height: 1 m, stand: clamp")),
			placed("  objects: [{name: bar, box: {at: [3, 2.8], size: [0.6, 0.6, 1.1]}}]", "",
				key("at: [3.3, 3.1], height: 1.3 m, stand: clamp"))},
		{"stage.in-object", placed(turnedBar, "", key("at: [3, 3.3], height: 1 m, stand: clamp")),
			placed(turnedBar, "", key("at: [3.5, 2.9], height: 1 m, stand: clamp"))},
		{"stage.in-sitter", placed("", "", key("at: [2.0, 2.0], height: 1.2 m, aim: [4, 2, 1.2], stand: clamp")),
			placed("", "", key("at: [2.0, 2.7], height: 1.2 m, stand: clamp"))},
		{"stage.same-place", placed("", "", key("at: [3, 3], height: 2 m")+", "+
			fill("at: [3.01, 3], height: 2 m")),
			placed("", "", key("at: [3, 3], height: 2 m")+", "+
				fill("at: [3.4, 3], height: 2 m"))},
		{"stage.point-at-light", placed("", "    points: [{name: p, at: [3, 3, 2], facing: up}]",
			"{name: bulb, at: [3, 3], height: 2 m, emitter: {shape: point, flux: 800 lm}}"),
			placed("", "    points: [{name: p, at: [3, 3, 1.9], facing: up}]",
				"{name: bulb, at: [3, 3], height: 2 m, emitter: {shape: point, flux: 800 lm}}")},
		{"stage.sitter-ceiling", placed("  ceilings: [{name: beam, at: [1, 1], size: [2, 2], height: 1.6 m}]", "",
			key("at: [4, 3], height: 1.5 m")),
			placed("  ceilings: [{name: beam, at: [1, 1], size: [2, 2], height: 1.9 m}]", "",
				key("at: [4, 3], height: 1.5 m"))},
		{"stage.in-frame", placed("", "", key("at: [3, 2.1], height: 1.6 m, stand: clamp")),
			placed("", "", key("at: [3, 3.4], height: 1.6 m, stand: clamp"))},
		{"stage.stand-in-frame", placed("", "", key("at: [3, 2.05], height: 2.4 m")),
			placed("", "", key("at: [3, 3.4], height: 2.4 m"))},
		{"stage.stand-in-object", placed("  objects: [{name: bar, box: {at: [3, 2.8], size: [0.6, 0.6, 1.1]}}]", "",
			key("at: [3.3, 3.1], height: 2 m")),
			placed("  objects: [{name: bar, box: {at: [3, 2.8], size: [0.6, 0.6, 1.1]}}]", "",
				key("at: [3.3, 3.1], height: 2 m, stand: clamp"))},
		// Its feet need a circle; between two boxes 0.5 m apart no leg lies.
		{"stage.stand-feet", placed("  objects: [{name: left, box: {at: [2.45, 2.4], size: [0.55, 1.4, 1]}}, "+
			"{name: right, box: {at: [3.6, 2.4], size: [0.55, 1.4, 1]}}]", "", key("at: [3.25, 3.1], height: 2 m")),
			placed("  objects: [{name: left, box: {at: [2.0, 2.4], size: [0.55, 1.4, 1]}}, "+
				"{name: right, box: {at: [3.95, 2.4], size: [0.55, 1.4, 1]}}]", "",
				key("at: [3.25, 3.1], height: 2 m"))},
		{"stage.stand-in-door", placed("  doors: [{wall: 1, from: 3 m, width: 0.9 m}]", "",
			key("at: [3.5, 0.6], height: 2 m")),
			placed("  doors: [{wall: 1, from: 3 m, width: 0.9 m, swing: out}]", "",
				key("at: [3.5, 0.6], height: 2 m"))},
		{"stage.pole", strings.Replace(placed("", "", key("at: [3, 3.3], height: 2 m, stand: pole")), "[6, 4, 3]",
			"[6, 4, 3.8]", 1),
			strings.Replace(placed("", "", key("at: [3, 3.3], height: 2 m, stand: pole")), "[6, 4, 3]",
				"[6, 4, 3.6]", 1)},
		{"stage.load", placed("", "", "{role: key, "+
			"head: battery head 500, modifier: octa 150, at: [3, 3], height: 2 m, "+
			"stand: light boom}"),
			placed("", "", "{role: key, head: battery head 500, modifier: octa 150, at: [3, 3], height: 2 m, "+
				"stand: heavy stand 400}")},
		{"stage.stand-height", placed("", "", key("at: [3, 3], height: 2.85 m, stand: light stand, aim: [2, 2, 2.5]")),
			placed("", "", key("at: [3, 3], height: 2.55 m, stand: light stand, aim: [2, 2, 2.5]"))},
		{"caution.overhead", placed("", "", key("at: [3, 3], height: 2.25 m")),
			placed("", "", key("at: [3, 3], height: 2.15 m"))},
		{"caution.over-person", placed("", "", "{role: hair, head: accent head 100, at: [2, 2.05], height: 2.4 m, "+
			"stand: boom stand}"),
			placed("", "", "{role: hair, head: accent head 100, at: [2, 2.6], height: 2.4 m, stand: boom stand}")},
		{"stage.arm-in-sitter", placed("", "", "{role: hair, head: accent head 100, at: [2, 2.05], height: 1.65 m, "+
			"stand: boom stand}"),
			placed("", "", "{role: hair, head: accent head 100, at: [2, 2.05], height: 2.0 m, stand: boom stand}")},
		{"caution.hot", placed("", "", "{role: key, head: tungsten fresnel 650, at: [4, 3], height: 2 m}"),
			placed("", "", "{role: key, head: led point 120, at: [4, 3], height: 2 m}")},
		{"caution.detector", placed("  detectors: [[3, 3, 2.44]]", "", key("at: [3, 3], height: 2 m")),
			placed("  detectors: [[3, 3, 2.56]]", "", key("at: [3, 3], height: 2 m"))},
		{"caution.haze", placed("", "    haze: {density: light}", key("at: [3, 3], height: 2 m")),
			placed("", "", key("at: [3, 3], height: 2 m"))},
		{"caution.exit", placed("  exits: [[3.9, 3]]", "", key("at: [3, 3], height: 2 m")),
			placed("  exits: [[4.1, 3]]", "", key("at: [3, 3], height: 2 m"))},
		{"camera.sync", faster("1/250 s", ""), faster("1/200 s", "")},
		{"camera.sync", faster("1/250 s", ""), faster("1/250 s", ", high speed sync: true")},
		{"camera.face", placed("", "", key("at: [3, 3], height: 2 m, power: 1/1")),
			placed("", "", key("at: [3.2, 3.2], height: 2 m, power: 1/64"))},
		{"light.inverted", placed("", "", key("at: [3.6, 3.4], height: 2 m, power: 1/128")+", "+
			fill("at: [3.6, 0.6], height: 2 m, power: 1/32")),
			placed("", "", key("at: [3.6, 3.4], height: 2 m, power: 1/32")+", "+
				fill("at: [3.6, 0.6], height: 2 m, power: 1/128"))},
		{"stage.practical-outside", placed("  practicals: [{name: bulb, at: [3, 4.3, 2], emitter: {shape: sphere, "+
			"size: 6 cm, flux: 400 lm}}]", "", ""),
			placed("  practicals: [{name: bulb, at: [3, 3.9, 2], emitter: {shape: sphere, size: 6 cm, flux: 400 lm}}]",
				"", "")},
		{"stage.object-outside", placed("  objects: [{name: bar, box: {at: [5.9, 2.8], size: [0.6, 0.6, 1.1]}}]",
			"", ""),
			placed("  objects: [{name: bar, box: {at: [5.3, 2.8], size: [0.6, 0.6, 1.1]}}]", "", "")},
		{"stage.skin", skin("f/8"),
			skin("f/5.6")},
		// The face's image lies as far behind the glass as the face before it: seen at y 3.2.
		{"stage.mirror-misses", through("at: [3, 1.0]", "at: [2, 1.0]"), through("at: [3, 3.6]", "at: [2, 2.6]")},
		{"stage.mirror-back", through("at: [3, 3.6]", "at: [2, 2.6], faces: y-"),
			through("at: [3, 3.6]", "at: [2, 2.6]")},
		{"stage.mirror-blocked", strings.Replace(through("at: [3, 3.6]", "at: [2, 2.6]"), "surface: mirror}",
			"surface: mirror}, {name: post, box: {at: [1.4, 3.1], size: [0.2, 0.4, 2.5]}}", 1),
			strings.Replace(through("at: [3, 3.6]", "at: [2, 2.6]"), "surface: mirror}",
				"surface: mirror}, {name: post, box: {at: [1.4, 1], size: [0.2, 0.4, 2.5]}}", 1)},
		{"stage.mirror-camera", through("at: [3, 3.3]", "at: [2, 2.9]"), through("at: [3, 2.2]", "at: [2, 3.4]")},
	} {
		tested[c.code] = true
		read := c.code == "camera.face" || c.code == "light.inverted"
		if got := codesOf(t, c.off, read); !slices.Contains(got, c.code) {
			t.Errorf("%s is not found: %v", c.code, got)
		}
		if got := codesOf(t, c.quiet, read); slices.Contains(got, c.code) {
			t.Errorf("%s is found where it is just not so: %v", c.code, got)
		}
	}
	for code, test := range map[string]string{
		"stage.reflected":    "stage: TestReflections",
		"stage.in-glasses":   "stage: TestReflections",
		"stage.leaning":      "stage: TestLeaning",
		"stage.point-inside": "stage: TestPointInside",
	} {
		if tested[code] {
			t.Errorf("%s is tested here, and by %s", code, test)
		}
		tested[code] = true
	}
	said := regexp.MustCompile(`(?:diag\.(?:Finding|Caution), |say\()"((?:stage|camera|caution|light)\.[a-z-]+)"`)
	files, _ := filepath.Glob("../stage/*.go")
	for _, name := range append(files, "cautions.go", "judge.go") {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range said.FindAllSubmatch(b, -1) {
			if code := string(m[1]); !tested[code] {
				t.Errorf("%s says %s, and no shoot here sets it off", name, code)
			}
		}
	}
}

func faster(shutter, more string) string {
	return fmt.Sprintf(`halfstop: 1
room: {size: [6, 4, 3]}
setups:
  - name: A
    camera: {at: [5.5, 2], height: 1.5 m, sync: 1/200 s, shutter: %s%s}
    sitter: {at: [2, 2]}
    lights: [{role: key, head: battery head 500, at: [3, 3], height: 2 m}]
`, shutter, more)
}
