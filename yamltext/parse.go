package yamltext

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"sync/atomic"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"halfstop/diag"
)

// Limits of one text. They stand far above any shoot and
// far under what would hang or fill a machine.
const (
	maxBytes   = 4 << 20
	maxMarks   = 200_000 // structural characters
	maxLine    = 64 << 10
	maxEntries = 5_000   // of one block list or group; the parser takes time with their square
	maxDepth   = 48      // nested lists and maps
	maxNodes   = 200_000 // values, those reached through aliases counted each time
	maxAliases = 200
)

// Doc is a text with its values and their places.
type Doc struct {
	Name string
	Root *Node // nil where the text could not be read at all

	src   []byte
	text  string // src again: lines of messages share it
	lines []int  // byte offset of each line's start
	wide  wideLine
	proof atomic.Pointer[Doc] // the text that the last edit gave, as parsed to prove it
}

// Edited gives the Doc of a text that edits of d led to, one after the other: it
// was parsed to prove the edit and need not be parsed again. Nil for any other
// text. What is kept for this is let go of by Forget. Check: TestEdited.
func (d *Doc) Edited(text []byte) *Doc {
	for e := d.proof.Load(); e != nil; e = e.proof.Load() {
		if bytes.Equal(e.src, text) {
			return e
		}
	}
	return nil
}

// Forget lets go of what Edited gives, so that a Doc that
// is kept does not keep all that came after it.
func (d *Doc) Forget() { d.proof.Store(nil) }

// Source gives the text as read.
func (d *Doc) Source() []byte { return d.src }

// Parse reads src into nodes without decoding. Messages: yaml.syntax, yaml.duplicate, yaml.limit
// and the like. It never panics and refuses what is too large or too deep. Check: FuzzDecode.
func Parse(name string, src []byte) (d *Doc, l diag.List) {
	d = &Doc{Name: name, src: src, text: string(src), lines: lineStarts(src)}
	defer func() {
		// The YAML library may panic on odd input: that is a message, not a crash.
		if r := recover(); r != nil {
			d.Root = nil
			l = diag.List{{Code: "yaml.syntax", Pos: d.At(0, 1),
				Text: "this text cannot be read as YAML: " + fmt.Sprint(r),
				Fix: "look for a quote or a bracket that is not closed; `halfstop check` after each part put " +
					"back tells which part it is"}}
		}
	}()
	if m, bad := d.refuse(); bad {
		return d, diag.List{m}
	}
	body := bytes.ReplaceAll(src, []byte("\r\n"), []byte("\n"))
	body = bytes.TrimPrefix(body, []byte("\ufeff"))
	tokens := lexer.Tokenize(string(body))
	if m, bad := d.refuseTokens(tokens); bad {
		return d, diag.List{m}
	}
	file, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		return d, d.mistakes(d.syntax(err), body)
	}
	c := &converter{doc: d, anchors: map[string]ast.Node{}}
	var root ast.Node
	for _, doc := range file.Docs {
		if doc.Body == nil {
			continue
		}
		if root != nil {
			return d, diag.List{{Code: "yaml.syntax", Pos: d.tokenPos(doc.Body.GetToken()),
				Text: "a second document starts here; one file holds one", Fix: "delete the line ---"}}
		}
		root = doc.Body
	}
	if root == nil {
		d.Root = &Node{Kind: Null, Pos: d.At(0, 1)}
		return d, nil
	}
	d.Root = c.node(root, 0)
	c.list.Sort()
	return d, c.list
}

// refuse stops what must not reach the YAML library.
func (d *Doc) refuse() (diag.Message, bool) {
	limit := func(at int, format string, args ...any) (diag.Message, bool) {
		return diag.Message{Code: "yaml.limit", Pos: d.At(at, 1), Text: fmt.Sprintf(format, args...)}, true
	}
	if len(d.src) > maxBytes {
		return limit(0, "the file has %d bytes; at most %d are read", len(d.src), maxBytes)
	}
	marks, atLineStart := 0, true
	for i := 0; i < len(d.src); {
		r, n := utf8.DecodeRune(d.src[i:])
		switch {
		case r == utf8.RuneError && n == 1:
			return diag.Message{Code: "yaml.encoding", Pos: d.At(i, 1), Text: "this is not UTF-8 text",
				Fix: "save the file as UTF-8"}, true
		case r == 0 || r < ' ' && r != '\n' && r != '\r' && r != '\t' || r == 0x7f || r == 0x85 ||
			r == 0x2028 || r == 0x2029 || r == '\ufeff' && i > 0:
			return diag.Message{Code: "yaml.encoding", Pos: d.At(i, 1),
				Text: fmt.Sprintf("a control character (code %#x) stands here", r), Fix: "delete it"}, true
		case r == '\r' && (i+1 >= len(d.src) || d.src[i+1] != '\n'):
			return diag.Message{Code: "yaml.encoding", Pos: d.At(i, 1),
				Text: "a carriage return without a line feed stands here", Fix: "end lines with a line feed"}, true
		case r == '\t' && atLineStart:
			return diag.Message{Code: "yaml.tab", Pos: d.At(i, 1), Text: "a tab stands in the indentation",
				Fix: "indent with spaces"}, true
		case strings.ContainsRune("[]{},:\n-?&*!", r):
			marks++
		}
		if r == '\n' {
			atLineStart = true
		} else if r != ' ' && r != '\t' {
			atLineStart = false
		}
		i += n
	}
	for i, at := range d.lines {
		if d.lineEnd(i)-at > maxLine {
			return limit(at, "this line is longer than %d characters", maxLine)
		}
	}
	if marks > maxMarks {
		return limit(0, "the file has more than %d entries", maxMarks)
	}
	return diag.Message{}, false
}

// refuseTokens stops nesting that would exhaust the
// parser's stack, and tags, which a shoot never needs.
func (d *Doc) refuseTokens(tokens token.Tokens) (diag.Message, bool) {
	depth, run, aliases, line := 0, 0, 0, 0
	entries := map[int]int{} // of the open blocks, by column
	deepest := 0
	for _, t := range tokens {
		if t.Position == nil {
			continue
		}
		if t.Position.Line != line {
			line, run = t.Position.Line, 0
			col := t.Position.Column
			for ; deepest > col; deepest-- {
				delete(entries, deepest)
			}
			deepest = col
			entries[col]++
			if entries[col] > maxEntries && depth == 0 {
				return diag.Message{Code: "yaml.limit", Pos: d.tokenPos(t),
					Text: fmt.Sprintf("a list or group has more than %d entries",
						maxEntries), Fix: "write long lists of numbers in brackets"}, true
			}
		}
		switch t.Type {
		case token.MappingStartType, token.SequenceStartType:
			depth++
		case token.MappingEndType, token.SequenceEndType:
			depth--
		case token.SequenceEntryType, token.MappingKeyType, token.AnchorType:
			run++
		case token.AliasType:
			aliases++
		case token.TagType, token.DirectiveType:
			return diag.Message{Code: "yaml.tag", Pos: d.tokenPos(t),
				Text: "YAML tags and directives are not used here", Fix: "delete " + quote(t.Value)}, true
		case token.MergeKeyType:
			return diag.Message{Code: "yaml.merge", Pos: d.tokenPos(t),
				Text: "YAML merge keys are not used here", Fix: "write the settings out"}, true
		}
		if depth > maxDepth || run > maxDepth || t.Position.Column > 2000 && t.Type == token.SequenceEntryType {
			return diag.Message{Code: "yaml.limit", Pos: d.tokenPos(t),
				Text: fmt.Sprintf("lists and groups are nested more than %d deep", maxDepth)}, true
		}
		if aliases > maxAliases {
			return diag.Message{Code: "yaml.limit", Pos: d.tokenPos(t),
				Text: fmt.Sprintf("more than %d aliases", maxAliases)}, true
		}
	}
	return diag.Message{}, false
}

// syntax turns the library's first error into a message.
const (
	fixSettings = `write "key: value", or check the indentation`
	fixColon    = "indent entries of one group alike, and put text with a colon in quotes"
)

func (d *Doc) syntax(err error) diag.Message {
	m := diag.Message{Code: "yaml.syntax", Pos: d.At(0, 1), Text: err.Error()}
	var y yaml.Error
	if errors.As(err, &y) {
		m.Text = y.GetMessage()
		if t := y.GetToken(); t != nil {
			m.Pos = d.tokenPos(t)
		}
	}
	switch {
	case strings.Contains(m.Text, "non-map value is specified"):
		m.Text, m.Fix = "here stands a text where settings (key: value) are expected", fixSettings
	case strings.Contains(m.Text, "unexpected key name"), strings.Contains(m.Text, "mapping value is not allowed"):
		m.Text, m.Fix = "this line has a second colon, or is not indented like its neighbours", fixColon
	case strings.Contains(m.Text, "',' or '}' must"), strings.Contains(m.Text, "',' or ']' must"):
		m.Text, m.Fix = "a bracket or brace opened above is not closed before this, or a comma is missing",
			"add the comma, } or ]"
	case strings.Contains(m.Text, "end token '}'"):
		m.Text, m.Fix = "a brace { is opened here and not closed", "add }"
	case strings.Contains(m.Text, "end token ']'"):
		m.Text, m.Fix = "a bracket [ is opened here and not closed", "add ]"
	case strings.Contains(m.Text, "invalid key for this map"):
		m.Text, m.Fix = "a setting has no name before its colon", "write its name, or delete the line"
	case strings.Contains(m.Text, "flow map content"):
		m.Text, m.Fix = "what stands in these braces is not settings (key: value)",
			"put a colon after each key, and a comma between settings"
	case strings.Contains(m.Text, "flow sequence"), strings.Contains(m.Text, "sequence end"):
		m.Text, m.Fix = "what stands in these brackets is not a list", "part its entries by commas, and close it with ]"
	case strings.Contains(m.Text, "quoted"), strings.Contains(m.Text, "double"), strings.Contains(m.Text, "single"):
		m.Text, m.Fix = "a quote is opened here and not closed", "add the closing quote"
	case strings.Contains(m.Text, "value is not allowed in this context"):
		m.Text = "a bracket or brace is missing here, or this line is not indented like its neighbours"
		m.Fix = "close every [ and {, and indent entries of one list alike"
	default:
		m.Text = "this line cannot be read as settings (key: value)"
		m.Fix = "write it as key: value; text with :, #, brackets or quotes in it goes into quotes"
	}
	return m
}

// converter turns the library's tree into nodes.
type converter struct {
	doc     *Doc
	list    diag.List
	anchors map[string]ast.Node
	open    []string // anchors being expanded
	nodes   int
	full    bool
	aliased int
}

func (c *converter) say(code string, pos diag.Pos, fix, format string, args ...any) {
	c.report(diag.Message{Code: code, Pos: pos, Text: fmt.Sprintf(format, args...), Fix: fix})
}

func (c *converter) report(m diag.Message) {
	if len(c.list) < maxMessages {
		c.list = append(c.list, m)
	}
}

func (c *converter) node(a ast.Node, depth int) *Node {
	c.nodes++
	n := &Node{}
	if a == nil {
		return n
	}
	n.Pos = c.doc.tokenPos(a.GetToken())
	n.alias = c.aliased > 0
	if depth > maxDepth || c.nodes > maxNodes {
		if !c.full {
			c.full = true
			c.say("yaml.limit", n.Pos, "",
				"more than %d values, or nested more than %d deep, aliases counted in full", maxNodes, maxDepth)
		}
		return n
	}
	switch a := a.(type) {
	case *ast.AnchorNode:
		c.anchors[anchorName(a.Name)] = a.Value
		return c.node(a.Value, depth)
	case *ast.AliasNode:
		return c.alias(a, n, depth)
	case *ast.MappingNode:
		c.mapping(n, a.Values, a.IsFlowStyle, depth)
		if a.IsFlowStyle {
			c.bracket(n, a.Start, a.End)
		}
	case *ast.MappingValueNode:
		c.mapping(n, []*ast.MappingValueNode{a}, false, depth)
	case *ast.SequenceNode:
		n.Kind, n.Flow = List, a.IsFlowStyle
		for _, v := range a.Values {
			n.Items = append(n.Items, c.node(v, depth+1))
		}
		if a.IsFlowStyle {
			c.bracket(n, a.Start, a.End)
		} else {
			c.block(n, c.doc.tokenPos(a.Start))
		}
	case *ast.NullNode:
		c.null(n, a)
	case *ast.LiteralNode:
		n.Kind, n.Text, n.Quoted = Scalar, a.Value.Value, true
		c.blockScalar(n, a.Start)
	case *ast.StringNode:
		n.Kind, n.Text = Scalar, a.Value
		n.Quoted = a.Token.Type == token.SingleQuoteType || a.Token.Type == token.DoubleQuoteType
		c.scalar(n, a.Token)
	case ast.ScalarNode:
		n.Kind, n.Text = Scalar, strings.TrimSpace(a.GetToken().Value)
		c.scalar(n, a.GetToken())
	default:
		c.say("yaml.syntax", n.Pos, "write it as key: value, or as a list",
			"this kind of YAML (%s) is not used here", a.Type())
	}
	return n
}

func anchorName(n ast.Node) string {
	if n == nil {
		return ""
	}
	return n.GetToken().Value
}

func (c *converter) alias(a *ast.AliasNode, n *Node, depth int) *Node {
	name := anchorName(a.Value)
	target, ok := c.anchors[name]
	if !ok {
		c.say("yaml.alias", n.Pos, "write the value out; text that begins with * goes into quotes",
			"the alias *%s names no anchor above it", name)
		return n
	}
	for _, o := range c.open {
		if o == name {
			c.say("yaml.alias", n.Pos, "write the value out", "the alias *%s stands inside itself", name)
			return n
		}
	}
	c.open = append(c.open, name)
	c.aliased++
	out := c.node(target, depth+1)
	c.aliased--
	c.open = c.open[:len(c.open)-1]
	return out
}

func (c *converter) mapping(n *Node, values []*ast.MappingValueNode, flow bool, depth int) {
	n.Kind, n.Flow = Map, flow
	seen := map[string]diag.Pos{}
	for _, v := range values {
		key := c.key(v.Key)
		if key == nil {
			continue
		}
		if first, dup := seen[key.Text]; dup {
			m := diag.Message{Code: "yaml.duplicate", Pos: key.Pos, Text: fmt.Sprintf("%s is set twice here",
				quote(key.Text)), Fix: "delete one of the two"}
			m.Remarks = []diag.Remark{{Pos: first, Text: "it is set first here"}}
			c.report(m)
			continue
		}
		seen[key.Text] = key.Pos
		value := c.node(v.Value, depth+1)
		if value.Kind == Null && !value.exact {
			// Nothing stands after the colon: the place of the value is just behind it.
			value.Pos = key.Pos
			if v.Start != nil && v.Start.Type == token.MappingValueType {
				if at, ok := c.doc.offset(v.Start.Position); ok && at < len(c.doc.src) && c.doc.src[at] == ':' {
					value.start, value.end, value.exact = at+1, at+1, true
				}
			} else {
				value.start, value.end = -1, -1
			}
		}
		n.Fields = append(n.Fields, Field{key, value})
	}
	if !flow && len(n.Fields) > 0 {
		c.block(n, n.Fields[0].Key.Pos)
	}
}

func (c *converter) key(k ast.MapKeyNode) *Node {
	var a ast.Node = k
	if m, ok := k.(*ast.MappingKeyNode); ok {
		a = m.Value
	}
	n := c.node(a, 0)
	if n.Kind == Null && a != nil && a.GetToken() != nil {
		n.Kind, n.Text = Scalar, strings.TrimSpace(a.GetToken().Value)
	}
	if n.Kind != Scalar {
		c.say("yaml.key", n.Pos, "", "a key must be a single word or phrase")
		return nil
	}
	return n
}

// null finds out whether 'null' or '~' was written, or nothing at all.
func (c *converter) null(n *Node, a *ast.NullNode) {
	n.Kind = Null
	if a.Token == nil || a.Token.Type == token.ImplicitNullType {
		return
	}
	c.scalar(n, a.Token)
	if n.exact && n.end == n.start {
		n.exact = false
	}
	if w := string(c.doc.src[n.start:n.end]); w != "~" && !strings.EqualFold(w, "null") {
		n.exact = false
	}
}

// scalar finds the bytes of a plain or quoted scalar and makes sure of them.
func (c *converter) scalar(n *Node, t *token.Token) {
	src := c.doc.src
	at, ok := c.doc.offset(t.Position)
	if !ok || at >= len(src) {
		return
	}
	n.start, n.end = at, at
	switch {
	case src[at] == '"':
		for i := at + 1; i < len(src); i++ {
			if src[i] == '\\' {
				i++
			} else if src[i] == '"' {
				n.end, n.exact = i+1, true
				break
			}
		}
	case src[at] == '\'':
		for i := at + 1; i < len(src); i++ {
			if src[i] == '\'' && i+1 < len(src) && src[i+1] == '\'' {
				i++
			} else if src[i] == '\'' {
				n.end, n.exact = i+1, true
				break
			}
		}
	default:
		raw := t.Value
		if !bytes.HasPrefix(src[at:], []byte(raw)) {
			c.folded(n, at, raw)
			return
		}
		n.end, n.exact = at+len(raw), true
	}
	n.Pos.Len = max(1, utf8.RuneCount(firstLine(src[n.start:n.end])))
}

// folded finds the end of a plain scalar that runs over
// several lines: its words in order, parted by blanks.
func (c *converter) folded(n *Node, at int, raw string) {
	src, i := c.doc.src, at
	for k, word := range strings.Fields(raw) {
		if k > 0 {
			for i < len(src) && strings.IndexByte(" \t\r\n", src[i]) >= 0 {
				i++
			}
		}
		if !bytes.HasPrefix(src[i:], []byte(word)) {
			return
		}
		i += len(word)
	}
	n.end, n.exact = i, i > at
	n.Pos.Len = max(1, utf8.RuneCount(firstLine(src[n.start:n.end])))
}

// blockScalar finds the bytes of a '|' or '>' scalar: its header and all
// following lines that are blank or deeper than the line it starts on.
func (c *converter) blockScalar(n *Node, t *token.Token) {
	d := c.doc
	at, ok := d.offset(t.Position)
	if !ok || at >= len(d.src) || d.src[at] != '|' && d.src[at] != '>' {
		return
	}
	n.start = at
	line := t.Position.Line - 1
	outer := indentOf(d.line(line))
	end := d.lineEnd(line)
	for i := line + 1; i < len(d.lines); i++ {
		text := d.line(i)
		if strings.TrimSpace(text) == "" {
			continue
		}
		if indentOf(text) <= outer {
			break
		}
		end = d.lineEnd(i)
	}
	n.end, n.exact = end, true
}

// bracket takes the bytes of a flow list or map.
func (c *converter) bracket(n *Node, from, to *token.Token) {
	if from == nil || to == nil {
		return
	}
	a, ok1 := c.doc.offset(from.Position)
	b, ok2 := c.doc.offset(to.Position)
	src := c.doc.src
	if ok1 && ok2 && a < b && b < len(src) && (src[a] == '[' && src[b] == ']' || src[a] == '{' && src[b] == '}') {
		n.start, n.end, n.exact = a, b+1, true
		n.Pos = c.doc.At(a, max(1, utf8.RuneCount(firstLine(src[a:b+1]))))
	}
}

// block takes the bytes of a block list or map from its first entry to the end of its last.
func (c *converter) block(n *Node, first diag.Pos) {
	if !first.Known() {
		return
	}
	at, ok := c.doc.offsetOf(first.Line, first.Col)
	if !ok {
		return
	}
	n.start, n.end, n.exact = at, at, true
	n.place.indent = first.Col - 1
	n.Pos = first
	last := func(v *Node) {
		if v.alias || !v.exact {
			n.exact = false
		}
		n.end = max(n.end, v.end)
	}
	for _, v := range n.Items {
		if v.Kind != Null {
			last(v)
		}
	}
	for _, f := range n.Fields {
		n.end = max(n.end, f.Key.end)
		if f.Value.Kind != Null || f.Value.exact {
			last(f.Value)
		}
	}
}

// parseFloat reads a plain decimal number and refuses
// NaN, infinities, hexadecimals and underscores.
func parseFloat(s string) (float64, error) {
	if s == "" || strings.Trim(s, "0123456789.+-eE") != "" || !strings.ContainsAny(s, "0123456789") {
		return 0, strconv.ErrSyntax
	}
	return strconv.ParseFloat(s, 64)
}
