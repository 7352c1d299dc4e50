package diag

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// TestNarrowExcerpt: in a terminal of 60 columns a long line of the file is cut to them, and the
// mark still stands under the place.
func TestNarrowExcerpt(t *testing.T) {
	src := strings.Repeat("a", 60) + "here" + strings.Repeat("b", 90)
	l := List{{Severity: Error, Text: "x", Pos: Pos{File: "f", Line: 12, Col: 61, Len: 4, Source: src}}}
	lines := strings.Split(l.TextIn(48), "\n")
	if n := utf8.RuneCountInString(lines[1]); n > 60 {
		t.Errorf("%d columns: %q", n, lines[1])
	}
	if at := strings.Index(lines[2], "^"); at < 0 || !strings.HasPrefix(string([]rune(lines[1])[at:]), "here") {
		t.Errorf("the mark of %q stands not under it in %q", lines[2], lines[1])
	}
}
