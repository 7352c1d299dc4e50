package server

import (
	"context"
	"fmt"
	"io/fs"
	"reflect"
	"testing"

	"halfstop/figure"
	"halfstop/internal/demo"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/trace"
)

// demonstration parses the demonstration with one setting of its first setup changed.
func demonstration(t *testing.T, path, value string) (*shoot.File, func(stage.Options) *stage.Stage) {
	t.Helper()
	src := demo.Shoot()
	_, doc, _ := shoot.Parse(demo.Name, src, shoot.Options{})
	if path != "" {
		next, err := doc.Set(path, value)
		if err != nil {
			t.Fatal(err)
		}
		src = next
	}
	f, doc, list := shoot.Parse(demo.Name, src, shoot.Options{})
	if f == nil {
		t.Fatal(list.Text())
	}
	return f, func(o stage.Options) *stage.Stage {
		o.Files, o.Detail = func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) }, figure.Shadow
		s, list := stage.Build(f, doc, 0, o)
		if s == nil {
			t.Fatal(list.Text())
		}
		return s
	}
}

// TestSettled drags things of the demonstration about: the stage built
// like the one before meets the same things with every ray, and once
// settled measures what a stage built anew does, bit for bit.
func TestSettled(t *testing.T) {
	for _, c := range []struct{ path, value string }{
		{"setups[0].lights[0].at", "[4.3, 1.4]"},
		{"setups[0].lights[0].height", "1.7 m"},
		{"setups[0].sitter.at", "[3.1, 2.2]"},
		{"setups[0].camera.at", "[5, 3]"},
		{"setups[0].lights[0].modifier", "softbox 60x90"},
		{"room.outline[0]", "[0, 0]"},
		{"setups[0].lights[1].off", "true"},
	} {
		_, first := demonstration(t, "", "")
		old := first(stage.Options{})
		_, next := demonstration(t, c.path, c.value)
		cold := next(stage.Options{})
		warm := next(stage.Options{Like: old})
		measure := func(s *stage.Stage) string {
			var recs []trace.Receptor
			for _, p := range s.Points[:4] {
				if p.Incident != nil {
					recs = append(recs, *p.Incident)
				}
			}
			m, err := s.Scene.Measure(context.Background(), recs, trace.MeasureOptions{Seed: 3, Start: 1, Most: 1})
			if err != nil {
				t.Fatal(err)
			}
			return fmt.Sprint(m)
		}
		if a, b := measure(cold), measure(warm.Canonical()); a != b {
			t.Errorf("%s: the settled stage measures other light than one built anew", c.path)
		}
		b := cold.Scene.Bounds()
		for i := range 4000 {
			h := func(k int) float64 { x := float64(i*7+k) * 0.6180339887498949; return x - float64(int(x)) }
			o := b.Lo
			o.X, o.Y, o.Z = o.X+h(1)*b.Size().X, o.Y+h(22)*b.Size().Y, o.Z+h(333)*b.Size().Z
			d := b.Centre().Sub(o)
			d.X, d.Y = d.X+h(4)-0.5, d.Y+h(5)-0.5
			d = d.Unit()
			t1, ok1 := cold.Scene.FirstHit(o, d)
			t2, ok2 := warm.Scene.FirstHit(o, d)
			if t1 != t2 || ok1 != ok2 {
				t.Fatalf("%s: a ray meets a surface at %v, in the tree built anew at %v", c.path, t2, t1)
			}
		}
		if !reflect.DeepEqual(cold.Points, warm.Points) {
			t.Errorf("%s: other points", c.path)
		}
	}
}
