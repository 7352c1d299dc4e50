package yamltext

import (
	"bytes"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/token"

	"halfstop/diag"
)

func lineStarts(src []byte) []int {
	starts := []int{0}
	for i, b := range src {
		if b == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

// line gives line i (from 0) without its end.
func (d *Doc) line(i int) string {
	if i < 0 || i >= len(d.lines) {
		return ""
	}
	if d.text == "" {
		return ""
	}
	return d.text[d.lines[i]:d.lineEnd(i)]
}

// lineEnd gives the offset of the end of line i (from 0), before its line feed.
func (d *Doc) lineEnd(i int) int {
	end := len(d.src)
	if i+1 < len(d.lines) {
		end = d.lines[i+1] - 1
	}
	if end > d.lines[i] && d.src[end-1] == '\r' {
		end--
	}
	return end
}

// lineOf gives the line (from 0) that holds byte at.
func (d *Doc) lineOf(at int) int {
	lo, hi := 0, len(d.lines)
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; d.lines[mid] <= at {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// At gives the place of n characters from byte offset at.
func (d *Doc) At(at, n int) diag.Pos {
	at = min(max(at, 0), len(d.src))
	i := d.lineOf(at)
	return diag.Pos{File: d.Name, Line: i + 1, Col: d.column(i, at) + 1, Len: max(n, 1),
		Source: strings.TrimPrefix(d.line(i), "\ufeff")}
}

var bom = []byte("\ufeff")

// wideLine is the last line looked at that has characters of several bytes: the byte offset of
// each, in the line.
type wideLine struct {
	line    int
	offsets []int
	ascii   map[int]bool
}

// offsets gives the byte offsets of the characters of line i, counted from the line's start; nil
// where the line is ASCII.
func (d *Doc) offsets(i int) []int {
	if d.wide.ascii == nil {
		d.wide.ascii, d.wide.line = map[int]bool{}, -1
	}
	if d.wide.ascii[i] {
		return nil
	}
	if d.wide.line == i {
		return d.wide.offsets
	}
	line := d.line(i)
	skip := 0
	if i == 0 && strings.HasPrefix(line, "\ufeff") {
		skip = len(bom)
	}
	if skip == 0 && strings.IndexFunc(line, func(r rune) bool { return r >= utf8.RuneSelf }) < 0 {
		d.wide.ascii[i] = true
		return nil
	}
	offsets := []int{}
	for at := range line[skip:] {
		offsets = append(offsets, skip+at)
	}
	d.wide.line, d.wide.offsets = i, append(offsets, len(line))
	return d.wide.offsets
}

// column counts the characters of line i before byte at.
func (d *Doc) column(i, at int) int {
	rel := at - d.lines[i]
	offsets := d.offsets(i)
	if offsets == nil {
		return rel
	}
	k, _ := slices.BinarySearch(offsets, rel)
	return k
}

// offsetOf gives the byte offset of line and column, both from 1, columns in characters.
func (d *Doc) offsetOf(line, col int) (int, bool) {
	if line < 1 || line > len(d.lines) || col < 1 {
		return 0, false
	}
	at, end := d.lines[line-1], d.lineEnd(line-1)
	offsets := d.offsets(line - 1)
	switch {
	case offsets == nil && at+col-1 <= end:
		return at + col - 1, true
	case offsets != nil && col-1 < len(offsets):
		return at + offsets[col-1], true
	}
	return 0, false
}

func (d *Doc) offset(p *token.Position) (int, bool) {
	if p == nil {
		return 0, false
	}
	return d.offsetOf(p.Line, p.Column)
}

func (d *Doc) tokenPos(t *token.Token) diag.Pos {
	if t == nil || t.Position == nil {
		return d.At(0, 1)
	}
	at, ok := d.offset(t.Position)
	if !ok {
		if t.Position.Line >= 1 && t.Position.Line <= len(d.lines) {
			return d.At(d.lines[t.Position.Line-1], 1)
		}
		return d.At(0, 1)
	}
	return d.At(at, utf8.RuneCountInString(string(firstLine([]byte(strings.TrimSpace(t.Value))))))
}

func firstLine(b []byte) []byte {
	if i := bytes.IndexAny(b, "\r\n"); i >= 0 {
		return b[:i]
	}
	return b
}

func indentOf(s string) int { return len(s) - len(strings.TrimLeft(s, " ")) }

func quote(s string) string {
	if len(s) > 60 {
		s = strings.ToValidUTF8(s[:60], "") + "…"
	}
	return strconv.Quote(s)
}

// step is one part of a path: a key, or the number or name of a list's entry.
type step struct {
	key  string
	item bool
	n    int // -1: by name
}

// steps cuts 'setups[0].lights[key].white balance' into its parts.
// A key with a dot or bracket stands in double quotes.
func steps(path string) ([]step, bool) {
	var out []step
	for rest := path; rest != ""; {
		switch {
		case rest[0] == '[':
			end := strings.IndexByte(rest, ']')
			if end < 2 {
				return nil, false
			}
			name := rest[1:end]
			s := step{key: name, item: true, n: -1}
			if n, err := strconv.Atoi(name); err == nil && n >= 0 {
				s.n = n
			}
			out, rest = append(out, s), rest[end+1:]
		case rest[0] == '"':
			q, err := strconv.QuotedPrefix(rest)
			if err != nil {
				return nil, false
			}
			key, _ := strconv.Unquote(q)
			out, rest = append(out, step{key: key}), rest[len(q):]
		default:
			end := strings.IndexAny(rest, ".[")
			if end < 0 {
				end = len(rest)
			}
			if end == 0 {
				return nil, false
			}
			out, rest = append(out, step{key: rest[:end]}), rest[end:]
		}
		if len(rest) > 1 && rest[0] == '.' && rest[1] != '.' {
			rest = rest[1:]
		} else if rest == "." {
			return nil, false
		}
	}
	return out, true
}

// take follows one step; nil where it leads nowhere.
func (n *Node) take(s step) *Node {
	if n == nil {
		return nil
	}
	if !s.item {
		return n.Get(s.key)
	}
	if s.n >= 0 {
		if n.Kind == List && s.n < len(n.Items) {
			return n.Items[s.n]
		}
		return nil
	}
	for _, v := range n.Items {
		for _, k := range []string{"name", "role"} {
			if g := v.Get(k); g != nil && g.Text == s.key {
				return v
			}
		}
	}
	return nil
}

// Find gives the node at a path like 'setups[0].lights[2].at' or
// 'setups[Aisle].lights[key].power' (entries of a list by number from 0, or by
// their name or role); nil where there is none. The empty path is the root.
func (d *Doc) Find(path string) *Node {
	list, ok := steps(path)
	if !ok {
		return nil
	}
	n := d.Root
	for _, s := range list {
		n = n.take(s)
	}
	return n
}

// Has reports whether a value was written at path.
func (d *Doc) Has(path string) bool { n := d.Find(path); return n != nil && n.Kind != Null }

// Pos gives the place of the value at path; where nothing
// is written there, of the nearest value above it.
func (d *Doc) Pos(path string) diag.Pos {
	list, _ := steps(path)
	n := d.Root
	for _, s := range list {
		next := n.take(s)
		if next == nil {
			break
		}
		n = next
	}
	if n == nil {
		return diag.Pos{File: d.Name}
	}
	return n.Pos
}
