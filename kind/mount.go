package kind

// Mount is a way in which a head takes what goes in front of it.
type Mount struct {
	Word, Says string
	Any        bool // takes modifiers made by others, so that one may be changed for another
	Reflector  bool // wants a reflector before it throws its light forward
}

var mounts = register[Mount]{word: func(m *Mount) string { return m.Word }, list: []Mount{
	{Word: "bayonet", Says: "a ring that takes any modifier", Any: true, Reflector: true},
	{Word: "shoe", Says: "a small flash, strapped or bracketed to what is made for it", Any: true},
	{Word: "frame", Says: "a panel with rails for its own doors and grids"},
	{Word: "tube", Says: "a tube in clips"},
	{Word: "lens", Says: "a lamp behind a lens, with its own doors"},
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
