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
	inHaze
	flatReceptor
	domeReceptor
	roundReceptor
)

// vertex is a place where light changes direction: a surface, the haze, or the receptor that a path starts at.
type vertex struct {
	kind kind
	surfacePoint
	asked  bool    // its lights were asked directly, so light met by chance shares with that (MIS)
	images float64 // … and with what chance each one's image in any one flat mirror as well
	guided float64
	g      guide
	choice []float64 // chance with which each emitter was the one asked in its layer
}

// walker traces paths for one goroutine.
type walker struct {
	sc    *Scene
	seq   sample.Seq
	index uint32
	dim   int
	// A picture's numbers are spread over its pixels as well.
	onScreen bool
	net      sample.Seq
	x, y     int
	active   []int  // layers traced; nil all
	on       []bool // the same by layer

	direct, bounced []Band
	directMax       int // vertices after which light counts as bounced
	directOnly      bool
	sharp           bool // coats as they are: only where the eye itself sees them
	bounces         int  // most vertices after the receptor; 0: no bound
	cur, next       *vertex
	vis, f, tmp     Band
	light           lightSample
	odds            []float64 // of asking each layer
	branch, ways    int       // which way of how many to take at a pane or mirror right before the eye; 0: by chance
	rec             *record
	veil            []Band // what haze adds on the way to the eye; nil where nobody asks
	inVeil          bool
	amb             *IrradianceCache // what paths may end on; nil: nothing
	ambAt           int              // … from that many vertices on
	own             float64          // density of the vertex's own law in the direction scatter drew last
	seen            way              // in haze: what the eye looks through first
	looking         bool             // only what the eye sees is asked for
	plain           bool             // no light is asked for and no relay followed, light is met by chance only: the slow oracle of tests
}

// way is a straight way of light.
type way struct {
	o, d   geom.Vec
	length float64
}

// record is what the first surface of a pixel's path is, for denoising.
type record struct {
	hit    bool
	kind   uint32 // of the surface and of all emitters and panes before it
	glows  bool   // there is an emitter before it
	albedo Band
	normal geom.Vec
	depth  float64
}

func newWalker(sc *Scene, active []int) *walker {
	w := &walker{sc: sc, active: active, cur: &vertex{}, next: &vertex{}}
	w.direct, w.bounced, w.on = make([]Band, sc.Layers), make([]Band, sc.Layers), make([]bool, sc.Layers)
	for _, l := range w.layers() {
		w.on[l] = true
	}
	w.odds = make([]float64, sc.Layers)
	w.cur.choice, w.next.choice = make([]float64, len(sc.Emitters)), make([]float64, len(sc.Emitters))
	return w
}

// two gives the next two numbers of the path's sequence; far down a path, where being well spread no longer helps, plain
// independent ones.
func (w *walker) two() (float64, float64) {
	d := w.dim
	w.dim++
	if d%branchDims >= spreadDims {
		return w.seq.Noise(w.index, 2*d), w.seq.Noise(w.index, 2*d+1)
	}
	if w.onScreen {
		return w.net.Screen2(w.x, w.y, w.index, d)
	}
	return w.seq.Point2(w.index, d)
}

func (w *walker) add(layer, vertices int, beta, f *Band, k float64) {
	dst := &w.direct[layer]
	if vertices > w.directMax {
		dst = &w.bounced[layer]
	}
	addMul(dst, beta, f, float32(k))
	if w.inVeil && w.veil != nil {
		addMul(&w.veil[layer], beta, f, float32(k))
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
func (w *walker) fromReceptor(k kind, p, n geom.Vec) {
	v := w.cur
	if k == domeReceptor && len(w.sc.tris) > 0 {
		p = p.AddMul(n, w.sc.eps) // one that lies on a surface stands on it
	}
	v.kind, v.p, v.n, v.ng, v.m, v.tint = k, p, n, n, nil, false
	v.frame, v.wo = geom.FrameOf(n), n
	beta := Grey(1)
	w.walk(beta, 0)
}

// fromEye traces one path from an eye at o along d (unit). Where the first thing met is a pane or a sharp mirror, every way that
// light takes there is followed: a lamp's reflection in a window would else be found now and then only, and blaze.
func (w *walker) fromEye(o, d geom.Vec) {
	w.ways, w.seen.length = 1, 0
	for w.branch = 1; w.branch <= w.ways; w.branch++ {
		w.dim = 2 + branchDims*(w.branch-1)
		w.inVeil = false
		beta := Grey(1)
		eye := w.cur
		eye.kind, eye.p, eye.asked, eye.images = inHaze, o, false, 0
		if w.travel(d, 0, &beta, 0) {
			w.cur, w.next = w.next, w.cur
			w.walk(beta, 1)
		}
	}
	w.branch, w.inVeil = 0, false
	if w.amb != nil && w.sc.Medium != nil {
		w.fromHaze()
	}
}

// walk goes on from w.cur, which depth vertices lie before.
func (w *walker) walk(beta Band, depth int) {
	ref := float32(1)
	foot := 0.0 // how wide the path has spread, metres
	for ; depth < maxVertices; depth++ {
		// Ask every layer's lights.
		v := w.cur
		if w.amb != nil && depth >= w.ambAt && w.rest(&beta, depth, foot) {
			return
		}
		first := depth <= w.directMax
		if w.plain {
			// by chance only
		} else if v.kind != inHaze {
			w.ask(&beta, depth, first)
		} else {
			w.guide(depth)
		}
		if w.directOnly || w.bounces > 0 && depth >= w.bounces {
			return
		}
		// Choose a direction: by the relays or by the surface's own law.
		wi, pdf, ok := w.scatter()
		if !ok {
			return
		}
		if first {
			ref = maxBand(&beta) * v.most()
		}
		for b := range beta {
			beta[b] *= w.f[b] / float32(pdf)
		}
		// Roulette, by how faint the path has become against what its first vertex passes on.
		if depth > w.directMax && depth >= rouletteAt {
			q := min(0.95, maxBand(&beta)/ref)
			u, _ := w.two()
			if !(u < float64(q)) {
				return
			}
			scaleBand(&beta, 1/q)
		}
		if !w.travel(wi, pdf, &beta, depth) {
			return
		}
		w.cur, w.next = w.next, w.cur
		if w.amb != nil {
			foot += w.cur.p.Sub(v.p).Len() / math.Sqrt(pdf)
		}
	}
}

// most is about the largest share of arriving light that v passes on, in the terms of a path's weight.
func (v *vertex) most() float32 {
	switch v.kind {
	case flatReceptor:
		return math.Pi
	case domeReceptor:
		return 2 * math.Pi
	case roundReceptor:
		return 4 * math.Pi
	case inHaze:
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
func (w *walker) respond(v *vertex, wi geom.Vec, f *Band) float64 {
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
	case roundReceptor:
		*f = Grey(1)
		return sample.SpherePdf()
	case inHaze:
		p := sample.HGPdf(v.wo.Neg().Dot(wi), w.sc.Medium.G)
		*f = Grey(p)
		return p
	}
	return v.eval(wi, f)
}

// scatter draws the next direction from w.cur; w.f holds the response, pdf the density of the mixture.
func (w *walker) scatter() (wi geom.Vec, pdf float64, ok bool) {
	v := w.cur
	pick, pick2 := w.two()
	a, b := w.two()
	if v.guided > 0 && pick < v.guided {
		wi, ok = v.g.sample(pick/v.guided, a, b)
	} else {
		wi, ok = w.ownSample(v, pick2, a, b)
	}
	if !ok {
		return wi, 0, false
	}
	own := w.respond(v, wi, &w.f)
	pdf, w.own = own, own
	if v.guided > 0 {
		pdf = (1-v.guided)*own + v.guided*v.g.pdf(wi)
	}
	return wi, pdf, pdf > 0 && maxBand(&w.f) > 0
}

func (w *walker) ownSample(v *vertex, pick, a, b float64) (geom.Vec, bool) {
	switch v.kind {
	case flatReceptor:
		c := sample.Cosine(a, b)
		return v.frame.Out(c.X, c.Y, c.Z), true
	case domeReceptor:
		c := sample.Dome(a, b)
		return v.frame.Out(c.X, c.Y, c.Z), true
	case roundReceptor:
		return sample.Sphere(a, b), true
	case inHaze:
		c := sample.Scatter(w.sc.Medium.G, a, b)
		return geom.FrameOf(v.wo.Neg()).Out(c.X, c.Y, c.Z), true
	}
	return v.sampleSpread(pick, a, b)
}

func (w *walker) layers() []int {
	if w.active != nil {
		return w.active
	}
	return w.sc.all
}

// addEmission adds w.f·k of e's light; tinted emitters multiply.
func (w *walker) addEmission(e *Emitter, beta *Band, depth int, k float64) {
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
func (w *walker) haze(d float64) float64 {
	if w.sc.Medium == nil || d >= far {
		return 1
	}
	return math.Exp(-w.sc.Medium.Extinction * d)
}

// onWay is the same on a way of light that does not lead to the eye: where paths end on what is known, what is scattered forwards there
// counts as passed (see airlight).
func (w *walker) onWay(d float64) float64 {
	if w.amb == nil || w.sc.Medium == nil || d >= far {
		return w.haze(d)
	}
	m := w.sc.Medium
	return math.Exp(-m.Extinction * (1 - m.Albedo*m.G) * d)
}

// leave returns how far along wi (unit) a ray from v starts, so that it is clear of v's own surface. The start lies on the ray itself, not
// beside it: what is flush with a wall stays flush with it however grazing the ray is.
func (w *walker) leave(v *vertex, wi geom.Vec) float64 {
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
func (w *walker) travel(d geom.Vec, pdf float64, beta *Band, depth int) bool {
	sc, v := w.sc, w.cur
	ref := v.p // where emitters are seen from: w.cur, or its image
	from := w.leave(v, d)
	lo := 0.0     // light nearer to ref than this is behind
	known := true // whether light met now could also have been found by asking at w.cur
	viaMirror := 0
	split := depth == 0 && w.branch > 0 && !w.plain
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
		if sc.Medium != nil && !quiet && !w.plain && !w.looking {
			was := w.inVeil
			w.inVeil = was || split
			long := min(tEnd-from, hazeReach)
			if w.amb == nil || depth < w.ambAt-1 {
				w.scatterIn(o, d, long, beta, depth+1)
				passed = w.haze(long)
				if viaMirror == 0 && w.branch <= 1 && w.seen.length == 0 {
					w.seen = way{o, d, long}
				}
			} else {
				passed = w.airlight(o, d, long, beta, depth+1)
			}
			w.inVeil = was
		}
		// Emitters crossed.
		slack := sc.eps * 2
		for _, e := range sc.sized {
			named := w.rec != nil && depth == 0 && !w.rec.hit && w.branch <= 1 // what the eye sees is told by all that is before it
			if quiet || !w.on[e.Layer] && !named || !e.near(o, d) {
				continue
			}
			t, le, pl, ok := e.hit(ref, d, tEnd+slack)
			if !ok || t < lo {
				continue
			}
			if named {
				w.rec.glows = true
				w.rec.kind = w.rec.kind*0x01000193 ^ uint32(e.id+1)
			}
			if w.looking || !w.on[e.Layer] {
				continue
			}
			k := le
			switch {
			case v.kind == inHaze && pdf > 0 && viaMirror == 0 && !w.plain:
				continue // scatterIn has it
			case pdf > 0 && v.asked && known && (viaMirror == 0 || viaMirror == 1 && v.images > 0):
				if pl *= v.choice[e.id]; viaMirror == 1 {
					pl *= v.images
				}
				k *= w.own / (w.own + pl)
			}
			w.f = Grey(1)
			if pdf > 0 {
				k *= w.onWay(t - from)
			} else {
				k *= w.haze(t - from)
			}
			w.addEmission(e, beta, depth+viaMirror, k)
		}
		if id < 0 && sc.Medium == nil {
			return false
		}
		// A vertex in the haze?
		switch {
		case w.amb != nil && sc.Medium != nil && !quiet:
			// Both parts at once: airlight has what the haze scatters, and this is what it lets through.
			scaleBand(beta, float32(passed))
			through *= float32(passed)
			if id < 0 {
				return false
			}
		case w.looking:
			if id < 0 {
				return false
			}
		case sc.Medium != nil && !quiet:
			u, _ := w.two()
			s := -math.Log(1-u) / max(sc.Medium.Extinction, 1e-12)
			if s < min(tEnd-from, hazeReach) {
				if sc.Medium.Albedo == 0 {
					return false
				}
				scaleBand(beta, float32(sc.Medium.Albedo))
				n := w.next
				n.kind, n.p, n.wo, n.asked, n.images, n.guided = inHaze, o.AddMul(d, s), d.Neg(), false, 0, 0
				n.m = nil
				w.inVeil = w.inVeil || split
				return true
			}
			if id < 0 {
				return false
			}
		}
		w.sharp = v.kind == inHaze && pdf == 0
		w.surface(id, h, d)
		n := w.next
		// Which of mirror, straight through, pane or the spread part?
		m := n.m
		if !m.hasClear && (!m.hasMirror || m.Alpha > 0) {
			n.ready()
			w.note(n, tEnd, beta, depth, through)
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
			w.ways = n
			split, quiet = false, false
			ps, pp, pr = one(way == 0), one(way == 1), one(way == 2)
			sum = 1
		} else {
			u, _ = w.two()
			u *= sum
		}
		off := sc.eps / max(0.1, cos)
		switch {
		case u < ps:
			scaleBand(beta, float32(sum/ps))
			n.ready()
			w.note(n, tEnd, beta, depth, through)
			return true
		case u < ps+pp:
			for b := range beta {
				beta[b] *= pass[b] * float32(sum/pp)
			}
			o = n.p.AddMul(d, off)
			from, lo = tEnd+off, tEnd+slack // what is flush with it was met before it
			w.by(n.m, 1)
		default:
			for b := range beta {
				beta[b] *= refl[b] * float32(sum/pr)
			}
			// The image of ref in this mirror sees what comes next along the mirrored way.
			ref = ref.AddMul(n.ng, -2*ref.Sub(n.p).Dot(n.ng))
			d = d.Reflect(n.ng)
			w.by(n.m, 2)
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

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// by keeps by way of what the eye sees: a pane, or a mirror.
func (w *walker) by(m *Material, how uint32) {
	if w.rec != nil && !w.rec.hit && w.branch <= 1 {
		w.rec.kind = w.rec.kind*0x01000193 ^ uint32(m.id)<<8 ^ how
	}
}

// note keeps the first surface that spreads light, seen through panes and in mirrors, for denoising; beta holds what haze let through, too.
func (w *walker) note(n *vertex, t float64, beta *Band, depth int, through float32) {
	r := w.rec
	if r == nil || depth > 0 || r.hit || w.branch > 1 {
		return
	}
	r.hit, r.normal, r.depth = true, n.n, t
	r.kind = r.kind*0x01000193 ^ uint32(n.m.id)<<16 ^ 0x9e37
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
