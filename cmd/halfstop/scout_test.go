package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestScout: a photograph made for it, held upright (orientation 6), of a grey card beside a wall
// twice as bright, with its exposure data: the luminances are 10·N²/(q S t) at mid-grey and twice
// that, the wall's reflectance is twice the card's.
func TestScout(t *testing.T) {
	const w, h = 200, 300 // as stored; shown it is 300 × 200
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(118) // mid-grey
			if y >= h/2 {
				v = 162 // twice as much light: sRGB of 2 × 0.1812
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
func tagJPEG(pic []byte) []byte {
	o := binary.LittleEndian
	var b bytes.Buffer
	put := func(v any) { _ = binary.Write(&b, o, v) }
	b.WriteString("Exif\x00\x00II*\x00")
	put(uint32(8))
	put(uint16(2))
	put([]uint16{0x0112, 3, 1, 0, 6, 0})
	put([]uint16{0x8769, 4, 1, 0})
	put([]uint32{38, 0})
	put(uint16(3)) // at 38, ends at 38+2+36+4 = 80
	put([]uint16{0x829A, 5, 1, 0})
	put(uint32(80))
	put([]uint16{0x829D, 5, 1, 0})
	put(uint32(88))
	put([]uint16{0x8827, 3, 1, 0, 800, 0})
	put([]uint32{0, 1, 60, 28, 10})
	seg := append([]byte{0xFF, 0xE1, byte((b.Len() + 2) >> 8), byte(b.Len() + 2)}, b.Bytes()...)
	return append(append(append([]byte{}, pic[:2]...), seg...), pic[2:]...)
}
