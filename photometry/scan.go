package photometry

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"halfstop/diag"
)

// text is a photometric file in lines, with messages about it.
type text struct {
	name  string
	src   []byte // as Plain gives it
	lines []string
	list  diag.List
	below below // of a spectrum
}

// maxBytes is the largest file read: a full web of one degree is about 0.5 MB.
const maxBytes = 16 << 20

// Plain gives a file of text as UTF-8 where it is UTF-16 by its byte order mark, as programs on
// desktops write it, else as it is.
func Plain(src []byte) []byte {
	var order binary.ByteOrder = binary.LittleEndian
	switch {
	case bytes.HasPrefix(src, []byte{0xff, 0xfe}):
	case bytes.HasPrefix(src, []byte{0xfe, 0xff}):
		order = binary.BigEndian
	default:
		return src
	}
	units := make([]uint16, 0, len(src)/2)
	for at := 2; at+2 <= len(src); at += 2 {
		units = append(units, order.Uint16(src[at:]))
	}
	return []byte(string(utf16.Decode(units)))
}

// upper1252 are the characters of Windows-1252 from 0x80 to 0x9f; the rest is as in Latin-1.
var upper1252 = []rune("€\u0081‚ƒ„…†‡ˆ‰Š‹Œ\u008dŽ\u008f\u0090‘’“”•–—˜™š›œ\u009džŸ")

// windows1252 decodes text of one byte a character: every byte has a meaning.
func windows1252(src []byte) string {
	var b strings.Builder
	for _, c := range src {
		if c >= 0x80 && c <= 0x9f {
			b.WriteRune(upper1252[c-0x80])
		} else {
			b.WriteRune(rune(c))
		}
	}
	return b.String()
}

// open cuts a file into lines at LF, CR or both, and takes bytes that are no UTF-8 for
// Windows-1252.
func open(name string, src []byte) *text {
	t := &text{name: name}
	if len(src) > maxBytes {
		t.add(diag.Error, 0, 0, 0, "photometry.too-large", "", "the file has %d bytes; %d are read at most", len(src),
			maxBytes)
		return t
	}
	t.src = Plain(src)
	s := string(t.src)
	if !utf8.Valid(t.src) {
		s = windows1252(t.src)
	}
	s = strings.TrimPrefix(s, "\ufeff")
	s = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\x1a", "").Replace(s)
	t.lines = strings.Split(strings.TrimRight(s, "\n"), "\n")
	return t
}

// add reports at a line and column counted from 1; line 0 is the whole file.
func (t *text) add(s diag.Severity, line, col, length int, code, fix, format string, args ...any) {
	p := diag.Pos{File: t.name, Line: line, Col: col, Len: max(length, 1)}
	if line == 0 {
		p.Len = 0
	}
	if line > 0 && line <= len(t.lines) {
		p.Source = t.lines[line-1]
		if len(p.Source) > 4000 {
			p.Source = strings.ToValidUTF8(p.Source[:4000], "")
		}
	}
	t.list = append(t.list, diag.Message{Severity: s, Code: code, Pos: p, Text: fmt.Sprintf(format, args...), Fix: fix})
}

// failed reports whether an error was added.
func (t *text) failed() bool {
	for _, m := range t.list {
		if m.Severity == diag.Error {
			return true
		}
	}
	return false
}

// token is one number of the free-format part.
type token struct {
	text      string
	line, col int
}

func (k token) len() int { return utf8.RuneCountInString(k.text) }

// tokens cuts lines from number from (0 is the first) at blanks, tabs and commas.
func (t *text) tokens(from int) []token {
	var out []token
	for i := from; i < len(t.lines); i++ {
		start, col := -1, 0
		line := t.lines[i]
		startCol := 0
		for at, r := range line {
			col++
			sep := r == ' ' || r == '\t' || r == ',' || r == '\f' || r == '\v' || r == '\u00a0' || r == 0
			switch {
			case sep && start >= 0:
				out = append(out, token{line[start:at], i + 1, startCol})
				start = -1
			case !sep && start < 0:
				start, startCol = at, col
			}
		}
		if start >= 0 {
			out = append(out, token{line[start:], i + 1, startCol})
		}
	}
	return out
}

// number reads a plain decimal number; no hexadecimal, infinity or 'not a number'.
func number(s string) (float64, bool) {
	if s == "" || len(s) > 64 || strings.Trim(s, "+-.0123456789eE") != "" {
		return 0, false
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return 0, false
	}
	return x, true
}
