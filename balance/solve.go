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
	Unnamed bool    // no target names it
}

// Outcome is what becomes of one target.
type Outcome struct {
	Predicted float64 // in the target's unit (Kind)
	// of a Colour, CIE 1976 u'v': what it comes to and what is wanted
	UV, Wanted [2]float64
	Residual   q.Stops // signed distance from what is wanted, tolerance not taken off; positive: too bright, too high
	Miss       q.Stops // what lies beyond the tolerance, unsigned
	Met        bool    // Miss is at most 0.05 st: what a meter shows
	Unknown    bool    // missed, but by less than the prediction is known to, and so left as it was
	Loss       float64 // what it counts in the objective
	Limits     []Limit // what binds, the one that buys most first; only where not met
	Conflicts  []int   // targets of the same or a higher priority, each of which alone stands in the way
	Reason     string  // one line: 'accent at full: 1.3 st short'; empty where met
	Because    string  // the same without the amount
	Between    bool    // it lies between the steps of the lights
}

// Shown is the least that is spoken of: half of the tenth of a stop that a meter shows.
const Shown q.Stops = 0.05

// Solution is the answer to a Problem.
type Solution struct {
	Lights   []Setting
	Aperture q.FNumber
	Shutter  q.Seconds
	ISO      q.ISO
	Targets  []Outcome

	Loss    float64 // the objective: expected loss of the targets and the cost of the means (see loss.go)
	Means   float64 // of it, what the means cost
	Changed int     // settings that differ from the present
	Proven  bool    // every combination of settings was tried

	FlashCut bool // the shutter is fixed faster than sync: flash does not count
	Tried    int  // settings whose cost was computed
}

// metBy is the counted miss up to which a target is called met, stops.
const metBy = 0.05

// Solve finds the settings for the look.
//
// The answer is always on the steps, keeps every lock, and is never worse than the present settings
// where those are allowed. It is deterministic. Errors: ErrProblem for a problem that cannot be
// worked on; ctx.Err() with the best found so far when cancelled. Check: TestAgainstEnumeration,
// TestPreferences.
func Solve(ctx context.Context, p Problem) (Solution, error) {
	if err := p.Check(); err != nil {
		return Solution{}, err
	}
	m := compile(p)
	s, h := find(ctx, m, full)
	sol := m.report(s)
	sol.Tried, sol.Proven = h.tried, h.all
	if ctx.Err() == nil {
		m.explain(ctx, s, &sol)
	}
	return sol, ctx.Err()
}

// effort bounds a search: how many exchanges of options may fail in a row, and the work in rough
// nanoseconds.
type effort struct {
	tries         int
	work          float64
	perturbations int
	few           int // combinations up to which all are tried
}

var full = effort{tries: 30, work: 10e6, perturbations: 600, few: 20000}

// find searches a compiled problem: iterated local search (Lourenço, Martin and Stützle 2003) from
// the present settings.
func find(ctx context.Context, m *compiled, e effort) (s state, h *searcher) {
	h = newSearcher(m)
	stop := func() bool { return ctx.Err() != nil }
	now := m.present()
	m.legal(&now)
	h.offer(now, m.cost(now, h.sum))
	if h.everything(now, e.few) {
		h.all = true
		return h.best, h
	}
	d := splitmix(20)
	h.descend(now)
	h.begin([]state{now, h.best}, e.tries, &d, stop)
	for round := 0; round < e.perturbations && h.spent() < e.work && h.cost > 1e-9 && !stop(); round++ {
		h.perturb(round, &d, stop)
	}
	late := func() bool { return stop() || h.spent() > 1.3*e.work }
	h.redial(late)
	h.undo(late)
	return h.best, h
}

// report turns a state into a solution without reasons.
func (m *compiled) report(s state) Solution {
	sum := make([]float64, m.channels)
	m.sums(s, sum)
	sol := Solution{
		Aperture: q.FNumber(math.Exp2(s.cam[dialA] / 2)), Shutter: q.Seconds(math.Exp2(s.cam[dialT])),
		ISO:   q.ISO(math.Exp2(s.cam[dialS])),
		Means: m.means(s),
	}
	sol.FlashCut = m.flashed && m.flashPart(math.Exp2(s.cam[dialT])) == 0
	m.exactDials(&sol, s)
	for g := range s.opt {
		l := &m.lights[g]
		set := Setting{Name: m.p.Lights[g].Name, Off: s.opt[g] == off, Option: s.opt[g], Level: q.Stops(s.lev[g])}
		if set.Off {
			set.Option, set.Level = m.p.Lights[g].Option, m.p.Lights[g].Level
		}
		set.Unnamed = l.touch > touchPower
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
		sol.Loss += o.Loss
	}
	sol.Loss += sol.Means + m.bent(sum, &s.cam) + m.spent(sum, &s.cam)
	return sol
}

// exactDials gives back the very values that the problem allows, not what comes out of a logarithm
// and its inverse.
func (m *compiled) exactDials(sol *Solution, s state) {
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

func (m *compiled) outcome(i int, sum []float64, cam *[dials]float64) Outcome {
	r, t := &m.rows[i], &m.p.Targets[i]
	v := m.value(r, sum, cam)
	o := Outcome{Predicted: v, Miss: q.Stops(m.miss(r, sum, cam))}
	if r.active {
		o.Loss = r.cost(v)
	}
	o.Met = o.Miss <= metBy
	o.Unknown = !o.Met && r.known && v >= r.fromLo-r.tolerance && v <= r.toHi+r.tolerance
	lo, hi := r.lo, r.hi
	switch r.kind {
	case Colour:
		o.UV, o.Wanted = [2]float64{}, r.uv
		o.UV[0], o.UV[1] = uvOf(sum[r.xyz[0]], sum[r.xyz[1]], sum[r.xyz[2]])
		if r.hasRef {
			o.Wanted[0], o.Wanted[1] = uvOf(sum[r.ref[0]], sum[r.ref[1]], sum[r.ref[2]])
		}
	case Ambient:
		o.Predicted = 1 / (1 + math.Exp2(-v))
		lo, hi = oddsRange(t.Lo, t.Hi)
	case Reading:
		o.Predicted -= r.ca * (cam[dialA] - m.dial[dialA].now) // the reading itself
	}
	switch {
	case v > hi:
		o.Residual = q.Stops((v - hi) / r.per)
	case v < lo:
		o.Residual = q.Stops((v - lo) / r.per)
	}
	return o
}
