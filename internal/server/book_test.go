package server

import (
	"bytes"
	"fmt"
	"testing"

	"halfstop/internal/demo"
	"halfstop/internal/store"
	"halfstop/yamltext"
)

// TestBookIsBounded: what is kept for undo and for pages that are behind does not grow with the
// number of changes, and undo still works.
func TestBookIsBounded(t *testing.T) {
	// 1 MiB of comment
	long := append(bytes.Clone(demo.Shoot()), bytes.Repeat([]byte("# "+string(bytes.Repeat([]byte("x"), 1021))+"\n"),
		1024)...)
	b := newBook(&store.Shoot{Name: demo.Name, Src: long}, nil, true, keeper{})
	n := 0
	add := func(merge string) {
		n++
		if err := b.change(b.rev, "", "change", merge, func(*yamltext.Doc) ([]byte,
			error) {
			return fmt.Appendf(bytes.Clone(long), "# %d\n", n), nil
		}); err != nil {
			t.Fatal(err)
		}
	}
	for range mostUndo>>20 + 8 {
		add("")
	}
	undo, past := 0, 0
	for _, s := range b.steps {
		undo += len(s.after)
	}
	for _, o := range b.past {
		past += len(o.text)
	}
	if undo > mostUndo || len(b.steps) < mostUndo/len(long)-1 {
		t.Errorf("%d steps hold %d bytes, want as many as fit into %d", len(b.steps), undo, mostUndo)
	}
	if past > mostPast+len(long)+16 {
		t.Errorf("earlier texts take %d bytes, the most is %d and the newest", past, mostPast)
	}
	steps := len(b.steps)
	for range 5 {
		add("drag")
	}
	if len(b.steps) != steps && len(b.steps) != steps+1 || b.steps[len(b.steps)-1].merge != "drag" {
		t.Errorf("a drag made %d steps of %d", len(b.steps), steps)
	}
	before := b.steps[len(b.steps)-1].before
	if err := b.undo(b.rev); err != nil || !bytes.Equal(b.text, before) {
		t.Errorf("undo after the drag: %v", err)
	}
}
