package quantity

import "math"

// Stops is a level or a difference on the base-2 scale. Positive is brighter; zero is the reference
// itself.
type Stops float64

// Times returns the linear factor 2^s.
func (s Stops) Times() float64 { return math.Exp2(float64(s)) }

// StopsOf returns log2(ratio), so that a ratio of 2 is one stop. Zero gives minus infinity, a
// negative ratio NaN.
func StopsOf(ratio float64) Stops { return Stops(math.Log2(ratio)) }

// Lux is illuminance, lx = lm/m².
type Lux float64

// For returns the luminous exposure of illuminance e over time t.
func (e Lux) For(t Seconds) LuxSeconds { return LuxSeconds(float64(e) * float64(t)) }

// StopsOver returns how far e lies over o, in stops.
func (e Lux) StopsOver(o Lux) Stops { return StopsOf(float64(e) / float64(o)) }

// LuxSeconds is luminous exposure, lx·s: the light of a flash on a surface, or illuminance times
// time.
type LuxSeconds float64

// StopsOver returns how far h lies over o, in stops.
func (h LuxSeconds) StopsOver(o LuxSeconds) Stops { return StopsOf(float64(h) / float64(o)) }

// Candela is luminous intensity, cd.
type Candela float64

// CandelaSeconds is the luminous energy of a flash in one direction, cd·s.
type CandelaSeconds float64

// Luminance is in cd/m².
type Luminance float64

// LuminanceSeconds is luminance integrated over a flash, cd·s/m².
type LuminanceSeconds float64

// Lumens is luminous flux, lm.
type Lumens float64

// LumenSeconds is light quantity, lm·s.
type LumenSeconds float64

// Metres is a length. Written '2.4 m', '240 cm', '35 mm', '7 ft 10 in'.
type Metres float64

// Degrees is an angle. Written '15 deg' or '15°'.
type Degrees float64

// Radians returns the angle in radians.
func (d Degrees) Radians() float64 { return float64(d) * math.Pi / 180 }

// Kelvin is a correlated colour temperature.
type Kelvin float64

// Mired returns the reciprocal megakelvin of t.
func (t Kelvin) Mired() Mired { return Mired(1e6 / float64(t)) }

// Mired is 10⁶/T, MK⁻¹. The shifts of filters add on this scale.
type Mired float64

// Kelvin returns the temperature whose reciprocal m is.
func (m Mired) Kelvin() Kelvin { return Kelvin(1e6 / float64(m)) }

// Seconds is a time. Shutter times are written '1/125 s'.
type Seconds float64

// FNumber is the relative aperture N. Computations use its exact value, never the engraved series.
// Zero is 'not set'.
type FNumber float64

// StopsOver returns how much less light n passes than o: 2·log2(n/o).
func (n FNumber) StopsOver(o FNumber) Stops { return Stops(2 * math.Log2(float64(n)/float64(o))) }

// ISO is the sensitivity S (arithmetic, ISO 12232). Zero is 'not set'.
type ISO float64

// Share is a part of a whole, 0 to 1; written '62 %'.
type Share float64

// WattSeconds is the energy stored in a flash unit, Ws.
type WattSeconds float64

// Watts is electrical power.
type Watts float64

// Volts and Amps describe a circuit.
type (
	Volts float64
	Amps  float64
)

// Hertz is a frequency.
type Hertz float64

// Kilograms is a mass.
type Kilograms float64

// Minutes is a length of time on the day's clock.
type Minutes float64
