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

// vertex is a place where a path changes direction: a surface, the haze, or the receptor that it
// starts at.
type vertex struct {
	kind kind
	surfacePoint
	under *lobe // of a flat receptor: the coat that it lies under; nil: none
	// lights is how emitters were chosen here for next-event estimation, where lightsSampled; light
	// met by scattering then shares with that by multiple importance sampling. imageProb is the
	// probability that an emitter's image in a given mirror was sampled too.
	lightsSampled bool
	imageProb     float64
	lights        lightSampler
	// guideProb is the probability of following guide rather than the scattering law.
	guideProb float64
	guide     guide
	// treeProb is that of following tree, the path guide.
	treeProb float64
	tree     *directionTree
	// portalProb is that of going to one of the portals of the path guide.
	portalProb float64
	portals    guide
	// aureoleProb is that of going, in haze, about where one of the lamps is, each in aureoles.
	aureoleProb float64
	aureoles    []geom.Vec
}

// reset makes v a vertex of a kind at p with nothing sampled yet.
func (v *vertex) reset(k kind, p geom.Vec) {
	v.kind, v.p = k, p
	v.lightsSampled, v.imageProb, v.guideProb, v.treeProb, v.portalProb = false, 0, 0, 0, 0
}

const (
	// maxVertices ends a path in any case. Roulette ends nearly all before: in a closed room of
	// reflectance 0.999 what 5,000 vertices leave out is 0.7 % of the light.
	maxVertices = 5000
	rouletteAt  = 2 // vertices before Russian roulette
	// leastRef is the least that guiding makes of what a path's throughput is held against. Without
	// it a guided path in a dark stairwell goes on for a third longer and readings are no surer.
	leastRef = 0.05
	// maxSurvival is the most that a path survives a vertex with. Under the reflectance of a bright
	// room it would make a path's weight grow without bound.
	maxSurvival = 0.999
)

// traceFromReceptor traces one path that ends on a receptor at p facing n.
func (w *integrator) traceFromReceptor(k kind, p, n geom.Vec) {
	v := w.cur
	if k == domeReceptor && len(w.sc.tris) > 0 {
		p = p.AddMul(n, w.sc.eps) // one that lies on a surface stands on it
	}
	v.kind, v.p, v.n, v.ng, v.m, v.tint, v.coatOnly = k, p, n, n, nil, false, false
	v.frame, v.wo = geom.FrameOf(n), n
	w.tracePath(Grey(1), 0)
}

// traceFromCamera traces one path from a lens point o along d (unit). Where the first thing met is
// a pane or a sharp mirror, each way that light takes there is followed: a lamp's reflection in a
// window would else be found now and then only, and be a firefly.
func (w *integrator) traceFromCamera(o, d geom.Vec) {
	w.branches, w.segment.length = 1, 0
	for w.branch = 1; w.branch <= w.branches; w.branch++ {
		w.dim = 2 + branchDims*(w.branch-1)
		w.inAirlight = false
		beta := Grey(1)
		w.cur.reset(inMedium, o)
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

// tracePath goes on from w.cur, which depth vertices lie before, with throughput beta.
func (w *integrator) tracePath(beta Band, depth int) {
	// ref is what throughput is held against: what the first vertex passes on, less what guiding
	// has made of it since; bright is the same without that.
	ref, bright := float32(1), float32(1)
	footprint := 0.0 // radius of the path's footprint, metres
	for ; depth < maxVertices; depth++ {
		v := w.cur
		// End in the irradiance cache where the footprint is wider than a cell.
		if w.cache != nil && depth >= w.cacheDepth && w.terminateInCache(&beta, depth, footprint) == pathEnds {
			return
		}
		if w.train != nil {
			w.train.arrive(v, &beta)
		}
		// Next-event estimation.
		first := depth <= w.directDepth
		switch {
		case w.mode == unidirectional:
		case v.kind != inMedium:
			w.sampleLights(&beta, depth, first)
		default:
			w.prepareGuide(depth)
		}
		if w.mode == directLight || w.maxBounces > 0 && depth >= w.maxBounces {
			return
		}
		// Sample a direction from the mixture of guide and scattering law.
		if v.aureoleProb = 0; w.sc.Medium != nil && !v.coatOnly {
			w.prepareAureoles()
		}
		wi, pdf, ok := w.sampleDirection()
		if !ok {
			return
		}
		w.arrivesAt(v, wi)
		if w.train != nil {
			a, b := w.next2D()
			w.train.record(v, wi, a, b)
		}
		if first {
			ref = maxBand(&beta) * v.maxThroughput()
			bright = ref
		}
		if w.scatterPDF < pdf {
			// A guided path's throughput falls because it was likely, not because it is faint. Were
			// it ended for that, the few that live on would be the fireflies that guiding is to
			// prevent. Many likely choices one after another do make it faint.
			ref = max(ref*float32(w.scatterPDF/pdf), leastRef*bright)
		}
		for b := range beta {
			beta[b] *= w.f[b] / float32(pdf)
		}
		// Russian roulette, by how faint the path has become against what its first vertex passes
		// on.
		if depth > w.directDepth && depth >= rouletteAt {
			q := min(maxSurvival, maxBand(&beta)/ref)
			u, _ := w.next2D()
			if !(u < float64(q)) {
				return
			}
			scaleBand(&beta, 1/q)
		}
		w.faint = maxBand(&beta) / bright
		if !w.nextVertex(wi, pdf, &beta, depth) {
			return
		}
		w.cur, w.next = w.next, w.cur
		if w.cache != nil {
			footprint += w.cur.p.Sub(v.p).Len() / math.Sqrt(pdf)
		}
	}
}

// maxThroughput is about the largest share of arriving light that v passes on, in the terms of a
// path's throughput.
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

// evalScattering writes v's response to light from wi (BSDF times cosine, phase function or a
// receptor's weight) and returns the density with which sampleScattering draws wi.
func (w *integrator) evalScattering(v *vertex, wi geom.Vec, f *Band) float64 {
	switch v.kind {
	case flatReceptor:
		c := wi.Dot(v.n)
		if c <= 0 {
			*f = Band{}
			return 0
		}
		k := c
		if v.under != nil {
			k *= (1 - v.under.at(c)) / (1 - v.under.avg)
		}
		*f = Grey(k)
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

// sampleScattering draws a direction from v's own law.
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

// sampleDirection draws the next direction from w.cur; w.f then holds the response, w.scatterPDF
// the density of the scattering law alone; pdf is the density of the mixture with the guide.
func (w *integrator) sampleDirection() (wi geom.Vec, pdf float64, ok bool) {
	v := w.cur
	pick, pick2 := w.next2D()
	a, b := w.next2D()
	switch {
	case v.guideProb > 0 && pick < v.guideProb:
		wi, ok = v.guide.sample(pick/v.guideProb, a, b)
	case v.treeProb > 0 && pick < v.guideProb+v.treeProb:
		wi, ok = v.tree.sample(a, b), true
	case v.portalProb > 0 && pick < v.guideProb+v.treeProb+v.portalProb:
		wi, ok = v.portals.sample((pick-v.guideProb-v.treeProb)/v.portalProb, a, b)
	case pick2 < v.aureoleProb:
		wi, ok = w.sampleAureole(pick2/v.aureoleProb, a, b), true
	default:
		wi, ok = w.sampleScattering(v, (pick2-v.aureoleProb)/(1-v.aureoleProb), a, b)
	}
	if !ok {
		return wi, 0, false
	}
	own := w.evalScattering(v, wi, &w.f)
	w.scatterPDF = own
	if v.aureoleProb > 0 {
		own = (1-v.aureoleProb)*own + v.aureoleProb*w.aureolePDF(wi)
	}
	pdf = own
	if v.guideProb > 0 || v.treeProb > 0 || v.portalProb > 0 {
		pdf = (1 - v.guideProb - v.treeProb - v.portalProb) * own
	}
	if v.portalProb > 0 {
		pdf += v.portalProb * v.portals.pdf(wi)
	}
	if v.guideProb > 0 {
		pdf += v.guideProb * v.guide.pdf(wi)
	}
	if v.treeProb > 0 {
		pdf += v.treeProb * v.tree.pdf(wi)
	}
	return wi, pdf, pdf > 0 && maxBand(&w.f) > 0
}

// prepareGuide readies the relays and the path guide at w.cur, which depth vertices lie before: all
// of them where light arrives first, the brightest deeper, then none. A share of 0.2 gives every
// other direction a weight of 1/0.8, and that to the power of an endless path has no variance.
func (w *integrator) prepareGuide(depth int) {
	w.prepareRelays(depth)
	w.prepareTree(depth)
}

func (w *integrator) prepareRelays(depth int) {
	v, sc := w.cur, w.sc
	v.guideProb = 0
	if v.coatOnly {
		return
	}
	set, share := sc.guides, guideShare
	if depth > w.directDepth {
		set, share = sc.deepGuides, deepGuideShare
	}
	if len(set) == 0 || depth > w.directDepth+deepRelayVertices {
		return
	}
	if v.guide.prepare(set, v.p, w.active); v.guide.total > 0 {
		v.guideProb = share
	}
}

// rayOffset returns how far along wi (unit) a ray from v starts, so that it is clear of v's own
// surface. The start lies on the ray itself, not beside it: what is flush with a wall stays flush
// with it however grazing the ray is.
func (w *integrator) rayOffset(v *vertex, wi geom.Vec) float64 {
	switch v.kind {
	case onSurface, flatReceptor:
		return w.sc.eps / max(0.1, math.Abs(wi.Dot(v.ng)))
	}
	return 0
}
