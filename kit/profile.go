package kit

import (
	"math"

	"halfstop/photometry"
)

// A profile is relative intensity at 0, 1, … 180 degrees from the aim; profile[0] is 1. Nil is a
// Lambertian face: cosine.
type profile = []float64

const degrees = math.Pi / 180

// beamProfile is cosⁿ with n such that the intensity is half at half of the full angle beam. 120
// degrees is Lambertian (nil), 360 is even all round; between 180 and 360 a raised cosine that is
// half there. Check: TestBeamProfile.
func beamProfile(beam float64) profile {
	if beam == 0 || beam == 120 {
		return nil
	}
	p := make(profile, 181)
	half := beam / 2 * degrees
	for i := range p {
		c := math.Cos(float64(i) * degrees)
		switch {
		case beam >= 360:
			p[i] = 1
		case beam >= 179:
			// ((1 + cos θ)/2)^m, half at the half angle.
			m := math.Log(0.5) / math.Log((1+math.Cos(half))/2)
			p[i] = math.Pow((1+c)/2, m)
		case i < 90:
			p[i] = math.Pow(c, math.Log(0.5)/math.Log(math.Cos(half)))
		}
	}
	return p
}

// at reads a profile at an angle in degrees, straight between its steps.
func at(p profile, deg float64) float64 {
	if p == nil {
		return math.Max(0, math.Cos(deg*degrees))
	}
	i := int(deg)
	if i >= len(p)-1 {
		return p[len(p)-1]
	}
	f := deg - float64(i)
	return p[i] + f*(p[i+1]-p[i])
}

// lambert is the cosine written out.
func lambert() profile {
	p := make(profile, 181)
	for i := range 90 {
		p[i] = math.Cos(float64(i) * degrees)
	}
	return p
}

// celled is a profile behind cells that shut at cut degrees from the axis: a cell seen from θ shows
// 1 - tan θ/tan cut of its mouth (a square cell turned in one plane), so half the light is left at
// about half the angle.
func celled(p profile, cut float64) profile {
	if cut <= 0 || cut >= 90 {
		return p
	}
	out := make(profile, 181)
	for i := range out {
		if t := 1 - math.Tan(float64(i)*degrees)/math.Tan(cut*degrees); i < 90 && t > 0 {
			out[i] = at(p, float64(i)) * t
		}
	}
	return out
}

// shut is a profile whose light is stopped beyond cut degrees, with an edge 4 degrees wide because
// the lamp is not a point (common practice, no source).
func shut(p profile, cut float64) profile {
	if cut <= 0 {
		return p
	}
	out := make(profile, 181)
	for i := range out {
		d := float64(i)
		out[i] = at(p, d) * math.Min(1, math.Max(0, (cut+2-d)/4))
	}
	if k := out[0]; k > 0 {
		for i := range out {
			out[i] /= k
		}
	}
	return out
}

// flux is the light of a shape with unit intensity on its axis, in lm per cd: π for a Lambertian
// face, 4π for an even point, π² for a Lambertian tube (square to its axis I = L·d·l, flux
// π·L·π·d·l).
func flux(shape string, p profile) float64 {
	if shape == "tube" && p == nil {
		return math.Pi * math.Pi
	}
	if p == nil {
		return math.Pi
	}
	return photometry.Rotational(p).Flux()
}
