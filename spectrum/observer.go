package spectrum

import "math"

// Km is the maximum luminous efficacy, lm/W. Source: SI definition of the candela (683 lm/W at 540
// THz).
const Km = 683.0

// cmf holds the CIE 1931 2° colour-matching functions on the 1 nm grid: the 5 nm table through a
// natural cubic spline. Source: CIE 018 / ISO/CIE 11664-1. Check: TestObserver.
var cmf = loadObserver()

func loadObserver() (out [3][gridCount]float64) {
	t := readTable("cie1931.csv")
	for k, name := range []string{"xbar", "ybar", "zbar"} {
		c := t.curve(name)
		m := splineMoments(c.V)
		for i := range out[k] {
			j := min(i/5, len(c.V)-2)
			a := float64(i)/5 - float64(j)
			b := 1 - a
			v := b*c.V[j] + a*c.V[j+1] + ((b*b*b-b)*m[j]+(a*a*a-a)*m[j+1])/6
			out[k][i] = math.Max(v, 0)
		}
	}
	return out
}

// splineMoments returns the second derivatives (unit spacing) of the natural cubic spline through
// y.
func splineMoments(y []float64) []float64 {
	n := len(y)
	m, c := make([]float64, n), make([]float64, n)
	for i := 1; i < n-1; i++ {
		p := 4 - c[i-1]
		c[i] = 1 / p
		m[i] = (6*(y[i+1]-2*y[i]+y[i-1]) - m[i-1]) / p
	}
	for i := n - 2; i > 0; i-- {
		m[i] -= c[i] * m[i+1]
	}
	return m
}

// XYZ is a colour in CIE 1931 tristimulus values. Y is a luminance or illuminance where an absolute
// level is meant, else relative.
type XYZ struct{ X, Y, Z float64 }

// XY is a CIE 1931 chromaticity.
type XY struct{ X, Y float64 }

// XYZ returns the tristimulus values of a light, Km · Σ S(λ) cmf(λ) Δλ, summed at 1 nm over 360 to
// 830 nm. They are in lumens if S is in watts per nm. Check: TestIlluminants.
func (c Curve) XYZ() XYZ {
	s := c
	if c.Start != gridStart || c.Step != 1 || len(c.V) != gridCount {
		s = c.grid()
	}
	var t [3]float64
	for k := range t {
		for i, v := range s.V {
			t[k] += v * cmf[k][i]
		}
	}
	return XYZ{Km * t[0], Km * t[1], Km * t[2]}
}

// XY returns the chromaticity of a light.
func (c Curve) XY() XY { return c.XYZ().XY() }

// Power returns the radiant power of a light between 360 and 830 nm, in the unit of V times nm.
func (c Curve) Power() float64 {
	p := 0.0
	for _, v := range c.grid().V {
		p += v
	}
	return p
}

// Efficacy returns the luminous efficacy of the light between 360 and 830 nm, lm/W; zero for a
// light without power. Check: TestEfficacy.
func (c Curve) Efficacy() float64 {
	p := c.Power()
	if !(p > 0) {
		return 0
	}
	return c.XYZ().Y / p
}

// PerLuminance returns the light scaled to Y = 1 (one lumen, lux or cd/m²); empty for a light
// without power.
func (c Curve) PerLuminance() Curve {
	y := c.XYZ().Y
	if !(y > 0) || math.IsInf(y, 0) {
		return Curve{}
	}
	return c.Scale(1 / y)
}

// LuminousRatio returns the share of a light's luminous flux that filter leaves, 0 to 1. filter is
// a transmittance or a reflectance. Zero for a light without power.
func LuminousRatio(light, filter Curve) float64 {
	y := light.XYZ().Y
	if !(y > 0) {
		return 0
	}
	return light.grid().Mul(filter).XYZ().Y / y
}

// XY returns the chromaticity; the zero XY for black.
func (t XYZ) XY() XY {
	s := t.X + t.Y + t.Z
	if s == 0 || math.IsNaN(s) || math.IsInf(s, 0) {
		return XY{}
	}
	return XY{t.X / s, t.Y / s}
}

// Scale returns k times the colour.
func (t XYZ) Scale(k float64) XYZ { return XYZ{k * t.X, k * t.Y, k * t.Z} }

// Add returns the sum of two colours.
func (t XYZ) Add(o XYZ) XYZ { return XYZ{t.X + o.X, t.Y + o.Y, t.Z + o.Z} }

// XYZ returns the colour of this chromaticity with luminance Y; the zero XYZ where y is not
// positive.
func (c XY) XYZ(Y float64) XYZ {
	if !(c.Y > 0) {
		return XYZ{}
	}
	return XYZ{c.X / c.Y * Y, Y, (1 - c.X - c.Y) / c.Y * Y}
}

// UVPrime returns CIE 1976 u', v'.
func (c XY) UVPrime() (u, v float64) {
	d := -2*c.X + 12*c.Y + 3
	if d == 0 {
		return 0, 0
	}
	return 4 * c.X / d, 9 * c.Y / d
}

// UV1960 returns CIE 1960 u, v, in which CCT and Duv are defined.
func (c XY) UV1960() (u, v float64) {
	u, v = c.UVPrime()
	return u, v * 2 / 3
}

// XYOfUVPrime returns the chromaticity with CIE 1976 u', v'.
func XYOfUVPrime(u, v float64) XY {
	d := 6*u - 16*v + 12
	if d == 0 {
		return XY{}
	}
	return XY{9 * u / d, 4 * v / d}
}

// XYOfUV1960 returns the chromaticity with CIE 1960 u, v.
func XYOfUV1960(u, v float64) XY { return XYOfUVPrime(u, v*1.5) }

// DeltaUVPrime returns the distance of two chromaticities in CIE 1976 u', v'.
func DeltaUVPrime(a, b XY) float64 {
	u1, v1 := a.UVPrime()
	u2, v2 := b.UVPrime()
	return math.Hypot(u1-u2, v1-v2)
}
