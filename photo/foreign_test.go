package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"image/png"
	"math"
	"strings"
	"testing"
)

// entries builds a TIFF of one directory from tag, type and value.
func entries(list ...[3]uint32) []byte {
	b := binary.LittleEndian.AppendUint32([]byte("II*\x00"), 8)
	b = binary.LittleEndian.AppendUint16(b, uint16(len(list)))
	var data []byte
	at := uint32(8 + 2 + 12*len(list) + 4)
	for _, e := range list {
		b = binary.LittleEndian.AppendUint16(b, uint16(e[0]))
		b = binary.LittleEndian.AppendUint16(b, uint16(e[1]))
		b = binary.LittleEndian.AppendUint32(b, 1)
		if e[1] != 5 && e[1] != 10 {
			b = binary.LittleEndian.AppendUint32(b, e[2])
			continue
		}
		b = binary.LittleEndian.AppendUint32(b, at+uint32(len(data))) // hundredths
		data = binary.LittleEndian.AppendUint32(binary.LittleEndian.AppendUint32(data, e[2]), 100)
	}
	return append(binary.LittleEndian.AppendUint32(b, 0), data...)
}

// TestExifElsewhere: exposure data in a PNG, as APEX values, and a sensitivity that does not
// fit its field (EXIF 2.3: 65535 there, the figure in another tag).
func TestExifElsewhere(t *testing.T) {
	apex := entries([3]uint32{tagISO, 3, 65535}, [3]uint32{tagIndex, 4, 102400}, [3]uint32{tagApexTime, 10, 600},
		[3]uint32{tagApexStop, 5, 400})
	var b bytes.Buffer
	_ = png.Encode(&b, image.NewGray(image.Rect(0, 0, 20, 30)))
	plain := b.Bytes()
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(apex)))
	chunk = append(append(append(chunk, "eXIf"...), apex...), 0, 0, 0, 0)
	for name, src := range map[string][]byte{"TIFF": apex, "PNG": append(append(bytes.Clone(plain[:33]), chunk...),
		plain[33:]...)} {
		x, err := ReadExif(src)
		if err != nil || x.Shutter != 1.0/64 || x.FNumber != 4 || x.ISO != 102400 {
			t.Errorf("%s: %+v %v", name, x, err)
		}
	}
	if x, err := ReadExif(entries([3]uint32{tagISO, 3, 65535})); err != nil || x.ISO != 0 || x.Complete() {
		t.Errorf("a sensitivity that is not said is %g", x.ISO)
	}
	if _, err := ReadExif(plain); err != ErrNoExif {
		t.Error(err)
	}
}

// TestEmbedded: the largest picture in a container of any layout is read, with its exposure data; a
// thumbnail is not taken for it; what is not read is said by its name.
func TestEmbedded(t *testing.T) {
	jpg := func(w, h int) []byte {
		var b bytes.Buffer
		_ = jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, w, h)), nil)
		return b.Bytes()
	}
	large := jpg(800, 600)
	seg := append([]byte("Exif\x00\x00"), entries([3]uint32{tagISO, 3, 400}, [3]uint32{tagFNumber, 5, 280},
		[3]uint32{tagExposure, 5, 1})...)
	head := append([]byte{0xFF, 0xD8, 0xFF, 0xE1, byte(len(seg) >> 8), byte(len(seg) + 2)}, seg...)
	large = append(head, large[2:]...)
	raw := append(append([]byte("A MAKER'S OWN RAW FORMAT"), jpg(160, 120)...), large...)
	img, x, err := Decode(raw)
	if err != nil || img.Bounds().Dx() != 800 || x.ISO != 400 || x.FNumber != 2.8 || x.Shutter != 0.01 {
		t.Errorf("%v %+v", err, x)
	}
	for _, mark := range []string{"IIRO", "IIU\x00", "II*\x00"} {
		b := append(entries([3]uint32{tagISO, 3, 200}, [3]uint32{tagOrientation, 3, 6}), large...)
		copy(b, mark)
		if img, x, err := Decode(b); err != nil || img.Bounds().Dx() != 600 || x.ISO != 400 { // turned upright
			t.Errorf("%q: %v %+v", mark, err, x)
		}
	}
	for head, says := range map[string]string{"\x00\x00\x00\x18ftypheic": "HEIF", "RIFF\x00\x00\x00\x00WEBP": "WebP",
		"A MAKER'S OWN": "raw file"} {
		_, _, err := Decode(append([]byte(head), jpg(160, 120)...))
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", head, err)
		}
	}
}

// icc builds a profile of three primaries (D50) with one exponent.
func icc(m [3][3]float64, gamma float64) []byte {
	b := make([]byte, 128)
	copy(b[16:], "RGB XYZ ")
	b = binary.BigEndian.AppendUint32(b, 4)
	at := uint32(128 + 4 + 4*12)
	for k, name := range []string{"rXYZ", "gXYZ", "bXYZ", "gTRC"} {
		b = append(b, name...)
		b = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(b, at+20*uint32(k)), 20)
	}
	for k := range 3 {
		b = append(b, "XYZ \x00\x00\x00\x00"...)
		for c := range 3 {
			b = binary.BigEndian.AppendUint32(b, uint32(int32(math.Round(m[c][k]*65536))))
		}
	}
	b = append(b, "curv\x00\x00\x00\x00\x00\x00\x00\x01"...)
	b = binary.BigEndian.AppendUint16(b, uint16(math.Round(gamma*256)))
	return append(b, make([]byte, 6)...)
}

// TestProfile: a profile of sRGB's own primaries changes nothing; in a wide space full green is
// where its standard puts it: x 0.265, y 0.690 (SMPTE EG 432-1) and x 0.21, y 0.71 (DCF 2.0), in
// what the page's linear sRGB values say, which are negative there. White stays white.
func TestProfile(t *testing.T) {
	srgb := [3][3]float64{{0.4360747, 0.3850649, 0.1430804}, {0.2225045, 0.7168786, 0.0606169},
		{0.0139322, 0.0971045, 0.7141733}} // ICC's own profile of sRGB
	wide := [3][3]float64{{0.51512, 0.29198, 0.15710}, {0.24120, 0.69225, 0.06657}, {-0.00105, 0.04189, 0.78407}}
	in := func(profile []byte) []byte {
		seg := append([]byte("ICC_PROFILE\x00\x01\x01"), profile...)
		n := len(seg) + 2
		return append(append([]byte{0xFF, 0xD8, 0xFF, 0xE2, byte(n >> 8), byte(n)}, seg...), 0xFF, 0xD9)
	}
	if s := space(srgb, 0); s != nil {
		t.Errorf("sRGB is another space: %+v", s)
	}
	// IEC 61966-2-1
	toXYZ := [3][3]float64{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}
	for name, c := range map[string]struct {
		s    *Space
		x, y float64
	}{
		"profile": {SpaceOf(in(icc(wide, 2.2)), &Exif{}), 0.265, 0.690},
		"said":    {SpaceOf([]byte{0xFF, 0xD8}, &Exif{Wide: true}), 0.21, 0.71},
	} {
		if c.s == nil || !c.s.Read || math.Abs(c.s.Gamma-2.2) > 0.01 {
			t.Fatalf("%s: %+v", name, c.s)
		}
		var xyz [3]float64
		for i := range 3 {
			white := 0.0
			for j := range 3 {
				white += c.s.M[i][j]
				xyz[i] += toXYZ[i][j] * c.s.M[j][1]
			}
			if math.Abs(white-1) > 0.003 {
				t.Errorf("%s: white has %.4f in channel %d", name, white, i)
			}
		}
		sum := xyz[0] + xyz[1] + xyz[2]
		if math.Abs(xyz[0]/sum-c.x) > 0.002 || math.Abs(xyz[1]/sum-c.y) > 0.002 {
			t.Errorf("%s: green at %.4f, %.4f", name, xyz[0]/sum, xyz[1]/sum)
		}
	}
	table := icc(wide, 2.2)
	copy(table[16:], "CMYK")
	if s := SpaceOf(in(table), &Exif{}); s == nil || s.Read {
		t.Errorf("a profile of inks: %+v", s)
	}
	if s := SpaceOf(in(icc(wide, 2.2)[:150]), &Exif{}); s == nil || s.Read {
		t.Errorf("a profile cut short: %+v", s)
	}
}
