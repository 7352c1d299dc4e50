package yamltext

import (
	"bytes"
	"encoding"
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strconv"
	"strings"
)

// Encode writes a struct as YAML in block style, keys and order as Decode reads them; what is zero
// is left out, unless its tag says keep:"zero". Texts that another reader of YAML could take for a
// number, a time or a truth stand in quotes. It is the reverse of Decode for structs of scalars,
// lists, groups and text types. Check: TestEncode.
func Encode(v any) []byte {
	var b bytes.Buffer
	block(&b, reflect.Indirect(reflect.ValueOf(v)), 0)
	return b.Bytes()
}

// block writes the settings of a struct, each on a line indented by depth.
func block(b *bytes.Buffer, v reflect.Value, depth int) {
	for _, f := range fieldsOf(v.Type()) {
		x, err := v.FieldByIndexErr(f.index)
		if err != nil || x.IsZero() && f.tag.Get("keep") != "zero" {
			continue
		}
		x = reflect.Indirect(x)
		fmt.Fprintf(b, "%s%s:", strings.Repeat("  ", depth), Quote(f.key, false))
		_, texts := x.Interface().(encoding.TextMarshaler)
		switch {
		case !texts && x.Kind() == reflect.Struct:
			b.WriteByte('\n')
			block(b, x, depth+1)
		case x.Kind() == reflect.Slice && x.Len() > 0 && reflect.Indirect(x.Index(0)).Kind() == reflect.Struct:
			b.WriteByte('\n')
			for i := range x.Len() {
				var one bytes.Buffer
				block(&one, reflect.Indirect(x.Index(i)), depth+2)
				text := one.String()
				if text == "" {
					text = strings.Repeat("  ", depth+2) + "{}\n"
				}
				indent := strings.Repeat("  ", depth+1)
				b.WriteString(indent + "- " + text[len(indent)+2:])
			}
		default:
			b.WriteString(" " + flowText(x, false) + "\n")
		}
	}
}

// flowText writes a scalar, or a list of them in brackets.
func flowText(v reflect.Value, inside bool) string {
	v = reflect.Indirect(v)
	if m, ok := v.Interface().(encoding.TextMarshaler); ok {
		text, err := m.MarshalText()
		if err != nil {
			return `""`
		}
		return careful(string(text), inside)
	}
	switch v.Kind() {
	case reflect.Bool:
		return strconv.FormatBool(v.Bool())
	case reflect.Int, reflect.Int64, reflect.Int32:
		return strconv.FormatInt(v.Int(), 10)
	case reflect.Float64, reflect.Float32:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return `""`
		}
		return strconv.FormatFloat(v.Float(), 'f', -1, 64)
	case reflect.Slice, reflect.Array:
		var list []string
		for i := range v.Len() {
			list = append(list, flowText(v.Index(i), true))
		}
		return "[" + strings.Join(list, ", ") + "]"
	}
	return careful(v.String(), inside)
}

// taken are plain texts that YAML 1.1 or 1.2 readers may take for something else than text.
var taken = regexp.MustCompile(`^(?i:y|n|yes|no|on|off|true|false|null|~|[-+.]?[0-9].*)$`)

// careful is Quote, with quotes also where another reader would see no text.
func careful(s string, inside bool) string {
	q := Quote(s, inside)
	if q == s && taken.MatchString(s) {
		if _, err := strconv.ParseFloat(s, 64); err == nil || !strings.ContainsAny(s, " ") {
			return `"` + s + `"`
		}
	}
	return q
}
