package server

import (
	"bytes"
	"fmt"
	"slices"

	"halfstop/yamltext"
)

// mergeTexts is a three-way merge: it joins two changes of one text where they do not touch the
// same thing. ok is false where they do: then nothing is decided here.
//
// It goes by lines first, so that comments and spelling of both stay; where both changed one line
// it goes by settings, and writes ours into theirs. Where all three texts can be read, the result
// must say exactly what the two changes say together. Check: TestMergeTexts.
func mergeTexts(name string, base, ours, theirs []byte) (merged []byte, ok bool) {
	switch {
	case bytes.Equal(ours, theirs), bytes.Equal(base, ours):
		return theirs, true
	case bytes.Equal(base, theirs):
		return ours, true
	}
	lines, clean := merge3(bytes.SplitAfter(base, []byte("\n")), bytes.SplitAfter(ours, []byte("\n")),
		bytes.SplitAfter(theirs, []byte("\n")), bytes.Equal, nil)
	text := bytes.Join(lines, nil)
	b, o, t := rootOf(name, base), rootOf(name, ours), rootOf(name, theirs)
	if b == nil || o == nil || t == nil {
		return text, clean // a draft: there is nothing to hold it against
	}
	want, ok := mergeNodes(b, o, t)
	if !ok {
		return nil, false
	}
	if clean && yamltext.Same(rootOf(name, text), want) {
		return text, true
	}
	doc, _ := yamltext.Parse(name, theirs)
	text, err := edited(doc, theirs, editsTo(t, want, ""))
	if err != nil || !yamltext.Same(rootOf(name, text), want) || !remarked(base, ours, text) {
		return nil, false
	}
	return text, true
}

// overTexts joins two changes of one text by lines; where both changed the same ones ours stand.
// Where that cannot be read and ours can, ours stands as a whole.
func overTexts(name string, base, ours, theirs []byte) []byte {
	lines := func(text []byte) [][]byte { return bytes.SplitAfter(text, []byte("\n")) }
	was := lines(base)
	a, b := hunks(was, lines(ours), bytes.Equal), hunks(was, lines(theirs), bytes.Equal)
	b = slices.DeleteFunc(b, func(y hunk[[]byte]) bool {
		return slices.ContainsFunc(a, func(x hunk[[]byte]) bool { return !apart(x, y) })
	})
	all := append(slices.Clone(a), b...)
	slices.SortFunc(all, func(x, y hunk[[]byte]) int { return x.from - y.from })
	var out [][]byte
	at := 0
	for _, h := range all {
		out = append(append(out, was[at:h.from]...), h.with...)
		at = h.to
	}
	text := bytes.Join(append(out, was[at:]...), nil)
	if rootOf(name, text) == nil && rootOf(name, ours) != nil {
		return ours
	}
	return text
}

// remarked reports whether every remark that ours has and base has not stands in text.
func remarked(base, ours, text []byte) bool {
	for line := range bytes.Lines(ours) {
		if i := bytes.IndexByte(line, '#'); i >= 0 {
			if remark := bytes.TrimSpace(line[i:]); !bytes.Contains(base, remark) && !bytes.Contains(text, remark) {
				return false
			}
		}
	}
	return true
}

func rootOf(name string, text []byte) *yamltext.Node {
	doc, list := yamltext.Parse(name, text)
	if doc == nil || len(list) > 0 {
		return nil
	}
	return doc.Root
}

// mergeNodes joins two changes of one value; nil stands for an absent one.
func mergeNodes(base, ours, theirs *yamltext.Node) (*yamltext.Node, bool) {
	switch {
	case yamltext.Same(ours, theirs), yamltext.Same(base, ours):
		return theirs, true
	case yamltext.Same(base, theirs):
		return ours, true
	case base == nil || ours == nil || theirs == nil || base.Kind != ours.Kind || base.Kind != theirs.Kind:
		return nil, false
	}
	out := *theirs
	out.Items, out.Fields = nil, nil
	switch base.Kind {
	case yamltext.Map:
		for _, f := range theirs.Fields {
			v, ok := mergeNodes(base.Get(f.Key.Text), ours.Get(f.Key.Text), f.Value)
			if !ok {
				return nil, false
			}
			if v != nil {
				out.Fields = append(out.Fields, yamltext.Field{Key: f.Key, Value: v})
			}
		}
		for _, f := range ours.Fields {
			if theirs.Get(f.Key.Text) != nil {
				continue
			}
			v, ok := mergeNodes(base.Get(f.Key.Text), f.Value, nil)
			if !ok {
				return nil, false
			}
			if v != nil {
				out.Fields = append(out.Fields, yamltext.Field{Key: f.Key, Value: v})
			}
		}
		return &out, true
	case yamltext.List:
		var ok bool
		out.Items, ok = merge3(base.Items, ours.Items, theirs.Items, yamltext.Same, mergeNodes)
		return &out, ok
	}
	return nil, false
}

// editsTo gives the edits that make a value say what another says.
func editsTo(from, to *yamltext.Node, path string) []Edit {
	if yamltext.Same(from, to) {
		return nil
	}
	var out []Edit
	switch {
	case from.Kind == yamltext.Map && to.Kind == yamltext.Map:
		for _, f := range from.Fields {
			p := yamltext.Join(path, f.Key.Text)
			if v := to.Get(f.Key.Text); v == nil {
				out = append(out, Edit{Delete: p})
			} else {
				out = append(out, editsTo(f.Value, v, p)...)
			}
		}
		for _, f := range to.Fields {
			if from.Get(f.Key.Text) == nil {
				out = append(out, Edit{Set: yamltext.Join(path, f.Key.Text), Value: f.Value.Write()})
			}
		}
		return out
	case from.Kind == yamltext.List && to.Kind == yamltext.List && len(from.Items) > 0 &&
		len(from.Items) <= len(to.Items):
		for i, v := range to.Items {
			if i < len(from.Items) {
				out = append(out, editsTo(from.Items[i], v, fmt.Sprintf("%s[%d]", path, i))...)
			} else {
				out = append(out, Edit{Append: path, Value: v.Write()})
			}
		}
		return out
	}
	return []Edit{{Set: path, Value: to.Write()}}
}

// hunk is a stretch of the base, [from, to), and what stands in its place.
type hunk[T any] struct {
	from, to int
	with     []T
}

// merge3 joins two changes of a sequence. Where both changed the same stretch, inner joins entry by
// entry if it is given and both kept the count; else ok is false.
func merge3[T any](base, ours, theirs []T, same func(a, b T) bool,
	inner func(base, ours, theirs T) (T, bool)) (out []T, ok bool) {
	a, b := hunks(base, ours, same), hunks(base, theirs, same)
	at := 0
	for len(a) > 0 || len(b) > 0 {
		switch {
		case len(b) == 0 || len(a) > 0 && apart(a[0], b[0]) && a[0].from < b[0].from:
			out = append(append(out, base[at:a[0].from]...), a[0].with...)
			at, a = a[0].to, a[1:]
		case len(a) == 0 || apart(a[0], b[0]):
			out = append(append(out, base[at:b[0].from]...), b[0].with...)
			at, b = b[0].to, b[1:]
		default:
			x, y := a[0], b[0]
			if x.from != y.from || x.to != y.to || len(x.with) != len(y.with) {
				return nil, false
			}
			out = append(out, base[at:x.from]...)
			for i := range x.with {
				switch {
				case same(x.with[i], y.with[i]):
					out = append(out, x.with[i])
				case inner != nil && len(x.with) == x.to-x.from:
					v, ok := inner(base[x.from+i], x.with[i], y.with[i])
					if !ok {
						return nil, false
					}
					out = append(out, v)
				default:
					return nil, false
				}
			}
			at, a, b = x.to, a[1:], b[1:]
		}
	}
	return append(out, base[at:]...), true
}

// apart reports whether two changes touch no common entry and do not add at the same place.
func apart[T any](a, b hunk[T]) bool {
	if a.from == b.from {
		return false
	}
	return a.to <= b.from || b.to <= a.from
}

// hunks gives what was changed from a to b, by their longest common subsequence.
func hunks[T any](a, b []T, same func(a, b T) bool) []hunk[T] {
	head := 0
	for head < len(a) && head < len(b) && same(a[head], b[head]) {
		head++
	}
	tail := 0
	for tail < len(a)-head && tail < len(b)-head && same(a[len(a)-1-tail], b[len(b)-1-tail]) {
		tail++
	}
	x, y := a[head:len(a)-tail], b[head:len(b)-tail]
	if len(x) == 0 && len(y) == 0 {
		return nil
	}
	const most = 4 << 20
	if len(x)*len(y) > most {
		return []hunk[T]{{head, len(a) - tail, slices.Clone(y)}}
	}
	w := len(y) + 1
	long := make([]int32, (len(x)+1)*w) // of x[i:] and y[j:]
	for i := len(x) - 1; i >= 0; i-- {
		for j := len(y) - 1; j >= 0; j-- {
			if same(x[i], y[j]) {
				long[i*w+j] = long[(i+1)*w+j+1] + 1
			} else {
				long[i*w+j] = max(long[(i+1)*w+j], long[i*w+j+1])
			}
		}
	}
	var out []hunk[T]
	i, j := 0, 0
	for i < len(x) || j < len(y) {
		if i < len(x) && j < len(y) && same(x[i], y[j]) {
			i, j = i+1, j+1
			continue
		}
		h := hunk[T]{from: head + i}
		for (i < len(x) || j < len(y)) && !(i < len(x) && j < len(y) && same(x[i], y[j])) {
			if j == len(y) || i < len(x) && long[(i+1)*w+j] >= long[i*w+j+1] {
				i++
			} else {
				h.with = append(h.with, y[j])
				j++
			}
		}
		h.to = head + i
		out = append(out, h)
	}
	return out
}
