package balance

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	q "halfstop/quantity"
)

// LimitKind says what binds.
type LimitKind uint8

const (
	AtFull    LimitKind = iota // a light gives all it has
	AtLeast                    // a light cannot go lower
	Locked                     // a light is locked
	Fixed                      // a light that has no setting: house lights, daylight
	Aperture                   // the aperture may go no further, or is fixed
	Shutter                    // the shutter time may go no further, or is fixed
	Sensitive                  // the sensitivity may go no further, or is fixed
	Sync                       // the shutter is at the sync speed
)

// Limit is one bound that stands between a target and its being met.
type Limit struct {
	Kind  LimitKind
	Light int     // index, or −1 for the camera
	Words string  // 'accent at full'
	Buys  q.Stops // by how much one stop further would shorten the miss, everything re-balanced
	Way   string  // which way the limit would have to give: 'more', 'less', 'wider', 'shorter' …
}

// explain fills limits, conflicts and reasons of the targets that s misses. Every figure comes from
// solving again with the limit a stop further out, or without the other target, from s.
func (m *compiled) explain(ctx context.Context, s state, sol *Solution) {
	x := &explainer{m: m, newton: newNewton(m), s: s, sum: make([]float64, m.channels)}
	for i := range sol.Targets {
		if !sol.Targets[i].Met {
			x.missed = append(x.missed, i)
		}
	}
	if len(x.missed) == 0 {
		return
	}
	slices.SortStableFunc(x.missed, func(a, b int) int { return -cmp.Compare(m.rows[a].w, m.rows[b].w) })
	if len(x.missed) > maxExplained {
		x.missed = x.missed[:maxExplained]
	}
	x.smooth = x.misses(x.from(nil))
	x.limits(ctx, sol)
	for _, i := range x.missed {
		if ctx.Err() == nil {
			x.conflicts(i, sol)
		}
	}
	for i := range sol.Targets {
		if o := &sol.Targets[i]; !o.Met {
			o.Because, o.Between = x.reason(i, o)
			o.Reason = o.Because + ": " + m.missWords(i, o)
		}
	}
}

// maxExplained is the number of missed targets, most important first, for which limits and
// conflicts are looked for.
const maxExplained = 8

type explainer struct {
	m      *compiled
	newton *newton
	s      state
	sum    []float64
	missed []int
	smooth []float64 // misses with the steps taken away
}

// from slides from the solution and returns where it ends; before may change the state first.
func (x *explainer) from(before func(*state)) state {
	s := x.s.clone()
	if before != nil {
		before(&s)
	}
	x.newton.slide(&s, true, 8)
	return s
}

func (x *explainer) misses(s state) []float64 {
	x.m.sums(s, x.sum)
	out := make([]float64, len(x.m.rows))
	for i := range x.m.rows {
		out[i] = x.m.miss(&x.m.rows[i], x.sum, &s.cam)
	}
	return out
}

// limits moves every bound that s sits on out by a stop and notes what that buys.
func (x *explainer) limits(ctx context.Context, sol *Solution) {
	m := x.m
	note := func(l Limit, dial int) {
		st := x.from(nil)
		after := x.misses(st)
		if dial < 0 {
			l.Way = pickWord(st.lev[l.Light] < x.s.lev[l.Light], "less", "more")
		} else {
			words := [dials][2]string{{"wider", "smaller"}, {"shorter", "longer"}, {"lower", "higher"}}[dial]
			l.Way = words[pickInt(st.cam[dial] < x.s.cam[dial], 0, 1)]
		}
		for _, i := range x.missed {
			if buys := x.smooth[i] - after[i]; buys >= float64(Shown) {
				l.Buys = q.Stops(buys)
				sol.Targets[i].Limits = append(sol.Targets[i].Limits, l)
			}
		}
	}
	for g := range m.lights {
		if ctx.Err() != nil {
			return
		}
		l := &m.lights[g]
		if x.s.opt[g] == off {
			continue
		}
		lev, keep := x.s.lev[g], l.levels
		first, last := keep[0], keep[len(keep)-1]
		name := m.lightName(g)
		switch {
		case m.p.Lights[g].Lock:
			l.levels = []float64{lev - 1, lev, lev + 1}
			note(Limit{Kind: Locked, Light: g, Words: name + " locked"}, -1)
		case len(keep) == 1:
			l.levels = []float64{lev - 1, lev, lev + 1}
			note(Limit{Kind: Fixed, Light: g, Words: name + " " + cmp.Or(m.p.Lights[g].Held,
				"cannot be dimmed")}, -1)
		case lev >= last-1e-9:
			l.levels = []float64{first, last, last + 1}
			note(Limit{Kind: AtFull, Light: g, Words: name + " at full"}, -1)
		case lev <= first+1e-9:
			l.levels = []float64{first - 1, first, last}
			note(Limit{Kind: AtLeast, Light: g, Words: name + " at its lowest"}, -1)
		}
		l.levels = keep
	}
	for i := range m.dial {
		d := &m.dial[i]
		keep, v := d.vals, x.s.cam[i]
		first, last := keep[0], keep[len(keep)-1]
		switch {
		case len(keep) == 1:
			d.vals = []float64{v - 1, v, v + 1}
		case v <= first+1e-9:
			d.vals = []float64{first - 1, first, last}
		case v >= last-1e-9:
			d.vals = []float64{first, last, last + 1}
		default:
			continue
		}
		limit, sync := m.dialLimit(i, v, len(keep) == 1, v <= first+1e-9), m.p.Camera.Sync
		if limit.Kind == Sync {
			m.p.Camera.Sync = 0 // what it would buy if the flash were seen
		}
		note(limit, i)
		m.p.Camera.Sync = sync
		d.vals = keep
	}
	for _, i := range x.missed {
		slices.SortStableFunc(sol.Targets[i].Limits, func(a, b Limit) int {
			return cmp.Or(cmp.Compare(x.ruled(a), x.ruled(b)),
				-cmp.Compare(math.Round(float64(a.Buys)*20), math.Round(float64(b.Buys)*20)))
		})
	}
}

// ruled is 1 for a dial of the camera that was not free at all: the person's own rule, named after
// real limits.
func (x *explainer) ruled(l Limit) int {
	for i, k := range [dials]LimitKind{Aperture, Shutter, Sensitive} {
		if l.Kind == k && len(x.m.dial[i].vals) == 1 {
			return 1
		}
	}
	return 0
}

func (m *compiled) lightName(g int) string {
	if n := m.p.Lights[g].Name; n != "" {
		return n
	}
	return fmt.Sprintf("light %d", g+1)
}

func (m *compiled) dialLimit(i int, v float64, fixed, low bool) Limit {
	l := Limit{Light: -1}
	end := map[bool]string{true: "fixed", false: ""}[fixed]
	switch i {
	case dialA:
		l.Kind = Aperture
		if !fixed {
			end = pickWord(low, "at its widest", "at its smallest")
		}
		l.Words = "aperture " + end
	case dialT:
		l.Kind = Shutter
		if !fixed {
			end = pickWord(low, "at its shortest", "at its longest")
		}
		l.Words = "shutter " + end
		if (low || fixed) && m.flashed && m.p.Camera.Sync > 0 && (m.syncs || !m.synced(math.Exp2(v-0.34))) {
			l.Kind, l.Words = Sync, "shutter at the sync speed"
		}
	default:
		l.Kind = Sensitive
		if !fixed {
			end = pickWord(low, "at its lowest", "at its highest")
		}
		l.Words = "sensitivity " + end
	}
	return l
}

func pickWord(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

// conflicts names the targets that stand in the way of target i: first i is made to matter most of
// all; if it can be met then, those that got worse are left out one at a time, and each whose
// absence alone lets i be met is named.
func (x *explainer) conflicts(i int, sol *Solution) {
	m := x.m
	r := &m.rows[i]
	w := r.w
	r.w *= 1e4
	m.bends = 1e6 // no light is lent for it
	forced := x.from(nil)
	r.w, m.bends = w, 1
	then := x.misses(forced)
	if then[i] > metBy {
		return
	}
	now := x.misses(x.s)
	for j := range m.rows {
		if j == i || !m.rows[j].active || then[j] < now[j]+float64(Shown)/2 {
			continue
		}
		m.rows[j].active = false
		without := x.misses(x.from(func(s *state) { s.set(forced) }))
		m.rows[j].active = true
		if without[i] <= metBy {
			sol.Targets[i].Conflicts = append(sol.Targets[i].Conflicts, j)
		}
	}
}

// reason says in one line why target i is missed; between is true where it lies between the steps
// of the lights.
func (x *explainer) reason(i int, o *Outcome) (words string, between bool) {
	m := x.m
	switch {
	case len(o.Limits) > 0 && x.ruled(o.Limits[0]) == 0 &&
		(len(o.Conflicts) == 0 || o.Limits[0].Buys > o.Miss/2):
		return o.Limits[0].Words, false
	case len(o.Conflicts) > 0:
		return "pulls against " + m.targetName(o.Conflicts[0]), false
	case x.smooth[i] <= metBy:
		return "between the steps of the lights", true
	case len(o.Limits) > 0: // a dial that the person holds
		dials := map[LimitKind]string{Aperture: "aperture", Shutter: "shutter", Sensitive: "sensitivity"}
		return "other wishes stand against it while the " + dials[o.Limits[0].Kind] + " stays as it is", false
	case slices.Contains(x.missed, i):
		return "other wishes together stand against it", false
	}
	return "more important wishes come first", false
}

func (m *compiled) targetName(i int) string {
	t := m.p.Targets[i]
	if t.Name != "" {
		return t.Name
	}
	if n := m.p.Points[t.Point].Name; n != "" {
		return n
	}
	return fmt.Sprintf("target %d", i+1)
}

func (m *compiled) missWords(i int, o *Outcome) string {
	r := &m.rows[i]
	amount := math.Abs(float64(o.Residual))
	up := o.Residual > 0
	switch r.kind {
	case Colour:
		return "another colour than wanted"
	case Warmth:
		return fmt.Sprintf("%.0f mired too %s", amount*r.per, pickWord(up, "warm", "cool"))
	case Veil:
		return fmt.Sprintf("haze lifts it %.1f st too much", amount)
	case Ambient:
		return fmt.Sprintf("%.0f %% ambient, %.1f st too %s", o.Predicted*100, amount, pickWord(up, "much", "little"))
	}
	return fmt.Sprintf("%.1f st %s", amount, pickWord(up, "over", "short"))
}
