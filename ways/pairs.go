package ways

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// mostPairs is how many pairs of changes are tried, mostTraced how many of those that are traced
// again, since both of the two change how light gets about.
const (
	mostPairs  = 12
	mostTraced = 4
)

// pairs joins changes that help alone, two at a time. Where one of the two needs a trace it exists
// already.
func (f *finder) pairs() (out []*change) {
	var good []balance.Way
	bar := math.Inf(1)
	for _, v := range f.all {
		if v.Candidate < 0 {
			bar = min(bar, v.Score)
		}
	}
	for _, v := range f.all {
		// A dial that goes all the way alone is joined too: half of it may do with another.
		dial := v.Kind == "aperture" || v.Kind == "sensitivity"
		if v.Candidate >= 0 && v.Score < bar-0.1 &&
			(v.StillShort > 0.1 || dial) {
			good = append(good, v)
		}
	}
	slices.SortStableFunc(good, func(a, b balance.Way) int { return cmp.Compare(a.Score, b.Score) })
	traced := 0
	for i, v := range good {
		for _, u := range good[i+1:] {
			a, b := f.list[v.Candidate], f.list[u.Candidate]
			if a.window != "" && a.window == b.window { // a pane is covered once
				continue
			}
			if traced < mostTraced && a.traced() && b.traced() && a.apart(b) && b.apart(a) {
				traced++
				c := join(a, b)
				for _, n := range a.needs { // two of a thing must be free
					if len(c.taken) == 0 && slices.Contains(b.needs, n) {
						_, c.taken = (&generator{finder: f}).needsMore(n, 2)
					}
				}
				out = append(out, c)
				continue
			}
			if len(out)-traced >= mostPairs || a.kind == b.kind && (a.kind != "house lights" || a.words == b.words) ||
				a.traced() && b.traced() || a.rig == nil || b.rig == nil {
				continue
			}
			if b.traced() {
				a, b = b, a
			}
			out = append(out, join(a, b))
		}
	}
	return out
}

// halfDoes reports whether a crew does one of the two changes of a joined one and leaves the other:
// alone it mends a target that the two together leave missed, or it is no worse and the two bring
// no missed target nearer by a tenth of a stop more.
func (f *finder) halfDoes(v balance.Way, missed []int) bool {
	of := f.list[v.Candidate].of
	return slices.ContainsFunc(f.all, func(u balance.Way) bool {
		if u.Candidate < 0 || f.list[u.Candidate] != of[0] && f.list[u.Candidate] != of[1] {
			return false
		}
		mends, more := false, false
		for _, t := range missed {
			was, is := &u.Solution.Targets[t], &v.Solution.Targets[t]
			mends = mends || was.Met && !is.Met
			more = more || is.Met && !was.Met || was.Miss-is.Miss >= 0.1
		}
		return mends || u.Score <= v.Score && !more
	})
}

// apart reports whether a change holds as it is told where another is made as well: not two of one
// kind (but two new lights), nor two of one light, nor a place told from the nose of a sitter
// that turns.
func (c *change) apart(o *change) bool {
	moves := c.kind == "turn" || c.kind == "sitter"
	return (c.kind != o.kind || c.kind == "new light") && !moves && !slices.ContainsFunc(c.layers, func(l string) bool {
		return slices.Contains(o.layers, l)
	})
}

// join makes one change of two. Where both need a trace the new one has none yet, else it stands on
// that of the first.
func join(a, b *change) *change {
	c := &change{of: [2]*change{a, b}, kind: a.kind,
		words: b.words + ", and " + a.words, detail: a.detail, action: a.action,
		more: a.more + b.more + minutesOf(b.action).minutes, extra: a.extra + b.extra,
		flash: a.flash || b.flash, white: max(a.white, b.white), layers: a.layers, everything: a.everything,
		needs: slices.Concat(a.needs, b.needs), taken: slices.Concat(a.taken, b.taken), on: a.rig, root: a,
		offs: slices.Concat(a.offs, b.offs), edits: slices.Concat(a.edits, b.edits), adds: slices.Concat(a.adds,
			b.adds), deletes: slices.Concat(a.deletes, b.deletes)}
	if b.detail != "" && !strings.Contains(a.detail, b.detail) {
		c.detail = strings.TrimPrefix(c.detail+"; "+b.detail, "; ")
	}
	if b.traced() {
		c.on, c.root, c.everything = nil, nil, a.everything || b.everything
		c.layers = slices.Concat(a.layers, b.layers)
	}
	applyA, applyB, tuneA, tuneB := a.apply, b.apply, a.tune, b.tune
	roomA, roomB := a.room, b.room
	c.room = func(r *shoot.Room) {
		if roomA != nil {
			roomA(r)
		}
		if roomB != nil {
			roomB(r)
		}
	}
	c.apply = func(s *shoot.Setup) {
		if applyA != nil {
			applyA(s)
		}
		if applyB != nil {
			applyB(s)
		}
	}
	c.tune = func(r *rig, p *balance.Problem) {
		if tuneA != nil {
			tuneA(r, p)
		}
		if tuneB != nil {
			tuneB(r, p)
		}
	}
	c.tell, c.costs = b.tell, b.costs
	if a.tell != nil {
		first, second := a.tell, b.tell
		c.tell = func(sol balance.Solution) string {
			if second == nil {
				return first(sol)
			}
			return strings.Trim(first(sol)+"; "+second(sol), "; ")
		}
	}
	if a.costs != nil {
		first, second := a.costs, b.costs
		c.costs = func(sol balance.Solution) (sum float64) {
			if second != nil {
				sum = second(sol)
			}
			return sum + first(sol)
		}
	}
	if a.write != nil || b.write != nil {
		first, second := a.write, b.write
		c.write = func(sol balance.Solution) (out []yamltext.Edit) {
			if first != nil {
				out = append(out, first(sol)...)
			}
			if second != nil {
				out = append(out, second(sol)...)
			}
			return out
		}
	}
	sayA, sayB, wordsA, wordsB := a.say, b.say, a.words, b.words
	c.say = func(r *rig, sol balance.Solution) string {
		x, y := wordsA, wordsB
		if sayA != nil {
			x = sayA(r, sol)
		}
		if sayB != nil {
			y = sayB(r, sol)
		}
		return y + ", and " + x
	}
	return c
}
