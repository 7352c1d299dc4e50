package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"halfstop/spectrum"
)

// Range is where the sensor ends, in stops to mid-grey.
type Range struct{ Floor, Clip float64 }

// Levels gives the luminance of each pixel in stops to mid-grey, blurred by a binomial of about 2
// pixels (of light, not of stops) so that grain does not fray the borders; −Inf for black.
func Levels(px []spectrum.XYZ, w, h int) []float64 {
	out := make([]float64, w*h)
	for i, t := range px {
		if t.Y > 0 {
			out[i] = t.Y
		}
	}
	for range 2 {
		smear(out, w, h, 1, w)
		smear(out, h, w, w, 1)
	}
	for i, v := range out {
		out[i] = math.Log2(v / MidGrey)
	}
	return out
}

// smear runs the binomial 1 4 6 4 1 along one way.
func smear(a []float64, n, lines, step, jump int) {
	line := make([]float64, n)
	k := [5]float64{1, 4, 6, 4, 1}
	for l := range lines {
		for i := range n {
			line[i] = a[l*jump+i*step]
		}
		for i := range n {
			s := 0.0
			for d := -2; d <= 2; d++ {
				s += k[d+2] * line[min(n-1, max(0, i+d))]
			}
			a[l*jump+i*step] = s / 16
		}
	}
}

// band says which whole stop a level belongs to: the nearest; clip and floor by the sensor's range.
func band(level float64, r Range) (stop int, clip, floor bool) {
	switch {
	case !(level > r.Floor):
		return int(math.Round(max(-20, r.Floor))), false, true
	case level >= r.Clip:
		return int(math.Ceil(r.Clip)), true, false
	}
	return int(math.Round(level)), false, false
}

// wedgeTone is the grey that the picture gives a stop.
func wedgeTone(stop int) uint8 {
	return byteOf(float32(spectrum.Encode(Tone(MidGrey * math.Exp2(float64(stop))))))
}

// mark paints one pixel of a band: its flat tone; clip striped, floor dotted.
func mark(x, y, stop int, clip, floor bool) color.NRGBA {
	switch {
	case clip:
		if (x+y)%8 < 3 {
			return color.NRGBA{70, 70, 70, 255}
		}
		return color.NRGBA{255, 255, 255, 255}
	case floor:
		if x%6 == 0 && y%6 == 0 || x%6 == 3 && y%6 == 3 {
			return color.NRGBA{150, 150, 150, 255}
		}
		return color.NRGBA{0, 0, 0, 255}
	}
	g := wedgeTone(stop)
	return color.NRGBA{g, g, g, 255}
}

// Stops draws levels as one flat tone a whole stop (not by hue), where the sensor clips striped and
// under its noise floor dotted, with a step wedge under it as the key. Check: TestStopsBands.
func Stops(px []spectrum.XYZ, w, h int, r Range) *image.NRGBA {
	key := max(28, h/14)
	img := image.NewNRGBA(image.Rect(0, 0, w, h+key))
	lv := Levels(px, w, h)
	for i, v := range lv {
		s, c, f := band(v, r)
		img.SetNRGBA(i%w, i/w, mark(i%w, i/w, s, c, f))
	}
	lo, hi := int(math.Round(max(-12, r.Floor))), int(math.Ceil(r.Clip))
	n := hi - lo + 1
	size := min(float64(key)*0.42, float64(w)/float64(n)*0.42)
	for k := range n {
		s := lo + k
		x0, x1 := k*w/n, (k+1)*w/n
		for y := h; y < h+key; y++ {
			for x := x0; x < x1; x++ {
				img.SetNRGBA(x, y, mark(x, y, s, s == hi, s == lo))
			}
		}
		ink := color.Gray{255}
		if wedgeTone(s) > 110 {
			ink = color.Gray{0}
		}
		word := fmt.Sprintf("%+d", s)
		switch s {
		case 0:
			word = "0"
		case lo:
			word = "floor"
		case hi:
			word = "clip"
		}
		back := image.NewUniform(color.Gray{wedgeTone(s)})
		tw := WordWidth(word, size)
		at := image.Pt((x0+x1-tw)/2, h+key/2+int(size*0.36))
		if s == lo || s == hi {
			draw.Draw(img, image.Rect(at.X-2, at.Y-int(size), at.X+tw+2, at.Y+int(size*0.35)), back, image.Point{},
				draw.Src)
		}
		Words(img, at.X, at.Y, word, size, ink)
	}
	return img
}

// Difference draws by how many stops b is over a: grey for the same, lighter and darker in steps of
// half a stop up to three, orange over and blue under, with a key. a and b are the same size.
func Difference(a, b []spectrum.XYZ, w, h int) *image.NRGBA {
	key := max(28, h/14)
	img := image.NewNRGBA(image.Rect(0, 0, w, h+key))
	la, lb := Levels(a, w, h), Levels(b, w, h)
	for i := range la {
		d := lb[i] - la[i]
		if math.IsNaN(d) {
			d = 0
		}
		img.SetNRGBA(i%w, i/w, differenceTone(d))
	}
	const n = 13
	size := min(float64(key)*0.42, float64(w)/n*0.42)
	for k := range n {
		d := float64(k-6) / 2
		x0, x1 := k*w/n, (k+1)*w/n
		draw.Draw(img, image.Rect(x0, h, x1, h+key), image.NewUniform(differenceTone(d)), image.Point{}, draw.Src)
		word := fmt.Sprintf("%+.1f", d)
		Words(img, (x0+x1-WordWidth(word, size))/2, h+key/2+int(size*0.36), word, size, color.Gray{0})
	}
	return img
}

func differenceTone(d float64) color.NRGBA {
	d = max(-3, min(3, math.Round(d*2)/2)) / 3
	grey := [3]float64{175, 175, 175}
	to := [3]float64{235, 130, 30}
	if d < 0 {
		to = [3]float64{60, 120, 220}
	}
	var c [3]uint8
	for i := range c {
		c[i] = uint8(grey[i] + math.Abs(d)*(to[i]-grey[i]))
	}
	return color.NRGBA{c[0], c[1], c[2], 255}
}
