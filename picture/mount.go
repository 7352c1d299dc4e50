package picture

import (
	"image"
	"image/color"
	"image/draw"
)

// Shot is a picture with words under it.
type Shot struct {
	Image image.Image
	Words string
}

// Mount puts rows of shots on one neutral sheet, each with its words under it; words too long for
// their picture are cut.
func Mount(rows [][]Shot) *image.NRGBA {
	const gap, size = 12, 13.0
	const line = 22
	w, h := 0, gap
	tall := make([]int, len(rows))
	for i, r := range rows {
		x := gap
		for _, s := range r {
			b := s.Image.Bounds()
			x += b.Dx() + gap
			tall[i] = max(tall[i], b.Dy())
		}
		w = max(w, x)
		h += tall[i] + line + gap
	}
	img := image.NewNRGBA(image.Rect(0, 0, max(1, w), max(1, h)))
	draw.Draw(img, img.Bounds(), image.NewUniform(color.Gray{48}), image.Point{}, draw.Src)
	y := gap
	for i, r := range rows {
		x := gap
		for _, s := range r {
			b := s.Image.Bounds()
			at := image.Rect(x, y, x+b.Dx(), y+b.Dy())
			draw.Draw(img, at, s.Image, b.Min, draw.Src)
			words := []rune(s.Words)
			for len(words) > 0 && WordWidth(string(words), size) > b.Dx() {
				words = words[:len(words)-1]
			}
			Words(img, x, y+b.Dy()+16, string(words), size, color.Gray{205})
			x += b.Dx() + gap
		}
		y += tall[i] + line + gap
	}
	return img
}

// Half gives a picture at half its size, each pixel the mean of four as they stand.
func Half(src image.Image) *image.NRGBA {
	b := src.Bounds()
	w, h := max(1, b.Dx()/2), max(1, b.Dy()/2)
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			var s [3]uint32
			for k := range 4 {
				r, g, bl, _ := src.At(b.Min.X+min(b.Dx()-1, 2*x+k%2), b.Min.Y+min(b.Dy()-1, 2*y+k/2)).RGBA()
				s[0], s[1], s[2] = s[0]+r, s[1]+g, s[2]+bl
			}
			out.SetNRGBA(x, y, color.NRGBA{uint8(s[0] >> 10), uint8(s[1] >> 10), uint8(s[2] >> 10), 255})
		}
	}
	return out
}

// Deep turns any picture into 16 bits.
func Deep(src image.Image) *image.NRGBA64 {
	out := image.NewNRGBA64(src.Bounds())
	draw.Draw(out, out.Bounds(), src, src.Bounds().Min, draw.Src)
	return out
}
