package quantity

// ParseStops reads '+2.1 st'. A bare number is in the printed unit.
func ParseStops(s string) (Stops, error) {
	x, err := stops.parse(s)
	return Stops(x), err
}

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
