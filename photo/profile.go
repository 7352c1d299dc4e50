package photo

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"io"
	"math"
)

// Space is the colour space of a picture's values.
type Space struct {
	Gamma float64       // of its values; 0: sRGB's own curve
	M     [3][3]float64 // from its linear channels to linear sRGB
	Read  bool          // false: it has a profile that is none of three primaries; sRGB is assumed
}

// fromD50 takes CIE XYZ about the D50 white of ICC profiles to linear sRGB (ICC.1:2022 with the
// Bradford adaptation; constants from memory, held by TestProfile to sRGB's own primaries).
var fromD50 = [3][3]float64{{3.1338561, -1.6168667, -0.4906146}, {-0.9787684, 1.9161415, 0.0334540},
	{0.0719453, -0.2289914, 1.4052427}}

// optional are the primaries of the optional colour space of DCF 2.0 in D50 (from memory): cameras
// that are set to it say 'not sRGB' and often write no profile.
var optional = [3][3]float64{{0.60974, 0.20528, 0.14919}, {0.31111, 0.62567, 0.06322}, {0.01947, 0.06087, 0.74457}}

// SpaceOf is the colour space that a photograph says its values are in; nil: sRGB, or it does not
// say. Check: TestProfile.
func SpaceOf(src []byte, x *Exif) *Space {
	icc := profileOf(src)
	if len(icc) < 132 {
		if x.Wide {
			return space(optional, 2.2)
		}
		return nil
	}
	var m [3][3]float64
	gamma := -1.0
	n := min(int(binary.BigEndian.Uint32(icc[128:])), 200)
	found := 0
	for i := range n {
		e := 132 + 12*i
		if e+12 > len(icc) {
			break
		}
		at, size := uint64(binary.BigEndian.Uint32(icc[e+4:])), uint64(binary.BigEndian.Uint32(icc[e+8:]))
		if at+size > uint64(len(icc)) || size < 12 {
			continue
		}
		tag := icc[at : at+size]
		switch name := string(icc[e : e+4]); name {
		case "rXYZ", "gXYZ", "bXYZ":
			if len(tag) < 20 {
				continue
			}
			k := map[byte]int{'r': 0, 'g': 1, 'b': 2}[name[0]]
			for c := range 3 {
				m[c][k] = float64(int32(binary.BigEndian.Uint32(tag[8+4*c:]))) / 65536
			}
			found++
		case "gTRC":
			gamma = curve(tag)
		}
	}
	if found != 3 || gamma < 0 || string(icc[16:20]) != "RGB " {
		return &Space{M: [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}}
	}
	return space(m, gamma)
}

// space is that of primaries in D50; nil where it is sRGB.
func space(m [3][3]float64, gamma float64) *Space {
	s := &Space{Gamma: gamma, Read: true}
	far := math.Abs(gamma)
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				s.M[i][j] += fromD50[i][k] * m[k][j]
			}
			far = max(far, math.Abs(s.M[i][j]-map[bool]float64{true: 1}[i == j]))
		}
	}
	if far < 0.01 {
		return nil
	}
	return s
}

// curve is the exponent of a tone curve by its middle, 0 where that is sRGB's; -1: it cannot be
// read.
func curve(tag []byte) float64 {
	v := -1.0
	fixed := func(i int) float64 {
		if 12+4*i+4 > len(tag) {
			return 0
		}
		return float64(int32(binary.BigEndian.Uint32(tag[12+4*i:]))) / 65536
	}
	n := int(binary.BigEndian.Uint32(tag[8:]))
	switch string(tag[:4]) {
	case "curv":
		switch {
		case n == 0:
			return 1
		case n == 1 && len(tag) >= 14:
			return float64(binary.BigEndian.Uint16(tag[12:])) / 256
		case n > 1 && 12+2*n <= len(tag):
			v = float64(binary.BigEndian.Uint16(tag[12+2*(n/2):])) / 65535
		}
	case "para": // ICC.1, 10.18: types 0 to 4 are a power from the break on
		g, a, b := fixed(0), 1.0, 0.0
		if tag[8]|tag[9] != 0 || n>>16 != 0 {
			if a, b = fixed(1), fixed(2); n>>16 == 0 {
				a, b = 1, 0
			}
		}
		v = math.Pow(max(0, a*0.5+b), g)
	}
	switch {
	case !(v > 0 && v < 1):
		return -1
	case math.Abs(v-Linear(127.5)) < 0.01:
		return 0
	}
	return math.Log(v) / math.Log(0.5)
}

// mostProfile is the largest profile that is unpacked, bytes.
const mostProfile = 4 << 20

// profileOf finds an ICC profile in a JPEG (its parts in order), a PNG or a TIFF.
func profileOf(b []byte) (out []byte) {
	switch {
	case bytes.HasPrefix(b, []byte{0xFF, 0xD8}):
		for at := 2; at+4 <= len(b) && b[at] == 0xFF && len(out) < mostProfile; {
			n := int(binary.BigEndian.Uint16(b[at+2:]))
			if b[at+1] == 0xDA || n < 2 || at+2+n > len(b) {
				break
			}
			if seg := b[at+4 : at+2+n]; b[at+1] == 0xE2 && len(seg) > 14 && string(seg[:12]) == "ICC_PROFILE\x00" {
				out = append(out, seg[14:]...)
			}
			at += 2 + n
		}
	case bytes.HasPrefix(b, pngHead):
		c := pngChunk(b, "iCCP")
		if k := bytes.IndexByte(c, 0); k >= 0 && k+2 <= len(c) {
			if z, err := zlib.NewReader(bytes.NewReader(c[k+2:])); err == nil {
				out, _ = io.ReadAll(io.LimitReader(z, mostProfile))
			}
		}
	case likeTIFF(b):
		t := newTIFF(b)
		at := uint64(t.o.Uint32(b[4:]))
		if at+2 > uint64(len(b)) {
			return nil
		}
		for i := range uint64(t.o.Uint16(b[at:])) {
			e := at + 2 + 12*i
			if e+12 > uint64(len(b)) {
				return nil
			}
			n, from := uint64(t.o.Uint32(b[e+4:])), uint64(t.o.Uint32(b[e+8:]))
			if t.o.Uint16(b[e:]) == tagProfile && n <= mostProfile && from+n <= uint64(len(b)) {
				return b[from : from+n]
			}
		}
	}
	return out
}
