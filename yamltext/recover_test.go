package yamltext

import "testing"

// Mistakes of writing are all told, each at its line; what follows from one is not told as another.
func TestAllMistakesOfWriting(t *testing.T) {
	for _, c := range []struct {
		name, src string
		lines     []int
	}{
		{"one", "a: 1\nb: x: y\nc: 3\n", []int{2}},
		{"two", "a: 1\nb: x: y\nc: 3\nd: p: q\ne: 5\n", []int{2, 4}},
		{"inside groups", "room:\n  a: x: y\n  b: 2\nsetups:\n  - name: p: q\n    c: 1\n", []int{2, 5}},
		{"a bracket guesses nothing", "a: [1, 2\nb: 3\nc: x: y\n", []int{0}},
	} {
		doc, list := Parse("t", []byte(c.src))
		if doc.Root != nil || len(list) != len(c.lines) {
			t.Errorf("%s: %v", c.name, list)
			continue
		}
		for i, l := range c.lines {
			if l > 0 && list[i].Pos.Line != l {
				t.Errorf("%s: mistake %d is said at line %d, want %d", c.name, i+1, list[i].Pos.Line, l)
			}
		}
	}
}
