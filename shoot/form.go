package shoot

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"halfstop/kind"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/yamltext"
)

// FormGroup describes one group of settings for a form on a page. All groups and fields come by
// reflection from the structs that Parse decodes into, so the form offers exactly what the file
// accepts.
type FormGroup struct {
	Called string      `json:"called" doc:"'a window', 'the camera'"`
	Fields []FormField `json:"fields"`
	New    []FormNew   `json:"new" doc:"entries to start from, for what stands in lists"`
}

// FormNew is a new entry with usual values.
type FormNew struct {
	Words string `json:"words" doc:"'window', 'tube'"`
	Value string `json:"value" doc:"as YAML text in braces; its name must be made its own"`
}

// FormField describes one setting.
type FormField struct {
	Key     string   `json:"key"`
	Kind    string   `json:"kind" words:"text|clock|date|long|file|flag|whole|number|quantity|level|target|direction|colour|surface|reflectance|group|map"`
	Many    bool     `json:"many" doc:"a list of it"`
	Counts  []int    `json:"counts" doc:"how many numbers stand in brackets; empty: one value without brackets"`
	Unit    string   `json:"unit" doc:"base unit of a quantity: what a bare number means; of a number what it counts; empty: none"`
	Noun    string   `json:"noun" doc:"what a quantity is: 'length', 'share'"`
	Like    string   `json:"like" doc:"an example"`
	Default string   `json:"default" doc:"what stands in where it is absent"`
	Says    string   `json:"says" doc:"its meaning"`
	Need    bool     `json:"need"`
	Words   []string `json:"words" doc:"the only words allowed"`
	Usual   []string `json:"usual" doc:"usual words; others are allowed"`
	Names   string   `json:"names" doc:"list of names that it may take (names of TreeView)"`
	Least   *float64 `json:"least,omitempty" doc:"in the base unit"`
	Most    *float64 `json:"most,omitempty"`
	Over    *float64 `json:"over,omitempty" doc:"must be more"`
	Group   string   `json:"group" doc:"of a group, a map, or a colour or surface written as settings: name of the group"`
}

// Form returns every group by name; the file itself is 'file'. Check: TestFormCoversTheFile.
func Form() map[string]FormGroup {
	f := former{}
	f.group(reflect.TypeFor[File]())
	return f
}

type former map[string]FormGroup

// groupName names the group of a struct type.
func groupName(t reflect.Type) string {
	name := strings.ToLower(t.Name())
	if t.PkgPath() == reflect.TypeFor[kit.Kit]().PkgPath() && t != reflect.TypeFor[kit.Kit]() {
		return "kit." + name
	}
	return name
}

func (f former) group(t reflect.Type) string {
	name := groupName(t)
	if _, ok := f[name]; ok {
		return name
	}
	f[name] = FormGroup{}
	g := FormGroup{Called: calledOf(t), Fields: []FormField{}, New: append([]FormNew{}, starts[name]...)}
	for _, info := range yamltext.Fields(t) {
		g.Fields = append(g.Fields, f.field(info))
	}
	f[name] = g
	return name
}

func calledOf(t reflect.Type) string {
	if c, ok := reflect.Zero(t).Interface().(interface{ Called() string }); ok {
		return c.Called()
	}
	name := strings.ToLower(t.Name())
	if strings.ContainsRune("aeiou", rune(name[0])) {
		return "an " + name
	}
	return "a " + name
}

// quotedWord matches the words in quotes in a setting's description.
var quotedWord = regexp.MustCompile(`'([^']+)'`)

func (f former) field(info yamltext.FieldInfo) FormField {
	v := FormField{Key: info.Key, Says: meaning(info), Default: info.Tag.Get("default"), Like: info.Tag.Get("like"),
		Need:   info.Tag.Get("need") == "true",
		Counts: []int{}, Words: []string{}, Usual: []string{}, Names: info.Tag.Get("names")}
	v.Words = append(v.Words, info.Words()...)
	for tag, to := range map[string]**float64{"least": &v.Least, "most": &v.Most, "over": &v.Over} {
		if x, err := strconv.ParseFloat(info.Tag.Get(tag), 64); err == nil {
			*to = &x
		}
	}
	t := info.Type
	for _, n := range strings.Split(info.Tag.Get("count"), "|") {
		if k, err := strconv.Atoi(n); err == nil {
			v.Counts = append(v.Counts, k)
		}
	}
	f.kind(&v, t, info)
	if v.Kind == "text" && len(v.Words) == 0 && v.Names == "" && info.Tag.Get("form") == "" {
		for _, m := range quotedWord.FindAllStringSubmatch(info.Tag.Get("doc"), -1) {
			v.Usual = append(v.Usual, m[1])
		}
	}
	if unit := info.Tag.Get("unit"); unit != "" {
		v.Unit = unit
	}
	if form := info.Tag.Get("form"); form != "" {
		v.Kind = form
	}
	return v
}

// kind sets how a value of t is asked for.
func (f former) kind(v *FormField, t reflect.Type, info yamltext.FieldInfo) {
	switch t {
	case reflect.TypeFor[Surface]():
		v.Kind, v.Names, v.Group = "surface", "surfaces", f.group(reflect.TypeFor[surfaceSettings]())
		return
	case reflect.TypeFor[Reflectance]():
		v.Kind, v.Names = "reflectance", "surfaces"
		return
	case reflect.TypeFor[Spectrum]():
		v.Kind, v.Names, v.Group = "colour", "colours", f.group(reflect.TypeFor[spectrumSettings]())
		return
	case reflect.TypeFor[Direction]():
		v.Kind, v.Names = "direction", "directions"
		return
	case reflect.TypeFor[Target]():
		v.Kind, v.Names = "target", "targets"
		return
	case reflect.TypeFor[Amount]():
		v.Kind = "level"
		return
	case reflect.TypeFor[Tolerance]():
		v.Kind, v.Noun, v.Unit = "quantity", "tolerance", "st"
		return
	case reflect.TypeFor[Reading]():
		v.Kind, v.Noun, v.Like = "quantity", "f-number", "f/5.6 + 0.3"
		return
	}
	if noun, units, like := q.Forms(t.Name()); noun != "" && t.PkgPath() == reflect.TypeFor[q.Metres]().PkgPath() {
		v.Kind, v.Noun = "quantity", strings.TrimPrefix(strings.TrimPrefix(noun, "an "), "a ")
		if v.Like == "" {
			v.Like = like
		}
		if t.Name() != "FNumber" && t.Name() != "Power" {
			v.Unit, _, _ = strings.Cut(strings.ReplaceAll(units, ",", " "), " ")
		}
		switch t.Name() {
		case "Metres":
			v.Unit = "m"
		case "ISO", "Share":
			v.Unit = ""
		}
		return
	}
	switch t.Kind() {
	case reflect.Pointer:
		f.kind(v, t.Elem(), info)
	case reflect.Slice:
		// A position of two or three numbers is one value; any other list is a list.
		if e := t.Elem(); len(v.Counts) > 0 && e.Kind() == reflect.Float64 {
			f.kind(v, e, info)
			return
		} else if e == reflect.TypeFor[q.Metres]() {
			v.Counts = []int{1, 2}
			f.kind(v, e, info)
			return
		}
		v.Many, v.Counts = true, []int{}
		f.kind(v, t.Elem(), info)
	case reflect.Array:
		v.Counts = []int{t.Len()}
		f.kind(v, t.Elem(), info)
	case reflect.Map:
		v.Kind = "map"
		var inner FormField
		f.kind(&inner, t.Elem(), info)
		v.Group = inner.Group
	case reflect.Struct:
		v.Kind, v.Group = "group", f.group(t)
	case reflect.Bool:
		v.Kind = "flag"
	case reflect.Int, reflect.Int64:
		v.Kind = "whole"
	case reflect.Float64:
		v.Kind = "number"
	default:
		v.Kind = "text"
	}
}

// furnitureStarts are new entries for each kind of furniture, at its usual size.
func furnitureStarts() (out []FormNew) {
	for _, o := range kind.Objects() {
		out = append(out, FormNew{o.Word,
			fmt.Sprintf("{name: %s, kind: %s, box: {at: [0.5, 0.5], size: [%g, %g, %g]}, surface: %s}", o.Word,
				o.Word, o.Size[0], o.Size[1], o.Size[2], o.Surface)})
	}
	return out
}

// starts are the new entries by group. Each can be decoded, and stands where it blocks nothing.
var starts = map[string][]FormNew{
	"window": {{"window", "{name: window, wall: 1, from: 0.5 m, width: 1.2 m, sill: 0.9 m, head: 2.1 m, glass: " +
		"single clear}"}, {"roof light", "{name: roof light, ceiling: true, at: [0.5, 0.5], size: [0.8, 0.8]}"}},
	"ceilingzone": {{"lowered part", "{name: lowered, at: [0, 0], size: [1.5, 1.5], height: 2.2 m}"},
		{"raised part", "{name: raised, at: [0, 0], size: [1.5, 1.5], height: 3.2 m}"}},
	"stand": {{"facade", "{kind: facade, distance: 12 m, height: 9 m}"},
		{"trees", "{kind: trees, distance: 8 m, height: 7 m}"},
		{"awning", "{kind: awning, distance: 1.2 m, height: 2.6 m}"}},
	"accepted":   {{"a finding", "{code: day.way, reason: write why}"}},
	"kit.lesson": {{"a reading", "{off: +0.3 st, parts: [{share: 1, head: battery head 500}]}"}},
	"member":     {{"assistant", "{name: assistant, does: [assistant]}"}},
	"job":        {{"task", "{name: task, takes: 5 min}"}},
	"door":       {{"door", "{name: door, wall: 1, from: 0.5 m, width: 0.9 m, head: 2.0 m}"}},
	"circuit":    {{"circuit", "{name: circuit, volts: 230 V, amps: 13 A, outlets: [[0.5, 0]]}"}},
	"practical": {
		{"tube",
			"{name: tube, kind: fluorescent tube, colour: fluorescent 4000, path: [[0.5, 0.5, 2.3], [1.7, 0.5, " +
				"2.3]], diameter: 26 mm, flux: 2600 lm, mains: 50 Hz}"},
		{"bulb",
			"{name: bulb, kind: bulb, colour: 2700 K, emitter: {shape: sphere, size: [60 mm], flux: 800 lm}, at: " +
				"[0.5, 0.5, 2.0]}"},
		{"sign",
			"{name: sign, kind: sign, colour: 6500 K, emitter: {shape: rectangle, size: [0.9, 0.3], luminance: " +
				"300 cd/m2}, at: [0.5, 0.1, 2.0], aim: [0.5, 2, 1.5]}"},
	},
	"object": slices.Concat(
		[]FormNew{{"box", "{name: box, box: {at: [0.5, 0.5], size: [0.5, 0.5, 0.5]}, surface: light wood}"}},
		furnitureStarts(), []FormNew{
			{"mirror or screen",
				"{name: board, quad: {at: [1, 0.1, 1.5], facing: y+, size: [0.6, 0.9]}, surface: 0.5}"},
			{"cylinder", "{name: column, cylinder: {at: [0.7, 0.7, 0], diameter: 0.3, height: 2.0}, surface: 0.5}"},
			{"ball", "{name: ball, sphere: {at: [0.7, 0.7, 0.2], diameter: 0.4}, surface: 0.5}"},
		}),
	"setup": {{"setup", "{name: setup, camera: {at: [3, 2], height: 1.5 m, aim: sitter.eyes, lens: 50 mm, " +
		"aperture: f/4, shutter: 1/125 s, iso: 400}, sitter: {at: [1.5, 1.5]}, lights: [{role: key, head: battery " +
		"head 500, modifier: softbox 60x90, at: [2.4, 0.9], height: 2.0 m, aim: sitter.face, power: 1/8}]}"}},
	"light": {
		{"light", "{name: light, head: battery head 500, at: [1, 1], height: 2.0 m, aim: sitter.face, power: 1/8}"},
		{"bare emitter",
			"{name: lamp, emitter: {shape: disc, size: [0.3], intensity: 1000 cd}, at: [1, 1], height: 2.0 m, " +
				"aim: sitter.face}"},
	},
	"opening": {{"opening", "{name: opening, at: [0.5, 0.5, 1.5], facing: y+, size: [1, 1], outside: {sky: " +
		"overcast, illuminance: 400 lx}}"}},
	"panel": {
		{"reflector",
			"{name: reflector, kind: reflector, face: white, size: [1.0, 1.0], at: [1, 1], height: 1.0 m, aim: " +
				"sitter.face}"},
		{"silk", "{name: silk, kind: silk, size: [1.2, 1.2], at: [1, 1], height: 1.8 m, aim: sitter.face}"},
		{"flag", "{name: flag, kind: flag, size: [0.6, 0.9], at: [1, 1], height: 1.6 m, aim: sitter.face}"},
	},
	"sitter": {{"another person", "{name: friend, at: [1, 1], faces: y+}"}},
	"lock":   {{"a task held", "{task: \"Aisle: rig accent\"}"}},
	"point":  {{"point", "{name: point, at: [1, 1, 1.2]}"}},
	"wish": {{"level", "{point: face key side, stops: 0 st}"}, {"reading", "{point: face key side, " +
		"reads: f/4}"}, {"against another point", "{point: face shadow side, below: face key side, by: 2 st}"},
		{"not darker than", "{point: hair edge, darkest: -4 st}"}},
	"kit.head":      {{"like one of the catalogue", "{name: own head, like: battery head 500, have: 1}"}},
	"kit.modifier":  {{"like one of the catalogue", "{name: own box, like: softbox 60x90, have: 1}"}},
	"kit.grid":      {{"grid", "{name: own grid, cut: 40 deg, gain: -1 st, have: 1}"}},
	"kit.gelspec":   {{"correcting gel", "{name: own gel, mired: 60, have: 1}"}},
	"kit.panelspec": {{"panel", "{name: own panel, kind: reflector, face: white, size: [1.0, 1.0], have: 1}"}},
	"kit.stand":     {{"stand", "{name: own stand, kind: stand, load: 8 kg, lowest: 1.0 m, highest: 2.8 m, have: 1}"}},
	"kit.surfacespec": {
		{"surface", "{name: own surface, diffuse: 0.4}"},
	},
	"kit.timing": {{"a task that was timed", "{action: rig a light, took: 6 min, usual: 5 min}"}},
	"kit.thing":  {{"thing", "{name: own case, kind: case, weight: 5 kg, have: 1}"}},
	"kit.reads":  {{"reading", "{f-number: f/8, from: 2 m, power: 1/1}"}},
}
