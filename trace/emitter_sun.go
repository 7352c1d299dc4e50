package trace

import (
	"math"

	"halfstop/geom"
)

// sunBeam is the sun seen through a rectangle.
type sunBeam struct {
	rectangle          // its radiance is not used
	to        geom.Vec // unit, towards the middle of the sun
	frame     geom.Frame
	cosHalf   float64 // of half the disc's width
	luminance float64 // of the disc behind whatever fills the rectangle, cd/m²
	lux       float64 // at right angles to the beam
}

// SunRadius is half the mean width of the sun's disc, radians (0.533°; check D8).
const SunRadius = 0.533 / 2 * math.Pi / 180

// SunBeam returns the sun's disc of 0.533° in the direction to (unit, pointing out of the room),
// seen through the rectangle of centre c in frame f (N where its light goes), with the illuminance
// lux at right angles to the beam, in the room. Check: TestSunBeam.
func SunBeam(layer int, c geom.Vec, f geom.Frame, w, h float64, to geom.Vec, lux float64) *Emitter {
	r := Rectangle(layer, c, f, w, h, 1, nil, false).shape.(*rectangle)
	b := &sunBeam{rectangle: *r, to: to, frame: geom.FrameOf(to), cosHalf: math.Cos(SunRadius), lux: lux}
	// An even disc under half angle a gives E = π L sin²a on a plane that faces it.
	b.luminance = lux / (math.Pi * math.Sin(SunRadius) * math.Sin(SunRadius))
	return newEmitter(layer, b)
}

// through is the distance at which a ray from x along d passes the rectangle; false where it does
// not.
func (b *sunBeam) through(x, d geom.Vec) (float64, bool) {
	dn := d.Dot(b.n)
	if dn >= 0 {
		return 0, false
	}
	t := b.corner.Sub(x).Dot(b.n) / dn
	if !(t > 0) {
		return 0, false
	}
	p := x.AddMul(d, t).Sub(b.corner)
	u, v := p.Dot(b.ex)/(b.lx*b.lx), p.Dot(b.ey)/(b.ly*b.ly)
	return t, u >= 0 && u <= 1 && v >= 0 && v <= 1
}

func (b *sunBeam) pdf() float64 { return 1 / (2 * math.Pi * (1 - b.cosHalf)) }

func (b *sunBeam) sample(x geom.Vec, u, v float64, s *lightSample) bool {
	cos := 1 - u*(1-b.cosHalf)
	r := math.Sqrt(max(0, 1-cos*cos))
	sn, cs := math.Sincos(2 * math.Pi * v)
	s.w = b.frame.Out(r*cs, r*sn, cos)
	t, ok := b.through(x, s.w)
	if !ok {
		return false
	}
	s.dist, s.le, s.pdf, s.dirac = t, b.luminance, b.pdf(), false
	return true
}

func (b *sunBeam) hit(o, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	if d.Dot(b.to) < b.cosHalf {
		return
	}
	if t, ok = b.through(o, d); !ok || t >= tmax {
		return 0, 0, 0, false
	}
	return t, b.luminance, b.pdf(), true
}

func (b *sunBeam) flux() float64 { return b.lux * math.Abs(b.to.Dot(b.n)) * b.lx * b.ly }
