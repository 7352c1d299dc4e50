package yamltext

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"halfstop/diag"
)

// field is one setting of a struct.
type field struct {
	key   string
	index []int
	tag   reflect.StructTag
	typ   reflect.Type
}

// fieldsOf lists the settings of a struct type in order, embedded and ',inline' structs spread.
func fieldsOf(t reflect.Type) []field {
	var out []field
	for i := range t.NumField() {
		f := t.Field(i)
		key, options, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		if key == "-" || !f.IsExported() && !f.Anonymous {
			continue
		}
		if f.Type.Kind() == reflect.Struct && (options == "inline" || f.Anonymous && key == "") {
			for _, g := range fieldsOf(f.Type) {
				g.index = append([]int{i}, g.index...)
				out = append(out, g)
			}
			continue
		}
		if key == "" {
			key = strings.ToLower(f.Name)
		}
		out = append(out, field{key, []int{i}, f.Tag, f.Type})
	}
	return out
}

// FieldInfo describes one setting to generators of references and schemas.
type FieldInfo struct {
	Key  string
	Type reflect.Type
	Tag  reflect.StructTag

	index []int
}

// Value is the setting of a struct of the type that Fields was asked about.
func (f FieldInfo) Value(v reflect.Value) reflect.Value { return v.FieldByIndex(f.index) }

// Worded is a type whose values are the words of a closed set, where a tag cannot list them.
type Worded interface{ Words() []string }

// Words lists the only words that a setting may be; nil: any. A list of them may hold several.
func (f FieldInfo) Words() []string { return wordsOf(f.Type, f.Tag) }

func wordsOf(t reflect.Type, tag reflect.StructTag) []string {
	if w := tag.Get("words"); w != "" {
		return strings.Split(w, "|")
	}
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice {
		t = t.Elem()
	}
	if t.Kind() == reflect.String {
		if w, ok := reflect.Zero(t).Interface().(Worded); ok {
			return w.Words()
		}
	}
	return nil
}

// Fields lists the settings of a struct type in the order of the struct.
func Fields(t reflect.Type) []FieldInfo {
	var out []FieldInfo
	for _, f := range fieldsOf(t) {
		out = append(out, FieldInfo{f.key, f.typ, f.tag, f.index})
	}
	return out
}

func (d *Decoder) structure(v reflect.Value, n *Node) {
	fields := fieldsOf(v.Type())
	if n.Kind != Map {
		keys := keysOf(fields)
		if len(keys) > 6 {
			keys = append(keys[:6:6], "…")
		}
		d.Problem(n, "file.type", "write settings, such as "+keys[0]+": …",
			"%s must be settings (%s); here stands %s", d.what, strings.Join(keys, ", "), n.Said())
		d.fill(v, n)
		return
	}
	meant := d.unknown(v.Type(), fields, n)
	for _, f := range fields {
		d.field(v, f, n, meant[f.key])
	}
}

func keysOf(fields []field) []string {
	var keys []string
	for _, f := range fields {
		keys = append(keys, f.key)
	}
	return keys
}

// unknown reports keys that no field has, and gives the keys that they
// were meant for: a misspelt 'size' is not a missing one as well.
func (d *Decoder) unknown(t reflect.Type, fields []field, n *Node) map[string]bool {
	keys := keysOf(fields)
	meant := map[string]bool{}
	for _, f := range n.Fields {
		if slices.Contains(keys, f.Key.Text) || d.comma(n, f) {
			continue
		}
		of := d.called(t)
		m := diag.Message{Code: "file.unknown-key", Pos: f.Key.Pos,
			Text:    fmt.Sprintf("unknown setting %s of %s", quote(f.Key.Text), of),
			Remarks: []diag.Remark{{Text: "settings here: " + strings.Join(keys, ", ")}}}
		near := diag.Nearest(f.Key.Text, keys)
		for _, x := range fields {
			if also := x.tag.Get("also"); also != "" && strings.EqualFold(also, f.Key.Text) {
				near = x.key
			}
		}
		if near != "" && n.Get(near) == nil {
			m.Fix = "write " + quote(near)
			meant[near] = true
		} else if under := holder(fields, f.Key.Text); under != "" {
			m.Fix = fmt.Sprintf("move %s under %s:", quote(f.Key.Text), under)
		} else {
			m.Fix = n.strayKey(f, keys)
		}
		d.report(m)
	}
	return meant
}

// holder names the one of some settings below which a key belongs; empty for none or several.
func holder(fields []field, key string) string {
	found := ""
	for _, f := range fields {
		t := f.typ
		if t.Kind() == reflect.Pointer {
			t = t.Elem()
		}
		if t.Kind() != reflect.Struct || !slices.Contains(keysOf(fieldsOf(t)), key) {
			continue
		}
		if found != "" {
			return ""
		}
		found = f.key
	}
	return found
}

// strayKey says what to do with a key that is like none of keys: where a colon, a comma or a value
// was lost it names that, else it offers to delete it.
func (n *Node) strayKey(f Field, keys []string) string {
	text := f.Key.Text
	for _, k := range keys {
		if rest, ok := strings.CutPrefix(text, k+" "); ok {
			return "put a colon after " + quote(k) + ": write " + k + ": " + rest
		}
	}
	if n.Flow && f.Value.Kind == Null {
		return "in braces a comma parts settings: put a value that holds a comma in quotes, or write it with a point"
	}
	return "delete " + quote(text) + ", or write one of the settings here in its place"
}

// comma reports the trap '{distance: 2,4 m}', where YAML takes '4 m' as a key of its own. It is
// told once, at that key.
func (d *Decoder) comma(n *Node, f Field) bool {
	before, ok := n.before(f)
	if !ok {
		return false
	}
	d.report(diag.Message{Code: "file.comma", Pos: f.Key.Pos,
		Text: fmt.Sprintf("the comma cuts %s in two: in braces a comma parts settings",
			quote(before.Value.Text+","+f.Key.Text)),
		Fix: "write " + before.Value.Text + "." + f.Key.Text + ", or put the value in quotes"})
	return true
}

// before finds the setting whose decimals f is, where f came of a comma.
func (n *Node) before(f Field) (Field, bool) {
	if !n.Flow || f.Value.Kind != Null || f.Value.exact || !startsWithDigit(f.Key.Text) {
		return Field{}, false
	}
	i := slices.IndexFunc(n.Fields, func(g Field) bool { return g.Key == f.Key })
	if i < 1 || n.Fields[i-1].Value.Kind != Scalar || !digitsOnly(n.Fields[i-1].Value.Text) {
		return Field{}, false
	}
	return n.Fields[i-1], true
}

// cut reports whether the value of f lost its decimals to a
// comma; its own checks would only repeat the message.
func (n *Node) cut(key string) bool {
	for i := range len(n.Fields) - 1 {
		if n.Fields[i].Key.Text == key {
			_, is := n.before(n.Fields[i+1])
			return is
		}
	}
	return false
}

// field decodes one setting, or fills its default. meant:
// a misspelt key was told that stands for it.
func (d *Decoder) field(v reflect.Value, f field, n *Node, meant bool) {
	fv := v.FieldByIndex(f.index)
	value := n.Get(f.key)
	if value == nil || value.Kind == Null {
		if f.tag.Get("need") == "true" && !meant {
			d.missing(d.called(v.Type()), f, n, value)
		}
		d.byDefault(fv, f, n)
		return
	}
	if n.cut(f.key) {
		d.byDefault(fv, f, n)
		return
	}
	bare := d.bare
	d.bare = bare || f.tag.Get("fill") == "no"
	defer func() { d.bare = bare }()
	mark := d.Mark()
	d.value(fv, value, f.key)
	if !d.Failed(mark) {
		d.bounds(fv, f, value)
	}
	if d.Failed(mark) && scalarType(f.typ) {
		fv.SetZero()
		d.byDefault(fv, f, n)
	}
}

// called names a struct: 'a light', or 'the file' for the outermost. A type may say otherwise by a
// method Called() string.
func (d *Decoder) called(t reflect.Type) string {
	if d.what == "the file" {
		return d.what
	}
	if c, ok := reflect.Zero(t).Interface().(interface{ Called() string }); ok {
		return c.Called()
	}
	return noun(t)
}

func (d *Decoder) missing(of string, f field, n, value *Node) {
	m := diag.Message{Code: "file.missing", Pos: n.Pos, Text: fmt.Sprintf("%s needs %s", of, quote(f.key))}
	if value != nil {
		m.Pos, m.Text = value.Pos, fmt.Sprintf("%s has no value", quote(f.key))
	}
	if doc := f.tag.Get("doc"); doc != "" {
		m.Remarks = []diag.Remark{{Text: f.key + ": " + doc}}
	}
	if like := f.tag.Get("like"); like != "" {
		m.Fix = "write " + f.key + ": " + like
	} else if words := wordsOf(f.typ, f.tag); len(words) > 0 {
		m.Fix = "add " + f.key + ": " + words[0]
	} else {
		m.Fix = "add " + f.key + ": …"
	}
	d.report(m)
}

// byDefault fills a setting that is absent.
func (d *Decoder) byDefault(fv reflect.Value, f field, n *Node) {
	if d.bare || f.tag.Get("fill") == "no" {
		return
	}
	if text, ok := f.tag.Lookup("default"); ok {
		d.value(fv, &Node{Kind: Scalar, Text: text, Pos: n.Pos}, f.key)
		return
	}
	d.fill(fv, n)
}

// fill gives a struct that is absent the defaults of its fields.
func (d *Decoder) fill(v reflect.Value, n *Node) {
	if d.bare || v.Kind() != reflect.Struct || v.Addr().Type().Implements(nodeType) ||
		v.Addr().Type().Implements(textType) {
		return
	}
	for _, f := range fieldsOf(v.Type()) {
		d.byDefault(v.FieldByIndex(f.index), f, n)
	}
}

// bounds holds a value to the tags least, most, over, words and count.
func (d *Decoder) bounds(v reflect.Value, f field, n *Node) {
	if want := f.tag.Get("count"); want != "" && v.Kind() == reflect.Slice {
		if !slices.Contains(strings.Split(want, "|"), strconv.Itoa(v.Len())) {
			if n.Kind == Scalar {
				d.Problem(n, "file.count", "write a list in brackets", "%s takes a list of %s", f.key,
					strings.ReplaceAll(want, "|", " or "))
				return
			}
			d.count(n, f.key, strings.ReplaceAll(want, "|", " or "))
			return
		}
	}
	if words := wordsOf(f.typ, f.tag); len(words) > 0 {
		d.words(v, words, f.key, n)
	}
	if f.tag.Get("least")+f.tag.Get("most")+f.tag.Get("over") != "" {
		d.limits(v, f, n)
	}
}

func (d *Decoder) words(v reflect.Value, allowed []string, key string, n *Node) {
	for v.Kind() == reflect.Pointer && !v.IsNil() {
		v = v.Elem()
	}
	if v.Kind() == reflect.Slice {
		for i := range v.Len() {
			at := n
			if i < len(n.Items) {
				at = n.Items[i]
			}
			d.words(v.Index(i), allowed, key, at)
		}
		return
	}
	if v.Kind() == reflect.String {
		d.oneOf(n, key, v.String(), allowed)
	}
}

func (d *Decoder) oneOf(n *Node, key, word string, allowed []string) bool {
	if slices.Contains(allowed, word) {
		return true
	}
	all := []diag.Remark{{Text: "one of: " + strings.Join(allowed, ", ")}}
	fix := "write one of: " + strings.Join(allowed, ", ")
	if near := diag.Nearest(word, allowed); near != "" {
		fix = "write " + quote(near)
	} else if front, back, two := strings.Cut(word, ": "); two && strings.Contains(front, " ") {
		fix = "a comma seems to be missing before the setting of " + quote(back)
	}
	if strings.HasPrefix(fix, "write one of") {
		all = nil // the fix lists them
	}
	d.report(diag.Message{Code: "file.words", Pos: n.Pos, Text: fmt.Sprintf("%s: %s is not known here", key,
		quote(word)), Remarks: all, Fix: fix})
	return false
}

func (d *Decoder) limits(v reflect.Value, f field, n *Node) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			d.limits(v.Elem(), f, n)
		}
		return
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			at := n
			if i < len(n.Items) {
				at = n.Items[i]
			}
			d.limits(v.Index(i), f, at)
		}
		return
	case reflect.Map:
		for _, e := range n.Fields {
			if x := v.MapIndex(reflect.ValueOf(e.Key.Text)); x.IsValid() {
				d.limits(x, f, e.Value)
			}
		}
		return
	}
	var x float64
	switch {
	case v.CanFloat():
		x = v.Float()
	case v.CanInt():
		x = float64(v.Int())
	default:
		return
	}
	bad := func(how, bound string) {
		allowed := map[string]string{"least": "at least ", "over": "over ", "most": "at most "}
		var parts []string
		for _, tag := range []string{"least", "over", "most"} {
			if s := f.tag.Get(tag); s != "" {
				parts = append(parts, allowed[tag]+s)
			}
		}
		d.Problem(n, "file.range", "write a value "+strings.Join(parts, " and "), "%s: %s is %s %s", f.key,
			n.Said(), how, bound)
	}
	if s := f.tag.Get("least"); s != "" && x < bound(s) {
		bad("under the least allowed,", s)
	} else if s := f.tag.Get("over"); s != "" && !(x > bound(s)) {
		bad("not over", s)
	} else if s := f.tag.Get("most"); s != "" && x > bound(s) {
		bad("over the most allowed,", s)
	}
}

func bound(s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("yamltext: bound " + s)
	}
	return x
}
