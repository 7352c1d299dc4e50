package server

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"halfstop/diag"
)

var update = flag.Bool("update", false, "write openapi.yaml anew")

// describe writes openapi.yaml from the routes and the Go types of the shapes.
func describe() []byte {
	d := &describer{schemas: map[string]string{}}
	var paths bytes.Buffer
	fmt.Fprint(&paths, "paths:\n")
	seen := ""
	order := slices.Clone(routes)
	slices.SortStableFunc(order, func(a, b route) int { return strings.Compare(a.path, b.path) })
	for _, r := range order {
		if r.path != seen {
			fmt.Fprintf(&paths, "  %s:\n", r.path)
			seen = r.path
		}
		fmt.Fprintf(&paths, "    %s:\n      summary: %s\n", strings.ToLower(r.method), quoted(r.says))
		if strings.Contains(r.path, "{i}") || len(r.query) > 0 {
			fmt.Fprint(&paths, "      parameters:\n")
		}
		if strings.Contains(r.path, "{i}") {
			fmt.Fprint(&paths,
				"        - {name: i, in: path, required: true, description: \"number of the setup, from 0\", "+
					"schema: {type: integer}}\n")
		}
		for _, q := range r.query {
			fmt.Fprintf(&paths, "        - {name: %s, in: query, description: %s, schema: {type: %s}}\n", q.name,
				quoted(q.says), q.kind)
		}
		if r.in != nil {
			fmt.Fprintf(&paths,
				"      requestBody:\n        required: true\n        content:\n"+
					"          application/json:\n            schema: %s\n",
				d.of(reflect.TypeOf(r.in)))
		}
		fmt.Fprint(&paths, "      responses:\n        \"200\":\n          description: done\n")
		kind := r.kind
		if kind == "" {
			kind = "application/json"
		}
		if r.out != nil {
			fmt.Fprintf(&paths, "          content:\n            %s:\n              schema: %s\n", kind,
				d.of(reflect.TypeOf(r.out)))
		} else {
			fmt.Fprintf(&paths, "          content:\n            %s: {}\n", kind)
		}
		fmt.Fprintf(&paths,
			"        default:\n          description: not done\n          content:\n"+
				"            application/json:\n              schema: %s\n",
			d.of(reflect.TypeFor[Problem]()))
	}
	d.of(reflect.TypeFor[LayersHead]())
	d.of(reflect.TypeFor[GPUHead]())
	var out bytes.Buffer
	fmt.Fprint(&out,
		"# Made from shapes.go and routes.go: go test ./internal/server -run OpenAPI -update\nopenapi: "+
			"3.1.0\ninfo:\n  title: halfstop workbench\n  version: \"1\"\n")
	out.Write(paths.Bytes())
	fmt.Fprint(&out, "components:\n  schemas:\n")
	var names []string
	for n := range d.schemas {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		out.WriteString(d.schemas[n])
	}
	return out.Bytes()
}

type describer struct{ schemas map[string]string }

func quoted(s string) string { b, _ := json.Marshal(s); return string(b) }

// of gives the schema of a type in flow form; structs become components.
func (d *describer) of(t reflect.Type) string {
	if t == reflect.TypeFor[diag.Severity]() {
		return "{type: string, enum: [error, finding, caution, note]}"
	}
	switch t.Kind() {
	case reflect.Interface:
		return "{}"
	case reflect.Pointer:
		return d.of(t.Elem())
	case reflect.String:
		return "{type: string}"
	case reflect.Bool:
		return "{type: boolean}"
	case reflect.Float64, reflect.Float32:
		return "{type: number}"
	case reflect.Int, reflect.Int64, reflect.Uint8:
		return "{type: integer}"
	case reflect.Slice:
		return "{type: array, items: " + d.of(t.Elem()) + "}"
	case reflect.Array:
		return fmt.Sprintf("{type: array, items: %s, minItems: %d, maxItems: %d}", d.of(t.Elem()), t.Len(), t.Len())
	case reflect.Map:
		return "{type: object, additionalProperties: " + d.of(t.Elem()) + "}"
	case reflect.Struct:
		ref := fmt.Sprintf("{$ref: \"#/components/schemas/%s\"}", t.Name())
		if _, ok := d.schemas[t.Name()]; ok {
			return ref
		}
		d.schemas[t.Name()] = ""
		var b bytes.Buffer
		var need []string
		fmt.Fprintf(&b, "    %s:\n      type: object\n      additionalProperties: false\n      properties:\n", t.Name())
		for i := range t.NumField() {
			f := t.Field(i)
			name, opts, _ := strings.Cut(f.Tag.Get("json"), ",")
			if name == "-" || name == "" {
				continue
			}
			if !strings.Contains(opts, "omit") {
				need = append(need, name)
			}
			s := d.of(f.Type)
			if w := f.Tag.Get("words"); w != "" {
				s = "{type: string, enum: [" + strings.ReplaceAll(w, "|", ", ") + "]}"
			}
			if f.Type.Kind() == reflect.Pointer && !strings.Contains(opts, "omit") {
				s = "{oneOf: [" + s + ", {type: \"null\"}]}"
			}
			if doc := f.Tag.Get("doc"); doc != "" {
				if rest, ok := strings.CutPrefix(s, "{$ref"); ok {
					s = "{description: " + quoted(doc) + ", $ref" + rest
				} else {
					s = "{description: " + quoted(doc) + ", " + s[1:]
				}
			}
			fmt.Fprintf(&b, "        %s: %s\n", name, s)
		}
		if len(need) > 0 {
			fmt.Fprintf(&b, "      required: [%s]\n", strings.Join(need, ", "))
		}
		d.schemas[t.Name()] = b.String()
		return ref
	}
	panic("no schema for " + t.String())
}

// TestOpenAPI holds openapi.yaml to the routes and shapes.
func TestOpenAPI(t *testing.T) {
	want := describe()
	if *update {
		if err := os.WriteFile("openapi.yaml", want, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	have, err := os.ReadFile("openapi.yaml")
	if err != nil || !bytes.Equal(have, want) {
		t.Fatalf("openapi.yaml is not what the code says (%v): go test ./internal/server -run OpenAPI -update", err)
	}
}
