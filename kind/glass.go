package kind

import "slices"

// Glass is a kind of pane. Figures are common practice, no source; what clear glass passes is
// Fresnel's and lies in package trace.
type Glass struct {
	Word, Says string
	Also       []string // other words for it
	Panes      int      // how many, one behind the other
	Dirty      bool     // with the dirt of a year in a town
	Tint       float64  // share at right angles, instead of clear glass; 0: clear
	Diffuse    float64  // share that is scattered evenly, at every angle; 0: it is seen through
}

var glasses = register[Glass]{word: func(g *Glass) string { return g.Word }, list: []Glass{
	{Word: "none", Says: "an open hole in the wall"},
	{Word: "single clear", Says: "one clear pane", Also: []string{"", "clear", "single"}, Panes: 1},
	{Word: "double clear", Says: "two clear panes", Also: []string{"double"}, Panes: 2},
	{Word: "single dirty", Says: "one pane, not cleaned for a year", Also: []string{"dirty"}, Panes: 1, Dirty: true},
	{Word: "double dirty", Says: "two panes, not cleaned for a year", Panes: 2, Dirty: true},
	{Word: "tinted", Says: "grey body-tinted float", Panes: 1, Tint: 0.55},
	{Word: "frosted", Says: "etched or patterned: light, and no view", Panes: 1, Diffuse: 0.75},
}}

// FindGlass looks a kind of pane up by its word; no word is single clear.
func FindGlass(word string) (Glass, bool) {
	if g, ok := glasses.find(word); ok {
		return g, true
	}
	for _, g := range glasses.list {
		if slices.Contains(g.Also, word) {
			return g, true
		}
	}
	return Glass{}, false
}

// GlassWords lists their words.
func GlassWords() []string { return glasses.words() }
