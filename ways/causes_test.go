package ways

import (
	"strings"
	"testing"

	"halfstop/meter"
)

// TestCauses: each cause is found in a room that is made to have it, by name and with words that a
// crew can act on, and is not found beside it in the same room where one thing is otherwise (common
// practice, no source). What is changed of a room stands as old → new.
func TestCauses(t *testing.T) {
	for _, c := range []struct {
		name, room string
		change     []string // pairs
		mended     []string // pairs: with them, in what the change made, the cause is none
		target     int
		kind       CauseKind
		words      []string
	}{
		{"one light from the front", "frontal",
			nil,
			[]string{"at: [2.4, 0.8], height: 2.0 m", "at: [4.1, -0.3], height: 1.9 m"},
			1, Frontal, []string{"key lights both cheeks from 15°", "black"}},
		{"too broad", "frontal",
			[]string{"octa 90, at: [2.4, 0.8], height: 2.0 m", "octa 150, at: [3.2, 0.9], height: 1.9 m"},
			[]string{"octa 150", "octa 90"},
			1, Broad, []string{"a face that covers"}},
		{"too hard", "bald-rim",
			[]string{"modifier: octa 90, at: [3.2, 1.6]", "modifier: standard reflector, at: [3.0, 1.6]",
				"{point: hair edge, above: face key side, by: 1 st}",
				"{point: face shadow side, below: face key side, by: 3 st}"},
			[]string{"modifier: standard reflector", "modifier: octa 150"},
			1, TooHard, []string{"key is too hard for it", "it covers 6°", "a face of about 1."}},
		{"too soft", "bald-rim",
			[]string{"modifier: octa 90, at: [3.2, 1.6]", "modifier: octa 150, at: [3.0, 1.6]",
				"{point: hair edge, above: face key side, by: 1 st}",
				"{point: face shadow side, below: face key side, by: 4 st}"},
			[]string{"modifier: octa 150", "modifier: standard reflector"},
			1, TooSoft, []string{"key is too soft for it", "wraps round to face shadow side",
				"the same face from about"}},
		{"thrown back by a near wall", "frontal",
			[]string{"walls: 0.7", "walls: 0.9", "at: [2.4, 0.8]", "at: [3.5, 2.0]", "4:1 sides",
				"9:1 sides"},
			[]string{"walls: 0.9", "walls: 0.05"},
			1, RoomFill, []string{"thrown back by the room", "m away", "black beside it"}},
		{"the light meant for it does not reach it", "corner-bar",
			[]string{"aim: sitter.hair", "aim: [3.8, 3.7, 0.2]", "standard reflector,",
				"standard reflector, grid: grid 10,"},
			[]string{"aim: [3.8, 3.7, 0.2]", "aim: sitter.hair"},
			2, WrongLight, []string{"hair, meant for hair edge", "aim it there"}},
		{"nothing fills", "two-strips",
			nil,
			[]string{"    look:",
				"      - {role: fill, head: mains head 500, modifier: octa 120, at: [1.6, 4.4], height: 1.7 m, " +
					"power: 1/64}\n    look:"},
			1, Unlit, []string{"nothing fills face shadow side"}},
		{"spill", "spill-wall",
			nil,
			[]string{"modifier: softbox 60x90", "modifier: softbox 60x90, grid: egg crate 40",
				"at: [2.0, 0.8]", "at: [2.8, 0.9]"},
			1, Spill, []string{"key spills on it"}},
		{"out of power", "low-loft",
			nil,
			[]string{"reads: f/16", "reads: f/5.6"},
			0, AtFullOut, []string{"key is at full"}},
		// ways has the key at 2.0 m too, where the trace meets the wish.
		{"out of power, and how far in", "two-heads",
			nil,
			[]string{"reads: f/9", "reads: f/6.3"},
			0, AtFullOut, []string{"bring it to 2.0 m from 2.5 m for 0.7 st more"}},
		{"out of steps", "zoo/corridor",
			[]string{"reads: f/2}", "reads: f/1.2}", "aperture: f/2", "aperture: f/1.2"},
			[]string{"reads: f/1.2}", "reads: f/4}"},
			0, AtLeastOut, []string{"key is at its lowest"}},
		{"burns and cannot be turned up", "shop-sign",
			nil,
			[]string{"stops: +1 st", "brightest: +1 st"},
			1, NoDimmer, []string{"cannot be turned up", "shutter"}},
		{"daylight", "window-desk",
			nil,
			[]string{"time: \"15:30\"", "time: \"22:30\""},
			1, NoDimmer, []string{"street window makes", "shutter"}},
		{"of another colour", "cafe-mix",
			nil,
			[]string{"colour: like practicals.bulbs", "colour: 5600 K, within: 4 st"},
			1, NoDimmer, []string{"shop window makes", "another colour", "gel on the pane"}},
		{"how much of another colour", "cafe-mix",
			nil,
			[]string{"colour: like practicals.bulbs", "colour: 5600 K, within: 4 st"},
			1, Diluted, []string{"of the light at wall behind is of another colour", "it may be 7 %",
				"keep the others off it"}},
		{"the white is wrong for the lamp", "warm-room",
			nil,
			[]string{"white balance: 5500 K", "white balance: 4000 K"},
			2, WhiteOff, []string{"lit by standard lamp", "under a white of 5500 K", "the white at about 4000 K"}},
		{"the short side is the darker", "short-side",
			nil,
			[]string{"above: near cheek", "below: near cheek"},
			1, Inverted, []string{"near cheek is", "brighter than far cheek"}},
		{"the darker side is the brighter", "full-key",
			[]string{"power: 1/64", "power: 1/2, lock: true", "power: 1/1}", "power: 1/128, lock: true}"},
			[]string{"power: 1/2, lock: true", "power: 1/64, lock: true", "power: 1/128, lock: true}",
				"power: 1/1, lock: true}"},
			1, Inverted, []string{"brighter than face key side, where it should be darker"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			changed := func(src string, pairs []string) string {
				for i := 0; i+1 < len(pairs); i += 2 {
					if !strings.Contains(src, pairs[i]) {
						t.Fatalf("%q is not in the room", pairs[i])
					}
					src = strings.Replace(src, pairs[i], pairs[i+1], 1)
				}
				return src
			}
			src := changed(room(t, c.room), c.change)
			beside := balanced(t, jobOf(t, changed(src, c.mended)), meter.Work{Seed: 1, Error: 0.05})
			for _, x := range beside.causes(c.target) {
				if x.Kind == c.kind {
					t.Errorf("with %q it is said still: %s", c.mended, x.Said())
				}
			}
			b := balanced(t, jobOf(t, src), meter.Work{Seed: 1, Error: 0.05})
			all := b.causes(c.target)
			for _, x := range all {
				if x.Kind != c.kind {
					continue
				}
				for _, w := range c.words {
					if !strings.Contains(x.Said(), w) {
						t.Errorf("%q is not said: %s", w, x.Said())
					}
				}
				return
			}
			t.Errorf("%q is not among %+v (%s)", c.kind, all, b.Sentence())
		})
	}
}

// TestExposureSaidFirst: a face three stops off the camera is the first thing said, and a limit
// that must give downwards is called less.
func TestExposureSaidFirst(t *testing.T) {
	src := strings.Replace(room(t, "corner-bar"), "{point: face key side, reads: f/4, priority: must}",
		"{point: face key side, reads: f/4, within: 3 st}", 1)
	src = strings.Replace(src, "aperture: f/4", "aperture: f/22", 1)
	b := balanced(t, jobOf(t, src), meter.Work{Seed: 1, Error: 0.05})
	if s := b.Sentence(); !strings.HasPrefix(s, "Face key side reads ") || !strings.Contains(s, "st under") {
		t.Errorf("first is said: %s", s)
	}
	// Two stops off is said, but not first.
	near := strings.Replace(src, "aperture: f/22", "aperture: f/8", 1)
	b = balanced(t, jobOf(t, near), meter.Work{Seed: 1, Error: 0.05})
	if s := b.Sentence(); strings.HasPrefix(s, "Face key side reads ") {
		t.Errorf("two stops off, and first is said: %s", s)
	}
	low := strings.Replace(room(t, "zoo/corridor"), "reads: f/2}", "reads: f/1.2}", 1)
	low = strings.Replace(low, "aperture: f/2", "aperture: f/1.2", 1)
	b = balanced(t, jobOf(t, low), meter.Work{Seed: 1, Error: 0.05})
	less := false
	for _, l := range b.Targets()[0].Limits {
		less = less || strings.Contains(l.Words, "at its lowest") && l.Way == "less"
	}
	if !less {
		t.Errorf("one stop less of the key is not called less: %+v", b.Targets()[0].Limits)
	}
}
