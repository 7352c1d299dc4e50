package meta

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// The most columns of a line of Go, and of a line that is a comment. A tab counts four.
const widestCode, widestComment = 120, 100

// rawLiteral is a raw string on one line: a struct tag, a pattern, a line of JavaScript. It cannot
// be broken, so it does not count.
var rawLiteral = regexp.MustCompile("`[^`]*`")

// TestWidth: lines fit beside each other on a screen.
func TestWidth(t *testing.T) {
	for _, s := range sources(t) {
		if s.made {
			continue
		}
		for _, bad := range wideLines(string(s.text), s.test) {
			t.Errorf("%s: wider than %d columns (comments: %d)", s.at(bad), widestCode, widestComment)
		}
	}
}

// wideLines are the numbers, from 1, of the lines of Go that are too wide. What stands in a raw string
// of several lines counts, but not in a test, where it is data (a shoot file, a script).
func wideLines(text string, test bool) (bad []int) {
	inside := false
	for i, line := range strings.Split(text, "\n") {
		comment := !inside && strings.HasPrefix(strings.TrimSpace(line), "//")
		was := inside
		if !comment && strings.Count(line, "`")%2 == 1 {
			inside = !inside
		}
		if was && test {
			if inside || !strings.Contains(line, "`") {
				continue
			}
			line = line[strings.Index(line, "`")+1:]
		}
		if !comment {
			line = rawLiteral.ReplaceAllString(line, "``")
			if inside && !was && test {
				line = line[:strings.LastIndex(line, "`")]
			}
		}
		columns := utf8.RuneCountInString(line) + 3*strings.Count(line, "\t")
		if columns > widestCode || comment && columns > widestComment {
			bad = append(bad, i+1)
		}
	}
	return bad
}

// TestWideLines: the rule sees code and comments, and nothing that cannot be broken.
func TestWideLines(t *testing.T) {
	long := strings.Repeat("x", 110)
	text := strings.Join([]string{
		"\tshort()",
		"// " + long,
		"\tx := `" + long + long + "`",
		"\ty := `" + long,
		long + long,
		"` + z(" + long + long + ")",
		"\tcall(" + long + long + ")",
	}, "\n")
	if got, want := fmt.Sprint(wideLines(text, true)), "[2 6 7]"; got != want {
		t.Errorf("in a test: lines %s are too wide, want %s", got, want)
	}
	if got := wideLines(text, false); !slices.Equal(got, []int{2, 5, 6, 7}) {
		t.Errorf("elsewhere: lines %v are too wide, want [2 5 6 7]", got)
	}
}
