package answer

import (
	"context"
	"os"
	"runtime"
	"testing"

	"halfstop/diag"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/stage"
)

// TestPictureThreads: a quick picture of a room with coats, cloth and hot spots is the same to the
// last bit on one thread and on four.
func TestPictureThreads(t *testing.T) {
	const room = "../zoo/curtain.yaml"
	src, err := os.ReadFile(room)
	if err != nil {
		t.Fatal(err)
	}
	file, doc, list := shoot.Parse(room, src, shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	take := func(threads int) *render.Frame {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(threads))
		s, list := stage.Build(file, doc, 0, stage.Options{})
		if s == nil {
			t.Fatal(list.Text())
		}
		f, err := render.Expose(context.Background(), s, render.Work{Width: 24, Height: 36, Samples: 1, Seed: 77,
			Solo: -1})
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	one, four := take(1), take(4)
	for l := range one.Stage.Layers {
		a, b := one.Linear(l), four.Linear(l)
		for i := range a {
			if a[i] != b[i] {
				t.Fatalf("layer %d, pixel %d: %v on one thread, %v on four", l, i, a[i], b[i])
			}
		}
	}
}
