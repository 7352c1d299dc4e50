package trace

import (
	"math"

	"halfstop/geom"
)

const (
	deepLayerSamples  = 2.0  // how many layers are asked at a vertex that light has to bounce to, on average
	deepImageProb     = 0.25 // how often an emitter's image in one of the flat mirrors is asked for there
	deepGuideVertices = 2    // to how many vertices after those
	uniformShare      = 0.3  // the part of the odds that is the same for every layer
)

// ask gathers light straight from the emitters (and from their images in flat mirrors) at w.cur.
//
// At the vertices that light reaches directly every layer is asked for each of its emitters. Deeper down a few layers are, chosen
// by how near they are, each weighed by the odds of being chosen: what a layer is given is right on average whatever the others do.
func (w *integrator) sampleLights(beta *Band, depth int, first bool) {
	v := w.cur
	sc := w.sc
	v.lightsSampled, v.imageProb = true, 0
	if len(sc.mirrors) > 0 {
		v.imageProb = 1
		if !first {
			v.imageProb = deepImageProb / float64(len(sc.mirrors))
		}
	}
	w.prepareGuide(depth)
	layers := w.layers()
	if first {
		for _, l := range layers {
			a, b := w.next2D()
			if es := sc.byLayer[l]; w.cache != nil && len(es) > 1 {
				// A picture rests on cells for speed: it asks one of them.
				u, _ := w.next2D()
				e := v.chooseEmitter(es, u)
				w.sampleLight(e, beta, depth, a, b, v.emitterPMF[e.id])
				continue
			}
			for i, e := range sc.byLayer[l] {
				v.emitterPMF[e.id] = 1
				// One point set serves a layer's emitters, turned by a golden step each.
				ka, kb := a, b
				if i > 0 {
					ka, kb = goldenShift(a, i), goldenShift(b, 2*i)
				}
				w.sampleLight(e, beta, depth, ka, kb, 1)
			}
		}
		return
	}
	w.setLayerProbs(v.p, deepLayerSamples)
	u, pick := w.next2D()
	for _, l := range layers {
		es := sc.byLayer[l]
		// One of the layer's emitters, by what it may give here.
		total := 0.0
		for _, e := range es {
			v.emitterPMF[e.id] = e.importance(v.p)
			total += v.emitterPMF[e.id]
		}
		for _, e := range es {
			v.emitterPMF[e.id] *= w.layerProb[l] / total
		}
		if u += w.layerProb[l]; u < 1 {
			continue
		}
		u--
		a, b := w.next2D()
		k := 0
		if len(es) > 1 {
			want := goldenShift(pick, l) * w.layerProb[l]
			for ; k < len(es)-1 && want >= v.emitterPMF[es[k].id]; k++ {
				want -= v.emitterPMF[es[k].id]
			}
		}
		w.sampleLight(es[k], beta, depth, a, b, v.emitterPMF[es[k].id])
	}
}

// choose draws one of a layer's emitters by what it may give at v, and notes for each with what chance it would have been drawn.
func (v *vertex) chooseEmitter(es []*Emitter, u float64) *Emitter {
	total := 0.0
	for _, e := range es {
		k := e.importance(v.p)
		if v.facesAway(e) {
			k = 0
		}
		v.emitterPMF[e.id] = k
		total += k
	}
	if total == 0 {
		for _, e := range es {
			v.emitterPMF[e.id] = 1 / float64(len(es))
		}
		return es[0]
	}
	pick, want := es[0], u*total
	for _, e := range es {
		if k := v.emitterPMF[e.id]; k > 0 && want >= 0 {
			pick = e
			want -= k
		}
		v.emitterPMF[e.id] /= total
	}
	return pick
}

// guide readies the relays at w.cur, which depth vertices lie before: all of them where light arrives first, the hot ones a little
// deeper, then none: a share of 0.3 makes every other direction weigh 1/0.7, and that to the power of a long path has no variance.
func (w *integrator) prepareGuide(depth int) {
	v, sc := w.cur, w.sc
	v.guideProb = 0
	first := depth <= w.directDepth
	set, share := sc.guides, guideShare
	if !first {
		set, share = sc.deepGuides, deepGuideShare
	}
	if len(set) == 0 || depth > w.directDepth+deepGuideVertices {
		return
	}
	if v.guide.prepare(set, v.p, w.active); v.guide.total > 0 {
		v.guideProb = share
	}
}

// setOdds fills w.odds, the chance of asking each active layer at x, so that some number of layers is asked on average.
func (w *integrator) setLayerProbs(x geom.Vec, some float64) {
	layers := w.layers()
	n, sum := 0, 0.0
	for _, l := range layers {
		w.layerProb[l] = 0
		for _, e := range w.sc.byLayer[l] {
			w.layerProb[l] += e.importance(x)
		}
		if f := w.sc.lm[l]; f > 0 {
			w.layerProb[l] /= f
		}
		if l < len(w.sc.Importance) {
			w.layerProb[l] *= w.sc.Importance[l]
		}
		if len(w.sc.byLayer[l]) > 0 {
			n++
		}
		sum += w.layerProb[l]
	}
	for _, l := range layers {
		if len(w.sc.byLayer[l]) == 0 {
			w.layerProb[l] = 0
			continue
		}
		share := 1 / float64(n)
		if sum > 0 {
			share = uniformShare*share + (1-uniformShare)*w.layerProb[l]/sum
		}
		w.layerProb[l] = min(1, some*share)
	}
}

func goldenShift(x float64, i int) float64 {
	x += float64(i) * 0.6180339887498949
	return x - math.Floor(x)
}

// worth is a rough measure of what e gives at x, never zero.
func (e *Emitter) importance(x geom.Vec) float64 {
	if math.IsInf(e.radius, 1) {
		return e.lm * e.skyFalloff
	}
	to := x.Sub(e.centre)
	d2 := to.Len2()
	k := 1.0
	if e.axis != (geom.Vec{}) && d2 > e.radius*e.radius {
		k = max(0.05, to.Dot(e.axis)/math.Sqrt(d2))
	}
	return max(e.lm, 1e-30) * k / max(d2, e.radius*e.radius, 1e-6)
}

// askOne takes one sample of e, chosen with chance, at w.cur.
func (w *integrator) sampleLight(e *Emitter, beta *Band, depth int, a, b, chance float64) {
	v := w.cur
	s := &w.light
	if !v.facesAway(e) && e.sample(v.p, a, b, s) {
		own := w.evalScattering(v, s.w, &w.f)
		if maxBand(&w.f) > 0 && w.connect(v, s.w, s.dist) {
			k := s.le / (s.pdf * chance)
			if !s.dirac && !w.directOnly {
				pl := s.pdf * chance
				k *= pl / (pl + own)
			}
			w.addEmission(e, beta, depth, k*w.connectionTransmittance(s.dist))
		}
	}
	switch n := len(w.sc.mirrors); {
	case v.imageProb == 0:
	case v.imageProb == 1:
		for i := range w.sc.mirrors {
			w.sampleMirrorImage(&w.sc.mirrors[i], e, beta, depth, a, b, chance)
		}
	default:
		if u, _ := w.next2D(); u < deepImageProb {
			w.sampleMirrorImage(&w.sc.mirrors[min(n-1, int(u/deepImageProb*float64(n)))], e, beta, depth, a, b, chance*v.imageProb)
		}
	}
}

// askImage takes one sample of e's image in m.
func (w *integrator) sampleMirrorImage(m *flatMirror, e *Emitter, beta *Band, depth int, a, b, chance float64) {
	v := w.cur
	h := v.p.Sub(m.p).Dot(m.n)
	if math.Abs(h) < w.sc.eps*2 {
		return // on the mirror itself
	}
	if !m.mayReflect(e, v.p, h) {
		return
	}
	s := &w.light
	if !e.sample(m.image(v.p), a, b, s) {
		return
	}
	// s.w runs from the image to the light; the way from v.p is its mirror image.
	wi := s.w.Reflect(m.n)
	t, ok := m.cross(v.p, wi)
	if !ok || t >= s.dist {
		return
	}
	mat := m.mat.side(h > 0)
	own := w.evalScattering(v, wi, &w.f)
	if maxBand(&w.f) == 0 {
		return
	}
	mat.reflectance(math.Abs(wi.Dot(m.n)), &w.tmp)
	if maxBand(&w.tmp) == 0 {
		return
	}
	// Both legs stop short of the mirror along the ray, not beside it.
	short := w.sc.eps / max(0.1, math.Abs(wi.Dot(m.n)))
	if !w.connect(v, wi, t-short) || !w.unoccluded(v.p.AddMul(wi, t).AddMul(s.w, short), s.w, s.dist-t-short) {
		return
	}
	if m.bounds { // its outline is not the rectangle
		if id, _ := w.sc.closest(v.p.AddMul(wi, t-short), wi); !m.has(id) {
			return
		}
	}
	mulBand(&w.f, &w.tmp)
	k := s.le / (s.pdf * chance)
	if !s.dirac {
		pl := s.pdf * chance
		k *= pl / (pl + own)
	}
	w.addEmission(e, beta, depth+1, k*w.connectionTransmittance(s.dist))
}

// behind reports whether e is wholly on the side of a surface that passes nothing on.
func (v *vertex) facesAway(e *Emitter) bool {
	return (v.kind == flatReceptor || v.kind == onSurface && !v.m.hasTrans) && e.centre.Sub(v.p).Dot(v.ng) < -e.radius
}

// sees reports whether light passes from v along d over dist, and dims w.f by the clear things in the way.
func (w *integrator) connect(v *vertex, d geom.Vec, dist float64) bool {
	off := w.rayOffset(v, d)
	return w.unoccluded(v.p.AddMul(d, off), d, dist-off)
}

// passes is the same from a place in the open.
func (w *integrator) unoccluded(o, d geom.Vec, dist float64) bool {
	ok, dimmed := w.sc.visible(o, d, dist, &w.vis)
	if ok && dimmed {
		mulBand(&w.f, &w.vis)
	}
	return ok
}
