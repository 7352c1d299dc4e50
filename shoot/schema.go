package shoot

import (
	"bytes"
	"encoding/json"
	"reflect"
	"strconv"
	"strings"

	q "halfstop/quantity"
	"halfstop/yamltext"
)

// object is a JSON object; json writes its keys in alphabetical order.
type object = map[string]any

// Schema returns the JSON Schema (draft 2020-12) of a shoot file, for editors: keys, kinds, words,
// bounds and meanings. It accepts more than Parse, which also checks units and what settings mean
// together. Check: TestDocsAreFresh, TestSchemaTakesExamples.
func Schema() []byte {
	s := &schema{defs: object{}}
	root := s.settings(reflect.TypeFor[File]())
	root["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	root["title"] = "halfstop shoot file"
	root["$defs"] = s.defs
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(root); err != nil {
		panic("shoot: schema: " + err.Error())
	}
	return b.Bytes()
}

type schema struct{ defs object }

// settings gives the schema of a struct.
func (s *schema) settings(t reflect.Type) object {
	properties, needed := object{}, []string{}
	for _, f := range yamltext.Fields(t) {
		properties[f.Key] = s.field(f)
		if f.Tag.Get("need") == "true" {
			needed = append(needed, f.Key)
		}
	}
	o := object{"type": "object", "properties": properties, "additionalProperties": false}
	if len(needed) > 0 {
		o["required"] = needed
	}
	return o
}

func (s *schema) field(f yamltext.FieldInfo) object {
	o := s.of(f.Type)
	if words := f.Words(); len(words) > 0 {
		o = object{"enum": words}
		if f.Type.Kind() == reflect.Slice {
			o = object{"anyOf": []any{o, object{"type": "array", "items": o}}}
		}
	}
	if o["type"] == "number" || o["type"] == "integer" {
		for tag, key := range map[string]string{"least": "minimum", "most": "maximum", "over": "exclusiveMinimum"} {
			if v, err := strconv.ParseFloat(f.Tag.Get(tag), 64); err == nil {
				o[key] = v
			}
		}
	}
	if doc := meaning(f); doc != "" {
		o["description"] = doc
	}
	if d := f.Tag.Get("default"); d != "" {
		o["default"] = d
	}
	// An empty value counts as absent.
	if f.Tag.Get("need") != "true" {
		o = object{"anyOf": []any{o, object{"type": "null"}}}
		if in, ok := o["anyOf"].([]any)[0].(object); ok && in["description"] != nil {
			o["description"] = in["description"]
			delete(in, "description")
		}
	}
	return o
}

// ref adds a schema to the definitions and returns a reference to it.
func (s *schema) ref(name string, make func() object) object {
	if _, ok := s.defs[name]; !ok {
		s.defs[name] = object{} // holds the place while it is made
		s.defs[name] = make()
	}
	return object{"$ref": "#/$defs/" + name}
}

var number = object{"type": "number"}

func listOf(items object, least, most int) object {
	return object{"type": "array", "items": items, "minItems": least, "maxItems": most}
}

func numbers(n int) object { return listOf(object{"type": []string{"number", "string"}}, n, n) }

var pairsSchema = object{"type": "array", "minItems": 2, "items": listOf(number, 2, 2)}

func (s *schema) of(t reflect.Type) object {
	switch t {
	case reflect.TypeFor[Surface]():
		return s.ref("surface", func() object {
			return object{"anyOf": []any{object{"type": "string"},
				object{"type": "number", "minimum": 0, "maximum": 1}, pairsSchema,
				s.settings(reflect.TypeFor[surfaceSettings]())},
				"description": "a preset's name, one number (diffuse reflectance), '#rrggbb', pairs [nm, value], " +
					"or settings"}
		})
	case reflect.TypeFor[Reflectance]():
		return s.ref("reflectance", func() object {
			return object{"anyOf": []any{object{"type": "string"},
				object{"type": "number", "minimum": 0, "maximum": 1}, pairsSchema},
				"description": "a number 0 to 1, a name, '#rrggbb', or pairs [nm, value]"}
		})
	case reflect.TypeFor[Spectrum]():
		return s.ref("colour", func() object {
			return object{"anyOf": []any{object{"type": []string{"string", "number"}}, numbers(2), pairsSchema,
				s.settings(reflect.TypeFor[spectrumSettings]())},
				"description": "'5600 K', a lamp's name, 'like practicals.NAME', '#rrggbb', [x, y], pairs [nm, " +
					"power], or settings"}
		})
	case reflect.TypeFor[Direction]():
		return object{"anyOf": []any{object{"type": "string"}, listOf(number, 3, 3)}}
	case reflect.TypeFor[Target]():
		return object{"anyOf": []any{object{"type": "string"}, numbers(3)}}
	case reflect.TypeFor[Tolerance]():
		return object{"anyOf": []any{object{"type": "string"}, number}}
	case reflect.TypeFor[Amount]():
		return object{"type": "string"}
	case reflect.TypeFor[Reading]():
		return s.quantity("FNumber")
	}
	if noun, _, _ := q.Forms(t.Name()); noun != "" && t.PkgPath() == reflect.TypeFor[q.Metres]().PkgPath() {
		return s.quantity(t.Name())
	}
	switch t.Kind() {
	case reflect.Pointer:
		return s.of(t.Elem())
	case reflect.Slice:
		items := s.of(t.Elem())
		list := object{"type": "array", "items": items}
		if t.Elem().Kind() == reflect.Struct && !isText(t.Elem()) && !isNode(t.Elem()) ||
			t.Elem().Kind() == reflect.Array {
			return list
		}
		return object{"anyOf": []any{list, items}}
	case reflect.Array:
		return listOf(s.of(t.Elem()), t.Len(), t.Len())
	case reflect.Map:
		return object{"type": "object", "additionalProperties": s.of(t.Elem())}
	case reflect.Struct:
		if isNode(t) && !hasTags(t) {
			return object{}
		}
		name := strings.ToLower(t.Name())
		if path := t.PkgPath(); path != reflect.TypeFor[File]().PkgPath() {
			name = path[strings.LastIndexByte(path, '/')+1:] + "." + name
		}
		return s.ref(name, func() object { return s.settings(t) })
	case reflect.Bool:
		return object{"type": "boolean"}
	case reflect.Int, reflect.Int64:
		return object{"type": "integer"}
	case reflect.Float64:
		return object{"type": "number"}
	}
	if isNode(t) {
		return object{}
	}
	return object{"type": []string{"string", "number"}}
}

func (s *schema) quantity(name string) object {
	noun, units, like := q.Forms(name)
	return s.ref(strings.ToLower(name), func() object {
		o := object{"type": []string{"string", "number"},
			"description": strings.TrimPrefix(strings.TrimPrefix(noun, "an "), "a ") + ", like '" + like + "'",
			"examples":    []string{like}}
		if units != "none" && units != "" {
			o["description"] = o["description"].(string) + "; units: " + units
		}
		return o
	})
}
