package render

import (
	"context"
	"testing"

	"halfstop/geom"
	"halfstop/picture"
	"halfstop/trace"
)

// Which pixels lie on an emitter's edge does not depend on which of them was exposed first: the
// same picture on any number of threads.
func TestRefineEmitterEdgesThreads(t *testing.T) {
	s, lens := corner(t, geom.V(0.2, 0.5, 1), 0.5)
	const side = 48
	take := func(threads int) *trace.Film {
		f := trace.NewFilm(side, side, 2, lens)
		f.Threads = threads
		if err := s.Scene.Expose(context.Background(), f, 1, 1, nil, nil); err != nil {
			t.Fatal(err)
		}
		mix := picture.Mix{Exposure: 1}
		for _, l := range s.Layers {
			mix.Folds, mix.Weight = append(mix.Folds, l.Fold), append(mix.Weight, l.K)
		}
		if err := RefineEmitterEdges(context.Background(), s.Scene, f, &mix, 1); err != nil {
			t.Fatal(err)
		}
		return f
	}
	one, edges := take(1), 0
	for range 8 {
		many := take(8)
		for i := range side * side {
			if one.At(0, i%side, i/side) != many.At(0, i%side, i/side) ||
				one.At(1, i%side, i/side) != many.At(1, i%side, i/side) {
				t.Fatalf("pixel %d differs", i)
			}
		}
	}
	for i := range side * side {
		if m, v := one.Planes[0].Noise(i); m > 0 && v < 1e300 {
			edges++
		}
	}
	if edges < 20 { // the lamp's rim is some 25 pixels round
		t.Errorf("%d pixels were exposed again", edges)
	}
}
