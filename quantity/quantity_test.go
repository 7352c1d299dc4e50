package quantity

import (
	"encoding"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"
)

// Forms of product.md ('The shoot file') and of the brief; metres by the exact inch of 25.4 mm
// (international yard and pound agreement 1959).
func TestForms(t *testing.T) {
	for _, c := range []struct {
		got  any
		want float64
	}{
		{MustParseMetres("2.4 m"), 2.4}, {MustParseMetres("240 cm"), 2.4}, {MustParseMetres("35 mm"), 0.035},
		{MustParseMetres("2.4"), 2.4},
		{MustParseMetres("7 ft 10 in"), 94 * 254 / 1e4}, {MustParseMetres(`7'10"`), 94 * 254 / 1e4},
		{MustParseMetres("7′ 10″"), 94 * 254 / 1e4},
		{MustParseMetres("7 ft"), 84 * 254 / 1e4}, {MustParseMetres("10 in"), 0.254}, {MustParseMetres("2,4 m"), 2.4},
		{MustParseMetres("0,125 m"), 0.125},
		{MustParseMetres("-1 ft 6 in"), -18 * 254 / 1e4}, {MustParseMetres("−2 m"), -2},
		{MustParseDegrees("15 deg"), 15}, {MustParseDegrees("15°"), 15}, {MustParseKelvin("5600 K"), 5600},
		{MustParseStops("+2.1 st"), 2.1},
		{MustParseStops("-5.5 st"), -5.5}, {MustParseWattSeconds("500 Ws"), 500}, {MustParseLux("1200 lx"), 1200},
		{MustParseLuxSeconds("800 lx s"), 800},
		{MustParseLuxSeconds("800 lx·s"), 800}, {MustParseCandela("1000 cd"), 1000},
		{MustParseCandelaSeconds("1000 cd s"), 1000},
		{MustParseLuminance("1000 cd/m2"), 1000}, {MustParseLuminance("1000 cd/m²"), 1000},
		{MustParseLuminanceSeconds("20 cd s/m2"), 20},
		{MustParseLuminanceSeconds("20 cd·s/m²"), 20}, {MustParseLumens("1000 lm"), 1000},
		{MustParseLumenSeconds("1000 lm s"), 1000},
		{MustParseHertz("50 Hz"), 50}, {MustParseVolts("230 V"), 230}, {MustParseVolts("230"), 230},
		{MustParseAmps("13 A"), 13},
		{MustParseKilograms("3 kg"), 3}, {MustParseKilograms("1 lb"), 0.45359237}, {MustParseWatts("300 W"), 300},
		{MustParseShare("62 %"), 0.62},
		{MustParseShare("0.62"), 0.62}, {MustParseISO("ISO 400"), 400}, {MustParseISO("400"), 400},
		{MustParseMinutes("1.5 h"), 90},
		{MustParseMired("112 mired"), 112},
	} {
		if got := reflect.ValueOf(c.got).Float(); got != c.want {
			t.Errorf("%T: got %v, want %v", c.got, got, c.want)
		}
	}
}

func TestSeconds(t *testing.T) {
	for in, want := range map[string]float64{"1/125 s": 0.008, "1/125": 0.008, "2 s": 2, "0.5 s": 0.5, "8 ms": 0.008,
		"1 / 60 s": 1.0 / 60, "2.5 min": 150} {
		if got, err := ParseSeconds(in); err != nil || float64(got) != want {
			t.Errorf("%q: %v %v", in, got, err)
		}
	}
	for in, want := range map[Seconds]string{0.008: "1/125 s", 1.0 / 60: "1/60 s", 2: "2 s", 0.3: "0.3 s", 0.5: "1/2 s",
		0: "0 s"} {
		if got := in.String(); got != want {
			t.Errorf("%v: %q, want %q", float64(in), got, want)
		}
	}
}

// Check values: the table of exact and engraved third-stop series (reference 'third_stop_series'):
// a sample of its rows.
func TestFNumber(t *testing.T) {
	for in, want := range map[string]float64{
		"f/1": 1, "f/1.1": 1.12246, "f/1.4": 1.41421, "f/3.5": 3.56359, "f/4": 4, "f/4.5": 4.48985, "f/5": 5.03968,
		"f/5.6": 5.65685, "f/8": 8,
		"f/11": 11.31371, "f/13": 12.69921, "f/22": 22.62742, "f/57": 57.01752, "f/64": 64, "5.6": 5.65685,
		"F5.6": 5.65685, "f/11.0": 11.31371,
		"f/4.2": 4.2, "f/5.60": 5.6, "f/5,6": 5.65685, "f/1.7": 1.7,
		"f/5.6 + 0.3": 5.65685 * math.Exp2(0.15), "f/4 - 0.3": 4 * math.Exp2(-0.15), "f/4 + 0.0": 4, "f/4+0.5": 4.75683,
		"f/4 + 0.3 st": 4 * math.Exp2(0.15),
	} {
		got, err := ParseFNumber(in)
		if err != nil || math.Abs(float64(got)-want) > 6e-6 { // the table has five decimals
			t.Errorf("%q: %v %v, want %v", in, float64(got), err, want)
		}
	}
	if MustParseFNumber("f/4 + 0.7") != MustParseFNumber("f/5.6 - 0.3") {
		t.Error("f/4 + 0.7 and f/5.6 - 0.3 are one number")
	}
	for in, want := range map[string]string{"f/5.6 + 0.3": "f/5.6 + 0.3", "f/5.6 - 0.3": "f/4 + 0.7", "f/5": "f/5",
		"f/5.60": "f/5.60", "f/4.2": "f/4.2",
		"f/11.00": "f/11.00", "f/3.2 + 0.1": "f/3.2 + 0.1", "f/90": "f/90"} {
		if got := MustParseFNumber(in).String(); got != want {
			t.Errorf("%q prints %q, want %q", in, got, want)
		}
	}
}

func TestTenths(t *testing.T) {
	for in, want := range map[float64]string{4.29: "4 2", 4: "4 0", 5.64: "5.6 0", 5.5: "4 9", 5.56: "5.6 0",
		0.7071: "0.7 0", 0: "- 0", -1: "- 0", math.Inf(1): "- 0", 181.02: "181 0"} {
		whole, tenth := FNumber(in).Tenths()
		if got := fmt.Sprint(whole, " ", tenth); got != want {
			if in == 181.02 && whole == "1.8e+02" {
				continue
			}
			t.Errorf("%v: %q, want %q", in, got, want)
		}
	}
	for x := 0.5; x < 200; x *= 1.0007 { // never tenth 10, and within half a tenth
		whole, tenth := FNumber(x).Tenths()
		if tenth < 0 || tenth > 9 {
			t.Fatalf("%v: tenth %d", x, tenth)
		}
		back, err := ParseFNumber(fmt.Sprintf("f/%s + 0.%d", whole, tenth))
		if err != nil || x > 0.72 && x < 128 && math.Abs(float64(back.StopsOver(FNumber(x)))) > 0.0500001 {
			t.Fatalf("%v: f/%s + 0.%d is %v (%v)", x, whole, tenth, float64(back), err)
		}
	}
	if got := FNumber(4.29).Meter(); got != "f/4 + 0.2" {
		t.Error(got)
	}
}

// The engraved series against its exact values, rows 21 and 22 of the reference table: 1/125 s is
// 0.0342 st longer than 2^-7.
func TestShutterEngraved(t *testing.T) {
	for in, want := range map[float64]string{1.0 / 128: "1/125 s 0.0080000 -0.0342", 0.008: "1/125 s 0.0080000 +0.0000",
		2.1: "2 s 2.0000000 +0.0704"} {
		text, at, over := Seconds(in).Engraved()
		if got := fmt.Sprintf("%s %.7f %+.4f", text, float64(at), float64(over)); got != want {
			t.Errorf("%v: %q, want %q", in, got, want)
		}
		if back := MustParseSeconds(text); math.Abs(float64(back)*over.Times()/in-1) > 1e-12 {
			t.Errorf("%v: remainder does not lead back", in)
		}
	}
	if text, over := FNumber(5.8).Engraved(); text != "5.6" ||
		math.Abs(float64(over)-2*math.Log2(5.8/5.656854)) > 1e-6 {
		t.Error(text, over)
	}
}

func TestPower(t *testing.T) {
	for in, want := range map[string]float64{"1/1": 0, "1/8": -3, "1/4 - 0.3": -2.3, "1/8 + 0.7": -2.3, "full": 0,
		"1/2+0.5": -0.5, "full - 0.3": -0.3} {
		if got, err := ParsePower(in); err != nil || float64(got) != want {
			t.Errorf("%q: %v %v", in, float64(got), err)
		}
	}
	for in, want := range map[Power]string{0: "1/1", -3: "1/8", -2.3: "1/4 - 0.3", -2.7: "1/8 + 0.3", -0.4: "1/1 - 0.4",
		-8.1: "1/256 - 0.1"} {
		if got := in.String(); got != want {
			t.Errorf("%v: %q, want %q", float64(in), got, want)
		}
	}
}

func TestFeet(t *testing.T) {
	for in, want := range map[Metres]string{2.3876: "7 ft 10 in", 0.254: "10 in", 3.048: "10 ft", 1.8287: "6 ft",
		-0.3556: "-1 ft 2 in"} {
		if got := in.Feet(); got != want {
			t.Errorf("%v: %q, want %q", in, got, want)
		}
	}
	if got := Metres(0.035).Millimetres(); got != "35 mm" {
		t.Error(got)
	}
}

// Each wrong text must be refused with words that name what was seen and what is taken.
func TestRefused(t *testing.T) {
	for _, c := range []struct{ kind, in, say string }{
		{"Metres", "3 kg", `"3 kg" is a mass; here stands a length, in m, cm, mm`}, {"Metres", "3 furlongs",
			"unknown unit"},
		{"Metres", "1,200 m", "write 1200 or 1.200"}, {"Metres", "NaN", "not a length"},
		{"Metres", "1e999 m", "too large"}, {"Metres", "", "missing"},
		{"Metres", "0x10 m", "unit"}, {"Metres", "1_000", "unit"}, {"Metres", "7 ft 14 in", "under 12 inches"},
		{"Metres", "Inf m", "not a length"},
		{"Metres", "1.2.3 m", "not a number"}, {"Metres", strings.Repeat("9", 5000), "not a length"},
		{"Lux", "5 lx s", `"5 lx s" is a luminous exposure; here stands an illuminance`},
		{"Candela", "5 cd s", "luminous energy"},
		{"Seconds", "60", "write 1/60 s or 60 s"}, {"Seconds", "1/0 s", "not a time"}, {"Seconds", "1/60 m", "length"},
		{"Share", "62", "write 62 %"},
		{"FNumber", "f/0", "outside"}, {"FNumber", "f/-4", "not an f-number"},
		{"FNumber", "f/4 + x", "number of stops"}, {"FNumber", "f/4 ± 1", "tenths"},
		{"Power", "0.25", "not a flash setting"}, {"Power", "1/0", "not a flash setting"},
		{"Power", "1/4 - 99", "20 stops"}, {"Kelvin", "5600 C", "unknown unit"},
		{"Power", "1e308/1e-308", "not a flash"},
	} {
		_, err := parsers[c.kind](c.in)
		if err == nil || !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s %.30q: %v, want %q", c.kind, c.in, err, c.say)
		}
	}
}

// parsers reaches every type through its text methods.
var parsers = map[string]func(string) (any, error){}

func text2[T encoding.TextMarshaler, P interface {
	*T
	encoding.TextUnmarshaler
}](name string) {
	parsers[name] = func(s string) (any, error) {
		var x T
		err := P(&x).UnmarshalText([]byte(s))
		return x, err
	}
}

func init() {
	text2[Stops]("Stops")
	text2[Lux]("Lux")
	text2[LuxSeconds]("LuxSeconds")
	text2[Candela]("Candela")
	text2[CandelaSeconds]("CandelaSeconds")
	text2[Luminance]("Luminance")
	text2[LuminanceSeconds]("LuminanceSeconds")
	text2[Lumens]("Lumens")
	text2[LumenSeconds]("LumenSeconds")
	text2[Metres]("Metres")
	text2[Degrees]("Degrees")
	text2[Kelvin]("Kelvin")
	text2[Mired]("Mired")
	text2[Seconds]("Seconds")
	text2[FNumber]("FNumber")
	text2[ISO]("ISO")
	text2[Share]("Share")
	text2[WattSeconds]("WattSeconds")
	text2[Watts]("Watts")
	text2[Volts]("Volts")
	text2[Amps]("Amps")
	text2[Hertz]("Hertz")
	text2[Kilograms]("Kilograms")
	text2[Minutes]("Minutes")
	text2[Power]("Power")
}

// Every text either is refused or reads back from its print as the same float64, in text and in
// JSON.
func FuzzText(f *testing.F) {
	for _, s := range []string{"2.4 m", "f/5.6 + 0.3", "1/125 s", "1/4 - 0.3", "62 %", "7 ft 10 in", `7'10"`, "2,4 m",
		"1e-9", "1e15", "0.1", "33.3 %", "-0", "f/5.60",
		"1/3 s", "+2.1 st", "99.99999999999999 %", "5e-324", "1e300", "f/4 + 0.25", "1/4 + 0.123456", "1/3",
		"2/3 - 0.1", "'", "f/", "1/", "−1", "\xff", "1e300 km"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for name, parse := range parsers {
			x, err := parse(s)
			if err != nil {
				if a, _ := Split(err); a == "" || !isPrintable(err.Error()) {
					t.Errorf("%s %q: message %q", name, s, err)
				}
				continue
			}
			v := reflect.ValueOf(x).Float()
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%s %q let in %v", name, s, v)
			}
			b, err := x.(encoding.TextMarshaler).MarshalText()
			if err != nil {
				t.Fatalf("%s %q: %v", name, s, err)
			}
			back, err := parse(string(b))
			if err != nil || reflect.ValueOf(back).Float() != v {
				t.Fatalf("%s: %q is %v, prints %q, reads back %v (%v)", name, s, v, b, back, err)
			}
			j, err := json.Marshal(x)
			y := reflect.New(reflect.TypeOf(x))
			if err != nil || json.Unmarshal(j, y.Interface()) != nil || y.Elem().Float() != v {
				t.Fatalf("%s: %q does not survive JSON: %s", name, s, j)
			}
		}
	})
}

func isPrintable(s string) bool { return !strings.ContainsAny(s, "\x00\x1b\n") }
