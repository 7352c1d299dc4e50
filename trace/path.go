package trace

import (
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// kind says what scatters at a vertex of a path.
type kind uint8

const (
	onSurface kind = iota
	inMedium
	flatReceptor
	domeReceptor
	sphericalReceptor
)

// vertex is a place where light changes direction: a surface, the haze, or the receptor that a path starts at.
type vertex struct {
	kind kind
	surfacePoint
	lightsSampled bool    // its lights were asked directly, so light met by chance shares with that (MIS)
	imageProb     float64 // … and with what chance each one's image in any one flat mirror as well
	guideProb     float64
	guide         guide
	emitterPMF    []float64 // chance with which each emitter was the one asked in its layer
}

// walker traces paths for one goroutine.
type integrator struct {
	sc    *Scene
	seq   sample.Seq
	index uint32
	dim   int
	// A picture's numbers are spread over its pixels as well.
	screenSpace bool
	screenSeq   sample.Seq
	px, py      int
	active      []int  // layers traced; nil all
	isActive    []bool // the same by layer

	direct, bounced  []Band
	directDepth      int // vertices after which light counts as bounced
	directOnly       bool
	sharpCoats       bool // coats as they are: only where the eye itself sees them
	maxBounces       int  // most vertices after the receptor; 0: no bound
	cur, next        *vertex
	vis, f, tmp      Band
	light            lightSample
	layerProb        []float64 // of asking each layer
	branch, branches int       // which way of how many to take at a pane or mirror right before the eye; 0: by chance
	features         *featureSample
	airlight         []Band // what haze adds on the way to the eye; nil where nobody asks
	inAirlight       bool
	cache            *IrradianceCache // what paths may end on; nil: nothing
	cacheDepth       int              // … from that many vertices on
	scatterPDF       float64          // density of the vertex's own law in the direction scatter drew last
	cameraSegment    segment          // in haze: what the eye looks through first
	featuresOnly     bool             // only what the eye sees is asked for
	unidirectional   bool             // no light is asked for and no relay followed, light is met by chance only: the slow oracle of tests
}

// way is a straight way of light.
type segment struct {
	o, d   geom.Vec
	length float64
}

// record is what the first surface of a pixel's path is, for denoising.
type featureSample struct {
	hit     bool
	id      uint32 // of the surface and of all emitters and panes before it
	emitter bool   // there is an emitter before it
	albedo  Band
	normal  geom.Vec
	depth   float64
}

func newIntegrator(sc *Scene, active []int) *integrator {
	w := &integrator{sc: sc, active: active, cur: &vertex{}, next: &vertex{}}
	w.direct, w.bounced, w.isActive = make([]Band, sc.Layers), make([]Band, sc.Layers), make([]bool, sc.Layers)
	for _, l := range w.layers() {
		w.isActive[l] = true
	}
	w.layerProb = make([]float64, sc.Layers)
	w.cur.emitterPMF, w.next.emitterPMF = make([]float64, len(sc.Emitters)), make([]float64, len(sc.Emitters))
	return w
}

// two gives the next two numbers of the path's sequence; far down a path, where being well spread no longer helps, plain
// independent ones.
func (w *integrator) next2D() (float64, float64) {
	d := w.dim
	w.dim++
	if d%branchDims >= spreadDims {
		return w.seq.Noise(w.index, 2*d), w.seq.Noise(w.index, 2*d+1)
	}
	if w.screenSpace {
		return w.screenSeq.Screen2(w.px, w.py, w.index, d)
	}
	return w.seq.Point2(w.index, d)
}

func (w *integrator) add(layer, vertices int, beta, f *Band, k float64) {
	dst := &w.direct[layer]
	if vertices > w.directDepth {
		dst = &w.bounced[layer]
	}
	addMul(dst, beta, f, float32(k))
	if w.inAirlight && w.airlight != nil {
		addMul(&w.airlight[layer], beta, f, float32(k))
	}
}

const (
	maxVertices = 200
	rouletteAt  = 2
	spreadDims  = 24 // pairs of a path's numbers that are well spread over the samples: those of its first two vertices
	hazeDims    = 40 // where the numbers of what comes by way of the haze begin
	branchDims  = 64 // pairs that each way from a first pane has to itself
)

// fromReceptor traces one path that ends on a receptor at p facing n.
func (w *integrator) traceFromReceptor(k kind, p, n geom.Vec) {
	v := w.cur
	if k == domeReceptor && len(w.sc.tris) > 0 {
		p = p.AddMul(n, w.sc.eps) // one that lies on a surface stands on it
	}
	v.kind, v.p, v.n, v.ng, v.m, v.tint = k, p, n, n, nil, false
	v.frame, v.wo = geom.FrameOf(n), n
	beta := Grey(1)
	w.tracePath(beta, 0)
}

// fromEye traces one path from an eye at o along d (unit). Where the first thing met is a pane or a sharp mirror, every way that
// light takes there is followed: a lamp's reflection in a window would else be found now and then only, and blaze.
func (w *integrator) traceFromCamera(o, d geom.Vec) {
	w.branches, w.cameraSegment.length = 1, 0
	for w.branch = 1; w.branch <= w.branches; w.branch++ {
		w.dim = 2 + branchDims*(w.branch-1)
		w.inAirlight = false
		beta := Grey(1)
		eye := w.cur
		eye.kind, eye.p, eye.lightsSampled, eye.imageProb = inMedium, o, false, 0
		if w.nextVertex(d, 0, &beta, 0) {
			w.cur, w.next = w.next, w.cur
			w.tracePath(beta, 1)
		}
	}
	w.branch, w.inAirlight = 0, false
	if w.cache != nil && w.sc.Medium != nil {
		w.traceFromHaze()
	}
}

// walk goes on from w.cur, which depth vertices lie before.
func (w *integrator) tracePath(beta Band, depth int) {
	ref := float32(1)
	foot := 0.0 // how wide the path has spread, metres
	for ; depth < maxVertices; depth++ {
		// Ask every layer's lights.
		v := w.cur
		if w.cache != nil && depth >= w.cacheDepth && w.terminateInCache(&beta, depth, foot) {
			return
		}
		first := depth <= w.directDepth
		if w.unidirectional {
			// by chance only
		} else if v.kind != inMedium {
			w.sampleLights(&beta, depth, first)
		} else {
			w.prepareGuide(depth)
		}
		if w.directOnly || w.maxBounces > 0 && depth >= w.maxBounces {
			return
		}
		// Choose a direction: by the relays or by the surface's own law.
		wi, pdf, ok := w.sampleDirection()
		if !ok {
			return
		}
		if first {
			ref = maxBand(&beta) * v.maxThroughput()
		}
		for b := range beta {
			beta[b] *= w.f[b] / float32(pdf)
		}
		// Roulette, by how faint the path has become against what its first vertex passes on.
		if depth > w.directDepth && depth >= rouletteAt {
			q := min(0.95, maxBand(&beta)/ref)
			u, _ := w.next2D()
			if !(u < float64(q)) {
				return
			}
			scaleBand(&beta, 1/q)
		}
		if !w.nextVertex(wi, pdf, &beta, depth) {
			return
		}
		w.cur, w.next = w.next, w.cur
		if w.cache != nil {
			foot += w.cur.p.Sub(v.p).Len() / math.Sqrt(pdf)
		}
	}
}

// most is about the largest share of arriving light that v passes on, in the terms of a path's weight.
func (v *vertex) maxThroughput() float32 {
	switch v.kind {
	case flatReceptor:
		return math.Pi
	case domeReceptor:
		return 2 * math.Pi
	case sphericalReceptor:
		return 4 * math.Pi
	case inMedium:
		return 1
	}
	m := v.m
	k := max(maxBand(&m.Diffuse), maxBand(&m.Trans), maxBand(&m.Mirror))
	if m.Coat > 0 {
		k = max(k, float32(v.coatO))
	}
	return max(k, 0.02)
}

// respond writes what share of light from wi goes on along the path, times cosine, and the density of the vertex's own law.
func (w *integrator) evalScattering(v *vertex, wi geom.Vec, f *Band) float64 {
	switch v.kind {
	case flatReceptor:
		c := wi.Dot(v.n)
		if c <= 0 {
			*f = Band{}
			return 0
		}
		*f = Grey(c)
		return c / math.Pi
	case domeReceptor:
		c := (1 + wi.Dot(v.n)) / 2
		*f = Grey(c)
		return c / (2 * math.Pi)
	case sphericalReceptor:
		*f = Grey(1)
		return sample.SpherePdf()
	case inMedium:
		p := sample.HGPdf(v.wo.Neg().Dot(wi), w.sc.Medium.G)
		*f = Grey(p)
		return p
	}
	return v.eval(wi, f)
}

// scatter draws the next direction from w.cur; w.f holds the response, pdf the density of the mixture.
func (w *integrator) sampleDirection() (wi geom.Vec, pdf float64, ok bool) {
	v := w.cur
	pick, pick2 := w.next2D()
	a, b := w.next2D()
	if v.guideProb > 0 && pick < v.guideProb {
		wi, ok = v.guide.sample(pick/v.guideProb, a, b)
	} else {
		wi, ok = w.sampleScattering(v, pick2, a, b)
	}
	if !ok {
		return wi, 0, false
	}
	own := w.evalScattering(v, wi, &w.f)
	pdf, w.scatterPDF = own, own
	if v.guideProb > 0 {
		pdf = (1-v.guideProb)*own + v.guideProb*v.guide.pdf(wi)
	}
	return wi, pdf, pdf > 0 && maxBand(&w.f) > 0
}

func (w *integrator) sampleScattering(v *vertex, pick, a, b float64) (geom.Vec, bool) {
	switch v.kind {
	case flatReceptor:
		c := sample.Cosine(a, b)
		return v.frame.Out(c.X, c.Y, c.Z), true
	case domeReceptor:
		c := sample.Dome(a, b)
		return v.frame.Out(c.X, c.Y, c.Z), true
	case sphericalReceptor:
		return sample.Sphere(a, b), true
	case inMedium:
		c := sample.Scatter(w.sc.Medium.G, a, b)
		return geom.FrameOf(v.wo.Neg()).Out(c.X, c.Y, c.Z), true
	}
	return v.sampleSpread(pick, a, b)
}

func (w *integrator) layers() []int {
	if w.active != nil {
		return w.active
	}
	return w.sc.all
}

// addEmission adds w.f·k of e's light; tinted emitters multiply.
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

// haze is the transmittance of the medium over a distance.
func (w *integrator) transmittance(d float64) float64 {
	if w.sc.Medium == nil || d >= far {
		return 1
	}
	return math.Exp(-w.sc.Medium.Extinction * d)
}

// onWay is the same on a way of light that does not lead to the eye: where paths end on what is known, what is scattered forwards there
// counts as passed (see airlight).
func (w *integrator) connectionTransmittance(d float64) float64 {
	if w.cache == nil || w.sc.Medium == nil || d >= far {
		return w.transmittance(d)
	}
	m := w.sc.Medium
	return math.Exp(-m.Extinction * (1 - m.Albedo*m.G) * d)
}

// leave returns how far along wi (unit) a ray from v starts, so that it is clear of v's own surface. The start lies on the ray itself, not
// beside it: what is flush with a wall stays flush with it however grazing the ray is.
func (w *integrator) rayOffset(v *vertex, wi geom.Vec) float64 {
	n := v.ng
	switch v.kind {
	case onSurface, flatReceptor:
	default:
		return 0
	}
	return w.sc.eps / max(0.1, math.Abs(wi.Dot(n)))
}

// travel follows the ray from w.cur along d, drawn with density pdf (0: by no density, an eye), gathers the light of the
// emitters on its way, goes straight through or mirrors where the surface says so, and stops at the next vertex, w.next. It
// reports false when the path ends. depth counts the vertices up to and with w.cur.
func (w *integrator) nextVertex(d geom.Vec, pdf float64, beta *Band, depth int) bool {
	sc, v := w.sc, w.cur
	ref := v.p // where emitters are seen from: w.cur, or its image
	from := w.rayOffset(v, d)
	lo := 0.0     // light nearer to ref than this is behind
	known := true // whether light met now could also have been found by asking at w.cur
	viaMirror := 0
	split := depth == 0 && w.branch > 0 && !w.unidirectional
	quiet := split && w.branch > 1 // the first branch has had the light of the way up to the pane
	o := v.p.AddMul(d, from)
	through := float32(1) // haze on the way
	for range 64 {
		id, h := sc.closest(o, d)
		tEnd := far * 2
		if id >= 0 {
			tEnd = from + float64(h.T)
		}
		passed := 1.0
		// Haze: light scattered into the way, and perhaps a new vertex in it.
		if sc.Medium != nil && !quiet && !w.unidirectional && !w.featuresOnly {
			was := w.inAirlight
			w.inAirlight = was || split
			long := min(tEnd-from, hazeReach)
			if w.cache == nil || depth < w.cacheDepth-1 {
				w.sampleInScattering(o, d, long, beta, depth+1)
				passed = w.transmittance(long)
				if viaMirror == 0 && w.branch <= 1 && w.cameraSegment.length == 0 {
					w.cameraSegment = segment{o, d, long}
				}
			} else {
				passed = w.cachedAirlight(o, d, long, beta, depth+1)
			}
			w.inAirlight = was
		}
		// Emitters crossed.
		slack := sc.eps * 2
		for _, e := range sc.hittable {
			named := w.features != nil && depth == 0 && !w.features.hit && w.branch <= 1 // what the eye sees is told by all that is before it
			if quiet || !w.isActive[e.Layer] && !named || !e.near(o, d) {
				continue
			}
			t, le, pl, ok := e.hit(ref, d, tEnd+slack)
			if !ok || t < lo {
				continue
			}
			if named {
				w.features.emitter = true
				w.features.id = w.features.id*0x01000193 ^ uint32(e.id+1)
			}
			if w.featuresOnly || !w.isActive[e.Layer] {
				continue
			}
			k := le
			switch {
			case v.kind == inMedium && pdf > 0 && viaMirror == 0 && !w.unidirectional:
				continue // scatterIn has it
			case pdf > 0 && v.lightsSampled && known && (viaMirror == 0 || viaMirror == 1 && v.imageProb > 0):
				if pl *= v.emitterPMF[e.id]; viaMirror == 1 {
					pl *= v.imageProb
				}
				k *= w.scatterPDF / (w.scatterPDF + pl)
			}
			w.f = Grey(1)
			if pdf > 0 {
				k *= w.connectionTransmittance(t - from)
			} else {
				k *= w.transmittance(t - from)
			}
			w.addEmission(e, beta, depth+viaMirror, k)
		}
		if id < 0 && sc.Medium == nil {
			return false
		}
		// A vertex in the haze?
		switch {
		case w.cache != nil && sc.Medium != nil && !quiet:
			// Both parts at once: airlight has what the haze scatters, and this is what it lets through.
			scaleBand(beta, float32(passed))
			through *= float32(passed)
			if id < 0 {
				return false
			}
		case w.featuresOnly:
			if id < 0 {
				return false
			}
		case sc.Medium != nil && !quiet:
			u, _ := w.next2D()
			s := -math.Log(1-u) / max(sc.Medium.Extinction, 1e-12)
			if s < min(tEnd-from, hazeReach) {
				if sc.Medium.Albedo == 0 {
					return false
				}
				scaleBand(beta, float32(sc.Medium.Albedo))
				n := w.next
				n.kind, n.p, n.wo, n.lightsSampled, n.imageProb, n.guideProb = inMedium, o.AddMul(d, s), d.Neg(), false, 0, 0
				n.m = nil
				w.inAirlight = w.inAirlight || split
				return true
			}
			if id < 0 {
				return false
			}
		}
		w.sharpCoats = v.kind == inMedium && pdf == 0
		w.fillSurface(id, h, d)
		n := w.next
		// Which of mirror, straight through, pane or the spread part?
		m := n.m
		if !m.hasClear && (!m.hasMirror || m.Alpha > 0) {
			n.prepare()
			w.recordFeatures(n, tEnd, beta, depth, through)
			return true
		}
		cos := min(1, d.Neg().Dot(n.ng))
		var refl, pass Band
		if m.hasMirror && m.Alpha == 0 || m.Glass > 0 {
			m.reflectance(cos, &refl)
		}
		if m.hasClear {
			m.passes(cos, &pass)
		}
		pr, pp := float64(meanBand(&refl)), float64(meanBand(&pass))
		ps := float64(meanBand(&m.Diffuse)) + float64(meanBand(&m.Trans))
		if m.Alpha > 0 {
			ps += float64(meanBand(&m.Mirror))
		}
		if m.Coat > 0 {
			ps = max(ps, 0.05)
		}
		sum := pr + pp + ps
		if sum <= 0 {
			return false
		}
		u := 0.0
		if split {
			// One way after the other, each whole.
			n, way := 0, 0
			for i, p := range [3]float64{ps, pp, pr} {
				if p > 0 {
					if n++; n == w.branch {
						way = i
					}
				}
			}
			w.branches = n
			split, quiet = false, false
			ps, pp, pr = indicator(way == 0), indicator(way == 1), indicator(way == 2)
			sum = 1
		} else {
			u, _ = w.next2D()
			u *= sum
		}
		off := sc.eps / max(0.1, cos)
		switch {
		case u < ps:
			scaleBand(beta, float32(sum/ps))
			n.prepare()
			w.recordFeatures(n, tEnd, beta, depth, through)
			return true
		case u < ps+pp:
			for b := range beta {
				beta[b] *= pass[b] * float32(sum/pp)
			}
			o = n.p.AddMul(d, off)
			from, lo = tEnd+off, tEnd+slack // what is flush with it was met before it
			w.hashInterface(n.m, 1)
		default:
			for b := range beta {
				beta[b] *= refl[b] * float32(sum/pr)
			}
			// The image of ref in this mirror sees what comes next along the mirrored way.
			ref = ref.AddMul(n.ng, -2*ref.Sub(n.p).Dot(n.ng))
			d = d.Reflect(n.ng)
			w.hashInterface(n.m, 2)
			o = n.p.AddMul(d, off)
			from, lo = tEnd+off, tEnd+slack // what is flush with it was met before it
			viaMirror++
			if viaMirror > 1 || !sc.isFlatMirror(id) {
				known = false
			}
		}
	}
	return false
}

func indicator(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// by keeps by way of what the eye sees: a pane, or a mirror.
func (w *integrator) hashInterface(m *Material, how uint32) {
	if w.features != nil && !w.features.hit && w.branch <= 1 {
		w.features.id = w.features.id*0x01000193 ^ uint32(m.id)<<8 ^ how
	}
}

// note keeps the first surface that spreads light, seen through panes and in mirrors, for denoising; beta holds what haze let through, too.
func (w *integrator) recordFeatures(n *vertex, t float64, beta *Band, depth int, through float32) {
	r := w.features
	if r == nil || depth > 0 || r.hit || w.branch > 1 {
		return
	}
	r.hit, r.normal, r.depth = true, n.n, t
	r.id = r.id*0x01000193 ^ uint32(n.m.id)<<16 ^ 0x9e37
	for b := range r.albedo {
		r.albedo[b] = n.m.Diffuse[b] + n.m.Trans[b]
	}
	if n.tint {
		mulBand(&r.albedo, &n.alb)
	}
	for b := range r.albedo {
		r.albedo[b] = (r.albedo[b] + n.m.Mirror[b]) * beta[b] / through
	}
}
