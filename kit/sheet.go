package kit

import (
	"halfstop/material"
	"halfstop/spectrum"
)

// sheet finds a gel of the catalogue of sheets.
func sheet(name string) (spectrum.Curve, string, error) {
	g, err := material.FindGel(name)
	if err != nil {
		return spectrum.Curve{}, "", &Problem{Code: "kit.unknown-gel", Text: err.Error(),
			Fix: "write a gel of the catalogue, or add yours to the kit with its spectrum or its mired shift"}
	}
	return g.Transmittance, g.Source, nil
}
