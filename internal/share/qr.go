package share

import (
	"bytes"
	"image"
	"image/color"
	"image/png"

	"rsc.io/qr"
)

// QR draws a text as a QR code (ISO/IEC 18004), a PNG with its quiet zone, about so many pixels
// wide.
func QR(text string, width int) ([]byte, error) {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return nil, err
	}
	const quiet = 4 // modules
	n := c.Size + 2*quiet
	scale := max(1, width/n)
	img := image.NewPaletted(image.Rect(0, 0, n*scale, n*scale), color.Palette{color.White, color.Black})
	for y := range n * scale {
		for x := range n * scale {
			if c.Black(x/scale-quiet, y/scale-quiet) {
				img.SetColorIndex(x, y, 1)
			}
		}
	}
	var b bytes.Buffer
	err = png.Encode(&b, img)
	return b.Bytes(), err
}

// QRText draws a text as a QR code for a terminal, two rows of modules a line; dark terminals and
// light ones are both read, since both colours are printed.
func QRText(text string) (string, error) {
	c, err := qr.Encode(text, qr.L)
	if err != nil {
		return "", err
	}
	var b bytes.Buffer
	for y := -2; y < c.Size+2; y += 2 {
		for x := -2; x < c.Size+2; x++ {
			// An upper half block: foreground above, background below. Light modules are blocks.
			switch up, down := c.Black(x, y), c.Black(x, y+1); {
			case !up && !down:
				b.WriteRune('█')
			case !up:
				b.WriteRune('▀')
			case !down:
				b.WriteRune('▄')
			default:
				b.WriteRune(' ')
			}
		}
		b.WriteByte('\n')
	}
	return b.String(), nil
}
