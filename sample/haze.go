package sample

import (
	"math"

	"halfstop/geom"
)

// leastG is where the Henyey–Greenstein inverse loses its digits and the uniform one serves: the
// density changes by less than 3e-6.
const leastG = 1e-6

// HG returns the cosine of a scattering angle (1 is straight on) with the Henyey–Greenstein density
// for mean cosine g in (-1, 1). Source: Henyey and Greenstein 1941; the inverse is textbook, from
// memory. Check: TestHG (G2).
func HG(g, u float64) float64 {
	if math.Abs(g) < leastG {
		return 2*u - 1
	}
	s := (1 - g*g) / (1 - g + 2*g*u)
	return clamp((1+g*g-s*s)/(2*g), -1, 1)
}

// HGPdf is the Henyey–Greenstein phase function at cosine cos of the scattering angle, per
// steradian.
func HGPdf(cos, g float64) float64 {
	d := max(1+g*g-2*g*cos, 1e-300)
	return (1 - g*g) / (4 * math.Pi * d * math.Sqrt(d))
}

// Scatter returns a direction in HG's distribution about +z, the way the light was going.
func Scatter(g, u, v float64) geom.Vec { return around(HG(g, u), v) }

// Line is a stretch of a ray, or a thin tube, as seen from a point: uniform in the angle it covers,
// which is the density to gather a point light along a ray (equiangular sampling, Kulla and Fajardo
// 2012) or a tube from a point.
type Line struct {
	from, to  float64 // distances along the line
	foot, h   float64 // where the point is nearest, and how near
	ta, span  float64 // angles at from; covered
	byLength  bool
	lengthPdf float64
}

// Sample returns a distance along the line and its density per metre, 0 for a line without length.
func (l *Line) Sample(u float64) (t, pdf float64) {
	if l.byLength {
		return l.from + u*(l.to-l.from), l.lengthPdf
	}
	t = clamp(l.foot+l.h*math.Tan(l.ta+u*l.span), l.from, l.to)
	return t, l.Pdf(t)
}

// Pdf is the density of Sample at distance t, per metre.
func (l *Line) Pdf(t float64) float64 {
	if t < l.from || t > l.to {
		return 0
	}
	if l.byLength {
		return l.lengthPdf
	}
	x := t - l.foot
	return l.h / (l.span * (l.h*l.h + x*x))
}

// Angle returns what the stretch covers, in radians.
func (l *Line) Angle() float64 { return max(0, l.span) }
