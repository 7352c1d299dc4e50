package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"

	"halfstop/spectrum"
)

// PNG writes an 8-bit PNG with the display's profile (iCCP) and its code points (cICP, ITU-T
// H.273). Check: TestPNGCarriesProfile.
func PNG(img image.Image, d *spectrum.Display) ([]byte, error) {
	var buf bytes.Buffer
	if err := png.Encode(&buf, img); err != nil {
		return nil, err
	}
	src := buf.Bytes()
	const afterHeader = 8 + 25 // signature, IHDR
	var z bytes.Buffer
	w := zlib.NewWriter(&z)
	w.Write(Profile(d))
	w.Close()
	out := append([]byte{}, src[:afterHeader]...)
	primaries := byte(1) // BT.709
	if d == spectrum.DisplayP3 {
		primaries = 12
	}
	out = appendChunk(out, "cICP", []byte{primaries, 13, 0, 1}) // 13: the sRGB curve
	out = appendChunk(out, "iCCP", append([]byte(d.Name+"\x00\x00"), z.Bytes()...))
	return append(out, src[afterHeader:]...), nil
}

func appendChunk(out []byte, kind string, data []byte) []byte {
	out = binary.BigEndian.AppendUint32(out, uint32(len(data)))
	at := len(out)
	out = append(append(out, kind...), data...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[at:]))
}

// JPEG writes a JPEG with the display's profile (ICC.1:2010, annex B.4). quality 1 to 100.
func JPEG(img image.Image, d *spectrum.Display, quality int) ([]byte, error) {
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, img, &jpeg.Options{Quality: quality}); err != nil {
		return nil, err
	}
	icc := append([]byte("ICC_PROFILE\x00\x01\x01"), Profile(d)...)
	out := append([]byte{}, buf.Bytes()[:2]...)
	out = append(out, 0xff, 0xe2)
	out = binary.BigEndian.AppendUint16(out, uint16(len(icc)+2))
	out = append(out, icc...)
	return append(out, buf.Bytes()[2:]...), nil
}

// TIFF writes a 16-bit RGB TIFF 6.0, deflate with horizontal differencing, with the display's
// profile (tag 34675).
func TIFF(img *image.NRGBA64, d *spectrum.Display) ([]byte, error) {
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	if w <= 0 || h <= 0 {
		return nil, fmt.Errorf("a picture of %d × %d has nothing in it", w, h)
	}
	le := binary.LittleEndian
	row := make([]byte, 6*w)
	var z bytes.Buffer
	zw := zlib.NewWriter(&z)
	for y := range h {
		var last [3]uint16
		for x := range w {
			c := img.NRGBA64At(img.Rect.Min.X+x, img.Rect.Min.Y+y)
			for b, v := range [3]uint16{c.R, c.G, c.B} {
				le.PutUint16(row[6*x+2*b:], v-last[b])
				last[b] = v
			}
		}
		zw.Write(row)
	}
	zw.Close()
	icc := Profile(d)
	out := []byte("II*\x00\x00\x00\x00\x00")
	place := func(b []byte) uint32 {
		for len(out)%2 != 0 {
			out = append(out, 0)
		}
		at := uint32(len(out))
		out = append(out, b...)
		return at
	}
	strip := place(z.Bytes())
	bits := place([]byte{16, 0, 16, 0, 16, 0})
	res := place([]byte{72, 0, 0, 0, 1, 0, 0, 0})
	prof := place(icc)
	for len(out)%2 != 0 {
		out = append(out, 0)
	}
	le.PutUint32(out[4:], uint32(len(out)))
	const short, long, ratio, undefined = 3, 4, 5, 7
	fields := [][4]uint32{{256, long, 1, uint32(w)}, {257, long, 1, uint32(h)}, {258, short, 3, bits},
		{259, short, 1, 8}, {262, short, 1, 2},
		{273, long, 1, strip}, {274, short, 1, 1}, {277, short, 1, 3}, {278, long, 1, uint32(h)},
		{279, long, 1, uint32(z.Len())},
		{282, ratio, 1, res}, {283, ratio, 1, res}, {284, short, 1, 1}, {296, short, 1, 2}, {317, short, 1, 2},
		{34675, undefined, uint32(len(icc)), prof}}
	out = le.AppendUint16(out, uint16(len(fields)))
	for _, f := range fields {
		out = le.AppendUint16(out, uint16(f[0]))
		out = le.AppendUint16(out, uint16(f[1]))
		out = le.AppendUint32(out, f[2])
		out = le.AppendUint32(out, f[3])
	}
	return le.AppendUint32(out, 0), nil
}
