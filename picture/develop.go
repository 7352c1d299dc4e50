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
	EachRow(f.H, func(y int) {
		row := out[y*f.W : (y+1)*f.W]
		for l := range f.Layers {
			k := m.Weight[l] * m.Exposure
			if k == 0 {
				continue
			}
			for x := range row {
				c, veil := f.XYZ(l, y*f.W+x, &m.Folds[l])
				row[x].X += (c[0] + veil[0]) * k
				row[x].Y += (c[1] + veil[1]) * k
				row[x].Z += (c[2] + veil[2]) * k
			}
		}
	})
	return out
}

// MidGrey is the linear level of a mid-tone, and Clipped the level at which the sensor is full:
// 78/10 · 0.18 (ISO 12232; check A4.6).
const (
	MidGrey = 0.18
	Clipped = 1.404
)

// join is where the tone curve leaves the straight line.
const join = 0.5

// Tone is the plain tone curve: straight to 0.5 (1.5 stops over mid-grey), then a shoulder that
// reaches white at 78/10 · 0.18 = 1.404, where the sensor clips (check A4.6): y = 1 −
// (1−0.5)·((w−x)/(w−0.5))^p, with p chosen so that the slope is 1 at the join.
func Tone(x float64) float64 {
	const white = Clipped
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

// bleed is how far, per stop over the clip, a saturated colour pales, and palest the most it does:
// charge and light that spill into the other channels of a sensor. Common practice, no source: a
// neon tube six stops over shows a pale core with a coloured rim.
const bleed, palest = 0.12, 0.8

// Print is a developed picture: display values 0 to 1, encoded with the display's curve, row by row
// from the top left.
type Print struct {
	W, H    int
	RGB     [][3]float32
	Display *spectrum.Display
}

// Render develops linear XYZ for a display. White balance by CAT16 to D65. The tone curve works on
// the larger of luminance and the brightest of the three linear channels, and scales all three
// alike, so hue and saturation stay through the shoulder and a bright saturated lamp is neither
// clipped orange nor turned white; over the clip colours pale by bleed. What the display cannot
// show is brought in along its hue by package spectrum's map. Check: TestRedStaysRed,
// TestGreyFollowsTone.
func Render(px []spectrum.XYZ, w, h int, white spectrum.XYZ, d *spectrum.Display, r Rendering) *Print {
	one := d.XYZ([3]float64{1, 1, 1})
	adapt := spectrum.CAT16(white, one)
	m, tone := matrixOf(adapt, d), gainsOf(r)
	px = r.veiled(px)
	p := &Print{W: w, H: h, RGB: make([][3]float32, w*h), Display: d}
	EachRow(h, func(y int) {
		row := p.RGB[y*w : (y+1)*w]
		for i := range row {
			t := &px[y*w+i]
			red, g, b, level := m.row(0, t), m.row(1, t), m.row(2, t), m.row(3, t)
			n := max(level, red, g, b)
			if !(level > 0) || !(n <= math.MaxFloat64) {
				continue
			}
			k := tone.at(n)
			if n <= Clipped && red >= 0 && g >= 0 && b >= 0 {
				row[i] = [3]float32{encodeCurve.at(red * k), encodeCurve.at(g * k), encodeCurve.at(b * k)}
				continue
			}
			c := adapt.XYZ(*t)
			out := spectrum.XYZ{X: c.X * k, Y: c.Y * k, Z: c.Z * k}
			if n > Clipped {
				s := palest * (1 - math.Exp(-bleed*math.Log2(n/Clipped)/palest))
				out.X += s * (one.X - out.X)
				out.Y += s * (one.Y - out.Y)
				out.Z += s * (one.Z - out.Z)
			}
			for b, v := range d.Map(out) {
				row[i][b] = encodeCurve.at(v)
			}
		}
	})
	return p
}

// NRGBA rounds to 8 bits.
func (p *Print) NRGBA() *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, p.W, p.H))
	EachRow(p.H, func(y int) {
		pix := img.Pix[y*img.Stride:][:4*p.W]
		for i, c := range p.RGB[y*p.W:][:p.W] {
			q := pix[4*i:][:4]
			q[0], q[1], q[2], q[3] = byteOf(c[0]), byteOf(c[1]), byteOf(c[2]), 255
		}
	})
	return img
}

// NRGBA64 rounds to 16 bits.
func (p *Print) NRGBA64() *image.NRGBA64 {
	img := image.NewNRGBA64(image.Rect(0, 0, p.W, p.H))
	q := func(v float32) uint16 { return uint16(min(1, max(0, v))*65535 + 0.5) }
	for i, c := range p.RGB {
		img.SetNRGBA64(i%p.W, i/p.W, color.NRGBA64{R: q(c[0]), G: q(c[1]), B: q(c[2]), A: 65535})
	}
	return img
}

func byteOf(v float32) uint8 { return uint8(min(1, max(0, v))*255 + 0.5) }

// Develop renders linear XYZ to an 8-bit picture.
func Develop(px []spectrum.XYZ, w, h int, white spectrum.XYZ, d *spectrum.Display, r Rendering) *image.NRGBA {
	return Render(px, w, h, white, d, r).NRGBA()
}
