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
	// Rim is the radius of the barrel's front and rear rims as seen through the lens, 0 for none;
	// off the axis their middles move apart, each by RimShift metres for each metre off the axis on
	// the sensor. What all three circles leave open is a cat's eye.
	Rim, RimShift float64
}

// rim gives the middle of one rim's circle in the plane of the opening for picture point x, y,
// metres along Right and Up; the other's is opposite.
func (l *Lens) rim(x, y float64) (a, b float64) {
	return l.RimShift * ((x-0.5)*l.Width + l.ShiftX), l.RimShift * ((0.5-y)*l.Height + l.ShiftY)
}

// Open is the share of the opening that the rims leave free for picture point x, y (0 to 1 from the
// top left), the opening taken as round; 1 without rims. Check: TestRim.
func (l *Lens) Vignetting(x, y float64) float64 {
	if l.Rim <= 0 || l.Radius <= 0 {
		return 1
	}
	s, r, sum := math.Hypot(l.rim(x, y)), l.Radius, 0.0
	const n = 128
	for i := range n { // strips along the way to the corner
		b := (float64(i) + 0.5) / n * r
		sum += max(0, min(math.Sqrt(r*r-b*b), math.Sqrt(max(0, l.Rim*l.Rim-b*b))-s))
	}
	return min(1, sum*4*r/n/(math.Pi*r*r))
}

// ray gives the ray of picture point x, y (0 to 1 from the top left) through lens point u, v.
func (l *Lens) ray(x, y, u, v float64) (o, d geom.Vec) {
	d = l.Axis.Mul(l.Image).AddMul(l.Right, (x-0.5)*l.Width+l.ShiftX).AddMul(l.Up, (0.5-y)*l.Height+l.ShiftY)
	if l.Radius <= 0 {
		return l.At, d.Unit()
	}
	p := l.At.AddMul(d, l.Focus/l.Image)
	a, b := l.opening(x, y, u, v)
	o = l.At.AddMul(l.Right, a).AddMul(l.Up, b)
	return o, p.Sub(o).Unit()
}

// opening gives a point of what is open for picture point x, y, even over it: one that a rim hides
// is drawn again from a hash of the pair.
func (l *Lens) opening(x, y, u, v float64) (a, b float64) {
	ca, cb := l.rim(x, y)
	again := sample.New(math.Float64bits(u), math.Float64bits(v))
	for k := range uint32(24) {
		if k > 0 {
			u, v = again.Noise(k, 0), again.Noise(k, 1)
		}
		a, b = sample.Disc(u, v)
		if l.Blades >= 5 {
			a, b = bladed(a, b, l.Blades)
		}
		a, b = a*l.Radius, b*l.Radius
		if l.Rim <= 0 || max((a-ca)*(a-ca)+(b-cb)*(b-cb), (a+ca)*(a+ca)+(b+cb)*(b+cb)) <= l.Rim*l.Rim {
			return a, b
		}
	}
	return 0, 0
}

// bladed squeezes the unit disc into a regular polygon of the same area, evenly.
func bladed(a, b float64, n int) (float64, float64) {
	r, phi := math.Hypot(a, b), math.Atan2(b, a)
	w := 2 * math.Pi / float64(n)
	k := math.Floor(phi/w + 0.5)
	// Within one sector a point of the disc at angle s from the middle goes to the triangle by
	// area.
	s := phi - k*w
	h := math.Tan(w/2) * (s / (w / 2))
	scale := math.Sqrt(math.Pi / (float64(n) * math.Tan(w/2)))
	sn, cs := math.Sincos(k * w)
	x, y := r*scale, r*scale*h
	return x*cs - y*sn, x*sn + y*cs
}
