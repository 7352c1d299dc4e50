package server

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// TestKitOnDisk: a file of kit that comes, or changes, while the program
// runs is there without a new start; a broken one says so and mends.
func TestKitOnDisk(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	in := c.events()
	dir := filepath.Join(filepath.Dir(c.s.book.file.Path), "kit")
	put := func(text string) {
		t.Helper()
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "own.yaml"), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	has := func(name string) bool {
		k := ask[KitView](c, 200, "GET", "/api/kit", nil)
		return slices.ContainsFunc(k.Heads, func(h KitHead) bool { return h.Name == name })
	}
	put("heads: [{name: bench lamp, like: battery head 500}]\n")
	await(t, in, "the kit is told", func(e Event) bool { return e.Kind == "state" && e.What == "kit" })
	if st := c.state(); st.Draft {
		t.Fatalf("the kit is not taken: %+v", st.Messages)
	}
	if !has("bench lamp") {
		t.Error("the new head is not in the kit")
	}
	put("heads: [{name: bench lamp, kind: candle}]\n")
	until(t, "the mistake is told", func() bool { return c.state().Draft })
	put("heads: []\n")
	until(t, "it is mended", func() bool { return !c.state().Draft })
	if has("bench lamp") {
		t.Error("the head is still in the kit")
	}
}
