package answer

import (
	"context"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
)

// TestAssumed: a room that says nothing of its walls has that as what matters most where the light
// has bounced; one that says all of it has nothing assumed.
func TestAssumed(t *testing.T) {
	const room = `halfstop: 1
room:
  size: [4, 5, 2.6]
  surfaces: {%s}
setups:
  - name: s
    lights: [{name: lamp, emitter: {shape: disc, size: 0.3 m, flux: 1000 lm}, at: [2, 2], height: 1 m, aim: [2, 2, 2]}]
    points: [{name: up, at: [1, 1, 1.5], facing: up}, {name: down, at: [1, 4, 1.2], facing: down}]
`
	assumed := func(surfaces string) []Assumption {
		f, doc, list := shoot.Parse("r", []byte(strings.Replace(room, "%s", surfaces, 1)), shoot.Options{})
		if list.Has(diag.Error) {
			t.Fatal(list.Text())
		}
		m, list, err := (&Job{File: f, Doc: doc}).Meter(context.Background(), 0, meter.Work{Seed: 1, Samples: 2048})
		if err != nil || m == nil {
			t.Fatal(err, list.Text())
		}
		return m.Assumed()
	}
	a := assumed("")
	if len(a) != 3 || !strings.HasPrefix(a[0].Words, "walls assumed white emulsion") || a[0].Stops < a[1].Stops ||
		a[1].Stops < a[2].Stops || a[0].Stops < 0.1 || a[0].Stops > 0.5 {
		t.Errorf("%+v", a)
	}
	if a := assumed("all: {diffuse: 0.5}"); len(a) != 0 {
		t.Errorf("all is said, and still %+v", a)
	}
	if a := assumed("walls: {diffuse: 0.5}, ceiling: {diffuse: 0.8}"); len(a) != 1 ||
		!strings.HasPrefix(a[0].Words, "floor") {
		t.Errorf("%+v", a)
	}
}
