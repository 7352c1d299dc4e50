package ways

import (
	"fmt"
	"slices"
)

// hindrance is what is in the way of a light, and the findings that say so.
type hindrance struct {
	said  string
	codes []string
}

// noPlace are the reasons why a place is none, by the finding that a light would have there.
var noPlace = []hindrance{
	{"in the picture", []string{"stage.in-frame", "stage.stand-in-frame", "stage.reflected", "stage.in-glasses"}},
	{"through a wall, the ceiling or the floor", []string{"stage.outside", "stage.through-wall",
		"stage.through-ceiling", "stage.through-floor"}},
	{"where something or somebody stands", []string{"stage.in-object", "stage.stand-in-object", "stage.stand-feet",
		"stage.stand-in-door", "stage.in-sitter", "stage.arm-in-sitter", "stage.same-place"}},
	{"beyond what a stand reaches or carries", []string{"stage.load", "stage.stand-height", "stage.pole",
		"stage.leaning"}},
}

// RefusedSaid returns what was thought of and cannot be here: the ways that are no mere place of a
// light each with why, and the places together, by what is in the way.
func (f *Found) RefusedSaid() (out []string) {
	counts, places := make([]int, len(noPlace)+1), 0
	for i := range f.Refused {
		r := &f.Refused[i]
		if r.Kind != "place" {
			out = append(out, fmt.Sprintf("Not here: %s (%s).", r.Words, r.Why))
			continue
		}
		at := slices.IndexFunc(noPlace, func(x hindrance) bool { return slices.Contains(x.codes, r.Code) })
		if at < 0 {
			at = len(noPlace)
		}
		counts[at]++
		places++
	}
	if places == 0 {
		return out
	}
	var parts []string
	for i, n := range counts {
		switch {
		case n == 0:
		case i == len(noPlace):
			parts = append(parts, fmt.Sprintf("%d for other reasons", n))
		default:
			parts = append(parts, fmt.Sprintf("%d %s", n, noPlace[i].said))
		}
	}
	return append(out, fmt.Sprintf("Tried and no place for a light: %s (--json lists them).", list(parts)))
}
