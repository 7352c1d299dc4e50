package trace

import (
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// Lens is a thin lens with a sensor behind it. Lengths in metres.
type Lens struct {
	At             geom.Vec
	Right, Up      geom.Vec // unit, in the picture
	Axis           geom.Vec // unit, out of the front
	Width, Height  float64  // of the sensor as held
	Image          float64  // from lens to sensor
	Focus          float64  // distance of the sharp plane along Axis
	Radius         float64  // of the opening; 0 is a pinhole
	Blades         int      // of the diaphragm; under 5: round
	ShiftX, ShiftY float64  // of the sensor's middle, metres, as seen in the picture
}

// ray gives the ray of picture point x, y (0 to 1 from the top left) through lens point u, v.
func (l *Lens) ray(x, y, u, v float64) (o, d geom.Vec) {
	d = l.Axis.Mul(l.Image).AddMul(l.Right, (x-0.5)*l.Width+l.ShiftX).AddMul(l.Up, (0.5-y)*l.Height+l.ShiftY)
	if l.Radius <= 0 {
		return l.At, d.Unit()
	}
	p := l.At.AddMul(d, l.Focus/l.Image)
	a, b := sample.Disc(u, v)
	if l.Blades >= 5 {
		a, b = bladed(a, b, l.Blades)
	}
	o = l.At.AddMul(l.Right, a*l.Radius).AddMul(l.Up, b*l.Radius)
	return o, p.Sub(o).Unit()
}

// bladed squeezes the unit disc into a regular polygon of the same area, evenly.
func bladed(a, b float64, n int) (float64, float64) {
	r, phi := math.Hypot(a, b), math.Atan2(b, a)
	w := 2 * math.Pi / float64(n)
	k := math.Floor(phi/w + 0.5)
	// Within one sector a point of the disc at angle s from the middle goes to the triangle by area.
	s := phi - k*w
	h := math.Tan(w/2) * (s / (w / 2))
	scale := math.Sqrt(math.Pi / (float64(n) * math.Tan(w/2)))
	sn, cs := math.Sincos(k * w)
	x, y := r*scale, r*scale*h
	return x*cs - y*sn, x*sn + y*cs
}
