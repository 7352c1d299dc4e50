package yamltext

import "testing"

// Every value that a path finds is found again at its own place.
func TestPathAt(t *testing.T) {
	src := "a: 1\nroom:\n  windows:\n    - {name: one, from: 2 m}   # the first\n    - name: two\n      wall 1.5: " +
		"x\n  at: [1, 2]\nlast:\n"
	doc, l := Parse("t", []byte(src))
	if len(l) > 0 {
		t.Fatal(l)
	}
	for _, path := range []string{"a", "room.windows[0].name", "room.windows[0].from", "room.windows[1].name",
		`room.windows[1]."wall 1.5"`, "room.at[1]", "last"} {
		if doc.Find(path) == nil {
			t.Fatalf("%s is not there", path)
		}
		p := doc.KeyPos(path)
		if got := doc.PathAt(p.Line, p.Col); got != path {
			t.Errorf("line %d column %d is %q, want %q", p.Line, p.Col, got, path)
		}
		if p = doc.Pos(path); path != "last" && doc.PathAt(p.Line, p.Col) != path {
			t.Errorf("the value of %q is said to be of %q", path, doc.PathAt(p.Line, p.Col))
		}
	}
	if got := doc.PathAt(4, 40); got != "" && got != "room" && got != "room.windows" {
		t.Errorf("a comment belongs to %q", got)
	}
	if got := doc.PathAt(99, 1); got != "" {
		t.Errorf("a line that is not there belongs to %q", got)
	}
}

// What Write gives reads back as the same value.
func TestWriteReadsBack(t *testing.T) {
	for _, src := range []string{"{a: 1, b: [x, 'y: z', \"q\\\"r\"], 'c, d': {e: ~, f: 12:30}}", "[[1, 2], [3, 4]]",
		"{t: |-\n    two\n    lines\n}", "{a: {}, b: []}"} {
		one, err := parseValue(src)
		if err != nil {
			continue
		}
		two, err := parseValue(one.Write())
		if err != nil || !Same(one, two) {
			t.Errorf("%s became %s (%v)", src, one.Write(), err)
		}
	}
}
