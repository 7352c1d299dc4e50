package ways

import (
	"strings"
	"testing"

	"halfstop/meter"
)

// TestCoarseSteps: a pack in full stops says so where the nearest is off, and a head in tenths does
// not.
func TestCoarseSteps(t *testing.T) {
	// The nearest full stop is 0.1 st under f/5.6, so 0.4 st or so under this.
	src := strings.Replace(room(t, "bald-rim"), "reads: f/5.6", "reads: f/5.6 + 0.3", 1)
	pack := strings.Replace(src, "heads: [{name: battery head 200, have: 3}]",
		"heads: [{name: battery head 200, have: 3}, {name: old pack head, like: battery head 200, step: 1 st, "+
			"have: 1}]", 1)
	pack = strings.Replace(pack, "role: key, head: battery head 200", "role: key, head: old pack head", 1)
	if pack == src {
		t.Fatal("the room has changed")
	}
	for _, c := range []struct {
		text string
		said bool
	}{{pack, true}, {src, false}} {
		b := balanced(t, jobOf(t, c.text), meter.Work{Seed: 1, Error: 0.05})
		found := false
		for _, x := range b.causes(0) {
			found = found || x.Kind == Coarse && strings.Contains(x.Words,
				"key moves in full stops, and the nearest is")
		}
		if found != c.said {
			t.Errorf("%v: %+v, %+v", c.said, b.Solution.Targets[0], b.causes(0))
		}
	}
}
