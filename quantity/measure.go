package quantity

import (
	"math"
	"strings"
)

// unit is one accepted spelling. The value in the base unit is x·times/over, both whole numbers
// where they can be, so that '35 mm' is the float64 nearest to 0.035.
type unit struct {
	word        string
	times, over float64
}

// measure is how one quantity is written.
type measure struct {
	noun    string // 'a length'
	units   []unit // the first is printed; words in plain form: lower case, no spaces, dots or superscripts
	printed string // the printed unit
	shown   string // the accepted units as a message lists them
	like    string // an example
	bare    bool   // a number without a unit is in the base unit
}

var (
	stops = &measure{"a difference in stops", []unit{{"st", 1, 1}, {"stop", 1, 1}, {"stops", 1, 1}, {"ev", 1, 1}}, "st",
		"st", "+2.1 st", true}
	lux = &measure{"an illuminance", []unit{{"lx", 1, 1}, {"lux", 1, 1}, {"klx", 1000, 1}}, "lx", "lx, klx",
		"1200 lx", true}
	luxS = &measure{"a luminous exposure", []unit{{"lxs", 1, 1}, {"luxs", 1, 1}, {"luxseconds", 1, 1}}, "lx s", "lx s",
		"800 lx s", true}
	cd  = &measure{"a luminous intensity", []unit{{"cd", 1, 1}, {"kcd", 1000, 1}}, "cd", "cd, kcd", "1000 cd", true}
	cdS = &measure{"a luminous energy per steradian", []unit{{"cds", 1, 1}, {"kcds", 1000, 1}}, "cd s", "cd s",
		"1000 cd s", true}
	nit = &measure{"a luminance", []unit{{"cd/m2", 1, 1}, {"kcd/m2", 1000, 1}, {"cdm-2", 1, 1}}, "cd/m2",
		"cd/m2, kcd/m2", "1000 cd/m2", true}
	nitS = &measure{"a luminance over a flash", []unit{{"cds/m2", 1, 1}, {"cd/m2s", 1, 1}, {"cdsm-2", 1, 1}},
		"cd s/m2", "cd s/m2", "20 cd s/m2", true}
	lm = &measure{"a luminous flux", []unit{{"lm", 1, 1}, {"lumen", 1, 1}, {"klm", 1000, 1}}, "lm", "lm, klm",
		"1000 lm", true}
	lmS   = &measure{"a quantity of light", []unit{{"lms", 1, 1}, {"klms", 1000, 1}}, "lm s", "lm s", "1000 lm s", true}
	metre = &measure{"a length", []unit{{"m", 1, 1}, {"metre", 1, 1}, {"metres", 1, 1}, {"cm", 1, 100}, {"mm", 1, 1000},
		{"km", 1000, 1},
		{"ft", 3048, 10000}, {"feet", 3048, 10000}, {"foot", 3048, 10000}, {"'", 3048, 10000},
		{"in", 254, 10000}, {"inch", 254, 10000}, {"inches", 254, 10000}, {"\"", 254, 10000}}, "m",
		"m, cm, mm, km, ft, in", "2.4 m", true}
	degree = &measure{"an angle", []unit{{"deg", 1, 1}, {"°", 1, 1}, {"degree", 1, 1}, {"degrees", 1, 1}}, "deg",
		"deg, °", "15 deg", true}
	kelvin = &measure{"a colour temperature", []unit{{"k", 1, 1}, {"kelvin", 1, 1}}, "K", "K", "5600 K", true}
	mired  = &measure{"a mired shift", []unit{{"mired", 1, 1}, {"mireds", 1, 1}, {"mk-1", 1, 1}}, "mired", "mired",
		"+112 mired", true}
	second = &measure{"a time", []unit{{"s", 1, 1}, {"sec", 1, 1}, {"second", 1, 1}, {"seconds", 1, 1}, {"ms", 1, 1000},
		{"us", 1, 1e6}, {"µs", 1, 1e6}, {"min", 60, 1}}, "s", "s, ms, us, min, or a fraction of a second", "1/125 s",
		false}
	iso   = &measure{"a sensitivity", []unit{{"iso", 1, 1}}, "", "none", "400", true}
	share = &measure{"a share", []unit{{"%", 1, 100}, {"percent", 1, 100}}, "%", "%", "62 %", false}
	wattS = &measure{"a stored energy", []unit{{"ws", 1, 1}, {"j", 1, 1}, {"kws", 1000, 1}, {"kj", 1000, 1}}, "Ws",
		"Ws, J", "500 Ws", true}
	watt  = &measure{"a power", []unit{{"w", 1, 1}, {"kw", 1000, 1}}, "W", "W, kW", "300 W", true}
	volt  = &measure{"a voltage", []unit{{"v", 1, 1}, {"volt", 1, 1}, {"volts", 1, 1}}, "V", "V", "230 V", true}
	amp   = &measure{"a current", []unit{{"a", 1, 1}, {"amp", 1, 1}, {"amps", 1, 1}}, "A", "A", "13 A", true}
	hertz = &measure{"a frequency", []unit{{"hz", 1, 1}, {"khz", 1000, 1}}, "Hz", "Hz, kHz", "50 Hz", true}
	kilo  = &measure{"a mass", []unit{{"kg", 1, 1}, {"g", 1, 1000}, {"lb", 45359237, 1e8}, {"lbs", 45359237, 1e8},
		{"t", 1000, 1}}, "kg", "kg, g, lb", "3 kg", true}
	minute = &measure{"a length of time", []unit{{"min", 1, 1}, {"minute", 1, 1}, {"minutes", 1, 1}, {"h", 60, 1},
		{"hour", 60, 1}, {"hours", 60, 1}, {"s", 1, 60}}, "min", "min, h, s", "12 min", true}
)

var measures = []*measure{stops, lux, luxS, cd, cdS, nit, nitS, lm, lmS, metre, degree, kelvin, mired, second, iso,
	share, wattS, watt, volt, amp, hertz, kilo, minute}

// plain turns a written unit into the form of the tables: lower case, without spaces, dots and
// superscripts.
func plain(u string) string {
	u = strings.ToLower(strings.TrimSpace(u))
	return strings.NewReplacer(" ", "", "\t", "", "\u00a0", "", "\u202f", "", "·", "", "*", "", ".", "", "²", "2", "^2",
		"2", "⁻¹", "-1",
		"′′", "\"", "″", "\"", "”", "\"", "′", "'", "’", "'", "''", "\"", "º", "°", "μ", "µ").Replace(u)
}

// find looks a plain unit up.
func (m *measure) find(u string) (unit, bool) {
	for _, k := range m.units {
		if k.word == u {
			return k, true
		}
	}
	return unit{}, false
}

// parse reads one number and one unit.
func (m *measure) parse(s string) (float64, error) {
	t := strings.TrimSpace(s)
	if t == "" {
		return 0, wrong("write "+m.like, "%s is missing", m.noun)
	}
	if len(t) > longest {
		return 0, wrong("write it like "+m.like, "%s is not %s", quoted(t), m.noun)
	}
	n, rest := leading(t)
	if n == "" {
		return 0, wrong("write it like "+m.like, "%s is not %s", quoted(t), m.noun)
	}
	x, err := number(n)
	if err != nil {
		return 0, err
	}
	u := plain(rest)
	if u == "" {
		if !m.bare {
			return 0, wrong("write the unit, like "+m.like, "%s has no unit; %s is written in %s", quoted(t), m.noun,
				m.shown)
		}
		return x, nil
	}
	k, ok := m.find(u)
	if !ok {
		return 0, m.wrongUnit(t, rest)
	}
	return finite(t, x*k.times/k.over)
}

// finite returns an error where a number overflowed.
func finite(s string, x float64) (float64, error) {
	if !(math.Abs(x) <= 1e300) {
		return 0, wrong("", "the number %s is too large", quoted(s))
	}
	return x, nil
}

// wrongUnit returns an error that names the unit seen, what it measures where that is known, and
// the units accepted.
func (m *measure) wrongUnit(whole, seen string) error {
	u := plain(seen)
	seen = strings.TrimSpace(seen)
	if r := strings.TrimLeft(seen, " "); len(r) > 24 {
		return wrong("write it like "+m.like, "%s is not %s", quoted(whole), m.noun)
	}
	for _, o := range measures {
		if _, ok := o.find(u); ok {
			return wrong("write it like "+m.like, "%s is %s; here stands %s, in %s", quoted(whole), o.noun, m.noun,
				m.shown)
		}
	}
	return wrong("write it like "+m.like, "unknown unit %s in %s; %s is written in %s", quoted(seen), quoted(whole),
		m.noun, m.shown)
}

// print writes x in the base unit, exactly.
func (m *measure) print(x float64) string {
	if m.printed == "" {
		return digits(x)
	}
	return digits(x) + " " + m.printed
}

// Forms returns how values of a quantity are written, for references and schemas. name is the Go
// type's name ('Metres'). Empty where there is no such quantity.
func Forms(name string) (noun, units, like string) {
	m := map[string]*measure{"Stops": stops, "Lux": lux, "LuxSeconds": luxS, "Candela": cd, "CandelaSeconds": cdS,
		"Luminance":        nit,
		"LuminanceSeconds": nitS, "Lumens": lm, "LumenSeconds": lmS, "Metres": metre, "Degrees": degree,
		"Kelvin": kelvin, "Mired": mired,
		"Seconds": second, "ISO": iso, "Share": share, "WattSeconds": wattS, "Watts": watt, "Volts": volt, "Amps": amp,
		"Hertz":     hertz,
		"Kilograms": kilo, "Minutes": minute}[name]
	switch {
	case m != nil:
		return m.noun, m.shown, m.like
	case name == "FNumber":
		return "an f-number", "f/ and the engraved number, with tenths of stops where wanted", "f/5.6 + 0.3"
	case name == "Power":
		return "a flash setting", "a part of full power, with tenths of stops where wanted", "1/4 - 0.3"
	}
	return "", "", ""
}
