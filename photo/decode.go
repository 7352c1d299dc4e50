package photo

import (
	"bytes"
	"fmt"
	"image"
	_ "image/jpeg" // the formats of photographs
	_ "image/png"
	"path"
	"slices"
	"strings"

	_ "golang.org/x/image/tiff"
)

// endings of names that are taken for photographs: JPEG, TIFF, PNG, and raw containers made like
// TIFF, of which the preview is read.
var endings = []string{".jpg", ".jpeg", ".tif", ".tiff", ".png", ".dng", ".cr2", ".nef", ".arw", ".raf", ".orf",
	".rw2", ".cr3"}

// Named reports whether a file's name is that of a photograph.
func Named(name string) bool { return slices.Contains(endings, strings.ToLower(path.Ext(name))) }

// MostBytes is the largest photograph that is read, bytes; mostPixels are its most pixels.
const MostBytes, mostPixels = 256 << 20, 200e6

// Decode decodes a photograph, or the largest preview in a raw container, turned upright, with its
// exposure data (zero where it has none). The error says that it is none, or not whole.
// Check: TestDecode.
func Decode(src []byte) (img image.Image, x Exif, err error) {
	if e, err := ReadExif(src); err == nil {
		x = *e
	}
	shown := src
	c, _, err := image.DecodeConfig(bytes.NewReader(shown))
	// The first directory of a raw file is often a small picture: the preview is larger.
	p := Preview(src)
	if p != nil {
		if pc, _, perr := image.DecodeConfig(bytes.NewReader(p)); perr == nil && (err != nil ||
			pc.Width*pc.Height > c.Width*c.Height) {
			shown, c, err = p, pc, nil
		}
	}
	if err != nil { // a container of another layout
		if p = Embedded(src); p == nil {
			return nil, x, unread(src, err)
		}
		if c, _, err = image.DecodeConfig(bytes.NewReader(p)); err != nil {
			return nil, x, unread(src, err)
		}
		shown = p
		if e, err := ReadExif(p); err == nil && !x.Complete() {
			e.Orientation = max(e.Orientation, x.Orientation) // the container may say alone how it was held
			x = *e
		}
	}
	if float64(c.Width)*float64(c.Height) > mostPixels || c.Width < 16 || c.Height < 16 {
		return nil, x, fmt.Errorf("a picture of %d × %d is not taken", c.Width, c.Height)
	}
	img, _, err = image.Decode(bytes.NewReader(shown))
	if err != nil && p != nil && len(shown) == len(src) {
		// The first directory is the sensor's own data, as large as the preview, packed by its
		// maker.
		pc, _, perr := image.DecodeConfig(bytes.NewReader(p))
		if perr == nil && float64(pc.Width)*float64(pc.Height) <= mostPixels &&
			min(pc.Width, pc.Height) >= 16 {
			if in, _, perr := image.Decode(bytes.NewReader(p)); perr == nil {
				img, err = in, nil
			}
		}
	}
	if err != nil {
		return nil, x, fmt.Errorf("the picture is not whole: %v", err)
	}
	return upright(img, x.Orientation), x, nil
}

// unread says why a file is no picture, and what would be one.
func unread(src []byte, err error) error {
	kind := "this is no picture that can be read, or it is not whole: " + err.Error()
	head := src[:min(16, len(src))]
	switch {
	case len(head) >= 12 && string(head[4:8]) == "ftyp" && (bytes.HasPrefix(head[8:], []byte("he")) ||
		bytes.HasPrefix(head[8:], []byte("mif1")) || bytes.HasPrefix(head[8:], []byte("avif"))):
		kind = "this is HEIF (HEIC, AVIF), which is not read: let the phone send or take it as JPEG"
	case bytes.HasPrefix(head, []byte("RIFF")):
		kind = "this is WebP, which is not read: write it as JPEG"
	}
	return fmt.Errorf("%s (JPEG, TIFF, PNG and the JPEG inside a raw file are read)", kind)
}

// upright turns a picture as its file says that it was held (EXIF 4.6.4, Orientation).
func upright(img image.Image, o int) image.Image {
	if o < 2 || o > 8 {
		return img
	}
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	if o >= 5 {
		out = image.NewNRGBA(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			u, v := x, y
			switch o {
			case 2:
				u = w - 1 - x
			case 3:
				u, v = w-1-x, h-1-y
			case 4:
				v = h - 1 - y
			case 5:
				u, v = y, x
			case 6:
				u, v = h-1-y, x
			case 7:
				u, v = h-1-y, w-1-x
			case 8:
				u, v = y, w-1-x
			}
			out.Set(u, v, img.At(b.Min.X+x, b.Min.Y+y))
		}
	}
	return out
}
