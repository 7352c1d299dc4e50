package yamltext

import (
	"encoding"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"unicode"

	"halfstop/diag"
)

// NodeUnmarshaler is implemented by types that may be written in several forms. It reports mistakes
// through d.
type NodeUnmarshaler interface {
	UnmarshalNode(d *Decoder, n *Node)
}

// Decoder carries one decoding: the text, and the messages so far.
type Decoder struct {
	doc  *Doc
	list diag.List
	what string // the setting being read, for messages
	bare bool   // defaults are not filled
}

// maxMessages ends decoding of a text that is wrong throughout.
const maxMessages = 200

// Decode reads src into the struct that into points at.
//
// All mistakes are told at once, in file order; one mistake gives one message. Fields of settings
// with a mistake keep their default or zero value, so that later checks can go on. Doc is never
// nil. Codes: yaml.* for text that is no YAML, file.* for settings: file.unknown-key, file.missing,
// file.type, file.value, file.range, file.words, file.count, file.comma.
// Check: TestDecode*, FuzzDecode.
func Decode(name string, src []byte, into any) (*Doc, diag.List) {
	return decode(name, src, into, false)
}

// DecodeSparse is Decode without filling defaults: what is absent
// stays zero, so that one text can be laid over another.
func DecodeSparse(name string, src []byte, into any) (*Doc, diag.List) {
	return decode(name, src, into, true)
}

// DecodeDoc is Decode of a text that was parsed without a message.
func DecodeDoc(doc *Doc, into any) diag.List { return doc.decode(nil, into, false) }

func decode(name string, src []byte, into any, bare bool) (*Doc, diag.List) {
	doc, list := Parse(name, src)
	if doc.Root == nil {
		return doc, list
	}
	return doc, doc.decode(list, into, bare)
}

// decode reads the nodes into a struct; list holds what was found before.
func (doc *Doc) decode(list diag.List, into any, bare bool) diag.List {
	d := &Decoder{doc: doc, list: list, what: "the file", bare: bare}
	v := reflect.ValueOf(into).Elem()
	if doc.Root.Kind == Null {
		d.Problem(doc.Root, "file.missing", "begin it with halfstop: 1", "the file is empty")
		d.fill(v, doc.Root)
	} else {
		d.value(v, doc.Root, "the file")
	}
	d.list.Sort()
	return d.list
}

// Defaults fills the struct that into points at with the values of its default tags.
func Defaults(into any) {
	d := &Decoder{doc: &Doc{lines: []int{0}}}
	d.fill(reflect.ValueOf(into).Elem(), &Node{Kind: Map})
}

// Problem reports a mistake at n. fix is an action, or "".
func (d *Decoder) Problem(n *Node, code, fix, format string, args ...any) {
	d.report(diag.Message{Code: code, Pos: n.Pos, Text: fmt.Sprintf(format, args...), Fix: fix})
}

func (d *Decoder) report(m diag.Message) {
	if len(d.list) < maxMessages {
		d.list = append(d.list, m)
	} else if len(d.list) == maxMessages {
		d.list = append(d.list, diag.Message{Code: "file.many", Pos: m.Pos,
			Text: fmt.Sprintf("more than %d mistakes; the rest is not shown", maxMessages)})
	}
}

// What names the setting being read: 'colour'.
func (d *Decoder) What() string { return d.what }

// Into decodes n into the variable that p points at, by the same rules as a field of a struct.
func (d *Decoder) Into(n *Node, p any) { d.value(reflect.ValueOf(p).Elem(), n, d.what) }

// Failed reports whether messages were added since mark, which Mark gave.
func (d *Decoder) Failed(mark int) bool { return len(d.list) > mark }

// Mark counts the messages so far.
func (d *Decoder) Mark() int { return len(d.list) }

// Scalar gives the text of a scalar, or reports that something else stands there.
func (d *Decoder) Scalar(n *Node, expected string) (string, bool) {
	if n.Kind == Scalar {
		return n.Text, true
	}
	d.Problem(n, "file.type", d.oneValue(n), "%s must be %s; here stands %s", d.what, expected, n.Said())
	return "", false
}

// oneValue says how a single value is written where a list, settings or nothing stand.
func (d *Decoder) oneValue(n *Node) string {
	switch {
	case n.Kind == List && len(n.Items) > 0 && n.Items[0].Kind == Scalar:
		return "write " + n.Items[0].Text + " alone, without brackets"
	case n.Kind == Map && len(n.Fields) > 0 && n.Flow:
		return "write one value without braces; text with a colon in it goes into quotes"
	case n.Kind == Map && len(n.Fields) > 0:
		return "write one value on the line of " + quote(d.what) + "; text with a colon in it goes into quotes"
	}
	return "write one value, or delete " + quote(d.what)
}

// Number gives a finite number from a scalar, decimal
// comma understood, or reports what stands there.
func (d *Decoder) Number(n *Node) (float64, bool) {
	t, ok := d.Scalar(n, "a number")
	if !ok {
		return 0, false
	}
	x, err := parseFloat(t)
	if err == nil && math.Abs(x) <= 1e300 {
		return x, true
	}
	if front, back, one := strings.Cut(t, ","); one && len(back) > 0 && (len(back) != 3 || front == "0") {
		if x, err := parseFloat(front + "." + back); err == nil {
			return x, true
		}
	}
	d.Problem(n, "file.value", "write a number", "%s: %s is not a number", d.what, quote(t))
	return 0, false
}

var (
	textType = reflect.TypeFor[encoding.TextUnmarshaler]()
	nodeType = reflect.TypeFor[NodeUnmarshaler]()
)

// value decodes n into v. what names the setting.
func (d *Decoder) value(v reflect.Value, n *Node, what string) {
	before := d.what
	d.what = what
	defer func() { d.what = before }()
	if v.Kind() == reflect.Pointer {
		p := reflect.New(v.Type().Elem())
		mark := d.Mark()
		d.value(p.Elem(), n, what)
		if !d.Failed(mark) || p.Elem().Kind() == reflect.Struct {
			v.Set(p)
		}
		return
	}
	switch p := v.Addr().Interface().(type) {
	case NodeUnmarshaler:
		p.UnmarshalNode(d, n)
		return
	case encoding.TextUnmarshaler:
		d.text(p, n)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		d.structure(v, n)
	case reflect.Slice:
		d.slice(v, n)
	case reflect.Array:
		d.array(v, n)
	case reflect.Map:
		d.dict(v, n)
	case reflect.String:
		if t, ok := d.Scalar(n, "text"); ok {
			v.SetString(t)
		}
	case reflect.Bool:
		d.boolean(v, n)
	case reflect.Float64, reflect.Float32:
		if x, ok := d.Number(n); ok {
			v.SetFloat(x)
		}
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int16, reflect.Int8:
		d.integer(v, n)
	default:
		panic("yamltext: cannot decode into " + v.Type().String())
	}
}

// fixer is an error that says what to write instead.
type fixer interface {
	error
	What() string
	Fix() string
}

func (d *Decoder) text(p encoding.TextUnmarshaler, n *Node) {
	t, ok := d.Scalar(n, "a single value")
	if !ok {
		return
	}
	err := p.UnmarshalText([]byte(t))
	if err == nil {
		return
	}
	var f fixer
	if errors.As(err, &f) {
		d.Problem(n, "file.value", f.Fix(), "%s: %s", d.what, f.What())
		return
	}
	d.Problem(n, "file.value", "write it as docs/shoot-file.md shows it, or delete "+quote(d.what), "%s: %s",
		d.what, err)
}

func (d *Decoder) boolean(v reflect.Value, n *Node) {
	t, ok := d.Scalar(n, "true or false")
	if !ok {
		return
	}
	switch strings.ToLower(t) {
	case "true", "yes":
		v.SetBool(true)
	case "false", "no":
		v.SetBool(false)
	default:
		d.Problem(n, "file.value", "write true or false", "%s: %s is neither true nor false", d.what, quote(t))
	}
}

func (d *Decoder) integer(v reflect.Value, n *Node) {
	t, ok := d.Scalar(n, "a whole number")
	if !ok {
		return
	}
	x, err := strconv.ParseInt(t, 10, v.Type().Bits())
	if err != nil {
		d.Problem(n, "file.value", "write a whole number", "%s: %s is not a whole number", d.what, quote(t))
		return
	}
	v.SetInt(x)
}

// slice takes a list, or one scalar for a list of scalars.
func (d *Decoder) slice(v reflect.Value, n *Node) {
	if n.Kind == Scalar && scalarType(v.Type().Elem()) {
		one := reflect.MakeSlice(v.Type(), 1, 1)
		mark := d.Mark()
		d.value(one.Index(0), n, d.what)
		if !d.Failed(mark) {
			v.Set(one)
		}
		return
	}
	if n.Kind != List {
		d.notList(n, v.Type().Elem())
		return
	}
	out := reflect.MakeSlice(v.Type(), len(n.Items), len(n.Items))
	for i, item := range n.Items {
		if item.Kind == Null {
			d.Problem(n.entryNode(item), "file.empty", "fill it in or delete it", "entry %d of %s is empty",
				i+1, d.what)
			continue
		}
		d.value(out.Index(i), item, d.what)
	}
	v.Set(out)
}

func (d *Decoder) notList(n *Node, elem reflect.Type) {
	fix := "write a list in brackets: [" + firstOf(n) + "]"
	if n.Kind == Map && elem.Kind() == reflect.Struct {
		fix = `begin each entry with "- "`
	}
	d.Problem(n, "file.type", fix, "%s must be a list; here stands %s", d.what, n.Said())
}

// firstOf is what a list might begin with where n stands in its place.
func firstOf(n *Node) string {
	if n.Kind == Scalar {
		return n.Text
	}
	return "…"
}

// entryNode gives a place for an empty entry.
func (n *Node) entryNode(item *Node) *Node {
	if item.Pos.Known() {
		return item
	}
	return n
}

func (d *Decoder) array(v reflect.Value, n *Node) {
	if n.Kind != List {
		d.Problem(n, "file.type", "write "+exampleOf(v.Len()), "%s must be a list of %d; here stands %s",
			d.what, v.Len(), n.Said())
		return
	}
	if len(n.Items) != v.Len() {
		d.count(n, d.what, strconv.Itoa(v.Len()))
		return
	}
	for i, item := range n.Items {
		if item.Kind == Null {
			d.Problem(n.entryNode(item), "file.empty", "fill it in", "entry %d of %s is empty", i+1, d.what)
			continue
		}
		d.value(v.Index(i), item, d.what)
	}
}

func exampleOf(n int) string {
	return "[" + strings.Join([]string{"1", "2", "0.5", "1", "1", "1"}[:min(n, 6)], ", ") + "]"
}

// count reports a wrong number of entries, and the comma that may have caused it.
func (d *Decoder) count(n *Node, what, want string) {
	m := diag.Message{Code: "file.count", Pos: n.Pos, Text: fmt.Sprintf("%s has %s; it takes %s", what,
		entries(len(n.Items)), want)}
	for i := 1; n.Flow && i < len(n.Items); i++ {
		if a, b := n.Items[i-1], n.Items[i]; a.exact && b.exact && b.start == a.end+1 && digitsOnly(a.Text) &&
			startsWithDigit(b.Text) {
			m.Remarks = append(m.Remarks,
				diag.Remark{Text: "in brackets a comma parts entries; decimals are written with a point"})
			m.Fix = "write " + a.Text + "." + b.Text
			break
		}
	}
	for _, item := range n.Items {
		// '[1.2 3, 0]' lost its comma: one entry holds two values.
		if front, back, two := strings.Cut(item.Text, " "); m.Fix == "" && two &&
			startsWithDigit(strings.TrimPrefix(back, "-")) {
			m.Fix = "put a comma between " + front + " and " + back
		}
	}
	if m.Fix == "" {
		m.Fix = "write " + want + " entries in brackets, with a comma between them"
	}
	d.report(m)
}

func entries(n int) string {
	if n == 1 {
		return "1 entry"
	}
	return strconv.Itoa(n) + " entries"
}

func digitsOnly(s string) bool {
	s = strings.TrimLeft(s, "+-")
	return s != "" && strings.Trim(s, "0123456789") == ""
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

func (d *Decoder) dict(v reflect.Value, n *Node) {
	if n.Kind != Map {
		d.Problem(n, "file.type", "write key: value, each on a line of its own",
			"%s must be settings (key: value); here stands %s", d.what, n.Said())
		return
	}
	out := reflect.MakeMapWithSize(v.Type(), len(n.Fields))
	what := d.what
	for _, f := range n.Fields {
		if d.comma(n, f) {
			continue
		}
		if f.Value.Kind == Null {
			d.Problem(f.Key, "file.empty", "fill it in or delete it", "%s of %s has no value",
				quote(f.Key.Text), what)
			continue
		}
		e := reflect.New(v.Type().Elem()).Elem()
		d.value(e, f.Value, f.Key.Text)
		out.SetMapIndex(reflect.ValueOf(f.Key.Text).Convert(v.Type().Key()), e)
	}
	v.Set(out)
}

// scalarType reports whether values of t are written as one scalar.
func scalarType(t reflect.Type) bool {
	p := reflect.PointerTo(t)
	if p.Implements(nodeType) || p.Implements(textType) {
		return true
	}
	switch t.Kind() {
	case reflect.String, reflect.Float64, reflect.Int, reflect.Bool:
		return true
	}
	return false
}

// noun makes 'a light' of the type Light.
func noun(t reflect.Type) string {
	var b strings.Builder
	for i, r := range t.Name() {
		if unicode.IsUpper(r) && i > 0 {
			b.WriteByte(' ')
		}
		b.WriteRune(unicode.ToLower(r))
	}
	name := b.String()
	if name == "" {
		return "a group"
	}
	if strings.ContainsRune("aeiou", rune(name[0])) {
		return "an " + name
	}
	return "a " + name
}
