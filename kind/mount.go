package kind

// Mount is a way in which a head takes what goes in front of it.
type Mount struct {
	Word, Says string
	Any        bool   // takes any modifier that is made for it, so one may be changed for another
	Symbol     Symbol // how a plan draws the head alone
}

var mounts = register[Mount]{word: func(m *Mount) string { return m.Word }, list: []Mount{
	{Word: "bayonet", Says: "a ring that takes any modifier", Any: true, Symbol: Symbol{Sections: straight}},
	{Word: "shoe", Says: "a small flash, strapped or bracketed to what is made for it", Any: true, Symbol: Symbol{Sides: 4, Sections: straight}},
	{Word: "frame", Says: "a panel with rails for its own doors and grids", Symbol: Symbol{Sides: 4, Sections: straight}},
	{Word: "tube", Says: "a tube in clips", Symbol: Symbol{Sides: 4, Sections: straight}},
	{Word: "lens", Says: "a lamp behind a lens, with its own doors", Symbol: Symbol{Sections: straight}},
}}

// FindMount looks a mount up by its word.
func FindMount[S ~string](word S) (Mount, bool) { return mounts.find(string(word)) }

// Mounts lists all mounts.
func Mounts() []Mount { return mounts.list }

// MountWords lists their words.
func MountWords() []string { return mounts.words() }

// MountWord is the word of a kind of mount; a file takes no other.
type MountWord string

// Words lists what it may be.
func (MountWord) Words() []string { return MountWords() }
