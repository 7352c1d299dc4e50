package yamltext

import (
	"halfstop/diag"
)

// Kind says what a Node is.
type Kind uint8

// The kinds of nodes.
const (
	Null Kind = iota
	Scalar
	List
	Map
)

// String names the kind for messages.
func (k Kind) String() string {
	return [...]string{"nothing", "a single value", "a list", "a group of settings"}[k]
}

// Node is one value of the text with its place.
type Node struct {
	Kind   Kind
	Text   string  // of a scalar: its value, without quotes
	Quoted bool    // the scalar stood in quotes or as a block
	Flow   bool    // a list or map in brackets
	Items  []*Node // of a list
	Fields []Field // of a map, in order of the text; never two of one name
	Pos    diag.Pos

	start, end int   // bytes of the source: [start, end)
	exact      bool  // start and end are known for sure
	alias      bool  // reached through an alias
	place      place // column of the first entry and the like, for edits
}

// Field is one key of a map and its value.
type Field struct {
	Key   *Node
	Value *Node
}

// place holds what edits need to know of a block or a bracket.
type place struct {
	indent int // characters before the entries of a block
}

// Get finds the value of a key; nil where it is absent.
func (n *Node) Get(key string) *Node {
	if n == nil {
		return nil
	}
	for _, f := range n.Fields {
		if f.Key.Text == key {
			return f.Value
		}
	}
	return nil
}

// Number reads a plain finite number from a scalar.
func (n *Node) Number() (float64, bool) {
	if n == nil || n.Kind != Scalar || n.Quoted {
		return 0, false
	}
	x, err := parseFloat(n.Text)
	return x, err == nil
}

// Said gives what stands there, in a few words, for messages: '"2,4 m"' or 'a list'.
func (n *Node) Said() string {
	if n == nil {
		return Null.String()
	}
	if n.Kind == Scalar {
		return quote(n.Text)
	}
	return n.Kind.String()
}
