package balance

import (
	"cmp"
	"context"
	"math"
	"slices"

	q "halfstop/quantity"
)

// WayKind names the sort of change; the caller may add its own words.
type WayKind string

// Keep is the way that changes nothing; it is always on the list.
const Keep WayKind = "keep"

// Candidate is one change to try: a problem that is already re-traced where it had to be, and what the change costs beside
// the look. Its targets must be those of the base problem, in the same order.
type Candidate struct {
	Kind   WayKind
	Words  string // 'bring the accent head in, from 2.15 to 1.38 m'
	Detail string

	Problem Problem
	Make    func(ctx context.Context) (Problem, error) // instead of Problem, where it takes time; an error drops the candidate
	GiveUp  []int                                      // targets that are not balanced for; their misses still count

	Softness float64 // width of the shadow edge on the face against now; zero means 1, no change
	// SoftnessOf is asked instead once the candidate is made; may be nil.
	SoftnessOf func() float64
	Extra      q.Stops   // what the picture loses beside: noise, depth, movement
	Minutes    q.Minutes // of work
	Who        string
	Needs      []string // kit beyond what stands in the setup
	Taken      []string // those of Needs that are not free in this setup or the next
}

// Way is a candidate balanced and scored.
type Way struct {
	Kind          WayKind
	Words, Detail string
	Candidate     int // index, −1 for Keep
	Solution      Solution

	StillShort q.Stops // Σ weight × |miss| over the targets that the base misses
	Others     q.Stops // largest move of a target that the base meets, signed
	OthersAt   int     // which target that is, or −1
	DeltaE     float64 // largest colour difference at a point of the targets, levels made equal
	DeltaEAt   int     // which point, or −1
	Softness   float64
	Minutes    q.Minutes
	Who        string
	Needs      []string
	Taken      []string

	Look  q.Stops // what the picture loses, all of the above except minutes and kit brought to stops by Taste
	Score q.Stops // Look plus minutes by Taste: the order of the list
}

// Taste holds the exchange rates between things that have none. All are judgement: common practice, no source.
type Taste struct {
	Must, Nice float64 // weight of a stop missed by a must and a nice, against a want
	Other      float64 // stops for each stop that a met target moves inside its tolerance or beyond
	DeltaE     float64 // stops for one ΔE2000
	Softness   float64 // stops for a doubling or halving of the shadow edge
	Minute     float64 // stops for a minute of work
	Taken      float64 // stops for each piece of kit that is not free
}

// DefaultTaste: ΔE2000 of 2 is just visible side by side, and is put at a tenth of a stop. Ten minutes are
// put at half a stop: an hour with three setups leaves five for each change (judgement).
var DefaultTaste = Taste{Must: 4, Nice: 0.25, Other: 0.5, DeltaE: 0.05, Softness: 0.4, Minute: 0.05, Taken: 0.5}

// WayOptions are what Evaluate needs beside the candidates.
type WayOptions struct {
	Colour func(before, after [3]float64) float64 // ΔE2000 of two picture XYZ of equal luminance; nil: colour is not judged
	Each   func(w Way, done, total int)           // called as each way is found, unranked; may be nil
	Taste  Taste                                  // the zero Taste means DefaultTaste
	Most   int                                    // at most so many ways; zero means 7
}

// Evaluate balances each candidate, scores it against the base as balanced, and returns the ways worth showing, best first:
// at most seven, none of which another beats in look, minutes and kit at once, 'keep it as it is' always among them.
// Cancelling ctx returns the ranking of what was done so far with ctx.Err(). Candidates that cannot be made or do not fit
// the base are left out. Deterministic. Check: TestWays.
func Evaluate(ctx context.Context, base Problem, candidates []Candidate, o WayOptions) ([]Way, error) {
	if o.Taste == (Taste{}) {
		o.Taste = DefaultTaste
	}
	if o.Most == 0 {
		o.Most = 7
	}
	if err := base.Check(); err != nil {
		return nil, err
	}
	sc := &scorer{o: o, base: base, m: compile(base)}
	sc.state, _, _ = find(ctx, sc.m, full)
	sc.sol = sc.m.report(sc.state, 0)
	sc.xyz = sc.m.picture(sc.state)
	keep := sc.score(Candidate{Kind: Keep, Words: "keep it as it is", Who: "nobody"}, -1, sc.m, sc.state)
	ways := []Way{keep}
	report := func(w Way, done int) {
		if o.Each != nil {
			o.Each(w, done, len(candidates))
		}
	}
	report(keep, 0)
	for i, c := range candidates {
		if ctx.Err() != nil {
			break
		}
		w, ok := sc.try(ctx, c, i)
		if !ok {
			continue
		}
		ways = append(ways, w)
		report(w, i+1)
	}
	return rankWays(ways, o.Most), ctx.Err()
}

type scorer struct {
	o     WayOptions
	base  Problem
	m     *mix
	state state
	sol   Solution
	xyz   [][3]float64
}

// try balances one candidate; ok is false where it cannot be made or was cancelled half way.
func (sc *scorer) try(ctx context.Context, c Candidate, i int) (Way, bool) {
	p := c.Problem
	if c.Make != nil {
		var err error
		if p, err = c.Make(ctx); err != nil {
			return Way{}, false
		}
	}
	if p.Check() != nil || len(p.Targets) != len(sc.base.Targets) || len(p.Points) != len(sc.base.Points) {
		return Way{}, false
	}
	m := compile(p)
	for _, t := range c.GiveUp {
		if t >= 0 && t < len(m.rows) {
			m.rows[t].active = false
		}
	}
	s, _, lower := find(ctx, m, full)
	if ctx.Err() != nil {
		return Way{}, false
	}
	w := sc.score(c, i, m, s)
	w.Solution = m.report(s, lower)
	return w, true
}

func (sc *scorer) score(c Candidate, i int, m *mix, s state) Way {
	t := sc.o.Taste
	w := Way{Kind: c.Kind, Words: c.Words, Detail: c.Detail, Candidate: i, OthersAt: -1, DeltaEAt: -1, Solution: m.report(s, 0),
		Softness: c.Softness, Minutes: c.Minutes, Who: c.Who, Needs: c.Needs, Taken: c.Taken}
	if c.SoftnessOf != nil {
		w.Softness = c.SoftnessOf()
	}
	if !(w.Softness > 0) || !finite(w.Softness) {
		w.Softness = 1
	}
	var look float64
	for k, o := range w.Solution.Targets {
		target := sc.base.Targets[k]
		weight := target.Weight
		if weight == 0 {
			weight = 1
		}
		matter := weight
		switch target.Priority {
		case Must:
			matter *= t.Must
		case Nice:
			matter *= t.Nice
		}
		before := sc.sol.Targets[k]
		look += matter * float64(o.Miss)
		if !before.Met {
			w.StillShort += q.Stops(weight) * o.Miss
			continue
		}
		if moved := o.Residual - before.Residual; math.Abs(float64(moved)) > math.Abs(float64(w.Others))+1e-9 {
			w.Others, w.OthersAt = moved, k
		}
	}
	look += t.Other * math.Abs(float64(w.Others))
	if sc.o.Colour != nil {
		w.DeltaE, w.DeltaEAt = sc.colour(m.picture(s))
		look += t.DeltaE * w.DeltaE
	}
	look += t.Softness*math.Abs(math.Log2(w.Softness)) + math.Max(0, float64(c.Extra))
	w.Look = q.Stops(look)
	w.Score = w.Look + q.Stops(t.Minute*float64(w.Minutes)+t.Taken*float64(len(w.Taken)))
	return w
}

// picture returns the picture part of every point, haze included.
func (m *mix) picture(s state) [][3]float64 {
	out := make([][3]float64, len(m.p.Points))
	t := math.Exp2(s.cam[dialT])
	flash := 1.0
	if m.p.Camera.Sync > 0 && !m.synced(t) {
		flash = 0
	}
	for g, k := range s.opt {
		if k == off {
			continue
		}
		pw := math.Exp2(s.lev[g])
		for i, c := range m.p.Lights[g].Options[k].At {
			for x := range 3 {
				out[i][x] += pw * (flash*(c.FlashXYZ[x]+c.FlashVeil[x]) + t*(c.ContinuousXYZ[x]+c.ContVeil[x]))
			}
		}
	}
	return out
}

// colour returns the largest colour difference to the base at a point that a target names, with the level made equal. Points whose colour is
// a target are judged by that; a point that the base misses is meant to change.
func (sc *scorer) colour(xyz [][3]float64) (worst float64, at int) {
	at = -1
	for i := range xyz {
		named, judged := false, false
		for k, t := range sc.base.Targets {
			named = named || t.Point == i
			judged = judged || t.Point == i && (t.Kind == Colour || t.Kind == Warmth || !sc.sol.Targets[k].Met)
		}
		if !named || judged || xyz[i][1] <= dark || sc.xyz[i][1] <= dark {
			continue
		}
		if e := sc.o.Colour(sc.xyz[i], scaled(xyz[i], sc.xyz[i][1]/xyz[i][1])); e > worst+1e-9 {
			worst, at = e, i
		}
	}
	return worst, at
}

// Rank drops what another way beats in look, minutes and kit at once, orders by score and keeps the best most, 'keep' among them.
func Rank(ways []Way, most int) []Way { return rankWays(ways, most) }

// rankWays drops what another way beats in look, minutes and kit at once, orders by score and keeps the best most.
func rankWays(ways []Way, most int) []Way {
	var out []Way
	for i, w := range ways {
		beaten := false
		for j, v := range ways {
			if i != j && beats(v, w, j < i) {
				beaten = true
				break
			}
		}
		if !beaten || w.Kind == Keep {
			out = append(out, w)
		}
	}
	slices.SortStableFunc(out, func(a, b Way) int {
		return cmp.Or(cmp.Compare(a.Score, b.Score), cmp.Compare(a.Minutes, b.Minutes), cmp.Compare(a.Candidate, b.Candidate))
	})
	if len(out) <= most {
		return out
	}
	cut := out[:most:most]
	if !slices.ContainsFunc(cut, func(w Way) bool { return w.Kind == Keep }) {
		cut[most-1] = out[slices.IndexFunc(out, func(w Way) bool { return w.Kind == Keep })]
	}
	return cut
}

// beats says whether v is as good as w in everything and better in something; of two equals the first stays.
func beats(v, w Way, first bool) bool {
	const st, min = 0.03, 0.05 // under what is shown
	if v.Look > w.Look+st || v.Minutes > w.Minutes+min || len(v.Taken) > len(w.Taken) || len(v.Needs) > len(w.Needs) {
		return false
	}
	better := v.Look < w.Look-st || v.Minutes < w.Minutes-min || len(v.Taken) < len(w.Taken) || len(v.Needs) < len(w.Needs)
	return better || first
}
