package ways

import (
	"strings"
	"testing"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/stage"
)

// TestNothingThroughTheCeiling: where a light cannot stand as the file has it, no way keeps it
// there and none is listed that cannot stand itself: every way is taken into the file and built
// again (trade case 14: a smaller box, the key lower, nearer or bounced; never a light through
// the ceiling). What is changed of a room stands as old → new.
func TestNothingThroughTheCeiling(t *testing.T) {
	for _, c := range []struct {
		name, room string
		change     []string // pairs
		said       string
		kinds      string // one of them is on the list
	}{
		{"octa through a low ceiling", "low-cellar", nil, "through the ceiling", "place modifier"},
		{"the look is met, the octa is through the ceiling", "low-cellar",
			[]string{"3:1 sides", "4.3:1 sides", "power: 1/32", "power: 1/8 - 0.4"}, "through the ceiling",
			"place modifier"},
		{"through a wall", "wide-frontal", []string{"at: [2.4, 2.2]", "at: [2.4, 0.1]"}, "into wall", "place"},
		{"no room for its feet", "corner-bar", []string{"at: [1.75, 0.7]", "at: [1.75, 0.2]"}, "stand", "place"},
	} {
		t.Run(c.name, func(t *testing.T) {
			src := room(t, c.room)
			for i := 0; i+1 < len(c.change); i += 2 {
				if !strings.Contains(src, c.change[i]) {
					t.Fatalf("%q is not in the room", c.change[i])
				}
				src = strings.Replace(src, c.change[i], c.change[i+1], 1)
			}
			j := jobOf(t, src)
			f := waysOf(t, j, Work{Meter: meter.Work{Seed: 1}})
			if len(f.Cannot) == 0 || !strings.Contains(f.Sentence(), c.said) {
				t.Errorf("%v is not said: %s", f.Cannot, f.Sentence())
			}
			kind := false
			for i := range f.Ways {
				w := &f.Ways[i]
				kind = kind || strings.Contains(c.kinds, string(w.Kind))
				text, err := w.Apply(j.Doc)
				if err != nil {
					t.Errorf("%s: %v", w.Words, err)
					continue
				}
				file, doc, list := shoot.Parse("way", text, shoot.Options{})
				if list.Has(diag.Error) {
					t.Errorf("%s: %s", w.Words, list.Text())
					continue
				}
				_, list = (&Shoot{File: file, Doc: doc}).stageOf(0, stage.Options{Mesh: sitter})
				if len(cannotStand(list)) > 0 {
					t.Errorf("%s: %s", w.Words, cannotStand(list).Text())
				}
			}
			if !kind {
				t.Errorf("none of %s is among %d ways", c.kinds, len(f.Ways))
			}
		})
	}
}
