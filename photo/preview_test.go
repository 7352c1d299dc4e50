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

// TestDecode: a JPEG held on its side (EXIF 2.32, Orientation 6) stands upright with its exposure
// data; a raw container gives its largest preview; what is no picture, or cut short, is an error.
func TestDecode(t *testing.T) {
	var wide bytes.Buffer
	m := image.NewGray(image.Rect(0, 0, 60, 40))
	for i := range m.Pix {
		if i%60 < 10 { // a bright edge at the left, which is the top when upright
			m.Pix[i] = 255
		}
	}
	if err := jpeg.Encode(&wide, m, nil); err != nil {
		t.Fatal(err)
	}
	head := tagged(binary.LittleEndian, "II") // with the mark of a file's start and its end
	held := append(append([]byte{}, head[:len(head)-2]...), wide.Bytes()[2:]...)
	img, x, err := Decode(held)
	if err != nil {
		t.Fatal(err)
	}
	if b := img.Bounds(); b.Dx() != 40 || b.Dy() != 60 {
		t.Fatalf("upright it is %d × %d", b.Dx(), b.Dy())
	}
	if top, _, _, _ := img.At(20, 2).RGBA(); top < 0xf000 {
		t.Errorf("the bright edge is not at the top: %x", top)
	}
	if bottom, _, _, _ := img.At(20, 57).RGBA(); bottom > 0x1000 {
		t.Errorf("the bottom is bright: %x", bottom)
	}
	if x.ISO != 800 {
		t.Errorf("ISO %v", x.ISO)
	}
	raw := container(binary.LittleEndian, "II*\x00", jpegOf(t, 16), nil, jpegOf(t, 200))
	if img, _, err = Decode(raw); err != nil || img.Bounds().Dx() != 200 {
		t.Errorf("of a raw container: %v, %v", img, err)
	}
	for name, bad := range map[string][]byte{"nothing": nil, "text": []byte("no picture"), "tiny": jpegOf(t, 8),
		"cut short": held[:len(held)*2/3]} {
		if _, _, err := Decode(bad); err == nil {
			t.Errorf("%s was taken for a picture", name)
		}
	}
}

// TestPackedFirst: where the first directory is the sensor's own data, as large as the preview and
// packed by its maker (compression 34713), the preview is the picture.
func TestPackedFirst(t *testing.T) {
	pic := jpegOf(t, 64)
	o := binary.LittleEndian
	b := []byte("II*\x00\x08\x00\x00\x00")
	entries := [][3]uint32{{0x100, 1, 64}, {0x101, 1, 64}, {tagCompression, 1, 34713}, {tagStripOffsets, 1, 8},
		{tagStripBytes, 1, 64}, {tagJPEGAt, 1, 8 + 2 + 7*12 + 4}, {tagJPEGBytes, 1, uint32(len(pic))}}
	b = o.AppendUint16(b, uint16(len(entries)))
	for _, e := range entries {
		b = o.AppendUint16(b, uint16(e[0]))
		b = o.AppendUint16(b, 4)
		b = o.AppendUint32(o.AppendUint32(b, e[1]), e[2])
	}
	b = append(o.AppendUint32(b, 0), pic...)
	img, _, err := Decode(b)
	if err != nil || img.Bounds().Dx() != 64 {
		t.Fatalf("%v, %v", img, err)
	}
	if _, _, err := Decode(b[:len(b)-40]); err == nil {
		t.Error("a preview that is cut off is taken")
	}
}
