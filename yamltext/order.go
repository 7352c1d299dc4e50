package yamltext

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Move gives the text with the entry of a list at path standing as entry number to, counted from 0
// in the list as it will be. Its lines go with it, also the comment right above it; blank lines
// between entries stay where they are. Check: TestMove, FuzzDecode.
func (d *Doc) Move(path string, to int) ([]byte, error) {
	return d.arrange(path, func(n, i int) ([]int, error) {
		if to < 0 || to >= n {
			return nil, fmt.Errorf("%s: there are %d entries, so the new place is 0 to %d", path, n, n-1)
		}
		order := numbers(n)
		order = slices.Delete(order, i, i+1)
		return slices.Insert(order, to, i), nil
	})
}

// Copy gives the text with the entry of a list at path written a second time,
// the copy standing as entry number to. Its comments are copied too.
func (d *Doc) Copy(path string, to int) ([]byte, error) {
	return d.arrange(path, func(n, i int) ([]int, error) {
		if to < 0 || to > n {
			return nil, fmt.Errorf("%s: there are %d entries, so the copy's place is 0 to %d", path, n, n)
		}
		return slices.Insert(numbers(n), to, i), nil
	})
}

func numbers(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// arrange writes a list's entries in the order that order says, given their count and the number of
// the entry at path.
func (d *Doc) arrange(path string, order func(n, i int) ([]int, error)) ([]byte, error) {
	list, ok := steps(path)
	if !ok || len(list) < 2 || !list[len(list)-1].item || d.Find(path) == nil {
		return nil, fmt.Errorf("%s: there is no such entry", path)
	}
	parent := d.Root
	for _, s := range list[:len(list)-1] {
		parent = parent.take(s)
	}
	if parent.Kind != List || parent.alias || !parent.exact {
		return nil, fmt.Errorf("%s is written in a way that cannot be edited in place", path)
	}
	is := slices.Index(parent.Items, parent.take(list[len(list)-1]))
	to, err := order(len(parent.Items), is)
	if err != nil {
		return nil, err
	}
	parts, err := d.partsOf(parent)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	between := func(i int) []byte { // what stands behind part i
		switch {
		case i+1 < len(parts):
			return d.src[parts[i].end:parts[i+1].start]
		case len(parts) > 1:
			return d.src[parts[len(parts)-2].end:parts[len(parts)-1].start]
		case parent.Flow:
			return []byte(", ")
		}
		return []byte(d.newline())
	}
	var out []byte
	for k, i := range to {
		out = append(out, d.src[parts[i].start:parts[i].end]...)
		if k+1 < len(to) {
			out = append(out, between(min(k, len(parts)-1))...)
		}
	}
	return d.proved(d.splice(parts[0].start, parts[len(parts)-1].end, string(out)), list[:len(list)-1],
		func(t *Node) error {
			was := t.Items
			t.Items = nil
			for _, i := range to {
				t.Items = append(t.Items, was[i].clone())
			}
			return nil
		})
}

// partsOf gives the bytes of a list's entries: in brackets the values;
// in a block whole lines, with the comment lines right above.
func (d *Doc) partsOf(n *Node) ([]span, error) {
	out := n.entries()
	if n.Flow {
		return out, nil
	}
	floor := 0 // first line that an entry's comments may take
	for i, e := range out {
		dash := bytes.LastIndexByte(d.src[:e.start], '-')
		if dash < 0 {
			return nil, errors.New("this list is written in a way that cannot be edited in place")
		}
		first := d.lineOf(dash)
		if strings.TrimSpace(string(d.src[d.lines[first]:dash])) != "" {
			return nil, errors.New("this list is written in a way that cannot be edited in place")
		}
		last := d.lineOf(max(dash, e.end-1))
		if i == 0 {
			floor = d.lineOf(n.start)
			for floor > 0 && strings.HasPrefix(strings.TrimSpace(d.line(floor-1)), "#") {
				floor--
			}
		}
		for first > floor && strings.HasPrefix(strings.TrimSpace(d.line(first-1)), "#") {
			first--
		}
		out[i] = span{d.lines[first], d.lineEnd(last)}
		floor = last + 1
	}
	return out, nil
}
