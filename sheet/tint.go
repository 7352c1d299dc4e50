package sheet

import "math"

// printY is the luminance of a light's colour in a line on paper.
const printY = 0.16

// tinted returns the chromaticity of a linear sRGB colour at luminance y. Out of gamut it is
// desaturated towards the grey of the same luminance, no more than needed. A colour that is dark or
// not a number is neutral.
//
// Luminance weights: IEC 61966-2-1. Check: TestTintKeepsLuminance.
func tinted(c [3]float64, y float64) ink {
	l := 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
	if !(l > 1e-12) || math.IsInf(l, 0) {
		c, l = [3]float64{1, 1, 1}, 1
	}
	k := 1.0
	for i := range c {
		c[i] *= y / l
		if c[i] > 1 {
			k = math.Min(k, (1-y)/(c[i]-y))
		}
		if c[i] < 0 {
			k = math.Min(k, y/(y-c[i]))
		}
	}
	var v [3]uint8
	for i := range c {
		v[i] = encode(y + k*(c[i]-y))
	}
	return ink{v[0], v[1], v[2], true}
}

func encode(x float64) uint8 {
	x = math.Max(0, math.Min(1, x))
	if x <= 0.0031308 {
		x *= 12.92
	} else {
		x = 1.055*math.Pow(x, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * x))
}

// pale is the fill inside a body: the light's own colour at one fifth on paper white.
func (c ink) pale() ink {
	f := func(v uint8) uint8 { return uint8(255 - (255-float64(v))*0.22) }
	return ink{f(c.r), f(c.g), f(c.b), true}
}
