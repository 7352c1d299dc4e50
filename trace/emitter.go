package trace

import (
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// Emitter gives light to one layer. Make one with Rectangle, Disc, Sphere, Tube, Point, Polygon,
// Portal or Sky.
type Emitter struct {
	Layer int
	Tint  Band // relative emission in each window; ones where the layer's spectrum says it all
	shape

	// filled by Prepare
	id         int
	tinted     bool
	centre     geom.Vec
	radius     float64
	lm         float64
	axis       geom.Vec // where a one-sided face looks; zero: no such face
	skyFalloff float64  // 1/d² that stands for a sky's distance
	hittable   bool     // a ray can meet it
}

func newEmitter(layer int, s shape) *Emitter { return &Emitter{Layer: layer, Tint: Grey(1), shape: s} }

// shape is the geometry and the angular distribution of an emitter, per unit emission.
type shape interface {
	// sample asks for light at x: direction, distance, radiance and density per solid angle; false
	// where none can come.
	sample(x geom.Vec, u, v float64, s *lightSample) bool
	// hit reports where the ray o + t·d (d unit, 0 < t < tmax) meets the emitter's lit side, the
	// radiance there, and the density with which sample would have drawn d from o.
	hit(o, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool)
	// bounds is a sphere around it; radius +Inf for the sky.
	bounds() (c geom.Vec, r float64)
	// flux is the light it gives per unit emission, lm.
	flux() float64
}

// lightSample is one answer to 'what light comes from there'.
type lightSample struct {
	w     geom.Vec // unit, from x to the light
	dist  float64
	le    float64 // radiance, or for a delta emitter the illuminance at right angles
	pdf   float64 // per solid angle; 1 for delta
	dirac bool
}

// Beam is a rotational distribution of radiance against the angle off an emitter's axis: Beam[i] is
// the radiance at i degrees relative to that on the axis, 0..180, linear between. Nil is 1 up to
// 90° (Lambertian face, even point).
type Beam []float64

// at returns the factor at a cosine.
func (b Beam) at(cos float64) float64 {
	if b == nil {
		return 1
	}
	x := acos(min(1, max(-1, cos))) * (180 / math.Pi)
	i := int(x)
	if i >= len(b)-1 {
		return b[len(b)-1]
	}
	f := x - float64(i)
	return b[i]*(1-f) + b[i+1]*f
}

// FaceBeam turns a rotational intensity profile in 1° steps (relative to the axis) of a flat face
// into a Beam of radiance: I(θ)/cosθ. Up to 85° the face is taken at its projected area; beyond,
// where the quotient runs away, it is tapered.
func FaceBeam(intensity []float64) Beam {
	if len(intensity) == 0 {
		return nil
	}
	b := make(Beam, 181)
	for i := range b[:91] {
		if i < len(intensity) {
			b[i] = intensity[i] / max(math.Cos(float64(i)*math.Pi/180), math.Cos(85*math.Pi/180))
		}
	}
	b[90] = 0
	return b
}

// PointBeam turns a rotational intensity profile in 1° steps into a Beam for a point or a sphere.
func PointBeam(intensity []float64) Beam {
	if len(intensity) == 0 {
		return nil
	}
	b := make(Beam, 181)
	copy(b, intensity)
	return b
}

// acos is the arc cosine of a number from -1 to 1, good to 3e-8 rad. Source: Abramowitz and Stegun
// 1964, 4.4.46. Check: TestAcos.
func acos(x float64) float64 {
	a := math.Abs(x)
	p := -0.0012624911*a + 0.0066700901
	p = ((p*a-0.0170881256)*a+0.0308918810)*a - 0.0501743046
	p = ((p*a+0.0889789874)*a-0.2145988016)*a + 1.5707963050
	if p *= math.Sqrt(1 - a); x < 0 {
		return math.Pi - p
	}
	return p
}

func coneFactor(cos, cosEdge float64) float64 {
	if cos >= cosEdge {
		return 1
	}
	return 0
}

// rectangle is a flat lit rectangle; its light leaves on the side of n.
type rectangle struct {
	corner, ex, ey geom.Vec // full edges
	n              geom.Vec
	lx, ly         float64
	le             float64
	beam           Beam
	// radiance factor by direction of travel reversed (from receiver to light); nil none
	dir  func(w geom.Vec) float64
	both bool
}

// Rectangle returns a lit rectangle of centre c in frame f (S along width, T along height, N where
// its light goes), luminance le (cd/m² per unit) on its axis.
func Rectangle(layer int, c geom.Vec, f geom.Frame, w, h, le float64, beam Beam, twoSided bool) *Emitter {
	r := &rectangle{ex: f.S.Mul(w), ey: f.T.Mul(h), n: f.N, lx: w, ly: h, le: le, beam: beam, both: twoSided}
	r.corner = c.Sub(r.ex.Mul(0.5)).Sub(r.ey.Mul(0.5))
	return newEmitter(layer, r)
}

// Portal returns a rectangle through which a sky or a ground is seen: radiance(w) is the luminance
// that comes from direction w (unit, pointing out of the room).
func Portal(layer int, c geom.Vec, f geom.Frame, w, h float64, radiance func(w geom.Vec) float64) *Emitter {
	e := Rectangle(layer, c, f, w, h, 1, nil, false)
	e.shape.(*rectangle).dir = radiance
	return e
}

func (r *rectangle) radiance(w geom.Vec) float64 { // w from receiver to light
	cos := -w.Dot(r.n)
	if cos <= 0 {
		if !r.both {
			return 0
		}
		cos = -cos
	}
	l := r.le * r.beam.at(cos)
	if r.dir != nil {
		l *= r.dir(w)
	}
	return l
}

func (r *rectangle) sample(x geom.Vec, u, v float64, s *lightSample) bool {
	h := r.n.Dot(x.Sub(r.corner))
	if h <= 0 && !r.both || h == 0 {
		return false
	}
	var d geom.Vec
	var pdf float64
	if farRect(r.corner, r.ex, r.ey, r.lx*r.ly, x) {
		d = r.corner.Sub(x).AddMul(r.ex, u).AddMul(r.ey, v)
		d2 := d.Len2()
		pdf = d2 * math.Sqrt(d2) / (math.Abs(h) * r.lx * r.ly)
	} else {
		seen := sample.RectSeen(r.corner, r.ex, r.ey, x)
		d, pdf = seen.Sample(u, v)
	}
	s.dist = d.Len()
	if s.dist == 0 || pdf == 0 {
		return false
	}
	s.w = d.Mul(1 / s.dist)
	s.le = r.radiance(s.w)
	s.pdf, s.dirac = pdf, false
	return s.le > 0
}

func (r *rectangle) hit(o, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	dn := d.Dot(r.n)
	if dn >= 0 && !r.both || dn == 0 {
		return
	}
	t = r.corner.Sub(o).Dot(r.n) / dn
	if !(t > 0 && t < tmax) {
		return
	}
	p := o.AddMul(d, t).Sub(r.corner)
	a, b := p.Dot(r.ex)/(r.lx*r.lx), p.Dot(r.ey)/(r.ly*r.ly)
	if a < 0 || a > 1 || b < 0 || b > 1 {
		return
	}
	le = r.radiance(d)
	if le <= 0 {
		return
	}
	if farRect(r.corner, r.ex, r.ey, r.lx*r.ly, o) {
		return t, le, t * t / (math.Abs(dn) * r.lx * r.ly), true
	}
	seen := sample.RectSeen(r.corner, r.ex, r.ey, o)
	pdf = seen.Pdf(d)
	return t, le, pdf, pdf > 0
}

// farRect reports whether a rectangle is so far from x (five times the root of its area) that
// points even over its area serve as well as directions even over its solid angle, at a fraction of
// the cost.
func farRect(corner, ex, ey geom.Vec, area float64, x geom.Vec) bool {
	return corner.Sub(x).AddMul(ex, 0.5).AddMul(ey, 0.5).Len2() > 25*max(area, ex.Len2()/2, ey.Len2()/2)
}

func (r *rectangle) bounds() (geom.Vec, float64) {
	return r.corner.Add(r.ex.Mul(0.5)).Add(r.ey.Mul(0.5)), math.Hypot(r.lx, r.ly) / 2
}

// faceFlux integrates 2π ∫ L(θ) cosθ sinθ dθ · area over a beam in 1° steps.
func faceFlux(area, le float64, beam Beam) float64 {
	sum := 0.0
	for i := range 90 {
		th := (float64(i) + 0.5) * math.Pi / 180
		sum += beam.at(math.Cos(th)) * math.Cos(th) * math.Sin(th) * math.Pi / 180
	}
	return 2 * math.Pi * sum * area * le
}

// face returns where a one-sided emitter looks; zero for all others.
func (e *Emitter) face() geom.Vec {
	switch s := e.shape.(type) {
	case *rectangle:
		if !s.both {
			return s.n
		}
	case *disc:
		if !s.both {
			return s.f.N
		}
	case *octagon:
		return s.f.N
	case *point:
		if s.web == nil && (s.beam != nil || s.edge > 0) {
			return s.axis
		}
	}
	return geom.Vec{}
}

func (r *rectangle) flux() float64 {
	f := faceFlux(r.lx*r.ly, r.le, r.beam)
	if r.both {
		f *= 2
	}
	if r.dir != nil {
		// A portal: mean radiance over its hemisphere, cosine-weighted, on a small fixed grid.
		fr := geom.FrameOf(r.n.Neg())
		sum := 0.0
		for i := range 16 {
			for j := range 16 {
				c := sample.Cosine((float64(i)+0.5)/16, (float64(j)+0.5)/16)
				sum += r.dir(fr.Out(c.X, c.Y, c.Z))
			}
		}
		f *= sum / 256
	}
	return f
}

// sphere is a ball of even radiance (times beam by the angle off axis, seen from its centre).
type sphere struct {
	c    geom.Vec
	r    float64
	axis geom.Vec
	le   float64
	beam Beam
	web  func(w geom.Vec) float64
}

// Sphere returns a lit ball of luminance le on its axis; beam nil is even all round. web, when
// given, multiplies by direction of travel (unit, away from the light).
func Sphere(layer int, c geom.Vec, radius float64, axis geom.Vec, le float64, beam Beam,
	web func(geom.Vec) float64) *Emitter {
	return newEmitter(layer, &sphere{c, radius, axis, le, beam, web})
}

func (s *sphere) radiance(w geom.Vec) float64 {
	l := s.le * s.beam.at(-w.Dot(s.axis))
	if s.web != nil {
		l *= s.web(w.Neg())
	}
	return l
}

// cone returns the solid-angle density for receivers outside, and the cosine of the cone's edge.
func (s *sphere) cone(x geom.Vec) (cosMax, pdf float64, ok bool) {
	d2 := s.c.Sub(x).Len2()
	r2 := s.r * s.r
	if d2 <= r2 {
		return 0, 0, false
	}
	sin2 := r2 / d2
	cosMax = math.Sqrt(1 - sin2)
	oneMinus := sin2 / (1 + cosMax) // 1-cos without cancellation
	return cosMax, 1 / (2 * math.Pi * oneMinus), true
}

func (s *sphere) sample(x geom.Vec, u, v float64, ls *lightSample) bool {
	cosMax, pdf, ok := s.cone(x)
	if !ok {
		return false
	}
	to := s.c.Sub(x)
	dc := to.Len()
	f := geom.FrameOf(to.Mul(1 / dc))
	r2 := s.r * s.r / (dc * dc)
	om := u * r2 / (1 + cosMax) // 1-cosθ
	cos := 1 - om
	sin := math.Sqrt(max(0, om*(2-om)))
	sp, cp := math.Sincos(2 * math.Pi * v)
	ls.w = f.Out(sin*cp, sin*sp, cos)
	h := max(0, s.r*s.r-dc*dc*sin*sin)
	ls.dist = dc*cos - math.Sqrt(h)
	ls.le = s.radiance(ls.w)
	ls.pdf, ls.dirac = pdf, false
	return ls.le > 0
}

func (s *sphere) hit(o, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	to := s.c.Sub(o)
	b := to.Dot(d)
	perp := to.Sub(d.Mul(b)).Len2()
	h := s.r*s.r - perp
	if h < 0 || b <= 0 {
		return
	}
	t = b - math.Sqrt(h)
	if !(t > 0 && t < tmax) {
		return
	}
	_, pdf, ok = s.cone(o)
	if !ok {
		return
	}
	le = s.radiance(d)
	return t, le, pdf, le > 0
}

func (s *sphere) bounds() (geom.Vec, float64) { return s.c, s.r }
func (s *sphere) flux() float64 {
	sum := 0.0
	for i := range 180 {
		th := (float64(i) + 0.5) * math.Pi / 180
		sum += s.beam.at(math.Cos(th)) * math.Sin(th) * math.Pi / 180
	}
	return 2 * math.Pi * sum * math.Pi * s.r * s.r * s.le
}

// disc is a flat lit disc.
type disc struct {
	c    geom.Vec
	f    geom.Frame
	r    float64
	le   float64
	beam Beam
	both bool
	web  func(w geom.Vec) float64
}

// Disc returns a flat lit disc; web as for Sphere.
func Disc(layer int, c geom.Vec, f geom.Frame, radius, le float64, beam Beam, twoSided bool,
	web func(geom.Vec) float64) *Emitter {
	return newEmitter(layer, &disc{c, f, radius, le, beam, twoSided, web})
}

func (q *disc) radiance(w geom.Vec) float64 {
	cos := -w.Dot(q.f.N)
	if cos <= 0 {
		if !q.both {
			return 0
		}
		cos = -cos
	}
	l := q.le * q.beam.at(cos)
	if q.web != nil {
		l *= q.web(w.Neg())
	}
	return l
}

// around is the square about the disc as seen from a near x: from there a place by area would now
// and then lie very near, and blaze. Places of the square off the disc give no light.
func (q *disc) around(x geom.Vec) (seen sample.SphRect, near bool) {
	if q.c.Sub(x).Len2() > 9*q.r*q.r {
		return
	}
	a, b := q.f.S.Mul(q.r), q.f.T.Mul(q.r)
	return sample.RectSeen(q.c.Sub(a).Sub(b), a.Mul(2), b.Mul(2), x), true
}

func (q *disc) sample(x geom.Vec, u, v float64, s *lightSample) bool {
	if seen, near := q.around(x); near {
		return q.sampleNear(&seen, x, u, v, s)
	}
	r := q.r * math.Sqrt(u)
	sin, cos := math.Sincos(2 * math.Pi * v)
	d := q.c.Add(q.f.Out(r*cos, r*sin, 0)).Sub(x)
	s.dist = d.Len()
	if s.dist == 0 {
		return false
	}
	s.w = d.Mul(1 / s.dist)
	s.le = q.radiance(s.w)
	c := math.Abs(s.w.Dot(q.f.N))
	if s.le <= 0 || c < 1e-9 {
		return false
	}
	s.pdf, s.dirac = s.dist*s.dist/(c*math.Pi*q.r*q.r), false
	return true
}

// sampleNear is sample from a near x, which sees the square about it as seen.
func (q *disc) sampleNear(seen *sample.SphRect, x geom.Vec, u, v float64, s *lightSample) bool {
	d, pdf := seen.Sample(u, v)
	s.dist = d.Len()
	if s.dist == 0 || pdf == 0 || x.Add(d).Sub(q.c).Len2() > q.r*q.r {
		return false
	}
	s.w = d.Mul(1 / s.dist)
	s.le, s.pdf, s.dirac = q.radiance(s.w), pdf, false
	return s.le > 0
}

func (q *disc) hit(o, d geom.Vec, tmax float64) (t, le, pdf float64, ok bool) {
	dn := d.Dot(q.f.N)
	if dn >= 0 && !q.both || math.Abs(dn) < 1e-9 {
		return
	}
	t = q.c.Sub(o).Dot(q.f.N) / dn
	if !(t > 0 && t < tmax) {
		return
	}
	if o.AddMul(d, t).Sub(q.c).Len2() > q.r*q.r {
		return
	}
	le = q.radiance(d)
	if seen, near := q.around(o); near {
		pdf = seen.Pdf(d)
		return t, le, pdf, le > 0 && pdf > 0
	}
	return t, le, t * t / (math.Abs(dn) * math.Pi * q.r * q.r), le > 0
}

func (q *disc) bounds() (geom.Vec, float64) { return q.c, q.r }
func (q *disc) flux() float64 {
	f := faceFlux(math.Pi*q.r*q.r, q.le, q.beam)
	if q.both {
		f *= 2
	}
	return f
}

// point is a light without size.
type point struct {
	p    geom.Vec
	axis geom.Vec
	i    float64
	beam Beam
	edge float64 // cosine of a sharp cone's half angle; -1 none
	web  func(w geom.Vec) float64
	lm   float64 // flux where web is given
}

// Point returns a light without size: intensity i (cd per unit) on its axis, shaped by beam, by a
// sharp cone of full angle coneRad (0: none), or by web, candela relative to i by direction of
// travel, whose flux is lm.
func Point(layer int, p, axis geom.Vec, i float64, beam Beam, coneRad float64, web func(geom.Vec) float64,
	lm float64) *Emitter {
	edge := -1.0
	if coneRad > 0 && coneRad < 2*math.Pi {
		edge = math.Cos(coneRad / 2)
	}
	return newEmitter(layer, &point{p, axis, i, beam, edge, web, lm})
}

func (q *point) sample(x geom.Vec, _, _ float64, s *lightSample) bool {
	d := q.p.Sub(x)
	s.dist = d.Len()
	if s.dist == 0 {
		return false
	}
	s.w = d.Mul(1 / s.dist)
	c := -s.w.Dot(q.axis)
	i := q.i * q.beam.at(c) * coneFactor(c, q.edge)
	if q.web != nil {
		i *= q.web(s.w.Neg())
	}
	s.le, s.pdf, s.dirac = i/(s.dist*s.dist), 1, true
	return i > 0
}

func (q *point) hit(_, _ geom.Vec, _ float64) (t, le, pdf float64, ok bool) { return }
func (q *point) bounds() (geom.Vec, float64)                                { return q.p, 0 }
func (q *point) flux() float64 {
	if q.web != nil {
		return q.lm
	}
	sum := 0.0
	for i := range 1800 {
		th := (float64(i) + 0.5) * math.Pi / 1800
		c := math.Cos(th)
		sum += q.beam.at(c) * coneFactor(c, q.edge) * math.Sin(th) * math.Pi / 1800
	}
	return 2 * math.Pi * sum * q.i
}

// WebFace is the Beam of a flat face whose distribution a web gives: the web's candela over the
// projected area, tapered beyond 85°.
func WebFace() Beam {
	ones := make([]float64, 91)
	for i := range ones {
		ones[i] = 1
	}
	return FaceBeam(ones)
}

// WebRectangle returns a lit rectangle of luminance le on its axis whose intensity follows web
// (relative to the axis, by direction of travel): radiance is web over the cosine.
func WebRectangle(layer int, c geom.Vec, f geom.Frame, w, h, le float64, web func(geom.Vec) float64) *Emitter {
	e := Rectangle(layer, c, f, w, h, le, WebFace(), false)
	e.shape.(*rectangle).dir = func(to geom.Vec) float64 { return web(to.Neg()) }
	return e
}

// Direct returns what e gives, unobstructed, on a flat receptor (or an ideal dome) at x facing n,
// per unit emission, by a fixed set of 64×64 samples.
func (e *Emitter) Direct(x, n geom.Vec, dome bool) float64 {
	const k = 64
	sum := 0.0
	var s lightSample
	for i := range k {
		for j := range k {
			if !e.sample(x, (float64(i)+0.5)/k, (float64(j)+0.5)/k, &s) {
				continue
			}
			c := s.w.Dot(n)
			if dome {
				c = (1 + c) / 2
			}
			sum += max(0, c) * s.le / s.pdf
		}
	}
	return sum / (k * k)
}
