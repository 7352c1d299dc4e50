package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"testing"
)

type order interface {
	binary.ByteOrder
	binary.AppendByteOrder
}

// container packs a thumbnail in its first directory, raw samples (a lossless JPEG's head) in a sub
// directory and a large picture in another, as raw files made like TIFF have them.
func container(o order, mark string, small, raw, large []byte) []byte {
	b := []byte(mark + "\x00\x00\x00\x00")
	put := func(data []byte) uint32 {
		at := len(b)
		b = append(b, data...)
		if len(b)%2 == 1 {
			b = append(b, 0)
		}
		return uint32(at)
	}
	dir := func(next uint32, entries ...[3]uint32) uint32 {
		var d []byte
		d = o.AppendUint16(d, uint16(len(entries)))
		for _, e := range entries {
			d = o.AppendUint16(d, uint16(e[0]))
			d = o.AppendUint16(d, 4)
			d = o.AppendUint32(d, e[1])
			d = o.AppendUint32(d, e[2])
		}
		return put(o.AppendUint32(d, next))
	}
	at := put(small)
	atRaw, atLarge := put(raw), put(large)
	one := dir(0, [3]uint32{tagCompression, 1, 7}, [3]uint32{tagStripOffsets, 1, atRaw},
		[3]uint32{tagStripBytes, 1, uint32(len(raw))})
	two := dir(0, [3]uint32{tagCompression, 1, 7}, [3]uint32{tagStripOffsets, 1, atLarge},
		[3]uint32{tagStripBytes, 1, uint32(len(large))})
	var list []byte
	list = o.AppendUint32(o.AppendUint32(list, one), two)
	subs := put(list)
	o.PutUint32(b[4:], dir(0, [3]uint32{tagSubIFDs, 2, subs}, [3]uint32{tagJPEGAt, 1, at},
		[3]uint32{tagJPEGBytes, 1, uint32(len(small))}))
	return b
}

func jpegOf(t testing.TB, side int) []byte {
	t.Helper()
	var b bytes.Buffer
	m := image.NewGray(image.Rect(0, 0, side, side))
	for i := range m.Pix {
		m.Pix[i] = byte(i * 7)
	}
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestPreview: the large picture is found in both byte orders, and not the raw samples, which are
// larger still.
func TestPreview(t *testing.T) {
	small, large := jpegOf(t, 16), jpegOf(t, 200)
	raw := append([]byte{0xFF, 0xD8, 0xFF, 0xC3, 0, 11}, make([]byte, 2*len(large))...)
	for _, o := range []struct {
		order order
		mark  string
	}{{binary.LittleEndian, "II*\x00"}, {binary.BigEndian, "MM\x00*"}} {
		got := Preview(container(o.order, o.mark, small, raw, large))
		if !bytes.Equal(got, large) {
			t.Errorf("%q: %d bytes, want %d (thumbnail %d, raw %d)", o.mark, len(got), len(large), len(small), len(raw))
		}
	}
	if Preview(large) != nil || Preview(nil) != nil {
		t.Error("a JPEG is taken for a container")
	}
}

func FuzzPreview(f *testing.F) {
	f.Add(container(binary.LittleEndian, "II*\x00", jpegOf(f, 8), []byte{0xFF, 0xD8, 0xFF, 0xC3}, jpegOf(f, 16)))
	f.Add([]byte("MM\x00*\x00\x00\x00\x08\xff\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if p := Preview(b); p != nil && len(p) > len(b) {
			t.Fatal("more came out than went in")
		}
	})
}
