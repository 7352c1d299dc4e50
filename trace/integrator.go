package trace

import (
	"halfstop/geom"
	"halfstop/sample"
)

// mode says which estimators a path combines.
type mode uint8

const (
	// fullTransport: next-event estimation, guiding and scattering, combined by multiple importance
	// sampling.
	fullTransport mode = iota
	// directLight: next-event estimation at the first vertex, and nothing after it.
	directLight
	// featuresOnly: no light at all, only what a camera ray meets.
	featuresOnly
	// unidirectional: scattering alone finds light (plain path tracing). Slow, simple, the
	// reference of tests.
	unidirectional
)

// integrator traces paths for one goroutine, all layers on one path.
type integrator struct {
	sc       *Scene
	mode     mode
	active   []int  // layers traced; nil all
	isActive []bool // the same by layer
	// maxBounces is the most vertices after the receptor; 0: no bound.
	maxBounces int
	// cache is where paths may end, from their vertex number cacheDepth on; nil: nowhere.
	cache      *IrradianceCache
	cacheDepth int

	pathSampler
	accumulator
	cameraPath

	// learned is the path guide, nil for none; receptor the one being measured.
	learned  *pathGuide
	receptor int

	cur, next  *vertex
	scatterPDF float64 // density of the vertex's own scattering law in the direction that sampleDirection drew last
	airLights  lightSampler
	// faint is the throughput of the path against what its first vertex passes on.
	faint float32

	// scratch
	light       lightSample
	vis, f, tmp Band
}

func newIntegrator(sc *Scene, active []int) *integrator {
	w := &integrator{sc: sc, active: active, cur: &vertex{}, next: &vertex{}}
	w.direct, w.bounced, w.isActive = make([]Band, sc.Layers), make([]Band, sc.Layers), make([]bool, sc.Layers)
	for _, l := range w.layers() {
		w.isActive[l] = true
	}
	w.airLights, w.cur.lights, w.next.lights = newLightSampler(sc), newLightSampler(sc), newLightSampler(sc)
	return w
}

func (w *integrator) layers() []int {
	if w.active != nil {
		return w.active
	}
	return w.sc.all
}

// pathSampler gives a path its random numbers, in pairs of dimensions.
type pathSampler struct {
	seq   sample.Seq
	index uint32 // of the sample
	dim   int    // pairs used so far
	// A picture's numbers are spread over its pixels as well (sample.Seq.Screen2).
	screenSpace bool
	screenSeq   sample.Seq
	px, py      int
}

const (
	spreadDims = 24 // pairs of a path that come from the low-discrepancy set: those of its first two vertices
	hazeDims   = 40 // where the pairs of what comes by way of the haze begin
	branchDims = 64 // pairs that each branch of a camera ray has to itself
)

// next2D gives the next pair of the path's point set. Far down a path, where low discrepancy no
// longer helps, the numbers are independent.
func (s *pathSampler) next2D() (float64, float64) {
	d := s.dim
	s.dim++
	if d%branchDims >= spreadDims {
		return s.seq.Noise(s.index, 2*d), s.seq.Noise(s.index, 2*d+1)
	}
	if s.screenSpace {
		return s.screenSeq.Screen2(s.px, s.py, s.index, d)
	}
	return s.seq.Point2(s.index, d)
}

// accumulator gathers the light of a path by layer.
type accumulator struct {
	direct, bounced []Band
	directDepth     int    // vertices after which light counts as bounced
	airlight        []Band // the part that haze scatters into the camera ray; nil where nobody asks
	inAirlight      bool   // what comes now is of that part
	// flux is by layer what arrives at a receptor in haze and from where; nil where nobody asks.
	// arrives is the direction of what comes now.
	flux      []lobeFlux
	arrives   geom.Vec
	potential []Band   // direct light as if nothing stood in the way; nil where nobody asks
	train     *trainer // of a path guide; nil: none
}

func (a *accumulator) clear() {
	clear(a.direct)
	clear(a.bounced)
	clear(a.airlight)
	clear(a.potential)
}

// add adds beta·f·k to a layer; vertices is how many the light has met.
func (a *accumulator) add(layer, vertices int, beta, f *Band, k float64) {
	dst := &a.direct[layer]
	if vertices > a.directDepth {
		dst = &a.bounced[layer]
	}
	addMul(dst, beta, f, float32(k))
	if a.train != nil {
		a.train.add(layer, beta, f, k)
	}
	if a.flux != nil {
		sum := float32(0)
		for b := range beta {
			sum += beta[b] * f[b]
		}
		a.flux[layer].add(vertices > a.directDepth, a.arrives, float64(sum)*k)
	}
	if a.inAirlight && a.airlight != nil {
		addMul(&a.airlight[layer], beta, f, float32(k))
	}
}

// cameraPath is what only the paths of a camera need.
type cameraPath struct {
	// branch is the number of the way taken (1 to branches) at a pane or mirror that a camera ray
	// meets first: each is followed. 0: one of them by chance.
	branch, branches int
	features         *featureSample // of the first surface; nil where nobody asks
	segment          segment        // in haze: the first straight part of the camera ray
}

// segment is a straight part of a path.
type segment struct {
	o, d   geom.Vec
	length float64
}
