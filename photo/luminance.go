package photo

import "math"

// How sure a luminance is, one standard deviation in stops: common practice, no source. A camera's
// own picture bends tones, an automatic exposure is still exact in its data.
const (
	jpegError = 0.6 // by the exposure data and a camera's standard tones
	cardError = 0.2 // by a card of known reflectance in the same light and tone range
	clipError = 2.0 // at the ends of the range
)

// midGrey is the linear value of sRGB 118, which ISO 12232 gives a standard output exposure of
// 10/S lx·s.
var midGrey = Linear(118)

// Linear decodes one sRGB value, 0 to 255, to 0 to 1 (IEC 61966-2-1).
func Linear(v float64) float64 {
	x := v / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

// Luminance gives the luminance that a camera saw, cd/m², and one standard deviation in stops.
//
// y is the mean linear luminance of the pixels, 0 to 1. The sensor's exposure at mid-grey is 10/S
// lx·s; H = q L t/N² with q = 0.65 (ISO 12232). Exposure compensation is in the exposure already
// and does not count twice.
func Luminance(x *Exif, y float64) (cdm2, sd float64) {
	h := 10 / x.ISO * y / midGrey
	cdm2 = h * x.FNumber * x.FNumber / (0.65 * x.Shutter)
	sd = jpegError
	if y > 0.95 || y < 0.002 {
		sd = clipError
	}
	return cdm2, sd
}

// Reflectance gives that of a surface from a card in the same light: by the ratio of what both
// send to the camera. Values over 1 are not cut: a lamp or a highlight is no surface.
func Reflectance(y, cardY, card float64) (rho, sd float64) {
	sd = cardError
	if y > 0.95 || y < 0.002 || cardY > 0.95 || cardY < 0.002 {
		sd = clipError
	}
	return card * y / cardY, sd
}

// Mean is the mean linear colour of a square of pixels.
type Mean struct {
	RGB  [3]float64
	N    int
	Clip float64 // share of pixels with a channel at its end
}

// Y is its luminance by the sRGB primaries.
func (m Mean) Y() float64 { return 0.2126*m.RGB[0] + 0.7152*m.RGB[1] + 0.0722*m.RGB[2] }

// UV is its CIE 1976 chromaticity against the picture's own white, which is what the camera took
// for white.
func (m Mean) UV() (u, v float64, ok bool) {
	r, g, b := m.RGB[0], m.RGB[1], m.RGB[2]
	x := 0.4124*r + 0.3576*g + 0.1805*b
	y := 0.2126*r + 0.7152*g + 0.0722*b
	z := 0.0193*r + 0.1192*g + 0.9505*b
	d := x + 15*y + 3*z
	if !(d > 1e-9) {
		return 0, 0, false
	}
	return 4 * x / d, 9 * y / d, true
}
