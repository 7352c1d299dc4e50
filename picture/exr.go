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
	return writeEXR(w, h, plates, whiteXY, exrLayout{kind: exrFloat, lines: 1, compression: exrZIPS})
}

// HalfEXR is EXR in 16-bit floats and blocks of 16 lines (ZIP): half the size and less.
// bits, 1 to 10, is how much of each number's mantissa is kept: what is cut off is rounded, so a
// number is within 2^-(bits+1) of itself, and the fewer there are the smaller is the file. A number
// under 2^-12 of its plate's largest is rounded to that step, so that the noise of black takes no
// room; of a largest over 1/2, of 1/2: a lamp in the frame must not take the shadows with it.
// Check: TestHalfEXR, TestHalfShadows.
func HalfEXR(w, h int, plates []Plate, whiteXY spectrum.XY, bits int) ([]byte, error) {
	if bits < 1 || bits > 10 {
		return nil, fmt.Errorf("%d bits of a half float's mantissa cannot be kept: 1 to 10", bits)
	}
	return writeEXR(w, h, plates, whiteXY, exrLayout{kind: exrHalf, lines: 16, compression: exrZIP, bits: bits})
}

// Numbers of the file format: types of pixels, compressions.
const (
	exrHalf  = 1
	exrFloat = 2

	exrNone = 0
	exrZIPS = 2
	exrZIP  = 3
)

// exrLayout is how numbers are written: their type, lines a block, compression, bits kept.
type exrLayout struct{ kind, lines, compression, bits int }

// exrChannel is one channel of a plate: a third of its numbers.
type exrChannel struct {
	name string
	at   [][3]float32
	part int
	step float32 // numbers under it are rounded to it; 0: none are
}

// channelsOf names the channels of plates, in the order of the file; long where a name needs the
// format's long names.
func channelsOf(w, h int, plates []Plate, bits int) (ch []exrChannel, long bool, err error) {
	if w <= 0 || h <= 0 || len(plates) == 0 {
		return nil, false, fmt.Errorf("a picture of %d × %d with %d layers has nothing in it", w, h, len(plates))
	}
	for _, p := range plates {
		if len(p.RGB) != w*h {
			return nil, false, fmt.Errorf("layer %q has %d pixels of %d", p.Name, len(p.RGB), w*h)
		}
		pre := ""
		if p.Name != "" {
			pre = PlateName(p.Name) + "."
		}
		var most float32
		for _, c := range p.RGB {
			most = max(most, c[0], c[1], c[2])
		}
		for b, c := range [3]string{"R", "G", "B"} {
			name := pre + c
			if len(name) > 255 {
				name = name[:250-len(c)] + "." + c
			}
			long = long || len(name) > 31
			ch = append(ch, exrChannel{name, p.RGB, b, stepUnder(most, bits)})
		}
	}
	sort.SliceStable(ch, func(i, j int) bool { return ch[i].name < ch[j].name })
	for i := 1; i < len(ch); i++ {
		if ch[i].name == ch[i-1].name {
			return nil, false, fmt.Errorf("two layers have one name: %q", ch[i].name)
		}
	}
	return ch, long, nil
}

// stepUnder is the power of two 11 to 12 stops under the largest number of a plate, as it will be
// written: so a file that is read and written again is the same. Mid-grey is 0.18, so a step is 10
// stops under it or less.
func stepUnder(most float32, bits int) float32 {
	if bits == 0 || !(most > 0) {
		return 0
	}
	most = min(most, 0.5)
	_, e := math.Frexp(float64(ofHalf(halfOf(most, bits))))
	return float32(math.Ldexp(1, e-12))
}

// PlateName is the name that a plate has in a file: a dot parts layers there, so dots become
// spaces.
func PlateName(name string) string {
	return strings.Map(func(r rune) rune {
		if r == '.' || r == 0 {
			return ' '
		}
		return r
	}, name)
}

// bytes gives a pixel's number as the file has it.
func (l *exrLayout) bytes(b []byte, c *exrChannel, i int) {
	v := c.at[i][c.part]
	if l.kind == exrFloat {
		binary.LittleEndian.PutUint32(b, math.Float32bits(v))
		return
	}
	if v < c.step && v > -c.step {
		v = c.step * float32(math.Round(float64(v/c.step)))
	}
	binary.LittleEndian.PutUint16(b, halfOf(v, l.bits))
}

func writeEXR(w, h int, plates []Plate, whiteXY spectrum.XY, lay exrLayout) ([]byte, error) {
	ch, long, err := channelsOf(w, h, plates, lay.bits)
	if err != nil {
		return nil, err
	}
	le := binary.LittleEndian
	version := uint32(2)
	if long {
		version |= 0x400
	}
	out := le.AppendUint32(nil, exrMagic)
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
		list = append(list, ints(lay.kind, 0, 1, 1)...)
	}
	attribute("channels", "chlist", append(list, 0))
	attribute("chromaticities", "chromaticities", floats(0.64, 0.33, 0.30, 0.60, 0.15, 0.06, 0.3127, 0.3290))
	attribute("comments", "string",
		[]byte("linear radiance of each light at its setting, mid-grey 0.18, not white-balanced"))
	attribute("compression", "compression", []byte{byte(lay.compression)})
	attribute("dataWindow", "box2i", ints(0, 0, w-1, h-1))
	attribute("displayWindow", "box2i", ints(0, 0, w-1, h-1))
	attribute("lineOrder", "lineOrder", []byte{0})
	attribute("pixelAspectRatio", "float", floats(1))
	attribute("screenWindowCenter", "v2f", floats(0, 0))
	attribute("screenWindowWidth", "float", floats(1))
	out = append(out, 0)
	table, blocks := len(out), (h+lay.lines-1)/lay.lines
	out = append(out, make([]byte, 8*blocks)...)
	size := 2 * lay.kind // 2 bytes or 4
	raw, split := make([]byte, size*w*len(ch)*lay.lines), make([]byte, size*w*len(ch)*lay.lines)
	var z bytes.Buffer
	zw, err := zlib.NewWriterLevel(&z, exrEffort(lay))
	if err != nil {
		return nil, err
	}
	for block := range blocks {
		y0, n := block*lay.lines, 0
		for y := y0; y < min(h, y0+lay.lines); y++ {
			for k := range ch {
				for x := range w {
					lay.bytes(raw[n:], &ch[k], y*w+x)
					n += size
				}
			}
		}
		data := zips(raw[:n], split[:n], &z, zw)
		le.PutUint64(out[table+8*block:], uint64(len(out)))
		out = le.AppendUint32(out, uint32(y0))
		out = le.AppendUint32(out, uint32(len(data)))
		out = append(out, data...)
	}
	return out, nil
}

// exrMagic begins every file of the format.
const exrMagic = 20000630

// exrEffort is how hard deflate tries: what is kept for years is packed once.
func exrEffort(l exrLayout) int {
	if l.kind == exrHalf {
		return zlib.BestCompression
	}
	return zlib.DefaultCompression
}

// zips packs a block of lines as the format's ZIP does: even bytes then odd, differences, deflate;
// raw where that is no shorter.
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
