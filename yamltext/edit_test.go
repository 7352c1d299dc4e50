package yamltext

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const sketch = `# head
halfstop: 1
title: At dusk   # a comment
empty:
notes: |
  first: line
    second

  # not a comment
setups:   # all
  # the first
  - name: Aisle
    lights:
      - {role: key, power: 1/8, at: [4.4, 1.0]}   # main
      # about the accent
      - role: accent
        level: 60 %    # low

        gel: "a, b"
    off: []
  - name: Bench

# tail
room: {ceiling: 2.75 m, size: [1, 2,
   3], surfaces: {}}
`

// Each edit changes these lines and no other byte.
func TestEdit(t *testing.T) {
	type edit struct{ verb, path, value, old, new string }
	for _, e := range []edit{
		{"set", "setups[0].lights[0].power", "1/8 + 0.3", "power: 1/8,", "power: 1/8 + 0.3,"},
		{"set", "setups[Aisle].lights[accent].level", "45 %", "level: 60 %    # low", "level: 45 %    # low"},
		{"set", "title", "Noon: a day", "title: At dusk   #", `title: "Noon: a day"   #`},
		{"set", "title", "null", "title: At dusk", `title: "null"`},
		{"set", "title", "two\nlines", "title: At dusk", `title: "two\nlines"`},
		{"set", "empty", "full", "empty:\n", "empty: full\n"},
		{"set", "notes", "short", "|\n  first: line\n    second\n\n  # not a comment\n", "short\n"},
		{"set", "setups[0].lights[1].gel", "c", `"a, b"`, "c"},
		{"set", "setups[0].lights[0].gel", "half blue, quarter", "1.0]}", `1.0], gel: "half blue, quarter"}`},
		{"set", "setups[0].lights[1].height", "2 m", "gel: \"a, b\"\n", "gel: \"a, b\"\n        height: 2 m\n"},
		{"set", "setups[1].priority", "2", "name: Bench\n", "name: Bench\n    priority: 2\n"},
		{"set", "setups[1].camera.at", "[1, 2]", "name: Bench\n", "name: Bench\n    camera: {at: [1, 2]}\n"},
		{"set", "empty.a.b", "c", "empty:\n", "empty: {a: {b: c}}\n"},
		{"set", "room.surfaces.wall 1", "0.5", "surfaces: {}", "surfaces: {wall 1: 0.5}"},
		{"set", "room.size[2]", "3.5", "   3]", "   3.5]"},
		{"set", "room.size", "[4, 5, 6]", "[1, 2,\n   3]", "[4, 5, 6]"},
		{"set", "house.k", "12.5", "surfaces: {}}\n", "surfaces: {}}\nhouse: {k: 12.5}\n"},
		{"append", "setups[0].lights", "{role: fill}", "gel: \"a, b\"\n", "gel: \"a, b\"\n      - {role: fill}\n"},
		{"append", "setups[0].off", "sign", "off: []", "off: [sign]"},
		{"append", "room.size", "4", "   3]", "   3, 4]"},
		{"append", "setups[1].look", "{point: a}", "name: Bench\n", "name: Bench\n    look: [{point: a}]\n"},
		{"delete", "title", "", "title: At dusk   # a comment\n", ""},
		{"delete", "notes", "", "notes: |\n  first: line\n    second\n\n  # not a comment\n", ""},
		{"delete", "setups[0].lights[0]", "", "      - {role: key, power: 1/8, at: [4.4, 1.0]}   # main\n", ""},
		{"delete", "setups[0].lights[1]", "",
			"      - role: accent\n        level: 60 %    # low\n\n        gel: \"a, b\"\n", ""},
		{"delete", "setups[0].lights[1].role", "", "role: accent\n        level", "level"},
		{"delete", "setups[0].lights[0].power", "", "power: 1/8, ", ""},
		{"delete", "setups[0].lights[0].at", "", ", at: [4.4, 1.0]", ""},
		{"delete", "room.size[0]", "", "[1, 2,", "[2,"},
		{"delete", "setups[1].name", "", "name: Bench", "{}"},
		{"rename", "setups[0].lights[1].gel", "filter", "gel: \"a, b\"", "filter: \"a, b\""},
	} {
		for _, crlf := range []bool{false, true} {
			src, old, want := sketch, e.old, e.new
			if crlf {
				lf := strings.NewReplacer("\n", "\r\n")
				src, old, want = lf.Replace(src), lf.Replace(old), lf.Replace(want)
			}
			if strings.Count(src, old) != 1 {
				t.Fatalf("test of %s: %q stands %d times", e.path, old, strings.Count(src, old))
			}
			d, l := Parse("s", []byte(src))
			if len(l) > 0 {
				t.Fatal(l.Text())
			}
			var got []byte
			var err error
			switch e.verb {
			case "set":
				got, err = d.Set(e.path, e.value)
			case "append":
				got, err = d.Append(e.path, e.value)
			case "delete":
				got, err = d.Delete(e.path)
			case "rename":
				got, err = d.Rename(e.path, e.value)
			}
			if err != nil {
				t.Errorf("%s %s (crlf %v): %v", e.verb, e.path, crlf, err)
				continue
			}
			if want := strings.Replace(src, old, want, 1); string(got) != want {
				t.Errorf("%s %s (crlf %v): got\n%s", e.verb, e.path, crlf, got)
			}
		}
	}
}

func TestEditRefused(t *testing.T) {
	src := "a: &x {b: 1}\nc: *x\nd: [1]\ne: 5\n"
	d, _ := Parse("s", []byte(src))
	for _, path := range []string{"c.b", "c", "d[4]", "d[1]", "e.f", "d.x", "", "a..b", "[", "e[0]"} {
		if out, err := d.Set(path, "2"); err == nil {
			t.Errorf("%q gave %q", path, out)
		}
	}
	if _, err := d.Set("a.b", "2"); err == nil {
		t.Error("a change seen through an alias elsewhere must be refused")
	}
	if _, err := d.Delete("nothing"); err == nil {
		t.Error("nothing was deleted")
	}
	if _, err := d.Append("e", "1"); err == nil {
		t.Error("a number is no list")
	}
}

func TestSetAll(t *testing.T) {
	d, _ := Parse("s", []byte("a: 1   # x\nb: {c: 2}\n"))
	got, err := d.SetAll([]Edit{{"a", "5"}, {"b.d", "1/8"}, {"e.f", "[1, 2]"}})
	if want := "a: 5   # x\nb: {c: 2, d: 1/8}\ne: {f: [1, 2]}\n"; err != nil || string(got) != want {
		t.Errorf("%q %v", got, err)
	}
	if got, err := d.SetAll([]Edit{{"a", "5"}, {"a.b", "6"}}); err == nil {
		t.Errorf("%q", got)
	}
}

func TestEditEmptyFile(t *testing.T) {
	for src, want := range map[string]string{"": "a: 1\n", "# only\n": "# only\na: 1\n", "# only": "# only\na: 1\n"} {
		d, _ := Parse("s", []byte(src))
		got, err := d.Set("a", "1")
		if err != nil || string(got) != want {
			t.Errorf("%q: %q %v", src, got, err)
		}
	}
}

// What YAML allows and what would hang or crash: a message, in time.
func TestHostile(t *testing.T) {
	bomb := "a: &a [x,x,x,x,x,x,x,x,x,x]\n"
	for c := 'b'; c < 'k'; c++ {
		p := string(c - 1)
		bomb += string(c) + ": &" + string(c) + " [*" + strings.Repeat(p+",*", 9) + p + "]\n"
	}
	for name, src := range map[string]string{
		"bomb": bomb, "deep": strings.Repeat("[", 1<<21), "deep map": strings.Repeat("{a: ", 1<<19),
		"dashes":    strings.Repeat("- ", 1<<20),
		"questions": strings.Repeat("? ", 1<<20), "large": strings.Repeat("# x\n", 2<<20), "self": "a: &a [*a]\n",
		"no anchor": "a: *b\n", "tag": "a: !!binary x\n",
		"nan": "a: .nan\n", "inf": "a: -.inf\n", "hex": "a: 0x10\n", "tab": "a:\n\tb: 1\n", "utf16": "\xff\xfea\x00",
		"nul": "a: \x00", "two": "a: 1\n---\nb: 2\n",
		"merge": "a: &a {b: 1}\nc: {<<: *a}\n", "stairs": stairs(400), "commas": strings.Repeat(",", 300_000),
		"colons": "a" + strings.Repeat(": ", 300_000),
		"quotes": strings.Repeat("\"", 300_001), "anchors": strings.Repeat("&a ", 300_000),
		"bars": strings.Repeat("|\n", 100_000), "esc": "a: \"\\x\"", "cr": "a: 1\rb: 2",
		"open": "{a: [1, 2", "percent": "%YAML 9.9\n---\na: 1", "huge number": "a: 1e999",
		"keys": "{[1]: 2, {a: b}: 3}", "at": "a: @b", "block": "a: >9\n x",
	} {
		t.Run(name, func(t *testing.T) {
			var v struct {
				A float64 `yaml:"a"`
			}
			d, l := Decode("s", []byte(src), &v)
			if len(l) == 0 || d == nil {
				t.Error("no message")
			}
			if len(l.Text()) > 1<<20 {
				t.Error("messages without end")
			}
			if v.A != 0 {
				t.Errorf("let in %v", v.A)
			}
		})
	}
}

func stairs(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

// Any bytes: no panic, no NaN, places inside the text, and every edit proved.
func FuzzDecode(f *testing.F) {
	f.Add([]byte(sketch))
	f.Add([]byte("lights: [{role: key, height: 2,4 m, at: [1,2,3]}, ]\nwalls: {a: }\n? x\n: y\n"))
	f.Add([]byte("\ufeffa: 'it''s' # c\r\nb: \"\\u00e9\\n\"\r\n- x\r\n"))
	f.Add([]byte("a: &x [1, *x]\nb: >-\n  folded\n  text\nc: multi\n  line\n"))
	files, _ := filepath.Glob("../shoot/testdata/*.yaml")
	for _, name := range files {
		if b, err := os.ReadFile(name); err == nil {
			f.Add(b)
		}
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		var p plan
		d, l := Decode("f", src, &p)
		for _, m := range l {
			if m.Pos.Line < 1 || m.Pos.Line > len(d.lines) || m.Pos.Col < 1 || m.Text == "" {
				t.Errorf("message out of place: %+v", m)
			}
		}
		_ = l.Text()
		if d.Root == nil || len(l) > 0 && strings.HasPrefix(l[0].Code, "yaml.") {
			return
		}
		edits := 0
		var walk func(n *Node, path string)
		walk = func(n *Node, path string) {
			if n.exact && (n.start < 0 || n.end > len(src) || n.start > n.end) {
				t.Errorf("%s lies outside the text", path)
			}
			if n.Kind == Scalar && edits < 20 {
				edits++
				if out, err := d.Set(path, "new: value"); err == nil {
					if e, l := Parse("f", out); len(l) > 0 || e.Find(path) == nil || e.Find(path).Text != "new: value" {
						t.Errorf("%s was not set in %q", path, out)
					}
				}
			}
			for _, f := range n.Fields {
				if strings.ContainsAny(f.Key.Text, ".[]\"\\") || f.Key.Text == "" {
					continue
				}
				sub := f.Key.Text
				if path != "" {
					sub = path + "." + sub
				}
				walk(f.Value, sub)
			}
		}
		walk(d.Root, "")
		_, _ = d.Append("lights", "{role: key}")
		_, _ = d.Delete("lights[0]")
		_, _ = d.Move("lights[0]", 1)
		_, _ = d.Copy("lights[0]", 0)
		_, _ = d.Set("room.ceiling", "3 m")
	})
}

func FuzzQuote(f *testing.F) {
	for _, s := range []string{"", "a", "a: b", "- x", "null", "~", "7'10\"", "#x", "a #b", "x,y",
		"[", "é", "\t", "1/4 - 0.3", "true", "=", "?", "a:", "--- a", "...", "2,4 m", "%", "@", "`", "!", "&a", "*a", "|", ">", "<<"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		s = strings.ToValidUTF8(s, "\ufffd")
		if len(s) > 1000 {
			return
		}
		for _, text := range []string{"k: " + Quote(s, false) + "\n", "{k: " + Quote(s, true) + ", z: 1}\n", Quote(s, false) + ": 1\n"} {
			d, l := Parse("q", []byte(text))
			if len(l) > 0 {
				t.Fatalf("%q: %s", text, l.Text())
			}
			if strings.HasSuffix(text, "1\n") && d.Root.Fields[0].Key.Text == s && d.Root.Kind == Map {
				continue
			}
			if v := d.Find("k"); v == nil || v.Text != s {
				t.Fatalf("%q read back from %q as %+v", s, text, v)
			}
		}
	})
}

// Each list is written in another order: comments go with their entry, blank lines stay.
func TestMove(t *testing.T) {
	const src = "a: 1\nlist:   # all\n  # the first\n  - name: A   # here\n    x: [1, 2]\n\n  # the second\n  # still\n  - name: B\n\n  # apart\n\n  - {name: C}\nflow: [a, {b: 1},   c]\n# tail\n"
	for _, e := range []struct {
		verb, path string
		to         int
		old, new   string
	}{
		{"move", "list[0]", 1, "  # the first\n  - name: A   # here\n    x: [1, 2]\n\n  # the second\n  # still\n  - name: B\n", "  # the second\n  # still\n  - name: B\n\n  # the first\n  - name: A   # here\n    x: [1, 2]\n"},
		{"move", "list[C]", 0, "  # the first\n  - name: A   # here\n    x: [1, 2]\n\n  # the second\n  # still\n  - name: B\n\n  # apart\n\n  - {name: C}\n", "  - {name: C}\n\n  # the first\n  - name: A   # here\n    x: [1, 2]\n\n  # apart\n\n  # the second\n  # still\n  - name: B\n"},
		{"copy", "list[1]", 2, "  - name: B\n\n  # apart\n\n  - {name: C}\n", "  - name: B\n\n  # apart\n\n  # the second\n  # still\n  - name: B\n\n  # apart\n\n  - {name: C}\n"},
		{"copy", "list[2]", 3, "  - {name: C}\n", "  - {name: C}\n\n  # apart\n\n  - {name: C}\n"},
		{"move", "flow[2]", 0, "[a, {b: 1},   c]", "[c, a,   {b: 1}]"},
		{"copy", "flow[0]", 3, "[a, {b: 1},   c]", "[a, {b: 1},   c,   a]"},
		{"move", "list[1]", 1, "a: 1", "a: 1"},
	} {
		d, list := Parse("x", []byte(src))
		if len(list) > 0 {
			t.Fatal(list)
		}
		var got []byte
		var err error
		if e.verb == "move" {
			got, err = d.Move(e.path, e.to)
		} else {
			got, err = d.Copy(e.path, e.to)
		}
		if err != nil {
			t.Errorf("%s %s to %d: %v", e.verb, e.path, e.to, err)
			continue
		}
		if want := strings.Replace(src, e.old, e.new, 1); string(got) != want {
			t.Errorf("%s %s to %d gave\n%s\nwant\n%s", e.verb, e.path, e.to, got, want)
		}
	}
	d, _ := Parse("x", []byte(src))
	for _, bad := range []string{"a", "list", "list[3]", "nothing[0]", ""} {
		if _, err := d.Move(bad, 0); err == nil {
			t.Errorf("%q was moved", bad)
		}
	}
	if _, err := d.Move("list[0]", 3); err == nil {
		t.Error("an entry was moved behind the end")
	}
	d, _ = Parse("x", []byte("- - a\n  - b\n- c\n"))
	if _, err := d.Move("[0][1]", 0); err == nil {
		t.Error("a list that starts behind another's dash was taken apart")
	}
}

// TestEdited: the text that an edit gave is known as parsed, also after a second edit, other texts are not; it reads as the same text parsed anew.
func TestEdited(t *testing.T) {
	doc, _ := Parse("t", []byte("a: 1\nb: {c: 2}\n"))
	one, err := doc.Set("a", "3")
	if err != nil {
		t.Fatal(err)
	}
	first := doc.Edited(one)
	if first == nil {
		t.Fatal("the edited text is not known")
	}
	two, err := first.Set("b.c", "4")
	if err != nil {
		t.Fatal(err)
	}
	last := doc.Edited(two)
	if last == nil || doc.Edited([]byte("a: 1\n")) != nil {
		t.Fatalf("after two edits: %v; of another text: %v", last, doc.Edited([]byte("a: 1\n")))
	}
	if anew, _ := Parse("t", two); !Same(anew.Root, last.Root) || string(last.Source()) != string(two) {
		t.Errorf("it reads otherwise than the same text parsed anew: %s", last.Source())
	}
	var v struct {
		A int `yaml:"a"`
		B struct {
			C int `yaml:"c"`
		} `yaml:"b"`
	}
	if list := DecodeDoc(last, &v); len(list) > 0 || v.A != 3 || v.B.C != 4 {
		t.Errorf("decoded as %v, %v", v, list)
	}
	if doc.Forget(); doc.Edited(one) != nil {
		t.Error("what was forgotten is still known")
	}
}
