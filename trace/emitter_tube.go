package trace

import (
	"math"

	"halfstop/geom"
)

// tube is one straight Lambertian cylinder without ends.
type tube struct {
	a, axis geom.Vec // one end; unit direction to the other
	l, r    float64
	le      float64
}

// Tube returns a straight Lambertian tube from a to b of given diameter and luminance. A bent tube
// is several. Check: B4.
func Tube(layer int, a, b geom.Vec, diameter, le float64) *Emitter {
	d := b.Sub(a)
	return newEmitter(layer, &tube{a, d.Unit(), d.Len(), diameter / 2, le})
}

// sample draws a place along the tube by the angle that it subtends (equiangular), then a place
// across the half of the cylinder that x sees, even over its width.
func (q *tube) sample(x geom.Vec, u, v float64, s *lightSample) bool {
	z0, h, e := q.local(x)
	if h <= q.r {
		return false
	}
	a0, a1 := math.Atan2(-z0, h), math.Atan2(q.l-z0, h)
	z := z0 + h*math.Tan(a0+u*(a1-a0))
	z = min(q.l, max(0, z))
	phi := q.halfAngle(h) * (2*v - 1)
	f := q.axis.Cross(e)
	sp, cp := math.Sincos(phi)
	n := e.Mul(cp).Add(f.Mul(sp))
	p := q.a.AddMul(q.axis, z).AddMul(n, q.r)
	d := p.Sub(x)
	s.dist = d.Len()
	s.w = d.Mul(1 / s.dist)
	cos := -s.w.Dot(n)
	if cos <= 1e-9 {
		return false
	}
	s.le, s.dirac = q.le, false
	s.pdf = q.density(z-z0, h, a1-a0) * s.dist * s.dist / cos
	return s.pdf > 0
}

// local gives x's height along the axis, its distance from it, and the unit direction from the axis
// to x.
func (q *tube) local(x geom.Vec) (z, h float64, e geom.Vec) {
	d := x.Sub(q.a)
	z = d.Dot(q.axis)
	p := d.AddMul(q.axis, -z)
	h = p.Len()
	if h > 0 {
		e = p.Mul(1 / h)
	}
	return
}

// halfAngle is half the arc that a point at distance h from the axis sees.
func (q *tube) halfAngle(h float64) float64 { return acos(min(1, q.r/h)) }

// density per area: along by h/(Δα (h²+dz²)), around by 1/(2 halfAngle r).
func (q *tube) density(dz, h, da float64) float64 {
	return h / (da * (h*h + dz*dz)) / (2 * q.halfAngle(h) * q.r)
}

func (q *tube) hit(o, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	oz := o.Sub(q.a)
	dz := d.Dot(q.axis)
	dp := d.AddMul(q.axis, -dz)
	op := oz.AddMul(q.axis, -oz.Dot(q.axis))
	a, b := dp.Len2(), dp.Dot(op)
	c := op.Len2() - q.r*q.r
	disc := b*b - a*c
	if a == 0 || disc <= 0 || c <= 0 {
		return
	}
	t = (-b - math.Sqrt(disc)) / a
	if !(t > 0 && t < tmax) {
		return
	}
	p := o.AddMul(d, t)
	z := p.Sub(q.a).Dot(q.axis)
	if z < 0 || z > q.l {
		return
	}
	n := p.Sub(q.a).AddMul(q.axis, -z).Mul(1 / q.r)
	cos := -d.Dot(n)
	if cos <= 1e-9 {
		return
	}
	z0, h, _ := q.local(o)
	a0, a1 := math.Atan2(-z0, h), math.Atan2(q.l-z0, h)
	return t, q.le, q.density(z-z0, h, a1-a0) * t * t / cos, true
}

func (q *tube) bounds() (geom.Vec, float64) {
	return q.a.AddMul(q.axis, q.l/2), math.Hypot(q.l/2, q.r)
}

// flux is π L times the cylinder's area. Check: B4.5.
func (q *tube) flux() float64 { return math.Pi * q.le * 2 * math.Pi * q.r * q.l }

// polygon is a flat lit polygon, a fan of triangles sampled by area.
type polygon struct {
	p    []geom.Vec
	n    geom.Vec
	area float64
	cum  []float64
	le   float64
	both bool
}

// Polygon returns a flat lit polygon; its light goes to the side from which the corners run
// anticlockwise. The polygon must be convex.
func Polygon(layer int, corners []geom.Vec, le float64, twoSided bool) *Emitter {
	q := &polygon{p: corners, le: le, both: twoSided}
	var a geom.Vec
	for i := 2; i < len(corners); i++ {
		c := corners[i-1].Sub(corners[0]).Cross(corners[i].Sub(corners[0]))
		a = a.Add(c)
		q.area += c.Len() / 2
		q.cum = append(q.cum, q.area)
	}
	q.n = a.Unit()
	return newEmitter(layer, q)
}

func (q *polygon) sample(x geom.Vec, u, v float64, s *lightSample) bool {
	h := q.n.Dot(x.Sub(q.p[0]))
	if h <= 0 && !q.both || h == 0 {
		return false
	}
	k, want := 0, u*q.area
	for k < len(q.cum)-1 && q.cum[k] < want {
		k++
	}
	lo := 0.0
	if k > 0 {
		lo = q.cum[k-1]
	}
	u = min(1, max(0, (want-lo)/(q.cum[k]-lo)))
	su := math.Sqrt(u)
	p := q.p[0].Mul(1-su).AddMul(q.p[k+1], su*(1-v)).AddMul(q.p[k+2], su*v)
	d := p.Sub(x)
	s.dist = d.Len()
	s.w = d.Mul(1 / s.dist)
	cos := math.Abs(s.w.Dot(q.n))
	if cos < 1e-9 {
		return false
	}
	s.le, s.dirac = q.le, false
	s.pdf = s.dist * s.dist / (cos * q.area)
	return true
}

func (q *polygon) hit(o, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	dn := d.Dot(q.n)
	if dn >= 0 && !q.both || math.Abs(dn) < 1e-9 {
		return
	}
	t = q.p[0].Sub(o).Dot(q.n) / dn
	if !(t > 0 && t < tmax) {
		return
	}
	x := o.AddMul(d, t)
	for i := range q.p {
		a, b := q.p[i], q.p[(i+1)%len(q.p)]
		if b.Sub(a).Cross(x.Sub(a)).Dot(q.n) < 0 {
			return
		}
	}
	return t, q.le, t * t / (math.Abs(dn) * q.area), true
}

func (q *polygon) bounds() (geom.Vec, float64) {
	b := geom.Empty()
	for _, p := range q.p {
		b = b.Grow(p)
	}
	return b.Centre(), b.Size().Len() / 2
}

func (q *polygon) flux() float64 {
	if q.both {
		return 2 * math.Pi * q.le * q.area
	}
	return math.Pi * q.le * q.area
}

// far is as distant as the sky.
const far = 1e7

// sky surrounds the scene: radiance by direction, for places without walls.
type sky struct {
	radiance func(w geom.Vec) float64
	scale    float64
}

// Sky returns light from all round: radiance(w) in cd/m² per unit for unit w towards the sky. Rays
// that leave the scene meet it.
func Sky(layer int, radiance func(w geom.Vec) float64) *Emitter {
	return newEmitter(layer, &sky{radiance, 1})
}

func (q *sky) sample(_ geom.Vec, u, v float64, s *lightSample) bool {
	z := 1 - 2*u
	r := math.Sqrt(max(0, 1-z*z))
	sin, cos := math.Sincos(2 * math.Pi * v)
	s.w = geom.V(r*cos, r*sin, z)
	s.dist, s.pdf, s.dirac = far, 1/(4*math.Pi), false
	s.le = q.radiance(s.w)
	return s.le > 0
}

func (q *sky) hit(_, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	if tmax < far {
		return
	}
	le = q.radiance(d)
	return far, le, 1 / (4 * math.Pi), le > 0
}

func (q *sky) bounds() (geom.Vec, float64) { return geom.Vec{}, math.Inf(1) }
func (q *sky) flux() float64               { return 1 }

// Sun returns light from one far disc: illuminance e at right angles, from direction w (unit,
// towards it), angular diameter rad.
func Sun(layer int, w geom.Vec, e, rad float64) *Emitter {
	cosMax := math.Cos(rad / 2)
	omega := 2 * math.Pi * (1 - cosMax)
	return newEmitter(layer, &sun{geom.FrameOf(w), cosMax, omega, e / omega})
}

type sun struct {
	f      geom.Frame
	cosMax float64
	omega  float64
	le     float64
}

func (q *sun) sample(_ geom.Vec, u, v float64, s *lightSample) bool {
	z := 1 - u*(1-q.cosMax)
	r := math.Sqrt(max(0, 1-z*z))
	sin, cos := math.Sincos(2 * math.Pi * v)
	s.w = q.f.Out(r*cos, r*sin, z)
	s.dist, s.pdf, s.dirac, s.le = far, 1/q.omega, false, q.le
	return true
}

func (q *sun) hit(_, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	if tmax < far || d.Dot(q.f.N) < q.cosMax {
		return
	}
	return far, q.le, 1 / q.omega, true
}

func (q *sun) bounds() (geom.Vec, float64) { return geom.Vec{}, math.Inf(1) }
func (q *sun) flux() float64               { return q.le * q.omega }
