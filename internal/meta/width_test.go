package meta

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// The most columns of a line of Go, and of a line that is a comment. A tab counts four.
const widestCode, widestComment = 120, 100

// wide are the most lines that may still be wider, by room. The numbers only fall: what comes under
// the number by a quarter must say so here.
var wide = map[string]int{
	"answer": 80, "balance": 128, "cmd": 60, "content": 20, "day": 11, "daylight": 1, "denoise": 2, "dmx": 2, "internal": 700,
	"kind": 80, "kit": 60, "material": 2, "mesh": 70, "meter": 40, "parallel": 4, "photometry": 6, "render": 20, "sheet": 240,
	"shoot": 145, "stage": 55, "trace": 107, "ways": 78, "yamltext": 83,
}

// TestWidth: lines that fit beside each other on a screen.
func TestWidth(t *testing.T) {
	got := map[string]int{}
	where := map[string]string{}
	for _, s := range sources(t) {
		if s.made {
			continue
		}
		for i, line := range strings.Split(string(s.text), "\n") {
			columns := utf8.RuneCountInString(line) + 3*strings.Count(line, "\t")
			if columns > widestCode || columns > widestComment && strings.HasPrefix(strings.TrimSpace(line), "//") {
				got[s.room]++
				where[s.room] = s.at(i + 1)
			}
		}
	}
	for _, room := range slices.Sorted(maps.Keys(got)) {
		if got[room] > wide[room] {
			t.Errorf("%s has %d lines wider than %d columns (comments: %d), one at %s; it had %d",
				room, got[room], widestCode, widestComment, where[room], wide[room])
		}
	}
	for _, room := range slices.Sorted(maps.Keys(wide)) {
		if 4*got[room] < 3*wide[room] && wide[room] > 100 {
			t.Errorf("%s has only %d wide lines now: say so in the table", room, got[room])
		}
	}
}
