package trace

import (
	"math"

	"halfstop/geom"
)

const (
	// how often an emitter's image in one of the flat
	// mirrors is sampled at vertices after the first
	deepImageProb     = 0.25
	deepGuideVertices = 2 // vertices after the first where trees guide
	deepRelayVertices = 8 // and relays
)

// sampleLights is next-event estimation at w.cur: it samples emitters and their images in flat
// mirrors and adds what comes unoccluded.
//
// At the vertices that light reaches directly every layer is sampled, each of its emitters for a
// reading and one of them for a picture that ends its paths in a cache. Deeper down a few layers
// are.
func (w *integrator) sampleLights(beta *Band, depth int, first bool) {
	v, sc := w.cur, w.sc
	v.lightsSampled, v.imageProb = true, 0
	if len(sc.mirrors) > 0 {
		v.imageProb = 1
		if !first {
			v.imageProb = deepImageProb / float64(len(sc.mirrors))
		}
	}
	w.prepareGuide(depth)
	if !first {
		w.sampleFewLights(beta, depth)
		return
	}
	for _, l := range w.layers() {
		a, b := w.next2D()
		if es := sc.byLayer[l]; w.cache != nil && len(es) > 1 {
			u, _ := w.next2D()
			if v.lights.weigh(l, v.p, v, 1) {
				e, _ := v.lights.Sample(l, u, 1)
				w.sampleLight(e, beta, depth, a, b)
			}
			continue
		}
		v.lights.every(l)
		for i, e := range sc.byLayer[l] {
			// One point set serves a layer's emitters.
			ka, kb := a, b
			if i > 0 {
				ka, kb = goldenShift(a, i), goldenShift(b, 2*i)
			}
			w.sampleLight(e, beta, depth, ka, kb)
		}
	}
}

// sampleFewLights samples some layers, one emitter of each.
func (w *integrator) sampleFewLights(beta *Band, depth int) {
	v := w.cur
	v.lights.weighLayers(w.layers(), v.p, deepLayerSamples)
	u, pick := w.next2D()
	turn := systematic(u)
	for _, l := range w.layers() {
		if len(w.sc.byLayer[l]) == 0 {
			continue
		}
		prob := v.lights.layer[l]
		some := v.lights.weigh(l, v.p, nil, prob)
		if !turn.take(prob) || !some {
			continue
		}
		a, b := w.next2D()
		e, _ := v.lights.Sample(l, goldenShift(pick, l), prob)
		w.sampleLight(e, beta, depth, a, b)
	}
}

// sampleLight takes one sample of e at w.cur.
func (w *integrator) sampleLight(e *Emitter, beta *Band, depth int, a, b float64) {
	v := w.cur
	chance := v.lights.PMF(e)
	s := &w.light
	if !v.facesAway(e) && e.sample(v.p, a, b, s) {
		w.arrivesAt(v, s.w)
		own := w.evalScattering(v, s.w, &w.f)
		k := s.le / (s.pdf * chance)
		first := depth <= w.directDepth
		if first && w.potential != nil && maxBand(&w.f) > 0 {
			w.addPotential(e, beta, k)
		}
		if maxBand(&w.f) > 0 && w.connect(v, s.w, s.dist) {
			if w.train != nil {
				w.train.sees()
			}
			if !s.dirac && w.mode != directLight {
				pl := s.pdf * chance
				k *= pl / (pl + own)
			}
			w.addEmission(e, beta, depth, k*w.transmittance(s.dist))
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
			w.sampleMirrorImage(&w.sc.mirrors[min(n-1, int(u/deepImageProb*float64(n)))], e, beta, depth, a, b,
				chance*v.imageProb)
		}
	}
}

// arrivesAt notes the direction wi that light comes from where v is what is measured in haze.
func (w *integrator) arrivesAt(v *vertex, wi geom.Vec) {
	if v.kind == sphericalReceptor {
		w.arrives = wi
	}
}

// sampleMirrorImage takes one sample of e's image in m.
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
	w.arrivesAt(v, wi)
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
	w.addEmission(e, beta, depth+1, k*w.transmittance(s.dist))
}

// connect reports whether light passes from v along d over dist, and dims w.f by the clear things
// in the way.
func (w *integrator) connect(v *vertex, d geom.Vec, dist float64) bool {
	off := w.rayOffset(v, d)
	return w.unoccluded(v.p.AddMul(d, off), d, dist-off)
}

// unoccluded is the same from a place in the open.
func (w *integrator) unoccluded(o, d geom.Vec, dist float64) bool {
	ok, dimmed := w.sc.visible(o, d, dist, &w.vis)
	if ok && dimmed {
		mulBand(&w.f, &w.vis)
	}
	return ok
}

// addPotential adds w.f·k of its light as if it came unoccluded.
func (w *integrator) addPotential(e *Emitter, beta *Band, k float64) {
	if k < 1e18 {
		f := w.f
		mulBand(&f, &e.Tint)
		addMul(&w.potential[e.Layer], beta, &f, float32(k))
	}
}
