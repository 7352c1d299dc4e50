package kit

import "halfstop/spectrum"

// Problem is what keeps a head from being resolved, or an entry of the kit from making sense: what
// was seen, and what to do.
type Problem struct {
	Code string // stable: 'kit.unknown-head'
	List string // 'heads', 'modifiers', …, where an entry is at fault
	Name string // the entry
	Key  string // the entry's key, '' for the whole
	Text string
	Fix  string
}

// Error gives text and fix in one line.
func (p *Problem) Error() string {
	if p.Fix == "" {
		return p.Text
	}
	return p.Text + "; " + p.Fix
}

func unknown[T any](what, code string, list []T, written string) *Problem {
	p := &Problem{Code: code, Text: "the kit has no " + what + " \"" + written + "\""}
	var names []string
	for _, e := range list {
		name, _ := nameOf(e)
		names = append(names, name)
	}
	if n := spectrum.Nearest(written, names); n != "" {
		p.Fix = "write \"" + n + "\", or add it to the kit"
	} else {
		p.Fix = "add it to the kit"
	}
	return p
}
