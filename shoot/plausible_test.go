package shoot

import (
	"maps"
	"reflect"
	"strings"
	"testing"

	"halfstop/yamltext"
)

// Every quantity that the file can hold, of every kind of thing, has a rule of what is plausible: a
// new setting of a new type fails here until it has one.
func TestEveryQuantityHasASpan(t *testing.T) {
	seen := map[reflect.Type]bool{}
	n := 0
	var walk func(typ reflect.Type, path string)
	walk = func(typ reflect.Type, path string) {
		for typ.Kind() == reflect.Pointer || typ.Kind() == reflect.Slice || typ.Kind() == reflect.Array ||
			typ.Kind() == reflect.Map {
			typ = typ.Elem()
		}
		if name := ofType(typ); name != "" {
			n++
			if s, ok := spans[name]; !ok || s.what == "" || s.fix == "" ||
				!(s.possible[0] <= s.real[0] && s.real[0] < s.real[1] && s.real[1] <= s.possible[1]) {
				t.Errorf("%s: no rule for %s", path, name)
			}
			return
		}
		if typ.Kind() != reflect.Struct || seen[typ] {
			return
		}
		seen[typ] = true
		for _, f := range yamltext.Fields(typ) {
			walk(f.Type, path+"."+f.Key)
		}
	}
	walk(reflect.TypeFor[File](), "")
	if n < 120 {
		t.Errorf("only %d quantities were walked", n)
	}
	all := maps.Clone(keySpans)
	maps.Copy(all, typeSpans)
	for key, s := range all {
		if s.what == "" || s.fix == "" || !(s.possible[0] <= s.real[0] && s.real[0] < s.real[1] &&
			s.real[1] <= s.possible[1]) {
			t.Errorf("%s: %+v", key, s)
		}
	}
}

// What nobody means is told: findings beyond what is usual, errors far beyond, in every kind of
// thing.
func TestImplausible(t *testing.T) {
	const src = `halfstop: 1
room:
  size: [6, 5, 3]
  practicals: [{name: a, kind: bulb, emitter: {shape: sphere, size: [BULB], flux: FLUX}, at: [PAT, 1, 2]}]
  objects: [{name: o, box: {at: [OAT, 1], size: [1, 1, 1]}}]
setups:
  - name: one
    camera: {at: [5, 2.5], height: 1.5 m, aim: sitter.face, lens: LENS, aperture: APERTURE, shutter: SHUTTER}
    sitter: {at: [2, 2.5], faces: camera}
    lights: [{role: key, head: battery head 500, at: [3, LAT], height: 2 m, power: 1/4}, {name: lab, at: [1, 1, 2], aim: [1, 1, 0], emitter: {shape: disc, size: 0.1, intensity: CD}}]
    panels: [{name: p, kind: board, size: [1, WIDE], at: [2, PANEL], height: 1 m}]
    points: [{name: x, at: [1, 1, POINT], facing: up}]
`
	ok := map[string]string{"BULB": "6 cm", "FLUX": "800 lm", "PAT": "1", "OAT": "1", "LENS": "50 mm",
		"APERTURE": "f/4", "SHUTTER": "1/125 s", "LAT": "3", "CD": "100 cd",
		"WIDE": "1", "PANEL": "1", "POINT": "1"}
	parse := func(k, v string) (string, bool) {
		s := src
		for a, b := range ok {
			if a == k {
				b = v
			}
			s = strings.ReplaceAll(s, a, b)
		}
		_, _, l := Parse("s", []byte(s), Options{})
		return codes(l), l.Has(0)
	}
	if got, _ := parse("", ""); got != "" {
		t.Fatal(got)
	}
	for _, c := range []struct {
		key, value, want string
	}{{"BULB", "600 m", "shoot.implausible"}, {"FLUX", "1e22 lm", "shoot.impossible"}, {"FLUX", "3e6 lm",
		"shoot.implausible"}, {"PAT", "3000", "file.unit"},
		{"PAT", "3000 m", "shoot.implausible"},
		{"OAT", "1e300", "shoot.impossible"}, {"LENS", "1 mm", "shoot.impossible"}, {"LENS", "4 mm",
			"shoot.implausible"}, {"APERTURE", "f/0.01", "shoot.impossible"},
		{"SHUTTER", "1000 s", "shoot.implausible"}, {"LAT", "90 km", "shoot.impossible"}, {"LAT", "90000",
			"shoot.impossible"}, {"CD", "1e22 cd", "shoot.impossible"},
		{"WIDE", "600", "file.unit"},
		{"WIDE", "60", "file.unit"}, {"WIDE", "60 m", "shoot.implausible"}, {"PANEL", "-4000", "file.unit"},
		{"POINT", "1e300",
			"shoot.impossible"}} {
		got, err := parse(c.key, c.value)
		if got != c.want || err != (c.want == "shoot.impossible") {
			t.Errorf("%s: %s gives %q, an error: %v", c.key, c.value, got, err)
		}
	}
}

// A bare number whose unit may be mistaken is told, with its place, why, and what to write; one
// that cannot be meant as it would be taken is refused. With a unit it is taken without a word,
// and so are the bare numbers that the reference calls valid (metres, degrees, shares, kelvin,
// stops).
func TestBareNumbers(t *testing.T) {
	const src = `halfstop: 1
room:
  size: [6, 5, 3]
  circuits: [{name: ring, volts: 230 V, amps: 16 A, @LOAD}]
kit:
  heads: [{name: my head, like: battery head 500, @GUIDE, @DURATION}]
setups:
  - name: one
    camera: {at: [5, 2.5], @HEIGHT, aim: sitter.face, lens: 50 mm, aperture: f/4, @ND}
    sitter: {at: [2, 2.5], faces: camera}
    lights: [{role: key, head: my head, at: [3, 3], height: 2, feather: 10, power: 1/4}]
    panels: [{name: p, kind: board, @PANEL, at: [2, 1], height: 1}]
    look:
      - {point: face key side, reads: f/4, @FIRST}
      - {point: face shadow side, @WARMER, @SECOND}
      - {point: hair edge, ambient: 0.2, @THIRD}
`
	valid := map[string]string{"@LOAD": "load: 800 W", "@GUIDE": "guide number: 58", "@DURATION": "duration: 2 ms",
		"@HEIGHT": "height: 1.5", "@ND": "nd: 3 st", "@PANEL": "size: [1, 2]", "@FIRST": "within: 0.3 st",
		"@WARMER": "warmer: 25 mired", "@SECOND": "within: 15 mired", "@THIRD": "within: 5 %"}
	text := func(k, v string) string {
		s := src
		for a, b := range valid {
			if a == k {
				b = v
			}
			s = strings.ReplaceAll(s, a, b)
		}
		return s
	}
	f, _, l := Parse("s", []byte(text("", "")), Options{})
	if len(l) > 0 {
		t.Fatal(l)
	}
	look := f.Setups[0].Look
	if look[0].Within.Stops() != 0.3 || look[1].Within != (Tolerance{15, "mired"}) ||
		look[2].Within.Value != 5 {
		t.Errorf("%+v %+v %+v", look[0].Within, look[1].Within, look[2].Within)
	}
	if f, _, l := Parse("s", []byte(text("@FIRST", "within: 0.25")), Options{}); len(l) > 0 ||
		f.Setups[0].Look[0].Within.Stops() != 0.25 {
		t.Errorf("a quarter stop without its unit: %v", l)
	}
	for _, c := range [][3]string{
		{"@FIRST", "within: 15", "write 15 st"},
		{"@FIRST", "within: 15 mired", "in stops"}, {"@SECOND", "within: 15", "15 mired"},
		{"@THIRD", "within: 5", "5 %"}, {"@FIRST", "within: 5 K", "0.3 st"}, {"@FIRST", "within: -0.3 st", "0.3 st"},
		{"@WARMER", "warmer: 25", "40 mired"}, {"@ND", "nd: 0.6", "density 0.6"}, {"@ND", "nd: 8", "factor 4"},
		{"@HEIGHT", "height: 150", "2.1 m"}, {"@PANEL", "size: [60, 90]", "60 cm"},
		{"@DURATION", "duration: 0.5", "1/125 s"}, {"@LOAD", "load: 6", "800 W"},
		{"@GUIDE", "guide number: 190", "190 ft"},
	} {
		s := text(c[0], c[1])
		_, _, l := Parse("s", []byte(s), Options{})
		refused := strings.HasPrefix(c[1], "within") || strings.HasPrefix(c[1], "duration") || l.Has(0) &&
			l[0].Code == "shoot.impossible"
		if len(l) == 0 || l.Has(0) != refused {
			t.Errorf("%s: an error where it is none, or none where it is: %v", c[1], l)
			continue
		}
		m := l[0]
		line := 1 + strings.Count(s[:strings.Index(s, c[1])], "\n")
		if m.Pos.Line != line || m.Pos.Col < 2 || m.Text == "" || !strings.Contains(m.Fix, c[2]) {
			t.Errorf("%s: line %d (not %d):%d %q fix %q", c[1], m.Pos.Line, line, m.Pos.Col, m.Text, m.Fix)
		}
	}
}
