package kit

import (
	"fmt"
	"math"

	"halfstop/material"
	"halfstop/spectrum"
)

// GelNames lists every gel that Transmittance knows: own ones first.
func (k *Kit) GelNames() []string {
	var out []string
	for _, g := range k.Gels {
		out = append(out, g.Name)
	}
	return append(out, material.Gels()...)
}

// Transmittance returns what a gel lets through by wavelength, and where that comes from. Own gels
// come before the catalogue's. Error: a gel that is not known, or one whose figures make no
// transmittance.
func (k *Kit) Transmittance(name string) (spectrum.Curve, string, error) {
	g, ok := k.FindGel(name)
	if !ok {
		return sheet(name)
	}
	bad := func(key, text, fix string) (spectrum.Curve, string, error) {
		return spectrum.Curve{}, "", &Problem{Code: "kit.gel", List: "gels", Name: g.Name, Key: key, Text: text,
			Fix: fix}
	}
	switch {
	case len(g.Spectrum) > 0:
		c, err := spectrum.OfPairs(g.Spectrum)
		if err != nil {
			return bad("spectrum", err.Error(), "write pairs [nm, transmittance]")
		}
		if c.Max() > 1 {
			return bad("spectrum", fmt.Sprintf("the gel %q lets more through than it gets (%g)", g.Name, c.Max()),
				"write shares 0 to 1, not per cent")
		}
		return c, or(g.Source, "own spectrum"), nil
	case g.Mired != nil:
		if math.Abs(*g.Mired) > 400 {
			return bad("mired", fmt.Sprintf("a shift of %g mired cannot be", *g.Mired),
				"a full orange has about 159, a full blue about -137")
		}
		loss, from := float64(g.Loss), or(g.Source, "by its mired shift and loss")
		if loss == 0 {
			loss, from = usualLoss(*g.Mired), or(g.Source, "by its mired shift; loss after the trade table")
		}
		return shiftSheet(*g.Mired, loss), from, nil
	case g.Like != "":
		// its own name counts one of the catalogue: {name: full orange, like: full orange, have: 4}
		return sheet(g.Like)
	case g.Loss > 0:
		return spectrum.Constant(math.Exp2(-float64(g.Loss))), or(g.Source, "neutral"), nil
	}
	if c, from, err := sheet(g.Name); err == nil {
		return c, from, nil // a gel of the catalogue that is counted
	}
	return bad("", fmt.Sprintf("the gel %q says no colour", g.Name), "write like, spectrum or mired")
}

// usualLoss is what a correcting sheet of this shift commonly takes: 0.9 st for +159 mired, 1.5 st
// for -137 (from memory).
func usualLoss(mired float64) float64 {
	if mired < 0 {
		return 1.5 * -mired / 137
	}
	return 0.9 * mired / 159
}

// sheetTop is the most that a sheet lets through at any wavelength: two faces of plastic (n = 1.5)
// leave 0.92.
const sheetTop = 0.92

// shiftSheet builds a sheet from its shift and its loss: the ratio of two black bodies, k times,
// clipped at sheetTop as dyes are. k gives the loss, and the black bodies' shift is stretched until
// the light's colour temperature moves as stated; orange on 5600 K, blue on 3200 K. A loss too
// small for any sheet gives the least. Check: TestShiftSheet.
func shiftSheet(mired, loss float64) spectrum.Curve {
	const kelvinOrange, kelvinBlue = 5600, 3200
	from := float64(kelvinOrange)
	if mired < 0 {
		from = kelvinBlue
	}
	light := spectrum.White(from)
	base, _, _ := spectrum.CCTOhno2013(light.XY())
	left := math.Exp2(-loss)
	build := func(m float64) spectrum.Curve {
		ratio := shiftFilter(m)
		lo, hi := 1e-3, 50.0
		var c spectrum.Curve
		for range 24 {
			k := math.Sqrt(lo * hi)
			c = ratio.Scale(k)
			for i := range c.V {
				c.V[i] = math.Min(c.V[i], sheetTop)
			}
			if spectrum.LuminousRatio(light, c) < left {
				lo = k
			} else {
				hi = k
			}
		}
		return c
	}
	lo, hi := mired, 2.5*mired
	var c spectrum.Curve
	for range 14 {
		m := (lo + hi) / 2
		c = build(m)
		t, _, ok := spectrum.CCTOhno2013(light.Mul(c).XY())
		if ok && math.Abs(1e6/t-1e6/base) < math.Abs(mired) {
			lo = m
		} else {
			hi = m
		}
	}
	return c
}
