package sample

import (
	"math"

	"halfstop/geom"
)

// Directions below are about +z; turn them with geom.Frame.Out. Densities are per steradian.

// Disc returns a point of the unit disc, uniform in area (density 1/π); neighbours in the square
// stay neighbours. Source: Shirley and Chiu 1997. Check: TestDisc.
func Disc(u, v float64) (x, y float64) {
	a, b := 2*u-1, 2*v-1
	if a == 0 && b == 0 {
		return 0, 0
	}
	var r, phi float64
	if math.Abs(a) > math.Abs(b) {
		r, phi = a, math.Pi/4*(b/a)
	} else {
		r, phi = b, math.Pi/2-math.Pi/4*(a/b)
	}
	sin, cos := math.Sincos(phi)
	return r * cos, r * sin
}

// Cosine returns a direction of the upper hemisphere with density cosθ/π. Source: Malley's method,
// a lifted disc. Check: TestDirections.
func Cosine(u, v float64) geom.Vec {
	x, y := Disc(u, v)
	return geom.V(x, y, math.Sqrt(max(0, 1-x*x-y*y)))
}

// Sphere returns a direction of the whole sphere, uniform: density 1/4π.
func Sphere(u, v float64) geom.Vec { return around(2*u-1, v) }

// SpherePdf is the density of Sphere.
func SpherePdf() float64 { return 1 / (4 * math.Pi) }

// Dome returns a direction of the whole sphere as a half-ball meter dome about +z weighs it:
// density (1+cosθ)/4π.
//
// A dome's response to a light at θ from its axis is (1+cosθ)/2, that of the lit part of a
// hemisphere seen by the light; the cosine of the angle is 2√u - 1. Check: TestDirections.
func Dome(u, v float64) geom.Vec { return around(2*math.Sqrt(u)-1, v) }

// around returns the direction at cosine z from +z, at v turns about it.
func around(z, v float64) geom.Vec {
	r := math.Sqrt(max(0, (1-z)*(1+z)))
	sin, cos := math.Sincos(2 * math.Pi * v)
	return geom.V(r*cos, r*sin, z)
}
