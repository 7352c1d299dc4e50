package kit

import (
	"halfstop/diag"
	"halfstop/photometry"
	q "halfstop/quantity"
	"halfstop/spectrum"
)

// Source is one head with what is mounted on it at one setting: everything the stage needs to build
// an emitter, and what the papers need to know about it.
type Source struct {
	Shape string // "point", "rectangle", "disc", "sphere", "tube"
	// rectangle; disc, sphere: Width is the diameter;
	// tube: Width is the length, Height the diameter
	Width, Height q.Metres
	Depth         q.Metres // how far the body reaches behind its face, head included

	Flash     bool
	Axial     float64 // on axis from afar, at the setting, gels and modifier included: cd, or cd·s for flash
	AxialFull float64 // the same at full
	// relative intensity at 0 to 180 degrees in steps of one, Profile[0] = 1;
	// empty is Lambertian (cosine); a tube's is about its own axis
	Profile []float64
	// a measured distribution, where there is one: it stands in place of Profile; relative, Axial
	// is the level
	Web      *photometry.Web
	Spectrum spectrum.Curve // gels and tint folded in; its scale means nothing

	Setting  q.Stops // against full, 0 or less
	Headroom q.Stops // stops left up
	Floor    q.Stops // stops left down
	Step     q.Stops // one step of a flash head; 0 for a head set in per cent
	Dial     Dial    // parses, snaps, prints and lists settings
	Dialled  string  // the setting in the head's own unit

	Watts       q.Watts // electrical draw at full: what the circuit must carry
	Mains       bool    // needs a socket
	Battery     bool    // can run on its own battery
	Hot         bool    // keep cloth, foam and ordinary gels away
	Weight      q.Kilograms
	Uncertainty q.Stops   // one standard deviation of the level
	Basis       Basis     // which of three its level rests on
	Drives      []float64 // drives of a colour-mixing or bicolour head, by primary, 0 to 1, at the setting
	InGamut     bool      // the colour asked was reached (true where none was asked)
	Why         []string  // where the figures come from, one line each
	Notes       diag.List // on its photometric file, with places in that file
}

// Want is what is asked of the kit.
type Want struct {
	Head     string
	Modifier string   // '' and 'bare' are none
	Grid     string   // '' is none
	Gels     []string // own gels or those of the catalogue
	Power    string   // a setting as written: '1/8 + 0.3', '62 %'; '' is full
	Level    *q.Share // instead: a share of full
	Zoom     q.Metres // where its zoom stands; 0 is at its widest
	Stops    *q.Stops // instead: against full, 0 or less
	Colour   Ask      // for bicolour and colour-mixing heads

	FlatC, DomeC float64 // meter constants behind own readings; 0: 250 and 330

	// Files fetches a photometric file named by a head; nil: there are none.
	Files func(name string) ([]byte, error)
}

// Ask is the colour asked of a colour head: one of a light to match, a chromaticity, a temperature.
// The zero Ask is the head's rated white.
type Ask struct {
	Light  spectrum.Curve
	XY     spectrum.XY
	Kelvin q.Kelvin
}

// Asked tells whether a colour is asked at all.
func (a Ask) Asked() bool { return !a.Light.Empty() || a.XY.Y > 0 || a.Kelvin > 0 }

func (a Ask) xy() spectrum.XY {
	switch {
	case !a.Light.Empty():
		return a.Light.XY()
	case a.XY.Y > 0:
		return a.XY
	}
	return spectrum.White(float64(a.Kelvin)).XY()
}
