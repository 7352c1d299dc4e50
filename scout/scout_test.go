package scout

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"strings"
	"testing"

	"halfstop/geom"
	"halfstop/optics"
	"halfstop/photo"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
)

// painted makes a photograph, with a camera's standard tones, of rectangles in linear light: x0,
// y0, x1, y1 in per cent.
func painted(t *testing.T, w, h int, ground [3]float64, parts map[[4]int][3]float64) *Photo {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := ground
			for r, v := range parts {
				if 100*x >= r[0]*w && 100*x < r[2]*w && 100*y >= r[1]*h && 100*y < r[3]*h {
					c = v
				}
			}
			var e [3]uint8
			top := max(c[0], c[1], c[2])
			for i := range c {
				e[i] = uint8(math.Round(255 * spectrum.Encode(max(0, c[i]/top*standard.Tone(top)))))
			}
			m.SetNRGBA(x, y, color.NRGBA{e[0], e[1], e[2], 255})
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	p, err := Open(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// seen is what a picture whose white is white shows of a light of a chromaticity and level.
func seen(c spectrum.XY, level, white float64) [3]float64 {
	to := spectrum.CAT16(spectrum.White(white).XY().XYZ(1), spectrum.SRGB.XYZ([3]float64{1, 1, 1}))
	return spectrum.SRGB.Linear(to.XYZ(c.XYZ(level)))
}

// TestOpenForeign: exposure data that are torn leave a photograph that is read by a card, with the
// place said; colours of a wide space are brought to sRGB before they are told: its own white stays
// neutral, and half saturated red is redder than the same numbers in sRGB.
func TestOpenForeign(t *testing.T) {
	m := image.NewNRGBA(image.Rect(0, 0, 64, 64))
	for i := range m.Pix {
		m.Pix[i] = []byte{200, 120, 120, 255}[i%4]
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	with := func(tiff string) *Photo {
		seg := "Exif\x00\x00" + tiff
		src := "\xff\xd8\xff\xe1" + string([]byte{0, byte(len(seg) + 2)}) + seg + b.String()[2:]
		p, err := Open([]byte(src))
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	torn := with("II*\x00\x40\x00\x00\x00")
	r, err := Read(torn, Ask{Card: &Card{50, 50, 0.18}, Spots: []Spot{{"wall", 50, 50}}})
	if err != nil || r.Exposure != nil || r.Spots[0].Reflectance == nil ||
		!strings.Contains(strings.Join(r.Notes, "\n"), "byte 64") {
		t.Errorf("%+v %v", r, err)
	}
	// One entry: colour space 65535, 'not sRGB' (EXIF 2.3), in the EXIF directory at 26.
	wide := with("II*\x00\x08\x00\x00\x00" +
		"\x01\x00\x69\x87\x04\x00\x01\x00\x00\x00\x1a\x00\x00\x00\x00\x00\x00\x00" +
		"\x01\x00\x01\xa0\x03\x00\x01\x00\x00\x00\xff\xff\x00\x00\x00\x00\x00\x00")
	u0, _, _ := torn.Mean(50, 50).UV()
	u1, _, _ := wide.Mean(50, 50).UV()
	if u1-u0 < 0.01 {
		t.Errorf("u' %.4f in a wide space, %.4f in sRGB", u1, u0)
	}
}

// TestRead: against a card of 18 % a patch twice as bright is of 36 %, also in a picture of which
// four pixels go into one; colours come out in the light that is stated, to the steps of 8 bits
// (u'v' 0.002), and without it against the picture's white with a wide error.
func TestRead(t *testing.T) {
	warm := spectrum.XYOfCCT(2700, 0)
	p := painted(t, 3200, 2000, [3]float64{0.05, 0.05, 0.05},
		map[[4]int][3]float64{{10, 10, 30, 30}: {0.18, 0.18, 0.18},
			{50, 10, 70, 30}: {0.36, 0.36, 0.36}, {50, 50, 70, 70}: seen(warm, 0.4, 3200), {80, 80, 90, 90}: {2,
				2, 2}})
	if p.w != 1600 || p.h != 1000 || p.Width != 3200 {
		t.Fatalf("%d × %d kept of %d", p.w, p.h, p.Width)
	}
	a := Ask{Card: &Card{20, 20, 0.18}, White: 3200,
		Spots: []Spot{{"wall", 60, 20}, {"lamp", 60, 60}, {"core", 85, 85}}}
	r, err := Read(p, a)
	if err != nil {
		t.Fatal(err)
	}
	if s := r.Spots[0]; math.Abs(*s.Reflectance-0.36) > 0.004 || s.Luminance != nil { // a step of 8 bits is 0.8 %
		t.Errorf("%+v", s)
	}
	u, v := warm.UVPrime()
	if s := r.Spots[1]; math.Hypot(s.UV[0]-u, s.UV[1]-v) > 0.002 || math.Abs(s.Kelvin-2700) > 40 ||
		s.UVSD != whiteError {
		t.Errorf("%+v for %.4f %.4f", s, u, v)
	}
	if s := r.Spots[2]; s.Clipped < 0.99 || s.UVSD < freeError {
		t.Errorf("%+v", s)
	}
	if text := strings.Join(r.Notes, "\n"); !strings.Contains(text, "core is clipped in 100 %") ||
		!strings.Contains(text, "exposure data") {
		t.Error(text)
	}
	a.White = 0
	if r, err = Read(p, a); err != nil || r.Spots[1].Kelvin != 0 || r.Spots[1].UVSD != freeError {
		t.Errorf("without a white: %+v %v", r.Spots[1], err)
	}
	for _, bad := range []Ask{{White: 100}, {Card: &Card{5, 5, 2}}, {Spots: []Spot{{"a", 101, 5}}}} {
		if _, err := Read(p, bad); err == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
}

// TestLights: a lamp and a sign of known colours are found on a wall that is lit, and the wall's
// own strong colour is not called a light.
func TestLights(t *testing.T) {
	lamp, sign := spectrum.XYOfCCT(2800, 0), spectrum.XYOfUVPrime(0.45, 0.52)
	p := painted(t, 800, 500, [3]float64{0.02, 0.1, 0.03}, map[[4]int][3]float64{{10, 10, 16, 18}: seen(lamp,
		0.4, 4000),
		{60, 10, 80, 16}: seen(sign, 0.15, 4000), {40, 60, 44, 66}: {2, 2, 2}})
	list, hidden, err := Lights(p, Ask{White: 4000})
	if err != nil || len(list) != 2 {
		t.Fatalf("%+v %v", list, err)
	}
	if hidden < 0.001 || hidden > 0.01 { // 4 × 6 % is 0.24 %
		t.Errorf("%.4f hidden", hidden)
	}
	for _, want := range []struct {
		c     spectrum.XY
		words string
	}{{lamp, "2800 K"}, {sign, "red"}} {
		found := false
		for _, l := range list {
			if spectrum.DeltaUVPrime(spectrum.XYOfUVPrime(l.UV[0], l.UV[1]), want.c) < 0.004 { // 8 bits, dark channels
				found = strings.HasPrefix(l.Words, want.words)
			}
		}
		if !found {
			t.Errorf("no %s in %+v", want.words, list)
		}
	}
	way, err := Maker(context.Background(), BareShoot(), 0, list[0], true)
	if err != nil || way == nil || way.DeltaUV > 0.01 {
		t.Errorf("what makes %s: %+v %v", list[0].Words, way, err)
	}
	// Without a stated white nothing is called by a temperature.
	list, _, _ = Lights(p, Ask{})
	for _, l := range list {
		if strings.Contains(l.Words, " K") {
			t.Errorf("%q", l.Words)
		}
	}
}

const place = `halfstop: 1
room:
  size: [5, 4, 3]
  doors: [{name: door, wall: 3, from: 1, width: 0.9, head: 2.1}]
  practicals:
    - {name: sign, emitter: {shape: rectangle, size: [1 m, 0.3 m]}, at: [0.1, 2, 2], aim: [2, 2, 2], flux: 900 lm}
    - {name: tube, path: [[1, 1, 2.9], [2.2, 1, 2.9]], diameter: 26 mm, flux: 2000 lm}
    - {name: bulb, emitter: {shape: point}, at: [3, 3, 2], flux: 800 lm}
  objects: [{name: bench, box: {at: [3, 1], size: [1, 0.5, 0.5]}}]
setups: [{name: s, camera: {at: [2.5, 0.4], aim: [2.5, 4, 1.5], height: 1.5}, points: [{name: p, at: [2, 2, 1]}]}]
`

func parsed(t *testing.T) (*shoot.File, func(edits []Edit) (*shoot.File, string)) {
	t.Helper()
	f, doc, list := shoot.Parse("shoot.yaml", []byte(place), shoot.Options{})
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	return f, func(edits []Edit) (*shoot.File, string) {
		src, err := Apply("shoot.yaml", doc.Source(), edits)
		if err != nil {
			t.Fatal(err)
		}
		f, _, list := shoot.Parse("shoot.yaml", src, shoot.Options{})
		if err := list.Err(); err != nil {
			t.Fatal(err, string(src))
		}
		return f, string(src)
	}
}

// TestPut: what is pressed goes where it belongs and leaves a shoot that is read; a tube gets the
// flux π L · π d l of an even tube (Lambert's law).
func TestPut(t *testing.T) {
	f, apply := parsed(t)
	_, doc, _ := shoot.Parse("shoot.yaml", []byte(place), shoot.Options{})
	lum, refl := 1000.0, 0.4
	m := Measured{Luminance: &lum, Reflectance: &refl, Colour: "#a08060", UV: []float64{0.25, 0.52}}
	a := &Ask{White: 3000}
	for name, want := range map[string]string{"Wall 2": "wall 2", "bench": "surface:",
		"sign": "luminance: 1e+03 cd/m2"} {
		edits, err := Put(f, doc, name, &m, a)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if _, text := apply(edits); !strings.Contains(text, want) || name == "sign" && strings.Contains(text,
			"900 lm") {
			t.Errorf("%s: no %q in\n%s", name, want, text)
		}
	}
	edits, err := Put(f, doc, "tube", &m, a)
	if err != nil {
		t.Fatal(err)
	}
	after, text := apply(edits)
	want := math.Pi * 1000 * math.Pi * 0.026 * 1.2
	if got := float64(after.Room.Practicals[1].Flux); math.Abs(got/want-1) > 0.005 { // three figures are written
		t.Errorf("%g lm, want %g\n%s", got, want, text)
	}
	bright := 1.4
	for name, m := range map[string]*Measured{"bulb": &m, "nothing": &m, "walls": {Colour: "#808080"},
		"floor": {Reflectance: &bright}, "sign": {Luminance: &lum, Clipped: 0.5}} {
		if edits, err := Put(f, doc, name, m, a); err == nil {
			t.Errorf("%s: %v", name, edits)
		}
	}
	if n := len(Targets(f)); n != 3+4+3+1 {
		t.Errorf("%d targets", n)
	}
}

// TestStand: corners of the room as the stage's own camera sees them lead back to that camera, its
// edits stand a setup's camera there, and the photograph lies under its frame to a thousandth; seen
// from elsewhere the plane of the corners does.
func TestStand(t *testing.T) {
	f, apply := parsed(t)
	view := &stage.View{View: optics.Look(geom.V(2.2, 0.5, 1.6), geom.V(2.8, 4, 1.3),
		optics.Format{Width: 0.036, Height: 0.024}, 0.020, 0)}
	p := &Photo{Width: 3000, Height: 2000}
	var list []photo.Sight
	for _, name := range []string{"corner 3, floor", "corner 3, ceiling", "corner 4, floor", "corner 4, ceiling",
		"door: top left", "door: bottom right"} {
		at, err := PlaceNamed(Places(f), name)
		if err != nil {
			t.Fatal(err)
		}
		x, y, _, ok := view.Project(at)
		if !ok {
			t.Fatal(name)
		}
		list = append(list, photo.Sight{At: at, X: x, Y: y})
	}
	p.Exif.Focal35MM = 20
	s, err := Stand(p, list)
	if err != nil {
		t.Fatal(err)
	}
	if s.At.Sub(view.At).Len() > 0.01 || math.Abs(s.Lens-20) > 0.05 {
		t.Errorf("%v, %.2f mm; %s", s.At, s.Lens, s.Doubt())
	}
	_, doc, _ := shoot.Parse("shoot.yaml", []byte(place), shoot.Options{})
	after, _ := apply(s.Camera(doc, "setups[0].camera", 0.036))
	if c := after.Setups[0].Camera; math.Abs(float64(c.Lens)-0.020) > 1e-4 || len(c.At) != 3 || c.Height != 0 {
		t.Errorf("%+v", c)
	}
	for _, v := range []struct {
		view  *stage.View
		plane bool
	}{{view, false}, {&stage.View{View: optics.Look(geom.V(3.4, 0.7, 1.4), geom.V(2.5, 4, 1.5),
		optics.Format{Width: 0.024, Height: 0.036}, 0.028, 0)}, true}} {
		h, plane, err := s.Under(v.view)
		if err != nil || plane != v.plane {
			t.Fatalf("%v %v", plane, err)
		}
		for _, l := range list { // all of them lie in the far wall
			u, w, _, _ := v.view.Project(l.At)
			d := h[6]*l.X + h[7]*l.Y + h[8]
			x, y := (h[0]*l.X+h[1]*l.Y+h[2])/d, (h[3]*l.X+h[4]*l.Y+h[5])/d
			if math.Hypot(x-u, y-w) > 1e-3 {
				t.Errorf("plane %v: %v lies at %.4f %.4f, not %.4f %.4f", plane, l.At, x, y, u, w)
			}
		}
	}
	if _, err := PlaceNamed(nil, "1, 2.5, 0"); err != nil {
		t.Error(err)
	}
	if _, err := PlaceNamed(nil, "the corner"); err == nil {
		t.Error("a place that is none was taken")
	}
}

// ExampleRead reads a wall against a grey card.
func ExampleRead() {
	m := image.NewGray(image.Rect(0, 0, 100, 100))
	for i := range m.Pix {
		m.Pix[i] = 118 // mid-grey at the left …
		if i%100 >= 50 {
			m.Pix[i] = 174 // … and twice as much light at the right, by a camera's standard tones
		}
	}
	var b bytes.Buffer
	_ = png.Encode(&b, m)
	p, _ := Open(b.Bytes())
	r, _ := Read(p, Ask{Card: &Card{X: 25, Y: 50, Known: 0.18}, Spots: []Spot{{Name: "wall", X: 75, Y: 50}}})
	fmt.Printf("%s: %.0f %%\n", r.Spots[0].Name, 100**r.Spots[0].Reflectance)
	// Output: wall: 36 %
}
