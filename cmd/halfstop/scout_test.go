package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"halfstop/picture"
	"halfstop/spectrum"
)

// TestScout: a photograph made for it, held upright (orientation 6), of a grey card beside a wall
// twice as bright, with its exposure data: the luminances are 10·N²/(q S t) at mid-grey and twice
// that, the wall's reflectance is twice the card's.
func TestScout(t *testing.T) {
	const w, h = 200, 300 // as stored; shown it is 300 × 200
	// Twice the light of a mid-grey, by a camera's standard tones.
	twice := uint8(math.Round(255 * spectrum.Encode(picture.Standard(0).Tone(2*picture.MidGrey))))
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(118) // mid-grey
			if y >= h/2 {
				v = twice
			}
			m.Set(x, y, color.RGBA{v, v, v, 255})
		}
	}
	var pic bytes.Buffer
	if err := jpeg.Encode(&pic, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "wall.jpg")
	if err := os.WriteFile(path, tagJPEG(pic.Bytes()), 0o644); err != nil {
		t.Fatal(err)
	}
	// Orientation 6: turned clockwise when shown, so what is stored below stands at the left.
	var out, errs bytes.Buffer
	code := execute(context.Background(), []string{"scout", path, "--json", "--spot", "wall=20,50", "--spot",
		"card=80,50",
		"--card", "80,50=0.18"}, strings.NewReader(""), &out, &errs)
	if code != 0 {
		t.Fatalf("%d %s", code, errs.String())
	}
	var got scouted
	if err := json.Unmarshal(out.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Width != 300 || got.Height != 200 || len(got.Spots) != 2 {
		t.Fatalf("%+v", got)
	}
	want := 10 * 2.8 * 2.8 * 60 / (0.65 * 800)
	for i, k := range []float64{2, 1} {
		// 1 % for the steps of 8 bits and the JPEG.
		if s := got.Spots[i]; math.Abs(*s.Luminance/(k*want)-1) > 0.015 || math.Abs(*s.Reflectance/(k*0.18)-1) > 0.015 {
			t.Errorf("%s: %g cd/m², %g; want %g, %g", s.Name, *s.Luminance, *s.Reflectance, k*want, k*0.18)
		}
	}
	// Into the shoot: the wall gets what the card says, the sign its luminance, not its label.
	shootFile := filepath.Join(t.TempDir(), "shoot.yaml")
	if err := os.WriteFile(shootFile, []byte(`halfstop: 1
room: # measured on Monday
  size: [4, 5, 3]
  practicals:
    - {name: sign, emitter: {shape: rectangle, size: [1 m, 0.3 m]}, at: [0.1, 2, 2], aim: [2, 2, 2],
       flux: 900 lm}
setups: [{name: s, points: [{name: p, at: [2, 2, 1], facing: up}]}]
`), 0o644); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	errs.Reset()
	args := []string{"scout", path, "--spot", "wall 2=25,50", "--spot", "sign=75,50",
		"--card", "75,50=0.18",
		"--write", shootFile}
	if code := execute(context.Background(), args, strings.NewReader(""), &out, &errs); code != 0 {
		t.Fatalf("%d %s", code, errs.String())
	}
	text, _ := os.ReadFile(shootFile)
	for _, is := range []string{"# measured on Monday", "wall 2", "luminance:", "xy:"} {
		if !strings.Contains(string(text), is) {
			t.Errorf("%q is not in\n%s", is, text)
		}
	}
	if strings.Contains(string(text), "900 lm") {
		t.Errorf("the label's flux still stands:\n%s", text)
	}
	args = []string{"scout", path, "--spot", "walls=25,50", "--write", shootFile} // no card
	if code := execute(context.Background(), args, strings.NewReader(""), &out, &errs); code != exitFindings {
		t.Errorf("a wall without a card: %d %s", code, errs.String())
	}
	for _, bad := range [][]string{{"--spot", "a=120,5"}, {"--spot", "nowhere"}, {"--card", "5,5"}} {
		if execute(context.Background(), append([]string{"scout", path}, bad...), strings.NewReader(""), &out,
			&errs) != exitInput {
			t.Errorf("%v was taken", bad)
		}
	}
}

// tagJPEG puts exposure data behind the start of a JPEG: f/2.8, 1/60 s, ISO 800, orientation 6.
func tagJPEG(pic []byte) []byte { return tagExposure(pic, 6, 28, 60, 800) }

// tagExposure does so with an f-number in tenths, a shutter time as a part of a second, and 24 mm.
func tagExposure(pic []byte, orientation uint16, stop, shutter uint32, iso uint16) []byte {
	o := binary.LittleEndian
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, o, v) }
	b.WriteString("Exif\x00\x00II*\x00")
	put(uint32(8))
	put(uint16(2))
	put([]uint16{0x0112, 3, 1, 0, orientation, 0})
	put([]uint16{0x8769, 4, 1, 0})
	put([]uint32{38, 0})
	put(uint16(4)) // at 38, ends at 38+2+48+4 = 92
	put([]uint16{0x829A, 5, 1, 0})
	put(uint32(92))
	put([]uint16{0x829D, 5, 1, 0})
	put(uint32(100))
	put([]uint16{0x8827, 3, 1, 0, iso, 0})
	put([]uint16{0xA405, 3, 1, 0, 24, 0})
	put([]uint32{0, 1, shutter, stop, 10})
	seg := append([]byte{0xFF, 0xE1, byte((b.Len() + 2) >> 8), byte(b.Len() + 2)}, b.Bytes()...)
	return append(append(append([]byte{}, pic[:2]...), seg...), pic[2:]...)
}

// TestScoutFrame: photographs that `frame` makes of two rooms, with the sensor's noise, tagged with
// the exposure of their camera. Luminances are within 0.3 st of what the meter says of the same
// places, and the colour of the light on the card within Δu'v' 0.01; the camera
// is found from corners to 3 cm. The lens sees 24 mm over 3.6 m: the wall's 5.4 × 3.6 m.
func TestScoutFrame(t *testing.T) {
	for _, room := range []struct {
		shell, lamp    string
		stop, shutter  uint32 // tenths, parts of a second
		white, ceiling float64
	}{
		{"size: [5, 4, 2.7], surfaces: {walls: '0.5', floor: '0.2', ceiling: '0.8', wall 3: '0.4'}",
			"emitter: {shape: sphere, size: [0.25 m], luminance: 400 cd/m2}, at: [2.5, 0.2, 2.1], colour: 2900 K",
			28, 15, 2900, 2.7},
		{"size: [5, 4, 4], surfaces: {walls: '0.3', floor: '0.6', ceiling: '0.3', wall 3: {diffuse: '#8a9a86'}}",
			"emitter: {shape: rectangle, size: [1 m, 1 m], luminance: 900 cd/m2}, at: [2.5, 2, 3.9], " +
				"aim: [2.5, 2, 0], colour: 5600 K", 40, 60, 5600, 4},
	} {
		dir := t.TempDir()
		shootFile, jpg := filepath.Join(dir, "shoot.yaml"), filepath.Join(dir, "f.jpg")
		text := fmt.Sprintf(`halfstop: 1
room: {%s, practicals: [{name: lamp, %s}],
  objects: [{name: card, quad: {at: [2.5, 3.98, 1.5], facing: [0, -1, 0], size: [0.5, 0.5]}, surface: '0.18'}]}
setups:
  - name: s
    camera: {at: [2.5, 0.4, 1.5], aim: [2.5, 4, 1.5], lens: 24 mm, aperture: f/%g, shutter: 1/%d s, iso: 1600,
      white balance: %g K}
    points: [{name: left, at: [1.5, 4, 1.7], receptor: spot}, {name: card, at: [2.5, 3.98, 1.5], receptor: spot},
      {name: right, at: [3.6, 4, 1.1], receptor: spot}]
`, room.shell, room.lamp, float64(room.stop)/10, room.shutter, room.white)
		if err := os.WriteFile(shootFile, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		run := func(into any, args ...string) {
			t.Helper()
			var out, errs bytes.Buffer
			if code := execute(context.Background(), args, strings.NewReader(""), &out, &errs); code != 0 {
				t.Fatalf("%v: %d %s", args, code, errs.String())
			}
			if into != nil {
				if err := json.Unmarshal(out.Bytes(), into); err != nil {
					t.Fatal(err)
				}
			}
		}
		var metered struct {
			Setups []struct {
				Points []struct {
					Name      string
					Luminance float64
				}
			}
		}
		run(&metered, "meter", shootFile, "--json")
		run(nil, "frame", shootFile, "--setup", "s", "--size", "180x120", "--samples", "16", "--noise", "-o", jpg)
		pic, err := os.ReadFile(jpg)
		if err == nil {
			err = os.WriteFile(jpg, tagExposure(pic, 1, room.stop, room.shutter, 1600), 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
		seen := func(x, z, far float64) string {
			return fmt.Sprintf("%.3f,%.3f", 50+100*(x-2.5)/(1.5*far), 50-100*(z-1.5)/far)
		}
		args := []string{"scout", jpg, "--json", "--white", fmt.Sprint(room.white), "--spot",
			"left=" + seen(1.5, 1.7, 3.6), "--spot", "card=50,50", "--spot", "right=" + seen(3.6, 1.1, 3.6),
			"--shoot", shootFile}
		for _, c := range []string{"corner 3, floor", "corner 4, floor"} {
			x := 5.0
			if c[7] == '4' {
				x = 0
			}
			args = append(args, "--corner", seen(x, 0, 3.6)+"="+c)
			if room.ceiling < 3.3 { // a higher ceiling is over the frame
				top := strings.Replace(c, "floor", "ceiling", 1)
				args = append(args, "--corner", seen(x, room.ceiling, 3.6)+"="+top)
			} else {
				args = append(args, "--corner", seen(x, 2, 3.6)+fmt.Sprintf("=%g,4,2", x))
			}
		}
		var got scouted
		run(&got, args...)
		for i, p := range metered.Setups[0].Points {
			s := got.Spots[i]
			if off := math.Log2(*s.Luminance / p.Luminance); math.Abs(off) > 0.3 {
				t.Errorf("%s: %.3g cd/m², the meter says %.3g (%+.2f st)", s.Name, *s.Luminance, p.Luminance, off)
			}
		}
		u, v := spectrum.White(room.white).XY().UVPrime()
		if card := got.Spots[1]; math.Hypot(card.UV[0]-u, card.UV[1]-v) > 0.01 {
			t.Errorf("light on the card %v, it is %.4f, %.4f", card.UV, u, v)
		}
		if s := got.Station; math.Hypot(math.Hypot(s.At[0]-2.5, s.At[1]-0.4), s.At[2]-1.5) > 0.03 {
			t.Errorf("taken from %v, it is 2.5, 0.4, 1.5; %s", s.At, s.Doubt)
		}
	}
}
