package main

import (
	"strings"
	"testing"
	"unicode/utf8"
)

func TestWrap(t *testing.T) {
	for _, x := range []struct {
		text    string
		columns int
		want    string
	}{
		{"short", 40, "short\n"},
		{"one two three four", 9, "one two\n  three\n  four\n"},
		{"aa bb 19 % cc", 9, "aa bb\n  19 % cc\n"}, // a number stays with its unit
		{"averylongword b", 6, "averylongword\n  b\n"},
		{"key  1.2 m", 40, "key  1.2 m\n"},
		{"é é é é", 5, "é é é\n  é\n"}, // columns, not bytes
		{"", 10, "\n"},
	} {
		if got := wrap(x.text, x.columns, 2); got != x.want {
			t.Errorf("%q in %d: %q, want %q", x.text, x.columns, got, x.want)
		}
	}
}

// What meter and check print fits 100 columns, or what COLUMNS says, whatever things are called.
func TestWidth(t *testing.T) {
	long := strings.Replace(labShoot, "name: Lab",
		"name: The long passage behind the kitchen, seen from the stairs, second attempt with the door open and "+
			"the lift lit", 1)
	long = strings.Replace(long, "{name: p,",
		"{name: the third step of the stairs from below where she puts the left hand,", 1)
	room := "halfstop: 1\nroom: {size: [4, 4, 2.5]}\nsetups:\n  - name: A\n    lights:\n      - {role: key, head: " +
		"batery head 500, modifier: octa 150, " +
		"at: [2, 2], height: 2.3 m, aim: [1, 1, 1], power: 1/4}\n"
	for _, columns := range []string{"", "64"} {
		t.Setenv("COLUMNS", columns)
		most := 100
		if columns != "" {
			most = 64
		}
		for _, c := range [][]string{{"meter", "--samples", "32"}, {"meter", "--lights", "--samples", "32"},
			{"meter", "-", "--lights"}, {"check"}, {"check", "-"}} {
			src := long
			if c[0] == "check" {
				src = room
			}
			_, out, _ := cli(t, src, c...)
			for _, line := range strings.Split(out, "\n") {
				if n := utf8.RuneCountInString(line); n > most && (most == 100 || !excerpt.MatchString(line)) {
					t.Errorf("%v: %d columns: %s", c, n, line)
				}
			}
		}
	}
}
