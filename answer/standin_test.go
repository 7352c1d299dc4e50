package answer

import (
	"fmt"
	"strings"
	"testing"

	"halfstop/day"
	"halfstop/meter"
)

// A clinic room. Two lights want the same head and the same octa; the kit counts one of each, and
// something near it.
const shortShoot = `
halfstop: 1
day: {people: [{name: P, does: [photographer]}, {name: A, does: [assistant]}]}
kit:
  heads: [{name: battery head 500, have: 1}, {name: battery head 200, have: 2}]
  modifiers: [{name: octa 90, have: 1}, {name: octa 120, have: 1}]
room: {size: [6, 5, 3]}
setups:
  - name: One
    camera: {at: [5, 2.5, 1.5], aperture: f/8, shutter: 1/125, iso: 100}
    sitter: {at: [2, 2.5], faces: camera}
    points:
      - {name: key side, on: face key side}
      - {name: back, at: [0.3, 1, 1.5], facing: [1, 0, 0]}
    lights:
      - {role: key, head: battery head 500, modifier: octa 90, at: [3.2, 3.5, 2], power: 1/2}
      - {role: wash, head: battery head 500, modifier: octa 90, at: [1.5, 0.8, 2], aim: points.back, power: 1/4}
    look:
      - {point: key side, reads: f/8}
      - {point: back, reads: f/5.6}
`

// TestStandIns: a stand-in is judged by lighting the setup again with it. What is said of it is
// what balancing a shoot gives that is changed by hand: the worst wish in stops, and the edge of
// the nose's shadow.
func TestStandIns(t *testing.T) {
	t.Parallel()
	w := meter.Work{Seed: 1, Samples: 1 << 11}
	for _, c := range []struct{ name, from, to, instead, old, by string }{
		// The octa at hand goes to one light, the larger one to the other.
		{"reaches", "", "", "octa 120", "octa 90", "modifier: octa 120, at: [1.5"},
		// At f/22 the wash needs its 500 Ws.
		{"short", "f/5.6", "f/22", "battery head 200", "battery head 500",
			"head: battery head 200, modifier: octa 90, at: [1.5"},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := strings.Replace(shortShoot, c.from, c.to, 1)
			j := jobOf(t, src)
			p, err := j.Pack(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			steps := 0
			if err := j.StandIns(t.Context(), p, w, func(done, of int) { steps++ }); err != nil {
				t.Fatal(err)
			}
			said := ""
			for _, it := range p.Items {
				if it.Name == c.old && it.Instead == c.instead && it.Solved {
					said = it.Cost
				}
			}
			// By hand.
			parts := strings.SplitN(c.by, ", at:", 2)
			old := strings.Replace(parts[0], c.instead, c.old, 1)
			hand := jobOf(t, strings.Replace(src, old+", at: [1.5", c.by, 1))
			var edge [2]float64 // of the wash's shadow
			for k, one := range []*Job{j, hand} {
				m, _, err := one.Meter(t.Context(), 0, meter.Work{Seed: 1, Samples: 64})
				if err != nil {
					t.Fatal(err)
				}
				edge[k] = float64(m.Facts.Lights[1].Penumbra)
			}
			a, _, err := j.Balance(t.Context(), 0, w)
			if err != nil {
				t.Fatal(err)
			}
			b, _, err := hand.Balance(t.Context(), 0, w)
			if err != nil {
				t.Fatal(err)
			}
			more := 0.0
			for k := range a.Solution.Targets {
				more = max(more, float64(b.Solution.Targets[k].Miss-a.Solution.Targets[k].Miss))
			}
			want := "every wish of the look kept as well"
			if more > 0.05 {
				want = fmt.Sprintf("missed by %.1f st more", more)
			}
			want += "; " + day.EdgesSaid(edge[1]/edge[0])
			t.Logf("%s → %s: %s (by hand %.2f st more), %d setups traced", c.old, c.instead, said, more, steps)
			if !strings.Contains(said, want) {
				t.Errorf("said %q, want %q", said, want)
			}
		})
	}
}
