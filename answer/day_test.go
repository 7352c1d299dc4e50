package answer

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"halfstop/day"
	"halfstop/shoot"
)

// dayOf plans the day of a file under the module's root.
func dayOf(t *testing.T, name string, p day.Progress) *Day {
	t.Helper()
	src, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	f, doc, list := shoot.Parse(name, src, shoot.Options{})
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	j := &Job{File: f, Doc: doc}
	d, _, err := j.Day(context.Background(), DayWork{Progress: p, Days: 500, Seed: 1})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return d
}

// TestDayOfEveryRoom: the rooms of the zoo and the demonstration are
// planned; nobody is in two places, and every task has its people.
func TestDayOfEveryRoom(t *testing.T) {
	files, err := filepath.Glob("../zoo/*.yaml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d rooms, %v", len(files), err)
	}
	for _, name := range append(files, "../internal/demo/launderette/shoot.yaml") {
		d := dayOf(t, name, day.Progress{})
		for i, a := range d.Tasks {
			if a.Seconds <= 0 {
				t.Errorf("%s: %s takes no time", name, a.ID)
			}
			for _, b := range d.Tasks[:i] {
				if a.Start < b.Start+b.Seconds && b.Start < a.Start+a.Seconds &&
					slices.ContainsFunc(a.People, func(s string) bool { return slices.Contains(b.People, s) }) {
					t.Errorf("%s: somebody does %s and %s at once", name, a.ID, b.ID)
				}
			}
		}
	}
}

// TestDayLate: what is done is not done again, and the sentence says what falls out.
func TestDayLate(t *testing.T) {
	const demo = "../internal/demo/launderette/shoot.yaml"
	full := dayOf(t, demo, day.Progress{})
	if len(full.Setups) != 3 || !full.Setups[0].In || !full.Proven {
		t.Fatalf("%+v", full.Setups)
	}
	now := 18*3600 + 15*60
	late := dayOf(t, demo, day.Progress{Now: now, Done: []string{"Aisle: shoot"}})
	for _, k := range late.Tasks {
		if k.Setup == "Aisle" || k.Start < now {
			t.Errorf("%s at %s is planned again", k.ID, k.Begin)
		}
	}
	in := 0
	for _, s := range late.Setups {
		if s.In {
			in++
		}
	}
	if in != 1 {
		t.Errorf("%d setups are planned from 18:15; there is time for one: %s", in, late.Sentence)
	}
}
