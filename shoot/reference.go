package shoot

import (
	"embed"
	"encoding"
	"fmt"
	"reflect"
	"strings"

	"halfstop/kind"
	"halfstop/kit"
	"halfstop/material"
	q "halfstop/quantity"
	"halfstop/spectrum"
	"halfstop/yamltext"
)

//go:embed reference.md
var referenceHead string

//go:embed examples/*.yaml
var examples embed.FS

// group is one struct of the file with its path.
type group struct {
	path string
	typ  reflect.Type
}

// groups returns the structs of the file from the outside in, each once, at the first path where it
// occurs.
func groups() []group {
	root := reflect.TypeFor[File]()
	list := []group{{"", root}}
	seen := map[reflect.Type]bool{root: true}
	for i := 0; i < len(list); i++ {
		for _, f := range yamltext.Fields(list[i].typ) {
			t, suffix := f.Type, ""
			for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Array ||
				t.Kind() == reflect.Map {
				switch t.Kind() {
				case reflect.Slice, reflect.Array:
					suffix += "[]"
				case reflect.Map:
					suffix += ".NAME"
				}
				t = t.Elem()
			}
			if t.Kind() != reflect.Struct || isText(t) || seen[t] || isNode(t) && !settingsToo(t) {
				continue
			}
			seen[t] = true
			path := f.Key + suffix
			if list[i].path != "" {
				path = list[i].path + "." + path
			}
			list = append(list, group{path, t})
		}
	}
	return list
}

// settingsToo reports whether a type with several written forms may also be a mapping of its
// struct's settings.
func settingsToo(t reflect.Type) bool { return len(yamltext.Fields(t)) > 0 && hasTags(t) }

func hasTags(t reflect.Type) bool {
	for i := range t.NumField() {
		if t.Field(i).Tag.Get("yaml") != "" {
			return true
		}
	}
	return false
}

func isText(t reflect.Type) bool {
	return reflect.PointerTo(t).Implements(reflect.TypeFor[encoding.TextUnmarshaler]())
}

func isNode(t reflect.Type) bool {
	return reflect.PointerTo(t).Implements(reflect.TypeFor[yamltext.NodeUnmarshaler]())
}

// form returns in a few words how a value of t is written.
func form(t reflect.Type) string {
	switch t {
	case reflect.TypeFor[Surface]():
		return "surface (see 'Surfaces')"
	case reflect.TypeFor[Reflectance]():
		return "reflectance (see 'Surfaces')"
	case reflect.TypeFor[Spectrum]():
		return "colour (see 'Colours of light')"
	case reflect.TypeFor[Direction]():
		return "direction: [x, y, z] or a word"
	case reflect.TypeFor[Target]():
		return "place: [x, y, z] or a name"
	case reflect.TypeFor[Amount]():
		return "level with its unit"
	case reflect.TypeFor[Tolerance]():
		return "tolerance: 0.3 st, 15 mired, 5 %"
	case reflect.TypeFor[Reading]():
		return "f-number with tenths: f/5.6 + 0.3"
	}
	if noun, units, like := q.Forms(t.Name()); noun != "" && t.PkgPath() == reflect.TypeFor[q.Metres]().PkgPath() {
		noun = strings.TrimPrefix(strings.TrimPrefix(noun, "an "), "a ")
		if units == "" || units == "none" {
			return noun + ": " + like
		}
		return noun + ": " + like
	}
	switch t.Kind() {
	case reflect.Pointer:
		return form(t.Elem())
	case reflect.Slice:
		return "list of " + form(t.Elem())
	case reflect.Array:
		return fmt.Sprintf("[%d numbers], %s", t.Len(), form(t.Elem()))
	case reflect.Map:
		return "name: " + form(t.Elem())
	case reflect.Struct:
		return "settings"
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Int, reflect.Int64:
		return "whole number"
	case reflect.Float64:
		return "number"
	}
	return t.String()
}

// Reference returns the text of docs/shoot-file.md: what every key means, and worked examples.
// Check: TestDocsAreFresh.
func Reference() []byte {
	var b strings.Builder
	head := strings.Replace(strings.TrimSpace(referenceHead), "{{points}}", strings.Join(anatomical, ", "), 1)
	head = strings.Replace(head, "{{practicals}}", practicalTable(), 1)
	b.WriteString(head + "\n\n## Every setting\n\n")
	b.WriteString(
		"`[]` stands for the entries of a list, NAME for a key of your own. 'needed' marks what must be there. " +
			"Defaults stand in for what is absent.\n")
	where := map[reflect.Type]string{}
	for _, g := range groups() {
		where[g.typ] = g.path
	}
	for _, g := range groups() {
		title := g.path
		if title == "" {
			title = "the file"
		}
		fmt.Fprintf(&b, "\n### %s\n\n| key | written as | default | meaning |\n|---|---|---|---|\n", title)
		for _, f := range yamltext.Fields(g.typ) {
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", f.Key, cell(written(f, g, where)), cell(standsIn(f)),
				cell(meaning(f)))
		}
	}
	k := kit.Catalogue()
	b.WriteString("\n## Names that are always there\n\n")
	for _, l := range []struct {
		what  string
		names []string
	}{
		{"Surfaces", material.Presets()}, {"Lamps", spectrum.Names()}, {"Gels", k.GelNames()},
		{"Heads", nameList(k.Heads, func(h kit.Head) string { return h.Name })},
		{"Modifiers", nameList(k.Modifiers, func(m kit.Modifier) string { return m.Name })},
		{"Grids", nameList(k.Grids, func(g kit.Grid) string { return g.Name })},
		{"Panels", nameList(k.Panels, func(p kit.PanelSpec) string { return p.Name })},
		{"Stands", nameList(k.Stands, func(s kit.Stand) string { return s.Name })},
	} {
		fmt.Fprintf(&b, "- %s: %s\n", l.what, strings.Join(l.names, ", "))
	}
	b.WriteString("\n## Worked examples\n\nEach of these is read by a test.\n")
	for _, name := range Examples() {
		text := Example(name)
		title, rest, _ := strings.Cut(strings.TrimPrefix(string(text), "# "), "\n")
		fmt.Fprintf(&b, "\n### %s\n\n%s\n\n```yaml\n%s```\n", strings.TrimSuffix(name, ".yaml")[2:], title, rest)
	}
	return []byte(b.String())
}

// practicalTable is the table of the defaults of each kind of practical.
func practicalTable() string {
	var b strings.Builder
	b.WriteString(
		"| kind of practical | what | colour where none is said | light for its watts | ripple on the mains | " +
			"dimmed |\n|---|---|---|---|---|---|\n")
	for _, p := range kind.Practicals() {
		light, ripple, dims := fmt.Sprintf("%g lm/W", p.PerWatt), "none", "keeps its colour"
		if p.Flux > 0 {
			light = fmt.Sprintf("%g lm each", p.Flux)
		}
		if p.Ripple > 0 {
			ripple = fmt.Sprintf("%g %%", p.Ripple*100)
		}
		if p.Filament {
			dims = "turns redder"
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n", p.Word, p.Says, p.Colour, light, ripple, dims)
	}
	b.WriteString("\nAll of it common practice, no source: a reading beats it.\n")
	return b.String()
}

func written(f yamltext.FieldInfo, g group, where map[reflect.Type]string) string {
	s := form(f.Type)
	if words := f.Words(); len(words) > 0 {
		s = "one of: " + strings.Join(words, ", ")
		if f.Type.Kind() == reflect.Slice {
			s = "list of " + s
		}
	}
	if count := f.Tag.Get("count"); count != "" {
		s += "; " + strings.ReplaceAll(count, "|", " or ") + " entries"
	}
	t := f.Type
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice || t.Kind() == reflect.Map ||
		t.Kind() == reflect.Array {
		t = t.Elem()
	}
	if own := strings.TrimPrefix(g.path+"."+f.Key, "."); where[t] != "" && !strings.HasPrefix(where[t], own) &&
		!isNode(t) {
		s += ", as in " + where[t]
	}
	var limits []string
	if v := f.Tag.Get("least"); v != "" {
		limits = append(limits, "at least "+v)
	}
	if v := f.Tag.Get("over"); v != "" {
		limits = append(limits, "over "+v)
	}
	if v := f.Tag.Get("most"); v != "" {
		limits = append(limits, "at most "+v)
	}
	if len(limits) > 0 {
		s += "; " + strings.Join(limits, ", ")
	}
	return s
}

func standsIn(f yamltext.FieldInfo) string {
	switch {
	case f.Tag.Get("need") == "true":
		return "needed"
	case f.Tag.Get("default") != "":
		return "`" + f.Tag.Get("default") + "`"
	}
	return ""
}

func meaning(f yamltext.FieldInfo) string {
	s := f.Tag.Get("doc")
	if like := f.Tag.Get("like"); like != "" {
		if s != "" {
			s += "; "
		}
		s += "like `" + like + "`"
	}
	return s
}

func cell(s string) string { return strings.ReplaceAll(s, "|", `\|`) }

// Examples names the worked examples of the reference.
func Examples() []string {
	entries, err := examples.ReadDir("examples")
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

// Example gives the text of a worked example; nil where there is none of that name.
func Example(name string) []byte {
	b, _ := examples.ReadFile("examples/" + name)
	return b
}
