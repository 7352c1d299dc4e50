// Package diag holds messages about what a person wrote: place, what was seen, the limit and where it comes from, what to do.
//
// It must not know what the messages are about. A plan that cannot work reads like a file that cannot be parsed.
package diag

// Pos is a place in a file. Line and Col count from 1; Col counts characters, not bytes. Zero Line: no place known.
type Pos struct {
	File      string `json:"file,omitempty"`
	Line, Col int
	Len       int // characters to underline, at least 1 where Line is set
}

// Severity orders messages.
type Severity uint8

const (
	Error   Severity = iota // cannot go on; exit code 2
	Finding                 // the plan does not work as written; exit code 1
	Caution                 // someone could be hurt, or the venue must be asked
	Note                    // worth knowing
)

// Note is a second place or a remark that belongs to a message ('the ceiling is set here').
type Remark struct {
	Pos  Pos
	Text string
}

// Message is one complaint.
type Message struct {
	Severity Severity
	Code     string // stable, dotted, lower case: 'shoot.unknown-key'
	Pos      Pos
	Text     string // names the thing and the value seen, and the limit
	Remarks  []Remark
	Fix      string // an action: 'write "height"'
}

// List is a set of messages in file order.
type List []Message
