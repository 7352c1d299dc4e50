package scout

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"sync"

	"halfstop/photo"
	"halfstop/picture"
	"halfstop/spectrum"
)

// mostSide is the longer side of the picture that is kept of a photograph, pixels. A spot is a
// square of 2 % of its width, so 1,600 leave a thousand pixels in it.
const mostSide = 1600

// Photo is a photograph ready to be measured: upright, linear, no larger than it needs to be.
type Photo struct {
	Exif  photo.Exif
	Known bool // it has exposure data at all
	// Trouble is why exposure data that are there cannot be read; Space the colours of its values,
	// nil where they are sRGB's.
	Trouble string
	Space   *photo.Space
	Width   int // of the photograph as it is shown, pixels
	Height  int

	w, h int         // of what is kept
	pix  [][4]uint16 // R, G, B of the scene in units of unit, and the share that is clipped of 65,535
	show *image.NRGBA
}

// unit is one step of what is kept of a scene whose mid-grey is 0.18.
const unit = picture.Clipped / 65535

// standard is the tone curve that a camera's own picture is taken to have: that of this program's
// pictures, which is like cameras' standard ones (common practice, no source). It is undone.
var standard = picture.Standard(0)

// sceneOf is the scene's light for a display's, by its 16-bit value times 65,535.
var sceneOf = sync.OnceValue(func() (t []float32) {
	t = make([]float32, 1<<12+1)
	for i := range t {
		t[i] = float32(standard.Scene(float64(i) / (1 << 12)))
	}
	return t
})

// scene is standard.Scene in straight lines, to 0.1 % from a thousandth of white on.
func scene(t []float32, y float32) float32 {
	u := min(1, max(0, y)) * (1 << 12)
	i := min(int(u), 1<<12-1)
	return t[i] + (t[i+1]-t[i])*(u-float32(i))
}

// Open decodes a photograph (JPEG, TIFF, PNG, the preview in a raw container) and turns it upright.
// The error says what is wrong. Exposure data that cannot be read are as none: Trouble says where.
func Open(src []byte) (*Photo, error) {
	img, x, err := photo.Decode(src)
	if err != nil {
		return nil, err
	}
	b := img.Bounds()
	p := &Photo{Exif: x, Known: x != photo.Exif{}, Width: b.Dx(), Height: b.Dy(), Space: photo.SpaceOf(src, &x)}
	if _, err := photo.ReadExif(src); err != nil && !errors.Is(err, photo.ErrNoExif) {
		p.Trouble = err.Error()
	}
	p.reduce(img)
	return p, nil
}

// linear is photo.Linear of each 16-bit value.
var linear = func() (t [1 << 16]float32) {
	for i := range t {
		t[i] = float32(photo.Linear(float64(i) / 257))
	}
	return t
}()

// clipped is the 16-bit value from which a channel is at its end: 254 of 255.
const clipped = 254 * 257

// reduce keeps means of whole boxes of pixels, in the light of the scene and as they are shown.
func (p *Photo) reduce(img image.Image) {
	k := max(1, (max(p.Width, p.Height)+mostSide-1)/mostSide)
	p.w, p.h = (p.Width+k-1)/k, (p.Height+k-1)/k
	p.pix = make([][4]uint16, p.w*p.h)
	p.show = image.NewNRGBA(image.Rect(0, 0, p.w, p.h))
	b, curve := img.Bounds(), sceneOf()
	linear, to := &linear, func(v [3]float32) [3]float32 { return v }
	if s := p.Space; s != nil {
		to = func(v [3]float32) (out [3]float32) {
			for i := range out {
				for j := range v {
					out[i] += float32(s.M[i][j]) * v[j]
				}
				out[i] = max(0, out[i]) // what sRGB's primaries cannot make is cut
			}
			return out
		}
		if s.Gamma > 0 {
			linear = new([1 << 16]float32)
			for i := range linear {
				linear[i] = float32(math.Pow(float64(i)/65535, s.Gamma))
			}
		}
	}
	row, shown := make([][4]float32, p.w), make([][3]float32, p.w)
	for by := range p.h {
		clear(row)
		clear(shown)
		y1 := min(p.Height, (by+1)*k)
		for y := by * k; y < y1; y++ {
			for x := range p.Width {
				r, g, bl := rgb16(img, b.Min.X+x, b.Min.Y+y)
				o, s, top := &row[x/k], &shown[x/k], linear[max(r, g, bl)]
				s[0] += linear[r]
				s[1] += linear[g]
				s[2] += linear[bl]
				// A tone curve scales the three channels alike, by the highest (picture.Render).
				if gain := scene(curve, top) / max(top, 1e-9); top > 0 {
					o[0] += gain * linear[r]
					o[1] += gain * linear[g]
					o[2] += gain * linear[bl]
				}
				if max(r, g, bl) >= clipped {
					o[3]++
				}
			}
		}
		for bx := range row {
			n := float32((min(p.Width, (bx+1)*k) - bx*k) * (y1 - by*k))
			light, display := to([3]float32(row[bx][:3])), to(shown[bx])
			for c := range 3 {
				p.pix[by*p.w+bx][c] = uint16(min(65535, light[c]/n/unit+0.5))
				v := spectrum.Encode(float64(min(n, display[c]) / n))
				p.show.Pix[by*p.show.Stride+4*bx+c] = byte(math.Round(255 * v))
			}
			p.show.Pix[by*p.show.Stride+4*bx+3] = 255
			p.pix[by*p.w+bx][3] = uint16(row[bx][3]/n*65535 + 0.5)
		}
	}
}

// rgb16 gives a pixel's channels, 0 to 65,535.
func rgb16(img image.Image, x, y int) (r, g, b uint32) {
	switch m := img.(type) {
	case *image.YCbCr:
		i, j := m.YOffset(x, y), m.COffset(x, y)
		cr, cg, cb := color.YCbCrToRGB(m.Y[i], m.Cb[j], m.Cr[j])
		return uint32(cr) * 257, uint32(cg) * 257, uint32(cb) * 257
	case *image.NRGBA:
		i := m.PixOffset(x, y)
		return uint32(m.Pix[i]) * 257, uint32(m.Pix[i+1]) * 257, uint32(m.Pix[i+2]) * 257
	}
	r, g, b, _ = img.At(x, y).RGBA()
	return r, g, b
}

// Mean takes a square of 2 % of the width about a place in per cent from the top left.
func (p *Photo) Mean(px, py float64) photo.Mean {
	r := max(1, p.w/100)
	cx, cy := min(p.w-1, int(px/100*float64(p.w))), min(p.h-1, int(py/100*float64(p.h)))
	return p.box(max(0, cx-r), max(0, cy-r), min(p.w, cx+r+1), min(p.h, cy+r+1))
}

// box is the mean of the pixels from x0, y0 up to and without x1, y1.
func (p *Photo) box(x0, y0, x1, y1 int) (out photo.Mean) {
	for y := y0; y < y1; y++ {
		for _, v := range p.pix[y*p.w+x0 : y*p.w+x1] {
			for c := range out.RGB {
				out.RGB[c] += float64(v[c]) * unit
			}
			out.Clip += float64(v[3]) / 65535
			out.N++
		}
	}
	for c := range out.RGB {
		out.RGB[c] /= float64(max(1, out.N))
	}
	out.Clip /= float64(max(1, out.N))
	return out
}

// JPEG is the picture to look at, its longer side 1,600 pixels at most, without any data but the
// pixels.
func (p *Photo) JPEG() ([]byte, error) {
	var out bytes.Buffer
	err := jpeg.Encode(&out, p.show, &jpeg.Options{Quality: 90})
	return out.Bytes(), err
}
