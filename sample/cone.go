package sample

import (
	"math"

	"halfstop/geom"
)

// Cone returns a direction within the cone about +z whose half angle has the given versine
// 1-cosθmax, uniform.
//
// The versine, not the cosine, because a narrow cone's cosine has no digits left. 0 is a single
// direction, 2 the whole sphere.
func Cone(versine, u, v float64) geom.Vec {
	w := u * versine
	r := math.Sqrt(max(0, w*(2-w)))
	sin, cos := math.Sincos(2 * math.Pi * v)
	return geom.V(r*cos, r*sin, 1-w)
}

// ConePdf is the density of Cone at a direction whose own versine is given; 0 outside the cone.
func ConePdf(versine, at float64) float64 {
	if at > versine || versine <= 0 {
		return 0
	}
	return 1 / (2 * math.Pi * versine)
}

// Ball is a sphere as seen from a point: uniform over the solid angle it covers, which is the whole
// sphere from inside.
type Ball struct {
	frame   geom.Frame
	centre  geom.Vec // from the origin
	radius  float64
	versine float64
}

// SolidAngle returns what the ball covers, in steradian: 2π(1-cosθ), 4π from inside.
func (b *Ball) SolidAngle() float64 { return 2 * math.Pi * b.versine }

// Sample returns a unit direction that meets the ball, the distance to its surface that way, and
// the density. From inside it is the far side. Check: TestDirections, TestBallDistance.
func (b *Ball) Sample(u, v float64) (dir geom.Vec, dist, pdf float64) {
	l := Cone(b.versine, u, v)
	dir = b.frame.Out(l.X, l.Y, l.Z)
	p := b.centre.Dot(dir)
	off := b.centre.AddMul(dir, -p)
	half := math.Sqrt(max(0, b.radius*b.radius-off.Len2()))
	if b.versine == 2 {
		return dir, p + half, SpherePdf()
	}
	return dir, p - half, 1 / b.SolidAngle()
}

// Pdf is the density of Sample in a unit direction.
func (b *Ball) Pdf(dir geom.Vec) float64 {
	if b.versine == 2 {
		return SpherePdf()
	}
	// |dir - axis|² = 2·versine of the angle between them
	return ConePdf(b.versine, dir.Sub(b.frame.N).Len2()/2)
}
