package kit

import (
	q "halfstop/quantity"
	"halfstop/spectrum"
)

// Primaries gives the emitters of a colour-mixing or bicolour head, scaled so that its rated white
// has a luminance of 1. shared says that they share one power (bicolour): the drives add up to 1 at
// most. ok is false for a head of one colour.
func (h Head) Primaries() (d spectrum.Drives, shared, ok bool) {
	c := h.Colour
	if !c.Mixes() {
		return d, false, false
	}
	d, err := c.primaries()
	return d, c.Bicolour != [2]q.Kelvin{}, err == nil
}

// Light is the light of a head that has one colour: its lamp, or daylight of its temperature.
func (h Head) Light() (spectrum.Curve, error) {
	l, err := h.light(Ask{})
	return l.light, err
}

// Make gives the light of a head that is asked for a colour: its spectrum, its level against the
// rated white, and whether that is the colour asked. The error is a *Problem for a head of one
// colour.
func (h Head) Make(ask Ask) (light spectrum.Curve, level float64, inGamut bool, err error) {
	l, err := h.light(ask)
	return l.light, l.level, l.inGamut, err
}
