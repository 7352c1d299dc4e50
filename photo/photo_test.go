package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"testing"
)

// tagged builds a JPEG head with EXIF data: the layout of TIFF 6.0.
func tagged(o binary.ByteOrder, mark string) []byte {
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, o, v) }
	b.WriteString(mark)
	put(uint16(42))
	put(uint32(8))
	put(uint16(2)) // first directory: orientation, pointer to the EXIF directory at 38
	put([]uint16{tagOrientation, 3})
	put(uint32(1))
	put([]uint16{6, 0})
	put([]uint16{tagExifIFD, 4})
	put(uint32(1))
	put(uint32(38))
	put(uint32(0))
	put(uint16(4)) // at 38: four entries end at 38+2+48+4 = 92
	for i, tag := range []uint16{tagExposure, tagFNumber, tagBias} {
		put([]uint16{tag, []uint16{5, 5, 10}[i]})
		put(uint32(1))
		put(uint32(92 + 8*i))
	}
	put([]uint16{tagISO, 3})
	put(uint32(1))
	put([]uint16{800, 0})
	put(uint32(0))
	put([]uint32{1, 60, 28, 10})
	put([]int32{-2, 3})
	t := b.Bytes()
	out := []byte{0xFF, 0xD8, 0xFF, 0xE1}
	out = binary.BigEndian.AppendUint16(out, uint16(len(t)+8))
	out = append(out, "Exif\x00\x00"...)
	return append(append(out, t...), 0xFF, 0xD9)
}

func TestExif(t *testing.T) {
	for _, b := range [][]byte{tagged(binary.LittleEndian, "II"), tagged(binary.BigEndian, "MM")} {
		x, err := ReadExif(b)
		if err != nil {
			t.Fatal(err)
		}
		if x.Shutter != 1.0/60 || x.FNumber != 2.8 || x.ISO != 800 || math.Abs(x.Bias+2.0/3) > 1e-12 ||
			x.Orientation != 6 || !x.Complete() {
			t.Errorf("%+v", x)
		}
		for n := range b {
			if x, err := ReadExif(b[:n]); err == nil && x.Complete() && n < len(b)-2 {
				t.Fatalf("complete from %d of %d bytes", n, len(b))
			}
		}
	}
	if _, err := ReadExif([]byte("\x89PNG")); err != ErrNoExif {
		t.Error(err)
	}
	if x := (&Exif{ISO: 100}); x.Missing() != "aperture, shutter time" {
		t.Error(x.Missing())
	}
}

// TestLuminance: a spot reading of f/2.8, 1/60 s at ISO 800 lands on mid-grey less what K 12.5 and
// q 0.65 leave between them: log2(12.5·0.65/10) = −0.30 st (ISO 2720, ISO 12232). So mid-grey
// there is a luminance of 10·N²/(q S t).
func TestLuminance(t *testing.T) {
	x := &Exif{FNumber: 2.8, Shutter: 1.0 / 60, ISO: 800}
	l, sd := Luminance(x, midGrey)
	if want := 10 * 2.8 * 2.8 * 60 / (0.65 * 800); math.Abs(l-want) > 1e-9 || sd != jpegError {
		t.Errorf("%g cd/m² ± %g st, want %g", l, sd, want)
	}
	spot := 12.5 * 2.8 * 2.8 * 60 / 800 // what a reflected meter of K 12.5 calls f/2.8
	if off := math.Log2(spot / l); math.Abs(off-math.Log2(12.5*0.65/10)) > 1e-9 {
		t.Errorf("%g st between meter and mid-grey", off)
	}
	if _, sd := Luminance(x, 0.99); sd != clipError {
		t.Error("a clipped spot is called sure")
	}
	if r, _ := Reflectance(0.36, 0.18, 0.18); math.Abs(r-0.36) > 1e-12 {
		t.Errorf("reflectance %g", r)
	}
}

func TestUV(t *testing.T) {
	// Equal channels are the picture's white: D65 (0.1978, 0.4683), CIE 15.
	u, v, ok := Mean{RGB: [3]float64{0.5, 0.5, 0.5}}.UV()
	if !ok || math.Abs(u-0.1978) > 2e-4 || math.Abs(v-0.4683) > 2e-4 {
		t.Errorf("%.4f %.4f", u, v)
	}
}

func FuzzExif(f *testing.F) {
	f.Add(tagged(binary.LittleEndian, "II"))
	f.Add(tagged(binary.BigEndian, "MM"))
	f.Fuzz(func(t *testing.T, b []byte) {
		if x, err := ReadExif(b); err == nil && (math.IsNaN(x.FNumber) || math.IsInf(x.Shutter, 0)) {
			t.Fatalf("%+v", x)
		}
	})
}

// ExampleLuminance reads a spot at mid-grey.
func ExampleLuminance() {
	x := &Exif{FNumber: 4, Shutter: 1.0 / 60, ISO: 400}
	l, sd := Luminance(x, Linear(118))
	fmt.Printf("%.0f cd/m², ± %.1f st\n", l, sd)
	// Output: 37 cd/m², ± 0.6 st
}
