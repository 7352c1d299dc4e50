package optics

import (
	"math"

	q "halfstop/quantity"
)

// Calibration is what a meter's reading depends on. Source: ISO 2720:1974; the ranges as public articles cite them.
type Calibration struct {
	FlatC float64 // lx·s, flat receptor, 240 to 400, usually 250
	DomeC float64 // lx·s, half-ball dome, 320 to 540, usually 330
	K     float64 // cd·s/m², reflected, 10.6 to 13.4, usually 12.5
}

// Usual is the calibration most meters have.
var Usual = Calibration{FlatC: 250, DomeC: 330, K: 12.5}

// EV returns log2(N²/t), exposure value at no sensitivity in particular. 0 for settings that are not above zero.
func EV(n q.FNumber, t q.Seconds) q.Stops {
	if !(n > 0 && t > 0) {
		return 0
	}
	return q.Stops(2*math.Log2(float64(n)) - math.Log2(float64(t)))
}

// EV100 returns the exposure value brought to ISO 100: log2(N²/t) - log2(S/100). Check: A2.
func EV100(n q.FNumber, t q.Seconds, s q.ISO) q.Stops {
	if !(s > 0) {
		return 0
	}
	return EV(n, t) - q.Stops(math.Log2(float64(s)/100))
}

// IncidentAt returns the illuminance that an incident meter with constant c shows as ev at ISO 100: C·2^EV/100. Check: A1.
func IncidentAt(ev q.Stops, c float64) q.Lux { return q.Lux(c * ev.Times() / 100) }

// LuminanceAt returns the luminance that a reflected meter with constant k shows as ev at ISO 100: K·2^EV/100. Check: A1.L.
func LuminanceAt(ev q.Stops, k float64) q.Luminance { return q.Luminance(k * ev.Times() / 100) }

// EVOfLux returns what an incident meter with constant c shows at ISO 100; minus infinity in the dark.
func EVOfLux(e q.Lux, c float64) q.Stops { return logOf(float64(e) * 100 / c) }

// EVOfLuminance returns what a reflected meter with constant k shows at ISO 100; minus infinity in the dark.
func EVOfLuminance(l q.Luminance, k float64) q.Stops { return logOf(float64(l) * 100 / k) }

// Reading returns the f-number an incident meter with constant c shows for luminous exposure h: N² = H·S/C. It serves flash (h is
// what the flash leaves), continuous light (h is illuminance times shutter time) and their sum. 0 in the dark. Check: A6.3, A6.11.
func Reading(h q.LuxSeconds, s q.ISO, c float64) q.FNumber {
	return q.FNumber(root(float64(h) * float64(s) / c))
}

// Needed returns the luminous exposure for which an incident meter with constant c shows n: H = C·N²/S. Check: trade table 3.5.
func Needed(n q.FNumber, s q.ISO, c float64) q.LuxSeconds {
	return q.LuxSeconds(over(c*float64(n)*float64(n), float64(s)))
}

// Spot returns the f-number a reflected meter with constant k shows: N² = L·t·S/K. 0 in the dark.
func Spot(lt q.LuminanceSeconds, s q.ISO, k float64) q.FNumber {
	return q.FNumber(root(float64(lt) * float64(s) / k))
}

// DomeResponse returns the part of a light's illuminance that an ideal half-ball dome reads when the light stands at angle off its axis:
// (1+cosθ)/2, the projected area of a half-ball shell. Check: A8.
func DomeResponse(off q.Degrees) float64 { return (1 + math.Cos(off.Radians())) / 2 }

// FromGuide returns the luminous exposure at 1 m of a flash with guide number gn (metres, ISO 100) on a meter with constant c:
// C·GN²/100; in cd·s it is the same number. Check: A6.1, A6.2.
func FromGuide(gn q.Metres, c float64) q.LuxSeconds {
	return q.LuxSeconds(c * float64(gn) * float64(gn) / 100)
}

// Guide returns the guide number in metres of a flash of i on axis, at sensitivity s, on a meter with constant c. Check: A6.4–A6.7.
func Guide(i q.CandelaSeconds, s q.ISO, c float64) q.Metres {
	return q.Metres(root(float64(i) * float64(s) / c))
}

// BareTube returns the luminous energy per direction of a bare tube that shines evenly all round: η·W/4π, with the luminous yield η in
// lm/W: 35 to 50 for photographic xenon tubes (common practice, no source).
func BareTube(w q.WattSeconds, lumensPerWatt float64) q.CandelaSeconds {
	return q.CandelaSeconds(lumensPerWatt * float64(w) / (4 * math.Pi))
}

// Sum returns how far several lights together lie over the reference that their own levels are stated against: they add as light, not
// as stops. Minus infinity for none. Check: A7.
func Sum(levels ...q.Stops) q.Stops {
	x := 0.0
	for _, l := range levels {
		x += l.Times()
	}
	return logOf(x)
}

func logOf(x float64) q.Stops {
	if !(x > 0) {
		return q.Stops(math.Inf(-1))
	}
	return q.Stops(math.Log2(x))
}

func root(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	return math.Sqrt(x)
}

// over divides, giving 0 where that has no finite answer.
func over(a, b float64) float64 {
	x := a / b
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}
