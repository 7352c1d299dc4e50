package diag

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// widest is how many characters of a source line are shown. A longer line is cut on both sides of
// the place.
const widest = 88

// Text renders the messages for a terminal or a log, one after the other:
//
//	shoot.yaml:41:19: unknown setting "hieght" of a light
//	  41 |       {role: key, hieght: 2.2 m}
//	     |                   ^^^^^^
//	  settings here: at, height, aim
//	  fix: write "height"
//
// Control characters of the source are never passed on. Check: TestText.
func (l List) Text() string { return l.TextIn(widest) }

// TextIn is Text with at most so many characters of a source line, for a narrow terminal; at least
// 20, and no more than Text shows.
func (l List) TextIn(characters int) string {
	var b strings.Builder
	for _, m := range l {
		m.text(&b, max(20, min(characters, widest)))
	}
	return b.String()
}

// String renders one message as List.Text does.
func (m Message) String() string {
	var b strings.Builder
	m.text(&b, widest)
	return b.String()
}

func (m Message) text(b *strings.Builder, widest int) {
	b.WriteString(m.Pos.String())
	if m.Pos.File != "" || m.Pos.Known() {
		b.WriteString(": ")
	}
	if m.Severity != Error {
		b.WriteString(m.Severity.String() + ": ")
	}
	b.WriteString(clean(m.Text) + "\n")
	m.Pos.show(b, "  ", widest)
	for _, r := range m.Remarks {
		b.WriteString("  ")
		if r.Pos.Known() {
			b.WriteString(r.Pos.String() + ": ")
		}
		b.WriteString(clean(r.Text) + "\n")
		r.Pos.show(b, "    ", widest)
	}
	if m.Fix != "" {
		b.WriteString("  fix: " + clean(m.Fix) + "\n")
	}
}

// String returns 'file:line:col', or the parts of it that are known.
func (p Pos) String() string {
	s := clean(p.File)
	if !p.Known() {
		return s
	}
	if s != "" {
		s += ":"
	}
	s += strconv.Itoa(p.Line)
	if p.Col > 0 {
		s += ":" + strconv.Itoa(p.Col)
	}
	return s
}

// show writes the source line with the place underlined.
func (p Pos) show(b *strings.Builder, indent string, widest int) {
	if !p.Known() || strings.TrimSpace(p.Source) == "" {
		return
	}
	line := []rune(clean(p.Source))
	from := min(max(p.Col-1, 0), len(line))
	long := max(p.Len, 1)
	if from+long > len(line) {
		long = max(len(line)-from, 1)
	}
	cutFront, cutBack := "", ""
	if len(line) > widest {
		lo := max(0, min(from-widest/3, len(line)-widest))
		hi := lo + widest
		if lo > 0 {
			cutFront = "…"
		}
		if hi < len(line) {
			cutBack = "…"
		}
		line, from = line[lo:hi], from-lo
		long = min(long, max(1, len(line)-from))
	}
	number := strconv.Itoa(p.Line)
	pad := strings.Repeat(" ", utf8.RuneCountInString(cutFront)+from)
	fmt.Fprintf(b, "%s%s | %s%s%s\n", indent, number, cutFront, strings.TrimRight(string(line), " "), cutBack)
	fmt.Fprintf(b, "%s%s | %s%s\n", indent, strings.Repeat(" ", len(number)), pad, strings.Repeat("^", long))
}

// clean turns each tab into a space and each other control character into '�'. Columns keep their
// place, and a file cannot send commands to the terminal.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t':
			return ' '
		case r == utf8.RuneError, unicode.IsControl(r), r >= 0x2028 && r <= 0x202e, r >= 0x2066 && r <= 0x2069:
			return '�'
		}
		return r
	}, s)
}

// JSON renders the list as an array with two-space indent; never null. The keys are those of
// Message, Pos and Remark.
func (l List) JSON() []byte {
	if l == nil {
		l = List{}
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode([]Message(l)); err != nil {
		return []byte("[]\n") // strings and integers only: cannot happen
	}
	return b.Bytes()
}
