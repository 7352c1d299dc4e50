package scout

import (
	"fmt"
	"math"

	"halfstop/photo"
	"halfstop/picture"
	"halfstop/spectrum"
)

// Spot is a place of a photograph, in per cent from the top left as it is shown.
type Spot struct {
	Name string  `json:"name"`
	X    float64 `json:"x" doc:"per cent from the left"`
	Y    float64 `json:"y" doc:"per cent from the top"`
}

// Card is a spot of known reflectance in the same light as what is measured by it.
type Card struct {
	X     float64 `json:"x" doc:"per cent from the left"`
	Y     float64 `json:"y" doc:"per cent from the top"`
	Known float64 `json:"reflectance" doc:"0 to 1: a grey card 0.18, paper about 0.85"`
}

// Ask is what is asked of a photograph.
type Ask struct {
	Spots []Spot
	Card  *Card
	// White is the light that is white in the picture, kelvin; 0: not known. With a card it is the
	// light on the card, else what the camera was set to.
	White float64
}

// Reading is what `scout --json` prints.
type Reading struct {
	Version  int        `json:"version"`
	Width    int        `json:"width"`
	Height   int        `json:"height"`
	Exposure *Exposure  `json:"exposure"` // null without exposure data
	Missing  string     `json:"missing,omitempty" doc:"what of the exposure data is not there"`
	White    float64    `json:"white_kelvin,omitempty" doc:"as it was stated; absent: not known"`
	Spots    []Measured `json:"spots"`
	Notes    []string   `json:"notes"`
}

// Exposure is what the photograph says of its exposure.
type Exposure struct {
	Aperture float64 `json:"aperture"`
	Shutter  float64 `json:"shutter_seconds"`
	ISO      float64 `json:"iso"`
	Taken    string  `json:"taken,omitempty"`
}

// Measured is one spot as it was read.
type Measured struct {
	Name        string    `json:"name"`
	Luminance   *float64  `json:"luminance,omitempty" doc:"cd/m²"`
	LuminanceSD float64   `json:"luminance_sd_stops,omitempty"`
	Stops       float64   `json:"stops" doc:"to mid-grey as photographed"`
	SD          float64   `json:"sd_stops" doc:"of the reflectance where there is one, else of the luminance"`
	Reflectance *float64  `json:"reflectance,omitempty"`
	Colour      string    `json:"colour" doc:"'#rrggbb': of the reflectance where there is a card, else as photographed"`
	UV          []float64 `json:"uv" doc:"CIE 1976 of its light: in itself where the white is stated, else against the picture's white"`
	UVSD        float64   `json:"uv_sd" doc:"one standard deviation of it, u'v'"`
	Kelvin      float64   `json:"kelvin,omitempty" doc:"of its light; absent where it has none, or the white is not stated"`
	Clipped     float64   `json:"clipped" doc:"share of its pixels with a channel at its end"`
}

// How sure a chromaticity is, one standard deviation in u'v' (common practice, no source).
const (
	whiteError = 0.008 // the white is stated: what a camera's own colours leave
	freeError  = 0.03  // it is not: between lamp light and daylight lie 0.06
)

// whitest and warmest are the stated whites that are taken, kelvin.
const warmest, whitest = 1500, 20000

// check says what is wrong with what is asked.
func (a *Ask) check() error {
	in := func(x, y float64) bool { return x >= 0 && x <= 100 && y >= 0 && y <= 100 }
	if c := a.Card; c != nil && (!in(c.X, c.Y) || !(c.Known > 0 && c.Known <= 1)) {
		return fmt.Errorf("a card at %g, %g of %g: its place is in per cent, its reflectance over 0 and at most 1",
			c.X, c.Y, c.Known)
	}
	for _, s := range a.Spots {
		if !in(s.X, s.Y) {
			return fmt.Errorf("%g, %g is no place in the picture: per cent from its top left", s.X, s.Y)
		}
	}
	if a.White != 0 && !(a.White >= warmest && a.White <= whitest) {
		return fmt.Errorf("a white of %g K: %d K to %d K are taken", a.White, warmest, whitest)
	}
	return nil
}

// frame is how colours of a picture are told: against which white, under which light.
type frame struct {
	gain [3]float64 // of each channel: the card's colour is taken for white
	to   spectrum.Adaptation
	sd   float64
	said bool // the white is stated
}

func (p *Photo) frame(a *Ask) frame {
	f := frame{gain: [3]float64{1, 1, 1}, sd: freeError, to: spectrum.CAT16(spectrum.XYZ{}, spectrum.XYZ{})}
	if a.Card != nil {
		m := p.Mean(a.Card.X, a.Card.Y)
		for c := range f.gain {
			f.gain[c] = m.Y() / math.Max(1e-6, m.RGB[c])
		}
	}
	if a.White > 0 {
		f.said, f.sd = true, whiteError
		f.to = spectrum.CAT16(spectrum.SRGB.XYZ([3]float64{1, 1, 1}), spectrum.White(a.White).XY().XYZ(1))
	}
	return f
}

// xy is the chromaticity of what was seen; false where it is dark.
func (f *frame) xy(rgb [3]float64) (spectrum.XY, bool) {
	for c := range rgb {
		rgb[c] *= f.gain[c]
	}
	t := f.to.XYZ(spectrum.SRGB.XYZ(rgb))
	return t.XY(), t.X+t.Y+t.Z > 1e-6 && t.Y > 0
}

// Read measures spots of a photograph. The error says which place, card or white cannot be.
// Check: TestRead, TestReadFrame.
func Read(p *Photo, a Ask) (*Reading, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	out := &Reading{Version: 1, Width: p.Width, Height: p.Height, White: a.White, Spots: []Measured{},
		Notes: []string{}}
	switch {
	case !p.Known:
		out.Missing = "exposure data"
	default:
		out.Missing = p.Exif.Missing()
		out.Exposure = &Exposure{p.Exif.FNumber, p.Exif.Shutter, p.Exif.ISO, p.Exif.Taken}
	}
	var card photo.Mean
	if a.Card != nil {
		card = p.Mean(a.Card.X, a.Card.Y)
		if card.Clip > 0.02 || card.Y() < 0.002 {
			out.Notes = append(out.Notes, "the card is clipped or black in the picture: it tells nothing")
		}
	}
	f := p.frame(&a)
	for _, s := range a.Spots {
		out.Spots = append(out.Spots, p.read(s, &a, &card, &f))
	}
	out.Notes = append(out.Notes, notes(p, &a, out)...)
	return out, nil
}

func (p *Photo) read(s Spot, a *Ask, card *photo.Mean, f *frame) Measured {
	m := p.Mean(s.X, s.Y)
	out := Measured{Name: s.Name, Stops: math.Log2(math.Max(1e-6, m.Y()) / picture.MidGrey), Clipped: m.Clip,
		UV: []float64{}, UVSD: f.sd}
	if c, ok := f.xy(m.RGB); ok {
		u, v := c.UVPrime()
		out.UV = []float64{u, v}
		if k, _, ok := spectrum.CCTOhno2013(c); ok && f.said {
			out.Kelvin = k
		}
	}
	if m.Clip > 0.02 {
		out.UVSD = max(out.UVSD, freeError) // the channel that is cut tells too little
	}
	if p.Exif.Complete() {
		l, sd := photo.Luminance(&p.Exif, m.Y())
		out.Luminance, out.LuminanceSD, out.SD = &l, sd, sd
	}
	rgb := m.RGB
	if a.Card != nil {
		r, sd := photo.Reflectance(m.Y(), card.Y(), a.Card.Known)
		out.Reflectance, out.SD = &r, sd
		for c := range rgb {
			// Against the card, channel by channel: its own colour is taken for white.
			rgb[c] = a.Card.Known * m.RGB[c] / math.Max(1e-6, card.RGB[c])
		}
	}
	out.Colour = "#"
	for c := range rgb {
		out.Colour += fmt.Sprintf("%02x", int(math.Round(255*spectrum.Encode(min(1, rgb[c])))))
	}
	return out
}

// notes says what is missing and what that does.
func notes(p *Photo, a *Ask, r *Reading) (out []string) {
	add := func(s string) { out = append(out, s) }
	if p.Trouble != "" {
		add("its exposure data cannot be read: " + p.Trouble)
	}
	if r.Missing != "" {
		add("the file does not say its " + r.Missing + ": levels are against mid-grey as photographed, not cd/m²; " +
			"take the photograph as the camera wrote it, or meter the place")
	}
	if p.Space != nil && !p.Space.Read {
		add("its colour profile is not one of three primaries and is not read: colours are taken for sRGB")
	} else if p.Space != nil {
		add("its colours are in a wider space than sRGB and were brought there")
	}
	switch {
	case a.Card == nil:
		add("no card: colours are against what the camera took for white, and reflectances cannot be told from light")
	case a.White == 0:
		add("what light falls on the card is not said: a lamp's colour is against that light, good to Δu'v' 0.03")
	}
	if p.Exif.AutoWhite && a.Card == nil {
		add("the white balance was automatic: two photographs of one wall may differ in colour")
	}
	if p.Exif.HasGPS {
		add("the file holds the place where it was taken: mind whom it is sent to")
	}
	for _, s := range r.Spots {
		if s.Clipped > 0.02 {
			add(fmt.Sprintf("%s is clipped in %.0f %% of its pixels: it is at least so bright", s.Name,
				100*s.Clipped))
		}
		if s.Reflectance != nil && *s.Reflectance > 1 && s.Clipped <= 0.02 {
			add(fmt.Sprintf("%s sends more than a white surface in the card's light could: a lamp, a gloss, "+
				"or other light",
				s.Name))
		}
	}
	return out
}
