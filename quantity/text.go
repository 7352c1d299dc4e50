package quantity

import (
	"encoding/json"
	"math"
)

// Each quantity has the same set: ParseX, MustParseX, String, MarshalText, UnmarshalText, MarshalJSON, UnmarshalJSON.
// Text carries the unit and reads back as the same float64 (FuzzText). JSON carries the bare number in the base unit, since
// keys of JSON answers name the unit; on reading, text with a unit is taken as well. What is not finite is null in JSON and
// an error in text.

func must[T any](x T, err error) T {
	if err != nil {
		panic("quantity: " + err.Error())
	}
	return x
}

func text(x float64, s string) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil, wrong("", "%v is not finite and cannot be written", x)
	}
	return []byte(s), nil
}

func into[T any](p *T, parse func(string) (T, error), b []byte) error {
	x, err := parse(string(b))
	if err == nil {
		*p = x
	}
	return err
}

func toJSON(x float64) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(x)
}

func fromJSON[T ~float64](p *T, parse func(string) (T, error), b []byte) error {
	if len(b) > 0 && b[0] == '"' {
		var s string
		if err := json.Unmarshal(b, &s); err != nil {
			return err
		}
		return into(p, parse, []byte(s))
	}
	var x float64
	if err := json.Unmarshal(b, &x); err != nil {
		return err
	}
	*p = T(x)
	return nil
}

// ParseStops reads '+2.1 st'. A bare number is in the printed unit.
func ParseStops(s string) (Stops, error) {
	x, err := stops.parse(s)
	return Stops(x), err
}

// MustParseStops is ParseStops for constants; it panics on an error.
func MustParseStops(s string) Stops { return must(ParseStops(s)) }

// String writes x so that it reads back as the same float64.
func (x Stops) String() string { return signed(stops, float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Stops) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseStops.
func (x *Stops) UnmarshalText(b []byte) error { return into(x, ParseStops, b) }

// MarshalJSON writes the bare number.
func (x Stops) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Stops) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseStops, b) }

// ParseLux reads '1200 lx'. A bare number is in the printed unit.
func ParseLux(s string) (Lux, error) {
	x, err := lux.parse(s)
	return Lux(x), err
}

// MustParseLux is ParseLux for constants; it panics on an error.
func MustParseLux(s string) Lux { return must(ParseLux(s)) }

// String writes x so that it reads back as the same float64.
func (x Lux) String() string { return lux.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Lux) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseLux.
func (x *Lux) UnmarshalText(b []byte) error { return into(x, ParseLux, b) }

// MarshalJSON writes the bare number.
func (x Lux) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Lux) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseLux, b) }

// ParseLuxSeconds reads '800 lx s'. A bare number is in the printed unit.
func ParseLuxSeconds(s string) (LuxSeconds, error) {
	x, err := luxS.parse(s)
	return LuxSeconds(x), err
}

// MustParseLuxSeconds is ParseLuxSeconds for constants; it panics on an error.
func MustParseLuxSeconds(s string) LuxSeconds { return must(ParseLuxSeconds(s)) }

// String writes x so that it reads back as the same float64.
func (x LuxSeconds) String() string { return luxS.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x LuxSeconds) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseLuxSeconds.
func (x *LuxSeconds) UnmarshalText(b []byte) error { return into(x, ParseLuxSeconds, b) }

// MarshalJSON writes the bare number.
func (x LuxSeconds) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *LuxSeconds) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseLuxSeconds, b) }

// ParseCandela reads '1000 cd'. A bare number is in the printed unit.
func ParseCandela(s string) (Candela, error) {
	x, err := cd.parse(s)
	return Candela(x), err
}

// MustParseCandela is ParseCandela for constants; it panics on an error.
func MustParseCandela(s string) Candela { return must(ParseCandela(s)) }

// String writes x so that it reads back as the same float64.
func (x Candela) String() string { return cd.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Candela) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseCandela.
func (x *Candela) UnmarshalText(b []byte) error { return into(x, ParseCandela, b) }

// MarshalJSON writes the bare number.
func (x Candela) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Candela) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseCandela, b) }

// ParseCandelaSeconds reads '1000 cd s'. A bare number is in the printed unit.
func ParseCandelaSeconds(s string) (CandelaSeconds, error) {
	x, err := cdS.parse(s)
	return CandelaSeconds(x), err
}

// MustParseCandelaSeconds is ParseCandelaSeconds for constants; it panics on an error.
func MustParseCandelaSeconds(s string) CandelaSeconds { return must(ParseCandelaSeconds(s)) }

// String writes x so that it reads back as the same float64.
func (x CandelaSeconds) String() string { return cdS.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x CandelaSeconds) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseCandelaSeconds.
func (x *CandelaSeconds) UnmarshalText(b []byte) error { return into(x, ParseCandelaSeconds, b) }

// MarshalJSON writes the bare number.
func (x CandelaSeconds) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *CandelaSeconds) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseCandelaSeconds, b) }

// ParseLuminance reads '1000 cd/m2'. A bare number is in the printed unit.
func ParseLuminance(s string) (Luminance, error) {
	x, err := nit.parse(s)
	return Luminance(x), err
}

// MustParseLuminance is ParseLuminance for constants; it panics on an error.
func MustParseLuminance(s string) Luminance { return must(ParseLuminance(s)) }

// String writes x so that it reads back as the same float64.
func (x Luminance) String() string { return nit.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Luminance) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseLuminance.
func (x *Luminance) UnmarshalText(b []byte) error { return into(x, ParseLuminance, b) }

// MarshalJSON writes the bare number.
func (x Luminance) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Luminance) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseLuminance, b) }

// ParseLuminanceSeconds reads '20 cd s/m2'. A bare number is in the printed unit.
func ParseLuminanceSeconds(s string) (LuminanceSeconds, error) {
	x, err := nitS.parse(s)
	return LuminanceSeconds(x), err
}

// MustParseLuminanceSeconds is ParseLuminanceSeconds for constants; it panics on an error.
func MustParseLuminanceSeconds(s string) LuminanceSeconds { return must(ParseLuminanceSeconds(s)) }

// String writes x so that it reads back as the same float64.
func (x LuminanceSeconds) String() string { return nitS.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x LuminanceSeconds) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseLuminanceSeconds.
func (x *LuminanceSeconds) UnmarshalText(b []byte) error { return into(x, ParseLuminanceSeconds, b) }

// MarshalJSON writes the bare number.
func (x LuminanceSeconds) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *LuminanceSeconds) UnmarshalJSON(b []byte) error {
	return fromJSON(x, ParseLuminanceSeconds, b)
}

// ParseLumens reads '1000 lm'. A bare number is in the printed unit.
func ParseLumens(s string) (Lumens, error) {
	x, err := lm.parse(s)
	return Lumens(x), err
}

// MustParseLumens is ParseLumens for constants; it panics on an error.
func MustParseLumens(s string) Lumens { return must(ParseLumens(s)) }

// String writes x so that it reads back as the same float64.
func (x Lumens) String() string { return lm.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Lumens) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseLumens.
func (x *Lumens) UnmarshalText(b []byte) error { return into(x, ParseLumens, b) }

// MarshalJSON writes the bare number.
func (x Lumens) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Lumens) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseLumens, b) }

// ParseLumenSeconds reads '1000 lm s'. A bare number is in the printed unit.
func ParseLumenSeconds(s string) (LumenSeconds, error) {
	x, err := lmS.parse(s)
	return LumenSeconds(x), err
}

// MustParseLumenSeconds is ParseLumenSeconds for constants; it panics on an error.
func MustParseLumenSeconds(s string) LumenSeconds { return must(ParseLumenSeconds(s)) }

// String writes x so that it reads back as the same float64.
func (x LumenSeconds) String() string { return lmS.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x LumenSeconds) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseLumenSeconds.
func (x *LumenSeconds) UnmarshalText(b []byte) error { return into(x, ParseLumenSeconds, b) }

// MarshalJSON writes the bare number.
func (x LumenSeconds) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *LumenSeconds) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseLumenSeconds, b) }

// ParseMetres reads '2.4 m', '35 mm', '7 ft 10 in'. A bare number is metres.
func ParseMetres(s string) (Metres, error) {
	x, err := parseLength(s)
	return Metres(x), err
}

// MustParseMetres is ParseMetres for constants; it panics on an error.
func MustParseMetres(s string) Metres { return must(ParseMetres(s)) }

// String writes x so that it reads back as the same float64.
func (x Metres) String() string { return metre.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Metres) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseMetres.
func (x *Metres) UnmarshalText(b []byte) error { return into(x, ParseMetres, b) }

// MarshalJSON writes the bare number.
func (x Metres) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Metres) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseMetres, b) }

// ParseDegrees reads '15 deg'. A bare number is in the printed unit.
func ParseDegrees(s string) (Degrees, error) {
	x, err := degree.parse(s)
	return Degrees(x), err
}

// MustParseDegrees is ParseDegrees for constants; it panics on an error.
func MustParseDegrees(s string) Degrees { return must(ParseDegrees(s)) }

// String writes x so that it reads back as the same float64.
func (x Degrees) String() string { return degree.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Degrees) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseDegrees.
func (x *Degrees) UnmarshalText(b []byte) error { return into(x, ParseDegrees, b) }

// MarshalJSON writes the bare number.
func (x Degrees) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Degrees) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseDegrees, b) }

// ParseKelvin reads '5600 K'. A bare number is in the printed unit.
func ParseKelvin(s string) (Kelvin, error) {
	x, err := kelvin.parse(s)
	return Kelvin(x), err
}

// MustParseKelvin is ParseKelvin for constants; it panics on an error.
func MustParseKelvin(s string) Kelvin { return must(ParseKelvin(s)) }

// String writes x so that it reads back as the same float64.
func (x Kelvin) String() string { return kelvin.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Kelvin) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseKelvin.
func (x *Kelvin) UnmarshalText(b []byte) error { return into(x, ParseKelvin, b) }

// MarshalJSON writes the bare number.
func (x Kelvin) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Kelvin) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseKelvin, b) }

// ParseMired reads '112 mired'. A bare number is in the printed unit.
func ParseMired(s string) (Mired, error) {
	x, err := mired.parse(s)
	return Mired(x), err
}

// MustParseMired is ParseMired for constants; it panics on an error.
func MustParseMired(s string) Mired { return must(ParseMired(s)) }

// String writes x so that it reads back as the same float64.
func (x Mired) String() string { return signed(mired, float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Mired) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseMired.
func (x *Mired) UnmarshalText(b []byte) error { return into(x, ParseMired, b) }

// MarshalJSON writes the bare number.
func (x Mired) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Mired) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseMired, b) }

// ParseISO reads '400' or 'ISO 400'.
func ParseISO(s string) (ISO, error) {
	x, err := parseISO(s)
	return ISO(x), err
}

// MustParseISO is ParseISO for constants; it panics on an error.
func MustParseISO(s string) ISO { return must(ParseISO(s)) }

// String writes x so that it reads back as the same float64.
func (x ISO) String() string { return iso.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x ISO) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseISO.
func (x *ISO) UnmarshalText(b []byte) error { return into(x, ParseISO, b) }

// MarshalJSON writes the bare number.
func (x ISO) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *ISO) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseISO, b) }

// ParseShare reads '62 %'. A bare number from 0 to 1 is the part itself.
func ParseShare(s string) (Share, error) {
	x, err := parseShare(s)
	return Share(x), err
}

// MustParseShare is ParseShare for constants; it panics on an error.
func MustParseShare(s string) Share { return must(ParseShare(s)) }

// String writes x so that it reads back as the same float64.
func (x Share) String() string { return printShare(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Share) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseShare.
func (x *Share) UnmarshalText(b []byte) error { return into(x, ParseShare, b) }

// MarshalJSON writes the bare number.
func (x Share) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Share) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseShare, b) }

// ParseWattSeconds reads '500 Ws'. A bare number is in the printed unit.
func ParseWattSeconds(s string) (WattSeconds, error) {
	x, err := wattS.parse(s)
	return WattSeconds(x), err
}

// MustParseWattSeconds is ParseWattSeconds for constants; it panics on an error.
func MustParseWattSeconds(s string) WattSeconds { return must(ParseWattSeconds(s)) }

// String writes x so that it reads back as the same float64.
func (x WattSeconds) String() string { return wattS.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x WattSeconds) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseWattSeconds.
func (x *WattSeconds) UnmarshalText(b []byte) error { return into(x, ParseWattSeconds, b) }

// MarshalJSON writes the bare number.
func (x WattSeconds) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *WattSeconds) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseWattSeconds, b) }

// ParseWatts reads '300 W'. A bare number is in the printed unit.
func ParseWatts(s string) (Watts, error) {
	x, err := watt.parse(s)
	return Watts(x), err
}

// MustParseWatts is ParseWatts for constants; it panics on an error.
func MustParseWatts(s string) Watts { return must(ParseWatts(s)) }

// String writes x so that it reads back as the same float64.
func (x Watts) String() string { return watt.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Watts) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseWatts.
func (x *Watts) UnmarshalText(b []byte) error { return into(x, ParseWatts, b) }

// MarshalJSON writes the bare number.
func (x Watts) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Watts) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseWatts, b) }

// ParseVolts reads '230 V'. A bare number is in the printed unit.
func ParseVolts(s string) (Volts, error) {
	x, err := volt.parse(s)
	return Volts(x), err
}

// MustParseVolts is ParseVolts for constants; it panics on an error.
func MustParseVolts(s string) Volts { return must(ParseVolts(s)) }

// String writes x so that it reads back as the same float64.
func (x Volts) String() string { return volt.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Volts) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseVolts.
func (x *Volts) UnmarshalText(b []byte) error { return into(x, ParseVolts, b) }

// MarshalJSON writes the bare number.
func (x Volts) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Volts) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseVolts, b) }

// ParseAmps reads '13 A'. A bare number is in the printed unit.
func ParseAmps(s string) (Amps, error) {
	x, err := amp.parse(s)
	return Amps(x), err
}

// MustParseAmps is ParseAmps for constants; it panics on an error.
func MustParseAmps(s string) Amps { return must(ParseAmps(s)) }

// String writes x so that it reads back as the same float64.
func (x Amps) String() string { return amp.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Amps) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseAmps.
func (x *Amps) UnmarshalText(b []byte) error { return into(x, ParseAmps, b) }

// MarshalJSON writes the bare number.
func (x Amps) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Amps) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseAmps, b) }

// ParseHertz reads '50 Hz'. A bare number is in the printed unit.
func ParseHertz(s string) (Hertz, error) {
	x, err := hertz.parse(s)
	return Hertz(x), err
}

// MustParseHertz is ParseHertz for constants; it panics on an error.
func MustParseHertz(s string) Hertz { return must(ParseHertz(s)) }

// String writes x so that it reads back as the same float64.
func (x Hertz) String() string { return hertz.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Hertz) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseHertz.
func (x *Hertz) UnmarshalText(b []byte) error { return into(x, ParseHertz, b) }

// MarshalJSON writes the bare number.
func (x Hertz) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Hertz) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseHertz, b) }

// ParseKilograms reads '3 kg'. A bare number is in the printed unit.
func ParseKilograms(s string) (Kilograms, error) {
	x, err := kilo.parse(s)
	return Kilograms(x), err
}

// MustParseKilograms is ParseKilograms for constants; it panics on an error.
func MustParseKilograms(s string) Kilograms { return must(ParseKilograms(s)) }

// String writes x so that it reads back as the same float64.
func (x Kilograms) String() string { return kilo.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Kilograms) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseKilograms.
func (x *Kilograms) UnmarshalText(b []byte) error { return into(x, ParseKilograms, b) }

// MarshalJSON writes the bare number.
func (x Kilograms) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Kilograms) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseKilograms, b) }

// ParseMinutes reads '12 min'. A bare number is in the printed unit.
func ParseMinutes(s string) (Minutes, error) {
	x, err := minute.parse(s)
	return Minutes(x), err
}

// MustParseMinutes is ParseMinutes for constants; it panics on an error.
func MustParseMinutes(s string) Minutes { return must(ParseMinutes(s)) }

// String writes x so that it reads back as the same float64.
func (x Minutes) String() string { return minute.print(float64(x)) }

// MarshalText is String; an error where x is not finite.
func (x Minutes) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseMinutes.
func (x *Minutes) UnmarshalText(b []byte) error { return into(x, ParseMinutes, b) }

// MarshalJSON writes the bare number.
func (x Minutes) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Minutes) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseMinutes, b) }

// MustParseSeconds is ParseSeconds for constants; it panics on an error.
func MustParseSeconds(s string) Seconds { return must(ParseSeconds(s)) }

// MarshalText is String; an error where x is not finite.
func (x Seconds) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseSeconds.
func (x *Seconds) UnmarshalText(b []byte) error { return into(x, ParseSeconds, b) }

// MarshalJSON writes the bare number.
func (x Seconds) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Seconds) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseSeconds, b) }

// MustParseFNumber is ParseFNumber for constants; it panics on an error.
func MustParseFNumber(s string) FNumber { return must(ParseFNumber(s)) }

// MarshalText is String; an error where x is not finite.
func (x FNumber) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseFNumber.
func (x *FNumber) UnmarshalText(b []byte) error { return into(x, ParseFNumber, b) }

// MarshalJSON writes the bare number.
func (x FNumber) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *FNumber) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseFNumber, b) }

// MustParsePower is ParsePower for constants; it panics on an error.
func MustParsePower(s string) Power { return must(ParsePower(s)) }

// MarshalText is String; an error where x is not finite.
func (x Power) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParsePower.
func (x *Power) UnmarshalText(b []byte) error { return into(x, ParsePower, b) }

// MarshalJSON writes the bare number.
func (x Power) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Power) UnmarshalJSON(b []byte) error { return fromJSON(x, ParsePower, b) }
