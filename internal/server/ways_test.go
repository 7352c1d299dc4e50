package server

import (
	"strings"
	"testing"
)

func TestWays(t *testing.T) {
	// More light than the head has: the look is missed, and there are ways out; one that is taken
	// must parse, and undo.
	c := start(t, Options{Shoot: onDisk(t, strings.Replace(small, "reads: f/4", "reads: f/64", 1))})
	v := ask[WaysView](c, 200, "GET", "/api/setup/0/ways", nil)
	if len(v.Ways.Missed) != 1 || len(v.Takes) == 0 || len(v.Takes) != len(v.Ways.Ways) {
		t.Fatalf("%+v", v)
	}
	taken := 0
	for i, w := range v.Takes {
		if len(w.Edits) == 0 {
			continue // keep it as it is
		}
		st := c.edit(w.Name, "", w.Edits...)
		if st.Draft || st.Undo != w.Name {
			t.Errorf("way %d, %s: %+v", i, w.Name, st.Messages)
		}
		ask[State](c, 200, "POST", "/api/undo", Step{st.Revision})
		taken++
	}
	if taken == 0 {
		t.Error("no way changes anything")
	}
}
