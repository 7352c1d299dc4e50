package accuracy

import (
	"fmt"
	"testing"

	"halfstop/meter"
)

// An emitter that says 'solid' blocks what is behind it, whatever its shape: a point light behind
// it gives nothing to a receptor in its shadow, and everything where it is not solid. 100 cd at 2
// m: 25 lx.
func TestSolidEmitters(t *testing.T) {
	for shape, e := range map[string]string{
		"disc":      "at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: disc, size: 0.4, flux: 1 lm%s}",
		"rectangle": "at: [0, 0, 1], aim: [0, 0, 0], emitter: {shape: rectangle, size: [0.4, 0.4], flux: 1 lm%s}",
		"sphere":    "at: [0, 0, 1], emitter: {shape: sphere, size: 0.4, flux: 1 lm%s}",
		"tube":      "emitter: {shape: tube, size: 0.1, path: [[-1, 0, 1], [1, 0, 1]], flux: 1 lm%s}",
		"polygon": "emitter: {shape: polygon, flux: 1 lm%s, " +
			"path: [[-0.3, -0.3, 1], [-0.3, 0.3, 1], [0.3, 0.3, 1], [0.3, -0.3, 1]]}",
	} {
		for _, solid := range []bool{false, true} {
			word, want := "", 1.0
			if solid {
				word, want = ", solid: true", 0
			}
			y := lab("lights:\n  - {name: one, " + fmt.Sprintf(e, word) +
				"}\n  - {name: behind, at: [0, 0, 2], emitter: {shape: point, intensity: 100 cd}}\npoints: " +
				"[{name: p, at: [0, 0, 0], facing: up}]")
			a, list, err := ask(y, nil, meter.Work{Seed: 1})
			if err != nil || a.point("p") == nil {
				t.Fatalf("%s: %v %s", shape, err, list.Text())
			}
			got := 0.0
			for _, l := range a.point("p").Lights {
				if l.Name == "behind" {
					got = l.Direct / 25
				}
			}
			if got < want-0.01 || got > want+0.01 {
				t.Errorf("%s, solid %v: %.3f of the light behind it comes by", shape, solid, got)
			}
		}
	}
}
