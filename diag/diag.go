// Package diag holds messages about what a person wrote: the place, what was seen, the limit with
// its origin, and what to do.
//
// It must not know what the messages are about. A plan that cannot work and a file that cannot be
// parsed give messages of one form.
package diag

import (
	"cmp"
	"slices"
)

// Pos is a place in a file. Line and Col count from 1; Col counts characters, not bytes. Zero Line:
// no place known.
type Pos struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Col    int    `json:"col,omitempty"`
	Len    int    `json:"len,omitempty"`    // characters to underline, at least 1 where Line is set
	Source string `json:"source,omitempty"` // the line as it stands in the file, without its end
	// of the setting there: 'room.windows[0].from'; only in the workbench's answers
	Path string `json:"path,omitempty"`
}

// Known reports whether p names a line.
func (p Pos) Known() bool { return p.Line > 0 }

// Severity is the gravity of a message; a lower value is graver.
type Severity uint8

// The severities, gravest first.
const (
	Error   Severity = iota // cannot go on; exit code 2
	Finding                 // the plan does not work as written; exit code 1
	Caution                 // someone could be hurt, or the venue must be asked
	Note                    // worth knowing
)

var severityWords = [...]string{"error", "finding", "caution", "note"}

// String gives 'error', 'finding', 'caution' or 'note'.
func (s Severity) String() string {
	if int(s) < len(severityWords) {
		return severityWords[s]
	}
	return "note"
}

// MarshalText writes the word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the word; anything unknown is a note.
func (s *Severity) UnmarshalText(b []byte) error {
	*s = Note
	if i := slices.Index(severityWords[:], string(b)); i >= 0 {
		*s = Severity(i)
	}
	return nil
}

// Remark is a second place, or one more sentence, that belongs to a message ('the ceiling is set
// here').
type Remark struct {
	Pos  Pos    `json:"at,omitzero"`
	Text string `json:"text"`
}

// Message is one mistake, finding, caution or note.
type Message struct {
	Severity Severity `json:"severity"`
	Code     string   `json:"code"` // stable, dotted, lower case: 'shoot.unknown-key'
	Pos      Pos      `json:"at,omitzero"`
	Text     string   `json:"text"`              // names the thing and the value seen, and the limit
	Remarks  []Remark `json:"remarks,omitempty"` // where the limit comes from
	Fix      string   `json:"fix,omitempty"`     // an action: 'write "height"'
	// Accepted tells that the shoot takes it as it is, and why is in Text.
	Accepted bool `json:"accepted,omitempty"`
}

// List is a set of messages in file order.
type List []Message

// Sort orders messages by file, line and column; messages without a place come last. It is stable.
func (l List) Sort() {
	slices.SortStableFunc(l, func(a, b Message) int {
		return cmp.Or(
			cmp.Compare(unplaced(a.Pos), unplaced(b.Pos)),
			cmp.Compare(a.Pos.File, b.Pos.File),
			cmp.Compare(a.Pos.Line, b.Pos.Line),
			cmp.Compare(a.Pos.Col, b.Pos.Col),
			cmp.Compare(a.Severity, b.Severity),
		)
	})
}

func unplaced(p Pos) int {
	if p.Known() {
		return 0
	}
	return 1
}

// Has reports whether any message is of severity s.
func (l List) Has(s Severity) bool {
	return slices.ContainsFunc(l, func(m Message) bool { return m.Severity == s })
}

// ExitCode is the exit code of a command with these messages: 2 with an error, 1 with a finding,
// else 0.
func (l List) ExitCode() int {
	switch {
	case l.Has(Error):
		return 2
	case l.Has(Finding):
		return 1
	}
	return 0
}

// Err returns the list as an error where it holds a message of severity Error, else nil.
func (l List) Err() error {
	if l.Has(Error) {
		return listError(l)
	}
	return nil
}

type listError List

func (e listError) Error() string { return List(e).Text() }

// Messages returns the list inside an error made by List.Err; nil for any other.
func Messages(err error) List {
	if e, ok := err.(listError); ok {
		return List(e)
	}
	return nil
}
