package breakdown

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/jpeg"
	"math"
	"slices"

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
