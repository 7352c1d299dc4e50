package trace

import (
	"math"

	"halfstop/bvh"
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
	asked  bool // its lights were asked directly, so light met by chance shares with that (MIS)
	images bool // … and their images in the mirrors as well
	guided float64
	g      guide
	choice []float64 // chance with which each emitter was the one asked in its layer
}

// walker traces paths for one goroutine.
type walker struct {
	sc     *Scene
	seq    sample.Seq
	index  uint32
	dim    int
	active []int  // layers traced; nil all
	on     []bool // the same by layer

	direct, bounced []Band
	directMax       int     // vertices after which light counts as bounced
	usual           float32 // weight of a path that has lost nothing yet: what roulette measures faintness by
	directOnly      bool
	sharp           bool // coats as they are: only where the eye itself sees them
	bounces         int  // most vertices after the receptor; 0: no bound
	cur, next       vertex
	vis, f, tmp     Band
	rec             *record
}

// record is what the first surface of a pixel's path is, for denoising.
type record struct {
	hit    bool
	albedo Band
	normal geom.Vec
	depth  float64
}

func newWalker(sc *Scene, active []int) *walker {
	w := &walker{sc: sc, active: active}
	w.direct, w.bounced, w.on = make([]Band, sc.Layers), make([]Band, sc.Layers), make([]bool, sc.Layers)
	for _, l := range w.layers() {
		w.on[l] = true
	}
	w.cur.choice, w.next.choice = make([]float64, len(sc.Emitters)), make([]float64, len(sc.Emitters))
	return w
}

func (w *walker) two() (float64, float64) {
	u, v := w.seq.Point2(w.index, w.dim)
	w.dim++
	return u, v
}

func (w *walker) add(layer, vertices int, beta, f *Band, k float64) {
	dst := &w.direct[layer]
	if vertices > w.directMax {
		dst = &w.bounced[layer]
	}
	addMul(dst, beta, f, float32(k))
}

const (
	maxVertices = 200
	rouletteAt  = 3
)

// fromReceptor traces one path that ends on a receptor at p facing n.
func (w *walker) fromReceptor(k kind, p, n geom.Vec) {
	v := &w.cur
	if k == domeReceptor {
		p = p.AddMul(n, w.sc.eps) // one that lies on a surface stands on it
	}
	v.kind, v.p, v.n, v.ng, v.m, v.tint = k, p, n, n, nil, false
	v.frame, v.wo = geom.FrameOf(n), n
	w.usual = [...]float32{flatReceptor: math.Pi, domeReceptor: 2 * math.Pi, roundReceptor: 4 * math.Pi}[k]
	beta := Grey(1)
	w.walk(beta, 0)
}

// fromEye traces one path from an eye at o along d (unit).
func (w *walker) fromEye(o, d geom.Vec) {
	beta := Grey(1)
	w.usual = 1
	eye := &w.cur
	eye.kind, eye.p, eye.asked, eye.images = inHaze, o, false, false
	if w.travel(d, 0, &beta, 0) {
		w.cur, w.next = w.next, w.cur
		w.walk(beta, 1)
	}
}

// walk goes on from w.cur, which depth vertices lie before.
func (w *walker) walk(beta Band, depth int) {
	for ; depth < maxVertices; depth++ {
		// Ask every layer's lights.
		first := depth <= w.directMax
		if w.cur.kind != inHaze {
			w.ask(&beta, depth, first)
		}
		if w.directOnly || w.bounces > 0 && depth >= w.bounces {
			return
		}
		// Choose a direction: by the relays or by the surface's own law.
		wi, pdf, ok := w.scatter()
		if !ok {
			return
		}
		for b := range beta {
			beta[b] *= w.f[b] / float32(pdf)
		}
		// Roulette, once the path has become faint.
		if depth >= rouletteAt {
			q := min(0.95, 4*maxBand(&beta)/w.usual)
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
	}
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
	v := &w.cur
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
	pdf = own
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

// mixPdf is the density with which scatter draws wi from v, given the density of v's own law.
func (w *walker) mixPdf(v *vertex, wi geom.Vec, own float64) float64 {
	if v.guided > 0 {
		return (1-v.guided)*own + v.guided*v.g.pdf(wi)
	}
	return own
}

func (w *walker) layers() []int {
	if w.active != nil {
		return w.active
	}
	return w.sc.all
}

// ask gathers light straight from the emitters (and from their images in flat mirrors) at w.cur.
func (w *walker) ask(beta *Band, depth int, first bool) {
	v := &w.cur
	sc := w.sc
	v.asked, v.images, v.guided = true, first && len(sc.mirrors) > 0, 0
	if set, share := sc.guides, guideShare; len(set) > 0 {
		if !first {
			set, share = sc.hot, hotShare
		}
		if v.g.ready(set, v.p, w.active); v.g.total > 0 {
			v.guided = share
		}
	}
	u, _ := w.two()
	for _, l := range w.layers() {
		es := sc.byLayer[l]
		a, b := w.two()
		if len(es) == 1 || first {
			for i, e := range es {
				v.choice[e.id] = 1
				// One point set serves a layer's emitters, turned by a golden step each.
				ka, kb := a, b
				if i > 0 {
					ka, kb = turn(a, i), turn(b, 2*i)
				}
				w.askOne(e, beta, depth, ka, kb, 1)
			}
			continue
		}
		if len(es) == 0 {
			continue
		}
		// Deeper down, one emitter of the layer, by what it may give here.
		total := 0.0
		for _, e := range es {
			v.choice[e.id] = e.worth(v.p)
			total += v.choice[e.id]
		}
		want := turn(u, l) * total
		k := 0
		for ; k < len(es)-1 && want >= v.choice[es[k].id]; k++ {
			want -= v.choice[es[k].id]
		}
		for _, e := range es {
			v.choice[e.id] /= total
		}
		w.askOne(es[k], beta, depth, a, b, v.choice[es[k].id])
	}
}

func turn(x float64, i int) float64 {
	x += float64(i) * 0.6180339887498949
	return x - math.Floor(x)
}

// worth is a rough measure of what e gives at x, never zero.
func (e *Emitter) worth(x geom.Vec) float64 {
	if math.IsInf(e.radius, 1) {
		return e.lm
	}
	d2 := e.centre.Sub(x).Len2()
	return e.lm / max(d2, e.radius*e.radius, 1e-6)
}

// askOne takes one sample of e, chosen with chance, at w.cur.
func (w *walker) askOne(e *Emitter, beta *Band, depth int, a, b, chance float64) {
	v := &w.cur
	var s lightSample
	if e.sample(v.p, a, b, &s) {
		own := w.respond(v, s.w, &w.f)
		if maxBand(&w.f) > 0 && w.sees(v, s.w, s.dist, &w.vis) {
			k := s.le / (s.pdf * chance)
			if !s.dirac && !w.directOnly {
				pl := s.pdf * chance
				k *= pl / (pl + w.mixPdf(v, s.w, own))
			}
			mulBand(&w.f, &w.vis)
			w.addEmission(e, beta, depth, k*w.haze(s.dist))
		}
	}
	if !v.images {
		return
	}
	for i := range w.sc.mirrors {
		m := &w.sc.mirrors[i]
		h := v.p.Sub(m.p).Dot(m.n)
		if math.Abs(h) < w.sc.eps*2 {
			continue // on the mirror itself
		}
		x := m.image(v.p)
		if !e.sample(x, a, b, &s) {
			continue
		}
		// s.w runs from the image to the light; the way from v.p is its mirror image.
		wi := s.w.Reflect(m.n)
		t, ok := m.cross(v.p, wi)
		if !ok || t >= s.dist {
			continue
		}
		mat := m.mat.side(h > 0)
		own := w.respond(v, wi, &w.f)
		if maxBand(&w.f) == 0 {
			continue
		}
		mat.reflectance(math.Abs(wi.Dot(m.n)), &w.tmp)
		if maxBand(&w.tmp) == 0 {
			continue
		}
		// Both legs stop short of the mirror along the ray, not beside it.
		short := w.sc.eps / max(0.1, math.Abs(wi.Dot(m.n)))
		if !w.sees(v, wi, t-short, &w.vis) {
			continue
		}
		mulBand(&w.f, &w.vis)
		p := v.p.AddMul(wi, t)
		if !w.sc.visible(p.AddMul(s.w, short), s.w, s.dist-t-short, &w.vis) {
			continue
		}
		mulBand(&w.f, &w.vis)
		mulBand(&w.f, &w.tmp)
		k := s.le / (s.pdf * chance)
		if !s.dirac {
			pl := s.pdf * chance
			k *= pl / (pl + w.mixPdf(v, wi, own))
		}
		w.addEmission(e, beta, depth+1, k*w.haze(s.dist))
	}
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

// sees is Scene.visible from a vertex.
func (w *walker) sees(v *vertex, wi geom.Vec, dist float64, pass *Band) bool {
	off := w.leave(v, wi)
	return w.sc.visible(v.p.AddMul(wi, off), wi, dist-off, pass)
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
	sc, v := w.sc, &w.cur
	ref := v.p // where emitters are seen from: w.cur, or its image
	from := w.leave(v, d)
	lo := 0.0     // light nearer to ref than this is behind
	known := true // whether light met now could also have been found by asking at w.cur
	viaMirror := 0
	o := v.p.AddMul(d, from)
	for range 64 {
		id, h := sc.closest(o, d)
		tEnd := far * 2
		if id >= 0 {
			tEnd = from + float64(h.T)
		}
		// Haze: light scattered into the way, and perhaps a new vertex in it.
		if sc.Medium != nil {
			w.scatterIn(o, d, min(tEnd-from, hazeReach), beta, depth+1)
		}
		// Emitters crossed.
		slack := sc.eps * 2
		for _, e := range sc.sized {
			if !w.on[e.Layer] || !e.near(o, d) {
				continue
			}
			t, le, pl, ok := e.hit(ref, d, tEnd+slack)
			if !ok || t < lo {
				continue
			}
			k := le
			switch {
			case v.kind == inHaze && pdf > 0 && viaMirror == 0:
				continue // scatterIn has it
			case pdf > 0 && v.asked && known && (viaMirror == 0 || viaMirror == 1 && v.images):
				pl *= v.choice[e.id]
				k *= pdf / (pdf + pl)
			}
			w.f = Grey(1)
			w.addEmission(e, beta, depth+viaMirror, k*w.haze(t-from))
		}
		if id < 0 && sc.Medium == nil {
			return false
		}
		// A vertex in the haze?
		if sc.Medium != nil {
			u, _ := w.two()
			s := -math.Log(1-u) / max(sc.Medium.Extinction, 1e-12)
			if s < min(tEnd-from, hazeReach) {
				if sc.Medium.Albedo == 0 {
					return false
				}
				scaleBand(beta, float32(sc.Medium.Albedo))
				n := &w.next
				n.kind, n.p, n.wo, n.asked, n.images, n.guided = inHaze, o.AddMul(d, s), d.Neg(), false, false, 0
				n.m = nil
				return true
			}
			if id < 0 {
				return false
			}
		}
		w.sharp = v.kind == inHaze && pdf == 0
		w.surface(id, h, d)
		n := &w.next
		// Which of mirror, straight through, pane or the spread part?
		m := n.m
		if w.rec != nil && depth == 0 && !w.rec.hit && viaMirror == 0 {
			w.note(n, from+float64(h.T))
		}
		if !m.hasClear && (!m.hasMirror || m.Alpha > 0) {
			n.ready()
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
		u, _ := w.two()
		u *= sum
		off := sc.eps / max(0.1, cos)
		switch {
		case u < ps:
			scaleBand(beta, float32(sum/ps))
			n.ready()
			return true
		case u < ps+pp:
			for b := range beta {
				beta[b] *= pass[b] * float32(sum/pp)
			}
			o = n.p.AddMul(d, off)
			from, lo = tEnd+off, tEnd+slack // what is flush with it was met before it
		default:
			for b := range beta {
				beta[b] *= refl[b] * float32(sum/pr)
			}
			// The image of ref in this mirror sees what comes next along the mirrored way.
			ref = ref.AddMul(n.ng, -2*ref.Sub(n.p).Dot(n.ng))
			d = d.Reflect(n.ng)
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

// note keeps the first surface for denoising.
func (w *walker) note(n *vertex, t float64) {
	w.rec.hit, w.rec.normal, w.rec.depth = true, n.n, t
	for b := range w.rec.albedo {
		w.rec.albedo[b] = n.m.Diffuse[b] + n.m.Trans[b] + n.m.Mirror[b]
	}
	if n.tint {
		mulBand(&w.rec.albedo, &n.alb)
	}
}

// closest finds the nearest surface of both trees; id is its triangle, -1 for none.
func (sc *Scene) closest(o, d geom.Vec) (id int, h bvh.Hit) {
	r := bvh.Ray{O: [3]float32{float32(o.X), float32(o.Y), float32(o.Z)}, D: [3]float32{float32(d.X), float32(d.Y), float32(d.Z)},
		TMax: math.MaxFloat32}
	h = sc.opaque.Closest(&r)
	id = -1
	if h.Prim != bvh.NoHit {
		id = int(sc.opaqueID[h.Prim])
	}
	if sc.clear != nil {
		if id >= 0 {
			r.TMax = h.T
		}
		if c := sc.clear.Closest(&r); c.Prim != bvh.NoHit {
			return int(sc.clearID[c.Prim]), c
		}
	}
	return id, h
}

// visible reports whether light passes from o along w over dist, and what share through clear things.
func (sc *Scene) visible(o, w geom.Vec, dist float64, pass *Band) bool {
	*pass = ones
	dist -= 2 * sc.eps
	if dist <= 0 {
		return true
	}
	r := bvh.Ray{O: [3]float32{float32(o.X), float32(o.Y), float32(o.Z)}, D: [3]float32{float32(w.X), float32(w.Y), float32(w.Z)},
		TMax: float32(min(dist, 1e30))}
	if sc.opaque.Occluded(&r) {
		return false
	}
	if sc.clear == nil {
		return true
	}
	left := dist
	for range 32 {
		r.O = [3]float32{float32(o.X), float32(o.Y), float32(o.Z)}
		r.TMax = float32(min(left, 1e30))
		h := sc.clear.Closest(&r)
		if h.Prim == bvh.NoHit {
			return true
		}
		id := sc.clearID[h.Prim]
		m := sc.mats[sc.triMat[id]]
		ng := sc.faceNormal(int(id))
		cos := -w.Dot(ng)
		m = m.side(cos > 0)
		var p Band
		m.passes(math.Abs(cos), &p)
		mulBand(pass, &p)
		if maxBand(pass) == 0 {
			return false
		}
		step := float64(h.T) + sc.eps/max(0.1, math.Abs(cos))
		o = o.AddMul(w, step)
		left -= step
		if left <= 0 {
			return true
		}
	}
	return false
}

var ones = Grey(1)

func (sc *Scene) corner(i uint32) geom.Vec {
	p := sc.verts[i]
	return geom.V(float64(p[0]), float64(p[1]), float64(p[2]))
}

func (sc *Scene) faceNormal(id int) geom.Vec {
	t := sc.tris[id]
	a := sc.corner(t[0])
	return sc.corner(t[1]).Sub(a).Cross(sc.corner(t[2]).Sub(a)).Unit()
}

// surface fills w.next from a hit.
func (w *walker) surface(id int, h bvh.Hit, d geom.Vec) {
	sc, n := w.sc, &w.next
	t := sc.tris[id]
	a, b, c := sc.corner(t[0]), sc.corner(t[1]), sc.corner(t[2])
	u, v := float64(h.U), float64(h.V)
	n.kind, n.asked, n.images, n.guided = onSurface, false, false, 0
	n.p = a.Mul(1-u-v).AddMul(b, u).AddMul(c, v)
	n.ng = b.Sub(a).Cross(c.Sub(a)).Unit()
	n.wo = d.Neg()
	front := n.ng.Dot(d) < 0
	n.m = sc.mats[sc.triMat[id]].side(front)
	if !w.sharp {
		n.m = n.m.blunt
	}
	n.n = n.ng
	if na := sc.normals[t[0]]; na != ([3]float32{}) {
		nb, nc := sc.normals[t[1]], sc.normals[t[2]]
		k := [3]float64{1 - u - v, u, v}
		n.n = geom.V(float64(na[0])*k[0]+float64(nb[0])*k[1]+float64(nc[0])*k[2],
			float64(na[1])*k[0]+float64(nb[1])*k[1]+float64(nc[1])*k[2],
			float64(na[2])*k[0]+float64(nb[2])*k[1]+float64(nc[2])*k[2]).Unit()
	}
	if n.n.Dot(n.ng) < 0 {
		n.n = n.n.Neg()
	}
	if !front {
		n.ng, n.n = n.ng.Neg(), n.n.Neg()
	}
	// A shading normal that the way back does not see is bent until it does.
	if c := n.n.Dot(n.wo); c < 0.01 {
		n.n = n.n.AddMul(n.wo, 0.01-c).Unit()
	}
	n.frame = geom.FrameOf(n.n)
	n.tint = false
	if len(sc.tones) > int(t[2]) {
		if s := sc.tones[t[0]]*float32(1-u-v) + sc.tones[t[1]]*h.U + sc.tones[t[2]]*h.V; s != 1 {
			n.tint = true
			for b := range n.alb {
				n.alb[b] = min(1, max(0, s))
			}
		}
	}
}
