package daylight

import (
	"math"

	"halfstop/geom"
)

// Sky is a distribution of luminance over the hemisphere in the form of the CIE standard general
// sky (ISO 15469:2004), which is also that of the all-weather form of Perez, Seals & Michalsky
// 1993: a gradation from zenith to horizon (A, B) times a scattering indicatrix about the sun (C,
// D, E).
type Sky struct{ A, B, C, D, E float64 }

// general are the fifteen skies of ISO 15469:2004, table 1, in the standard's order.
var general = [15]Sky{
	{4, -0.70, 0, -1.0, 0}, {4, -0.70, 2, -1.5, 0.15}, {1.1, -0.8, 0, -1.0, 0}, {1.1, -0.8, 2, -1.5, 0.15}, {0, -1, 0,
		-1.0, 0},
	{0, -1, 2, -1.5, 0.15}, {0, -1, 5, -2.5, 0.30}, {0, -1, 10, -3.0, 0.45}, {-1, -0.55, 2, -1.5, 0.15}, {-1, -0.55,
		5, -2.5, 0.30},
	{-1, -0.55, 10, -3.0, 0.45}, {-1, -0.32, 10, -3.0, 0.45}, {-1, -0.32, 16, -3.0, 0.30}, {-1, -0.15, 16, -3.0,
		0.30}, {-1, -0.15, 24, -2.8, 0.15},
}

// General is the sky of a type from 1 to 15; false for another number.
func General(kind int) (Sky, bool) {
	if kind < 1 || kind > len(general) {
		return Sky{}, false
	}
	return general[kind-1], true
}

// Relative is the luminance against the zenith's: of a place at an angle z from the zenith, chi
// from a sun that stands at zs from the zenith; radians. ISO 15469: L/Lz = f(chi) phi(z) / (f(zs)
// phi(0)). At and under the horizon the gradation is 1. Check: TestGeneralSkies (D3).
func (s Sky) Relative(z, chi, zs float64) float64 {
	return s.indicatrix(chi) * s.gradation(z) / (s.indicatrix(zs) * s.gradation(0))
}

func (s Sky) gradation(z float64) float64 {
	c := math.Cos(z)
	if c <= 1e-9 {
		return 1
	}
	return 1 + s.A*math.Exp(s.B/c)
}

func (s Sky) indicatrix(chi float64) float64 {
	c := math.Cos(chi)
	return 1 + s.C*(math.Exp(s.D*chi)-math.Exp(s.D*math.Pi/2)) + s.E*c*c
}

// Toward is Relative for unit directions: where one looks, and where the sun stands. A sun under
// the horizon counts as on it.
func (s Sky) Toward(dir, sun geom.Vec) float64 {
	if dir.Z <= 0 {
		return 0
	}
	sun = aboveHorizon(sun)
	angle := func(c float64) float64 { return math.Acos(max(-1, min(1, c))) }
	return s.Relative(angle(dir.Z), angle(dir.Dot(sun)), angle(sun.Z))
}

func aboveHorizon(sun geom.Vec) geom.Vec {
	if sun.Z >= 0 {
		return sun
	}
	if h := math.Hypot(sun.X, sun.Y); h > 1e-9 {
		return geom.V(sun.X/h, sun.Y/h, 0)
	}
	return geom.V(1, 0, 0)
}

// Illuminance is what a plane with unit normal n gets from the sky above the horizon, lx per cd/m²
// of the zenith (sr). seen, where not nil, is the share of a direction's light that arrives. By the
// midpoint rule over 60 × 120 patches: under 0.1 % (TestGeneralSkies, D4).
func (s Sky) Illuminance(n, sun geom.Vec, seen func(dir geom.Vec) float64) float64 {
	const rows, columns = 60, 120
	sum := 0.0
	for i := range rows {
		z := (float64(i) + 0.5) / rows // even in height over the horizon: every patch has the same solid angle
		r := math.Sqrt(1 - z*z)
		for j := range columns {
			sn, cs := math.Sincos(2 * math.Pi * (float64(j) + 0.5) / columns)
			d := geom.V(r*cs, r*sn, z)
			c := d.Dot(n)
			if c <= 0 {
				continue
			}
			l := s.Toward(d, sun) * c
			if seen != nil {
				l *= seen(d)
			}
			sum += l
		}
	}
	return sum * 2 * math.Pi / (rows * columns)
}

// Direction is the unit vector towards an altitude and an azimuth (degrees, east of north) on a
// plan whose north is turned anticlockwise from +y by planNorth degrees.
func Direction(altitude, azimuth, planNorth float64) geom.Vec {
	const rad = math.Pi / 180
	sn, cs := math.Sincos(altitude * rad)
	a, b := math.Sincos((azimuth - planNorth) * rad)
	return geom.V(cs*a, cs*b, sn)
}
