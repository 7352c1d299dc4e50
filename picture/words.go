package picture

import (
	"image"
	"image/color"
	"image/draw"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

var typeface = sync.OnceValue(func() *opentype.Font {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		panic(err) // built in
	}
	return f
})

func faceOf(size float64) font.Face {
	f, err := opentype.NewFace(typeface(), &opentype.FaceOptions{Size: max(4, size), DPI: 72,
		Hinting: font.HintingFull})
	if err != nil {
		panic(err) // built in
	}
	return f
}

// Words letters s with its left end on the base line at x, y; size is the height of the em in
// pixels.
func Words(dst draw.Image, x, y int, s string, size float64, ink color.Color) {
	d := font.Drawer{Dst: dst, Src: image.NewUniform(ink), Face: faceOf(size), Dot: fixed.P(x, y)}
	d.DrawString(s)
}

// WordWidth is how many pixels s takes.
func WordWidth(s string, size float64) int { return font.MeasureString(faceOf(size), s).Ceil() }
