package picture

import (
	"math"

	"halfstop/spectrum"
)

// Rendering is how scene light becomes print: the tone curve, and the veiling glare of the lens.
// The zero Rendering is Plain without glare. Readings, histograms and views in stops are of the
// scene and know nothing of it.
type Rendering struct {
	// A sigmoid y = scale·xⁿ/(xⁿ + half), 1 from Clipped on; n 0: Plain, or where straight is set
	// Straight.
	n, half, scale float64
	straight       bool
	// Glare is the lens's veiling glare: the share of the frame's mean light that lies over all of
	// it.
	Glare float64
}

// DefaultContrast is the gradient of Standard at mid-grey, in stops of print for a stop of the
// scene: between the 1.25 for pictures looked at in a dim room and the 1.5 for a dark one
// (Bartleson and Breneman, J. Opt. Soc. Am. 57, 1967; from memory), and about what cameras'
// standard pictures have there (common practice, no source).
const DefaultContrast = 1.35

// DefaultGlare is the veiling glare of a good photographic lens: ISO 9358 measures 1 to 3 per cent
// of them (from memory).
const DefaultGlare = 0.01

// Contrast that a Standard may have: under the lowest the sigmoid through mid-grey and the clip has
// no shoulder, over the highest nothing but black and white is left of a face.
const LeastContrast, MostContrast = 1.05, 2.0

// Standard is a rendering like a camera's standard picture: a sigmoid in the logarithm of light, as
// characteristic curves are (Hurter and Driffield 1890), in the form of Naka and Rushton (J.
// Physiol. 185, 1966): mid-grey stays mid-grey with the gradient contrast, the sensor's clip
// becomes white, shadows have a toe and highlights a shoulder. contrast is held to LeastContrast
// and MostContrast; 0 is DefaultContrast. Check: TestStandard.
func Standard(contrast float64) Rendering {
	if contrast == 0 {
		contrast = DefaultContrast
	}
	contrast = min(MostContrast, max(LeastContrast, contrast))
	// Through (MidGrey, MidGrey) and (Clipped, 1) there is one sigmoid for each n; its gradient at
	// mid-grey grows with n.
	of := func(n float64) (r Rendering, gradient float64) {
		a, b := math.Pow(MidGrey, n), math.Pow(Clipped, n)
		half := (1 - MidGrey) * a * b / (MidGrey*b - a)
		return Rendering{n: n, half: half, scale: (b + half) / b}, n * half / (a + half)
	}
	lo, hi := 1.0, 8.0
	for range 60 {
		mid := (lo + hi) / 2
		if r, g := of(mid); !(r.half > 0) || g < contrast {
			lo = mid
		} else {
			hi = mid
		}
	}
	r, _ := of(hi)
	r.Glare = DefaultGlare
	return r
}

// Plain is straight to 1.5 stops over mid-grey, then a shoulder to the clip: the least that keeps
// highlights; see Tone.
func Plain() Rendering { return Rendering{} }

// Straight is light as it is, cut at the clip, for work in other programs.
func Straight() Rendering { return Rendering{straight: true} }

// Tone gives the display's light, 0 to 1, for light on the scale where mid-grey is 0.18.
func (r Rendering) Tone(x float64) float64 {
	switch {
	case !(x > 0):
		return 0
	case r.straight:
		return min(1, x)
	case r.n == 0:
		return Tone(x)
	case x >= Clipped:
		return 1
	}
	p := math.Pow(x, r.n)
	return min(1, r.scale*p/(p+r.half))
}

// Constants gives n, half and scale of a Standard, zeros for others, and whether it is Straight.
func (r Rendering) Constants() (n, half, scale float64, straight bool) {
	return r.n, r.half, r.scale, r.straight
}

// veiled lays the lens's glare over a picture: the share of each pixel's light that is lost to it,
// and everywhere the mean of all. The picture is left as it is.
func (r Rendering) veiled(px []spectrum.XYZ) []spectrum.XYZ {
	if r.Glare == 0 || len(px) == 0 {
		return px
	}
	var m spectrum.XYZ
	for _, p := range px {
		if p.Y < math.MaxFloat64 { // no veil of what is no number
			m.X, m.Y, m.Z = m.X+p.X, m.Y+p.Y, m.Z+p.Z
		}
	}
	k, own := r.Glare/float64(len(px)), 1-r.Glare
	out := make([]spectrum.XYZ, len(px))
	for i, p := range px {
		out[i] = spectrum.XYZ{X: own*p.X + k*m.X, Y: own*p.Y + k*m.Y, Z: own*p.Z + k*m.Z}
	}
	return out
}

// gains is Tone(x)/x as straight lines over the logarithm of x, sixteen steps a stop, from 16 stops
// under the clip to it: within 0.1 % of itself.
type gains struct {
	r    Rendering
	step [16*16 + 2]float32
}

func gainsOf(r Rendering) *gains {
	g := &gains{r: r}
	for i := range g.step {
		x := Clipped * math.Exp2(float64(i)/16-16)
		g.step[i] = float32(r.Tone(min(x, Clipped)) / min(x, Clipped))
	}
	return g
}

// at is for x above zero.
func (g *gains) at(x float64) float64 {
	if g.r.n == 0 {
		if g.r.straight {
			return min(1, 1/x)
		}
		return gain(x)
	}
	if x >= Clipped {
		return 1 / x
	}
	u := (math.Log2(x/Clipped) + 16) * 16
	if !(u > 0) {
		return g.r.Tone(x) / x
	}
	i := int(u)
	return float64(g.step[i]) + float64(g.step[i+1]-g.step[i])*(u-float64(i))
}

// Scene gives the light that Tone makes the display's light y of, 0 to 1: mid-grey 0.18. At 1 it
// is Clipped, the least that does so.
func (r Rendering) Scene(y float64) float64 {
	switch {
	case !(y > 0):
		return 0
	case r.straight:
		return min(1, y)
	case y >= 1:
		return Clipped
	case r.n != 0:
		return min(Clipped, math.Pow(y*r.half/(r.scale-y), 1/r.n))
	case y <= join:
		return y
	}
	const p = (Clipped - join) / (1 - join)
	return Clipped - (Clipped-join)*math.Pow((1-y)/(1-join), 1/p)
}
