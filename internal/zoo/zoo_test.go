package zoo

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
)

// stated are the findings that a room is there with: hard beams from behind are in the picture on
// purpose.
var stated = map[string][]string{
	"stage-haze": {"back left is in the frame", "back mid left is in the frame", "back mid right is in the frame",
		"back right is in the frame"},
}

func isStated(room, text string) bool {
	return slices.ContainsFunc(stated[room], func(s string) bool { return strings.HasPrefix(text, s) })
}

// TestRooms: there are rooms enough, each parses, builds without anything found but what is stated,
// and its points and its picture's levels are numbers.
func TestRooms(t *testing.T) {
	rooms, err := Load("../../zoo")
	if err != nil {
		t.Fatal(err)
	}
	if len(rooms) < 12 {
		t.Errorf("%d rooms; the zoo is to have twelve at least", len(rooms))
	}
	for _, r := range rooms {
		t.Run(r.Name, func(t *testing.T) {
			t.Parallel()
			if n := len(r.Job.File.Setups); n != 1 {
				t.Fatalf("it has %d setups, not one", n)
			}
			s, list := r.Job.Stage(0, figure.Shadow)
			if s == nil || s.View == nil || s.Sitter == nil {
				t.Fatalf("no stage with a camera and a sitter: %s", list.Text())
			}
			for _, m := range list {
				if m.Severity != diag.Caution && !isStated(r.Name, m.Text) {
					t.Errorf("found: %s", m.Text)
				}
			}
			m, _, err := r.Job.Meter(context.Background(), 0, meter.Work{Seed: 1, Start: 1, Samples: 64})
			if err != nil {
				t.Fatal(err)
			}
			lit := 0
			for _, p := range m.Readings {
				if math.IsNaN(float64(p.Stops)) || math.IsNaN(p.Exposure) || p.Exposure < 0 {
					t.Errorf("%s reads %v, %v stops", p.Name, p.Exposure, p.Stops)
				}
				// The look of each room is of the face's key side; its picture is exposed for that
				// within two stops.
				if p.Name == "face key side" && math.Abs(float64(p.Stops)) < 2 {
					lit++
				}
			}
			if lit == 0 {
				t.Error(
					"the face's key side is not within two stops of mid-grey: nothing could be judged by its picture")
			}
		})
	}
}
