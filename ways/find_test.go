package ways

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/balance"
	"halfstop/meter"
)

// A panel in the colour of the sign, wanted two stops brighter than it gets beside the flash key:
// 'The continuous colour head is 2 stops short of the strobe'. Walls are dark so that nothing else
// decides.
const shortShoot = `halfstop: 1
room:
  size: [8, 6, 3]
  surfaces: {all: 0.05}
  practicals:
    - {name: sign, emitter: {shape: sphere, size: [0.05], flux: 5 lm}, at: [0.2, 0.2, 2.8], colour: neon red}
kit:
  heads:
    - {name: battery head 500, have: 2}
    - {name: rgb panel 300, have: 2}
  modifiers:
    - {name: standard reflector, have: 2}
setups:
  - name: a
    camera: {at: [4, 1], height: 1.5 m, aim: [4, 3, 1.5], lens: 85 mm, aperture: f/4, shutter: 1/125 s, iso: 200}
    lights:
      - {role: key, head: battery head 500, modifier: softbox 60x90, at: [2.6, 2.2], height: 1.9 m, aim: [4, 3, 1.5], power: 1/16}
      - {role: accent, head: rgb panel 300, colour: like practicals.sign, at: [6, 5], height: 1.9 m, aim: [4, 3, 1.5], level: 50 %}
    points:
      - {name: lit, at: [4, 3, 1.5], facing: [-0.87, -0.5, 0.2]}
      - {name: rim, at: [4, 3, 1.5], facing: [0.7, 0.7, 0.1]}
    look:
      - {point: lit, reads: f/4, priority: must}
      - {point: rim, below: lit, by: 2 st}
`

func waysOf(t testing.TB, j *Shoot, w Work) *Found {
	t.Helper()
	f, list, err := j.Find(context.Background(), 0, w)
	if err != nil || f == nil {
		t.Fatal(err, list.Text())
	}
	return f
}

// TestPanelShort holds the ways out of a panel that is short to what an experienced practitioner
// would try (an LED short of a strobe by some stops: common practice,
// no source).
func TestPanelShort(t *testing.T) {
	seen := map[balance.WayKind]Way{}
	f := waysOf(t, jobOf(t, shortShoot), Work{Meter: meter.Work{Seed: 1}, Each: func(w Way, done, of int) {
		if done > of {
			t.Error(done, of)
		}
		if _, ok := seen[w.Kind]; !ok {
			seen[w.Kind] = w
		}
	}})
	if len(f.Missed) == 0 || f.Missed[len(f.Missed)-1].Residual > -1 {
		t.Fatalf("the panel should be some two stops short: %d missed", len(f.Missed))
	}
	for _, k := range []balance.WayKind{"sensitivity", "aperture", "shutter", "place", "head",
		balance.Keep, balance.Balanced} {
		if _, ok := seen[k]; !ok {
			t.Errorf("no way of the kind %q was thought of", k)
		}
	}
	if len(f.Ways) < 3 || len(f.Ways) > 7 {
		t.Fatal(len(f.Ways))
	}
	// What is free and quick comes first: sensitivity, shutter or aperture with the flash
	// following.
	first := f.Ways[0]
	if first.Minutes > 1 || first.StillShort > 0.2 || first.Kind != "sensitivity" && first.Kind != "shutter" &&
		first.Kind != "aperture" {
		t.Errorf("first way: %s (%s), %.1f min, still %.1f st", first.Words, first.Kind, float64(first.Minutes),
			float64(first.StillShort))
	}
	words := map[string]bool{}
	for i, w := range f.Ways {
		if words[w.Words] {
			t.Errorf("%s is listed twice", w.Words)
		}
		words[w.Words] = true
		if i > 0 && w.Score < f.Ways[i-1].Score-tied { // of two alike the quicker stands first
			t.Error("order")
		}
	}
	if keep := seen[balance.Keep]; len(keep.Edits)+len(keep.Adds)+len(keep.Deletes) != 0 {
		t.Errorf("'keep it as it is' changes %v", keep.Edits)
	}
}

// TestBalancedIsBalance: 'balanced, nothing else' and balance are the same settings.
func TestBalancedIsBalance(t *testing.T) {
	f := waysOf(t, jobOf(t, shortShoot), Work{Meter: meter.Work{Seed: 1}})
	for _, w := range f.Ways {
		if w.Kind == balance.Balanced && fmt.Sprint(w.Edits) != fmt.Sprint(f.Base.Edits()) {
			t.Errorf("%v against %v", w.Edits, f.Base.Edits())
		}
	}
}

func TestWaysCancelled(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	n := 0
	f, _, err := jobOf(t, shortShoot).Find(ctx, 0, Work{Meter: meter.Work{Seed: 1}, Each: func(Way, int, int) {
		if n++; n == 3 {
			stop()
		}
	}})
	if !errors.Is(err, context.Canceled) || f == nil || !f.Stopped || len(f.Missed) == 0 || len(f.Ways) == 0 {
		t.Error(err)
	}
}

// TestWaysNothingMissed: no way out of a look that is had.
func TestWaysNothingMissed(t *testing.T) {
	src := strings.Replace(shortShoot, "below: lit, by: 2 st", "below: lit, by: 5 st, within: 2 st", 1)
	if f := waysOf(t, jobOf(t, src), Work{Meter: meter.Work{Seed: 1}}); len(f.Missed) != 0 {
		t.Error(f.Missed[0].Words)
	}
}

// TestPlaces: a light with an area is tried at several places in it, apart from each other, inside
// the area and its heights, off the exit; and the best brings the target. The point lies so that
// the inverse square decides.
func TestPlaces(t *testing.T) {
	src := strings.Replace(shortShoot, "at: [6, 5], height: 1.9 m,",
		"at: [6, 5], height: 1.9 m, area: [[4.6, 3.6], [7, 5.5]], heights: [1.2 m, 2.4 m],", 1)
	src = strings.Replace(src, "  size: [8, 6, 3]", "  size: [8, 6, 3]\n  exits: [[4.6, 5.5]]", 1)
	var at [][3]float64
	best := 9.0
	waysOf(t, jobOf(t, src), Work{Meter: meter.Work{Seed: 1}, Each: func(w Way, _, _ int) {
		if w.Kind != "place" || strings.Contains(w.Words, ", and ") {
			return
		}
		if !strings.HasPrefix(w.Words, "move accent") {
			return
		}
		var p [3]float64
		for _, e := range w.Edits {
			if strings.HasSuffix(e.Path, ".at") {
				_, err := fmt.Sscanf(e.Value, "[%f, %f]", &p[0], &p[1])
				if err != nil {
					t.Fatal(e, err)
				}
			} else if strings.HasSuffix(e.Path, ".height") {
				if _, err := fmt.Sscanf(e.Value, "%f m", &p[2]); err != nil {
					t.Fatal(e, err)
				}
			}
		}
		at = append(at, p)
		best = math.Min(best, float64(w.StillShort))
	}})
	if len(at) < 1 || best > 0.6 {
		t.Fatalf("%d places, the best still %.1f st short", len(at), best)
	}
	for _, p := range at {
		if p[0] < 4.6 || p[0] > 7 || p[1] < 3.6 || p[1] > 5.5 || p[2] < 1.2 || p[2] > 2.4 ||
			math.Hypot(p[0]-4.6, p[1]-5.5) < 1 {
			t.Errorf("%v is outside the area or at the exit", p)
		}
	}
}

// TestLessDiffusion: a key through a silk that is too weak at full. Half silk gains about ¾ st over
// a full one (a published list of on-axis losses: full white diffusion 1½, half ¾;
// losses depend on beam and distance there too, so ±½), none at all more.
func TestLessDiffusion(t *testing.T) {
	const src = `halfstop: 1
setups:
  - name: a
    camera: {at: [0, 4], height: 1.5 m, aim: [0, 0, 1.5], aperture: f/22, shutter: 1/125 s, iso: 100}
    lights:
      - {name: key, head: battery head 500, modifier: standard reflector, at: [3, 0], height: 1.5 m, aim: [2, 0, 1.5], through: silk}
    panels:
      - {name: silk, kind: silk, size: [1.2, 1.2], at: [2, 0], height: 1.5 m, aim: [0, 0, 1.5]}
    points:
      - {name: mark, at: [0, 0, 1.5], facing: x+}
    look:
      - {point: mark, reads: f/22, priority: must}
`
	got := map[string]float64{}
	f := waysOf(t, jobOf(t, src),
		Work{Meter: meter.Work{Seed: 1}, Each: func(w Way, _, _ int) { got[w.Words] = float64(w.StillShort) }})
	if len(f.Missed) == 0 {
		t.Fatal("one head through a silk should not reach f/22 at ISO 100")
	}
	short := -float64(f.Missed[0].Residual)
	half, ok := got["half silk in the place of the silk"]
	none, also := got["take the silk away"]
	if !ok || !also {
		t.Fatal(got)
	}
	if g := short - half; math.Abs(g-0.75) > 0.5 {
		t.Errorf("half silk gains %.2f st", g)
	}
	if none > half-0.2 {
		t.Errorf("no silk at all: still %.2f st, half silk %.2f st", none, half)
	}
}
