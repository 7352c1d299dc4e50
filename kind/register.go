package kind

import (
	"slices"
	"strings"
)

// register holds the kinds of one sort by their words; those that files of their own add are in the
// order of the alphabet.
type register[T any] struct {
	list []T
	word func(*T) string
}

func (t *register[T]) add(v T) T {
	t.list = append(t.list, v)
	slices.SortFunc(t.list, func(a, b T) int { return strings.Compare(t.word(&a), t.word(&b)) })
	return v
}

// find looks a kind up by its word; case and spaces at the ends do not matter.
func (t *register[T]) find(word string) (T, bool) {
	for i := range t.list {
		if strings.EqualFold(t.word(&t.list[i]), strings.TrimSpace(word)) {
			return t.list[i], true
		}
	}
	var none T
	return none, false
}

func (t *register[T]) words() []string {
	out := make([]string, len(t.list))
	for i := range t.list {
		out[i] = t.word(&t.list[i])
	}
	return out
}

// Symbol is how a plan and a section draw a body, in shares of its own size: the outline of its
// face, and how it narrows to the back.
type Symbol struct {
	// Sides are the corners of a round face that is none: 8 for an octagon across flats; 0: as the
	// face's shape.
	Sides int
	// Sections are outlines of the body like the face's, each {share of the face's size, share of
	// the depth behind it}, from front to back. A share of 0 is a point. The body is what wraps
	// round them.
	Sections [][2]float64
	// Ribs are the rods along a round body, from its rim to its back; a
	// shaft runs through it along its axis. Sides have theirs.
	Ribs int
	// Flat are the sections of a body no deeper than ShallowDepth; nil: as Sections.
	Flat [][2]float64
}

// ShallowDepth is the depth up to which a body is drawn with straight sides, metres.
const ShallowDepth = 0.15

// At gives the sections of a body of this depth, metres.
func (y Symbol) At(depth float64) [][2]float64 {
	if depth <= ShallowDepth && y.Flat != nil {
		return y.Flat
	}
	return y.Sections
}

// straight are the sections of a body as wide behind as in front.
var straight = [][2]float64{{1, 0}, {1, 1}}
