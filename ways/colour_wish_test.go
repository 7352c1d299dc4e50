package ways

import (
	"math"
	"strings"
	"testing"

	"halfstop/balance"
	"halfstop/meter"
	"halfstop/spectrum"
)

// TestColourIsOfTheLight: a colour wished at the face is that of the light there, not of the skin
// that it falls on, and 'warmer' is counted from the camera's white: what meter reads at the point,
// by the reciprocal of its colour temperature (Ohno 2013).
func TestColourIsOfTheLight(t *testing.T) {
	src := strings.Replace(room(t, "corner-bar"), "{point: hair edge, above: face key side, by: 1 st}",
		"{point: face key side, colour: 5400 K}\n      - {point: face key side, warmer: 40 mired}", 1)
	s, m, readings := metered(t, jobOf(t, src), meter.Work{Seed: 1, Error: 0.05})
	b := &Balanced{Stage: s, Measured: m, rig: newRig(s, m)}
	b.Problem, b.aims, _ = b.rig.problem()
	sc, err := balance.NewScorer(t.Context(), b.Problem, balance.WayOptions{})
	if err != nil {
		t.Fatal(err)
	}
	got := sc.Keep().Solution.Targets
	for i := range readings {
		if readings[i].Name != "face key side" {
			continue
		}
		k, _, _ := spectrum.CCTOhno2013(readings[i].XY)
		white, _, _ := spectrum.CCTOhno2013(s.White.XY())
		want := spectrum.DeltaUVPrime(readings[i].XY, spectrum.White(5400).XY())
		if off := math.Abs(got[2].Predicted - want); off > 1e-4 {
			t.Errorf("colour Δu'v' %.4f, the light's is %.4f", got[2].Predicted, want)
		}
		// The locus of balance is Krystek's, 9e-5 in u, v: about a mired.
		if warm := 1e6/k - 1e6/white; math.Abs(got[3].Predicted-warm) > 2 {
			t.Errorf("%.1f mired warmer, the light's is %.1f", got[3].Predicted, warm)
		}
	}
}

// TestWarmPracticals is case 13 of the trade's: bulbs in the frame, the white at 4,000 K, a face
// near neutral and the bulbs warm: half orange or so on the flash, never full.
func TestWarmPracticals(t *testing.T) {
	src := strings.Replace(room(t, "cafe-mix"), "white balance: 4300 K", "white balance: 4000 K", 1)
	src = strings.Replace(src, "{point: wall behind, colour: like practicals.bulbs}",
		"{point: face key side, warmer: 10 mired, within: 0.5 st}", 1)
	src = strings.Replace(src, "    look:\n", "    may: {gel: [key]}\n    look:\n", 1)
	b := balanced(t, jobOf(t, src), meter.Work{Seed: 1, Error: 0.01})
	gel := b.rig.options[0][0].name
	for l := range b.Stage.Layers {
		if b.Stage.Layers[l].Name == "key" {
			gel = b.rig.options[l][b.Solution.Lights[l].Option].name
		}
	}
	if !strings.Contains(gel, "orange") || strings.HasPrefix(gel, "full") || strings.HasPrefix(gel, "double") {
		t.Errorf("the key gets %q: %s %+v", gel, b.Sentence(), b.Solution.Targets)
	}
}
