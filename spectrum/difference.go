package spectrum

import "math"

// WhiteD65 is D65 with Y = 1, rounded as in the published adaptation matrices.
var WhiteD65 = XYZ{0.95047, 1, 1.08883}

// Lab is CIE 1976 L*a*b*: L from 0 to 100, A towards red, B towards yellow.
type Lab struct{ L, A, B float64 }

// Lab returns L*a*b* of t under a white, whose Y is L* = 100. Negative values read as zero. The
// result is zero where the white is not positive. Check: TestLightness.
func (t XYZ) Lab(white XYZ) Lab {
	if !(white.X > 0 && white.Y > 0 && white.Z > 0) {
		return Lab{}
	}
	f := func(v float64) float64 {
		switch {
		case !(v > 0):
			v = 0
		case v > 216.0/24389:
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x, y, z := f(t.X/white.X), f(t.Y/white.Y), f(t.Z/white.Z)
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// XYZ is the inverse of XYZ.Lab under the same white.
func (c Lab) XYZ(white XYZ) XYZ {
	f := func(v float64) float64 {
		if v > 6.0/29 {
			return v * v * v
		}
		return (116*v - 16) * 27 / 24389
	}
	y := (c.L + 16) / 116
	return XYZ{white.X * f(y+c.A/500), white.Y * f(y), white.Z * f(y-c.B/200)}
}

// DeltaE2000 returns the CIEDE2000 difference with kL = kC = kH = 1. Source: CIE 142; Sharma, Wu
// and Dalal 2005. Check: TestDeltaE2000 (all their 34 pairs).
func DeltaE2000(p, q Lab) float64 {
	const p7 = 6103515625 // 25^7
	C1, C2 := math.Hypot(p.A, p.B), math.Hypot(q.A, q.B)
	m7 := math.Pow((C1+C2)/2, 7)
	G := 0.5 * (1 - math.Sqrt(m7/(m7+p7)))
	a1, a2 := (1+G)*p.A, (1+G)*q.A
	c1, c2 := math.Hypot(a1, p.B), math.Hypot(a2, q.B)
	h1, h2 := hueDegrees(a1, p.B), hueDegrees(a2, q.B)
	dL, dC, dh := q.L-p.L, c2-c1, h2-h1
	switch {
	case c1*c2 == 0:
		dh = 0
	case dh > 180:
		dh -= 360
	case dh < -180:
		dh += 360
	}
	dH := 2 * math.Sqrt(c1*c2) * sinDeg(dh/2)
	L, C, h := (p.L+q.L)/2, (c1+c2)/2, h1+h2
	switch {
	case c1*c2 == 0:
	case math.Abs(h1-h2) <= 180:
		h /= 2
	case h < 360:
		h = (h + 360) / 2
	default:
		h = (h - 360) / 2
	}
	T := 1 - 0.17*cosDeg(h-30) + 0.24*cosDeg(2*h) + 0.32*cosDeg(3*h+6) - 0.20*cosDeg(4*h-63)
	c7 := math.Pow(C, 7)
	RC := 2 * math.Sqrt(c7/(c7+p7))
	SL := 1 + 0.015*(L-50)*(L-50)/math.Sqrt(20+(L-50)*(L-50))
	SC := 1 + 0.045*C
	SH := 1 + 0.015*C*T
	RT := -sinDeg(60*math.Exp(-(h-275)*(h-275)/625)) * RC
	x, y, z := dL/SL, dC/SC, dH/SH
	return math.Sqrt(math.Max(0, x*x+y*y+z*z+RT*y*z))
}

func hueDegrees(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	return h
}

func sinDeg(d float64) float64 { return math.Sin(d * math.Pi / 180) }
func cosDeg(d float64) float64 { return math.Cos(d * math.Pi / 180) }

// Adaptation is a matrix that takes XYZ under one white to the corresponding colour under another
// (von Kries).
type Adaptation [3][3]float64

var cat16 = [3][3]float64{{0.401288, 0.650173, -0.051461}, {-0.250268, 1.204414, 0.045854},
	{-0.002079, 0.048952, 0.953127}}

// CAT16 returns the full CAT16 adaptation between two whites. It is the identity where a white has
// no positive cone response. Source: Li et al. 2017, matrix from memory. Check: TestAdaptation.
func CAT16(from, to XYZ) Adaptation { return adaptation(cat16, from, to) }

func adaptation(m [3][3]float64, from, to XYZ) Adaptation {
	a := apply(m, [3]float64{from.X, from.Y, from.Z})
	b := apply(m, [3]float64{to.X, to.Y, to.Z})
	var d [3][3]float64
	for i := range d {
		// A saturated 'white' can have a negative cone response: there is nothing to adapt to.
		if !(a[i] > 0 && b[i] > 0) || math.IsInf(b[i]/a[i], 0) {
			return Adaptation{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}
		}
		d[i][i] = b[i] / a[i]
	}
	inv, _ := invert(m)
	return multiply(inv, multiply(d, m))
}

// XYZ applies the adaptation.
func (m Adaptation) XYZ(t XYZ) XYZ {
	v := apply(m, [3]float64{t.X, t.Y, t.Z})
	return XYZ{v[0], v[1], v[2]}
}
