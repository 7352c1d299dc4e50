package yamltext

import (
	"bytes"
	"regexp"

	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"

	"halfstop/diag"
)

// mostMistakes is how many mistakes of writing are told at once.
const mostMistakes = 8

// keyed is a line with a key: what stands before its value.
var keyed = regexp.MustCompile(`^( *(?:- )?[^\s#\[\]{}"'][^:#]*:)(?: .*)?$`)

// mistakes looks for further mistakes of writing behind the first, each with the faulty lines
// before it emptied. It stops where that would guess: at brackets, whose mistake may stand lines
// before its place, and where the next one does not stand further down.
func (d *Doc) mistakes(first diag.Message, body []byte) diag.List {
	list := diag.List{first}
	lines := bytes.Split(body, []byte("\n"))
	for len(list) < mostMistakes {
		m := list[len(list)-1]
		if m.Fix == "" || !local(m) || m.Pos.Line < 1 || m.Pos.Line > len(lines) {
			return list
		}
		k := keyed.FindSubmatch(lines[m.Pos.Line-1])
		if k != nil {
			lines[m.Pos.Line-1] = k[1]
		} else {
			lines[m.Pos.Line-1] = nil
		}
		next, bad := d.syntaxOf(bytes.Join(lines, []byte("\n")))
		if !bad || next.Pos.Line <= m.Pos.Line {
			return list
		}
		list = append(list, next)
	}
	return list
}

// local tells whether a mistake stands where it was found.
func local(m diag.Message) bool {
	return m.Fix == fixSettings || m.Fix == fixColon
}

// syntaxOf gives the first mistake of writing of a text, said of this document's places. A panic of
// the library is none.
func (d *Doc) syntaxOf(body []byte) (m diag.Message, bad bool) {
	defer func() {
		if recover() != nil {
			m, bad = diag.Message{}, false
		}
	}()
	if _, err := parser.Parse(lexer.Tokenize(string(body)), 0, parser.AllowDuplicateMapKey()); err != nil {
		return d.syntax(err), true
	}
	return diag.Message{}, false
}
