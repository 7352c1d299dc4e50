package photo

import (
	"bytes"
	"image/jpeg"
)

// Tags of pictures inside a container made like TIFF (TIFF 6.0, TIFF/EP ISO 12234-2, DNG).
const (
	tagCompression  = 0x0103
	tagStripOffsets = 0x0111
	tagStripBytes   = 0x0117
	tagSubIFDs      = 0x014A
	tagJPEGAt       = 0x0201
	tagJPEGBytes    = 0x0202
)

// Preview gives the largest JPEG picture inside a raw container that is made like TIFF, which most
// are. It shares memory with b; nil where there is none. The picture has been developed by the
// camera, so levels read from it are as uncertain as those of any JPEG. Check: TestPreview,
// FuzzPreview.
func Preview(b []byte) []byte {
	if !likeTIFF(b) {
		return nil
	}
	t := newTIFF(b)
	todo := []uint32{t.o.Uint32(b[4:])}
	var best []byte
	for len(todo) > 0 && len(t.seen) < 32 {
		at := todo[0]
		todo = todo[1:]
		if at == 0 || t.seen[at] || uint64(at)+2 > uint64(len(b)) {
			continue
		}
		t.seen[at] = true
		n := int(t.o.Uint16(b[at:]))
		var from, size, strip, stripSize, packed uint64
		for i := range n {
			e := uint64(at) + 2 + 12*uint64(i)
			if e+12 > uint64(len(b)) {
				break
			}
			f := b[e : e+12]
			v, ok := t.number(t.o.Uint16(f[2:]), f)
			count := t.o.Uint32(f[4:])
			switch tag := t.o.Uint16(f); {
			case tag == tagSubIFDs && count > 1 && count < 32:
				list := uint64(t.o.Uint32(f[8:]))
				for k := range uint64(count) {
					if list+4*k+4 <= uint64(len(b)) {
						todo = append(todo, t.o.Uint32(b[list+4*k:]))
					}
				}
			case tag == tagSubIFDs:
				todo = append(todo, t.o.Uint32(f[8:]))
			case !ok || count != 1 || v < 0:
			case tag == tagJPEGAt:
				from = uint64(v)
			case tag == tagJPEGBytes:
				size = uint64(v)
			case tag == tagStripOffsets:
				strip = uint64(v)
			case tag == tagStripBytes:
				stripSize = uint64(v)
			case tag == tagCompression:
				packed = uint64(v)
			}
		}
		if size == 0 && (packed == 6 || packed == 7) {
			from, size = strip, stripSize
		}
		if size > uint64(len(best)) && from < uint64(len(b)) && size <= uint64(len(b))-from &&
			bytes.HasPrefix(b[from:], []byte{0xFF, 0xD8, 0xFF}) && !lossless(b[from:from+size]) {
			best = b[from : from+size]
		}
		if next := uint64(at) + 2 + 12*uint64(n); next+4 <= uint64(len(b)) {
			todo = append(todo, t.o.Uint32(b[next:]))
		}
	}
	return best
}

// leastEmbedded is the least longer side of a picture that is taken out of a file of unknown
// layout: less is a thumbnail.
const leastEmbedded = 640

// Embedded gives the largest JPEG picture that lies anywhere in a file, as raw containers of other
// layouts keep one; nil where there is none larger than a thumbnail.
func Embedded(b []byte) (best []byte) {
	most := 0
	for at, tries := 0, 0; tries < 64; tries++ {
		k := bytes.Index(b[at:], []byte{0xFF, 0xD8, 0xFF})
		if k < 0 {
			break
		}
		at += k
		c, err := jpeg.DecodeConfig(bytes.NewReader(b[at:]))
		if err == nil && max(c.Width, c.Height) >= leastEmbedded && c.Width*c.Height > most && !lossless(b[at:]) {
			most, best = c.Width*c.Height, b[at:]
		}
		at += 3
	}
	return best
}

// lossless reports whether a JPEG's frame is of the lossless kind (SOF3, ITU-T T.81), as the raw
// samples themselves often are.
func lossless(b []byte) bool {
	for at := 2; at+4 <= len(b) && b[at] == 0xFF; {
		switch kind := b[at+1]; {
		case kind == 0xC3:
			return true
		case kind >= 0xC0 && kind <= 0xCF && kind != 0xC4 && kind != 0xC8 && kind != 0xCC, kind == 0xDA:
			return false
		}
		at += 2 + int(b[at+2])<<8 + int(b[at+3])
	}
	return false
}
