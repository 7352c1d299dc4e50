package answer

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
)

// assumedRoom has a lamp that shines up and one that shines at a wall.
const assumedRoom = `halfstop: 1
room:
  size: [%s]
  surfaces: {%s}
setups:
  - name: s
    lights:
      - {name: up, emitter: {shape: disc, size: 0.3 m, flux: 1000 lm}, at: [2, 2], height: 1 m, aim: [2, 2, 2]}
      - {name: wall, emitter: {shape: disc, size: 0.3 m, flux: 1000 lm}, at: [2, 2], height: 1 m, aim: wall 1}
    points: [{name: up, at: [1, 1, 1.5], facing: up}, {name: down, at: [1, 2.6, 1.2], facing: down}]
`

func metered(t *testing.T, size, surfaces string) *Metered {
	t.Helper()
	f, doc, list := shoot.Parse("r", fmt.Appendf(nil, assumedRoom, size, surfaces), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	m, list, err := (&Job{File: f, Doc: doc}).Meter(context.Background(), 0, meter.Work{Seed: 1, Samples: 2048})
	if err != nil || m == nil {
		t.Fatal(err, list.Text())
	}
	return m
}

// TestAssumed: a room that says nothing of its walls has that as what matters most where the light
// has bounced; one that says all of it has nothing assumed.
func TestAssumed(t *testing.T) {
	assumed := func(surfaces string) []Assumption { return metered(t, "4, 5, 2.6", surfaces).Assumed() }
	a := assumed("")
	if len(a) != 3 || a[0].Words != "wall reflectance assumed 60 %" || a[0].Stops < a[1].Stops ||
		a[1].Stops < a[2].Stops {
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

// TestAssumedIsTraced: what is said to hang on an assumed surface is what tracing the room with it
// lighter and darker, by one standard deviation of its usual range, makes of the readings. The
// formula knows the shell's mean only and not which wall is near, so the sum over both points is
// held to a factor of 1.6.
func TestAssumedIsTraced(t *testing.T) {
	for _, size := range []string{"4, 5, 2.6", "9, 3, 2.4", "7, 7, 4.5"} {
		m := metered(t, size, "")
		for _, a := range m.Stage.AssumedSurfaces() {
			said, seen := 0.0, 0.0
			sd := map[string]float64{"walls": 0.43, "floor": 0.71, "ceiling": 0.18}[a.Part] // EN 12464-1's ranges
			at := func(stops float64) *Metered {
				r := min(0.95, a.Reflectance*math.Exp2(stops))
				return metered(t, size, fmt.Sprintf("%s: {diffuse: %.3f}", a.Part, r))
			}
			up, down := at(sd), at(-sd)
			for i := range m.Readings {
				back := 0.0
				for _, l := range m.Readings[i].Lights {
					back += l.Share * l.Bounced / (l.Direct + l.Bounced)
				}
				said += math.Log2(1 + (math.Exp2(a.Stops)-1)*back)
				seen += math.Log2(up.Readings[i].Exposure/down.Readings[i].Exposure) / 2
			}
			if said > 1.6*seen || seen > 1.6*said {
				t.Errorf("%s: %s: said %.2f, traced %.2f st", size, a.Part, said/2, seen/2)
			}
		}
	}
}
