package spectrum

import (
	"math"
	"sync"
)

// Display is an RGB encoding with white D65 and the sRGB transfer curve.
type Display struct {
	Name        string
	toXYZ, from [3][3]float64
	fromCone    [3][3]float64 // Oklab's cone responses to linear r, g, b
	cusps       func() *[360]cusp
}

var (
	// SRGB is IEC 61966-2-1. Check: TestDisplays.
	SRGB = newDisplay("sRGB", XY{0.64, 0.33}, XY{0.30, 0.60}, XY{0.15, 0.06})
	// DisplayP3 has the P3 primaries, white D65 and the sRGB curve.
	DisplayP3 = newDisplay("Display P3", XY{0.680, 0.320}, XY{0.265, 0.690}, XY{0.150, 0.060})
)

func newDisplay(name string, r, g, b XY) *Display {
	white := XY{0.3127, 0.3290}.XYZ(1)
	var m [3][3]float64
	for j, p := range []XY{r, g, b} {
		t := p.XYZ(1)
		m[0][j], m[1][j], m[2][j] = t.X, t.Y, t.Z
	}
	inv, _ := invert(m)
	s := apply(inv, [3]float64{white.X, white.Y, white.Z})
	for i := range m {
		for j := range m[i] {
			m[i][j] *= s[j]
		}
	}
	d := &Display{Name: name, toXYZ: m}
	d.from, _ = invert(m)
	cone, _ := invert(oklabCone)
	d.fromCone = multiply(d.from, cone)
	d.cusps = sync.OnceValue(d.findCusps)
	return d
}

// XYZ returns the colour of linear r, g, b (0 to 1). White has Y = 1.
func (d *Display) XYZ(linear [3]float64) XYZ {
	v := apply(d.toXYZ, linear)
	return XYZ{v[0], v[1], v[2]}
}

// Linear returns linear r, g, b of a colour. A value outside 0 to 1 is out of the display's gamut;
// Map brings it inside.
func (d *Display) Linear(t XYZ) [3]float64 { return apply(d.from, [3]float64{t.X, t.Y, t.Z}) }

// Encode applies the sRGB transfer curve to 0 to 1. Values outside are clipped; NaN reads as 0.
func Encode(v float64) float64 {
	switch {
	case !(v > 0):
		return 0
	case v >= 1:
		return 1
	case v <= 0.0031308:
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// Decode is the inverse of Encode.
func Decode(v float64) float64 {
	switch {
	case !(v > 0):
		return 0
	case v >= 1:
		return 1
	case v <= 0.04045:
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

// Oklab matrices from XYZ (D65). Source: Ottosson 2020, 'A perceptual color space for image
// processing' (from memory; checked by the white coming out at 1, 0, 0 and by round trip).
var (
	oklabCone = [3][3]float64{{0.8189330101, 0.3618667424, -0.1288597137}, {0.0329845436, 0.9293118715,
		0.0361456387}, {0.0482003018, 0.2643662691, 0.6338517070}}
	oklabLab = [3][3]float64{{0.2104542553, 0.7936177850, -0.0040720468}, {1.9779984951, -2.4285922050,
		0.4505937099}, {0.0259040371, 0.7827717662, -0.8086757660}}
	oklabLabInverse, _ = invert(oklabLab)
)

func oklab(t XYZ) [3]float64 {
	v := apply(oklabCone, [3]float64{t.X, t.Y, t.Z})
	for i := range v {
		v[i] = math.Cbrt(v[i])
	}
	return apply(oklabLab, v)
}

// fromOklab returns linear r, g, b of an Oklab colour.
func (d *Display) fromOklab(c [3]float64) [3]float64 {
	v := apply(oklabLabInverse, c)
	for i := range v {
		v[i] = v[i] * v[i] * v[i]
	}
	return apply(d.fromCone, v)
}

// cusp is the colour of greatest chroma that a display has in one hue, in Oklab.
type cusp struct{ L, C float64 }

// findCusps walks the six edges of the RGB cube that carry the greatest chroma. The result is by
// hue in whole degrees.
func (d *Display) findCusps() *[360]cusp {
	var out [360]cusp
	corners := [][3]float64{{1, 0, 0}, {1, 1, 0}, {0, 1, 0}, {0, 1, 1}, {0, 0, 1}, {1, 0, 1}, {1, 0, 0}}
	const steps = 1000
	for k := 0; k < 6; k++ {
		for s := 0; s < steps; s++ {
			t := float64(s) / steps
			t *= t
			if k%2 == 1 {
				t = 1 - (1-float64(s)/steps)*(1-float64(s)/steps)
			}
			var rgb [3]float64
			for i := range rgb {
				rgb[i] = corners[k][i]*(1-t) + corners[k+1][i]*t
			}
			c := oklab(d.XYZ(rgb))
			h := int(hueDegrees(c[1], c[2])) % 360
			if chroma := math.Hypot(c[1], c[2]); chroma > out[h].C {
				out[h] = cusp{c[0], chroma}
			}
		}
	}
	for h := range out {
		if out[h].C == 0 {
			out[h] = out[(h+359)%360]
		}
	}
	return &out
}

// Map returns linear r, g, b in 0 to 1 for any colour (white has Y = 1), with the hue kept (gamut
// mapping).
//
// A colour inside the gamut does not change. Any other moves in Oklab, at its own hue, straight
// towards the grey of the cusp's lightness, until it is inside. So a bright saturated red lamp
// stays red: clipping each channel would make it orange. NaN reads as black. Check:
// TestMapKeepsHue.
func (d *Display) Map(t XYZ) [3]float64 {
	if math.IsNaN(t.X+t.Y+t.Z) || math.IsInf(t.X+t.Y+t.Z, 0) || !(t.Y > 0) {
		return [3]float64{}
	}
	rgb := d.Linear(t)
	if inside(rgb, 1e-7) {
		return clipped(rgb)
	}
	c := oklab(t)
	chroma := math.Hypot(c[1], c[2])
	if chroma < 1e-6 {
		g := clampTo(t.Y, 0, 1)
		return [3]float64{g, g, g}
	}
	peak := d.cusps()[int(hueDegrees(c[1], c[2]))%360]
	anchor := clampTo(peak.L, 0, 1)
	at := func(s float64) [3]float64 {
		return d.fromOklab([3]float64{anchor + s*(c[0]-anchor), s * c[1], s * c[2]})
	}
	lo, hi := 0.0, 1.0
	// Sixteen bisections: finer than one step of a 16-bit code.
	for range 16 {
		mid := (lo + hi) / 2
		if inside(at(mid), 1e-6) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return clipped(at(lo))
}

// Tint returns linear r, g, b of chromaticity c at luminance Y (clamped to 0 to 1), for a mark that
// stands for a light. Out of gamut it moves towards the grey of the same Y. What is no chromaticity
// gives that grey. Check: TestTint.
func (d *Display) Tint(c XY, Y float64) [3]float64 {
	if !(Y > 0) {
		return [3]float64{}
	}
	Y = math.Min(Y, 1)
	grey := [3]float64{Y, Y, Y}
	v := d.Linear(c.XYZ(Y))
	if !(c.Y > 0) || math.IsNaN(v[0]+v[1]+v[2]) || math.IsInf(v[0]+v[1]+v[2], 0) {
		return grey
	}
	// The largest saturation at which all three channels stay inside. Each channel bounds it
	// linearly.
	share := 1.0
	for _, x := range v {
		switch {
		case x < 0:
			share = math.Min(share, Y/(Y-x))
		case x > 1:
			share = math.Min(share, (1-Y)/(x-Y))
		}
	}
	for i := range v {
		v[i] = clampTo(grey[i]+share*(v[i]-grey[i]), 0, 1)
	}
	return v
}

func inside(v [3]float64, slack float64) bool {
	for _, x := range v {
		if !(x >= -slack && x <= 1+slack) {
			return false
		}
	}
	return true
}

func clipped(v [3]float64) [3]float64 {
	for i, x := range v {
		v[i] = clampTo(x, 0, 1)
	}
	return v
}
