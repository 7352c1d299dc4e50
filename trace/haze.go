package trace

import (
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// hazeReach is as far as haze is followed where nothing stops the way, metres.
const hazeReach = 200

// hazeLayerSamples is how many layers a picture with a cache samples for what haze scatters into a
// camera ray.
const hazeLayerSamples = 3.0

// How often haze is looked up on a path of a reading: on the ray of a Spot for airLayerSamples
// layers on average, by what they give half way; later as often as the path is faint, times
// faintAir, but no less than faintLeast. On a stage in haze three times as often as a path is
// faint, with directions about the lamps, takes 1.13 times as long and leaves a quarter of the
// variance; ten times as often leaves no less.
const (
	airLayerSamples = 2.0
	faintAir        = 3
	faintLeast      = 0.05
)

// sampleInScattering adds, for every layer, light that the haze scatters into the way from o along
// d over length: one place along the way a layer. vertices counts the scattering as one.
// Check: G3.1 to G3.4.
func (w *integrator) sampleInScattering(o, d geom.Vec, length float64, beta *Band, vertices int) {
	med := w.sc.Medium
	st := med.Extinction
	if st <= 0 || med.Albedo <= 0 || length <= 0 {
		return
	}
	var s lightSample
	// Every layer from a cell of haze and on the rays of a camera: in pictures with a cache, whose
	// haze is averaged over many pixels, three of them by turns, else some by importance. On all
	// others one layer: to a receptor little comes that way.
	first := vertices <= w.directDepth || vertices == 1 && w.flux != nil
	part, prob := 1.0, 1.0 // of all rays that are looked up, and of those for each layer
	byLayer := !first || w.cache == nil && w.flux == nil
	lights, mid := &w.airLights, o.AddMul(d, min(length, 4)/2)
	switch {
	case !first:
		if w.cache == nil {
			// A guided path is faint but must go on; what haze adds to it is looked up as rarely as
			// it is faint.
			part = min(1, max(faintLeast, faintAir*float64(w.faint)))
			if u, _ := w.next2D(); u >= part {
				return
			}
		}
		lights.weighLayers(w.layers(), mid, 1)
	case byLayer:
		lights.weighLayers(w.layers(), mid, airLayerSamples)
	case w.cache != nil:
		prob = min(1, hazeLayerSamples/float64(len(w.layers())))
	}
	turn := systematic(0)
	if byLayer || prob < 1 {
		u, _ := w.next2D()
		turn = systematic(u)
	}
	for _, l := range w.layers() {
		if len(w.sc.byLayer[l]) == 0 {
			continue
		}
		if byLayer {
			prob = lights.layer[l]
		}
		if prob < 1 && !turn.take(prob) {
			continue
		}
		pick, u := w.next2D()
		a, b := w.next2D()
		// An emitter by its importance half way.
		lights.weigh(l, mid, nil, prob*part)
		e, pick := lights.Sample(l, pick, prob*part)
		// A place along the way.
		t, pdf := w.sampleInBeam(e, o, d, length, pick, u)
		p := o.AddMul(d, t)
		if pdf <= 0 || !e.sample(p, a, b, &s) {
			continue
		}
		w.f = Grey(1)
		if !w.unoccluded(p, s.w, s.dist) {
			continue
		}
		k := math.Exp(-st*t) * w.transmittance(s.dist) * st * med.Albedo * sample.HGPdf(d.Dot(s.w), med.G) * s.le /
			(s.pdf * pdf * lights.PMF(e))
		w.addEmission(e, beta, vertices, k)
	}
}

// sampleDistance draws a distance along the way and returns its density: half by the angle that the
// way subtends at e (equiangular), half by extinction. Source: Kulla and Fajardo 2012.
func (w *integrator) sampleDistance(e *Emitter, o, d geom.Vec, length, pick, u float64) (t, pdf float64) {
	st := w.sc.Medium.Extinction
	// By extinction, cut off at length.
	whole := -math.Expm1(-st * length)
	byExtinction := func(t float64) float64 { return st * math.Exp(-st*t) / whole }
	if math.IsInf(e.radius, 1) {
		t = -math.Log1p(-u*whole) / st
		return t, byExtinction(t)
	}
	along := e.centre.Sub(o).Dot(d)
	h := max(e.centre.Sub(o.AddMul(d, along)).Len(), 1e-4+e.radius/4)
	a0, a1 := math.Atan2(-along, h), math.Atan2(length-along, h)
	byAngle := func(t float64) float64 { x := t - along; return h / ((a1 - a0) * (h*h + x*x)) }
	if pick < 0.5 {
		t = along + h*math.Tan(a0+u*(a1-a0))
		t = min(length, max(0, t))
	} else {
		t = -math.Log1p(-u*whole) / st
	}
	return t, (byAngle(t) + byExtinction(t)) / 2
}

const (
	airStrata     = 16   // parts of a way that light scattered into it is looked up in
	airFloor      = 0.05 // share of a place's probability that knows no light, only the angle
	airExtinction = 0.1  // share that knows extinction only, for haze in which one cannot see far
)

// sampleInBeam draws a distance along the way and returns its density: even in the angle that the
// way subtends at e within strata of that angle, which are drawn by what e, the phase function and
// extinction leave on their bounds, shadows apart. A beam is narrow, and most of a way does not
// cross it. Check: TestSampleInBeam.
func (w *integrator) sampleInBeam(e *Emitter, o, d geom.Vec, length, pick, u float64) (t, pdf float64) {
	st := w.sc.Medium.Extinction
	along := e.centre.Sub(o).Dot(d)
	h := max(e.centre.Sub(o.AddMul(d, along)).Len(), 1e-4+e.radius/4)
	a0, a1 := math.Atan2(-along, h), math.Atan2(length-along, h)
	step := (a1 - a0) / airStrata
	if math.IsInf(e.radius, 1) || !(step > 0) {
		return w.sampleDistance(e, o, d, length, pick, u)
	}
	// The tangent of each bound from that of the one before.
	x, turn := -along/h, math.Tan(step)
	var part [airStrata]float64
	before, sum := 0.0, 0.0
	for i := range airStrata + 1 {
		t := min(length, max(0, along+h*x))
		now := w.inScattered(e, o.AddMul(d, t), d, st*t) * (1 + x*x)
		if i > 0 {
			part[i-1] = max(before, now)
			sum += part[i-1]
		}
		before, x = now, (x+turn)/(1-x*turn)
	}
	floor := 1. / airStrata
	if sum > 0 && sum < math.MaxFloat64 {
		floor *= airFloor
		for i := range part {
			part[i] *= (1 - airFloor) / sum
		}
	} else {
		part = [airStrata]float64{}
	}
	for i := range part {
		part[i] += floor
	}
	if pick < airExtinction {
		t = min(length, -math.Log1p(u*math.Expm1(-st*length))/st)
	} else {
		i := 0
		for i < airStrata-1 && u >= part[i] {
			u -= part[i]
			i++
		}
		t = min(length, max(0, along+h*math.Tan(a0+step*(float64(i)+min(1, u/part[i])))))
	}
	x = (t - along) / h
	i := min(airStrata-1, max(0, int((math.Atan(x)-a0)/step)))
	return t, (1-airExtinction)*part[i]/(step*h*(1+x*x)) - airExtinction*st*math.Exp(-st*t)/math.Expm1(-st*length)
}

// inScattered is about what light of e haze at p scatters back along d, by the middle of e, or near
// a disc by four of its places; depth is the optical depth up to p.
func (w *integrator) inScattered(e *Emitter, p, d geom.Vec, depth float64) float64 {
	s := &w.light
	middle := func(size float64) {
		to := e.centre.Sub(p)
		s.dist = max(to.Len(), size)
		s.w = to.Mul(1 / s.dist)
	}
	switch q := e.shape.(type) {
	case *disc:
		if seen, near := q.around(p); near {
			// From here its middle says little: it may lie off the beam, or seen edge on.
			return w.nearDisc(q, &seen, p, d) * math.Exp(-depth)
		}
		middle(q.r)
		s.le, s.pdf = q.radiance(s.w)*math.Abs(s.w.Dot(q.f.N)), s.dist*s.dist/(math.Pi*q.r*q.r)
	case *rectangle:
		middle(e.radius)
		s.le, s.pdf = q.radiance(s.w)*math.Abs(s.w.Dot(q.n)), s.dist*s.dist/(q.lx*q.ly)
	case *tube:
		middle(e.radius)
		s.le, s.pdf = 1, s.dist*s.dist
	default:
		if !e.sample(p, 0.5, 0.5, s) {
			return 0
		}
	}
	if s.le <= 0 {
		return 0
	}
	med := w.sc.Medium
	return s.le / s.pdf * sample.HGPdf(d.Dot(s.w), med.G) * math.Exp(-depth-med.Extinction*s.dist)
}

// nearDisc is the same of a disc that p is near to, seen as the square about it.
func (w *integrator) nearDisc(q *disc, seen *sample.SphRect, p, d geom.Vec) (sum float64) {
	s, g := &w.light, w.sc.Medium.G
	for i := range 4 {
		u, v := 0.25+0.5*float64(i&1), 0.25+0.5*float64(i>>1)
		if q.sampleNear(seen, p, u, v, s) {
			sum += s.le / s.pdf * sample.HGPdf(d.Dot(s.w), g) / 4
		}
	}
	return sum
}

// How often a path leaves a place towards a lamp's aureole, in haze and from a surface.
const (
	hazeAureoleShare    = 0.5
	surfaceAureoleShare = 0.25
)

// prepareAureoles readies w.cur, a place in haze whose light comes by more than one scattering or a
// surface, for directions about those of the lamps, one of each layer: that is where haze that
// scatters forwards is bright.
func (w *integrator) prepareAureoles() {
	v := w.cur
	v.aureoles, v.aureoleProb = v.aureoles[:0], 0
	for _, l := range w.layers() {
		var best *Emitter
		most := 0.0
		for _, e := range w.sc.byLayer[l] {
			if k := e.importance(v.p); k > most && !math.IsInf(e.radius, 1) && !v.facesAway(e) {
				best, most = e, k
			}
		}
		if best == nil {
			continue
		}
		to := best.centre.Sub(v.p)
		if d := to.Len(); d > best.radius {
			v.aureoles = append(v.aureoles, to.Mul(1/d))
		}
	}
	switch {
	case len(v.aureoles) == 0:
	case v.kind == inMedium || v.kind == sphericalReceptor:
		v.aureoleProb = hazeAureoleShare
	default:
		v.aureoleProb = surfaceAureoleShare
	}
}

// sampleAureole draws a direction about that of a lamp as the phase function would scatter it.
func (w *integrator) sampleAureole(pick, a, b float64) geom.Vec {
	to := w.cur.aureoles
	c := sample.Scatter(w.sc.Medium.G, a, b)
	return geom.FrameOf(to[min(len(to)-1, int(pick*float64(len(to))))]).Out(c.X, c.Y, c.Z)
}

// aureolePDF is the density of sampleAureole.
func (w *integrator) aureolePDF(wi geom.Vec) (pdf float64) {
	for _, to := range w.cur.aureoles {
		pdf += sample.HGPdf(wi.Dot(to), w.sc.Medium.G)
	}
	return pdf / float64(len(w.cur.aureoles))
}
