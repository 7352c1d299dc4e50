package quantity

import "math"

// What the tests hold the room's own code against.

// Millimetres writes m as '35 mm', to the nearest tenth of a millimetre.
func (m Metres) Millimetres() string {
	return digits(math.Round(float64(m)*1e4)/10) + " mm"
}

// MustParseAmps is ParseAmps for constants; it panics on an error.
func MustParseAmps(s string) Amps { return must(ParseAmps(s)) }

// MustParseCandela is ParseCandela for constants; it panics on an error.
func MustParseCandela(s string) Candela { return must(ParseCandela(s)) }

// MustParseCandelaSeconds is ParseCandelaSeconds for constants; it panics on an error.
func MustParseCandelaSeconds(s string) CandelaSeconds { return must(ParseCandelaSeconds(s)) }

// MustParseDegrees is ParseDegrees for constants; it panics on an error.
func MustParseDegrees(s string) Degrees { return must(ParseDegrees(s)) }

// MustParseFNumber is ParseFNumber for constants; it panics on an error.
func MustParseFNumber(s string) FNumber { return must(ParseFNumber(s)) }

// MustParseHertz is ParseHertz for constants; it panics on an error.
func MustParseHertz(s string) Hertz { return must(ParseHertz(s)) }

// MustParseISO is ParseISO for constants; it panics on an error.
func MustParseISO(s string) ISO { return must(ParseISO(s)) }

// MustParseKelvin is ParseKelvin for constants; it panics on an error.
func MustParseKelvin(s string) Kelvin { return must(ParseKelvin(s)) }

// MustParseKilograms is ParseKilograms for constants; it panics on an error.
func MustParseKilograms(s string) Kilograms { return must(ParseKilograms(s)) }

// MustParseLumenSeconds is ParseLumenSeconds for constants; it panics on an error.
func MustParseLumenSeconds(s string) LumenSeconds { return must(ParseLumenSeconds(s)) }

// MustParseLumens is ParseLumens for constants; it panics on an error.
func MustParseLumens(s string) Lumens { return must(ParseLumens(s)) }

// MustParseLuminance is ParseLuminance for constants; it panics on an error.
func MustParseLuminance(s string) Luminance { return must(ParseLuminance(s)) }

// MustParseLuminanceSeconds is ParseLuminanceSeconds for constants; it panics on an error.
func MustParseLuminanceSeconds(s string) LuminanceSeconds { return must(ParseLuminanceSeconds(s)) }

// MustParseLux is ParseLux for constants; it panics on an error.
func MustParseLux(s string) Lux { return must(ParseLux(s)) }

// MustParseLuxSeconds is ParseLuxSeconds for constants; it panics on an error.
func MustParseLuxSeconds(s string) LuxSeconds { return must(ParseLuxSeconds(s)) }

// MustParseMetres is ParseMetres for constants; it panics on an error.
func MustParseMetres(s string) Metres { return must(ParseMetres(s)) }

// MustParseMinutes is ParseMinutes for constants; it panics on an error.
func MustParseMinutes(s string) Minutes { return must(ParseMinutes(s)) }

// MustParseMired is ParseMired for constants; it panics on an error.
func MustParseMired(s string) Mired { return must(ParseMired(s)) }

// MustParsePower is ParsePower for constants; it panics on an error.
func MustParsePower(s string) Power { return must(ParsePower(s)) }

// MustParseSeconds is ParseSeconds for constants; it panics on an error.
func MustParseSeconds(s string) Seconds { return must(ParseSeconds(s)) }

// MustParseShare is ParseShare for constants; it panics on an error.
func MustParseShare(s string) Share { return must(ParseShare(s)) }

// MustParseStops is ParseStops for constants; it panics on an error.
func MustParseStops(s string) Stops { return must(ParseStops(s)) }

// MustParseVolts is ParseVolts for constants; it panics on an error.
func MustParseVolts(s string) Volts { return must(ParseVolts(s)) }

// MustParseWattSeconds is ParseWattSeconds for constants; it panics on an error.
func MustParseWattSeconds(s string) WattSeconds { return must(ParseWattSeconds(s)) }

// MustParseWatts is ParseWatts for constants; it panics on an error.
func MustParseWatts(s string) Watts { return must(ParseWatts(s)) }

func must[T any](x T, err error) T {
	if err != nil {
		panic("quantity: " + err.Error())
	}
	return x
}
