package trace

import (
	"math"

	"halfstop/geom"
)

// ray is the part of a path between two vertices: straight, or unfolded through panes and sharp
// mirrors.
type ray struct {
	o, d  geom.Vec // where its current straight part starts, and its direction (unit)
	pdf   float64  // density with which the direction was drawn; 0: by none, a camera ray
	depth int      // vertices up to and with the one that it left
	// ref is the vertex that it left, or that vertex's image in the mirrors since: distances along
	// the ray count from here.
	ref  geom.Vec
	from float64 // distance of o from ref
	lo   float64 // emitters nearer than this have been met before
	// sampled says that emitters met now could also have been sampled at the vertex, directly or in
	// one mirror's image.
	sampled bool
	mirrors int
	// split: this is a camera ray that follows each way of the first pane or mirror. quiet: an
	// earlier branch has had the light up to there.
	split, quiet bool
	through      float32 // transmittance of haze so far
	inHaze       float64 // length of its current straight part in haze
}

// nextVertex follows the ray from w.cur along d, drawn with density pdf (0: by none, a camera ray):
// it gathers the light that haze scatters into it and the light of the emitters that it meets,
// passes straight through or mirrors where the surface says so, and stops at the next vertex,
// w.next. It reports false when the path ends. depth counts the vertices up to and with w.cur.
func (w *integrator) nextVertex(d geom.Vec, pdf float64, beta *Band, depth int) bool {
	sc, v := w.sc, w.cur
	from := w.rayOffset(v, d)
	r := ray{o: v.p.AddMul(d, from), d: d, pdf: pdf, depth: depth, ref: v.p, from: from, sampled: true, through: 1}
	r.split = depth == 0 && w.branch > 0 && w.mode != unidirectional
	r.quiet = r.split && w.branch > 1
	for range 64 {
		id, h := sc.closest(r.o, r.d)
		end := far * 2
		if id >= 0 {
			end = r.from + float64(h.T)
		}
		if sc.Medium != nil {
			r.inHaze = sc.hazeLength(&r, id < 0, end)
		}
		// 1. In-scattering: light that haze scatters into this part of the ray.
		passed := 1.0
		if sc.Medium != nil && !r.quiet && w.mode < featuresOnly {
			passed = w.inScatteringStep(&r, beta)
		}
		// 2. Emission: every emitter crossed before the surface.
		w.emitterStep(&r, end, beta)
		// 3. Medium: the path scatters in the haze, or is dimmed by it.
		switch w.mediumStep(&r, passed, beta) {
		case pathEnds:
			return false
		case pathScatters:
			return true
		}
		if id < 0 {
			return false
		}
		// 4. Interface: the path scatters at the surface, or goes on through it or mirrored by it.
		w.fillSurface(id, h, r.d, v.kind == inMedium && pdf == 0)
		switch w.interfaceStep(&r, id, end, beta) {
		case pathEnds:
			return false
		case pathScatters:
			return true
		}
	}
	return false
}

// outcome is what a step leaves of a path.
type outcome uint8

const (
	pathGoesOn outcome = iota
	pathScatters
	pathEnds
)

// hazeLength is how far r runs in haze up to distance end, where something is met or, if not, the
// scene ends. A path that leaves a room and were to wander in haze without end would cost more than
// all others, for light that hardly ever comes back.
func (sc *Scene) hazeLength(r *ray, leaves bool, end float64) float64 {
	if leaves && sc.Medium.Indoors {
		end = min(end, r.from+sc.bounds.Exit(r.o, r.d))
	}
	return min(end-r.from, hazeReach)
}

// inScatteringStep adds the light that haze scatters into r, and returns the transmittance.
func (w *integrator) inScatteringStep(r *ray, beta *Band) (passed float64) {
	was := w.inAirlight
	w.inAirlight = was || r.split
	length := r.inHaze
	if w.cache == nil || r.depth < w.cacheDepth-1 {
		first := r.mirrors == 0 && w.branch <= 1 && w.segment.length == 0
		w.sampleInScattering(r.o, r.d, length, beta, r.depth+1)
		passed = w.transmittance(length)
		if first {
			w.segment = segment{r.o, r.d, length} // traceFromHaze has what is scattered more than once
		}
	} else {
		passed = w.cachedAirlight(r.o, r.d, length, beta, r.depth+1)
	}
	w.inAirlight = was
	return passed
}

// emitterStep adds the light of the emitters that r meets up to distance end.
func (w *integrator) emitterStep(r *ray, end float64, beta *Band) {
	sc, v := w.sc, w.cur
	if r.quiet {
		return
	}
	slack := sc.eps * 2
	for _, e := range sc.hittable {
		// What a camera ray sees is named by all that is before it.
		named := w.features != nil && r.depth == 0 && !w.features.hit && w.branch <= 1
		if !w.isActive[e.Layer] && !named || !e.near(r.o, r.d) {
			continue
		}
		t, le, pl, ok := e.hit(r.ref, r.d, end+slack)
		if !ok || t < r.lo {
			continue
		}
		if named {
			w.features.addEmitter(e)
		}
		if w.mode == featuresOnly || !w.isActive[e.Layer] {
			continue
		}
		k := le
		switch {
		case r.pdf == 0:
			k *= w.transmittance(t - r.from)
		case v.kind == inMedium && r.mirrors == 0 && w.mode != unidirectional:
			continue // in-scattering has it
		default:
			if v.lightsSampled && r.sampled && (r.mirrors == 0 || r.mirrors == 1 && v.imageProb > 0) {
				// The balance heuristic (Veach and Guibas 1995) against sampleLight, or
				// sampleMirrorImage for an image.
				if pl *= v.lights.pmf[e.id]; r.mirrors == 1 {
					pl *= v.imageProb
				}
				k *= w.scatterPDF / (w.scatterPDF + pl)
			}
			k *= w.transmittance(t - r.from)
		}
		w.f = Grey(1)
		w.addEmission(e, beta, r.depth+r.mirrors, k)
	}
}

// mediumStep lets the path scatter in the haze, or dims it. passed is the transmittance where a
// cache is used.
func (w *integrator) mediumStep(r *ray, passed float64, beta *Band) outcome {
	med := w.sc.Medium
	if med == nil || r.quiet || w.mode == featuresOnly && w.cache == nil {
		return pathGoesOn
	}
	if w.cache != nil {
		// cachedAirlight has all that the haze scatters; this is what it lets through.
		scaleBand(beta, float32(passed))
		r.through *= float32(passed)
		return pathGoesOn
	}
	u, _ := w.next2D()
	s := -math.Log(1-u) / max(med.Extinction, 1e-12)
	if s >= r.inHaze {
		return pathGoesOn
	}
	if med.Albedo == 0 {
		return pathEnds
	}
	scaleBand(beta, float32(med.Albedo))
	n := w.next
	n.reset(inMedium, r.o.AddMul(r.d, s))
	n.wo, n.m = r.d.Neg(), nil
	w.inAirlight = w.inAirlight || r.split
	return pathScatters
}

// interfaceStep chooses what a path does at the surface w.next, met at distance end: scatter there,
// pass straight through, or be mirrored sharply.
func (w *integrator) interfaceStep(r *ray, id int, end float64, beta *Band) outcome {
	sc, n := w.sc, w.next
	m := n.m
	if !m.hasClear && (!m.hasMirror || m.Alpha > 0) {
		n.prepare()
		w.recordFeatures(n, end, beta, r.depth, r.through)
		return pathScatters
	}
	// Probabilities by what each way carries, all windows together.
	cos := min(1, r.d.Neg().Dot(n.ng))
	var refl, pass Band
	if m.hasMirror && m.Alpha == 0 || m.Glass > 0 {
		m.reflectance(cos, &refl)
	}
	if m.hasClear {
		m.passes(cos, &pass)
	}
	pRefl, pPass := float64(meanBand(&refl)), float64(meanBand(&pass))
	pScatter := float64(meanBand(&m.Diffuse)) + float64(meanBand(&m.Trans))
	if m.Alpha > 0 {
		pScatter += float64(meanBand(&m.Mirror))
	}
	if m.Coat > 0 {
		pScatter = max(pScatter, 0.05)
	}
	sum := pRefl + pPass + pScatter
	if sum <= 0 {
		return pathEnds
	}
	u := 0.0
	if r.split {
		w.branches, pScatter, pPass, pRefl = splitWays(w.branch, pScatter, pPass, pRefl)
		r.split, r.quiet, sum = false, false, 1
	} else {
		u, _ = w.next2D()
		u *= sum
	}
	switch {
	case u < pScatter:
		scaleBand(beta, float32(sum/pScatter))
		n.prepare()
		w.recordFeatures(n, end, beta, r.depth, r.through)
		return pathScatters
	case u < pScatter+pPass:
		for b := range beta {
			beta[b] *= pass[b] * float32(sum/pPass)
		}
		w.hashInterface(m, 1)
	default:
		for b := range beta {
			beta[b] *= refl[b] * float32(sum/pRefl)
		}
		r.ref = r.ref.AddMul(n.ng, -2*r.ref.Sub(n.p).Dot(n.ng))
		r.d = r.d.Reflect(n.ng)
		w.hashInterface(m, 2)
		if r.mirrors++; r.mirrors > 1 || !sc.isFlatMirror(id) {
			r.sampled = false
		}
	}
	off := sc.eps / max(0.1, cos)
	r.o = n.p.AddMul(r.d, off)
	r.from, r.lo = end+off, end+2*sc.eps // what is flush with the surface was met before it
	return pathGoesOn
}

// splitWays gives way number branch of those that are possible the probability 1, and says how many
// there are.
func splitWays(branch int, scatter, pass, refl float64) (n int, s, p, r float64) {
	out := [3]float64{}
	for i, q := range [3]float64{scatter, pass, refl} {
		if q > 0 {
			if n++; n == branch {
				out[i] = 1
			}
		}
	}
	return n, out[0], out[1], out[2]
}

// addEmission adds w.f·k of e's light.
func (w *integrator) addEmission(e *Emitter, beta *Band, depth int, k float64) {
	if e.tinted {
		mulBand(&w.f, &e.Tint)
	}
	if !(k < 1e18) {
		return // a density of zero: no light comes this way
	}
	w.add(e.Layer, depth, beta, &w.f, k)
}

// near reports whether the line from o along d passes e's bounding sphere, ahead of o or around it.
func (e *Emitter) near(o, d geom.Vec) bool {
	if math.IsInf(e.radius, 1) {
		return true
	}
	to := e.centre.Sub(o)
	b := to.Dot(d)
	return b > -e.radius && to.Len2()-b*b <= e.radius*e.radius*1.0001
}

// transmittance is that of the haze over a distance.
func (w *integrator) transmittance(d float64) float64 {
	if w.sc.Medium == nil || d >= far {
		return 1
	}
	return math.Exp(-w.sc.Medium.Extinction * d)
}
