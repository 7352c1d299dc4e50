package picture

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfstop/spectrum"
)

// TestCurves holds the tables to the curves they stand for: half a code of 16 bits, a hundredth of
// what an 8-bit picture could show.
func TestCurves(t *testing.T) {
	const half = 0.5 / 65535
	worst := [2]float64{}
	for i := range 1_000_003 {
		x := float64(i) / 1_000_002
		worst[0] = max(worst[0], math.Abs(float64(encodeCurve.at(x))-spectrum.Encode(x)))
		n := 1.5 * x
		worst[1] = max(worst[1], math.Abs(n*gain(n)-Tone(n)))
	}
	t.Logf("off by %.2f and %.2f codes of 16 bits at most", worst[0]*65535, worst[1]*65535)
	if !(worst[0] <= half) || !(worst[1] <= half) {
		t.Error(worst)
	}
	for _, x := range []float64{math.NaN(), math.Inf(-1), -1, 0} {
		if encodeCurve.at(x) != 0 {
			t.Error(x, encodeCurve.at(x))
		}
	}
	for _, x := range []float64{1, 1.01, math.Inf(1)} {
		if encodeCurve.at(x) != 1 {
			t.Error(x, encodeCurve.at(x))
		}
	}
}

// plain is Render by the curves themselves, a pixel at a time.
func plain(t spectrum.XYZ, white spectrum.XYZ, d *spectrum.Display) (rgb [3]float64) {
	one := d.XYZ([3]float64{1, 1, 1})
	c := spectrum.CAT16(white, one).XYZ(t)
	if !(c.Y > 0) || math.IsInf(c.X+c.Y+c.Z, 0) {
		return
	}
	lin := d.Linear(c)
	n := max(c.Y, lin[0], lin[1], lin[2])
	k := Tone(n) / n
	out := spectrum.XYZ{X: c.X * k, Y: c.Y * k, Z: c.Z * k}
	if n > Clipped {
		s := palest * (1 - math.Exp(-bleed*math.Log2(n/Clipped)/palest))
		out.X += s * (one.X - out.X)
		out.Y += s * (one.Y - out.Y)
		out.Z += s * (one.Z - out.Z)
	}
	for b, v := range d.Map(out) {
		rgb[b] = spectrum.Encode(v)
	}
	return
}

// colours are what pictures hold: all levels from deep shade to a lamp, grey to beyond what a
// display shows, some not colours at all.
func colours(n int) []spectrum.XYZ {
	r := rand.New(rand.NewPCG(4, 2))
	px := make([]spectrum.XYZ, n)
	for i := range px {
		y := math.Exp2(14*r.Float64() - 11)
		px[i] = spectrum.XYZ{X: y * (0.95 + 0.5*r.NormFloat64()*r.Float64()), Y: y,
			Z: y * (1.09 + 0.5*r.NormFloat64()*r.Float64())}
	}
	for i, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e300} {
		px[i].X, px[i+6].Y, px[i+12].Z = bad, bad, bad
	}
	return px
}

// TestRenderIsPlain: tables, the joined matrices and the short cut inside the display's gamut
// change no pixel by more than a code of 16 bits (half a code for each of the two curves), so none
// of 8 bits by more than one.
func TestRenderIsPlain(t *testing.T) {
	const w, h = 257, 181
	px := colours(w * h)
	white := spectrum.XYZ{X: 1.05, Y: 1, Z: 0.6}
	for _, d := range []*spectrum.Display{spectrum.SRGB, spectrum.DisplayP3} {
		got := Render(px, w, h, white, d, Plain())
		short := 0
		for i, c := range px {
			for b, want := range plain(c, white, d) {
				if e := math.Abs(float64(got.RGB[i][b]) - want); !(e <= 1.0/65535) {
					t.Fatalf("%s %v: channel %d %g, not %g", d.Name, c, b, got.RGB[i][b], want)
				}
				if want > 0 && want < 1 {
					short++
				}
			}
		}
		if short < w*h {
			t.Errorf("%s: only %d channels lie inside; the test looks past them", d.Name, short)
		}
	}
}

// BenchmarkDevelop develops 960 × 640 pixels to 8 bits.
func BenchmarkDevelop(b *testing.B) {
	const w, h = 960, 640
	px := make([]spectrum.XYZ, w*h)
	for i := range px {
		y := 0.4 * math.Exp2(-5*float64(i%w)/w)
		px[i] = spectrum.XYZ{X: y * (0.9 + 0.1*float64(i/w)/h), Y: y, Z: y * 0.9}
	}
	white := spectrum.XYZ{X: 0.9505, Y: 1, Z: 1.089}
	for b.Loop() {
		Develop(px, w, h, white, spectrum.SRGB, Standard(0))
	}
}
