package shoot

import (
	"fmt"
	"math"
	"reflect"
	"strings"

	"halfstop/diag"
	q "halfstop/quantity"
	"halfstop/yamltext"
)

// span is the range of a quantity in its base unit. Outside real a value is reported as
// implausible; outside possible it is an error (a wrong unit, a decimal point in the wrong place).
// Zero is 'not written' and is never reported.
type span struct {
	what           string
	real, possible [2]float64
	unit, fix      string
}

// spans has one rule for each quantity, by its type; a key in keySpans has its own. The real range
// is that of the generic kit and of common practice (no source), with margin. Check:
// TestEveryQuantityHasASpan.
var spans = map[string]span{
	"Metres": {"a length", [2]float64{1e-4, 100}, [2]float64{1e-6, 10_000}, "m",
		"a bare number is metres: 26 mm, 60 cm"},
	"Degrees": {"an angle", [2]float64{0, 360}, [2]float64{0, 3600}, "deg", "write degrees from -360 to 360"},
	"FNumber": {"an f-number", [2]float64{0.7, 90}, [2]float64{0.4, 1000}, "", "write it like f/5.6"},
	"Reading": {"a reading", [2]float64{0.05, 256}, [2]float64{1e-4, 1e5}, "", "write it like f/5.6 + 0.3"},
	"Seconds": {"a time", [2]float64{1.0 / 32000, 300}, [2]float64{1e-7, 1e5}, "s", "write it like 1/125 s"},
	"ISO":     {"a sensitivity", [2]float64{6, 819_200}, [2]float64{0.1, 2e7}, "", "write it like 400"},
	"Kelvin": {"a colour temperature", [2]float64{1000, 25_000}, [2]float64{500, 1e5}, "K",
		"write it like 5600 K"},
	"Luminance": {"a luminance", [2]float64{1e-5, 2e9}, [2]float64{1e-9, 1e12}, "cd/m²",
		"the sun's disc has 1.6e9 cd/m²"},
	"Lux": {"an illuminance", [2]float64{1e-4, 2e5}, [2]float64{1e-8, 1e8}, "lx",
		"full sun gives about 100 klx"},
	"LuxSeconds": {"a luminous exposure", [2]float64{1e-3, 1e6}, [2]float64{1e-8, 1e9}, "lx s",
		"a large head gives some 10,000 lx s at 1 m"},
	"Lumens": {"a flux", [2]float64{0.05, 1e6}, [2]float64{1e-6, 1e9}, "lm",
		"a bulb gives 400 to 1600 lm, a tube 2600 lm"},
	"Watts":       {"a draw", [2]float64{0.1, 25_000}, [2]float64{1e-4, 1e7}, "W", "write it like 60 W"},
	"WattSeconds": {"a flash energy", [2]float64{1, 12_000}, [2]float64{1e-3, 1e7}, "Ws", "write it like 500 Ws"},
	"Kilograms":   {"a weight", [2]float64{0.005, 200}, [2]float64{1e-5, 1e5}, "kg", "write it like 3 kg"},
	"Volts":       {"a voltage", [2]float64{5, 415}, [2]float64{0.5, 2000}, "V", "write it like 230 V"},
	"Amps":        {"a current", [2]float64{0.5, 125}, [2]float64{0.01, 2000}, "A", "write it like 13 A"},
	"Hertz":       {"a frequency", [2]float64{10, 200_000}, [2]float64{0.1, 1e9}, "Hz", "mains is 50 Hz or 60 Hz"},
	"Minutes":     {"a time in minutes", [2]float64{0.1, 1440}, [2]float64{1e-3, 1e5}, "min", "write it like 15 min"},
	"Mired": {"a shift of colour", [2]float64{0, 350}, [2]float64{0, 2000}, "mired",
		"a full conversion of daylight to tungsten is about 130 mired"},
	"Stops":     {"a step in stops", [2]float64{0, 20}, [2]float64{0, 60}, "st", "write it like 1.5 st"},
	"Share":     {"a share", [2]float64{0, 1}, [2]float64{0, 100}, "", "write it like 60 %"},
	"luminance": {"a luminance", [2]float64{1e-5, 2e9}, [2]float64{1e-9, 1e12}, "", "the sun's disc has 1.6e9 cd/m²"},
	"intensity": {"an intensity", [2]float64{1e-3, 1e7}, [2]float64{1e-7, 1e10}, "",
		"a candle has 1 cd, a strong spot 100,000 cd"},
	"flux": {"a flux", [2]float64{0.05, 1e6}, [2]float64{1e-6, 1e9}, "", "a bulb gives 400 to 1600 lm"},
}

// keySpans are the rules of single settings, by key, where a thing of that size is narrower than
// its quantity.
var keySpans = map[string]span{
	"lens":     {"a focal length", [2]float64{0.006, 1.2}, [2]float64{0.003, 3}, "m", "write millimetres: 50 mm"},
	"zoom":     {"a zoom", [2]float64{0.008, 0.6}, [2]float64{0.003, 1}, "m", "write millimetres: 70 mm"},
	"diameter": {"a diameter", [2]float64{0.002, 20}, [2]float64{1e-4, 500}, "m", "a bare number is metres: 26 mm"},
	"ceiling":  {"a ceiling", [2]float64{1.8, 40}, [2]float64{0.5, 500}, "m", "write it like 2.7 m"},
	"stature":  {"a stature", [2]float64{0.8, 2.2}, [2]float64{0.4, 2.6}, "m", "write it like 1.70 m"},
	"height": {"a height", [2]float64{0.02, 30}, [2]float64{1e-3, 1000}, "m",
		"heights count from the floor: 2.1 m"},
	"sill": {"a sill", [2]float64{0, 30}, [2]float64{0, 500}, "m", "heights count from the floor: 0.9 m"},
	"head": {"a head of a hole", [2]float64{0.2, 40}, [2]float64{0.05, 500}, "m",
		"heights count from the floor: 2.1 m"},
	"visibility": {"a visibility", [2]float64{1, 20_000}, [2]float64{0.1, 1e6}, "m",
		"haze one sees beams in has 10 to 60 m"},
}

// typeSpans are the rules of single settings by type and key, where a key has more than one type.
var typeSpans = map[string]span{
	"Hertz pwm": {"a pulse rate", [2]float64{90, 200_000}, [2]float64{1, 1e9}, "Hz",
		"write it like 400 Hz or 20 kHz"},
	"Seconds duration": {"a flash duration", [2]float64{1e-6, 0.05}, [2]float64{1e-8, 10}, "s",
		"write it like 1/1000 s or 2 ms"},
	"Watts load":       {"a load", [2]float64{20, 25_000}, [2]float64{1e-3, 1e6}, "W", "write it like 800 W or 2 kW"},
	"Minutes run time": {"a run time", [2]float64{5, 1440}, [2]float64{0.1, 1e5}, "min", "write it like 90 min or 2 h"},
	"Metres guide number": {"a guide number", [2]float64{2, 130}, [2]float64{0.1, 1000}, "m",
		"at ISO 100, in metres: 58 m; in feet: 190 ft"},
	"Metres size of a thing": {"a size", [2]float64{1e-4, 25}, [2]float64{1e-6, 1000}, "m",
		"a bare number is metres: 60 cm, 1.2 m"},
	"Mired warmer": {"a shift of the light's colour", [2]float64{0, 250}, [2]float64{0, 1000}, "mired",
		"bulbs under daylight white are about 180 mired warm"},
	"Stops within":      {"a tolerance", [2]float64{0.01, 3}, [2]float64{0, 60}, "st", "write it like 0.3 st"},
	"Stops nd":          {"a filter", [2]float64{0.1, 15}, [2]float64{0, 20}, "st", "write it like 3 st"},
	"Stops uncertainty": {"an uncertainty", [2]float64{0, 2.5}, [2]float64{0, 5}, "st", "write it like 0.4 st"},
}

// mistakable are settings whose number says too little without its unit: what it may be, the first
// of which it is taken for, and what to write.
var mistakable = map[string][2]string{
	"warmer": {"mired or kelvin", "write it in mired, like 40 mired: from K1 to K2 it is 1,000,000/K2 − 1,000,000/K1"},
	"nd": {"stops, a density (0.3 is a stop) or a factor (8 is three stops)",
		"write it in stops: density 0.6 and factor 4 are 2 st"},
	"run time": {"minutes or hours", "write it like 90 min or 1.5 h"},
	"load":     {"watts, amps or kilograms", "of a circuit 800 W, of a stand 5 kg"},
	"pwm":      {"hertz or kilohertz", "write it like 400 Hz or 20 kHz"},
}

// place is the rule for coordinates.
var place = span{"a coordinate", [2]float64{0, 200}, [2]float64{0, 5000}, "m",
	"coordinates are metres from the room's first corner: 2.4, or 240 cm"}

// placeKeys are settings whose lengths are coordinates.
var placeKeys = map[string]bool{"at": true, "aim": true, "path": true, "outline": true, "outlets": true,
	"detectors": true,
	"exits":     true, "polygon": true, "area": true, "focus": true}

// ofType returns the name of the rule for a type.
func ofType(t reflect.Type) string {
	if t.PkgPath() == reflect.TypeFor[q.Metres]().PkgPath() || t == reflect.TypeFor[Reading]() {
		return t.Name()
	}
	return ""
}

// plausible walks every written value and checks each quantity against its span.
func (c *checker) plausible(v reflect.Value, path, key string) {
	switch {
	case !v.IsValid() || path != "" && !c.doc.Has(path):
		return
	case v.Kind() == reflect.Pointer:
		if !v.IsNil() {
			c.plausible(v.Elem(), path, key)
		}
		return
	}
	switch x := v.Interface().(type) {
	case Reading:
		c.span(path, float64(x.N), spans["Reading"])
		return
	case Amount:
		c.span(path, x.Value, spans[key])
		return
	case Target:
		for i, y := range x.At {
			c.span(fmt.Sprintf("%s[%d]", path, i), y, place)
		}
		return
	case Tolerance:
		if x.Unit == "st" {
			c.span(path, x.Value, typeSpans["Stops within"])
		}
		return
	case Spectrum, Surface, Reflectance, Direction:
		return // read with their own bounds
	}
	switch v.Kind() {
	case reflect.Struct:
		for _, f := range yamltext.Fields(v.Type()) {
			p := f.Key
			if path != "" {
				p = path + "." + f.Key
			}
			c.plausible(f.Value(v), p, f.Key)
		}
	case reflect.Slice, reflect.Array:
		kind := v.Type().Elem().Kind()
		for i := range v.Len() {
			before := len(c.list)
			c.plausible(v.Index(i), fmt.Sprintf("%s[%d]", path, i), key)
			if len(c.list) > before && (kind == reflect.Float64 || kind == reflect.Array) {
				return // one message for a list of numbers
			}
		}
	case reflect.Float64:
		s, ok := spans[ofType(v.Type())]
		if !ok {
			return
		}
		if m, ok := mistakable[key]; ok && c.unitless(path) && !c.failed(path) {
			c.say(path, "file.unit", m[1], "%s: %s has no unit: it may be %s", key, c.doc.Find(path).Said(),
				m[0]).Severity = diag.Finding
			return
		}
		if own, ok := typeSpans[ofType(v.Type())+" "+key]; ok {
			c.span(path, v.Float(), own)
			return
		}
		if v.Type() == reflect.TypeFor[q.Metres]() {
			if placeKeys[key] || key == "from" && strings.Contains(path, "points[") {
				s = place
			} else if own, ok := keySpans[key]; ok {
				s = own
			} else if key == "size" && (strings.Contains(path, "panels[") || strings.Contains(path, "kit.")) {
				s = typeSpans["Metres size of a thing"]
			}
		}
		c.span(path, v.Float(), s)
	}
}

// span checks one value against a span.
func (c *checker) span(path string, x float64, s span) {
	if x == 0 || s.what == "" || c.failed(path) {
		return
	}
	a := math.Abs(x)
	out := func(r [2]float64) bool { return !(a >= r[0] && a <= r[1]) }
	if !out(s.real) {
		return
	}
	n := c.doc.Find(path)
	said := fmt.Sprintf("%.4g %s", x, s.unit)
	if n != nil {
		said = n.Said()
	}
	word := "larger"
	if a < s.real[0] {
		word = "smaller"
	}
	if out(s.possible) {
		c.say(path, "shoot.impossible", s.fix, "%s cannot be: %s of %.3g to %.3g %s is what there is",
			said, s.what, s.real[0], s.real[1], s.unit)
		return
	}
	if s.unit != "" && c.unitless(path) {
		c.say(path, "file.unit", s.fix, "%s has no unit, and in %s it is %s than %s usually is (%.3g to %.3g %s)",
			said, s.unit, word, s.what, s.real[0], s.real[1], s.unit).Severity = diag.Finding
		return
	}
	m := c.say(path, "shoot.implausible", s.fix, "%s is %s than %s usually is (%.3g to %.3g %s)",
		said, word, s.what, s.real[0], s.real[1], s.unit)
	m.Severity = diag.Finding
}

// unitless reports whether the value at path is written as a number without a unit, where its
// quantity has one.
func (c *checker) unitless(path string) bool {
	n := c.doc.Find(path)
	return n != nil && n.Kind == yamltext.Scalar && bare(strings.TrimSpace(n.Text))
}
