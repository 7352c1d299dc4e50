package kind

// Modifier is a kind of modifier.
type Modifier struct {
	Word   string   // as a kit's `kind` says it: 'softbox'
	Says   string   // what it is, in a few words
	Mounts []string // words of the mounts that such a thing is commonly made for
	Shape  string   // the shape of its face: 'rectangle', 'disc', 'sphere'; empty: as the head or as what it sits on

	// How its face shines, beside the figures of the kit.
	Octagon bool    // an even disc of the kit stands for an octagon of its area
	Plate   float64 // radius of the plate that hides the middle of its face, as a share of the face's diameter

	// Body builds what stands behind its face.
	Body func(r *Solid, f Rig)
	Symbol

	// What else is done with it.
	Grid     string // a grid of the catalogue that fits it; empty: none
	Swap     bool   // one may be put in another's place for more or less light
	HotHeads bool   // may go on a hot head as it is
	Folds    bool   // it comes folded in a bag and is opened before it is mounted
}

var modifiers = register[Modifier]{word: func(m *Modifier) string { return m.Word }}

// FindModifier looks a kind of modifier up by its word.
func FindModifier[S ~string](word S) (Modifier, bool) { return modifiers.find(string(word)) }

// Modifiers lists all kinds of modifier.
func Modifiers() []Modifier { return modifiers.list }

// ModifierWords lists their words.
func ModifierWords() []string { return modifiers.words() }

// ModifierWord is the word of a kind of modifier; a file takes no other.
type ModifierWord string

// Words lists what it may be.
func (ModifierWord) Words() []string { return ModifierWords() }
