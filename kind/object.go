package kind

// Object is a kind of furniture, or a small thing: what stands in a box of the shoot file.
type Object struct {
	Word    string
	Says    string
	Size    [3]float64 // a usual one: along its front, to its back, high; metres
	Surface string     // a usual surface
	Body    func(r *Solid, w, d, h float64)

	// How a plan draws it.
	Foot  Foot
	Fixed bool // its front is the low side of its box along y, turned by the file alone
	Solid bool // nothing shows between its parts: a stand or a person cannot share its floor
}

// Foot is the outline of a thing from above.
type Foot uint8

const (
	Square Foot = iota + 1 // its box
	Round                  // the disc inside its box
)

var objects = register[Object]{word: func(o *Object) string { return o.Word }}

// FindObject looks a kind of object up by its word.
func FindObject[S ~string](word S) (Object, bool) { return objects.find(string(word)) }

// Objects lists all kinds of object.
func Objects() []Object { return objects.list }

// ObjectWords lists their words.
func ObjectWords() []string { return objects.words() }

// ObjectWord is the word of a kind of object; a file takes no other.
type ObjectWord string

// Words lists what it may be.
func (ObjectWord) Words() []string { return ObjectWords() }
