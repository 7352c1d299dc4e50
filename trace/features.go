package trace

import (
	"halfstop/geom"
	"halfstop/sample"
)

// Features are the auxiliary buffers (AOVs, a G-buffer) of the first surface that each pixel sees,
// averaged over its samples: for edge-stopping weights.
type Features struct {
	Albedo []float32    // mean over the windows, of the first surface that spreads light
	Normal [][3]float32 // shorter than 1 where it varies
	Depth  []float32    // metres
	// names the surface with what is before it; Mixed or MixedGlow
	// where the samples of a pixel do not all see the same
	ID []uint32
	n  []uint16
}

// addSample takes the first surface of sample k, unless it is known.
func (s *Features) addSample(i, k int, r *featureSample) {
	if k != int(s.n[i]) || k >= featureSamples {
		return
	}
	a, d := float32(0), float32(0)
	var n [3]float32
	if r.hit {
		a, d = meanBand(&r.albedo), float32(r.depth)
		for c, v := range r.normal.Array() {
			n[c] = float32(v)
		}
	}
	kind := r.featureID()
	m := s.Normal[i]
	was := s.ID[i]
	switch {
	case k == 0:
		s.ID[i] = kind
	case was != kind || r.hit && (n[0]*m[0]+n[1]*m[1]+n[2]*m[2] < pureNormal ||
		max(d-s.Depth[i], s.Depth[i]-d) > pureDepth*d):
		if s.ID[i] = MixedID; HasEmitter(was) || HasEmitter(kind) {
			s.ID[i] = MixedEmitterID
		}
	}
	k0, k1 := float32(k)/float32(k+1), 1/float32(k+1)
	s.Albedo[i] = s.Albedo[i]*k0 + a*k1
	s.Depth[i] = s.Depth[i]*k0 + d*k1
	for c, v := range n {
		s.Normal[i][c] = m[c]*k0 + v*k1
	}
	s.n[i]++
}

// Within a pixel that sees one thing only, normals lie closer than this cosine (18°) and depths
// than this share.
const (
	pureNormal = 0.95
	pureDepth  = 0.03
)

// Kinds of pixels that see more than one thing: without a lamp among them, and with one.
const (
	MixedID        = 0
	MixedEmitterID = 2
)

// HasEmitter reports whether an ID has an emitter before its surface.
func HasEmitter(kind uint32) bool { return kind&2 != 0 }

// featureID names what a ray met: odd, with a bit for emitters.
func (r *featureSample) featureID() uint32 {
	k := r.id&^3 | 1
	if r.emitter {
		k |= 2
	}
	return k
}

// Feature is one camera ray's entry of the feature buffers.
type Feature struct {
	Albedo, Depth float32
	Normal        [3]float32
	ID            uint32
}

// FeatureTracer traces camera rays for features only, without light sampling: edges need many rays
// and little light. It is for one goroutine.
type FeatureTracer struct {
	w    *integrator
	f    *Film
	seed uint64
}

// NewFeatureTracer returns a FeatureTracer for a film of this scene.
func (sc *Scene) NewFeatureTracer(f *Film, seed uint64) *FeatureTracer {
	w := newIntegrator(sc, []int{})
	w.mode, w.directDepth = featuresOnly, 1
	return &FeatureTracer{w, f, seed}
}

// Trace fills out with the features of len(out) stratified rays through pixel x, y.
func (k *FeatureTracer) Trace(x, y int, out []Feature) {
	w, f := k.w, k.f
	var rec featureSample
	w.seq = sample.New(k.seed^0x10c6, uint64(y*f.W+x))
	for i := range out {
		w.index, w.dim = uint32(i), 0
		du, dv := w.next2D()
		lu, lv := w.next2D()
		o, d := f.lens.ray((float64(x)+du)/float64(f.W), (float64(y)+dv)/float64(f.H), lu, lv)
		rec = featureSample{}
		w.features = &rec
		beta := Grey(1)
		w.cur.reset(inMedium, o)
		w.branch, w.branches = 1, 1
		w.nextVertex(d, 0, &beta, 0)
		w.branch = 0
		g := Feature{ID: rec.featureID()}
		if rec.hit {
			g.Albedo, g.Depth = meanBand(&rec.albedo), float32(rec.depth)
			for c, v := range rec.normal.Array() {
				g.Normal[c] = float32(v)
			}
		}
		out[i] = g
	}
}

// featureSample is the first surface of a camera ray.
type featureSample struct {
	hit     bool
	id      uint32 // of the surface and of all emitters and panes before it
	emitter bool   // there is an emitter before it
	albedo  Band
	normal  geom.Vec
	depth   float64
}

func (r *featureSample) addEmitter(e *Emitter) {
	r.emitter = true
	r.id = r.id*0x01000193 ^ uint32(e.id+1)
}

// hashInterface adds a pane (how 1) or mirror (how 2) that the camera ray goes by to the ID of what
// it sees.
func (w *integrator) hashInterface(m *Material, how uint32) {
	if w.features != nil && !w.features.hit && w.branch <= 1 {
		w.features.id = w.features.id*0x01000193 ^ uint32(m.id)<<8 ^ how
	}
}

// recordFeatures keeps the first surface that scatters, seen through panes and in mirrors; beta
// holds the transmittance of haze too.
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
