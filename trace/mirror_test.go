package trace

import (
	"math"
	"testing"

	"halfstop/geom"
)

// The place of an image in a mirror is where the mirrored way crosses it: for an eye and a lamp 2 m
// and 1 m before a wall mirror and 3 m apart along it, two thirds of the way (equal angles). A
// screen between hides it; behind the mirror there is none.
func TestInMirror(t *testing.T) {
	build := func(screen bool) *Scene {
		sc := New()
		sc.AddQuad(geom.V(0, 0, 1), geom.UprightFrame(geom.V(1, 0, 0)), 4, 2, mat(t, sc, Material{Mirror: Grey(0.9)}))
		if screen {
			sc.AddQuad(geom.V(0.5, 1.25, 1), geom.UprightFrame(geom.V(0, 1, 0)), 0.6, 2,
				mat(t, sc, Material{Diffuse: Grey(0.5)}))
		}
		if err := sc.Prepare(); err != nil {
			t.Fatal(err)
		}
		return sc
	}
	eye, lamp := geom.V(2, -1.5, 1), geom.V(1, 1.5, 1)
	at := build(false).MirrorPoints(eye, lamp)
	if len(at) != 1 || at[0].Sub(geom.V(0, 0.5, 1)).Len() > 1e-6 {
		t.Errorf("image at %v, want 0, 0.5, 1", at)
	}
	if at := build(true).MirrorPoints(eye, lamp); len(at) != 0 {
		t.Errorf("a screen stands between, and yet %v", at)
	}
	if at := build(false).MirrorPoints(eye, geom.V(-1, 1.5, 1)); len(at) != 0 {
		t.Errorf("from behind: %v", at)
	}
	if d := math.Abs(at[0].Sub(eye).Unit().X) - math.Abs(lamp.Sub(at[0]).Unit().X); math.Abs(d) > 1e-9 {
		t.Errorf("angles differ by %g", d)
	}
}
