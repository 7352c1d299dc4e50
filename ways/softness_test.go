package ways

import (
	"math"
	"strings"
	"testing"

	"halfstop/meter"
)

// TestSizeOfKey: what another face of the key is said to do to the two cheeks is what the trace of
// that very face gives, to 0.3 st (the share of a face over a cheek's horizon is reckoned as of a
// sphere; nose and brow are not in it).
func TestSizeOfKey(t *testing.T) {
	src := strings.Replace(room(t, "bald-rim"), "{point: hair edge, above: face key side, by: 1 st}",
		"{point: face shadow side, below: face key side, by: 3 st}", 1)
	for _, at := range []string{"[3.0, 1.6]", "[2.7, 1.8]", "[2.6, 2.2]"} {
		with := func(modifier string) *Balanced {
			return balanced(t, jobOf(t, strings.Replace(src, "modifier: octa 90, at: [3.2, 1.6]", "modifier: "+modifier+
				", at: "+at, 1)), meter.Work{Seed: 1, Error: 0.03})
		}
		small := with("standard reflector")
		key, lit, shade := small.Stage.LayerNamed("key"), small.Stage.PointNamed("face key side"),
			small.Stage.PointNamed("face shadow side")
		for _, m := range []string{"softbox 60x60", "octa 90", "octa 150"} {
			b := with(m)
			said := small.wraps(key, lit, shade, float64(factsOf(b.Stage, key).Covers))
			if traced := -b.Solution.Targets[1].Predicted; math.Abs(said-traced) > 0.3 {
				t.Errorf("key at %s, %s: said %.2f st between the cheeks, traced %.2f", at, m, said, traced)
			}
		}
	}
}
