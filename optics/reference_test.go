package optics

import (
	"math"

	"halfstop/geom"
	q "halfstop/quantity"
)

// What the tests hold the room's own code against.

// Bands returns how many dark bands a rolling readout draws under a lamp pulsed at f. Check: I4.8.
func Bands(readout q.Seconds, f q.Hertz) float64 { return float64(readout) * float64(f) }

// BareTube returns the luminous energy per direction of a bare tube that shines evenly all round:
// η·W/4π, with the luminous yield η in lm/W: 35 to 50 for photographic xenon tubes (common
// practice, no source).
func BareTube(w q.WattSeconds, lumensPerWatt float64) q.CandelaSeconds {
	return q.CandelaSeconds(lumensPerWatt * float64(w) / (4 * math.Pi))
}

// CardLevel returns the level in the picture of a matt card of the given reflectance that was
// exposed by an incident reading on a meter with constant c through a lens with factor q.
func CardLevel(reflectance, c, lensFactor float64) q.Stops {
	return logOf(lensFactor * reflectance / math.Pi * c / midGrey)
}

// CloseUpLoss returns the light lost by racking the lens out, at magnification m: 2·log2(1+m).
// Check: H5.2.
func CloseUpLoss(m float64) q.Stops { return q.Stops(2 * math.Log2(1+max(0, m))) }

// DefaultQ is ISO 12232's lens factor: (π/4)·T·v·cos⁴θ for T = 0.90, v = 0.98, θ = 10°. Check:
// A4.1.
const DefaultQ = 0.65

// DomeResponse returns the part of a light's illuminance that an ideal half-ball dome reads when
// the light stands at angle off its axis: (1+cosθ)/2, the projected area of a half-ball shell.
// Check: A8.
func DomeResponse(off q.Degrees) float64 { return (1 + math.Cos(off.Radians())) / 2 }

// EV100 returns the exposure value brought to ISO 100: log2(N²/t) - log2(S/100). Check: A2.
func EV100(n q.FNumber, t q.Seconds, s q.ISO) q.Stops {
	if !(s > 0) {
		return 0
	}
	return EV(n, t) - q.Stops(math.Log2(float64(s)/100))
}

// EVOfLuminance returns what a reflected meter with constant k shows at ISO 100; minus infinity in
// the dark.
func EVOfLuminance(l q.Luminance, k float64) q.Stops { return logOf(float64(l) * 100 / k) }

// EVOfLux returns what an incident meter with constant c shows at ISO 100; minus infinity in the
// dark.
func EVOfLux(e q.Lux, c float64) q.Stops { return logOf(float64(e) * 100 / c) }

// Field returns the angle a sensor of size d covers through a lens of focal length f focused far
// away: 2·atan(d/2f). Check: H1.
func Field(d, f q.Metres) q.Degrees {
	return q.Degrees(2 * math.Atan2(float64(d), 2*float64(f)) * 180 / math.Pi)
}

// FromGuide returns the luminous exposure at 1 m of a flash with guide number gn (metres, ISO 100)
// on a meter with constant c: C·GN²/100; in cd·s it is the same number. Check: A6.1, A6.2.
func FromGuide(gn q.Metres, c float64) q.LuxSeconds {
	return q.LuxSeconds(c * float64(gn) * float64(gn) / 100)
}

// GoodHour reports whether a catchlight sits where the trade likes it, between 10 and 2 (common
// practice, no source).
func (c Catchlight) GoodHour() bool { return c.Hour >= 10 || c.Hour <= 2 }

// Guide returns the guide number in metres of a flash of i on axis, at sensitivity s, on a meter
// with constant c. Check: A6.4–A6.7.
func Guide(i q.CandelaSeconds, s q.ISO, c float64) q.Metres {
	return q.Metres(root(float64(i) * float64(s) / c))
}

// IncidentAt returns the illuminance that an incident meter with constant c shows as ev at ISO 100:
// C·2^EV/100. Check: A1.
func IncidentAt(ev q.Stops, c float64) q.Lux { return q.Lux(c * ev.Times() / 100) }

// LensFactor returns q = (π/4)·T·v·cos⁴θ for transmission and mechanical vignetting at an angle off
// the axis. Check: A4.1.
func LensFactor(transmission, vignetting float64, off q.Degrees) float64 {
	return math.Pi / 4 * transmission * vignetting * Cos4(off)
}

// LuminanceAt returns the luminance that a reflected meter with constant k shows as ev at ISO 100:
// K·2^EV/100. Check: A1.L.
func LuminanceAt(ev q.Stops, k float64) q.Luminance { return q.Luminance(k * ev.Times() / 100) }

// Needed returns the luminous exposure for which an incident meter with constant c shows n: H =
// C·N²/S. Check: trade table 3.5.
func Needed(n q.FNumber, s q.ISO, c float64) q.LuxSeconds {
	return q.LuxSeconds(over(c*float64(n)*float64(n), float64(s)))
}

// RatioFromLights reads 'R:1' as key to fill: log2(R). ok is false for R that is not above 0.
func RatioFromLights(r float64) (ratio Ratio, ok bool) {
	if !(r > 0) || math.IsInf(r, 0) {
		return Ratio{}, false
	}
	return RatioOf(logOf(r)), true
}

// Sees reports whether p is in front of the lens and inside the frame, with a border of margin (a
// part of the frame) added outside.
func (v *View) Sees(p geom.Vec, margin float64) bool {
	x, y, _, ok := v.Project(p)
	return ok && x >= -margin && y >= -margin && x <= 1+margin && y <= 1+margin
}

// Sum returns how far several lights together lie over the reference that their own levels are
// stated against: they add as light, not as stops. Minus infinity for none. Check: A7.
func Sum(levels ...q.Stops) q.Stops {
	x := 0.0
	for _, l := range levels {
		x += l.Times()
	}
	return logOf(x)
}

// TNumber returns N/√transmission. 0 for no transmission. Check: H5.1.
func TNumber(n q.FNumber, transmission q.Share) q.FNumber {
	return q.FNumber(over(float64(n), math.Sqrt(float64(transmission))))
}

// TenthOverHalf is t0.1/t0.5 of an exponential decay: log2(10). Check: A6.9.
const TenthOverHalf = 3.321928094887362

// Usual is the calibration most meters have.
var Usual = Calibration{FlatC: 250, DomeC: 330, K: 12.5}

// Vignetting returns the loss at an angle off the axis in stops: cos⁴ and the mechanical part (1 is
// none). Zero or more.
func Vignetting(off q.Degrees, mechanical q.Share) q.Stops {
	return -logOf(Cos4(off) * float64(mechanical))
}

// Wedge returns the directions on the floor plan (unit, z = 0) of the left and right edge of what
// the camera sees, for drawing. ok is false when the camera points so steeply that the frame has no
// edges on the plan.
func (v *View) Wedge() (left, right geom.Vec, ok bool) {
	// the outermost of the corners and the middle of each side
	edge := func(x float64) (geom.Vec, bool) {
		best, found := geom.Vec{}, false
		for _, y := range []float64{0, 0.5, 1} {
			d := v.Ray(x, y)
			d.Z = 0
			if d.Len2() < 1e-12 {
				return d, false
			}
			d = d.Unit()
			if turn := best.Cross(d).Z; !found || (turn > 0) == (x == 0) {
				best, found = d, true
			}
		}
		return best, true
	}
	l, ok1 := edge(0)
	r, ok2 := edge(1)
	flat := geom.V(v.Axis.X, v.Axis.Y, 0)
	ok = ok1 && ok2 && flat.Len2() > 1e-6 && l.Dot(flat) > 0 && r.Dot(flat) > 0
	return l, r, ok
}

// Calibration is what a meter's reading depends on. Source: ISO 2720:1974; the ranges as public
// articles cite them.
type Calibration struct {
	FlatC float64 // lx·s, flat receptor, 240 to 400, usually 250
	DomeC float64 // lx·s, half-ball dome, 320 to 540, usually 330
	K     float64 // cd·s/m², reflected, 10.6 to 13.4, usually 12.5
}

// Cos4 returns the natural falloff at an angle off the axis: cos⁴, 0 from 90° on. Check: H4.
func Cos4(off q.Degrees) float64 {
	c := max(0, math.Cos(off.Radians()))
	return c * c * c * c
}

// EV returns log2(N²/t), exposure value at no sensitivity in particular. 0 for settings that are
// not above zero.
func EV(n q.FNumber, t q.Seconds) q.Stops {
	if !(n > 0 && t > 0) {
		return 0
	}
	return q.Stops(2*math.Log2(float64(n)) - math.Log2(float64(t)))
}

// SensorExposureT is SensorExposure for a lens whose T-number is known: H = (π/4)·L·t/T² on the
// axis; multiply by Cos4 and the lens's own vignetting off it.
func SensorExposureT(lt q.LuminanceSeconds, t q.FNumber) q.LuxSeconds {
	return SensorExposure(lt, t, math.Pi/4)
}
