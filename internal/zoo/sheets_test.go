package zoo

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"halfstop/answer"
	"halfstop/meter"
)

// TestZooSheets draws the sheet of every room of the zoo and measures it: no label covers another
// or what is drawn solid, everything that has a name is named, and the drawing takes at least six
// tenths of the paper that the tables leave, one way. The readings are taken with few paths: they
// are figures in a table here. Without HALFSTOP_LONG it does so for some of the rooms.
func TestZooSheets(t *testing.T) {
	rooms, err := Load("../../zoo")
	if err != nil {
		t.Fatal(err)
	}
	some := []string{"car", "mirrors", "stairwell", "night-street", "tiles"}
	for _, r := range rooms {
		if os.Getenv("HALFSTOP_LONG") == "" && !slices.Contains(some, r.Name) {
			continue
		}
		d, _, _, err := r.Job.Plan(context.Background(), 0, answer.PlanWork{Meter: meter.Work{Samples: 1, Seed: 1}})
		if err != nil {
			t.Errorf("%s: %v", r.Name, err)
			continue
		}
		m := d.Measure()
		t.Logf("%-14s 1:%-3d %d pages, %2d of %2d labels, %d overlap, uses %.2f", r.Name, d.Scale(), d.Pages(), m.Named,
			m.Wanted, len(m.Overlaps), m.Used)
		if len(m.Overlaps) > 0 || len(m.Unnamed) > 0 || m.Used < 0.6 {
			t.Errorf("%s: overlaps %q, unnamed %q, uses %.2f of the paper", r.Name, m.Overlaps, m.Unnamed, m.Used)
		}
		if dir := os.Getenv("ZOO_SHEETS"); dir != "" {
			if err := os.WriteFile(filepath.Join(dir, r.Name+".pdf"), d.PDF(), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}
