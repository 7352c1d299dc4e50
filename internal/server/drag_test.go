package server

import (
	"bytes"
	"encoding/json"
	"fmt"
	"testing"
	"time"
)

// TestFollow drags a light without a rest, as fast as readings come: each
// reading brings the setup that it is of, small pictures follow, and a
// page that takes no earlier ones is told that its own is stale.
func TestFollow(t *testing.T) {
	c := start(t, Options{})
	in := c.events()
	var key string
	pass := 0
	layers := func(late string) LayersHead {
		res, b := c.do("GET", fmt.Sprintf("/api/setup/0/layers?h=240&once=1&since=%d&key=%s%s", pass, key, late), nil)
		line, rest, _ := bytes.Cut(b, []byte("\n"))
		var head LayersHead
		if err := json.Unmarshal(line, &head); err != nil || res.StatusCode != 200 {
			t.Fatalf("%d %.100q: %v", res.StatusCode, line, err)
		}
		if head.Bytes != len(rest) {
			t.Fatalf("%d bytes follow, the head says %d", len(rest), head.Bytes)
		}
		return head
	}
	layers("")
	await(t, in, "a picture", func(e Event) bool { return e.Kind == "layers" })
	h := layers("")
	key, pass = h.Key, h.Pass
	got := 0
	var stale bool
	for i, end := 0, time.Now().Add(60*time.Second); got < 2; i++ {
		if time.Now().After(end) {
			t.Fatalf("%d pictures in a minute of a drag", got)
		}
		st := c.edit("move key", "drag",
			Edit{Set: "setups[0].lights[0].at", Value: fmt.Sprintf("[4.%02d, 1.05]", 20+i%40)})
		e := await(t, in, "readings",
			func(e Event) bool { return e.Kind == "readings" && e.Revision >= st.Revision && e.Index == 0 })
		if e.View == nil || e.View.Revision != e.Revision {
			t.Fatalf("readings of revision %d came without the setup they are of", e.Revision)
		}
		stale = stale || layers("").End == "stale"
		if h := layers("&late=1"); h.End == "" {
			if h.Pass != 0 || h.Width > handSide || h.Height > handSide || h.Revision <= 1 {
				t.Errorf("pass %d of %d × %d, revision %d: no picture that follows a hand", h.Pass, h.Width, h.Height,
					h.Revision)
			}
			if h.Key == key && h.Pass == pass {
				t.Error("the same picture came twice")
			}
			key, pass = h.Key, h.Pass
			got++
		}
	}
	if !stale {
		t.Error("a page that takes no earlier picture was never told that its own is stale")
	}
	await(t, in, "a picture once the hand rests",
		func(e Event) bool { return e.Kind == "layers" && e.Revision == c.state().Good })
}
