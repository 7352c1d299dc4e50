package kit

import (
	"fmt"
	"math"

	"halfstop/spectrum"
)

// Transmittance returns what a gel lets through by wavelength, and where that comes from. Own gels come before the catalogue's.
// Error: a gel that is not known, or one whose figures make no transmittance.
func (k *Kit) Transmittance(name string) (spectrum.Curve, string, error) {
	g, ok := k.FindGel(name)
	if !ok {
		return sheet(name)
	}
	bad := func(key, text, fix string) (spectrum.Curve, string, error) {
		return spectrum.Curve{}, "", &Problem{Code: "kit.gel", List: "gels", Name: g.Name, Key: key, Text: text, Fix: fix}
	}
	switch {
	case len(g.Spectrum) > 0:
		c, err := spectrum.OfPairs(g.Spectrum)
		if err != nil {
			return bad("spectrum", err.Error(), "write pairs [nm, transmittance]")
		}
		if c.Max() > 1 {
			return bad("spectrum", fmt.Sprintf("the gel %q lets more through than it gets (%g)", g.Name, c.Max()), "write shares 0 to 1, not per cent")
		}
		return c, or(g.Source, "own spectrum"), nil
	case g.Mired != nil:
		if math.Abs(*g.Mired) > 400 {
			return bad("mired", fmt.Sprintf("a shift of %g mired cannot be", *g.Mired), "a full orange has about 159, a full blue about -137")
		}
		c := shiftFilter(*g.Mired)
		if g.Loss > 0 {
			// Scale to the stated loss under the light it is meant for.
			light := spectrum.White(5600)
			if *g.Mired < 0 {
				light = spectrum.White(3200)
			}
			c = c.Scale(math.Min(1/c.Max(), math.Exp2(-float64(g.Loss))/spectrum.LuminousRatio(light, c)))
		}
		return c, or(g.Source, "by its mired shift"), nil
	case g.Like != "" && key(g.Like) != key(g.Name):
		return sheet(g.Like)
	case g.Loss > 0:
		return spectrum.Constant(math.Exp2(-float64(g.Loss))), or(g.Source, "neutral"), nil
	}
	return bad("", fmt.Sprintf("the gel %q says no colour", g.Name), "write like, spectrum or mired")
}
