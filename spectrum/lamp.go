package spectrum

import (
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
	"sync"

	"halfstop/diag"
)

// kind is one family of lamps known by name.
type kind struct {
	name    string
	aliases []string
	// make builds the light; kelvin is meaningful only where lo < hi.
	make           func(kelvin float64) Curve
	kelvin, lo, hi float64 // the default temperature, and the range allowed
	note           string
}

func fixed(f func() Curve) func(float64) Curve { return func(float64) Curve { return f() } }

func column(file, name string) func(float64) Curve {
	return func(float64) Curve { return readTable(file).curve(name) }
}

func led(peak, width float64) func(float64) Curve {
	return func(float64) Curve { return Gaussian(peak, width) }
}

// kinds is every lamp by name. Peaks and widths of LEDs are from memory, adequate for planning.
var kinds = []kind{
	{name: "equal energy", aliases: []string{"E"}, make: fixed(func() Curve { return Constant(1).grid() }),
		note: "CIE illuminant E"},
	{name: "A", aliases: []string{"illuminant A"}, make: column("illuminants.csv", "A"),
		note: "CIE standard illuminant A"},
	{name: "D50", make: column("illuminants.csv", "D50"), note: "CIE illuminant D50"},
	{name: "D55", make: fixed(func() Curve { return Daylight(5503) }), note: "CIE daylight series"},
	{name: "D65", make: column("illuminants.csv", "D65"), note: "CIE standard illuminant D65"},
	{name: "D75", make: fixed(func() Curve { return Daylight(7504) }), note: "CIE daylight series"},
	{name: "daylight", make: Daylight, kelvin: 5600, lo: daylightMin, hi: daylightMax, note: "CIE daylight series"},
	{name: "white", make: White, kelvin: 5500, lo: 1000, hi: daylightMax,
		note: "black body to 4,000 K, daylight from 5,000 K"},
	{name: "planck", aliases: []string{"black body"}, make: Planck, kelvin: 3200, lo: 1000, hi: 100000,
		note: "Planck's law"},
	{name: "tungsten", aliases: []string{"halogen", "incandescent", "bulb"}, make: Tungsten, kelvin: 3200, lo: 1500,
		hi: 3600, note: "black body at the colour temperature"},
	{name: "candle", make: fixed(func() Curve { return Planck(1900) }),
		note: "black body at 1,900 K; common practice, no source"},
	{name: "xenon flash", aliases: []string{"flash", "strobe"}, make: XenonFlash, kelvin: 5600, lo: 4500, hi: 7500,
		note: "daylight series with an ultraviolet cut; common practice, no source"},
	{name: "fluorescent", aliases: []string{"halophosphate"}, make: Fluorescent, kelvin: 4000, lo: 2700, hi: 6500,
		note: "mercury lines and broad bands, Duv +0.006; common practice, no source"},
	{name: "triphosphor", aliases: []string{"fluorescent triphosphor"}, make: Triphosphor, kelvin: 4000, lo: 2700,
		hi: 6500, note: "mercury lines and three narrow bands; common practice, no source"},
	{name: "white led", aliases: []string{"led"}, make: WhiteLED, kelvin: 5600, lo: 2200, hi: 10000,
		note: "450 nm pump and two phosphors; from memory"},
	{name: "led red", make: led(630, 18), note: "630/18 nm"},
	{name: "led deep red", make: led(660, 20), note: "660/20 nm"},
	{name: "led amber", make: led(590, 15), note: "590/15 nm"},
	{name: "led lime", make: led(550, 100), note: "550/100 nm"},
	{name: "led green", make: led(525, 33), note: "525/33 nm"},
	{name: "led cyan", make: led(500, 30), note: "500/30 nm"},
	{name: "led blue", make: led(465, 22), note: "465/22 nm"},
	{name: "led royal blue", make: led(450, 20), note: "450/20 nm"},
	{name: "neon red", aliases: []string{"neon"}, make: fixed(Neon),
		note: "neon positive column, optically thin estimate"},
	{name: "neon blue", aliases: []string{"mercury argon", "argon blue"}, make: fixed(MercuryArgon),
		note: "clear mercury-argon tube, assumed line powers"},
	{name: "neon orange", make: fixed(func() Curve { return coatedNeon(Line{595, 0.5}, 60) }),
		note: "neon with a yellow phosphor; common practice, no source"},
	{name: "neon pink", make: fixed(neonPink), note: "neon red and a blue phosphor; common practice, no source"},
	{name: "neon green", make: fixed(func() Curve { return coatedMercury(528, 40) }),
		note: "mercury-argon in a green-coated tube; common practice, no source"},
	{name: "neon turquoise", make: fixed(func() Curve { return coatedMercury(495, 60) }),
		note: "mercury-argon in a coated tube; common practice, no source"},
	{name: "neon yellow", make: fixed(func() Curve { return coatedMercury(578, 60) }),
		note: "mercury-argon in a coated tube; common practice, no source"},
	{name: "neon white", make: fixed(func() Curve { return Triphosphor(6500) }),
		note: "mercury-argon with three phosphors; common practice, no source"},
	{name: "neon warm white", make: fixed(func() Curve { return Triphosphor(3000) }),
		note: "mercury-argon with three phosphors; common practice, no source"},
	{name: "sodium", aliases: []string{"high pressure sodium", "street light"}, make: column("lamps.csv",
		"high_pressure_sodium"), note: "measured, NIST colour quality workbook"},
	{name: "low pressure sodium", make: fixed(func() Curve { return OfLines([]Line{{588.995, 2}, {589.592, 1}}) }),
		note: "sodium D lines, NIST ASD wavelengths"},
	{name: "mercury lamp", make: column("lamps.csv", "mercury_lamp"), note: "measured, NIST colour quality workbook"},
	{name: "metal halide", make: column("lamps.csv", "metal_halide"), note: "measured, NIST colour quality workbook"},
	{name: "fluorescent cool white", make: column("lamps.csv", "fluorescent_cool_white"),
		note: "measured, NIST colour quality workbook"},
	{name: "measured triphosphor", make: column("lamps.csv", "fluorescent_triphosphor"),
		note: "measured, NIST colour quality workbook"},
	{name: "measured white led", make: column("lamps.csv", "led_yag_white"),
		note: "measured, NIST colour quality workbook"},
	{name: "four-colour led", make: column("lamps.csv", "led_4peak"), note: "measured, NIST colour quality workbook"},
}

// Lamp returns a light by name, scaled to Y = 1 (one lumen, lux or cd/m²), on the 1 nm grid from
// 360 to 830 nm.
//
// Names are those of Names, in any case and order of words. Families take a temperature:
// 'fluorescent 4000', 'white led 5600 K', 'tungsten'. A temperature alone ('5600 K') is White.
// Error: an unknown name, with the nearest known one; a temperature outside the lamp's range.
// Check: TestLamps.
func Lamp(name string) (Curve, error) {
	words, kelvin, err := splitKelvin(name)
	if err != nil {
		return Curve{}, err
	}
	key := wordKey(words)
	if key == "" && kelvin > 0 {
		key = "white"
	}
	if k, ok := kindOf(key); ok {
		if kelvin > 0 && k.lo >= k.hi {
			return Curve{}, fmt.Errorf("the light %q comes in one colour; write it without %g K", k.name, kelvin)
		}
		if kelvin > 0 && (kelvin < k.lo || kelvin > k.hi) {
			return Curve{}, fmt.Errorf("the light %q comes from %g K to %g K, not %g K", k.name, k.lo, k.hi, kelvin)
		}
		if kelvin == 0 {
			kelvin = k.kelvin
		}
		return k.make(kelvin).grid().PerLuminance(), nil
	}
	if strings.TrimSpace(name) == "" {
		return Curve{}, fmt.Errorf("the light has no name; write one such as \"tungsten\" or \"5600 K\"")
	}
	nearest := Nearest(strings.Join(words, " "), allNames())
	return Curve{}, fmt.Errorf("no light is called %q; the nearest is %q", name, nearest)
}

// kindOf finds a lamp by the wordKey of its name or alias.
func kindOf(key string) (kind, bool) {
	i, ok := kindIndex()[key]
	if !ok {
		return kind{}, false
	}
	return kinds[i], true
}

var kindIndex = sync.OnceValue(func() map[string]int {
	at := map[string]int{}
	for i, k := range kinds {
		for _, name := range append([]string{k.name}, k.aliases...) {
			words, _, err := splitKelvin(name)
			if key := wordKey(words); err == nil {
				if _, taken := at[key]; !taken {
					at[key] = i
				}
			}
		}
	}
	return at
})

// Names lists the lamps of Lamp in alphabetical order. A family that takes a temperature has its
// usual one.
func Names() []string {
	var out []string
	for _, k := range kinds {
		if k.lo < k.hi {
			out = append(out, fmt.Sprintf("%s %g", k.name, k.kelvin))
			continue
		}
		out = append(out, k.name)
	}
	sort.Strings(out)
	return out
}

func allNames() []string {
	var out []string
	for _, k := range kinds {
		out = append(out, k.name)
		out = append(out, k.aliases...)
	}
	return out
}

// splitKelvin takes a temperature ('4000', '4000K', '4,000 K') out of a name.
func splitKelvin(name string) (words []string, kelvin float64, err error) {
	spaced := strings.NewReplacer("-", " ", "–", " ", "_", " ", "/", " ").Replace(strings.ToLower(name))
	for _, w := range strings.Fields(spaced) {
		number := strings.TrimSuffix(w, "k")
		if len(number) > 4 {
			number = strings.Replace(number, ",", "", 1)
		}
		v, e := strconv.ParseFloat(number, 64)
		switch {
		case e == nil && kelvin != 0:
			return nil, 0, fmt.Errorf("the light %q has two temperatures", name)
		case e == nil && !(v >= 300 && v <= 1e6):
			return nil, 0, fmt.Errorf("%q in the light %q is no colour temperature", w, name)
		case e == nil:
			kelvin = v
		case w == "k" || w == "kelvin" || w == "lamp" || w == "light":
		default:
			words = append(words, w)
		}
	}
	return words, kelvin, nil
}

// wordKey is the same for names that differ only in case, hyphens and the order of words.
func wordKey(words []string) string {
	parts := func(r rune) bool { return r == '-' || r == '_' || r == ' ' }
	var w []string
	for _, x := range words {
		w = append(w, strings.FieldsFunc(strings.ToLower(x), parts)...)
	}
	sort.Strings(w)
	return strings.Join(w, " ")
}

// SameWords reports whether two names differ only in case, hyphens and the order of their words:
// 'grey lino' and 'Lino grey'.
func SameWords(a, b string) bool { return NameKey(a) == NameKey(b) }

// NameKey is the key of a name in tables: the same for names that SameWords holds equal.
func NameKey(name string) string { return wordKey(strings.Fields(name)) }

// Nearest returns the name at the least edit distance (diag.EditDistance) from name, with the words
// in either order. Of equals it is the first. Empty where names is empty.
func Nearest(name string, names []string) string {
	best, bestCost := "", math.MaxInt
	if len(name) > 200 {
		name = name[:200]
	}
	low := strings.ToLower(name)
	key := wordKey(strings.Fields(name))
	for _, n := range names {
		cost := min(diag.EditDistance(low, strings.ToLower(n)), diag.EditDistance(key, wordKey(strings.Fields(n))))
		if cost < bestCost {
			best, bestCost = n, cost
		}
	}
	return best
}
