package ways

import (
	"slices"
	"testing"
)

// TestRefusedSaid: a thing that cannot be done here is told with why; places that are none are one
// line, by what is in the way, whatever their number.
func TestRefusedSaid(t *testing.T) {
	f := &Found{Refused: []Refused{
		{Kind: "second head", Words: "a second head", Why: "it reaches 23 cm into wall 3", Code: "stage.through-wall"},
		{Kind: "place", Words: "move key up", Why: "…", Code: "stage.through-ceiling"},
		{Kind: "place", Words: "move key round", Why: "…", Code: "stage.in-frame"},
		{Kind: "place", Words: "move key in", Why: "…", Code: "stage.reflected"},
		{Kind: "place", Words: "move hair", Why: "…"},
	}}
	want := []string{"Not here: a second head (it reaches 23 cm into wall 3).",
		"Tried and no place for a light: 2 in the picture, 1 through a wall, the ceiling or the floor and " +
			"1 for other reasons (--json lists them)."}
	if got := f.RefusedSaid(); !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	if got := (&Found{}).RefusedSaid(); len(got) != 0 {
		t.Errorf("%q", got)
	}
}
