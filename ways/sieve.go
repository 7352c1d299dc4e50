package ways

import (
	"cmp"
	"errors"
	"iter"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"

	"halfstop/balance"
	"halfstop/parallel"
	q "halfstop/quantity"
)

// report keeps a way.
func (f *finder) report(v balance.Way) {
	f.all = append(f.all, v)
	if f.work.Each != nil {
		f.work.Each(f.way(v), f.done, max(f.of, f.done))
	}
}

// refuse notes a way that cannot be here, each once.
func (f *finder) refuse(kind balance.WayKind, words string, why error) {
	if !slices.ContainsFunc(f.out.Refused, func(r Refused) bool { return r.Words == words }) {
		r := Refused{Kind: kind, Words: words, Why: why.Error()}
		if m := (misfit{}); errors.As(why, &m) {
			r.Code = m.Code
		}
		f.out.Refused = append(f.out.Refused, r)
	}
}

// step tells how far the search is.
func (f *finder) step() {
	if f.done++; f.work.Progress != nil {
		f.work.Progress(f.done, max(f.of, f.done))
	}
}

// try tries the changes from one on, as many at once as the work has threads, and keeps them in
// their order.
func (f *finder) try(from int) {
	for i, t := range f.tried(from) {
		f.step()
		if t.ok {
			f.report(t.way)
		}
		if c := f.list[i]; c.cannot != nil && f.ctx.Err() == nil {
			f.refuse(c.kind, c.words, c.cannot)
		}
	}
}

// trial is a change made and balanced.
type trial struct {
	way balance.Way
	ok  bool
}

// tried makes and balances the changes from one on and yields each in its turn.
func (f *finder) tried(from int) iter.Seq2[int, trial] {
	return func(yield func(int, trial) bool) {
		n := len(f.list) - from
		out := make([]chan trial, n)
		for i := range out {
			out[i] = make(chan trial, 1)
		}
		var next atomic.Int64
		var group parallel.Group
		for range min(n, f.threads()) {
			group.Go(func() {
				for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
					var t trial
					if f.ctx.Err() == nil {
						t.way, t.ok = f.score.Try(f.ctx, f.candidate(from+i), from+i, false)
					}
					out[i] <- t
				}
			})
		}
		defer group.Wait()
		for i := range out {
			if t := <-out[i]; !yield(from+i, t) {
				return
			}
		}
	}
}

// threads is how many changes are tried at once.
func (f *finder) threads() int {
	if n := f.work.Meter.Threads; n > 0 {
		return n
	}
	return runtime.GOMAXPROCS(0)
}

// hopeless is by how much a way of the screening loses to the look as balanced before it is given
// up: its whole trace moves its score by less.
const hopeless = 0.5

// sieved are the ways of the screening that may be listed, the best first: those that fit, help a
// missed target, and are beaten neither by the look as balanced nor by another of their kind. Where
// a light cannot stand all that fit are.
func (f *finder) sieved(missed []int) (out []balance.Way) {
	all := slices.Clone(f.all)
	slices.SortStableFunc(all, func(a, b balance.Way) int { return cmp.Compare(a.Score, b.Score) })
	bar := math.Inf(1)
	for _, v := range all {
		if v.Candidate < 0 {
			bar = min(bar, v.Score+hopeless)
		}
	}
	for _, v := range all {
		if v.Candidate < 0 || f.fits(&v) && (len(f.cannot) > 0 || v.Score < bar && f.helps(v, missed)) &&
			!f.halfDoes(v, missed) {
			out = append(out, v)
		}
	}
	if len(f.cannot) == 0 {
		out = balance.Rank(out, len(out))
	}
	return out
}

// finish traces the best of the screening in full and scores them again. What is not traced in full
// is not listed.
func (f *finder) finish(missed []int) {
	var out []balance.Way
	kinds, sets := map[string]int{}, map[*change]int{}
	whole := 0
	for _, v := range f.sieved(missed) {
		if v.Candidate < 0 {
			out = append(out, v)
			continue
		}
		c := f.list[v.Candidate]
		// At most three of a kind for one light and two on one set. Two changes joined push out
		// neither of them alone.
		kind := string(c.kind) + strings.Join(c.layers, ",")
		if c.of[1] != nil {
			kind += "+" + string(c.of[1].kind)
		}
		if kinds[kind] >= 3 {
			continue
		}
		root := c // the traced one of a pair
		if c.root != nil {
			root = c.root
		}
		if root.traced() {
			if sets[root] >= 2 || f.ctx.Err() != nil {
				continue
			}
			if !root.whole {
				if whole == finalists {
					continue
				}
				whole++
				root.whole = true
				for _, set := range v.Solution.Lights {
					root.levels = append(root.levels, pickNumber(!set.Off)*set.Level.Times())
				}
				r, _, err := f.make(f.ctx, root)
				if err != nil {
					continue
				}
				root.rig, root.on = r, r
				f.step()
			}
			if root.on == nil {
				continue
			}
			c.on = root.on
			n, ok := f.score.Try(f.ctx, f.candidate(v.Candidate), v.Candidate, false)
			if !ok {
				continue
			}
			v = n
			sets[root]++
		}
		kinds[kind]++
		out = append(out, v)
	}
	f.all = out
}

// worthwhile is the part of a miss that a way takes away at least (judgement): a crew fetches no
// stand for a quarter of what is missing.
const worthwhile = 0.3

// helps reports whether a way brings a missed target nearer by a tenth of a stop and by what is
// worth the work, or mends it.
func (f *finder) helps(v balance.Way, missed []int) bool {
	for _, t := range missed {
		was, is := f.now.Solution.Targets[t], v.Solution.Targets[t]
		gain := was.Miss - is.Miss
		if was.Unknown {
			gain = q.Stops(math.Abs(float64(was.Residual)) - math.Abs(float64(is.Residual)))
		}
		least := q.Stops(max(0.1, worthwhile*float64(was.Miss)))
		if gain >= 0.1 && (gain >= least || is.Met) {
			return true
		}
	}
	return false
}
