package ways

import (
	"fmt"
	"math"

	"halfstop/spectrum"
)

// colourOff says in words of the set how a colour of light differs from the one wanted, both CIE
// 1976 u'v': 'too cool by a quarter orange', 'paler, about half as deep', 'too orange'. white is
// the camera's. seen is false where nobody would see it: under 8 mired and a sixteenth of green
// (common practice, no source).
func colourOff(got, want [2]float64, white spectrum.XY) (words string, seen bool) {
	g, w := spectrum.XYOfUVPrime(got[0], got[1]), spectrum.XYOfUVPrime(want[0], want[1])
	u0, v0 := white.UVPrime()
	deep := math.Hypot(want[0]-u0, want[1]-v0)
	kg, dg, okG := spectrum.CCTOhno2013(g)
	kw, dw, okW := spectrum.CCTOhno2013(w)
	if okG && okW && math.Abs(dw) < 0.02 && math.Abs(dg) < 0.03 && kw < 20000 && kw > 1800 {
		warm, green := 1e6/kg-1e6/kw, dg-dw
		seen = math.Abs(warm) >= 8 || math.Abs(green) >= 0.0025
		words = "the same to the eye"
		if a := math.Abs(warm); a >= 8 {
			words = "too " + pickText(warm > 0, "warm", "cool") + " by " + ofSheet(a, 159) + " " +
				pickText(warm > 0, "blue", "orange")
		}
		if a := math.Abs(green); a >= 0.0025 {
			by := "too " + pickText(green > 0, "green", "pink") + " by " + ofSheet(a, 0.02) + " " +
				pickText(green > 0, "minus green", "plus green")
			words = pickText(math.Abs(warm) >= 8, words+" and "+by, by)
		}
		return words, seen
	}
	depth := math.Hypot(got[0]-u0, got[1]-v0) / math.Max(deep, 1e-6)
	turn := math.Atan2(got[1]-v0, got[0]-u0) - math.Atan2(want[1]-v0, want[0]-u0)
	turn = math.Remainder(turn, 2*math.Pi)
	switch {
	case depth < 0.25:
		return "nearly white in place of " + spectrum.HueOf(w), true
	case depth < 0.9:
		words = fmt.Sprintf("paler, about %s as deep", partOf(depth))
	case depth > 1.12:
		words = "deeper"
	}
	if math.Abs(turn) > 8*math.Pi/180 && depth > 0.15 {
		hue := spectrum.HueOf(g)
		if hue == spectrum.HueOf(w) {
			hue = spectrum.HueTowards(w, turn)
		}
		words += pickText(words == "", "", " and ") + "too " + hue
	}
	if words == "" {
		return "the same to the eye", false
	}
	return words, true
}

// ColourFar says a distance in CIE 1976 u'v' where its sense is not known, in parts of a full
// correcting sheet: from 5600 K to 3200 K is 0.075, within a tenth on that way (CIE 15:2018).
func ColourFar(v float64) string {
	if v < 0.004 {
		return "the same to the eye"
	}
	return "off by " + ofSheet(v, 0.075) + " correction"
}

// ofSheet says a shift as a part of a full correcting sheet.
func ofSheet(amount, full float64) string {
	switch x := amount / full; {
	case x < 0.1:
		return "less than an eighth"
	case x < 0.27:
		return "an eighth"
	case x < 0.53:
		return "a quarter"
	case x < 0.83:
		return "a half"
	case x < 1.4:
		return "a full"
	}
	return "more than a full"
}

func partOf(x float64) string {
	switch {
	case x < 0.29:
		return "a quarter"
	case x < 0.42:
		return "a third"
	case x < 0.58:
		return "half"
	case x < 0.71:
		return "two thirds"
	}
	return "three quarters"
}

// beside says how a colour differs from the one that stood there before.
func (g *generator) beside(got [2]float64, before spectrum.XY) string {
	u, v := before.UVPrime()
	words, seen := colourOff(got, [2]float64{u, v}, g.base.stage.White.XY())
	if !seen {
		return "the colour stays"
	}
	return "against the colour before " + words
}
