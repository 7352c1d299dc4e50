package sheet

import (
	"bytes"
	"image/png"
	"strings"
)

// Format is a file format that a drawing can be written in. A new one is one entry of Formats.
// Check: TestFormats.
type Format struct {
	Name string
	End  string // ending of file names, without the dot
	Says string
	// Write gives the whole drawing, or one page of it (from 1) where Paged. dpi counts for pixels
	// only.
	Write func(d *Drawing, page int, dpi float64) ([]byte, error)
	Paged bool // a file holds one page
}

var formats = []Format{
	{Name: "SVG", End: "svg", Says: "vector", Paged: true, Write: func(d *Drawing, page int, _ float64) ([]byte,
		error) {
		return d.SVG(page), nil
	}},
	{Name: "PDF", End: "pdf", Says: "vector, font embedded", Write: func(d *Drawing, _ int, _ float64) ([]byte,
		error) {
		return d.PDF(), nil
	}},
	{Name: "PNG", End: "png", Says: "pixels", Paged: true,
		Write: func(d *Drawing, page int, dpi float64) ([]byte, error) {
			var b bytes.Buffer
			err := png.Encode(&b, d.PNG(page, dpi))
			return b.Bytes(), err
		}},
}

// Formats lists the formats of drawings.
func Formats() []Format { return formats }

// FormatOf finds the format of a file's ending, without its dot and in any case.
func FormatOf(ending string) (Format, bool) {
	for _, f := range formats {
		if strings.EqualFold(f.End, strings.TrimPrefix(ending, ".")) {
			return f, true
		}
	}
	return Format{}, false
}
