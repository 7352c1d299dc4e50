package sheet

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/quantity"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A bare point gives a level of log2(1/d²): its contours
// are circles. Closed form (inverse square law).
func TestContourOfPointSource(t *testing.T) {
	const h, step = 0.4, 0.05
	f := &Field{X0: -3, Y0: -3, DX: step, DY: step, NX: 121, NY: 121}
	for j := 0; j < f.NY; j++ {
		for i := 0; i < f.NX; i++ {
			x, y := f.X0+step*float64(i), f.Y0+step*float64(j)
			f.Stops = append(f.Stops, math.Log2(1/(x*x+y*y+h*h)))
		}
	}
	for _, level := range []float64{2, 1, 0, -1, -2} {
		r := math.Sqrt(math.Exp2(-level) - h*h)
		lines := f.contours(level)
		if len(lines) != 1 || !lines[0].closed {
			t.Fatalf("level %v: %d lines, want one loop", level, len(lines))
		}
		for _, p := range lines[0].pts {
			// Linear interpolation errs by step²/8 · |f''/f'|; near
			// the middle |f''/f'| stays under 1/r + 4 a metre.
			if e := math.Abs(p.len() - r); e > step*step/8*(1/r+4) {
				t.Errorf("level %v: radius %.5f, want %.5f", level, p.len(), r)
			}
		}
		// Chaikin's corner cutting draws a polygon inwards by at most a quarter of its sagitta.
		for _, p := range rounded(lines[0]).pts {
			if e := math.Abs(p.len() - r); e > 0.004 {
				t.Errorf("level %v, rounded: radius %.5f, want %.5f", level, p.len(), r)
			}
		}
	}
}

// The filter keeps a plane slope as it is, and takes three
// quarters off a lone spike (binomial weight 4/16).
func TestCalmed(t *testing.T) {
	f := &Field{DX: 1, DY: 1, NX: 5, NY: 5, Stops: make([]float64, 25)}
	for i := range f.Stops {
		f.Stops[i] = float64(i%5) + 2*float64(i/5)
	}
	for i, v := range f.calmed().Stops {
		if v != f.Stops[i] {
			t.Errorf("node %d: %v, want %v", i, v, f.Stops[i])
		}
	}
	f.Stops = make([]float64, 25)
	f.Stops[12] = 1
	if v := f.calmed().Stops[12]; v != 0.25 {
		t.Errorf("spike: %v, want 0.25", v)
	}
}

func TestContourSkipsHoles(t *testing.T) {
	n := math.NaN()
	f := &Field{DX: 1, DY: 1, NX: 3, NY: 3, Stops: []float64{0, 0, 0, 1, n, 1, math.Inf(-1), 1, 1}}
	for _, s := range f.contours(0.5) {
		for _, p := range s.pts {
			if math.IsNaN(p.x + p.y) {
				t.Error("a contour runs into a hole")
			}
		}
	}
}

// The colour of a light on paper has luminance 0.16 whatever its hue, keeps its chromaticity where
// the gamut allows, and is pulled straight towards grey where not. Luminance: IEC 61966-2-1.
func TestTintKeepsLuminance(t *testing.T) {
	decode := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	for _, c := range [][3]float64{{1, 1, 1}, {1.3, 0.47, 0.32}, {0.6, 0.84, 1.36}, {0, 0, 1}, {1, 0, 0},
		{1.2, 0.9, -0.2}, {0, 0, 0}, {1e-9, 2e-9, 1e-9}} {
		k := tinted(c, printY)
		r, g, b := decode(k.r), decode(k.g), decode(k.b)
		y := 0.2126*r + 0.7152*g + 0.0722*b
		// One step of the 8-bit code is at most 0.0036 of
		// linear light at this level; the sum rounds less.
		if math.Abs(y-printY) > 0.0036 {
			t.Errorf("%v: luminance %.4f, want %.2f", c, y, printY)
		}
		l := 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2]
		want := [3]float64{c[0] * printY / l, c[1] * printY / l, c[2] * printY / l}
		inside := true
		for _, v := range want {
			inside = inside && v >= 0 && v <= 1
		}
		if inside && (math.Abs(r-want[0]) > 0.004 || math.Abs(g-want[1]) > 0.004 || math.Abs(b-want[2]) > 0.006) {
			t.Errorf("%v: %.3f %.3f %.3f, want %.3f", c, r, g, b, want)
		}
	}
	// Pure blue at Y 0.16 would need 2.2 of blue: it ends at full blue with grey mixed in, red
	// equal to green.
	if k := tinted([3]float64{0, 0, 1}, printY); k.b != 255 || k.r != k.g || k.r == 0 {
		t.Errorf("blue: %v", k)
	}
}

// Whole stops after ISO 517; tenths follow from N = 2^(v/2):
// f/4 + 0.2 is 4.287, as language.md reads f/4².
func TestFNumberParts(t *testing.T) {
	for _, c := range []struct {
		n           float64
		whole, tail string
	}{{4, "4", "⁰"}, {4.287, "4", "²"}, {5.6, "5.6", "⁰"}, {5.657, "5.6", "⁰"}, {2.8, "2.8", "⁰"},
		{11.314, "11", "⁰"}, {22.627, "22", "⁰"}, {1, "1", "⁰"},
		{1.93, "1.4", "⁹"}, {0.95, "0.7", "⁹"}, {1.189, "1", "⁵"}, {0, "–", ""}, {math.Inf(1), "–", ""},
		{math.NaN(), "–", ""}} {
		if w, s := fParts(quantity.FNumber(c.n)); w != c.whole || s != c.tail {
			t.Errorf("%v: f/%s%s, want f/%s%s", c.n, w, s, c.whole, c.tail)
		}
	}
}

// What is set on a lens is an engraved number of the third-stop series, nominal or exact.
func TestApertureAsSet(t *testing.T) {
	for n, want := range map[float64]string{4: "4", 11: "11", 11.314: "11", 3.5: "3.5", 6.3: "6.3", 4.29: "4²",
		0: "–"} {
		if got := aperture(quantity.FNumber(n)); got != want {
			t.Errorf("%v: %q, want %q", n, got, want)
		}
	}
}

// 1 ft = 0.3048 m and 1 in = 25.4 mm exactly (international foot, 1959).
func TestLengths(t *testing.T) {
	for _, c := range []struct {
		m    float64
		feet bool
		want string
	}{{2.3, false, "2.30"}, {-0.25, false, "−0.25"}, {0.3048, true, "1′ 0″"}, {2.3876, true, "7′ 10″"},
		{0.0127, true, "½″"}, {0.3175, true, "1′ 0½″"},
		{0.1524, true, "6″"}, {-1.2192, true, "−4′ 0″"}, {0.3047, true, "1′ 0″"}, {math.NaN(), false, "–"}} {
		if got := (ruler{c.feet}).length(c.m); got != c.want {
			t.Errorf("%v m: %q, want %q", c.m, got, c.want)
		}
	}
	for v, want := range map[float64]string{-1.14: "−1.1", 0.04: "±0.0", 1.06: "+1.1", -0.04: "±0.0"} {
		if got := signed(v, 1); got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
		}
	}
}

// A cut typeface keeps the outlines of the letters it was cut to, and nothing else.
func TestSubsetKeepsOutlines(t *testing.T) {
	for _, w := range []int{400, 500, 600} {
		c := cutOf(w)
		used := map[rune]bool{'A': true, 'é': true, '4': true, '²': true, '−': true}
		b := c.subset(used)
		f, err := sfnt.Parse(b)
		if err != nil {
			t.Fatal(err)
		}
		var buf, ref sfnt.Buffer
		for r := range used {
			g, _ := f.GlyphIndex(&buf, r)
			a, err := f.LoadGlyph(&buf, g, fixed.I(upem), nil)
			if err != nil || len(a) == 0 {
				t.Errorf("%d %c: %v, %d segments", w, r, err, len(a))
			}
			o, _ := c.font.LoadGlyph(&ref, g, fixed.I(upem), nil)
			if len(a) != len(o) {
				t.Errorf("%d %c: %d segments, want %d", w, r, len(a), len(o))
				continue
			}
			for i := range a {
				if a[i] != o[i] {
					t.Errorf("%d %c: segment %d differs", w, r, i)
				}
			}
		}
		g, _ := f.GlyphIndex(&buf, 'Q')
		if a, _ := f.LoadGlyph(&buf, g, fixed.I(upem), nil); len(a) > 0 {
			t.Errorf("%d: Q was to be cut", w)
		}
		if checksum(b) != 0xB1B0AFBA {
			t.Errorf("%d: the file's checksum is off", w)
		}
		if len(b) > len(c.raw)*3/4 {
			t.Errorf("%d: %d bytes of %d kept", w, len(b), len(c.raw))
		}
	}
}

// Bodies are drawn at true size: seen square on, the
// silhouette is the face; the depth shows from above.
func TestBodiesAtTrueSize(t *testing.T) {
	extent := func(b Body) geom.Vec {
		all, _ := b.cloud()
		x := geom.Empty()
		for _, p := range all {
			x = x.Grow(p)
		}
		return x.Size()
	}
	at, aim := geom.V(0, 0, 2), geom.V(0, 3, 2)
	for _, c := range []struct {
		b    Body
		want geom.Vec
	}{
		{Body{At: at, Aim: aim, Shape: Rectangle, Width: 0.9, Height: 0.6, Depth: 0.35}, geom.V(0.9, 0.35, 0.6)},
		{Body{At: at, Aim: aim, Shape: Round, Width: 0.5, Depth: 0.2}, geom.V(0.5, 0.2, 0.5)},
		{Body{At: at, Aim: aim, Shape: Octagon, Width: 1.5, Depth: 0.4}, geom.V(1.5, 0.4, 1.5)},
		{Body{At: at, Aim: aim, Shape: Umbrella, Width: 1.1, Depth: 0.3}, geom.V(1.1, 0.3, 1.1)},
		{Body{At: at, Aim: aim, Shape: Ball, Width: 0.4}, geom.V(0.4, 0.4, 0.4)},
		{Body{At: at, Aim: geom.V(0, 0, 0), Shape: Tube, Width: 1.2, Height: 0.04}, geom.V(1.2, 0.04, 0.04)},
		{Body{At: at, Aim: at, Shape: Round, Width: 0.5, Depth: 0.2}, geom.V(0.5, 0.5, 0.2)},
	} {
		// Exact but for the 32 and 24 corners of circles: cos(π/24) leaves at most 0.9 %.
		if got := extent(c.b); got.Sub(c.want).Len() > 0.009*c.want.Len() {
			t.Errorf("%s: %.3f, want %.3f", c.b.Shape, got, c.want)
		}
	}
}

// A standing person is as tall as stated, a seated one sits
// on the seat and is taller than it by half a body.
func TestPersonToScale(t *testing.T) {
	top := func(s Sitter, facing float64) (lo, hi float64) {
		lo, hi = math.Inf(1), math.Inf(-1)
		for _, part := range s.fromSide(facing) {
			b := boundsOf(part)
			lo, hi = math.Min(lo, b.y0), math.Max(hi, b.y1)
		}
		return
	}
	for _, h := range []float64{1.2, 1.7, 2.0} {
		for _, a := range []float64{0, 1, math.Pi / 2, 3} {
			lo, hi := top(Sitter{Stature: h}, a)
			// Head centre 0.928 and half height 0.071 give 0.999; 1 % is a line's width at 1:50.
			if math.Abs(lo) > 0.01*h || math.Abs(hi-h) > 0.01*h {
				t.Errorf("stature %v facing %v: from %.3f to %.3f", h, a, lo, hi)
			}
			_, hi = top(Sitter{Stature: h, Pose: PoseSeated, Seat: 0.45}, a)
			if want := 0.45 + 0.53*h; math.Abs(hi-want) > 0.02*h {
				t.Errorf(
					"seated, stature %v: top at %.3f, want about %.3f (sitting height 0.52 to 0.54 of stature, "+
						"common practice, no source)", h, hi, want)
			}
		}
	}
}

// Cutting a line by boxes leaves exactly the rest.
func TestGapsInLines(t *testing.T) {
	line := sub{[]xy{{0, 0}, {10, 0}}, false}
	rest := without(line, []rect{{2, -1, 3, 1}, {5, -1, 7, 1}})
	if len(rest) != 3 {
		t.Fatalf("%d parts, want 3", len(rest))
	}
	sum := 0.0
	for _, s := range rest {
		sum += lengthOf(s)
	}
	if math.Abs(sum-7) > 1e-9 {
		t.Errorf("%.3f left, want 7", sum)
	}
	loop := sub{circle(xy{0, 0}, 5), true}
	cut := without(loop, []rect{{4, -1, 6, 1}})
	if len(cut) != 1 || cut[0].closed {
		t.Errorf("a loop with one gap is %d lines", len(cut))
	}
	inside := within(sub{[]xy{{-5, 1}, {5, 1}}, false}, []xy{{0, 0}, {2, 0}, {2, 2}, {0, 2}})
	if len(inside) != 1 || math.Abs(lengthOf(inside[0])-2) > 1e-9 {
		t.Errorf("inside: %v", inside)
	}
}
