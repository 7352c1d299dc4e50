package answer

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/day"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/ways"
)

// litAgain is one setup with its look balanced.
type litAgain struct {
	balanced *ways.Balanced
	facts    meter.Facts
}

// relit is what a stand-in comes to over the setups that take it.
type relit struct {
	name  string
	more  q.Stops // by how much more the worst wish is missed
	words string  // that wish
	edges float64 // of the key's shadow at the nose against now; of what changes most
	iso   [2]q.ISO
	loss  float64 // of the objective, over that of now
}

// StandIns lights every setup in which something is short again, with each of the likeliest things
// of the own kit in its place: built, traced and balanced for its look as any setup is. Instead and
// Cost of an item are then of what keeps the look best. progress (may be nil) counts setups traced.
// An error of ctx leaves what is not done as it was.
func (j *Job) StandIns(ctx context.Context, p *Pack, w meter.Work, progress func(done, of int)) error {
	done, of := 0, 0
	asked := map[int]bool{}
	for _, it := range p.Items {
		for _, s := range it.StandIns {
			for i := range setupsOf(s) {
				of++
				asked[i] = true
			}
		}
	}
	of += len(asked)
	step := func() {
		done++
		if progress != nil {
			progress(done, of)
		}
	}
	now := map[int]*litAgain{}
	for n := range p.Items {
		it := &p.Items[n]
		var all []relit
		for _, s := range it.StandIns {
			r := relit{name: s.Name, edges: 1}
			whole := true
			for i := range setupsOf(s) {
				if now[i] == nil {
					var err error
					if now[i], err = j.lightAgain(ctx, i, nil, w); err != nil {
						return err
					}
					step()
				}
				then, err := j.lightAgain(ctx, i, func(set *shoot.Setup) {
					for _, l := range s.Lights {
						if l[0] == i {
							s.PutIn(it.Group, &set.Lights[l[1]])
						}
					}
				}, w)
				if err != nil {
					return err
				}
				step()
				if now[i].balanced == nil || then.balanced == nil || len(now[i].balanced.Problem.Targets) == 0 {
					whole = false // no look to keep, or a setup that cannot be built with it
					break
				}
				r.add(now[i], then)
			}
			if whole {
				all = append(all, r)
			}
		}
		if len(all) == 0 {
			continue
		}
		// What keeps the look before what does not; then the least change of softness.
		slices.SortStableFunc(all, func(a, b relit) int {
			return cmp.Or(cmp.Compare(max(a.more, balance.Shown), max(b.more, balance.Shown)),
				cmp.Compare(math.Abs(math.Log2(a.edges)), math.Abs(math.Log2(b.edges))), cmp.Compare(a.loss, b.loss))
		})
		it.Instead, it.Cost, it.Solved = all[0].name, all[0].said(), true
	}
	return nil
}

// setupsOf are the setups in which a stand-in is used.
func setupsOf(s day.StandIn) map[int]bool {
	out := map[int]bool{}
	for _, l := range s.Lights {
		out[l[0]] = true
	}
	return out
}

// lightAgain balances a setup, changed or as it is. balanced is nil for one that cannot be built.
func (j *Job) lightAgain(ctx context.Context, setup int, change func(*shoot.Setup), w meter.Work) (*litAgain, error) {
	c := *j
	if change != nil {
		f := *j.File
		f.Setups = slices.Clone(f.Setups)
		s := &f.Setups[setup]
		s.Lights = slices.Clone(s.Lights)
		change(s)
		c.File = &f
	}
	m, _, err := c.Meter(ctx, setup, w)
	if err != nil || m == nil {
		return &litAgain{}, err
	}
	b, err := ways.Balance(ctx, m.Stage, m.Measured)
	return &litAgain{b, m.Facts}, err
}

// add takes one setup as it is and with the stand-in.
func (r *relit) add(now, then *litAgain) {
	was, is := now.balanced.Solution, then.balanced.Solution
	r.loss += is.Loss - was.Loss
	words := then.balanced.Targets()
	for k, o := range is.Targets {
		if more := o.Miss - was.Targets[k].Miss; more > r.more {
			r.more, r.words = more, words[k].Words
		}
	}
	for _, a := range now.facts.Lights {
		for _, b := range then.facts.Lights {
			if a.Name != b.Name || !(a.Penumbra > 0) || !(b.Penumbra > 0) {
				continue
			}
			if e := float64(b.Penumbra / a.Penumbra); math.Abs(math.Log2(e)) > math.Abs(math.Log2(r.edges)) {
				r.edges = e
			}
		}
	}
	if is.ISO > was.ISO && is.ISO > r.iso[1] {
		r.iso = [2]q.ISO{was.ISO, is.ISO}
	}
}

// said tells what a stand-in costs.
func (r *relit) said() string {
	out := []string{"every wish of the look kept as well"}
	if r.more > balance.Shown {
		out[0] = fmt.Sprintf("%s: missed by %.1f st more", r.words, float64(r.more))
	}
	if r.iso[1] > 0 {
		out = append(out, fmt.Sprintf("ISO %g in place of %g", float64(r.iso[1]), float64(r.iso[0])))
	}
	return strings.Join(append(out, day.EdgesSaid(r.edges)), "; ")
}
