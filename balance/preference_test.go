package balance

import (
	"context"
	"math"
	"testing"

	q "halfstop/quantity"
)

// The preferences of an experienced photographer, as tests of the objective: in each case what is
// done first costs least, what is done then costs more, and what is never done costs most. Common
// practice, no source; the cases are written down in docs/decisions/0008 with what each stands for.
// The light at f/4 and ISO 100 is 40 lx·s by a flat meter (C = 250, ISO 2720:1974): H = C N²/S.

const f4 = 40.0

// plan is one thing that could be done.
type plan struct {
	words   string
	set     func(c *choice) // settings changed on the set as it stands
	stand   func(p *Problem)
	solve   bool // stand is balanced anew
	minutes q.Minutes
	extra   float64
	taken   int
}

// choice is a state by names.
type choice struct {
	m *compiled
	s *state
}

// to sets light g to a level.
func (c *choice) to(g int, level float64) { c.s.lev[g] = level }
func (c *choice) by(g int, stops float64) { c.s.lev[g] += stops }
func (c *choice) iso(stops float64)       { c.s.cam[dialS] += stops }
func (c *choice) open(stops float64)      { c.s.cam[dialA] -= stops }
func (c *choice) time(stops float64)      { c.s.cam[dialT] += stops }

type preference struct {
	name   string
	p      Problem
	first  []plan
	then   []plan
	never  []plan
	leaves bool            // Solve, with everything of the file free, changes nothing
	solves map[int]q.Stops // what Solve sets lights to, to 0.25 st
}

// at gives a light a present level.
func at(l Light, level q.Stops) Light { l.Level = level; return l }

var thirds = Scale{Min: -8, Max: 0, Step: 1.0 / 3}
var tenths = Scale{Min: -8, Max: 0, Step: 0.1}

func must(t Target) Target                 { t.Priority = Must; return t }
func nice(t Target) Target                 { t.Priority = Nice; return t }
func known(t Target, sigma float64) Target { t.Sigma = sigma; return t }
func faceCamera(n q.FNumber, t q.Seconds) Camera {
	return Camera{Aperture: n, Shutter: t, ISO: 100, Sync: 1. / 200}
}

// brings scales what a light brings to one point.
func brings(p *Problem, light, point int, by float64) {
	o := p.Lights[light].Options
	p.Lights[light].Options = nil
	for _, x := range o {
		x.At = append([]Contribution{}, x.At...)
		c := &x.At[point]
		c.Flash *= q.LuxSeconds(by)
		c.Continuous *= q.Lux(by)
		for i := range 3 {
			c.FlashXYZ[i] *= by
			c.ContinuousXYZ[i] *= by
		}
		p.Lights[light].Options = append(p.Lights[light].Options, x)
	}
}

func everywhere(p *Problem, light int, by float64) {
	for i := range p.Points {
		brings(p, light, i, by)
	}
}

func points(names ...string) (out []Point) {
	for _, n := range names {
		out = append(out, Point{Name: n})
	}
	return out
}

var leave = plan{words: "leave it", set: func(*choice) {}}

// stops is a share as a factor: st(1) is two.
func st(v float64) float64 { return math.Exp2(v) }

func preferences() []preference {
	var out []preference
	add := func(p preference) { out = append(out, p) }

	add(preference{name: "1 a tenth of a kit that was never metered",
		p: Problem{Points: points("face"), Camera: faceCamera(4, 1./125),
			Lights:  []Light{at(flashes("key", thirds, f4*st(2+0.1)), -2)},
			Targets: []Target{known(must(ReadsAt(0, 4)), 0.5)}},
		first: []plan{leave}, leaves: true,
		never: []plan{{words: "a third down and ISO up", set: func(c *choice) { c.by(0, -1./3); c.iso(1. / 3) }},
			{words: "ISO down", set: func(c *choice) { c.iso(-1. / 3) }}}})

	add(preference{name: "2 a rim that no target names",
		p: Problem{Points: points("face"), Camera: faceCamera(4, 1./125),
			Lights:  []Light{at(flashes("key", thirds, f4*st(2)), -2), at(flashes("rim", thirds, f4*0.002*st(3)), -3)},
			Targets: []Target{must(ReadsAt(0, 4))}},
		first: []plan{leave}, leaves: true,
		never: []plan{{words: "rim to its minimum", set: func(c *choice) { c.to(1, -8) }}}})

	hair := Problem{Points: points("face", "shadow", "hair"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(2)*0.82, f4*st(2)*0.01, 0), -2),
			at(flashes("fill", tenths, f4*st(3)*0.33*0.5, f4*st(3)*0.33, f4*st(3)*0.05), -3),
			at(flashes("rim", tenths, 0, f4*0.025*st(3), f4*st(3)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(2, 0, 1), ReadsAbove(0, 1, q.StopsOf(3))}}
	add(preference{name: "3 the rim is set for the hair", p: hair,
		first: []plan{{words: "rim up to hair +1", set: func(c *choice) { c.by(2, 1) }}},
		then: []plan{{words: "rim up, and a grid on it", minutes: 0.75, solve: true,
			stand: func(p *Problem) { brings(p, 2, 1, 0.1) }}},
		never: []plan{{words: "hair at 2.8", set: func(c *choice) { c.by(2, 2.8) }},
			{words: "no rim for the ratio", set: func(c *choice) { c.to(2, -8) }}}})

	round := Problem{Points: points("face", "shadow"), Camera: faceCamera(4, 1./125),
		Lights:  []Light{at(flashes("key", tenths, f4*st(2), f4*st(2)*0.65), -2)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(0, 1, q.StopsOf(3))}}
	add(preference{name: "4 one key too frontal for 3:1", p: round,
		first: []plan{{words: "key round", minutes: 1.5, extra: 0.1, solve: true,
			stand: func(p *Problem) { brings(p, 0, 1, 0.33/0.65) }}},
		then: []plan{{words: "black beside the face", minutes: 0.75, solve: true,
			stand: func(p *Problem) { brings(p, 0, 1, st(-0.6)) }}},
		never: []plan{{words: "cannot be had", set: func(*choice) {}}}})

	sign := Problem{Points: points("face", "sign"), Camera: faceCamera(4, 1./160),
		Lights:  []Light{at(flashes("key", tenths, f4*st(3), 0), -3), burns("sign", Scale{}, 0, 1500)},
		Targets: []Target{must(ReadsAt(0, 4)), LevelAt(1, -1)}}
	// The sign at −1 − 2.4 st: a wall's luminance of E·0.18/π through H = q·L·t/N².
	signNow := math.Log2(0.65 * 1500 * .18 / math.Pi / 160 * 10 / 16)
	sign.Targets[1].Lo = signNow + 2.4
	sign.Targets[1].Hi = sign.Targets[1].Lo
	add(preference{name: "5 the sign by the shutter", p: sign,
		first: []plan{{words: "1/30", set: func(c *choice) { c.time(2.4) }}},
		then: []plan{{words: "ISO up, flash down", set: func(c *choice) { c.iso(2.4); c.by(0, -2.4) }},
			{words: "open up, flash down", set: func(c *choice) { c.open(2.4); c.by(0, -2.4) }}},
		never: []plan{{words: "more flash", set: func(c *choice) { c.by(0, 1) }}}})

	accent := Problem{Points: points("face", "edge"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), 0), -3),
			at(burns("accent", Scale{Min: -6, Max: 0, Step: 0.1}, 0, f4*125*st(-1.5)), 0)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(1, 0, 0)}}
	add(preference{name: "6 an accent that burns is short of the flash", p: accent,
		first: []plan{{words: "ISO up, flash down", set: func(c *choice) { c.iso(1.33); c.by(0, -1.33) }},
			{words: "open up, flash down", set: func(c *choice) { c.open(1.33); c.by(0, -1.33) }}},
		then: []plan{{words: "the accent nearer", minutes: 1.5, stand: func(p *Problem) { everywhere(p, 1, st(1)) },
			extra: 0.2},
			{words: "a gelled flash in its place", minutes: 5, extra: 0.2,
				stand: func(p *Problem) { everywhere(p, 1, st(1.5)) }}},
		never: []plan{{words: "left out", set: func(c *choice) { c.to(1, -6) }}}})

	window := Problem{Points: points("face", "view"), Camera: faceCamera(4, 1./60),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), 0), -3), burns("window", Scale{}, 0, 20000)}}
	viewNow := math.Log2(0.65 * 20000 * .18 / math.Pi / 60 * 10 / 16)
	window.Targets = []Target{must(LevelAt(0, -0.1)), known(LevelAt(1, q.Stops(viewNow-1.6)), 0)}
	add(preference{name: "7 the view through the window, flash key", p: window,
		first: []plan{{words: "to the sync speed", set: func(c *choice) { c.time(-1.66) }}},
		then: []plan{{words: "stop down with the flash up", set: func(c *choice) { c.open(-1.6); c.by(0, 1.6) }},
			{words: "ND on the pane", minutes: 6, stand: func(p *Problem) { everywhere(p, 1, st(-1.6)) }}},
		never: []plan{{words: "ISO up", set: func(c *choice) { c.iso(1) }}}})

	pace := Problem{Points: points("face"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4), 0)}, Targets: []Target{must(ReadsAt(0, 4))}}
	pace.Lights[0].Recycle, pace.Camera.Every = 2.4, 1.5
	add(preference{name: "8 full power at every frame", p: pace,
		first: []plan{{words: "ISO 200", set: func(c *choice) { c.iso(1); c.by(0, -1) }}},
		then: []plan{{words: "key nearer", minutes: 1.5, extra: 0.3,
			stand: func(p *Problem) { everywhere(p, 0, 2); p.Lights[0].Level = -1 }},
			{words: "two heads", minutes: 5, stand: func(p *Problem) { everywhere(p, 0, 2); p.Lights[0].Level = -1 }}},
		never: []plan{{words: "full power and wait", set: func(*choice) {}}}})

	wall := Problem{Points: points("face", "wall"), Camera: faceCamera(4, 1./125),
		Lights:  []Light{at(flashes("key", tenths, f4*st(3), f4*st(3)*st(-5.9)), -3)},
		Targets: []Target{must(LevelAt(0, -0.1)), Darkest(1, -5)}}
	add(preference{name: "9 the wall behind too dark, all on flash", p: wall,
		first: []plan{{words: "a head on the wall", minutes: 5, stand: func(p *Problem) { brings(p, 0, 1, st(1.2)) }}},
		then: []plan{{words: "sitter nearer the wall", minutes: 4, extra: 0.5,
			stand: func(p *Problem) { brings(p, 0, 1, st(0.7)) }}},
		never: []plan{{words: "open up", set: func(c *choice) { c.open(1) }}}})

	two := Problem{Points: points("face", "hand", "hair"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), f4*st(3)*st(-0.4), 0), -3),
			at(flashes("rim", tenths, 0, 0, f4*st(3)*st(1)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), must(ReadsAt(1, 4)), ReadsAt(2, q.FNumber(4*math.Sqrt2))}}
	add(preference{name: "11 two musts that contradict by 0.4", p: two,
		first: []plan{{words: "split it", set: func(c *choice) { c.by(0, 0.2) }}},
		then:  []plan{leave},
		never: []plan{{words: "one exactly, and a want lost", set: func(c *choice) { c.by(0, 0.4); c.by(1, -1) }}}})

	least := Problem{Points: points("face", "hair"), Camera: faceCamera(4, 1./125),
		Lights:  []Light{at(flashes("key", tenths, f4*st(9), 0), -8), at(flashes("rim", tenths, 0, f4*st(4)), -4)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAt(1, 4)}}
	add(preference{name: "12 a head at its minimum", p: least,
		first: []plan{{words: "move it back", minutes: 1.5, extra: 0.25,
			stand: func(p *Problem) { everywhere(p, 0, 0.5) }},
			{words: "ND", minutes: 0.75, stand: func(p *Problem) { everywhere(p, 0, 0.5) }}},
		then:  []plan{{words: "ISO 50, the rim up", set: func(c *choice) { c.iso(-1); c.by(1, 1) }, minutes: 5}},
		never: []plan{{words: "cannot be had", set: func(*choice) {}}}})

	tubes := Problem{Points: points("face"), Camera: faceCamera(4, 1./60),
		Lights:  []Light{at(flashes("key", tenths, f4*0.74*st(3)), -3), burns("tubes", Scale{}, f4*60*0.26)},
		Targets: []Target{must(ReadsAt(0, 4)), nice(AmbientShare(0, 0, 0.02)), ColourAt(0, 0.2, 0.47, 0.006)}}
	tubes.Targets[2].UV[0], tubes.Targets[2].UV[1] = uvOf(0.95, 1, 1.09)
	green(&tubes, 1)
	add(preference{name: "15 green tubes 1.5 st under the key", p: tubes,
		first: []plan{{words: "tubes off", minutes: 1, solve: true,
			stand: func(p *Problem) { p.Lights[1].Off = true }}},
		then:  []plan{{words: "to the sync speed", set: func(c *choice) { c.time(-1.66); c.by(0, 0.3) }}},
		never: []plan{{words: "ignored", set: func(*choice) {}}}})

	smoke := Problem{Points: points("face", "black"), Camera: faceCamera(4, 1./125),
		Lights: []Light{at(flashes("key", tenths, f4*st(3), 0.001), -3),
			at(flashes("back", tenths, 0, f4*st(-3.9+3)), -3)},
		Targets: []Target{must(LevelAt(0, -0.1)), Brightest(1, -5), nice(ReadsAbove(1, 0, -4))}}
	smoke.Targets = smoke.Targets[:2]
	add(preference{name: "16 haze lifts the blacks", p: smoke,
		first: []plan{{words: "less haze", minutes: 4, stand: func(p *Problem) { everywhere(p, 1, 0.5) }},
			{words: "a grid on what crosses the air", minutes: 0.75,
				stand: func(p *Problem) { everywhere(p, 1, 0.55) }}},
		then: []plan{{words: "key from the camera's side", minutes: 4, extra: 0.5,
			stand: func(p *Problem) { everywhere(p, 1, 0.55) }}},
		never: []plan{{words: "raise the key", set: func(c *choice) { c.by(0, 1) }}}})

	dark := Problem{Points: points("face", "edge"), Camera: faceCamera(4, 1./125),
		Lights:  []Light{at(flashes("key", tenths, f4*st(3), 0), -3), at(flashes("edge", tenths, 0, f4*st(3)), -3)},
		Targets: []Target{must(ReadsAt(0, 4)), ReadsAbove(1, 0, 1)}}
	add(preference{name: "17 very dark skin, reads as asked", p: dark,
		first: []plan{{words: "the edge lights up", set: func(c *choice) { c.by(1, 1) }}},
		then:  []plan{{words: "open up a half", set: func(c *choice) { c.by(0, 0.5); c.by(1, 1) }}},
		never: []plan{{words: "flat front fill", minutes: 5,
			stand: func(p *Problem) { brings(p, 0, 0, st(0.9)); brings(p, 1, 1, 1) }}}})

	panels := Problem{Points: points("face"), Camera: faceCamera(4, 1./60),
		Lights: []Light{at(flashes("key", tenths, f4*7/8*st(3)), -3), burns("panel 1", Scale{}, f4*60/24),
			burns("panel 2", Scale{}, f4*60/24), burns("panel 3", Scale{}, f4*60/24)},
		Targets: []Target{must(ReadsAt(0, 4))}}
	add(preference{name: "18 ceiling panels that give an eighth", p: panels, first: []plan{leave}, leaves: true,
		then: []plan{{words: "off", minutes: 1, solve: true, stand: func(p *Problem) { p.Lights[1].Off = true }}},
		never: []plan{{words: "faster and the key up",
			set: func(c *choice) { c.time(-1.66); c.by(0, 0.2); c.iso(0.3) }, minutes: 1}}})

	deep := Problem{Points: points("face"), Camera: faceCamera(5.6, 1./125),
		Lights: []Light{at(flashes("key", tenths, 2*f4*st(1)), -1)}, Targets: []Target{must(LevelAt(0, -0.1))}}
	add(preference{name: "19 heads at half power", p: deep, first: []plan{leave}, leaves: true,
		then:  []plan{{words: "ISO 200 and 1/4", set: func(c *choice) { c.iso(1); c.by(0, -1) }}},
		never: []plan{{words: "f/2.8", set: func(c *choice) { c.open(2); c.by(0, -2) }}}})

	over := func(sigma float64) Problem {
		return Problem{Points: points("face"), Camera: faceCamera(4, 1./125),
			Lights:  []Light{at(flashes("key", thirds, f4*st(3+0.25)), -3)},
			Targets: []Target{known(must(ReadsAt(0, 4)), sigma)}}
	}
	third := plan{words: "a third down", set: func(c *choice) { c.by(0, -1./3) }}
	add(preference{name: "20 a quarter over, kit metered", p: over(0.1), first: []plan{third}, never: []plan{leave}})
	add(preference{name: "20 a quarter over, never metered", p: over(0.6), first: []plan{leave}, leaves: true,
		never: []plan{third}})
	return append(out, ownPreferences()...)
}

// green makes what a light gives the colour of old tubes.
func green(p *Problem, light int) {
	o := &p.Lights[light].Options[0]
	for i := range o.At {
		o.At[i].ContinuousXYZ[0] *= 0.95
		o.At[i].ContinuousXYZ[2] *= 0.55
	}
}

// costOf scores one plan.
func (pl *plan) costOf(t *testing.T, p Problem) float64 {
	t.Helper()
	sc, err := NewScorer(context.Background(), p, WayOptions{Touch: 0.2})
	if err != nil {
		t.Fatal(err)
	}
	m := sc.m
	c := Candidate{Words: pl.words, Minutes: pl.minutes, Extra: pl.extra, Taken: make([]string, pl.taken)}
	if pl.stand == nil {
		now := m.present()
		pl.set(&choice{m, &now})
		c.Minutes += 0.2 * q.Minutes(m.report(now).Changed)
		return sc.score(c, 0, m, now).Score
	}
	changed := p
	changed.Lights = append([]Light{}, p.Lights...)
	pl.stand(&changed)
	if pl.solve {
		c.Problem = changed
		w, ok := sc.Try(context.Background(), c, 0, false)
		if !ok {
			t.Fatalf("%s cannot be tried", pl.words)
		}
		return w.Score
	}
	cm := compile(changed)
	cm.judge(m)
	return sc.score(c, 0, cm, cm.present()).Score
}

// TestPreferences: first beats then beats never, in every case.
func TestPreferences(t *testing.T) {
	for _, c := range preferences() {
		t.Run(c.name, func(t *testing.T) {
			score := func(list []plan) (lo, hi float64) {
				lo, hi = math.Inf(1), math.Inf(-1)
				for i := range list {
					v := list[i].costOf(t, c.p)
					t.Logf("%7.3f %s", v, list[i].words)
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
				return lo, hi
			}
			_, first := score(c.first)
			thenLo, then := score(c.then)
			never, _ := score(c.never)
			if len(c.then) > 0 && !(first < thenLo) {
				t.Errorf("then (%.3f) is no worse than first (%.3f)", thenLo, first)
			}
			if !(math.Max(first, then) < never) {
				t.Errorf("never (%.3f) is no worse than what is done (%.3f)", never, math.Max(first, then))
			}
			if len(c.solves) > 0 {
				sol := mustSolve(t, c.p)
				for g, want := range c.solves {
					if got := sol.Lights[g].Level; math.Abs(float64(got-want)) > 0.25 {
						t.Errorf("light %d is set to %.1f st, not to %.1f", g, float64(got), float64(want))
					}
				}
			}
			if c.leaves {
				p := c.p
				p.Camera.ISOs = Sensitivities(100, 1600, 1./3)
				p.Camera.Shutters = ShutterTimes(1./15, 1./200, 1./3)
				p.Camera.Apertures = FNumbers(2.8, 11, 1./3)
				if sol := mustSolve(t, p); sol.Changed != 0 {
					t.Errorf("it was to be left: %+v", sol)
				}
			}
		})
	}
}
