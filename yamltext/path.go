package yamltext

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// PathAt gives the path of the setting that holds a line and column (from
// 1, columns in characters): of the smallest value or key there. Empty
// where none does. Entries of lists are by number. Check: TestPathAt.
func (d *Doc) PathAt(line, col int) string {
	at, ok := d.offsetOf(line, col)
	if !ok || d.Root == nil {
		return ""
	}
	path, n := "", d.Root
down:
	for {
		for i, v := range n.Items {
			if !v.alias && at >= v.start && at < max(v.end, v.start+1) {
				path, n = fmt.Sprintf("%s[%d]", path, i), v
				continue down
			}
		}
		for _, f := range n.Fields {
			from, to := f.Key.start, max(f.Key.end, f.Key.start+1)
			if !f.Value.alias && f.Value.exact {
				to = max(to, f.Value.end)
			}
			if at >= from && at < to {
				path, n = Join(path, f.Key.Text), f.Value
				continue down
			}
		}
		return path
	}
}

// Join gives the path of a key inside the group at path;
// a key with a dot or bracket is put in quotes.
func Join(path, key string) string {
	if key == "" || strings.ContainsAny(key, `.[]"`) {
		key = strconv.Quote(key)
	}
	if path == "" {
		return key
	}
	return path + "." + key
}

// Same reports whether two values are the same whatever
// their places and quotes. Two absent ones are.
func Same(a, b *Node) bool {
	if a == nil || b == nil {
		return a == b
	}
	return same(a, b)
}

// Write gives a value as text in brackets, as Set and Append take it.
func (n *Node) Write() string {
	switch {
	case n == nil || n.Kind == Null:
		return "~"
	case n.Kind == Scalar:
		if n.Quoted {
			return strconv.Quote(n.Text)
		}
		return Quote(n.Text, true)
	}
	var parts []string
	for _, v := range n.Items {
		parts = append(parts, v.Write())
	}
	for _, f := range n.Fields {
		parts = append(parts, Quote(f.Key.Text, true)+": "+f.Value.Write())
	}
	inner := strings.Join(slices.Clip(parts), ", ")
	if n.Kind == List {
		return "[" + inner + "]"
	}
	return "{" + inner + "}"
}
