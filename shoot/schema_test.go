package shoot

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"halfstop/yamltext"
)

// validator judges a value by the part of JSON Schema that Schema uses; any other keyword is a
// failure.
type validator struct {
	root object
	odd  []string
}

func (v *validator) ok(s object, x any) bool {
	for k := range s {
		if !slices.Contains(strings.Fields(
			"$schema $defs title description default examples type properties required additionalProperties anyOf "+
				"$ref enum items minItems maxItems minimum maximum exclusiveMinimum"), k) {
			v.odd = append(v.odd, k)
		}
	}
	if r, ok := s["$ref"].(string); ok {
		name := strings.TrimPrefix(r, "#/$defs/")
		def, ok := v.root["$defs"].(object)[name].(object)
		if !ok {
			v.odd = append(v.odd, r)
			return false
		}
		return v.ok(def, x)
	}
	if any, ok := s["anyOf"].([]any); ok {
		return slices.ContainsFunc(any, func(a interface{}) bool { return v.ok(a.(object), x) })
	}
	if e, ok := s["enum"].([]any); ok && !slices.Contains(e, x) {
		return false
	}
	if t := s["type"]; t != nil {
		types, ok := t.([]any)
		if !ok {
			types = []any{t}
		}
		if !slices.ContainsFunc(types, func(t any) bool { return is(t.(string), x) }) {
			return false
		}
	}
	switch x := x.(type) {
	case float64:
		lo, isLo := s["minimum"].(float64)
		over, isOver := s["exclusiveMinimum"].(float64)
		hi, isHi := s["maximum"].(float64)
		return !(isLo && x < lo || isOver && x <= over || isHi && x > hi)
	case []any:
		least, _ := s["minItems"].(float64)
		most, isMost := s["maxItems"].(float64)
		if len(x) < int(least) || isMost && len(x) > int(most) {
			return false
		}
		items, ok := s["items"].(object)
		return !ok || !slices.ContainsFunc(x, func(e any) bool { return !v.ok(items, e) })
	case object:
		needed, _ := s["required"].([]any)
		for _, k := range needed {
			if _, there := x[k.(string)]; !there {
				return false
			}
		}
		properties, _ := s["properties"].(object)
		for k, e := range x {
			p, known := properties[k].(object)
			if !known {
				p, known = s["additionalProperties"].(object)
			}
			if !known || !v.ok(p, e) {
				return false
			}
		}
	}
	return true
}

func is(t string, x any) bool {
	switch x := x.(type) {
	case nil:
		return t == "null"
	case bool:
		return t == "boolean"
	case string:
		return t == "string"
	case float64:
		return t == "number" || t == "integer" && x == float64(int(x))
	case []any:
		return t == "array"
	}
	return t == "object"
}

// plain turns a node into what JSON holds, as an editor's YAML reader does.
func plain(n *yamltext.Node) any {
	switch n.Kind {
	case yamltext.Map:
		o := object{}
		for _, f := range n.Fields {
			o[f.Key.Text] = plain(f.Value)
		}
		return o
	case yamltext.List:
		l := []any{}
		for _, v := range n.Items {
			l = append(l, plain(v))
		}
		return l
	case yamltext.Scalar:
		if x, err := strconv.ParseFloat(n.Text, 64); err == nil && !n.Quoted {
			return x
		}
		if n.Text == "true" || n.Text == "false" {
			return n.Text == "true"
		}
		return n.Text
	}
	return nil
}

// The schema takes every example, and refuses what it can see to be wrong.
func TestSchemaTakesExamples(t *testing.T) {
	v := &validator{}
	if err := json.Unmarshal(Schema(), &v.root); err != nil {
		t.Fatal(err)
	}
	judge := func(src []byte) bool {
		doc, l := yamltext.Parse("s", src)
		if len(l) > 0 {
			t.Fatal(l.Text())
		}
		return v.ok(v.root, plain(doc.Root))
	}
	for _, name := range Examples() {
		if !judge(Example(name)) {
			t.Errorf("%s is refused", name)
		}
	}
	if !judge(mustRead(t, "testdata/launderette.yaml")) {
		t.Error("the sketch is refused")
	}
	for _, bad := range []string{"halfstop: 1", "halfstop: 1\nsetups: [{}]",
		"halfstop: 1\nsetups: [{name: a, kamera: {}}]", "halfstop: x\nsetups: []",
		"halfstop: 1\nsetups: [{name: a, sitter: {at: [1, 2], pose: flying}}]",
		"halfstop: 1\nroom: {surfaces: {all: 1.2}}\nsetups: []",
		"halfstop: 1\nsetups: [{name: a, sitter: {at: [1]}}]", "halfstop: 1\nhouse: {camera q: 0}\nsetups: []"} {
		if judge([]byte(bad)) {
			t.Errorf("%q is taken", bad)
		}
	}
	if len(v.odd) > 0 {
		t.Error(fmt.Sprint("keywords not judged: ", v.odd))
	}
}
