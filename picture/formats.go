package picture

import (
	"image"
	"strings"

	"halfstop/spectrum"
)

// Format is a file format that a picture can be written in. A new one is one entry of Formats.
// Check: TestFormats.
type Format struct {
	Name string
	Ends []string // endings of file names, the usual one first, without the dot
	Says string   // depth and what comes with it
	// Encode writes a developed picture in its display's code values; nil: the format holds linear
	// light, see EXR.
	Encode func(v any, d *spectrum.Display) ([]byte, error)
	// Light writes linear light as named plates; nil: the format holds developed pictures.
	Light func(w, h int, plates []Plate, white spectrum.XY) ([]byte, error)
}

// jpegQuality leaves no blocks that show in print.
const jpegQuality = 92

var formats = []Format{
	{Name: "PNG", Ends: []string{"png"}, Says: "8 bit, with profile", Encode: func(v any, d *spectrum.Display) ([]byte,
		error) {
		return PNG(Flat(v), d)
	}},
	{Name: "JPEG", Ends: []string{"jpg", "jpeg"}, Says: "8 bit, with profile",
		Encode: func(v any, d *spectrum.Display) ([]byte, error) { return JPEG(Flat(v), d, jpegQuality) }},
	{Name: "TIFF", Ends: []string{"tif", "tiff"}, Says: "16 bit, with profile",
		Encode: func(v any, d *spectrum.Display) ([]byte, error) {
			if p, ok := v.(*Print); ok {
				return TIFF(p.NRGBA64(), d)
			}
			return TIFF(Deep(v.(image.Image)), d)
		}},
	{Name: "OpenEXR", Ends: []string{"exr"},
		Says: "linear light, one named layer a light (primaries of sRGB, mid-grey 0.18)", Light: EXR},
}

// Formats lists the formats of pictures.
func Formats() []Format { return formats }

// FormatOf finds the format that a file's ending names, without its dot and in any case.
func FormatOf(ending string) (Format, bool) {
	for _, f := range formats {
		for _, e := range f.Ends {
			if strings.EqualFold(e, strings.TrimPrefix(ending, ".")) {
				return f, true
			}
		}
	}
	return Format{}, false
}

// Endings lists the usual ending of each format that keep takes, as words: '.png, .jpg or .tif'.
func Endings(keep func(Format) bool) string {
	var e []string
	for _, f := range formats {
		if keep(f) {
			e = append(e, "."+f.Ends[0])
		}
	}
	if len(e) < 2 {
		return strings.Join(e, "")
	}
	return strings.Join(e[:len(e)-1], ", ") + " or " + e[len(e)-1]
}

// Flat gives a Print or an image as an image of 8 bits.
func Flat(v any) image.Image {
	if p, ok := v.(*Print); ok {
		return p.NRGBA()
	}
	return v.(image.Image)
}
