package ways

import (
	"strings"
	"testing"

	"halfstop/meter"
)

// moveRoom is a pale room of 6 by 5 m; LIGHTS, LOOK and MORE are put in.
const moveRoom = `halfstop: 1
room:
  size: [6, 5, 2.9]
  surfaces: {walls: 0.5, floor: dark wood, ceiling: white emulsion}
setups:
  - name: A
    camera: {at: [0.8, 2.5], height: 1.5 m, aim: sitter.throat, lens: 70 mm, aperture: f/5.6, iso: 100}
    sitter: {at: [3.6, 2.5], stature: 1.72 m, faces: camera, hair: short}
    lights:
LIGHTS
    look:
      - {point: face key side, reads: f/5.6, priority: must}
LOOK
MORE`

// TestEveryMove: moves that no other room of the zoo or of the cases puts on its list are each
// offered in one where a crew would make them (common practice, no source).
func TestEveryMove(t *testing.T) {
	const (
		key = "      - {role: key, head: mains head 1000, modifier: softbox 60x90, at: [2.5, 1.2], height: 2.0 m, " +
			"power: 1/8}\n"
		flat = "      - {point: face shadow side, below: face key side, by: 1 st}\n"
	)
	for _, c := range []struct {
		name, aperture, lights, look, more string
		offers                             []string // all in one way's words
	}{
		{"the fill at full and too far off", "f/14", key + "      - {role: fill, head: accent head 100, " +
			"modifier: umbrella white 85, at: [1.0, 4.2], height: 1.6 m, power: 1/1}\n",
			flat, "", []string{"move fill", "nearer"}},
		{"the board too far off", "f/5.6", key, flat, "    panels: [{name: bounce, kind: reflector, face: white, " +
			"size: [1, 1], at: [3.2, 4.1], height: 1.3 m}]\n", []string{"move the bounce"}},
		{"the hair light looks past the hair", "f/5.6", key + "      - {role: hair, head: battery head 200, " +
			"modifier: standard reflector, grid: grid 10, at: [5.0, 3.9], height: 2.2 m, aim: [5.6, 4.4, 0.5], " +
			"power: 1/32}\n",
			"      - {point: hair edge, above: face key side, by: 0.5 st}\n", "", []string{"aim hair at hair edge"}},
		{"the key through a cloth at full", "f/16", "      - {role: key, head: battery head 100, " +
			"modifier: standard reflector, at: [2.0, 0.7], height: 2.0 m, aim: sitter.face, through: silk, " +
			"power: 1/1}\n", "",
			"    panels: [{name: silk, kind: silk, size: [1.2, 1.2], at: [2.6, 1.3], height: 1.9 m}]\n",
			[]string{"silk"}},
		{"the key's spill on a near wall, gridded already", "f/5.6",
			strings.Replace(key, "softbox 60x90", "softbox 60x90, grid: egg crate 40", 1),
			"      - {point: wall, below: face key side, by: 4.6 st}\n",
			"    points: [{name: wall, at: [5.99, 2.5, 1.5], facing: x-}]\n", []string{"from the background"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := strings.NewReplacer("LIGHTS\n", c.lights, "LOOK\n", c.look, "MORE", c.more, "f/5.6",
				c.aperture).Replace(moveRoom)
			f := waysOf(t, jobOf(t, src), Work{Meter: meter.Work{Seed: 1}})
			for i := range f.Ways {
				all := true
				for _, x := range c.offers {
					all = all && strings.Contains(f.Ways[i].Words, x)
				}
				if all {
					return
				}
			}
			t.Errorf("%q is not offered: %s", c.offers, f.Sentence())
			for i := range f.Ways {
				t.Logf("%d %.2f %s", i+1, f.Ways[i].Score, f.Ways[i].Words)
			}
			for _, m := range f.Missed {
				t.Logf("%s: %s", m.Words, m.Reason)
			}
			for _, r := range f.Refused {
				t.Logf("refused %s: %s", r.Words, r.Why)
			}
		})
	}
}
