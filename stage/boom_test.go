package stage

import (
	"fmt"
	"strings"
	"testing"
)

// TestBoomMoment: what a boom carries against a hand calculation. The light boom is for 2.5 kg at
// the 1.6 m of its arm, 4 kg·m, which is 39 N·m. Its column stands 0.8 of the reach off, 1.28 m, so
// it carries 4 / 1.28 = 3.125 kg there, and the boom stand (6 kg at 2.1 m) 12.6 / 1.68 = 7.5 kg. On
// a plain stand only the weight counts.
func TestBoomMoment(t *testing.T) {
	for _, c := range []struct {
		stand string
		head  float64 // kg
		says  string  // "" for nothing
	}{
		{"light boom", 3.1, ""},
		{"light boom", 3.15, "weighs 3.1 kg at 1.3 m of the arm, 40 N·m; light boom is for 39 N·m"},
		{"light boom", 6, "weighs 6.0 kg at 1.3 m of the arm, 75 N·m"},
		{"boom stand", 7.4, ""},
		{"boom stand", 7.6, "weighs 7.6 kg at 1.7 m of the arm, 125 N·m; boom stand is for 124 N·m"},
		{"grip stand", 7.9, ""}, {"grip stand", 8.1, "weighs 8.1 kg with what is on it; grip stand carries 8 kg"},
	} {
		_, list := raised(t, fmt.Sprintf(`halfstop: 1
kit: {heads: [{name: mine, like: battery head 500, weight: %g kg}]}
room: {size: [8, 6, 3.4]}
setups:
  - name: s
    camera: {at: [7, 3], height: 1.5 m, aim: sitter.face, lens: 85 mm}
    sitter: {at: [2.5, 3], faces: camera}
    lights: [{role: key, head: mine, at: [3.6, 4.4], height: 2 m, aim: sitter.face, stand: %s}]
`, c.head, c.stand), Options{})
		got := strings.Join(strings.Fields(list.Text()), " ")
		if c.says == "" && strings.Contains(got, "weighs") || !strings.Contains(got, c.says) {
			t.Errorf("%g kg on the %s, want %q:\n%s", c.head, c.stand, c.says, got)
		}
	}
}
