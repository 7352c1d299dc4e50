package breakdown

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/jpeg"
	"math"
	"slices"

	"halfstop/photo"
	"halfstop/picture"
)

// encoded is a layer as a picture: the cube root of its light over its scale, which is that of all
// but one in two thousand of its numbers, and never over 16 times the clip.
func encoded(px [][3]float32, w, h int) (image.Image, float64) {
	all := make([]float32, 0, len(px))
	for _, c := range px {
		all = append(all, max(c[0], c[1], c[2]))
	}
	slices.Sort(all)
	scale := min(float64(all[len(all)-1-len(all)/2000]), 16*picture.Clipped)
	if !(scale > 1e-6) {
		scale = 1e-6
	}
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i, c := range px {
		for b := range 3 {
			img.Pix[4*i+b] = uint8(255*math.Cbrt(min(1, float64(c[b])/scale)) + 0.5)
		}
		img.Pix[4*i+3] = 255
	}
	return img, scale
}

// dataURL is a picture as a JPEG in a link: pixels only, nothing else is written.
func dataURL(img image.Image, quality int) string {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		return ""
	}
	return "data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(b.Bytes())
}

// upright decodes a photograph and turns it as its EXIF says.
func upright(src []byte) (image.Image, error) {
	img, _, err := image.Decode(bytes.NewReader(src))
	if err != nil {
		return nil, err
	}
	turn := 1
	if x, err := photo.ReadExif(src); err == nil {
		turn = x.Orientation
	}
	if turn < 2 || turn > 8 {
		return img, nil
	}
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	if turn >= 5 {
		w, h = h, w
	}
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range b.Dy() {
		for x := range b.Dx() {
			X, Y := x, y
			switch turn {
			case 2:
				X = w - 1 - x
			case 3:
				X, Y = w-1-x, h-1-y
			case 4:
				Y = h - 1 - y
			case 5:
				X, Y = y, x
			case 6:
				X, Y = w-1-y, x
			case 7:
				X, Y = w-1-y, h-1-x
			case 8:
				X, Y = y, h-1-x
			}
			out.Set(X, Y, img.At(b.Min.X+x, b.Min.Y+y))
		}
	}
	return out, nil
}
