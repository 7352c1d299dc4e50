package ways

import (
	"math"
	"testing"

	"halfstop/meter"
)

// A sphere of even light in the open lights every point alike, whatever is asked: the residuals
// follow from the file alone.
func TestAsFound(t *testing.T) {
	src := `halfstop: 1
setups:
  - name: a
    camera: {at: [0, -3, 1], aim: [0, 0, 1], aperture: f/4, shutter: 1/100 s, iso: 100}
    lights:
      - {role: key, emitter: {shape: point, intensity: 4000 cd}, at: [0, 0, 3], aim: [0, 0, 0], level: 100 %}
    points:
      - {name: near, at: [0, 0, 1], facing: up}
      - {name: far, at: [0, 0, -1], facing: up}
    may: {power: [key], aperture: [f/1.4, f/16]}
    look:
      - {point: far, below: near, by: 1 st}
      - {point: near, reads: f/4, priority: must}
`
	j := jobOf(t, src)
	s, m, _ := metered(t, j, meter.Work{Samples: 32})
	b, err := AsFound(t.Context(), s, m)
	if err != nil {
		t.Fatal(err)
	}
	got := b.Targets()
	// Twice as far is two stops less (inverse square): one stop under what is asked.
	if r := float64(got[0].Residual); got[0].Met || math.Abs(r+1) > 0.01 {
		t.Errorf("%s: %.3f st, want -1", got[0].Words, r)
	}
	// 4000 cd at 2 m for 1/100 s: 10 lx·s; N² = 10 × 100 / 250 = 4 (ISO 2720), f/2: two stops under
	// f/4.
	if r := float64(got[1].Residual); got[1].Met || math.Abs(r+2) > 0.01 {
		t.Errorf("%s: %.3f st, want -2", got[1].Words, r)
	}
	if e := b.Edits(); len(e) > 0 {
		t.Errorf("it would change %v", e)
	}
}
