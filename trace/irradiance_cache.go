package trace

import (
	"context"
	"math"
	"sync/atomic"

	"halfstop/geom"
	"halfstop/parallel"
	"halfstop/sample"
)

// Ambient knows, for places all over a scene, the light that arrives there from all round, layer by
// layer. A picture's path may end on it where it has bounced once: what is known of the place
// stands for all that would have come after. That costs a tenth of a path and has little noise; its
// price is that light seen by way of a surface is known to a cell's size only. Readings never use
// it.
//
// Places are cells of a lattice, kept apart by the way their surface faces; haze has its own. A
// look-up is shifted at random by up to half a cell, so that what is seen through it is smooth.
// Beside a lamp light is too uneven for a cell: there are none, and paths go on (besideLamp).
// What a few paths know of a cell is off, and what all that is round about sees by way of it is
// off together: no number of samples mends that. So the cells are gathered anew, by more paths, as
// a film has more samples (refine).
//
// Source of the idea: irradiance caching, Ward, Rubinstein and Clear 1988; hashed cells, Binder et
// al. 2019 ('Path space filtering'). Check: TestIrradianceCache.
type IrradianceCache struct {
	size     float64
	lamps    []*Emitter // that a ray can meet
	cells    map[uint64]int32
	list     []cacheCell
	adjacent [][8]int32    // cells that touch each
	light    [][]Band      // by layer, of each cell: irradiance (surface) or fluence (haze); nil: not gathered
	lobes    [][]cellLobes // by layer, of each cell in haze: where that light comes from
	known    []gathered    // by layer
}

// gathered says how much went into the cells of a layer.
type gathered struct {
	paths   int // a cell
	rounds  int
	samples int // of the film, when they were gathered last
}

type cacheCell struct {
	haze bool
	n    int // points seen in it
	at   [cachePoints]cachePoint
}

// cachePoint is a place where a cell's light is measured.
type cachePoint struct {
	p, n geom.Vec
	coat *lobe // of the surface; nil: none
}

const (
	cachePoints      = 8
	cacheSeedPaths   = 40000 // paths that look for places, where cells are 0.2 m or smaller; fewer for larger ones
	cacheSeedDepth   = 3     // surfaces that each follows after the first
	maxCacheCells    = 40000 // cells
	cacheFullPaths   = 2     // whole paths for a first idea of a cell's light
	cacheRounds      = 1     // rounds that end on what is known so far
	cacheGatherPaths = 14    // paths of each
	cacheStream      = 1 << 48
	coatFollow       = 2   // times its albedo: how often a path follows a coat
	hazeCells        = 2.5 // side of a cell in haze over that on surfaces
	// Cells are gathered anew by so many paths to each sample of a pixel that the film took since.
	// In a stairwell lit by way of a hot spot (96 × 144 pixels, 64 samples) that is 5 % of the
	// time, and takes the key's scatter from seed to seed from 3.9 to 3.1 %; the larger the
	// picture the more paths a cell gets.
	cacheRefineShare = 0.125
	cacheFirstWorth  = 4   // paths that the first of a cell are worth, which rest on two of each other cell
	cacheRefineLeast = 4   // paths of a cell that are worth a round
	cacheRefineMost  = 128 // paths of a cell in one round
	cacheRefineAt    = 4   // samples of a film before the first round
)

// coatedCell is the bit of a key that tells cells under a coat from those of bare surfaces: what
// arrives under a coat is less where it grazes.
const coatedCell = 1 << 63

// key names the cell of p on a surface that faces n, under a coat or bare; the zero n is haze.
func (a *IrradianceCache) key(p, n geom.Vec, coated bool) uint64 {
	side, face := a.size, uint64(0)
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	switch {
	case n == geom.Vec{}:
		side *= hazeCells
	case x >= y && x >= z:
		face = 1
		if n.X < 0 {
			face = 2
		}
	case y >= z:
		face = 3
		if n.Y < 0 {
			face = 4
		}
	default:
		face = 5
		if n.Z < 0 {
			face = 6
		}
	}
	i := func(v float64) uint64 { return uint64(int64(math.Floor(v/side))+1<<19) & (1<<20 - 1) }
	k := face<<60 | i(p.X)<<40 | i(p.Y)<<20 | i(p.Z)
	if coated {
		k |= coatedCell
	}
	return k
}

// addPoint notes a place on a surface that faces n and has that coat, or (zero n) in haze.
func (a *IrradianceCache) addPoint(p, n geom.Vec, coat *lobe) {
	k := a.key(p, n, coat != nil)
	c, ok := a.cells[k]
	if !ok {
		if len(a.list) >= maxCacheCells || n != (geom.Vec{}) && a.besideLamp(p) {
			return
		}
		c = int32(len(a.list))
		a.cells[k] = c
		a.list = append(a.list, cacheCell{haze: n == geom.Vec{}})
	}
	q := &a.list[c]
	if q.n < cachePoints {
		q.at[q.n] = cachePoint{p, n, coat}
	}
	q.n++
}

// besideLamp reports whether the cell of p is within a cell of what a lamp gives light from. What
// eight places say of the strip behind a tube, which may pass on most of its light, is off by a
// tenth.
func (a *IrradianceCache) besideLamp(p geom.Vec) bool {
	mid := func(v float64) float64 { return (math.Floor(v/a.size) + 0.5) * a.size }
	c := geom.V(mid(p.X), mid(p.Y), mid(p.Z))
	for _, e := range a.lamps {
		if c.Sub(e.centre).Len() > e.radius+a.size {
			continue
		}
		var s lightSample
		for k := range lampPlaces {
			u, v := (float64(k)+0.5)/lampPlaces, goldenShift(0.5, k)
			if e.sample(c, u, v, &s) && s.dist < a.size {
				return true
			}
		}
	}
	return false
}

// lampPlaces are the places of a lamp that are looked at.
const lampPlaces = 24

// lookup returns the cell of p on a surface that faces n, with p moved at random within a cell
// along the surface; -1 where p has none.
func (w *integrator) lookup(a *IrradianceCache, p, n geom.Vec, coated bool) int32 {
	u, v := w.next2D()
	var q geom.Vec
	if n == (geom.Vec{}) {
		s, _ := w.next2D()
		q = p.Add(geom.V(u-0.5, v-0.5, s-0.5).Mul(a.size * hazeCells))
	} else {
		f := geom.FrameOf(n)
		q = p.AddMul(f.S, (u-0.5)*a.size).AddMul(f.T, (v-0.5)*a.size)
	}
	own, ok := a.cells[a.key(p, n, coated)]
	if !ok && n != (geom.Vec{}) {
		return -1
	}
	if c, is := a.cells[a.key(q, n, coated)]; is {
		return c
	}
	if !ok {
		return -1
	}
	return own
}

// terminateInCache ends the path at w.cur on what is known of the place, if anything is. A coat's
// reflection has a direction, which cells do not know: a path that comes to a coated surface goes
// on from it now and then, by the coat alone (pathScatters).
func (w *integrator) terminateInCache(beta *Band, depth int, foot float64) outcome {
	a, v := w.cache, w.cur
	if v.kind != onSurface {
		return pathGoesOn
	}
	m := v.m
	if foot < a.size || meanBand(&m.Mirror) > 0.1 {
		return pathGoesOn
	}
	coated := m.Coat > 0
	c := w.lookup(a, v.p, v.ng, coated)
	back := int32(-1)
	if m.hasTrans {
		back = w.lookup(a, v.p, v.ng.Neg(), coated)
	}
	if c < 0 || m.hasTrans && back < 0 {
		return pathGoesOn
	}
	f, t := m.Diffuse, m.Trans
	if v.tint {
		mulBand(&f, &v.alb)
		mulBand(&t, &v.alb)
	}
	under, mirror, even := float32(1/math.Pi), float32(1/math.Pi), float32(0)
	if coated {
		under = float32((1 - v.coatO) / math.Pi)
		mirror = under * float32(1-m.coatLobe.avg)
	}
	if m.Strand {
		even = float32(v.coatO / math.Pi) // strands look all ways
	}
	for b := range f {
		f[b] = f[b]*under + even + m.Mirror[b]*mirror
		t[b] *= under
	}
	for _, l := range w.layers() {
		w.f = a.light[l][c]
		mulBand(&w.f, &f)
		if back >= 0 {
			addMul(&w.f, &t, &a.light[l][back], 1)
		}
		w.add(l, depth, beta, &w.f, 1)
	}
	if !coated || m.Strand {
		return pathEnds
	}
	p := min(1, coatFollow*v.coatO)
	if u, _ := w.next2D(); u >= p {
		return pathEnds
	}
	scaleBand(beta, float32(1/p))
	v.coatOnly = true
	return pathScatters
}

// cachedAirlight adds what the haze scatters into the way from o along d over length, by what is
// known of its cells; one place is looked up, drawn by extinction. It returns what passes. (To take
// haze that scatters forwards for one that scatters evenly and less, the similarity relation, was
// 10 % wrong for beams and kept in them what leaves them.)
func (w *integrator) cachedAirlight(o, d geom.Vec, length float64, beta *Band, vertices int) float64 {
	med := w.sc.Medium
	whole := -math.Expm1(-med.Extinction * length)
	if !(whole > 0) || med.Albedo <= 0 {
		return 1 - whole
	}
	u, _ := w.next2D()
	p := o.AddMul(d, -math.Log1p(-u*whole)/med.Extinction)
	if c := w.lookup(w.cache, p, geom.Vec{}, false); c >= 0 {
		for _, l := range w.layers() {
			k := whole * med.Albedo * w.cache.lobes[l][c].scattered(d, med.G)
			w.add(l, vertices, beta, &w.cache.light[l][c], k)
		}
	}
	return 1 - whole
}

// traceFromHaze traces what comes to the eye by way of the haze and more than one scattering, or by
// a surface and the haze: w.segment is the way that it looks through.
func (w *integrator) traceFromHaze() {
	med := w.sc.Medium
	whole := -math.Expm1(-med.Extinction * w.segment.length)
	if !(whole > 0) || med.Albedo <= 0 {
		return
	}
	w.dim = hazeDims
	u, _ := w.next2D()
	v := w.cur
	v.reset(inMedium, w.segment.o.AddMul(w.segment.d, -math.Log1p(-u*whole)/med.Extinction))
	v.m, v.wo = nil, w.segment.d.Neg()
	w.inAirlight = true
	w.tracePath(Grey(whole*med.Albedo), 1)
	w.inAirlight = false
}

// seedCache notes the places that a path from the eye meets after its first surface.
func (w *integrator) seedCache(a *IrradianceCache, o, d geom.Vec) {
	w.dim = 2
	beta := Grey(1)
	w.cur.reset(inMedium, o)
	pdf := 0.0
	for depth := range cacheSeedDepth + 1 {
		from := w.cur.p
		if !w.nextVertex(d, pdf, &beta, depth) {
			return
		}
		w.cur, w.next = w.next, w.cur
		v := w.cur
		if depth > 0 {
			switch v.kind {
			case onSurface:
				var coat *lobe
				if v.m.Coat > 0 {
					coat = v.m.coatLobe
				}
				a.addPoint(v.p, v.ng, coat)
				if v.m.hasTrans {
					a.addPoint(v.p, v.ng.Neg(), coat)
				}
			}
		}
		if w.sc.Medium != nil {
			u, _ := w.next2D()
			a.addPoint(from.AddMul(v.p.Sub(from), u), geom.Vec{}, nil)
		}
		v.guideProb = 0
		var ok bool
		if d, pdf, ok = w.sampleDirection(); !ok {
			return
		}
	}
}

// newAmbient looks for the places that matter to a lens. size is that of a cell, metres.
func (sc *Scene) newIrradianceCache(ctx context.Context, lens *Lens, size float64, seed uint64) *IrradianceCache {
	a := &IrradianceCache{size: size, lamps: sc.hittable, cells: map[uint64]int32{}, light: make([][]Band, sc.Layers),
		lobes: make([][]cellLobes, sc.Layers), known: make([]gathered, sc.Layers)}
	w := newIntegrator(sc, []int{})
	w.mode, w.directDepth = featuresOnly, 1
	w.seq = sample.New(seed, cacheStream)
	eyes := int(min(cacheSeedPaths, cacheSeedPaths*0.04/(size*size)))
	for k := range eyes {
		if k&255 == 0 && ctx.Err() != nil {
			return nil
		}
		w.index, w.dim = uint32(k), 0
		x, y := w.next2D()
		u, v := w.next2D()
		o, d := lens.ray(x, y, u, v)
		w.seedCache(a, o, d)
	}
	return a
}

// ready gathers the light of those of some layers that it does not know. It reports false when ctx
// ended before.
func (a *IrradianceCache) fill(ctx context.Context, sc *Scene, seed uint64, layers []int, threads int) bool {
	var ids []int
	for _, l := range layers {
		if a.light[l] == nil {
			ids = append(ids, l)
		}
	}
	if len(ids) == 0 {
		return ctx.Err() == nil
	}
	a.neighbours()
	know := &IrradianceCache{size: a.size, cells: a.cells, light: make([][]Band, sc.Layers),
		lobes: make([][]cellLobes, sc.Layers)}
	first, lobes := a.gather(ctx, sc, nil, seed, ids, 0, cacheFullPaths, threads)
	for r := range cacheRounds {
		for j, l := range ids {
			a.suppressOutliers(first[j], lobes[j])
			know.light[l], know.lobes[l] = first[j], lobes[j]
		}
		first, lobes = a.gather(ctx, sc, know, seed, ids, 1+r, cacheGatherPaths, threads)
	}
	if ctx.Err() != nil {
		return false
	}
	for j, l := range ids {
		a.suppressOutliers(first[j], lobes[j])
		a.light[l], a.lobes[l] = first[j], lobes[j]
		a.known[l] = gathered{paths: cacheFirstWorth, rounds: 1 + cacheRounds, samples: 1}
	}
	return true
}

// refineAt gives the samples of a film, more than have, before which its cells are gathered anew.
func refineAt(have int) int {
	at := cacheRefineAt
	for at <= have {
		at *= 2
	}
	return at
}

// refine gathers the light of some layers anew, where the film has twice the samples that it had
// when this was last done, and takes the mean with what is known. The paths are a share of those
// that the film's pixels took. It reports false when ctx ended before.
func (a *IrradianceCache) refine(ctx context.Context, sc *Scene, seed uint64, layers []int, samples, pixels,
	threads int) bool {
	for len(layers) > 0 {
		// Those that are known alike are gathered together.
		var ids, others []int
		was := a.known[layers[0]]
		for _, l := range layers {
			if a.known[l] == was {
				ids = append(ids, l)
			} else {
				others = append(others, l)
			}
		}
		layers = others
		paths := int(cacheRefineShare * float64(pixels) * float64(samples-was.samples) / float64(max(1, len(a.list))))
		paths = min(paths, cacheRefineMost)
		if samples < max(cacheRefineAt, 2*was.samples) || paths < cacheRefineLeast {
			continue
		}
		light, lobes := a.gather(ctx, sc, a, seed, ids, was.rounds, paths, threads)
		if ctx.Err() != nil {
			return false
		}
		now := gathered{paths: was.paths + paths, rounds: was.rounds + 1, samples: samples}
		for j, l := range ids {
			a.suppressOutliers(light[j], lobes[j])
			for c := range light[j] {
				if a.list[c].haze {
					a.lobes[l][c].join(&lobes[j][c], float32(was.paths)*meanBand(&a.light[l][c]),
						float32(paths)*meanBand(&light[j][c]))
				}
				for b := range light[j][c] {
					a.light[l][c][b] = (a.light[l][c][b]*float32(was.paths) + light[j][c][b]*float32(paths)) /
						float32(now.paths)
				}
			}
			a.known[l] = now
		}
	}
	return true
}

// gather measures the light of some layers in every cell by so many paths each, which end on what
// is known already (nil: nothing). lobes are those of IrradianceCache.
func (a *IrradianceCache) gather(ctx context.Context, sc *Scene, know *IrradianceCache, seed uint64, ids []int, round,
	paths, threads int) (light [][]Band, lobes [][]cellLobes) {
	light, lobes = make([][]Band, len(ids)), make([][]cellLobes, len(ids))
	for j := range ids {
		light[j] = make([]Band, len(a.list))
		if sc.Medium != nil {
			lobes[j] = make([]cellLobes, len(a.list))
		}
	}
	var next atomic.Int64
	var wg parallel.Group
	for range threads {
		wg.Go(func() {
			w := newIntegrator(sc, ids)
			w.cache, w.cacheDepth = know, 1
			if sc.Medium != nil {
				w.flux = make([]lobeFlux, sc.Layers)
			}
			for {
				c := int(next.Add(1) - 1)
				if c >= len(a.list) || ctx.Err() != nil {
					return
				}
				q := &a.list[c]
				w.seq = sample.New(seed, cacheStream+1+uint64(c)<<8+uint64(round))
				clear(w.direct)
				clear(w.bounced)
				clear(w.flux)
				for k := range paths {
					w.index, w.dim = uint32(k), 0
					at := &q.at[k%min(q.n, cachePoints)]
					if q.haze {
						w.traceFromReceptor(sphericalReceptor, at.p, geom.V(0, 0, 1))
					} else {
						w.cur.under = at.coat
						w.traceFromReceptor(flatReceptor, at.p, at.n)
					}
				}
				for j, l := range ids {
					s := &light[j][c]
					for b := range s {
						s[b] = (w.direct[l][b] + w.bounced[l][b]) / float32(paths)
					}
					if q.haze {
						lobes[j][c] = w.flux[l].lobes()
					}
				}
			}
		})
	}
	wg.Wait()
	return light, lobes
}
