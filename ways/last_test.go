package ways

import (
	"slices"
	"strings"
	"testing"

	"halfstop/balance"
	"halfstop/meter"
)

// TestSensitivityLast: where the key is at full and the face is short, sensitivity stands behind
// everything else that mends it: the key nearer, a second head that is free, the flash whole again
// with high speed sync off, a slower shutter for what burns, a wider aperture (common practice, no
// source). Where nothing else mends it, sensitivity is first.
func TestSensitivityLast(t *testing.T) {
	for _, c := range []struct {
		name, room string
		change     []string // pairs
		before     []balance.WayKind
	}{
		{"two heads in a chapel", "two-heads", nil, []balance.WayKind{"place", "aperture", "second head"}},
		{"high speed sync left on", "pulsed", nil, []balance.WayKind{"shutter", "aperture"}},
		{"a panel for a still sitter", "led-key", nil, []balance.WayKind{"shutter", "aperture", "place"}},
		{"a hall with a big fill", "full-key", nil, []balance.WayKind{"place", "aperture", "trade"}},
		{"nothing else", "led-key", []string{"aperture: f/4, shutter: 1/250 s, iso: 200", "aperture: f/1.4, " +
			"shutter: 1/60 s, iso: 25", "stand: heavy",
			"area: [[1.99, 0.79], [2.01, 0.81]], heights: [1.79 m, 1.81 m], stand: heavy"}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := room(t, c.room)
			for i := 0; i+1 < len(c.change); i += 2 {
				if !strings.Contains(src, c.change[i]) {
					t.Fatalf("%q is not in the room", c.change[i])
				}
				src = strings.Replace(src, c.change[i], c.change[i+1], 1)
			}
			f := waysOf(t, jobOf(t, src), Work{Meter: meter.Work{Seed: 1}, Most: 12})
			if len(f.Missed) == 0 {
				t.Fatal("nothing is missed")
			}
			now := f.Base.Problem.Camera.ISO
			first := slices.IndexFunc(f.Ways, func(w Way) bool { return w.Solution.ISO > now })
			if first < 0 {
				t.Fatal("no way raises the sensitivity")
			}
			if len(c.before) == 0 && first != 0 {
				t.Errorf("first is %q", f.Ways[0].Words)
			}
			for _, k := range c.before {
				i := slices.IndexFunc(f.Ways, func(w Way) bool {
					return w.Kind == k && w.Solution.ISO == now && w.Solution.Targets[f.Missed[0].Target].Met
				})
				if i < 0 || i > first {
					t.Errorf("%s is on place %d, sensitivity on place %d", k, i+1, first+1)
				}
			}
		})
	}
}
