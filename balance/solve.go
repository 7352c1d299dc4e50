package balance

import (
	"context"
	"math"

	q "halfstop/quantity"
)

// Setting is what one light is to be set to.
type Setting struct {
	Name    string
	Off     bool
	Option  int
	Level   q.Stops // relative to full, on the light's steps
	Changed bool    // differs from the present
}

// Outcome is what becomes of one target.
type Outcome struct {
	Predicted float64 // in the target's unit (Kind)
	Residual  q.Stops // signed miss beyond what is wanted, tolerance not taken off; positive: too bright, too high
	Miss      q.Stops // unsigned, tolerance (at least Shown) taken off; what is counted
	Met       bool    // Miss is at most 0.02 st: inside the tolerance, which is at least Shown, but for the steps
	Limits    []Limit // what binds, the one that buys most first; only where not met
	Conflicts []int   // targets of the same or a higher priority, each of which alone stands in the way
	Reason    string  // one line: 'accent at full: 1.3 st short'; empty where met
}

// Shown is the least tolerance of any target: half of the tenth of a stop that a meter shows.
const Shown q.Stops = 0.05

// Solution is the answer to a Problem.
type Solution struct {
	Lights   []Setting
	Aperture q.FNumber
	Shutter  q.Seconds
	ISO      q.ISO
	Targets  []Outcome

	Must, Want, Nice float64 // Σ weight × Miss by priority, stops; a miss's stops beyond the first count 0.99
	Changed          int     // settings that differ from the present
	Changes          float64 // half a stop for each changed setting, plus the sizes of the changes in stops

	// Bound is a proven lower limit of Σ weight × miss, in stops of the highest priority in the problem, each lower one
	// counted at a thousandth of the one above; Gap is how far the answer may lie over it. Proven: Gap ≤ 0.02 st. Where all
	// combinations were tried the answer is its own bound (a trade of misses against changes, at a thousandth of a 'nice',
	// is part of what was minimised).
	Bound, Gap float64
	Proven     bool

	FlashCut bool // the shutter is fixed faster than sync: flash does not count
	Tried    int  // settings whose cost was computed
}

// metBy is the counted miss up to which a target is called met, stops.
const metBy = 0.02

// provenGap is the gap under which a solution counts as proven, stops.
const provenGap = 0.02

// Solve finds the settings for the look.
//
// The answer is always on the steps, keeps every lock, and is never worse than the present settings where those are
// allowed. It is deterministic. An unreachable target does not drag those that can be met (priorities in order, misses
// linear). Errors: ErrProblem for a problem that cannot be worked on; ctx.Err() with the best found so far when cancelled.
// Check: TestAgainstSlowMethods, TestPlanted.
func Solve(ctx context.Context, p Problem) (Solution, error) {
	if err := p.Check(); err != nil {
		return Solution{}, err
	}
	m := compile(p)
	s, h, lower := find(ctx, m, full)
	sol := m.report(s, lower)
	sol.Tried = h.tried
	if ctx.Err() == nil {
		m.explain(ctx, s, &sol)
	}
	return sol, ctx.Err()
}

// effort bounds a search: how many exchanges of options may fail in a row, and the work in rough nanoseconds.
type effort struct {
	tries int
	work  float64
	kicks int
	few   int // combinations up to which all are tried
}

var full = effort{tries: 30, work: 18e6, kicks: 600, few: 20000}

// find searches a compiled problem; lower is a proven bound of the look.
func find(ctx context.Context, m *mix, e effort) (s state, h *searcher, lower float64) {
	h = newSearcher(m)
	stop := func() bool { return ctx.Err() != nil }
	now := m.present()
	m.legal(&now)
	h.offer(now, m.cost(now, h.sum))
	if h.everything(now, e.few) {
		return h.best, h, m.lookOf(h.best, h.sum)
	}
	bd := &bounder{m: m}
	lower, relaxed := bd.bound(m.everything())
	d := splitmix(20)
	h.begin([]state{now, relaxed}, e.tries, &d, stop)
	for round := 0; round < e.kicks && h.spent() < e.work && !stop(); round++ {
		if m.lookOf(h.best, h.sum) <= lower+1e-9*(1+lower) {
			break
		}
		h.kick(round, &d, stop)
	}
	late := func() bool { return stop() || h.spent() > 1.3*e.work }
	h.redial(late)
	h.undo(late)
	return h.best, h, lower
}

// report turns a state into a solution without reasons.
func (m *mix) report(s state, lower float64) Solution {
	sum := make([]float64, m.channels)
	m.sums(s, sum)
	sol := Solution{
		Aperture: q.FNumber(math.Exp2(s.cam[dialA] / 2)), Shutter: q.Seconds(math.Exp2(s.cam[dialT])), ISO: q.ISO(math.Exp2(s.cam[dialS])),
		Changes: m.changes(s),
	}
	sol.FlashCut = m.flashed && !m.synced(math.Exp2(s.cam[dialT]))
	m.exactDials(&sol, s)
	for g := range s.opt {
		l := &m.lights[g]
		set := Setting{Name: m.p.Lights[g].Name, Off: s.opt[g] == off, Option: s.opt[g], Level: q.Stops(s.lev[g])}
		if set.Off {
			set.Option, set.Level = m.p.Lights[g].Option, m.p.Lights[g].Level
		}
		set.Changed = s.opt[g] != l.now || !set.Off && s.lev[g] != l.level
		if set.Changed {
			sol.Changed++
		}
		sol.Lights = append(sol.Lights, set)
	}
	for i := range s.cam {
		if s.cam[i] != m.dial[i].now {
			sol.Changed++
		}
	}
	for i := range m.rows {
		o := m.outcome(i, sum, &s.cam)
		sol.Targets = append(sol.Targets, o)
		w := m.rows[i].w / m.p.Targets[i].Priority.rate() * counted(float64(o.Miss))
		switch m.p.Targets[i].Priority {
		case Must:
			sol.Must += w
		case Want:
			sol.Want += w
		default:
			sol.Nice += w
		}
	}
	unit := m.topRate()
	cost := m.look(sum, &s.cam)
	sol.Bound = math.Min(lower, cost) / unit
	sol.Gap = math.Max(0, cost-lower) / unit
	sol.Proven = sol.Gap <= provenGap
	return sol
}

// exactDials gives back the very values that the problem allows, not what comes out of a logarithm and its inverse.
func (m *mix) exactDials(sol *Solution, s state) {
	c := m.p.Camera
	for _, v := range append([]q.FNumber{c.Aperture}, c.Apertures...) {
		if 2*math.Log2(float64(v))-s.cam[dialA] == 0 {
			sol.Aperture = v
		}
	}
	for _, v := range append([]q.Seconds{c.Shutter}, c.Shutters...) {
		if math.Abs(math.Log2(float64(v))-s.cam[dialT]) < 1e-9 {
			sol.Shutter = v
		}
	}
	for _, v := range append([]q.ISO{c.ISO}, c.ISOs...) {
		if math.Abs(math.Log2(float64(v))-s.cam[dialS]) < 1e-9 {
			sol.ISO = v
		}
	}
}

// topRate is the rate of the highest priority that the problem has.
func (m *mix) topRate() float64 {
	top := Nice.rate()
	for _, t := range m.p.Targets {
		top = math.Max(top, t.Priority.rate())
	}
	return top
}

func (m *mix) outcome(i int, sum []float64, cam *[dials]float64) Outcome {
	r, t := &m.rows[i], &m.p.Targets[i]
	v := m.value(r, sum, cam)
	o := Outcome{Predicted: v, Miss: q.Stops(m.miss(r, sum, cam))}
	o.Met = o.Miss <= metBy
	lo, hi := t.Lo, t.Hi
	switch r.kind {
	case Ambient:
		o.Predicted = 1 / (1 + math.Exp2(-v))
		lo, hi = oddsRange(lo, hi)
	case Colour:
		lo, hi = 0, 0
	}
	switch {
	case v > hi:
		o.Residual = q.Stops((v - hi) / r.per)
	case v < lo:
		o.Residual = q.Stops((v - lo) / r.per)
	}
	return o
}
