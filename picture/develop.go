package picture

import (
	"image"
	"image/color"
	"math"

	"halfstop/spectrum"
	"halfstop/trace"
)

// Mix is how the layers of a film are added up.
type Mix struct {
	Folds  []spectrum.Fold // of each layer
	Weight []float64       // of each layer: setting × (shutter time for continuous light, 1 for flash)
	// Exposure turns cd·s/m² into the linear scale on which mid-grey is 0.18: 0.18·q·S/(10·N²).
	Exposure float64
	White    spectrum.XYZ // the colour that comes out neutral, Y = 1
}

// Linear mixes a film to XYZ on the scale where mid-grey has Y = 0.18, under the camera's white.
func Linear(f *trace.Film, m *Mix) []spectrum.XYZ {
	out := make([]spectrum.XYZ, f.W*f.H)
	for l := range f.Layers {
		k := m.Weight[l] * m.Exposure
		if k == 0 {
			continue
		}
		for i := range out {
			t := f.At(l, i%f.W, i/f.W)
			c := m.Folds[l].Apply(&t)
			out[i].X += c[0] * k
			out[i].Y += c[1] * k
			out[i].Z += c[2] * k
		}
	}
	return out
}

// Tone is the plain tone curve: straight to 0.5 (1.5 stops over mid-grey), then a shoulder that reaches white at 78/10 · 0.18 =
// 1.404, where the sensor clips (check A4.6): y = 1 − (1−0.5)·((w−x)/(w−0.5))^p, with p chosen so that the slope is 1 at the join.
func Tone(x float64) float64 {
	const join, white = 0.5, 1.404
	switch {
	case !(x > 0):
		return 0
	case x <= join:
		return x
	case x >= white:
		return 1
	}
	const p = (white - join) / (1 - join)
	return 1 - (1-join)*math.Pow((white-x)/(white-join), p)
}

// Develop renders linear XYZ to an sRGB picture: white balance by CAT16 to D65, tone curve on luminance so that hue stays, then
// the gamut by package spectrum's hue-keeping map.
func Develop(px []spectrum.XYZ, w, h int, white spectrum.XYZ, d *spectrum.Display) *image.NRGBA {
	adapt := spectrum.CAT16(white, d.XYZ([3]float64{1, 1, 1}))
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i, p := range px {
		r, g, b := pixel(p, adapt, d)
		img.SetNRGBA(i%w, i/w, color.NRGBA{r, g, b, 255})
	}
	return img
}

func pixel(p spectrum.XYZ, adapt spectrum.Adaptation, d *spectrum.Display) (r, g, b uint8) {
	c := adapt.XYZ(p)
	y := c.Y
	if !(y > 0) {
		return 0, 0, 0
	}
	k := Tone(y) / y
	l := d.Map(spectrum.XYZ{X: c.X * k, Y: c.Y * k, Z: c.Z * k})
	q := func(v float64) uint8 { return uint8(min(255, max(0, spectrum.Encode(v)*255+0.5))) }
	return q(l[0]), q(l[1]), q(l[2])
}
