package picture

import (
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"halfstop/spectrum"
)

// TestHalf: every half float reads back as itself; numbers are rounded to the nearest of the bits
// kept (IEEE 754 binary16).
func TestHalf(t *testing.T) {
	for h := range 1 << 16 {
		if e := h >> 10 & 31; e == 31 || h == 0x8000 {
			continue
		}
		if got := halfOf(ofHalf(uint16(h)), 10); got != uint16(h) {
			t.Fatalf("half %04x reads back as %04x", h, got)
		}
	}
	for _, bits := range []int{3, 5, 10} {
		for v := 1e-3; v < 6e4; v *= 1.0173 {
			got := float64(ofHalf(halfOf(float32(v), bits)))
			if math.Abs(got-v) > v*math.Exp2(-float64(bits)-1) {
				t.Fatalf("%g comes back as %g with %d bits", v, got, bits)
			}
		}
	}
	if got := ofHalf(halfOf(1e9, 10)); got != 65504 {
		t.Errorf("1e9 became %g, want the largest half, 65504", got)
	}
}

func somePlates(w, h int) []Plate {
	plates := []Plate{{Name: "key"}, {Name: "a.b long name of more than thirty-one characters"}}
	for k := range plates {
		for i := range w * h {
			v := float32(math.Exp2(float64(i%37)/4-6)) * float32(k+1)
			plates[k].RGB = append(plates[k].RGB, [3]float32{v, v / 3, -v / 50})
		}
	}
	return plates
}

// TestHalfEXR: a file of halves reads back within the rounding that it states, and the one of
// floats to the bit. Where Debian's openexr is there its own tool reads it.
func TestHalfEXR(t *testing.T) {
	const w, h = 37, 41 // more than two blocks of 16 lines, the last not full
	in := somePlates(w, h)
	for _, bits := range []int{4, 10} {
		data, err := HalfEXR(w, h, in, spectrum.XY{X: 0.31, Y: 0.33}, bits)
		if err != nil {
			t.Fatal(err)
		}
		gw, gh, out, err := ReadEXR(data)
		if err != nil || gw != w || gh != h || len(out) != 2 {
			t.Fatalf("%d × %d, %d plates, %v", gw, gh, len(out), err)
		}
		for k := range out {
			want := in[1-k] // in the order of their names
			if out[k].Name != PlateName(want.Name) {
				t.Fatalf("plate %d is called %q", k, out[k].Name)
			}
			for i := range want.RGB {
				for c, v := range want.RGB[i] {
					got := out[k].RGB[i][c]
					most := math.Abs(float64(v))*math.Exp2(-float64(bits)-1) + 16*2/4096.0
					if d := math.Abs(float64(got - v)); d > most {
						t.Fatalf("bits %d, plate %d, pixel %d: %g, want %g", bits, k, i, got, v)
					}
				}
			}
		}
		again, _ := HalfEXR(w, h, out, spectrum.XY{X: 0.31, Y: 0.33}, bits)
		if string(again) != string(data) {
			t.Error("written again it is another file")
		}
		if tool, err := exec.LookPath("exrheader"); err == nil {
			name := filepath.Join(t.TempDir(), "a.exr")
			if err := os.WriteFile(name, data, 0o644); err != nil {
				t.Fatal(err)
			}
			if b, err := exec.Command(tool, name).CombinedOutput(); err != nil {
				t.Errorf("exrheader: %v\n%s", err, b)
			}
		} else {
			t.Log("openexr's tools are not here: the file was read by our own reader alone")
		}
	}
	data, err := EXR(w, h, in, spectrum.XY{})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, out, err := ReadEXR(data); err != nil || out[1].RGB[5] != in[0].RGB[5] {
		t.Errorf("floats: %v", err)
	}
}

// TestHalfShadows: beside a lamp in the frame, 14 stops over mid-grey, shadows 5 stops under it
// keep their levels and colours within a twentieth of a stop.
func TestHalfShadows(t *testing.T) {
	const w, h = 64, 32
	px := make([][3]float32, w*h)
	for i := range px {
		v := float32(0.18 / 32 * (1 + float64(i)/float64(w*h)))
		px[i] = [3]float32{v, 0.9 * v, 0.8 * v}
	}
	px[7] = [3]float32{3000, 2900, 2500}
	data, err := HalfEXR(w, h, []Plate{{Name: "lamp", RGB: px}}, spectrum.XY{}, 6)
	if err != nil {
		t.Fatal(err)
	}
	_, _, out, err := ReadEXR(data)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range px {
		for b, v := range c {
			if d := math.Abs(math.Log2(float64(out[0].RGB[i][b] / v))); !(d < 0.05) {
				t.Fatalf("pixel %d is %v, want %v", i, out[0].RGB[i], c)
			}
		}
	}
}

// TestEXRDamaged: a file that is cut or changed anywhere is an error, or reads as other numbers;
// it is never a crash.
func TestEXRDamaged(t *testing.T) {
	data, err := HalfEXR(9, 20, somePlates(9, 20), spectrum.XY{}, 10)
	if err != nil {
		t.Fatal(err)
	}
	for n := range data {
		if _, _, _, err := ReadEXR(data[:n]); err == nil {
			t.Fatalf("cut to %d bytes of %d it is read without a word", n, len(data))
		}
		changed := append([]byte{}, data...)
		changed[n] ^= 0x55
		_, _, _, _ = ReadEXR(changed)
	}
}

func FuzzReadEXR(f *testing.F) {
	data, _ := HalfEXR(9, 20, somePlates(9, 20), spectrum.XY{}, 10)
	f.Add(data)
	f.Fuzz(func(t *testing.T, b []byte) { _, _, _, _ = ReadEXR(b) })
}
