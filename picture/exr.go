package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"math"
	"sort"
	"strings"

	"halfstop/spectrum"
)

// Plate is one named picture of an OpenEXR file: linear r, g, b. An empty name is the file's main
// picture.
type Plate struct {
	Name string
	RGB  [][3]float32
}

// LightPlates mixes each layer by itself at its setting: linear radiance on the scale where
// mid-grey is 0.18, in sRGB (BT.709) primaries with white D65, not white-balanced and not clipped
// (out-of-gamut colours have negative parts). The first plate, unnamed, is their sum.
func LightPlates(layers [][]spectrum.XYZ, names []string) []Plate {
	out := []Plate{{}}
	for l, px := range layers {
		p := Plate{Name: names[l], RGB: make([][3]float32, len(px))}
		if out[0].RGB == nil {
			out[0].RGB = make([][3]float32, len(px))
		}
		for i, t := range px {
			for b, v := range spectrum.SRGB.Linear(t) {
				p.RGB[i][b] = float32(v)
				out[0].RGB[i][b] += float32(v)
			}
		}
		out = append(out, p)
	}
	return out
}

// EXR writes plates into one scanline OpenEXR 2 file: channels R, G, B and NAME.R, NAME.G, NAME.B,
// 32-bit floats, ZIPS, with the chromaticities of sRGB (ITU-R BT.709) in its header. Dots in names
// become spaces, since a dot parts layers. whiteXY, the colour that the camera is balanced to, is
// kept as the attribute 'adoptedNeutral'. Check: TestEXR, and read-back with the format's own
// tools.
func EXR(w, h int, plates []Plate, whiteXY spectrum.XY) ([]byte, error) {
	if w <= 0 || h <= 0 || len(plates) == 0 {
		return nil, fmt.Errorf("a picture of %d × %d with %d layers has nothing in it", w, h, len(plates))
	}
	type channel struct {
		name string
		at   [][3]float32
		part int
	}
	var ch []channel
	long := false
	for _, p := range plates {
		if len(p.RGB) != w*h {
			return nil, fmt.Errorf("layer %q has %d pixels of %d", p.Name, len(p.RGB), w*h)
		}
		pre := ""
		if p.Name != "" {
			pre = strings.Map(func(r rune) rune {
				if r == '.' || r == 0 {
					return ' '
				}
				return r
			}, p.Name) + "."
		}
		for b, c := range [3]string{"R", "G", "B"} {
			name := pre + c
			if len(name) > 255 {
				name = name[:250-len(c)] + "." + c
			}
			long = long || len(name) > 31
			ch = append(ch, channel{name, p.RGB, b})
		}
	}
	sort.SliceStable(ch, func(i, j int) bool { return ch[i].name < ch[j].name })
	for i := 1; i < len(ch); i++ {
		if ch[i].name == ch[i-1].name {
			return nil, fmt.Errorf("two layers have one name: %q", ch[i].name)
		}
	}
	le := binary.LittleEndian
	version := uint32(2)
	if long {
		version |= 0x400
	}
	out := le.AppendUint32(nil, 20000630)
	out = le.AppendUint32(out, version)
	attribute := func(name, kind string, data []byte) {
		out = append(out, name+"\x00"+kind+"\x00"...)
		out = le.AppendUint32(out, uint32(len(data)))
		out = append(out, data...)
	}
	floats := func(v ...float64) (b []byte) {
		for _, x := range v {
			b = le.AppendUint32(b, math.Float32bits(float32(x)))
		}
		return
	}
	ints := func(v ...int) (b []byte) {
		for _, x := range v {
			b = le.AppendUint32(b, uint32(x))
		}
		return
	}
	if whiteXY.Y > 0 {
		attribute("adoptedNeutral", "v2f", floats(whiteXY.X, whiteXY.Y))
	}
	var list []byte
	for _, c := range ch {
		list = append(list, c.name+"\x00"...)
		list = append(list, ints(2, 0, 1, 1)...)
	}
	attribute("channels", "chlist", append(list, 0))
	attribute("chromaticities", "chromaticities", floats(0.64, 0.33, 0.30, 0.60, 0.15, 0.06, 0.3127, 0.3290))
	attribute("comments", "string",
		[]byte("linear radiance of each light at its setting, mid-grey 0.18, not white-balanced"))
	attribute("compression", "compression", []byte{2})
	attribute("dataWindow", "box2i", ints(0, 0, w-1, h-1))
	attribute("displayWindow", "box2i", ints(0, 0, w-1, h-1))
	attribute("lineOrder", "lineOrder", []byte{0})
	attribute("pixelAspectRatio", "float", floats(1))
	attribute("screenWindowCenter", "v2f", floats(0, 0))
	attribute("screenWindowWidth", "float", floats(1))
	out = append(out, 0)
	table := len(out)
	out = append(out, make([]byte, 8*h)...)
	raw, split := make([]byte, 4*w*len(ch)), make([]byte, 4*w*len(ch))
	var z bytes.Buffer
	zw := zlib.NewWriter(&z)
	for y := range h {
		for k, c := range ch {
			for x := range w {
				le.PutUint32(raw[4*(k*w+x):], math.Float32bits(c.at[y*w+x][c.part]))
			}
		}
		data := zips(raw, split, &z, zw)
		le.PutUint64(out[table+8*y:], uint64(len(out)))
		out = le.AppendUint32(out, uint32(y))
		out = le.AppendUint32(out, uint32(len(data)))
		out = append(out, data...)
	}
	return out, nil
}

// zips packs one line as the format's ZIP does: even bytes then odd, differences, deflate; raw
// where that is no shorter.
func zips(raw, split []byte, z *bytes.Buffer, zw *zlib.Writer) []byte {
	half := (len(raw) + 1) / 2
	for i, b := range raw {
		split[i/2+(i%2)*half] = b
	}
	last := split[0]
	for i := 1; i < len(split); i++ {
		b := split[i]
		split[i] = b - last + 128
		last = b
	}
	z.Reset()
	zw.Reset(z)
	zw.Write(split)
	zw.Close()
	if z.Len() >= len(raw) {
		return raw
	}
	return z.Bytes()
}
