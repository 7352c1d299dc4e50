package ways

import (
	"math"
	"strings"
	"testing"

	"halfstop/meter"
	"halfstop/stage"
)

// TestDimAFilament: a lamp in the frame that is too bright and has a dimmer is dimmed, and the way
// says how much redder it gets; without a dimmer nobody dims it. Half the light is 0.92 of the
// temperature (light goes with the voltage to the 3.4, temperature to the 0.42: IES Lighting
// Handbook, from memory). What the way promises is what meter reads then.
func TestDimAFilament(t *testing.T) {
	if got := stage.DimmedKelvin(2800, 0.5); math.Abs(got-2570) > 5 {
		t.Errorf("2800 K at half its light is %.0f K", got)
	}
	src := strings.Replace(room(t, "warm-room"), "colour: 2800 K}",
		"colour: 2800 K, control: dimmer, whose: the hotel}", 1)
	src = src[:strings.Index(src, "      - {point: face key side, warmer")] +
		"      - {point: lamp wall, brightest: 0 st}\n"
	for _, dimmer := range []bool{true, false} {
		text := src
		if !dimmer {
			text = strings.Replace(src, "control: dimmer", "control: switch", 1)
		}
		j := jobOf(t, text)
		f := waysOf(t, j, Work{Meter: meter.Work{Seed: 1}})
		var found *Way
		for i := range f.Ways {
			if strings.Contains(f.Ways[i].Words, "set the dimmer of standard lamp") {
				found = &f.Ways[i]
				break
			}
		}
		if (found != nil) != dimmer {
			for _, w := range f.Ways {
				t.Logf("%6.3f %s", w.Score, w.Words)
			}
			t.Fatalf("dimmer: %v; %v", dimmer, found)
		}
		if dimmer {
			if !strings.Contains(found.Words, "redder, from 2800 to ") {
				t.Error(found.Words)
			}
			kept(t, j, text, found, float64(f.Compared))
		}
	}
}
