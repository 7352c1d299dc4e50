package material

import (
	"fmt"
	"halfstop/spectrum"
	"math"
)

// What the tests hold the room's own code against.

// Grey returns a matt surface that reflects the share rho at every wavelength; rho is held to 0 to
// 1, not a number reads as 0.
func Grey(rho float64) Surface {
	if !(rho > 0) {
		rho = 0
	}
	rho = math.Min(rho, 1)
	return Surface{Name: fmt.Sprintf("grey %.3g", rho), Diffuse: spectrum.Constant(rho), Source: "as written"}
}

// HairColours lists the colours of Hair.
func HairColours() []string {
	var out []string
	for _, h := range hairs() {
		out = append(out, h.Name[:len(h.Name)-len(" hair")])
	}
	return out
}

// LuminousReflectance returns the share of D65 light that comes back at normal incidence, coat
// included.
func (s Surface) LuminousReflectance() float64 { return spectrum.LuminousRatio(d65(), s.Total()) }
