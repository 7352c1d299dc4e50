package spectrum

import (
	"math"
	"sync"
)

// c2 is the second radiation constant in nm·K as used by CIE 015 for CCT (1.4388e-2 m K).
const c2 = 1.4388e7

// Planck returns the light of a black body at kelvin, 1 at 560 nm. Empty unless kelvin is finite
// and at least 300. Check: TestPlanck.
func Planck(kelvin float64) Curve {
	if !(kelvin >= 300) || math.IsInf(kelvin, 0) {
		return Curve{}
	}
	out := Curve{gridStart, 1, make([]float64, gridCount)}
	for i := range out.V {
		nm := gridStart + float64(i)
		out.V[i] = math.Pow(560/nm, 5) * math.Exp(c2/kelvin*(1/560.0-1/nm)) * (1 - math.Exp(-c2/(560*kelvin))) /
			(1 - math.Exp(-c2/(nm*kelvin)))
	}
	return out
}

// The range in which the CIE daylight formulas hold, kelvin.
const daylightMin, daylightMax = 4000, 25000

// DaylightXY returns the chromaticity of the CIE daylight locus. kelvin is clamped to 4,000 to
// 25,000. Source: CIE 015. Check: TestDaylightSeries.
func DaylightXY(kelvin float64) XY {
	T := clampTo(kelvin, daylightMin, daylightMax)
	x := (-4.6070e9/T+2.9678e6)/T/T + 99.11/T + 0.244063
	if T > 7000 {
		x = (-2.0064e9/T+1.9018e6)/T/T + 247.48/T + 0.237040
	}
	return XY{x, -3*x*x + 2.87*x - 0.275}
}

// DaylightWeights returns M1 and M2 of the CIE daylight series, rounded to three decimals as in the
// CIE tables. Source: CIE 015. Check: TestDaylightSeries.
func DaylightWeights(kelvin float64) (m1, m2 float64) {
	c := DaylightXY(kelvin)
	m := 0.0241 + 0.2562*c.X - 0.7341*c.Y
	round := func(v float64) float64 { return math.Round(v*1000) / 1000 }
	return round((-1.3515 - 1.7703*c.X + 5.9114*c.Y) / m), round((0.0300 - 31.4424*c.X + 30.0717*c.Y) / m)
}

var daylightTable = readTable("daylight.csv")

// Daylight returns the CIE daylight series at kelvin (clamped to 4,000 to 25,000): 100 at 560 nm,
// 300 to 830 nm at 5 nm. Temperatures are on today's scale, where D65 is 6503.6 K. Check:
// TestDaylightSeries.
func Daylight(kelvin float64) Curve {
	m1, m2 := DaylightWeights(kelvin)
	s0, s1, s2 := daylightTable.curve("S0"), daylightTable.curve("S1"), daylightTable.curve("S2")
	for i := range s0.V {
		s0.V[i] = math.Max(0, s0.V[i]+m1*s1.V[i]+m2*s2.V[i])
	}
	return s0
}

// The ends of the crossover of White, kelvin.
const whitePlanck, whiteDaylight = 4000, 5000

// White returns white light of a colour temperature, with Y = 1. Up to 4,000 K it is a black body,
// from 5,000 K the CIE daylight series. Between them it is a mix at equal luminance, whose share of
// daylight rises by 3t² − 2t³. kelvin is clamped to 1,000 to 25,000; NaN reads as 5,500. The
// correlated colour temperature of the result is within 6 K up to 10,000 K and within 0.1 % above.
// Check: TestWhite.
func White(kelvin float64) Curve {
	if math.IsNaN(kelvin) {
		kelvin = 5500
	}
	kelvin = clampTo(kelvin, 1000, daylightMax)
	switch {
	case kelvin <= whitePlanck:
		return Planck(kelvin).PerLuminance()
	case kelvin >= whiteDaylight:
		return Daylight(kelvin).grid().PerLuminance()
	}
	t := (kelvin - whitePlanck) / (whiteDaylight - whitePlanck)
	t = t * t * (3 - 2*t)
	return Planck(kelvin).PerLuminance().Scale(1 - t).Add(Daylight(kelvin).grid().PerLuminance().Scale(t))
}

func clampTo(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }

// locusEntry is one row of the table of the Planckian locus, in CIE 1960 u, v.
type locusEntry struct{ T, u, v float64 }

// locus is the Planckian locus from 1,000 to 100,000 K in steps of 1 %.
var locus = sync.OnceValue(func() []locusEntry {
	var out []locusEntry
	for T := 1000.0; T < 101000; T *= 1.01 {
		u, v := Planck(T).XY().UV1960()
		out = append(out, locusEntry{T, u, v})
	}
	return out
})

// MaxDuv is the distance from the Planckian locus beyond which a colour temperature has no meaning
// (CIE 015).
const MaxDuv = 0.05

// CCTOhno2013 returns the correlated colour temperature in kelvin and Duv (CIE 1960, positive above
// the locus: green). ok is false where the chromaticity is not a colour, lies outside 1,000 to
// 100,000 K, or |Duv| is over 0.05. The figures are then the nearest.
//
// The method is a table at steps of 1 %, then the triangular solution near the locus and the
// parabolic one away from it. Source: Ohno, Leukos 10(1), 2014 ('Ohno 2013'). Check: TestCCT.
func CCTOhno2013(c XY) (kelvin, duv float64, ok bool) {
	u, v := c.UV1960()
	if !(c.Y > 0) || math.IsNaN(u+v) || math.IsInf(u+v, 0) {
		return 0, 0, false
	}
	table := locus()
	distance := func(i int) float64 { return math.Hypot(table[i].u-u, table[i].v-v) }
	m := 0
	for i := range table {
		if distance(i) < distance(m) {
			m = i
		}
	}
	inside := m > 0 && m < len(table)-1
	m = min(max(m, 1), len(table)-2)
	a, b, d := table[m-1], table[m], table[m+1]
	da, db, dd := distance(m-1), distance(m), distance(m+1)

	// Triangular solution: project on to the chord between the neighbours.
	l := math.Hypot(d.u-a.u, d.v-a.v)
	x := (da*da - dd*dd + l*l) / (2 * l)
	T := a.T + (d.T-a.T)*x/l
	T *= 0.99991
	side := 1.0
	if v < a.v+(d.v-a.v)*x/l {
		side = -1
	}
	D := side * math.Sqrt(math.Max(0, da*da-x*x))
	// Parabolic solution, where the distance is large enough for a clear minimum.
	if math.Abs(D) >= 0.002 {
		k := (d.T - b.T) * (a.T - d.T) * (b.T - a.T)
		A := (a.T*(dd-db) + b.T*(da-dd) + d.T*(db-da)) / k
		B := -(a.T*a.T*(dd-db) + b.T*b.T*(da-dd) + d.T*d.T*(db-da)) / k
		C := -(da*(d.T-b.T)*b.T*d.T + db*(a.T-d.T)*a.T*d.T + dd*(b.T-a.T)*a.T*b.T) / k
		if A > 0 {
			T = -B / (2 * A)
			D = side * (A*T*T + B*T + C)
		}
	}
	T = clampTo(T, table[0].T, table[len(table)-1].T)
	return T, D, inside && math.Abs(D) <= MaxDuv
}

var robertson = readTable("robertson.csv")

// XYOfCCT returns the chromaticity of a colour temperature and Duv; with duv 0 it is on the
// Planckian locus. It is the inverse of CCTOhno2013. kelvin is clamped to 1,000 to 100,000. Check:
// TestCCTRoundTrip.
func XYOfCCT(kelvin, duv float64) XY {
	kelvin = clampTo(kelvin, 1000, 100000)
	u, v := Planck(kelvin).XY().UV1960()
	// The isotemperature line is normal to the locus in CIE 1960 u, v.
	u1, v1 := Planck(kelvin * 0.999).XY().UV1960()
	u2, v2 := Planck(kelvin * 1.001).XY().UV1960()
	du, dv := u2-u1, v2-v1
	l := math.Hypot(du, dv)
	return XYOfUV1960(u+duv*dv/l*sign(-du), v-duv*du/l*sign(-du))
}

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}
