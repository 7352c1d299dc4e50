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

// Keep changes nothing at all; Balanced is the look as balanced and nothing else. Both are always
// on the list (Balanced where it differs).
const (
	Keep     WayKind = "keep"
	Balanced WayKind = "balanced"
)

// Candidate is one change to try: a problem that is already re-traced where it had to be, and what
// the change costs beside the look. Its targets must be those of the base problem, in the same
// order.
type Candidate struct {
	Kind   WayKind
	Words  string // 'bring the accent head in, from 2.15 to 1.38 m'
	Detail string

	Problem Problem
	// instead of Problem, where it takes time; an error drops the candidate
	Make func(ctx context.Context) (Problem, error)

	Softness float64 // width of the shadow edge on the face against now; zero means 1, no change
	// SoftnessOf is asked instead once the candidate is made; may be nil.
	SoftnessOf func() float64
	Extra      float64 // loss that the picture has beside: another pattern, a catchlight lost
	// ExtraOf is the same where it depends on the settings found; may be nil.
	ExtraOf func(sol Solution) float64
	Minutes q.Minutes // of work
	Who     string
	Needs   []string // kit beyond what stands in the setup
	Taken   []string // those of Needs that are not free in this setup or the next
}

// Way is a candidate balanced and scored.
type Way struct {
	Kind          WayKind
	Words, Detail string
	Candidate     int // index, −1 for Keep
	Solution      Solution

	StillShort q.Stops // Σ |miss| over all targets, tolerances taken off
	Others     q.Stops // largest move of a target that the base meets, signed
	OthersAt   int     // which target that is, or −1
	DeltaE     float64 // largest colour difference at a point of the targets, levels made equal
	DeltaEAt   int     // which point, or −1
	Softness   float64
	Minutes    q.Minutes
	Who        string
	Needs      []string
	Taken      []string

	Look  float64 // loss of the picture and of the means by Solve's objective, with softness and colour
	Score float64 // Look with minutes and kit by Taste: the order of the list
}

// Taste holds the exchange rates between things that have none, in units of loss (see loss.go). All
// are judgement: common practice, no source.
type Taste struct {
	DeltaE   float64 // for one ΔE2000 over 1
	Softness float64 // for a doubling or halving of the shadow edge
	Minute   float64 // for a minute of work
	Taken    float64 // for each piece of kit that is not free
}

// DefaultTaste: ten minutes are put at what 0.75 stops of a want beyond its tolerance count; an
// hour with three setups leaves five for each change (judgement).
var DefaultTaste = Taste{DeltaE: 0.1, Softness: 0.5, Minute: 0.08, Taken: 1.5}

// WayOptions are what a Scorer needs beside the candidates.
type WayOptions struct {
	// ΔE2000 of two picture XYZ of equal luminance; nil: colour is not judged
	Colour func(before, after [3]float64) float64
	Taste  Taste     // the zero Taste means DefaultTaste
	Touch  q.Minutes // what changing one setting takes
	Who    string    // who changes settings
}

// Scorer balances candidates and scores them by the objective of Solve against one base. Several
// goroutines may call its methods.
type Scorer struct {
	o    WayOptions
	base Problem
	m    *compiled
	at   state // the base as balanced
	sol  Solution
	xyz  [][3]float64
}

// NewScorer balances the base.
func NewScorer(ctx context.Context, base Problem, o WayOptions) (*Scorer, error) {
	if o.Taste == (Taste{}) {
		o.Taste = DefaultTaste
	}
	if err := base.Check(); err != nil {
		return nil, err
	}
	sc := &Scorer{o: o, base: base, m: compile(base)}
	s, h := find(ctx, sc.m, full)
	sc.at, sc.sol = s, sc.m.report(s)
	sc.sol.Tried, sc.sol.Proven = h.tried, h.all
	sc.xyz = sc.m.picture(s)
	return sc, nil
}

// Keep is the base with nothing changed at all.
func (sc *Scorer) Keep() Way {
	return sc.score(Candidate{Kind: Keep, Words: "keep it as it is", Who: "nobody"}, -1, sc.m, sc.m.present())
}

// Balanced is the base as balanced; ok is false where that is the base as it is.
func (sc *Scorer) Balanced() (w Way, ok bool) {
	if sc.sol.Changed == 0 {
		return Way{}, false
	}
	c := Candidate{Kind: Balanced, Words: "balanced, nothing else", Minutes: sc.o.Touch * q.Minutes(sc.sol.Changed),
		Who: sc.o.Who}
	return sc.score(c, -1, sc.m, sc.at), true
}

// Try balances one candidate; ok is false where it cannot be made, does not fit the base, or was
// cancelled half way. Rough does a tenth of the work, for screening.
func (sc *Scorer) Try(ctx context.Context, c Candidate, i int, rough bool) (Way, bool) {
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
	m.judge(sc.m)
	m.purposes()
	e := full
	if e.work /= 3; rough {
		e = effort{tries: 8, work: 4e5, perturbations: 6, few: 1}
	}
	s, _ := find(ctx, m, e)
	if ctx.Err() != nil {
		return Way{}, false
	}
	if n := m.report(s).Changed; n > 0 {
		c.Minutes += sc.o.Touch * q.Minutes(n)
	}
	return sc.score(c, i, m, s), true
}

func (sc *Scorer) score(c Candidate, i int, m *compiled, s state) Way {
	t := sc.o.Taste
	w := Way{Kind: c.Kind, Words: c.Words, Detail: c.Detail, Candidate: i, OthersAt: -1, DeltaEAt: -1,
		Solution: m.report(s),
		Softness: c.Softness, Minutes: c.Minutes, Who: c.Who, Needs: c.Needs, Taken: c.Taken}
	if c.SoftnessOf != nil {
		w.Softness = c.SoftnessOf()
	}
	if !(w.Softness > 0) || !finite(w.Softness) {
		w.Softness = 1
	}
	w.Look = w.Solution.Means + c.Extra
	if c.ExtraOf != nil {
		w.Look += c.ExtraOf(w.Solution)
	}
	sum := make([]float64, m.channels)
	m.sums(s, sum)
	for k, o := range w.Solution.Targets {
		r := m.rows[k]
		base := &sc.m.rows[k] // the same measure for all
		by := r.lo - base.lo  // a filter on the lens takes the reading along that is rightly exposed
		r.loss, r.fromLo, r.toHi = base.loss, base.fromLo+by, base.toHi+by
		w.Look += r.cost(m.value(&r, sum, &s.cam))
		w.StillShort += o.Miss
		before := sc.sol.Targets[k]
		if moved := o.Residual - before.Residual; before.Met &&
			math.Abs(float64(moved)) > math.Abs(float64(w.Others))+1e-9 {
			w.Others, w.OthersAt = moved, k
		}
	}
	if sc.o.Colour != nil && c.Kind != Keep {
		w.DeltaE, w.DeltaEAt = sc.colour(m.picture(s))
		w.Look += t.DeltaE * math.Max(0, w.DeltaE-1)
	}
	w.Look += m.bent(sum, &s.cam) + t.Softness*math.Abs(math.Log2(w.Softness))
	w.Score = w.Look + t.Minute*float64(w.Minutes) + t.Taken*float64(len(w.Taken))
	return w
}

// picture returns the picture part of every point, haze included.
func (m *compiled) picture(s state) [][3]float64 {
	out := make([][3]float64, len(m.p.Points))
	t := math.Exp2(s.cam[dialT])
	flash := m.flashPart(t)
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

// colour returns the largest colour difference to the base at a point that a target names, with the
// level made equal. Points whose colour is a target are judged by that; a point that the base
// misses is meant to change.
func (sc *Scorer) colour(xyz [][3]float64) (worst float64, at int) {
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

// Rank drops what another way beats in look, minutes and kit at once, orders by score and keeps the
// best most, Keep and Balanced among them.
func Rank(ways []Way, most int) []Way {
	var out []Way
	for i, w := range ways {
		beaten := false
		for j, v := range ways {
			if i != j && beats(v, w, j < i) {
				beaten = true
				break
			}
		}
		if !beaten || w.Kind == Keep || w.Kind == Balanced {
			out = append(out, w)
		}
	}
	slices.SortStableFunc(out, func(a, b Way) int {
		return cmp.Or(cmp.Compare(a.Score, b.Score), cmp.Compare(a.Minutes, b.Minutes),
			cmp.Compare(a.Candidate, b.Candidate))
	})
	if len(out) <= most {
		return out
	}
	cut := slices.Clone(out[:most])
	for at, k := range []WayKind{Keep, Balanced} {
		is := func(w Way) bool { return w.Kind == k }
		if i := slices.IndexFunc(out, is); i >= most && most > at {
			cut[most-1-at] = out[i]
		}
	}
	return cut
}

// beats says whether v is as good as w in everything and better in something; of two equals the
// first stays.
func beats(v, w Way, first bool) bool {
	const st, min = 0.02, 0.05 // loss and minutes that make no difference
	if v.Look > w.Look+st || v.Minutes > w.Minutes+min || len(v.Taken) > len(w.Taken) || len(v.Needs) > len(w.Needs) {
		return false
	}
	// Another kind of way stays beside it unless it is clearly worse: people choose between kinds.
	if v.Kind != w.Kind && w.Look < v.Look+0.4 && w.Minutes < v.Minutes+5 {
		return false
	}
	better := v.Look < w.Look-st || v.Minutes < w.Minutes-min || len(v.Taken) < len(w.Taken) ||
		len(v.Needs) < len(w.Needs)
	return better || first
}
