package stage

import (
	"fmt"
	"strings"
	"testing"

	"halfstop/diag"
)

// A point inside a thing is said to be so, with the thing's name; one on its face, beside it, or in
// what is hollow is not.
func TestPointInside(t *testing.T) {
	file := func(point string) string {
		return `halfstop: 1
room:
  size: [4, 5, 2.7]
  skirting: 0.1 m
  objects:
    - {name: chest, box: {at: [1, 1], size: [1, 0.5, 0.8]}, turn: 30 deg, surface: white gloss}
    - {name: ball, sphere: {at: [3, 3, 0.5], diameter: 0.6}}
    - {name: column, cylinder: {at: [3, 1, 0], diameter: 0.4, height: 2}}
    - {name: worktop, kind: counter, box: {at: [1, 3.5], size: [1.6, 0.6, 0.9]}}
    - {name: desk, kind: table, box: {at: [0.2, 2.4], size: [0.6, 0.8, 0.72]}}
setups:
  - name: s
    points: [{name: p, at: ` + point + `, facing: up}]
`
	}
	for _, c := range []struct{ at, in string }{
		{"[1.2, 1.4, 0.4]", "chest"}, // inside only as it is turned
		{"[1.9, 1.1, 0.4]", ""},      // inside only if it were not
		{"[1.2, 1.4, 0.8]", ""},      // on its lid
		{"[3.1, 3, 0.6]", "ball"},
		{"[3.22, 3, 0.72]", ""}, // in its box, not in it: 0.31 m from the middle
		{"[3, 1.15, 1]", "column"},
		{"[3.15, 1.15, 1]", ""},
		{"[1.8, 3.8, 0.89]", "worktop"},
		{"[1.8, 3.8, 0.905]", ""},
		{"[0.5, 2.8, 0.3]", ""}, // under the desk
		{"[2, 0.008, 0.05]", "what is fitted to the wall"},
		{"[2, 0.03, 0.05]", ""},
	} {
		_, list := built(t, file(c.at))
		text, want := "", fmt.Sprintf("is inside %s:", c.in)
		for _, m := range list {
			if m.Code == "stage.point-inside" {
				text = m.Text
				if m.Severity != diag.Finding || m.Pos.Line == 0 || len(m.Remarks) != 1 {
					t.Errorf("%s: %+v: want a finding with two places", c.at, m)
				}
			}
		}
		if (c.in == "") != (text == "") || c.in != "" && !strings.Contains(text, want) {
			t.Errorf("%s: said %q, want inside %q", c.at, text, c.in)
		}
	}
}
