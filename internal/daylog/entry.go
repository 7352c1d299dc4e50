package daylog

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Kind is what an entry tells of. The set is closed.
type Kind string

// The kinds.
const (
	Reading  Kind = "reading"  // Value in Unit, of the point Subject
	Tick     Kind = "tick"     // the task Subject is done
	Begun    Kind = "begun"    // the task Subject is under way
	Kit      Kind = "kit"      // Subject is in the van (Text 'out') or home again (Text 'back')
	Dial     Kind = "dial"     // Subject, a light or the camera, was set to Text (Value in Unit)
	Frame    Kind = "frame"    // the frame Subject was taken
	Note     Kind = "note"     // Text
	Late     Kind = "late"     // Value minutes behind the plan; under 0: ahead of it
	Reversal Kind = "reversal" // Reverses does not hold; Text says why
)

var kinds = []Kind{Reading, Tick, Begun, Kit, Dial, Frame, Note, Late, Reversal}

// Units are the units that a value may have; empty: a bare number.
var Units = []string{"", "f", "lx", "lx·s", "cd/m²", "K", "Δu'v'", "stops", "min", "%"}

// Entry is one line of the log.
type Entry struct {
	Seq    int64  `json:"seq"`    // its place in the log, from 1; given by the log
	Client string `json:"client"` // the device or program that it comes from
	Number int64  `json:"number"` // of that client's entries, from 1 without gaps

	Kind     Kind            `json:"kind"`
	Setup    string          `json:"setup,omitempty"`
	Subject  string          `json:"subject,omitempty"`
	Value    *float64        `json:"value,omitempty"`
	Unit     string          `json:"unit,omitempty"`
	Text     string          `json:"text,omitempty"`
	Detail   json.RawMessage `json:"detail,omitempty"`   // whatever else belongs to it: one JSON value
	Reverses int64           `json:"reverses,omitempty"` // Seq of the entry that does not hold

	Who  string    `json:"who,omitempty"`
	Said time.Time `json:"said"` // by the device's clock
	// to add to the device's clock: the log's time as
	// something came, less the device's as it was sent
	OffsetMS int64     `json:"clock_offset_ms"`
	At       time.Time `json:"at"`                   // Said and offset: when it was
	Received time.Time `json:"received"`             // when it reached the log
	Stands   bool      `json:"stands"`               // no reversal that stands is of it
	By       int64     `json:"reversed_by,omitzero"` // Seq of that reversal
}

// Bounds of an entry.
const (
	mostName   = 200      // characters of a name
	mostText   = 4000     // characters of a text
	mostDetail = 16 << 10 // bytes
)

// Invalid says what is wrong with an entry.
type Invalid struct{ What string }

func (e *Invalid) Error() string { return e.What }

func invalid(format string, args ...any) error { return &Invalid{fmt.Sprintf(format, args...)} }

// check says what is wrong with an entry that is to be added; nil where nothing is.
func (e *Entry) check() error {
	if n := len(e.Client); n == 0 || n > 64 || strings.ContainsFunc(e.Client, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("._-", r))
	}) {
		return invalid("client: 1 to 64 letters, digits, dots, dashes and underscores")
	}
	if e.Number < 1 {
		return invalid("number: the entries of a client are numbered from 1")
	}
	known := false
	for _, k := range kinds {
		known = known || k == e.Kind
	}
	if !known {
		return invalid("kind %q: it is one of %v", e.Kind, kinds)
	}
	for name, x := range map[string]struct {
		text  string
		most  int
		lines bool
	}{"setup": {e.Setup, mostName, false}, "subject": {e.Subject, mostName, false}, "who": {e.Who, mostName,
		false}, "text": {e.Text, mostText, true}} {
		if utf8.RuneCountInString(x.text) > x.most {
			return invalid("%s: %d characters are the most", name, x.most)
		}
		if !utf8.ValidString(x.text) || strings.ContainsFunc(x.text,
			func(r rune) bool { return unicode.IsControl(r) && !(x.lines && r == '\n') }) {
			return invalid("%s: it has control characters, or is no UTF-8", name)
		}
	}
	unit := false
	for _, u := range Units {
		unit = unit || u == e.Unit
	}
	if !unit {
		return invalid("unit %q: it is one of %v", e.Unit, Units)
	}
	if v := e.Value; v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0)) {
		return invalid("value: it is not a number")
	}
	if len(e.Detail) > mostDetail || len(e.Detail) > 0 && !json.Valid(e.Detail) {
		return invalid("detail: one JSON value of %d bytes at most", mostDetail)
	}
	if y := e.Said.UTC().Year(); y < 1970 || y > 9999 {
		return invalid("said: the year %d", y)
	}
	if d := time.Duration(e.OffsetMS) * time.Millisecond; e.OffsetMS > 1<<42 || e.OffsetMS < -1<<42 ||
		e.Said.Add(d).UTC().Year() < 1970 {
		return invalid("clock offset: %d ms", e.OffsetMS)
	}
	need := func(ok bool, what string) error {
		if !ok {
			return invalid("a %s needs %s", e.Kind, what)
		}
		return nil
	}
	if (e.Reverses != 0) != (e.Kind == Reversal) {
		return invalid("only a reversal reverses an entry, and it must say which")
	}
	switch e.Kind {
	case Reading:
		if err := need(e.Subject != "" && e.Value != nil, "a point and a value"); err != nil {
			return err
		}
		if *e.Value <= 0 && (e.Unit == "f" || e.Unit == "lx" || e.Unit == "lx·s" || e.Unit == "cd/m²" ||
			e.Unit == "K") {
			return invalid("value: %g %s is no reading", *e.Value, e.Unit)
		}
	case Kit:
		return need(e.Subject != "" && (e.Text == "out" || e.Text == "back"), "a thing, and 'out' or 'back'")
	case Tick, Begun, Frame:
		return need(e.Subject != "", "a name")
	case Dial:
		return need(e.Subject != "" && (e.Text != "" || e.Value != nil), "what was set, and to what")
	case Note:
		return need(e.Text != "", "a text")
	case Late:
		return need(e.Value != nil && (e.Unit == "min" || e.Unit == ""), "minutes")
	}
	return nil
}

// same reports whether two entries of one client and number say the same.
func (e *Entry) same(f *Entry) bool {
	return e.Kind == f.Kind && e.Setup == f.Setup && e.Subject == f.Subject && e.Unit == f.Unit && e.Text == f.Text &&
		bytes.Equal(e.Detail, f.Detail) && e.Reverses == f.Reverses &&
		e.Who == f.Who && (e.Value == nil) == (f.Value == nil) && (e.Value == nil || *e.Value == *f.Value) &&
		e.Said.UnixMilli() == f.Said.UnixMilli()
}
