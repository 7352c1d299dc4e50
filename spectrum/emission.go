package spectrum

import "math"

// Tungsten returns a filament lamp: a black body at its colour temperature in kelvin, by which such
// lamps are rated. The filament itself is a little cooler (common practice).
func Tungsten(kelvin float64) Curve { return Planck(kelvin) }

// XenonFlash returns a flash tube: the CIE daylight series at kelvin with the ultraviolet cut of a
// coated tube (half at 395 nm). It stands in for a measured tube (common practice, no source).
func XenonFlash(kelvin float64) Curve {
	out := Daylight(kelvin).grid()
	for i := range out.V {
		out.V[i] /= 1 + math.Exp(-(gridStart+float64(i)-395)/6)
	}
	return out
}

// mix returns base with those multiples of three primaries that give it the chromaticity target at
// Y = 1. ok is false where a multiple would be negative.
func mix(target XY, base Curve, prim [3]Curve) (Curve, bool) {
	want, b := target.XYZ(1), base.XYZ()
	var m [3][3]float64
	for j := range prim {
		t := prim[j].XYZ()
		m[0][j], m[1][j], m[2][j] = t.X, t.Y, t.Z
	}
	inv, ok := invert(m)
	if !ok {
		return Curve{}, false
	}
	d := apply(inv, [3]float64{want.X - b.X, want.Y - b.Y, want.Z - b.Z})
	out := base.grid()
	for j := range prim {
		if d[j] < -1e-9 {
			ok = false
		}
		out = out.Add(prim[j].Scale(math.Max(d[j], 0)))
	}
	return out, ok
}

// WhiteLED returns a white LED: a pump at 450 nm, a yellow-green and a red phosphor, in the
// proportion that has exactly the chromaticity of White(kelvin). kelvin is clamped to 2,200 to
// 10,000. Shapes from memory. Check: TestLampTemperatures.
func WhiteLED(kelvin float64) Curve {
	kelvin = clampTo(kelvin, 2200, 10000)
	pump := Gaussian(450, 21)
	yellow := skewed(540, 80, 125)
	red := skewed(615, 80, 100)
	out, _ := mix(White(kelvin).XY(), Curve{}, [3]Curve{pump, yellow, red})
	return out
}

// skewed is a bell with different full widths at half maximum on its two sides, nm, as phosphors
// have.
func skewed(peak, below, above float64) Curve {
	lo, hi := Gaussian(peak, below), Gaussian(peak, above)
	for i := range lo.V {
		if gridStart+float64(i) > peak {
			lo.V[i] = hi.V[i]
		}
	}
	return lo
}

// mercuryLines is the mercury part of a low-pressure tube, power 1 in all.
func mercuryLines() Curve {
	c := MercuryArgon()
	return c.Scale(1 / c.Power())
}

// FluorescentDuv is the Duv of the plain fluorescent tube: above the Planckian locus, a slight
// green that a camera shows. Common practice, no source.
const FluorescentDuv = 0.006

// Fluorescent returns a plain (halophosphate) tube with Duv +0.006: mercury lines near 15 % of the
// power, two broad bands and a little deep red. kelvin is clamped to 2,700 to 6,500. Common
// practice, no source. Check: TestLampTemperatures.
func Fluorescent(kelvin float64) Curve {
	kelvin = clampTo(kelvin, 2700, 6500)
	bands := [3]Curve{skewed(482, 95, 130), Gaussian(580, 80), Gaussian(625, 90)}
	return tube(XYOfCCT(kelvin, FluorescentDuv), 0.15, bands)
}

// Triphosphor returns a three-band tube with Duv +0.002: mercury lines, and bands at 450, 543 and
// 611 nm with their weak side lines. kelvin is clamped to 2,700 to 6,500. Common practice, no
// source. Check: TestLampTemperatures.
func Triphosphor(kelvin float64) Curve {
	kelvin = clampTo(kelvin, 2700, 6500)
	green := Gaussian(543.5, 9).Add(Gaussian(488, 12).Scale(0.22)).
		Add(Gaussian(585, 12).Scale(0.18)).Add(Gaussian(621, 8).Scale(0.06))
	red := Gaussian(611.5, 6).Add(Gaussian(593, 14).Scale(0.10)).Add(Gaussian(630, 7).Scale(0.14)).
		Add(Gaussian(650, 8).Scale(0.05)).Add(Gaussian(708, 9).Scale(0.12))
	return tube(XYOfCCT(kelvin, 0.002), 0.12, [3]Curve{Gaussian(452, 52), green, red})
}

// tube mixes three phosphor bands over mercury lines to a chromaticity. share is the wanted part of
// the lines in the power. It is lowered in steps where the colour cannot be had with so much.
func tube(target XY, share float64, bands [3]Curve) Curve {
	lines := mercuryLines()
	for ; share > 0.005; share *= 0.8 {
		// The power of the lines that makes the share right: from an efficacy of 330 lm/W, then
		// corrected by iteration.
		p := share / 330
		var out Curve
		ok := false
		for range 4 {
			out, ok = mix(target, lines.Scale(p), bands)
			p = share * out.Power()
		}
		if ok {
			return out
		}
	}
	out, _ := mix(target, Curve{}, bands)
	return out
}

// Neon returns a clear neon tube: Ne I lines weighted by g·A/λ·exp(−(E − 18.38)/1 eV), optically
// thin. The line data are from memory of NIST ASD, so the shape is an estimate, near the red of a
// real sign. The handbook's relative intensities are no powers: taken as such they give amber.
// Check: TestDischarge.
func Neon() Curve {
	var lines []Line
	for _, r := range readTable("neon.csv").rows {
		nm, A, g, E := r[0], r[1], r[2], r[3]
		lines = append(lines, Line{nm, g * A / nm * math.Exp(-(E - 18.38))})
	}
	return OfLines(lines)
}

// MercuryArgon returns a clear blue sign tube: mercury lines with assumed powers (no source).
// Check: TestDischarge.
func MercuryArgon() Curve {
	var lines []Line
	for _, r := range readTable("mercury.csv").rows {
		lines = append(lines, Line{r[0], r[1]})
	}
	return OfLines(lines)
}

// coatedMercury is a sign tube with one phosphor band over mercury lines at 15 % of the power.
// Common practice.
func coatedMercury(peak, width float64) Curve {
	band := Gaussian(peak, width)
	return mercuryLines().Scale(0.15).Add(band.Scale(0.85 / band.Power()))
}

// coatedNeon is neon with one phosphor band; the line holds the band's place and its share of the
// power. Common practice.
func coatedNeon(band Line, width float64) Curve {
	n, b := Neon(), Gaussian(band.NM, width)
	return n.Scale((1 - band.Power) / n.Power()).Add(b.Scale(band.Power / b.Power()))
}

// neonPink is neon red beside a blue phosphor. Common practice.
func neonPink() Curve { return coatedNeon(Line{455, 0.35}, 55) }
