package diag

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestText(t *testing.T) {
	l := List{{
		Code: "shoot.unknown-key",
		Pos:  Pos{"shoot.yaml", 41, 19, 6, "      {role: key, hieght: 2.2 m}", ""},
		Text: `unknown setting "hieght" of a light`,
		Remarks: []Remark{
			{Text: "settings here: at, height, aim"},
			{Pos: Pos{"shoot.yaml", 7, 12, 6, "  ceiling: 2.75 m", ""}, Text: "the ceiling is set here"},
		},
		Fix: `write "height"`,
	}}
	want := `shoot.yaml:41:19: unknown setting "hieght" of a light
  41 |       {role: key, hieght: 2.2 m}
     |                   ^^^^^^
  settings here: at, height, aim
  shoot.yaml:7:12: the ceiling is set here
    7 |   ceiling: 2.75 m
      |            ^^^^^^
  fix: write "height"
`
	if got := l.Text(); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if l.Err() == nil || len(Messages(l.Err())) != 1 || l.ExitCode() != 2 {
		t.Error("an error must be one")
	}
	if (List{{Severity: Caution}}).Err() != nil {
		t.Error("a caution is no error")
	}
}

// A hostile source line must neither move the underline nor reach the terminal as control codes.
func TestTextHostileSource(t *testing.T) {
	m := Message{Pos: Pos{"a", 3, 200, 900, strings.Repeat("x", 198) + "\t\x1b[31mred\u202e" + strings.Repeat("y", 300),
		""}, Text: "bad\x1b[0m"}
	got := m.String()
	for _, bad := range []string{"\x1b", "\t", "\u202e"} {
		if strings.Contains(got, bad) {
			t.Errorf("%q let through", bad)
		}
	}
	lines := strings.Split(got, "\n")
	if at := strings.Index(lines[2], "^"); at < 0 || []rune(lines[1])[at] != '�' {
		t.Errorf("underline misplaced:\n%s", got)
	}
	for _, p := range []Pos{{}, {Line: 1}, {Line: 1, Col: 99, Len: -4, Source: "x"}, {File: "f", Line: 2, Col: -1,
		Source: "\xff"}} {
		_ = Message{Pos: p, Text: "t"}.String()
	}
}

func TestSort(t *testing.T) {
	l := List{{Text: "none"}, {Text: "b", Pos: Pos{Line: 2, Col: 9}}, {Text: "a", Pos: Pos{Line: 2, Col: 3}},
		{Text: "first", Pos: Pos{Line: 1}}}
	l.Sort()
	var got []string
	for _, m := range l {
		got = append(got, m.Text)
	}
	if strings.Join(got, " ") != "first a b none" {
		t.Error(got)
	}
}

func TestJSON(t *testing.T) {
	if string(List(nil).JSON()) != "[]\n" {
		t.Error("an empty list is []")
	}
	l := List{{Severity: Finding, Code: "a.b", Text: "x < y", Pos: Pos{File: "f", Line: 1, Col: 2, Len: 1}}}
	b := l.JSON()
	if !strings.Contains(string(b), `"severity": "finding"`) || !strings.Contains(string(b), "x < y") {
		t.Errorf("%s", b)
	}
	var back List
	if err := json.Unmarshal(b, &back); err != nil || back[0].Severity != Finding || back[0].Pos != l[0].Pos {
		t.Errorf("%v %+v", err, back)
	}
}

func TestNearest(t *testing.T) {
	known := []string{"at", "height", "aim", "head", "modifier", "white balance", "power"}
	for in, want := range map[string]string{
		"hieght": "height", "Height": "height", "white_balance": "white balance", "whitebalance": "white balance",
		"pwer": "power", "zebra": "", "": "", "ami": "aim", "q": "", strings.Repeat("x", 5000): "",
	} {
		if got := Nearest(in, known); got != want {
			t.Errorf("Nearest(%.20q) = %q, want %q", in, got, want)
		}
	}
}
