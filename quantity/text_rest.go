package quantity

// ParseMetres reads '2.4 m', '35 mm', '7 ft 10 in'. A bare number is metres.
func ParseMetres(s string) (Metres, error) {
	x, err := parseLength(s)
	return Metres(x), err
}

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

// MarshalText is String; an error where x is not finite.
func (x Seconds) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseSeconds.
func (x *Seconds) UnmarshalText(b []byte) error { return into(x, ParseSeconds, b) }

// MarshalJSON writes the bare number.
func (x Seconds) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Seconds) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseSeconds, b) }

// MarshalText is String; an error where x is not finite.
func (x FNumber) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParseFNumber.
func (x *FNumber) UnmarshalText(b []byte) error { return into(x, ParseFNumber, b) }

// MarshalJSON writes the bare number.
func (x FNumber) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *FNumber) UnmarshalJSON(b []byte) error { return fromJSON(x, ParseFNumber, b) }

// MarshalText is String; an error where x is not finite.
func (x Power) MarshalText() ([]byte, error) { return text(float64(x), x.String()) }

// UnmarshalText is ParsePower.
func (x *Power) UnmarshalText(b []byte) error { return into(x, ParsePower, b) }

// MarshalJSON writes the bare number.
func (x Power) MarshalJSON() ([]byte, error) { return toJSON(float64(x)) }

// UnmarshalJSON reads a number or text.
func (x *Power) UnmarshalJSON(b []byte) error { return fromJSON(x, ParsePower, b) }
