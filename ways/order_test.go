package ways

import (
	"testing"

	"halfstop/balance"
	q "halfstop/quantity"
)

// TestClosersFirst: of two ways the one that closes the gap is told first, and not where it wants
// kit that is in use, loses another wish, or takes long where the other takes next to no time
// (common practice, no source).
func TestClosersFirst(t *testing.T) {
	f := &finder{now: &Balanced{}}
	f.now.Solution.Targets = []balance.Outcome{{Met: true}, {Miss: 3.7}}
	way := func(words string, minutes q.Minutes, misses ...q.Stops) (w balance.Way) {
		w.Words, w.Minutes = words, minutes
		for _, m := range misses {
			w.Solution.Targets = append(w.Solution.Targets, balance.Outcome{Miss: m, Met: m == 0})
		}
		return w
	}
	taken := func(w balance.Way) balance.Way { w.Taken = []string{"a head, in use here"}; return w }
	for _, c := range []struct {
		name        string
		early, late balance.Way
		first       string
	}{
		{"a lamp nearer for one stop of four", way("nearer", 3, 0, 2.6), way("head", 7, 0, 0), "head"},
		{"the head is in use", way("nearer", 3, 0, 2.6), taken(way("head", 7, 0, 0)), "nearer"},
		{"the head costs the face half a stop", way("nearer", 3, 0, 2.6), way("head", 7, 0.5, 0), "nearer"},
		{"a dial, and an hour of rigging", way("dial", 0.6, 0, 2), way("rig", 20, 0, 0), "dial"},
		{"most of it by a quick one", way("nearer", 3, 0, 0.9), way("head", 7, 0, 0), "nearer"},
	} {
		list := []balance.Way{c.early, c.late}
		if f.closersFirst(list, []int{1}); list[0].Words != c.first {
			t.Errorf("%s: first is %q, not %q", c.name, list[0].Words, c.first)
		}
	}
}
