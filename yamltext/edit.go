package yamltext

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode"
)

// Set gives the text with the value at path replaced, or inserted
// where it is absent. Every other byte stays as it is.
//
// value is what should stand there: a plain text such as '1/8 + 0.3' (put in quotes where YAML
// needs it), or a list or group in brackets, or quoted text, taken as written. Keys missing on the
// way are made. The result is read back and compared; an edit that would change anything else, and
// one inside an alias, is an error. Check: TestEdit*, FuzzDecode.
func (d *Doc) Set(path, value string) ([]byte, error) {
	list, ok := steps(path)
	if !ok || len(list) == 0 {
		return nil, fmt.Errorf("%s is no path of a setting", quote(path))
	}
	if d.Root == nil {
		return nil, errors.New("the file has mistakes; mend them first")
	}
	parents := []*Node{d.Root}
	for _, s := range list {
		next := parents[len(parents)-1].take(s)
		if next == nil {
			break
		}
		parents = append(parents, next)
	}
	at := len(parents) - 1
	n := parents[at]
	flow := false
	for _, p := range parents[:at] {
		flow = flow || p.Flow
	}
	if at == len(list) {
		return d.replace(list, n, value, flow)
	}
	if len(list) > maxDepth {
		return nil, fmt.Errorf("%s would be nested more than %d deep", quote(path), maxDepth)
	}
	// Wrap the value in the groups that are not there yet.
	if len(list)-1 > at {
		value = literal(value, true)
	}
	for i := len(list) - 1; i > at; i-- {
		if list[i].item {
			return nil, fmt.Errorf("%s: there is no entry %s", path, list[i].key)
		}
		value = "{" + Quote(list[i].key, true) + ": " + value + "}"
	}
	if list[at].item {
		return nil, fmt.Errorf("%s: there is no entry %s", path, list[at].key)
	}
	if n.Kind == Null && at > 0 {
		return d.replace(list[:at], n, "{"+Quote(list[at].key, true)+": "+literal(value, true)+"}", flow)
	}
	return d.insert(list[:at+1], n, value)
}

// Edit is one setting and the value it shall have.
type Edit struct{ Path, Value string }

// SetAll gives the text with several settings changed, one
// after the other as by Set; all of them or none.
func (d *Doc) SetAll(edits []Edit) ([]byte, error) {
	for _, e := range edits {
		out, err := d.Set(e.Path, e.Value)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", e.Path, err)
		}
		d, _ = Parse(d.Name, out)
	}
	return d.src, nil
}

// Append gives the text with value added at the end of the
// list at path; a list that is absent is made.
func (d *Doc) Append(path, value string) ([]byte, error) {
	n := d.Find(path)
	if n == nil || n.Kind == Null {
		return d.Set(path, "["+literal(value, true)+"]")
	}
	if n.Kind != List {
		return nil, fmt.Errorf("%s is no list", path)
	}
	if n.alias || !n.exact {
		return nil, fmt.Errorf("%s is written in a way that cannot be edited in place", path)
	}
	list, _ := steps(path)
	var out []byte
	switch {
	case n.Flow:
		out = d.splice(d.intoBracket(n, n.lastEnd(), literal(value, true)))
	default:
		end := d.lineEnd(d.lineOf(max(n.start, n.end-1)))
		out = d.splice(end, end, d.newline()+strings.Repeat(" ", n.place.indent)+"- "+literal(value, false))
	}
	return d.proved(out, list, func(t *Node) error {
		v, err := parseValue(literal(value, true))
		if err == nil {
			t.Items = append(t.Items, v)
		}
		return err
	})
}

// Delete gives the text without the setting or the entry at path, and without the rest of its line.
func (d *Doc) Delete(path string) ([]byte, error) {
	list, ok := steps(path)
	if !ok || len(list) == 0 || d.Find(path) == nil {
		return nil, fmt.Errorf("%s: there is nothing to delete", path)
	}
	last := list[len(list)-1]
	parent := d.Root
	for _, s := range list[:len(list)-1] {
		parent = parent.take(s)
	}
	k := parent.entries()
	i := -1
	if last.item {
		for j := range parent.Items {
			if parent.Items[j] == parent.take(last) {
				i = j
			}
		}
	} else {
		for j, f := range parent.Fields {
			if f.Key.Text == last.key {
				i = j
			}
		}
	}
	if i < 0 || parent.alias || !parent.exact {
		return nil, fmt.Errorf("%s is written in a way that cannot be edited in place", path)
	}
	from, to, with, err := d.cutOf(parent, k, i)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return d.proved(d.splice(from, to, with), list[:len(list)-1], func(t *Node) error {
		if last.item {
			t.Items = append(t.Items[:i:i], t.Items[i+1:]...)
		} else {
			t.Fields = append(t.Fields[:i:i], t.Fields[i+1:]...)
		}
		return nil
	})
}

// Rename gives the text with the key at path spelled anew.
func (d *Doc) Rename(path, key string) ([]byte, error) {
	list, ok := steps(path)
	if !ok || len(list) == 0 || list[len(list)-1].item {
		return nil, fmt.Errorf("%s is no path of a setting", quote(path))
	}
	n := d.Root
	for _, s := range list[:len(list)-1] {
		n = n.take(s)
	}
	if n == nil || n.Kind != Map || n.Get(key) != nil {
		return nil, fmt.Errorf("%s cannot become %s", path, quote(key))
	}
	for i, f := range n.Fields {
		if f.Key.Text == list[len(list)-1].key && f.Key.exact && !n.alias {
			return d.proved(d.splice(f.Key.start, f.Key.end, Quote(key, n.Flow)), list[:len(list)-1],
				func(t *Node) error {
					t.Fields[i].Key.Text = key
					return nil
				})
		}
	}
	return nil, fmt.Errorf("%s is written in a way that cannot be edited in place", path)
}

// span is the bytes of one entry.
type span struct{ start, end int }

// entries gives the bytes of each entry of a list or map; of a block list from behind its dash.
func (n *Node) entries() []span {
	var out []span
	for _, v := range n.Items {
		out = append(out, span{v.start, v.end})
	}
	for _, f := range n.Fields {
		end := f.Key.end
		if f.Value.Kind != Null || f.Value.exact {
			end = f.Value.end
		}
		out = append(out, span{f.Key.start, end})
	}
	return out
}

func (n *Node) lastEnd() int {
	k := n.entries()
	if len(k) == 0 {
		return n.start + 1
	}
	return k[len(k)-1].end
}

// cutOf finds what to take out for entry i of n, and what to leave in its place.
func (d *Doc) cutOf(n *Node, k []span, i int) (from, to int, with string, err error) {
	e := k[i]
	if e.end <= e.start {
		return 0, 0, "", errors.New("it cannot be deleted in place")
	}
	switch {
	case len(k) == 1 && n.Kind == List:
		return n.start, n.end, "[]", nil
	case len(k) == 1:
		return n.start, n.end, "{}", nil
	case n.Flow && i+1 < len(k):
		return e.start, k[i+1].start, "", nil
	case n.Flow:
		return k[i-1].end, e.end, "", nil
	}
	start := e.start
	if n.Kind == List {
		start = bytes.LastIndexByte(d.src[:start], '-')
		if start < 0 {
			return 0, 0, "", errors.New("it cannot be deleted in place")
		}
	}
	line := d.lines[d.lineOf(start)]
	if strings.TrimSpace(string(d.src[line:start])) == "" || line == 0 && bytes.Equal(d.src[:start], bom) {
		last := d.lineOf(max(start, e.end-1))
		if last+1 < len(d.lines) {
			return line, d.lines[last+1], "", nil
		}
		return max(0, line-len(d.newline())), len(d.src), "", nil // the last line has no end
	}
	if i+1 < len(k) && n.Kind == Map {
		// The first setting behind a dash: the next one moves up, unless a comment stands between.
		if bytes.IndexByte(d.src[e.end:k[i+1].start], '#') < 0 {
			return e.start, k[i+1].start, "", nil
		}
	}
	return 0, 0, "", errors.New("it cannot be deleted in place")
}

// replace puts value in the place of n.
func (d *Doc) replace(list []step, n *Node, value string, flow bool) ([]byte, error) {
	if n.alias || !n.exact {
		return nil, errors.New("this value is written in a way that cannot be edited in place")
	}
	text := literal(value, flow)
	if n.Kind == Null && n.start == n.end {
		text = " " + text
	}
	return d.proved(d.splice(n.start, n.end, text), list, func(t *Node) error {
		v, err := parseValue(literal(value, true))
		if err == nil {
			*t = *v
		}
		return err
	})
}

// insert adds the last key of list with value to the group n.
func (d *Doc) insert(list []step, n *Node, value string) ([]byte, error) {
	key := list[len(list)-1].key
	var out []byte
	switch {
	case n.Kind == Null && n == d.Root:
		lead := ""
		if len(d.src) > 0 && d.src[len(d.src)-1] != '\n' && !bytes.Equal(d.src, bom) {
			lead = d.newline()
		}
		out = d.splice(len(d.src), len(d.src), lead+Quote(key, false)+": "+literal(value, false)+d.newline())
	case n.Kind != Map:
		return nil, fmt.Errorf("%s can only be set in a group of settings; here stands %s", quote(key), n.Said())
	case n.alias || !n.exact:
		return nil, errors.New("this group is written in a way that cannot be edited in place")
	case n.Flow:
		out = d.splice(d.intoBracket(n, n.lastEnd(), Quote(key, true)+": "+literal(value, true)))
	default:
		end := d.lineEnd(d.lineOf(max(n.start, n.end-1)))
		out = d.splice(end, end, d.newline()+strings.Repeat(" ", n.place.indent)+Quote(key,
			false)+": "+literal(value, false))
	}
	return d.proved(out, list[:len(list)-1], func(t *Node) error {
		v, err := parseValue(literal(value, true))
		if err == nil {
			if t.Kind == Null {
				t.Kind = Map
			}
			t.Fields = append(t.Fields, Field{&Node{Kind: Scalar, Text: key}, v})
		}
		return err
	})
}

// intoBracket gives the splice that adds text behind the last entry of a flow list or map.
func (d *Doc) intoBracket(n *Node, end int, text string) (int, int, string) {
	if len(n.Items)+len(n.Fields) > 0 {
		text = ", " + text
	}
	return end, end, text
}

func (d *Doc) splice(from, to int, with string) []byte {
	out := make([]byte, 0, len(d.src)+len(with)+to-from)
	out = append(out, d.src[:from]...)
	out = append(out, with...)
	return append(out, d.src[to:]...)
}

// newline gives the line end that the text uses.
func (d *Doc) newline() string {
	if bytes.Contains(d.src, []byte("\r\n")) {
		return "\r\n"
	}
	return "\n"
}

// proved reads the edited text back and compares it with the old values after the same change made
// on the tree.
func (d *Doc) proved(out []byte, list []step, change func(*Node) error) ([]byte, error) {
	want := d.Root.clone()
	n := want
	for _, s := range list {
		n = n.take(s)
		if n == nil {
			return nil, errors.New("this cannot be edited in place")
		}
	}
	if err := change(n); err != nil {
		return nil, err
	}
	got, msgs := Parse(d.Name, out)
	if got.Root == nil || len(msgs) > 0 || !same(got.Root, want) {
		return nil, errors.New("this value is written in a way that cannot be edited in place")
	}
	d.proof.Store(got)
	return out, nil
}

func (n *Node) clone() *Node {
	c := *n
	c.Items, c.Fields = nil, nil
	for _, v := range n.Items {
		c.Items = append(c.Items, v.clone())
	}
	for _, f := range n.Fields {
		c.Fields = append(c.Fields, Field{f.Key.clone(), f.Value.clone()})
	}
	return &c
}

// same compares values, not their places. An empty group and an empty list are not the same, nor is
// nothing.
func same(a, b *Node) bool {
	if a.Kind != b.Kind || a.Text != b.Text || len(a.Items) != len(b.Items) || len(a.Fields) != len(b.Fields) {
		return false
	}
	for i := range a.Items {
		if !same(a.Items[i], b.Items[i]) {
			return false
		}
	}
	for i := range a.Fields {
		if a.Fields[i].Key.Text != b.Fields[i].Key.Text || !same(a.Fields[i].Value, b.Fields[i].Value) {
			return false
		}
	}
	return true
}

// parseValue reads the text of one value.
func parseValue(text string) (*Node, error) {
	doc, msgs := Parse("value", []byte("v: "+text))
	if len(msgs) > 0 {
		return nil, errors.New(msgs[0].Text)
	}
	v := doc.Find("v")
	if v == nil || len(doc.Root.Fields) != 1 {
		return nil, fmt.Errorf("%s is not one value", quote(text))
	}
	return v, nil
}

// literal gives the text of a value as YAML: what opens with a
// bracket or a quote as written, anything else quoted at need.
func literal(value string, flow bool) string {
	v := strings.TrimSpace(value)
	if v != "" && strings.ContainsRune(`[{"'`, rune(v[0])) && !strings.ContainsAny(v, "\r\n") {
		if _, err := parseValue(v); err == nil {
			return v
		}
	}
	return Quote(value, flow)
}

// Quote gives s as a YAML scalar, plain where that reads back as s, else in double quotes. flow:
// inside brackets.
func Quote(s string, flow bool) string {
	if plainScalar(s, flow) {
		return s
	}
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "\ufffd") {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == '\r':
			b.WriteString(`\r`)
		case r < ' ' || r == 0x7f || r == 0x85 || r == 0x2028 || r == 0x2029 || r == 0xfeff:
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

func plainScalar(s string, flow bool) bool {
	if s == "" || s != strings.TrimSpace(s) || s == "~" || strings.Contains(s, "<<") || strings.EqualFold(s, "null") {
		return false
	}
	if strings.ContainsRune("?:,[]{}#&*!|>'\"%@`=", rune(s[0])) ||
		s[0] == '-' && (len(s) == 1 || s[1] == ' ' || s[1] == '-') || strings.HasPrefix(s, "...") {
		return false
	}
	if strings.Contains(s, ": ") || strings.Contains(s, " #") || strings.HasSuffix(s, ":") {
		return false
	}
	if flow && strings.ContainsAny(s, ",[]{}:") {
		return false
	}
	for _, r := range s {
		if unicode.IsControl(r) || unicode.IsSpace(r) && r != ' ' || r == 0xfffd || r == 0xfeff {
			return false
		}
	}
	return true
}
