package kind

// Cover is a kind of thing that hangs before a window. Shares are common practice, no source.
type Cover struct {
	Word, Says string
	Straight   float64 // share that comes straight through
	Scattered  float64 // share that is scattered into the room
}

var covers = register[Cover]{word: func(c *Cover) string { return c.Word }, list: []Cover{
	{Word: "net", Says: "a net curtain", Straight: 0.4, Scattered: 0.25},
	{Word: "blind", Says: "slats at 45°", Straight: 0.15, Scattered: 0.25},
	{Word: "blackout", Says: "nothing comes through"},
}}

// FindCover looks up what hangs before a window by its word; with no word nothing hangs there.
func FindCover(word string) (Cover, bool) {
	if word == "" {
		return Cover{Straight: 1}, true
	}
	return covers.find(word)
}

// CoverWords lists their words.
func CoverWords() []string { return covers.words() }
