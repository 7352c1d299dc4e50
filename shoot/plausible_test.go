package shoot

import (
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
	for key, s := range keySpans {
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
		"shoot.implausible"}, {"PAT", "3000", "shoot.implausible"},
		{"OAT", "1e300", "shoot.impossible"}, {"LENS", "1 mm", "shoot.impossible"}, {"LENS", "4 mm",
			"shoot.implausible"}, {"APERTURE", "f/0.01", "shoot.impossible"},
		{"SHUTTER", "1000 s", "shoot.implausible"}, {"LAT", "90 km", "shoot.impossible"}, {"LAT", "90000",
			"shoot.impossible"}, {"CD", "1e22 cd", "shoot.impossible"},
		{"WIDE", "600", "shoot.implausible"}, {"PANEL", "-4000", "shoot.implausible"}, {"POINT", "1e300",
			"shoot.impossible"}} {
		got, err := parse(c.key, c.value)
		if got != c.want || err != (c.want != "shoot.implausible") {
			t.Errorf("%s: %s gives %q, an error: %v", c.key, c.value, got, err)
		}
	}
}
