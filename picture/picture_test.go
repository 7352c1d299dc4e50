package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"testing"

	"golang.org/x/image/tiff"

	"halfstop/spectrum"
)

var d65 = spectrum.SRGB.XYZ([3]float64{1, 1, 1})

func grey(y float64) spectrum.XYZ { return spectrum.XYZ{X: d65.X * y, Y: y, Z: d65.Z * y} }

// A neutral patch gets the value of the tone curve, and mid-grey the sRGB code of 18 %: 118 of 255
// (IEC 61966-2-1).
func TestGreyFollowsTone(t *testing.T) {
	for _, c := range []struct {
		y    float64
		want uint8
	}{{0.18, 118}, {0, 0}, {1.404, 255}, {5, 255}, {0.36, 161}} {
		p := Render([]spectrum.XYZ{grey(c.y)}, 1, 1, d65, spectrum.SRGB, Plain()).NRGBA().NRGBAAt(0, 0)
		for _, v := range []uint8{p.R, p.G, p.B} {
			if math.Abs(float64(v)-float64(c.want)) > 1 { // 1: rounding of the matrices
				t.Errorf("level %g came out %v, want %d", c.y, p, c.want)
			}
		}
	}
	for x, last := 0.0, -1.0; x < 2; x += 0.01 {
		if y := Tone(x); y < last || y > 1 {
			t.Fatalf("the curve turns at %g", x)
		} else {
			last = y
		}
	}
}

// A saturated LED red (620 nm) stays a red, not orange, from under mid-grey to the clip: hue in the
// picture within 12 degrees of the red primary, where clipping each channel by itself gives orange
// only when green is driven up. Over the clip it pales, keeping its hue.
func TestRedStaysRed(t *testing.T) {
	red := spectrum.XY{X: 0.690, Y: 0.308}
	for stop := -3.0; stop <= 8; stop++ {
		p := Render([]spectrum.XYZ{red.XYZ(0.1 * math.Exp2(stop))}, 1, 1, d65, spectrum.SRGB, Plain()).RGB[0]
		if !(p[0] > p[1] && p[0] > p[2]) {
			t.Errorf("at %+g stops red came out %v", stop, p)
		}
		h := math.Atan2(math.Sqrt(3)*float64(p[1]-p[2]), float64(2*p[0]-p[1]-p[2])) * 180 / math.Pi
		if math.Abs(h) > 12 {
			t.Errorf("at %+g stops red turned by %.0f degrees: %v", stop, h, p)
		}
	}
}

// Whatever comes in, what goes out is a picture.
func TestNoNaN(t *testing.T) {
	bad := []spectrum.XYZ{{X: math.NaN(), Y: 1, Z: 1}, {X: math.Inf(1), Y: 1, Z: 1}, {X: -1, Y: -1, Z: -1},
		{X: 1, Y: 1e-300, Z: 1}, {X: 0, Y: 1e300, Z: 0}, {}}
	for _, c := range Render(bad, len(bad), 1, d65, spectrum.DisplayP3, Standard(0)).RGB {
		for _, v := range c {
			if !(v >= 0 && v <= 1) {
				t.Errorf("out came %v", c)
			}
		}
	}
	Stops(bad, len(bad), 1, Range{-8, 3})
}

// profileTags reads a profile's table.
func profileTags(t *testing.T, p []byte) map[string][]byte {
	t.Helper()
	be := binary.BigEndian
	if int(be.Uint32(p)) != len(p) || string(p[36:40]) != "acsp" || string(p[12:24]) != "mntrRGB XYZ " {
		t.Fatal("no display profile")
	}
	out := map[string][]byte{}
	for i := range int(be.Uint32(p[128:])) {
		e := p[132+12*i:]
		at, n := be.Uint32(e[4:]), be.Uint32(e[8:])
		out[string(e[:4])] = p[at : at+n]
	}
	return out
}

// The colorants of sRGB in a D50 profile are published with the standard's own profile: 0.4360
// 0.2225 0.0139, 0.3851 0.7169 0.0971, 0.1431 0.0606 0.7141 (IEC 61966-2-1 as an ICC v4 profile;
// from memory, four places). Tolerance 0.0006: the rounding of the published white points.
func TestProfile(t *testing.T) {
	tags := profileTags(t, Profile(spectrum.SRGB))
	want := map[string][3]float64{"rXYZ": {0.4360, 0.2225, 0.0139}, "gXYZ": {0.3851, 0.7169, 0.0971},
		"bXYZ": {0.1431, 0.0606, 0.7141}}
	var sum [3]float64
	for name, w := range want {
		for i := range w {
			v := float64(int32(binary.BigEndian.Uint32(tags[name][8+4*i:]))) / 65536
			sum[i] += v
			if math.Abs(v-w[i]) > 0.0006 {
				t.Errorf("%s[%d] = %.4f, want %.4f", name, i, v, w[i])
			}
		}
	}
	for i, v := range d50 {
		if math.Abs(sum[i]-v) > 2e-4 { // three roundings of the file's 1/65536 and of the four-place inverse matrix
			t.Errorf("the colorants sum to %v, not to D50", sum)
		}
	}
	if len(profileTags(t, Profile(spectrum.DisplayP3))) != 10 {
		t.Error("tags missing")
	}
}

func testPrint() *Print {
	p := &Print{W: 5, H: 3, Display: spectrum.SRGB, RGB: make([][3]float32, 15)}
	for i := range p.RGB {
		p.RGB[i] = [3]float32{float32(i) / 15, 1 - float32(i)/15, 0.31}
	}
	return p
}

// PNG and TIFF give back the very values, JPEG nearly, all with the profile inside.
func TestFilesReadBack(t *testing.T) {
	p := testPrint()
	data, err := PNG(p.NRGBA(), spectrum.DisplayP3)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.RGB {
		if got, want := color.NRGBAModel.Convert(img.At(i%5, i/5)), p.NRGBA().At(i%5, i/5); got != want {
			t.Errorf("pixel %d: %v, not %v", i, got, want)
		}
	}
	if !bytes.Contains(data, []byte("cICP\x0c\x0d\x00\x01")) ||
		!bytes.Contains(data, []byte("iCCPDisplay P3\x00\x00")) {
		t.Error("the PNG does not say its colours")
	}
	if data, err = TIFF(p.NRGBA64(), spectrum.SRGB); err != nil {
		t.Fatal(err)
	}
	if img, err = tiff.Decode(bytes.NewReader(data)); err != nil {
		t.Fatal(err)
	}
	for i := range p.RGB {
		r, g, b, _ := img.At(i%5, i/5).RGBA()
		w := p.NRGBA64().NRGBA64At(i%5, i/5)
		if r != uint32(w.R) || g != uint32(w.G) || b != uint32(w.B) {
			t.Errorf("pixel %d: %d %d %d, not %v", i, r, g, b, w)
		}
	}
	if !bytes.Contains(data, Profile(spectrum.SRGB)) {
		t.Error("no profile in the TIFF")
	}
	if data, err = JPEG(p.NRGBA(), spectrum.SRGB, 95); err != nil {
		t.Fatal(err)
	}
	if _, err = jpeg.Decode(bytes.NewReader(data)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(data, Profile(spectrum.SRGB)) {
		t.Error("no profile in the JPEG")
	}
}

// The light's file gives back each light's linear values, and the lights sum to the main picture.
// The reader here is written after the format's published description, not from the writer.
func TestEXR(t *testing.T) {
	const w, h = 4, 2
	key, fill := make([]spectrum.XYZ, w*h), make([]spectrum.XYZ, w*h)
	for i := range key {
		key[i], fill[i] = grey(float64(i)*1.5), spectrum.XY{X: 0.69, Y: 0.308}.XYZ(0.2)
	}
	data, err := EXR(w, h, LightPlates([][]spectrum.XYZ{key, fill}, []string{"key", "fill.a"}), spectrum.XY{})
	if err != nil {
		t.Fatal(err)
	}
	le := binary.LittleEndian
	at := bytes.Index(data, []byte("screenWindowWidth\x00float\x00"))
	at += len("screenWindowWidth\x00float\x00") + 8 + 1
	var names []string
	c := bytes.Index(data, []byte("channels\x00chlist\x00")) + len("channels\x00chlist\x00") + 4
	for data[c] != 0 {
		n := bytes.IndexByte(data[c:], 0)
		names = append(names, string(data[c:c+n]))
		c += n + 1 + 16
	}
	value := map[string][]float64{}
	for y := range h {
		off := le.Uint64(data[at+8*y:])
		size := int(le.Uint32(data[off+4:]))
		block := data[off+8:][:size]
		if size < 4*w*len(names) {
			r, err := zlib.NewReader(bytes.NewReader(block))
			if err != nil {
				t.Fatal(err)
			}
			raw, _ := io.ReadAll(r)
			for i := 1; i < len(raw); i++ {
				raw[i] = raw[i-1] + raw[i] - 128
			}
			block = make([]byte, len(raw))
			for i := range block {
				block[i] = raw[i/2+i%2*((len(raw)+1)/2)]
			}
		}
		for k, n := range names {
			for x := range w {
				value[n] = append(value[n], float64(math.Float32frombits(le.Uint32(block[4*(k*w+x):]))))
			}
		}
	}
	if len(names) != 9 || value["fill a.R"] == nil {
		t.Fatalf("channels %v", names)
	}
	for i := range key {
		if math.Abs(value["key.G"][i]-float64(i)*1.5) > 1e-3 { // neutral: linear green is the luminance
			t.Errorf("key %d: %g", i, value["key.G"][i])
		}
		for _, b := range []string{"R", "G", "B"} {
			if s := value["key."+b][i] + value["fill a."+b][i]; math.Abs(s-value[b][i]) > 1e-4 {
				t.Errorf("%s of %d: lights sum to %g, the picture has %g", b, i, s, value[b][i])
			}
		}
	}
	if _, err := EXR(w, h, LightPlates([][]spectrum.XYZ{key, fill}, []string{"a", "a"}), spectrum.XY{}); err == nil {
		t.Error("two lights of one name went through")
	}
}

// Whole stops: mid-grey is band 0, a stop up the next; beyond the ends striped and dotted. The tone
// of a band is the picture's own.
func TestStopsBands(t *testing.T) {
	r := Range{-8, 2.96}
	for _, c := range []struct {
		level       float64
		stop        int
		clip, floor bool
	}{{0, 0, false, false}, {0.49, 0, false, false}, {0.51, 1, false, false}, {-2.2, -2, false, false},
		{3, 3, true, false}, {-9, -8, false, true}, {math.Inf(-1), -8, false, true}} {
		if s, cl, fl := band(c.level, r); s != c.stop || cl != c.clip || fl != c.floor {
			t.Errorf("%g stops: band %d %v %v", c.level, s, cl, fl)
		}
	}
	const w, h = 40, 40
	px := make([]spectrum.XYZ, w*h)
	for i := range px {
		px[i] = grey(MidGrey * 2)
	}
	img := Stops(px, w, h, r)
	if got, want := img.NRGBAAt(20, 20).R, wedgeTone(1); got != want || img.Bounds().Dy() <= h {
		t.Errorf("one stop over is %d, want %d, with a key below", got, want)
	}
}

// The noise has the ratio asked and leaves the mean: 40,000 sites at 20:1; the sample deviation is
// within 3 % (standard error 0.35 %).
func TestGrain(t *testing.T) {
	px := make([]spectrum.XYZ, 40000)
	for i := range px {
		px[i] = grey(0.18)
	}
	s, s2 := 0.0, 0.0
	for _, c := range Grain(px, 7, 1, func(float64) float64 { return 20 }) {
		v := spectrum.SRGB.Linear(c)[1]
		s, s2 = s+v, s2+v*v
	}
	n := float64(len(px))
	mean := s / n
	sd := math.Sqrt(s2/n - mean*mean)
	if math.Abs(mean/0.18-1) > 0.002 || math.Abs(sd/0.009-1) > 0.03 {
		t.Errorf("mean %g, deviation %g, want 0.18 and 0.009", mean, sd)
	}
}
