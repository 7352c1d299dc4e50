package server

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"halfstop/internal/demo"
	"halfstop/internal/store"
	"halfstop/yamltext"
)

const mergeBase = "halfstop: 1\nroom:\n  ceiling: 2.75 m   # measured\n  windows:\n    - {name: one, wall: 1, " +
	"from: 1 m, width: 1 m}\n    - {name: two, wall: 2, from: 1 m, width: 1 m}\nsetups:\n  - name: A\n    " +
	"lights:\n      - {role: key, power: 1/8}\n"

func TestMergeTexts(t *testing.T) {
	swap := func(pairs ...string) string {
		s := mergeBase
		for i := 0; i < len(pairs); i += 2 {
			if !strings.Contains(s, pairs[i]) {
				t.Fatalf("%q is not in the base", pairs[i])
			}
			s = strings.Replace(s, pairs[i], pairs[i+1], 1)
		}
		return s
	}
	for _, c := range []struct{ name, ours, theirs, want string }{
		{"one line of ours, another of theirs", swap("2.75 m", "3 m"), swap("2.75 m", "4 m", "1/8", "1/4"),
			swap("2.75 m", "3 m", "1/8", "1/4")},
		{"a change in what was deleted", swap("    - {name: two, wall: 2, from: 1 m, width: 1 m}\n", ""),
			swap("name: two, wall: 2", "name: two, wall: 3", "2.75 m", "3 m"),
			swap("    - {name: two, wall: 2, from: 1 m, width: 1 m}\n", "", "2.75 m", "3 m")},
		{"two remarks at one place", mergeBase + "# ours\n", mergeBase + "# theirs\n", mergeBase + "# ours\n"},
		{"two new keys of one name: together they are no text",
			swap("ceiling: 2.75 m   # measured\n", "ceiling: 2.75 m   # measured\n  skirting: 0.1 m\n"),
			swap("halfstop: 1\nroom:\n", "halfstop: 1\nroom:\n  skirting: 0.2 m\n"),
			swap("ceiling: 2.75 m   # measured\n", "ceiling: 2.75 m   # measured\n  skirting: 0.1 m\n")},
	} {
		got := overTexts("t", []byte(mergeBase), []byte(c.ours), []byte(c.theirs))
		if string(got) != c.want {
			t.Errorf("ours over theirs, %s:\n%s\nwant\n%s", c.name, got, c.want)
		}
	}
	for _, c := range []struct{ name, ours, theirs, want string }{
		{"far apart", swap("2.75 m", "3 m"), swap("1/8", "1/4"), swap("2.75 m", "3 m", "1/8", "1/4")},
		{"lines next to each other", swap("name: one, wall: 1, from: 1 m", "name: one, wall: 1, from: 2 m"),
			swap("name: two, wall: 2", "name: two, wall: 3"), swap("name: one, wall: 1, from: 1 m",
				"name: one, wall: 1, from: 2 m", "name: two, wall: 2", "name: two, wall: 3")},
		{"two settings of one line", swap("role: key, power: 1/8", "role: key, power: 1/4"),
			swap("role: key,", "role: main,"), swap("role: key, power: 1/8", "role: main, power: 1/4")},
		{"one setting", swap("1/8", "1/4"), swap("1/8", "1/2"), ""},
		{"the same change", swap("1/8", "1/4"), swap("1/8", "1/4"), swap("1/8", "1/4")},
		{"a comment of theirs", swap("2.75 m", "3 m"), swap("power: 1/8}", "power: 1/8}   # dialled in"),
			swap("2.75 m", "3 m", "power: 1/8}", "power: 1/8}   # dialled in")},
		{"a change in what the other deleted", swap("    - {name: two, wall: 2, from: 1 m, width: 1 m}\n", ""),
			swap("name: two, wall: 2", "name: two, wall: 3"), ""},
		{"a new entry and a changed one",
			swap("width: 1 m}\nsetups", "width: 1 m}\n    - {name: three, wall: 3, from: 1 m, width: 1 m}\nsetups"),
			swap("name: one, wall: 1", "name: one, wall: 4"),
			swap("width: 1 m}\nsetups", "width: 1 m}\n    - {name: three, wall: 3, from: 1 m, width: 1 m}\nsetups",
				"name: one, wall: 1", "name: one, wall: 4")},
		{"two new keys of one name",
			swap("ceiling: 2.75 m   # measured\n", "ceiling: 2.75 m   # measured\n  skirting: 0.1 m\n"),
			swap("halfstop: 1\nroom:\n", "halfstop: 1\nroom:\n  skirting: 0.2 m\n"), ""},
		{"two remarks at one place", mergeBase + "# ours\n", mergeBase + "# theirs\n", ""},
		{"a draft of ours", swap("2.75 m", "[2.75"), swap("1/8", "1/4"), swap("2.75 m", "[2.75", "1/8", "1/4")},
	} {
		got, ok := mergeTexts("t", []byte(mergeBase), []byte(c.ours), []byte(c.theirs))
		if ok != (c.want != "") || ok && string(got) != c.want {
			t.Errorf("%s: ok %v\n%s\nwant\n%s", c.name, ok, got, c.want)
		}
	}
}

// Random pairs of changes of the demonstration: whatever is merged says both, and never anything
// else.
func TestMergeSaysBoth(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	base := demo.Shoot()
	doc, _ := yamltext.Parse("t", base)
	var paths []string
	var walk func(n *yamltext.Node, path string)
	walk = func(n *yamltext.Node, path string) {
		if n.Kind == yamltext.Scalar && path != "" {
			paths = append(paths, path)
		}
		for i, v := range n.Items {
			walk(v, fmt.Sprintf("%s[%d]", path, i))
		}
		for _, f := range n.Fields {
			walk(f.Value, yamltext.Join(path, f.Key.Text))
		}
	}
	walk(doc.Root, "")
	merged := 0
	for range 60 {
		a, b := paths[r.IntN(len(paths))], paths[r.IntN(len(paths))]
		ours, err1 := editedText(base, []Edit{{Set: a, Value: "ours"}})
		theirs, err2 := editedText(base, []Edit{{Set: b, Value: "theirs"}})
		if err1 != nil || err2 != nil {
			continue
		}
		got, ok := mergeTexts("t", base, ours, theirs)
		if ok != (a != b) {
			t.Errorf("%s and %s: merged %v", a, b, ok)
			continue
		}
		if !ok {
			continue
		}
		merged++
		want, _ := editedText(theirs, []Edit{{Set: a, Value: "ours"}})
		if !yamltext.Same(rootOf("t", got), rootOf("t", want)) {
			t.Errorf("%s and %s: the merged text says something else", a, b)
		}
	}
	if merged < 20 {
		t.Errorf("only %d pairs were merged", merged)
	}
}

// A change on disk that touches something else than an unsaved change here is joined with it, as a
// step of its own; one that touches the same is offered. Either way nothing is lost.
func TestDiskIsMerged(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	c.s.book.mu.Lock()
	c.s.book.saveGap = time.Hour // ours stays unsaved
	c.s.book.mu.Unlock()
	st := ask[State](c, 200, "POST", "/api/edit", Change{Revision: c.state().Revision, Name: "date",
		Edits: []Edit{{Set: "shoot.date", Value: "2026-03-14"}}})
	theirs := strings.Replace(small, "Bench", "Elsewhere", 1)
	if err := os.WriteFile(c.s.book.file.Path, []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	text := "" // a write is no single step: half of the file may have been seen first
	until(t, "the change is joined", func() bool {
		st = c.state()
		text = ask[TextView](c, 200, "GET", "/api/text", nil).Text
		return st.Undo == "from disk" && strings.Contains(text, "Elsewhere")
	})
	if !strings.Contains(text, "2026-03-14") || !strings.Contains(text, "Elsewhere") || st.Disk != nil {
		t.Fatalf("%s\n%+v", text, st.Disk)
	}
	if err := c.s.book.save(); err != nil || c.disk() != text {
		t.Errorf("the joined text is not in the file: %v", err)
	}
	st = ask[State](c, 200, "POST", "/api/undo", Step{c.state().Revision})
	if text = ask[TextView](c, 200, "GET", "/api/text", nil).Text; !strings.Contains(text, "Bench") ||
		!strings.Contains(text, "2026-03-14") {
		t.Error("undo does not give ours back")
	}
}

// A whole text made from an older one is joined with what another page did since; the same lines
// are refused.
func TestTextIsMerged(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	base := ask[TextView](c, 200, "GET", "/api/text", nil)
	ask[State](c, 200, "POST", "/api/edit", Change{Revision: base.Revision, Name: "date",
		Edits: []Edit{{Set: "shoot.date", Value: "2026-03-14"}}})
	mine := strings.Replace(base.Text, "Bench", "Mine", 1)
	ask[State](c, 200, "PUT", "/api/text", TextChange{Revision: base.Revision, Base: &base.Text, Text: mine})
	if text := ask[TextView](c, 200, "GET", "/api/text", nil).Text; !strings.Contains(text, "Mine") ||
		!strings.Contains(text, "2026-03-14") {
		t.Error(text)
	}
	other := strings.Replace(base.Text, "Bench", "Other", 1)
	if p := ask[Problem](c, 409, "PUT", "/api/text", TextChange{Revision: base.Revision, Base: &base.Text,
		Text: other}); p.State == nil {
		t.Error("the refusal brings no state")
	}
}

// A change that was taken is not taken again, also after a kill.
func TestTakenOnce(t *testing.T) {
	journals, shoot := t.TempDir(), onDisk(t, small)
	c := start(t, Options{Shoot: shoot, Journals: journals})
	add := Change{Revision: c.state().Revision, ID: "page-1", Name: "add",
		Edits: []Edit{{Append: "setups[0].points", Value: "{name: extra, at: [0, 0, 1]}"}}}
	st := ask[State](c, 200, "POST", "/api/edit", add)
	if again := ask[State](c, 200, "POST", "/api/edit", add); again.Revision != st.Revision {
		t.Error("sent twice, taken twice")
	}
	file := absolute(shoot.Path)
	j, _, err := openJournal(store.OS, journalIn(journals, file), file, c.s.Address, []byte(small), false)
	if err != nil || len(j.taken) != 1 || j.taken[0] != "page-1" {
		t.Fatalf("%v %+v", err, j)
	}
	j.close()
	k, _, err := openJournal(store.OS, journalIn(journals, file), file, c.s.Address, []byte(small), false)
	if err != nil || len(k.taken) != 1 {
		t.Errorf("a journal written anew forgets what was taken: %v", err)
	}
	k.close()
}

// What a killed run left unsaved and what another program wrote meanwhile are joined at the next
// start.
func TestKilledThenMerged(t *testing.T) {
	shoot, journals := onDisk(t, small), t.TempDir()
	killed(t, shoot.Path, journals, func(c *client) {
		c.edit("date", "",
			Edit{Set: "shoot.date", Value: "2026-03-14"})
	})
	theirs := strings.Replace(small, "power: 1/8", "power: 1/4", 1)
	if err := os.WriteFile(shoot.Path, []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	again, _ := store.Read(shoot.Path, nil)
	c := start(t, Options{Shoot: again, Journals: journals})
	st := c.state()
	text := ask[TextView](c, 200, "GET", "/api/text", nil).Text
	if st.Disk != nil || st.Undo != "from disk" || !strings.Contains(text, "2026-03-14") ||
		!strings.Contains(text, "1/4") {
		t.Fatalf("%+v\n%s", st, text)
	}
	until(t, "both are in the file", func() bool { return c.disk() == text })
	// Another kill and start: nothing is asked, nothing comes twice.
	c.stop()
	once, _ := store.Read(shoot.Path, nil)
	d := start(t, Options{Shoot: once, Journals: journals})
	if x := ask[TextView](d, 200, "GET", "/api/text", nil); x.Text != text || d.state().Disk != nil {
		t.Error(x.Text)
	}
}

// A place in a list means the entry that stood there when it was looked at, whatever another page
// did meanwhile.
func TestEditOfAnOlderRevision(t *testing.T) {
	two := strings.Replace(small, "    points:\n",
		"      - {role: fill, head: battery head 500, at: [2.5, 1], height: 2 m, aim: [2, 4, 1.2], power: 1/16}\n "+
			"   points:\n", 1)
	c := start(t, Options{Shoot: onDisk(t, two)})
	seen := c.state().Revision
	ask[State](c, 200, "POST", "/api/edit", Change{Revision: seen, Name: "remove key",
		Edits: []Edit{{Delete: "setups[0].lights[0]"}}})
	ask[State](c, 200, "POST", "/api/edit", Change{Revision: seen, Name: "set fill",
		Edits: []Edit{{Set: "setups[0].lights[1].power", Value: "1/4"}}})
	text := ask[TextView](c, 200, "GET", "/api/text", nil).Text
	if strings.Contains(text, "role: key") || !strings.Contains(text, "height: 2 m, aim: [2, 4, 1.2], power: 1/4}") {
		t.Error(text)
	}
	// The very light that is gone: both touch it.
	ask[Problem](c, 409, "POST", "/api/edit", Change{Revision: seen, Name: "set key",
		Edits: []Edit{{Set: "setups[0].lights[0].power", Value: "1/2"}}})
}
