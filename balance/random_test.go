package balance

import (
	"context"
	"math"
	"testing"

	q "halfstop/quantity"
)

// worse says by how much (stops) and in which tier a is worse than b: zero where a is as good or better in the whole
// objective. Tiers that agree within 1e-4 st are passed over. Tier 3 is the changes.
func worse(a, b [4]float64) (tier int, by float64) {
	if total(a) <= total(b) {
		return 0, 0
	}
	for i := range 3 {
		if d := a[i] - b[i]; math.Abs(d) > 1e-4 {
			return i, math.Max(0, d)
		}
	}
	return 3, a[3] - b[3]
}

// solved runs the solver and the second evaluation on its answer; it fails the test for settings off the steps, broken
// locks and predictions that the second evaluation does not share.
func solved(t *testing.T, p Problem) (*slowProblem, Solution, [4]float64) {
	t.Helper()
	sol, err := Solve(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	s := newSlow(p)
	x, ok := s.pickedOf(sol)
	if !ok {
		t.Fatalf("a setting is off the steps or a lock is broken: %+v", sol.Lights)
	}
	for g, l := range p.Lights {
		set := sol.Lights[g]
		if l.Lock && (set.Changed || set.Off != l.Off || !set.Off && (set.Level != l.Level || set.Option != l.Option)) {
			t.Fatalf("light %d is locked at %v, option %d, and was set to %+v", g, l.Level, l.Option, set)
		}
	}
	got := s.score(x)
	for i, v := range [...]float64{sol.Must, sol.Want, sol.Nice} {
		if math.Abs(v-got[i]) > 1e-6*(1+v) {
			t.Fatalf("tier %d: reported %.9g, second evaluation %.9g", i, v, got[i])
		}
	}
	if sol.Bound*p.topRateOf() > 1e6*got[0]+1e3*got[1]+got[2]+1e-3*(1+got[0]) {
		t.Fatalf("proven bound %g lies over what was reached (%v)", sol.Bound, got)
	}
	return s, sol, got
}

func (p Problem) topRateOf() float64 {
	m := &mix{p: p}
	return m.topRate()
}

// tally holds a set of comparisons to two standards. The requirement: the weighted objective lies within 0.02 st (of the
// highest priority in the problem) of the best that the slow method found, in every problem. And beyond it: in all but a
// few problems every single tier lies within 0.02 st, also a 'nice' that weighs a millionth of a 'must'.
type tally struct {
	n, over, tiers int
	spare          int // problems that may miss the first standard, for a stage that is not what Solve does there
	most           float64
}

func (c *tally) add(t *testing.T, name string, trial int, p Problem, got, ref [4]float64) {
	t.Helper()
	c.n++
	tier, by := worse(got, ref)
	if tier < 3 && by > 0.02 {
		c.tiers++
		t.Logf("%s %d: got %.4f, the slow method found %.4f (tier %d, %.4f st)", name, trial, got, ref, tier, by)
	}
	short := (total(got) - total(ref)) / p.topRateOf()
	c.most = math.Max(c.most, short)
	if short > 0.02 {
		c.over++
		complain := t.Errorf
		if c.over <= c.spare {
			complain = t.Logf
		}
		complain("%s %d: %.4f st behind in the weighted objective: got %.4f, the slow method found %.4f", name, trial, short, got, ref)
	}
}

func (c *tally) end(t *testing.T, name string, share float64) {
	t.Helper()
	t.Logf("%s: %d problems, %d over 0.02 st in the weighted objective (largest %.4f), %d with some tier over 0.02 st", name, c.n, c.over, c.most, c.tiers)
	if float64(c.tiers) > share*float64(c.n)+1 {
		t.Errorf("%s: %d of %d with a tier over 0.02 st, at most %.0f %% allowed", name, c.tiers, c.n, share*100)
	}
}

// TestAgainstEnumeration compares small problems with the trial of every single combination: the true optimum.
func TestAgainstEnumeration(t *testing.T) {
	n := 250
	if testing.Short() {
		n = 40
	}
	d := dice(1)
	var c tally
	search := tally{spare: n / 100} // Solve tries everything here; the search alone is judged beside it
	moreChange := 0
	for trial := 0; c.n < n; trial++ {
		p := d.problem(1+d.n(5), 1+d.n(4), 1+d.n(12), 1+d.n(4), []float64{0.3, 0.5, 1}[d.n(3)], d.yes(0.25))
		if len(p.Points) < 2 {
			p.Points = append(p.Points, Point{})
			for g := range p.Lights {
				for k := range p.Lights[g].Options {
					at := p.Lights[g].Options[k].At
					p.Lights[g].Options[k].At = append(at, at[0])
				}
			}
		}
		if newSlow(p).size() > 25000 {
			continue
		}
		s, _, got := solved(t, p)
		_, ref := s.enumerate()
		c.add(t, "small", trial, p, got, ref)
		search.add(t, "small, searched", trial, p, s.searched(t), ref)
		if tier, _ := worse(got, ref); tier == 3 {
			moreChange++
		}
	}
	search.end(t, "small, by search alone", 0.02)
	c.end(t, "small", 0)
	if moreChange > 0 {
		t.Errorf("%d met alike with more changes than needed", moreChange)
	}
}

// searched is what the search finds when it may not try everything.
func (s *slowProblem) searched(t *testing.T) [4]float64 {
	t.Helper()
	e := full
	e.few = 0
	m := compile(s.p)
	st, _, _ := find(context.Background(), m, e)
	x, ok := s.pickedOf(m.report(st, 0))
	if !ok {
		t.Fatal("off the steps")
	}
	return s.score(x)
}

// TestPlanted makes problems whose every target can be met, by reading the targets off hidden settings: the optimum is
// known to be no miss at all, whatever the size.
func TestPlanted(t *testing.T) {
	n := 150
	if testing.Short() {
		n = 25
	}
	d := dice(2)
	var c tally
	for trial := range n {
		p := d.problem(2+d.n(10), 1+d.n(12), 1+d.n(20), 1+d.n(8), 0.1, d.yes(0.3))
		s := newSlow(p)
		x := s.first()
		for i, k := range s.dims() {
			*x.at(i) = d.n(k)
		}
		s.plant(x)
		_, _, got := solved(t, s.p)
		c.add(t, "planted", trial, s.p, got, [4]float64{})
	}
	c.end(t, "planted", 0.08)
}

// plant moves every target to what the settings x give.
func (s *slowProblem) plant(x picked) {
	for i := range s.p.Targets {
		w := &s.p.Targets[i]
		if w.Kind == Colour || math.IsInf(w.Lo, 0) || math.IsInf(w.Hi, 0) {
			// widen until it holds
			for s.missOf(x, i) > 0 {
				switch {
				case w.Kind == Colour:
					w.Within *= 1.3
				case math.IsInf(w.Lo, 0):
					w.Hi += 0.3
				default:
					w.Lo -= 0.3
				}
			}
			continue
		}
		if w.Kind == Ambient {
			w.Lo, w.Hi = 0, 1
			continue
		}
		w.Within = math.Max(w.Within, 0.05*w.Kind.UnitPerStop())
		lo, hi := -60.0*w.Kind.UnitPerStop(), 60*w.Kind.UnitPerStop()
		for range 80 { // the miss is least where the target is what the settings give
			a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
			w.Lo, w.Hi = a, a
			ma := s.missOf(x, i)
			w.Lo, w.Hi = b, b
			if ma < s.missOf(x, i) {
				hi = b
			} else {
				lo = a
			}
		}
		w.Lo, w.Hi = (lo+hi)/2, (lo+hi)/2
	}
}

func (s *slowProblem) missOf(x picked, i int) float64 {
	one := *s
	one.p.Targets = s.p.Targets[i : i+1]
	v := one.score(x)
	return v[0] + v[1] + v[2]
}

// TestCoherent takes looks that a person could mean: most targets agree with some settings, a quarter of them has been
// pushed up to three stops away. The slow method starts from those settings, which the solver does not know.
func TestCoherent(t *testing.T) {
	n := 150
	if testing.Short() {
		n = 10
	}
	d := dice(5)
	var c tally
	for trial := range n {
		p := d.problem(2+d.n(10), 2+d.n(11), 2+d.n(19), 8, 0.1, d.yes(0.3))
		s := newSlow(p)
		x := s.first()
		for i, k := range s.dims() {
			*x.at(i) = d.n(k)
		}
		s.plant(x)
		for i := range s.p.Targets {
			if w := &s.p.Targets[i]; d.yes(0.25) && w.Kind != Colour && w.Kind != Ambient {
				push := d.in(-3, 3) * w.Kind.UnitPerStop()
				w.Lo, w.Hi = w.Lo+push, w.Hi+push
			}
		}
		_, _, got := solved(t, s.p)
		_, ref := s.anneal(&d, &x, 1, 9000)
		c.add(t, "coherent", trial, s.p, got, ref)
	}
	c.end(t, "coherent", 0.08)
}

// TestAgainstAnnealing takes targets at random that mostly contradict each other, up to the full size, against a global
// search by other code that is given many times the solver's time.
func TestAgainstAnnealing(t *testing.T) {
	n := 60
	if testing.Short() {
		n = 6
	}
	d := dice(3)
	var c tally
	better := 0
	for trial := range n {
		p := d.problem(2+d.n(9), 2+d.n(11), 2+d.n(19), 8, 0.1, d.yes(0.4))
		s, _, got := solved(t, p)
		_, ref := s.anneal(&d, nil, 2, 14000)
		c.add(t, "wild", trial, p, got, ref)
		if total(got) < total(ref)-1e-3 {
			better++
		}
	}
	c.end(t, "wild", 0.1)
	t.Logf("the solver was better than the slow method in %d", better)
}

// TestOrderDoesNotMatter: the same lights and targets in another order give the same look.
func TestOrderDoesNotMatter(t *testing.T) {
	d := dice(4)
	for trial := range 20 {
		p := d.problem(4, 3, 5, 2, 0.5, false)
		for i := range p.Targets {
			if k := p.Targets[i].Kind; k == LightsRatio || k == SidesRatio {
				p.Targets[i] = LevelAt(0, q.Stops(d.in(-2, 2)))
			}
		}
		_, _, a := solved(t, p)
		r := p
		r.Lights, r.Targets = nil, nil
		for i := range p.Lights {
			r.Lights = append(r.Lights, p.Lights[len(p.Lights)-1-i])
		}
		for i := range p.Targets {
			r.Targets = append(r.Targets, p.Targets[len(p.Targets)-1-i])
		}
		_, _, b := solved(t, r)
		if tier, by := worse(a, b); tier < 3 && by > 0.02 {
			t.Errorf("trial %d: %v against %v in reverse order", trial, a, b)
		}
	}
}

// TestDeterministic: the same problem gives the same answer.
func TestDeterministic(t *testing.T) {
	d := dice(6)
	for range 5 {
		p := d.problem(5, 6, 10, 4, 0.1, true)
		a, _ := Solve(context.Background(), p)
		b, _ := Solve(context.Background(), p)
		for g := range a.Lights {
			if a.Lights[g] != b.Lights[g] {
				t.Fatalf("light %d: %+v and %+v", g, a.Lights[g], b.Lights[g])
			}
		}
	}
}
