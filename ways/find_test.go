package ways

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"halfstop/balance"
	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
)

// A panel in the colour of the sign, wanted two stops brighter than it gets beside the flash key: trade.md question 22, 'the continuous colour head is 2
// stops short of the strobe'. Walls are dark so that nothing else decides.
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

// TestPanelShort holds the ways out of a panel that is short to what an experienced practitioner would try (trade.md 2, question 22, and 3.5,
// 'LED short of strobe by n stops': common practice, no source).
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
	if len(f.Missed) != 1 || f.Missed[0].Residual > -1 {
		t.Fatalf("%+v: the panel should be some two stops short", f.Missed)
	}
	short := -float64(f.Missed[0].Residual)
	for _, k := range []balance.WayKind{"sensitivity", "aperture", "shutter", "distance", "head", "second head", "give up", balance.Keep} {
		if _, ok := seen[k]; !ok {
			t.Errorf("no way of the kind %q was thought of", k)
		}
	}
	ways := f.Missed[0].Ways
	if len(ways) < 2 || len(ways) > 7 {
		t.Fatal(len(ways))
	}
	// What is free and quick comes first: sensitivity or shutter with the flash following.
	// Scores within 0.02 st are a tie that the noise of the readings and the shape of a light's body decide.
	first := ways[0]
	for _, w := range ways {
		if w.Score < ways[0].Score+0.02 && w.Minutes < first.Minutes {
			first = w
		}
	}
	if first.Minutes > 0.5 || first.StillShort > 0.2 || first.Kind != "sensitivity" && first.Kind != "shutter" && first.Kind != "aperture" {
		t.Errorf("first way: %s (%s), %.1f min, still %.1f st", first.Words, first.Kind, float64(first.Minutes), float64(first.StillShort))
	}
	// n stops of sensitivity lift what burns by n against a flash that goes down by n.
	iso := seen["sensitivity"]
	if got := short - float64(iso.StillShort); math.Abs(got-1) > 0.25 { // the key may use its tolerance
		t.Errorf("%s gains %.2f st, not the 1 st of its step (the dials' tenths left)", iso.Words, got)
	}
	if !strings.Contains(iso.Words, "key down 1.") && !strings.Contains(iso.Words, "key down 0.9") {
		t.Errorf("%q does not say that the flash follows", iso.Words)
	}
	// 1.41 times nearer is a stop (trade.md 3.5): 0.6 of the distance is 1.47 st for a point, less for a panel this large.
	near := seen["distance"]
	if got := short - float64(near.StillShort); got < 0.35 || got > 0.7 {
		t.Errorf("%s gains %.2f st; 0.8 of the distance gives 0.64 for a point", near.Words, got)
	}
	for i := range ways {
		if ways[i].Kind == balance.Keep {
			continue
		}
		if ways[i].Look > ways[len(ways)-1].Look+1 && ways[i].Score > ways[len(ways)-1].Score {
			t.Error("order")
		}
	}
	for _, r := range f.Refused {
		t.Log("refused:", r.Words, "because", r.Why)
	}
}

// TestWaysApply takes every way of the example into the file and holds what a metering of that file reads against what the way
// promised.
func TestWaysApply(t *testing.T) {
	j := jobOf(t, shortShoot)
	f := waysOf(t, j, Work{Meter: meter.Work{Seed: 1}, Most: 20})
	tried := 0
	for _, w := range f.Missed[0].Ways {
		if w.Kind == balance.Keep || w.Kind == "give up" {
			continue
		}
		text, err := w.Apply(j.Doc)
		if err != nil {
			t.Errorf("%s: %v", w.Words, err)
			continue
		}
		if !strings.Contains(string(text), "# ") && strings.Contains(shortShoot, "# ") {
			t.Error("comments")
		}
		file, doc, list := shoot.Parse("way", text, shoot.Options{})
		if list.Has(diag.Error) {
			t.Errorf("%s: %s\n%s", w.Words, list.Text(), text)
			continue
		}
		_, _, readings := metered(t, &Shoot{File: file, Doc: doc}, meter.Work{Seed: 3, Error: 0.03})
		got := float64(readings[1].FNumber.StopsOver(readings[0].FNumber))
		// Both were computed to 0.05 st at two points each; light of others newly blocked by a moved body is left out.
		if want := w.Solution.Targets[1].Predicted; math.Abs(got-want) > 0.2 {
			t.Errorf("%s: promised %.2f st, metered %.2f", w.Words, want, got)
		}
		tried++
	}
	if tried < 2 {
		t.Error("too few ways to hold")
	}
}

// TestWaysDemo holds the demonstration's failing look to the times asked: on a machine that others share, loosely.
func TestWaysDemo(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	j := jobOf(t, demonstration(t))
	start := time.Now()
	var first, free time.Duration
	f := waysOf(t, j, Work{Meter: meter.Work{Seed: 1}, Each: func(w Way, done, of int) {
		if first == 0 {
			first = time.Since(start)
		}
		if free == 0 && w.Candidate >= 0 {
			free = time.Since(start)
		}
	}})
	t.Logf("first word %v, first change %v, all %v", first, free, time.Since(start))
	if len(f.Missed) == 0 {
		t.Fatal("the demonstration is to have a look that cannot be had")
	}
	for _, m := range f.Missed {
		if len(m.Ways) > 7 || len(m.Ways) == 0 {
			t.Error(m.Words, len(m.Ways))
		}
		// The accent panel cannot follow the flash: what a practitioner tries first (trade.md 2, question 22: common practice, no source).
		if strings.HasPrefix(m.Words, "hair edge 0.7 st above") {
			switch k := m.Ways[0].Kind; k {
			case "head", "sensitivity", "aperture", "shutter", "distance", "second head":
			default:
				t.Errorf("first way: %s", m.Ways[0].Words)
			}
			if m.Ways[0].StillShort > 0.5*m.Ways[len(m.Ways)-1].StillShort {
				t.Errorf("first way leaves %.1f st of %.1f", float64(m.Ways[0].StillShort), float64(m.Ways[len(m.Ways)-1].StillShort))
			}
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
	if !errors.Is(err, context.Canceled) || f == nil || !f.Stopped || len(f.Missed) == 0 || len(f.Missed[0].Ways) == 0 {
		t.Error(err, f)
	}
}

// TestWaysNothingMissed: no way out of a look that is had.
func TestWaysNothingMissed(t *testing.T) {
	src := strings.Replace(shortShoot, "below: lit, by: 2 st", "below: lit, by: 5 st, within: 2 st", 1)
	if f := waysOf(t, jobOf(t, src), Work{Meter: meter.Work{Seed: 1}}); len(f.Missed) != 0 {
		t.Error(f.Missed[0].Words)
	}
}

// TestPlaces: a light with an area is tried at several places in it, apart from each other, inside the area and its heights, off the exit; and the
// best brings the target. The point lies so that the inverse square decides.
func TestPlaces(t *testing.T) {
	src := strings.Replace(shortShoot, "at: [6, 5], height: 1.9 m,", "at: [6, 5], height: 1.9 m, area: [[4.6, 3.6], [7, 5.5]], heights: [1.2 m, 2.4 m],", 1)
	src = strings.Replace(src, "  size: [8, 6, 3]", "  size: [8, 6, 3]\n  exits: [[4.6, 5.5]]", 1)
	var at [][3]float64
	best := 9.0
	waysOf(t, jobOf(t, src), Work{Meter: meter.Work{Seed: 1}, Each: func(w Way, _, _ int) {
		if w.Kind != "place" || strings.Contains(w.Words, ", and ") {
			return
		}
		i := strings.Index(w.Words, " at ")
		var p [3]float64
		if _, err := fmt.Sscanf(w.Words[i:], " at %f, %f, height %f", &p[0], &p[1], &p[2]); err != nil {
			t.Fatal(w.Words, err)
		}
		at = append(at, p)
		best = math.Min(best, float64(w.StillShort))
	}})
	if len(at) < 2 || best > 0.5 {
		t.Fatalf("%d places, the best still %.1f st short", len(at), best)
	}
	for i, p := range at {
		if p[0] < 4.6 || p[0] > 7 || p[1] < 3.6 || p[1] > 5.5 || p[2] < 1.2 || p[2] > 2.4 || math.Hypot(p[0]-4.6, p[1]-5.5) < 1 {
			t.Errorf("%v is outside the area or at the exit", p)
		}
		for _, o := range at[:i] {
			if math.Sqrt((p[0]-o[0])*(p[0]-o[0])+(p[1]-o[1])*(p[1]-o[1])+(p[2]-o[2])*(p[2]-o[2])) < 0.4 {
				t.Errorf("%v and %v are one place", p, o)
			}
		}
	}
}

// TestLessDiffusion: a key through a silk that is too weak at full. Half silk gains about ¾ st over a full one (a published list of on-axis losses: full white
// diffusion 1½, half ¾, in trade.md 3.7; losses depend on beam and distance there too, so ±½), none at all more.
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
	f := waysOf(t, jobOf(t, src), Work{Meter: meter.Work{Seed: 1}, Each: func(w Way, _, _ int) { got[w.Words] = float64(w.StillShort) }})
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
