package trace

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"halfstop/geom"
)

// A fault while light is carried must reach the caller, who can catch it.
func TestFaultReachesCaller(t *testing.T) {
	sc := New()
	sc.Layers = 1
	f := geom.UprightFrame(geom.V(0, 0, -1))
	sc.AddEmitter(Sphere(0, geom.V(0, 0, 2), 0.5, f.N, 1, nil, func(geom.Vec) float64 { panic("on purpose") }))
	if err := sc.Prepare(); err != nil {
		t.Skip(err)
	}
	caught := func(do func()) (said string) {
		defer func() {
			if v := recover(); v != nil {
				said = fmt.Sprint(v)
			}
		}()
		do()
		return ""
	}
	if s := caught(func() {
		_, _ = sc.Measure(context.Background(), []Receptor{{Kind: Flat, Facing: geom.V(0, 0, 1)}},
			MeasureOptions{Start: 1, Most: 1})
	}); !strings.HasPrefix(s, "on purpose") {
		t.Errorf("Measure: %q", s)
	}
	lens := Lens{Axis: geom.V(0, 0, 1), Right: geom.V(1, 0, 0), Up: geom.V(0, 1, 0), Width: 0.036, Height: 0.024,
		Image: 0.05, Focus: 2}
	if s := caught(
		func() { _ = sc.Expose(context.Background(), NewFilm(8, 8, 1, lens), 1, 1, nil, nil) }); !strings.HasPrefix(s,
		"on purpose") {
		t.Errorf("Expose: %q", s)
	}
}
