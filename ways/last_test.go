package ways

import (
	"slices"
	"strings"
	"testing"

	"halfstop/balance"
	"halfstop/meter"
)

// TestCameraLast: where the key is at full and the face is short, a wider aperture stands behind
// what mends it with the light: the key nearer, heads traded, the flash whole again with high speed
// sync off, a slower shutter for what burns (common practice, no source: the
// depth is the photographer's). Sensitivity stands behind everything else that mends it, also a
// second head that is free (common practice, no source). Where nothing else mends it, sensitivity
// is first.
func TestCameraLast(t *testing.T) {
	for _, c := range []struct {
		name, room string
		change     []string          // pairs
		opened     []balance.WayKind // before a wider aperture
		before     []balance.WayKind // before sensitivity
	}{
		{"two heads in a chapel", "two-heads", nil, []balance.WayKind{"place"},
			[]balance.WayKind{"place", "aperture", "second head"}},
		{"high speed sync left on", "pulsed", nil, []balance.WayKind{"shutter"},
			[]balance.WayKind{"shutter", "aperture"}},
		{"a panel for a still sitter", "led-key", nil, []balance.WayKind{"shutter", "place"},
			[]balance.WayKind{"shutter", "aperture", "place"}},
		{"a hall with a big fill", "full-key", nil, []balance.WayKind{"place", "trade"},
			[]balance.WayKind{"place", "aperture", "trade"}},
		{"nothing else", "led-key", []string{"aperture: f/4, shutter: 1/250 s, iso: 200", "aperture: f/1.4, " +
			"shutter: 1/60 s, iso: 25", "stand: heavy",
			"area: [[1.99, 0.79], [2.01, 0.81]], heights: [1.79 m, 1.81 m], stand: heavy"}, nil, nil},
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
			mends := func(k balance.WayKind) int {
				return slices.IndexFunc(f.Ways, func(w Way) bool {
					return w.Kind == k && w.Solution.ISO == now && w.Solution.Targets[f.Missed[0].Target].Met
				})
			}
			for _, k := range c.before {
				if i := mends(k); i < 0 || i > first {
					t.Errorf("%s is on place %d, sensitivity on place %d", k, i+1, first+1)
				}
			}
			wider := mends("aperture")
			for _, k := range c.opened {
				if i := mends(k); i < 0 || i > wider {
					t.Errorf("%s is on place %d, a wider aperture on place %d", k, i+1, wider+1)
				}
			}
		})
	}
}
