package kit

import (
	"fmt"
	"math"

	q "halfstop/quantity"
	"halfstop/spectrum"
)

// coloured is a head's light in one colour: its spectrum, its level against the rated white, and
// the drives.
type coloured struct {
	light   spectrum.Curve
	level   float64
	drives  []float64
	inGamut bool
	why     string
}

// primaries of a colour-mixing or bicolour head, scaled so that the head's rated white has Y = 1.
func (c *Colour) primaries() (spectrum.Drives, error) {
	white := float64(c.White)
	if white == 0 {
		white = 5600
	}
	names, shares := c.Primaries, c.Shares
	if c.Bicolour != [2]q.Kelvin{} {
		names = []string{fmt.Sprintf("white led %g", float64(c.Bicolour[0])), fmt.Sprintf("white led %g",
			float64(c.Bicolour[1]))}
		shares = []float64{1, 1} // either white alone gives the rated level; between them the power is shared
	}
	for _, e := range c.Emitters {
		names = append(names[:len(names):len(names)], e.Name)
	}
	if len(shares) != 0 && len(shares) != len(names) {
		return spectrum.Drives{}, &Problem{Code: "kit.shares", Key: "colour",
			Text: fmt.Sprintf("%d shares for %d primaries", len(shares),
				len(names)), Fix: "write one share for each primary"}
	}
	var d spectrum.Drives
	for i, n := range names {
		light, err := c.emitter(i)
		if len(c.Emitters) == 0 {
			light, err = spectrum.Lamp(n)
		}
		if err != nil {
			return spectrum.Drives{}, &Problem{Code: "kit.primary", Key: "colour", Text: err.Error()}
		}
		p := spectrum.Primary{Name: n, Light: light, Flux: 1}
		if len(shares) > 0 {
			p.Flux = shares[i]
		}
		p.White = len(n) > 5 && n[:5] == "white"
		d.Primaries = append(d.Primaries, p)
	}
	if err := d.Check(); err != nil {
		return d, &Problem{Code: "kit.primary", Key: "colour", Text: err.Error()}
	}
	if len(shares) == 0 {
		// Size the primaries so that all at full give the white: the drives that make it, turned
		// into fluxes.
		drives, _, ok := d.Solve(spectrum.White(white).XY())
		if !ok {
			return d, &Problem{Code: "kit.primary", Key: "colour", Text: fmt.Sprintf("the primaries cannot mix %g K",
				white), Fix: "state shares, or other primaries"}
		}
		out := d.Output(drives).Y
		for i := range d.Primaries {
			d.Primaries[i].Flux = math.Max(drives[i], 1e-6) / out
		}
		return d, nil
	}
	if c.Bicolour != [2]q.Kelvin{} {
		return d, nil
	}
	// Stated shares: keep their proportions, rate the head at its white.
	drives, _, ok := d.Solve(spectrum.White(white).XY())
	if !ok {
		return d, &Problem{Code: "kit.primary", Key: "colour", Text: fmt.Sprintf("the primaries cannot mix %g K",
			white), Fix: "state other shares"}
	}
	out := d.Output(drives).Y
	for i := range d.Primaries {
		d.Primaries[i].Flux /= out
	}
	return d, nil
}

// emitter is the light of an own emitter.
func (c *Colour) emitter(i int) (spectrum.Curve, error) {
	if i >= len(c.Emitters) {
		return spectrum.Curve{}, nil
	}
	l, err := spectrum.OfPairs(c.Emitters[i].Spectrum)
	if err != nil {
		return l, fmt.Errorf("the emitter %q: %w", c.Emitters[i].Name, err)
	}
	if !(l.XYZ().Y > 0) {
		return l, fmt.Errorf("the emitter %q gives no visible light", c.Emitters[i].Name)
	}
	return l.PerLuminance(), nil
}

// light gives the head's light in the colour asked.
func (h Head) light(ask Ask) (coloured, error) {
	c := h.Colour
	if c == nil {
		c = &Colour{Kelvin: 5600}
	}
	if !c.Mixes() {
		if ask.Asked() {
			return coloured{}, &Problem{Code: "kit.one-colour", List: "heads", Name: h.Name, Key: "colour",
				Text: fmt.Sprintf("the head %q has one colour and cannot be asked for another",
					h.Name), Fix: "take colour away and put a gel on, or use a colour head"}
		}
		light := spectrum.White(float64(c.Kelvin))
		if len(c.Spectrum) > 0 {
			var err error
			if light, err = spectrum.OfPairs(c.Spectrum); err != nil {
				return coloured{}, &Problem{Code: "kit.spectrum", List: "heads", Name: h.Name, Key: "colour",
					Text: err.Error(), Fix: "write pairs [nm, relative power]"}
			}
			light = light.PerLuminance()
		} else if c.Lamp != "" {
			var err error
			if light, err = spectrum.Lamp(c.Lamp); err != nil {
				return coloured{}, &Problem{Code: "kit.lamp", List: "heads", Name: h.Name, Key: "colour",
					Text: err.Error()}
			}
		}
		return coloured{light: light, level: 1, inGamut: true}, nil
	}
	d, err := c.primaries()
	if err != nil {
		if p, ok := err.(*Problem); ok {
			p.List, p.Name = "heads", h.Name
		}
		return coloured{}, err
	}
	if !ask.Asked() {
		ask.Kelvin = c.White
		if ask.Kelvin == 0 {
			ask.Kelvin = 5600
		}
	}
	if c.Bicolour != [2]q.Kelvin{} {
		return bicolour(c, d, ask), nil
	}
	want := ask.xy()
	drives, reached, ok := d.Solve(want)
	if drives == nil {
		return coloured{}, &Problem{Code: "kit.no-colour", List: "heads", Name: h.Name, Key: "colour",
			Text: "the colour asked is no colour of light", Fix: "ask for a lamp, a temperature or a chromaticity"}
	}
	out := coloured{light: d.Light(drives), level: d.Output(drives).Y, drives: drives, inGamut: ok}
	out.why = fmt.Sprintf("colour xy %.3f, %.3f at %+.1f st against its white", reached.X, reached.Y,
		float64(q.StopsOf(out.level)))
	if !ok {
		out.why += fmt.Sprintf("; the colour asked, xy %.3f, %.3f, lies outside what its primaries mix", want.X, want.Y)
	}
	return out, nil
}

// bicolour crossfades two whites at constant level: the share of the cold one is found on the mired
// scale of the mixture.
func bicolour(c *Colour, d spectrum.Drives, ask Ask) coloured {
	want := ask.xy()
	kelvin, _, ok := spectrum.CCTOhno2013(want)
	warm, cold := d.Primaries[0], d.Primaries[1]
	mix := func(s float64) spectrum.Curve {
		return warm.Light.PerLuminance().Scale(1 - s).Add(cold.Light.PerLuminance().Scale(s))
	}
	a, b := warm.Light.PerLuminance().XYZ(), cold.Light.PerLuminance().XYZ()
	lo, hi := 0.0, 1.0
	if !ok {
		kelvin = float64(c.White)
	}
	for range 40 {
		s := (lo + hi) / 2
		if t, _, _ := spectrum.CCTOhno2013(a.Scale(1 - s).Add(b.Scale(s)).XY()); t < kelvin {
			lo = s
		} else {
			hi = s
		}
	}
	s := (lo + hi) / 2
	if s < 1e-6 {
		s = 0
	}
	if s > 1-1e-6 {
		s = 1
	}
	light := mix(s)
	reached := light.XY()
	out := coloured{light: light, level: 1, drives: []float64{1 - s, s}}
	// Within 0.01 in u'v' the whites of the black body and of the lamps pass for the same (common
	// practice, no source).
	out.inGamut = spectrum.DeltaUVPrime(reached, want) < 0.01
	t, _, _ := spectrum.CCTOhno2013(reached)
	out.why = fmt.Sprintf("white %.0f K of %.0f to %.0f K", t, float64(c.Bicolour[0]), float64(c.Bicolour[1]))
	if !out.inGamut {
		out.why += "; the colour asked lies outside that"
	}
	return out
}

// shiftFilter moves a light by mired on the Planckian scale about 5000 K (the tint of a cloth, the
// start of a sheet): the ratio of two black bodies, at most 1 at any wavelength from 380 to 780 nm.
func shiftFilter(mired float64) spectrum.Curve {
	const from = 5000
	to := 1e6 / math.Min(math.Max(1e6/from+mired, 30), 600)
	a, b := spectrum.Planck(from), spectrum.Planck(to)
	pairs := spectrum.Curve{Start: 380, Step: 5, V: make([]float64, 81)}
	most := 0.0
	for i := range pairs.V {
		nm := pairs.Start + 5*float64(i)
		pairs.V[i] = b.At(nm) / a.At(nm)
		most = math.Max(most, pairs.V[i])
	}
	return pairs.Scale(1 / most)
}
