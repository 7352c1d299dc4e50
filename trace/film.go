package trace

import (
	"context"
	"errors"
	"math"
	"runtime"
	"sync/atomic"

	"halfstop/parallel"
	"halfstop/sample"
	"halfstop/spectrum"
)

// Film holds what each layer leaves on each pixel, as radiance in the 16 windows per unit emission,
// and what the first surface is that each pixel sees. Every pixel of every plane knows how many
// samples it has, so a film is right at any moment between two Expose calls, also where one was
// stopped half way: some rows are then finer than others.
type Film struct {
	W, H     int
	Layers   int
	Samples  int // of the pixel that has fewest
	Planes   []*Plane
	Features *Features
	Threads  int // to expose with; 0: as many as the machine has
	// Folds, where there are any, are those of the layers: planes then keep what light of these
	// spectra leaves, three numbers in place of 16 windows. See NewFoldedFilm.
	Folds []spectrum.Fold
	// CacheCell is the side of an irradiance cache's cell, metres; 0: no cache. With one, paths end
	// in the cache where they have bounced once: about ten times as quick, and biased by the cells'
	// blur (see IrradianceCache). Set it before the first Expose.
	CacheCell float64
	cache     *IrradianceCache
	lens      Lens
}

// Plane is one layer of a film. It may be shared by films of the same size and lens.
type Plane struct {
	t        []packed
	airlight []packed // what haze adds on the way to the eye, not in t; nil where there is no haze
	// The same of a folded film, XYZ.
	folded         [][3]float32
	foldedAirlight []sharedExponent
	// mean square of a sample's mean over the windows, or of its luminance on a folded film,
	// without veil
	msq []float32
	n   []uint16 // samples
}

const (
	maxSamples     = math.MaxUint16
	featureSamples = 64 // samples after which the first surfaces are known well enough
)

// FilmBytes is what a film of this scene takes, in bytes, for a size in pixels.
func (sc *Scene) FilmBytes(w, h int) int64 { return sc.filmBytes(w, h, 36, 36) }

// FoldedFilmBytes is the same of a folded film.
func (sc *Scene) FoldedFilmBytes(w, h int) int64 { return sc.filmBytes(w, h, 12, 4) }

// filmBytes counts what light takes a pixel of a plane, and in haze airlight.
func (sc *Scene) filmBytes(w, h int, light, airlight int64) int64 {
	plane := light + 4 + 2
	if sc.Medium != nil {
		plane += airlight
	}
	return int64(w) * int64(h) * (int64(sc.Layers)*plane + FeatureBytes)
}

// FeatureBytes is the size of the feature buffers, bytes a pixel.
const FeatureBytes = 26

// NewPlane makes an empty plane.
func NewPlane(w, h int) *Plane {
	return &Plane{t: make([]packed, w*h), msq: make([]float32, w*h), n: make([]uint16, w*h)}
}

// NewFilm makes an empty film.
func NewFilm(w, h, layers int, lens Lens) *Film {
	f := newFilm(w, h, layers, lens)
	for range layers {
		f.Planes = append(f.Planes, NewPlane(w, h))
	}
	return f
}

// NewFoldedFilm makes an empty film for lights whose spectra are known and will not change, one
// fold a layer: it takes a third of the memory.
func NewFoldedFilm(w, h int, folds []spectrum.Fold, lens Lens) *Film {
	f := newFilm(w, h, len(folds), lens)
	f.Folds = folds
	for range folds {
		f.Planes = append(f.Planes, &Plane{folded: make([][3]float32, w*h), msq: make([]float32, w*h),
			n: make([]uint16, w*h)})
	}
	return f
}

func newFilm(w, h, layers int, lens Lens) *Film {
	f := &Film{W: w, H: h, Layers: layers, lens: lens}
	f.Features = &Features{Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h), Depth: make([]float32, w*h),
		ID: make([]uint32, w*h), n: make([]uint16, w*h)}
	return f
}

// At returns the mean of a layer at a pixel. Like Parts it is not for folded films.
func (f *Film) At(layer, x, y int) (b Band) {
	b, veil := f.Parts(layer, x, y)
	for i := range b {
		b[i] += veil[i]
	}
	return b
}

// Parts returns the same as what comes from surfaces and what haze adds on the way from them to the
// eye.
func (f *Film) Parts(layer, x, y int) (surface, veil Band) {
	p := f.Planes[layer]
	p.t[y*f.W+x].get(&surface)
	if p.airlight != nil {
		p.airlight[y*f.W+x].get(&veil)
	}
	return
}

// XYZ returns the same as Parts for pixel i, row by row from the top left, under a light: fold is
// its, and on a folded film that of the film is taken instead.
func (f *Film) XYZ(layer, i int, fold *spectrum.Fold) (surface, veil [3]float64) {
	p := f.Planes[layer]
	if f.Folds != nil {
		for k, v := range p.folded[i] {
			surface[k] = float64(v)
		}
		if p.foldedAirlight != nil {
			for k, v := range p.foldedAirlight[i].get() {
				veil[k] = float64(v)
			}
		}
		return
	}
	var b Band
	p.t[i].get(&b)
	surface = fold.Apply(&b)
	if p.airlight != nil {
		p.airlight[i].get(&b)
		veil = fold.Apply(&b)
	}
	return
}

// HasAirlight reports whether a layer has a veil of haze.
func (f *Film) HasAirlight(layer int) bool {
	return f.Planes[layer].airlight != nil || f.Planes[layer].foldedAirlight != nil
}

// Taken returns the least number of samples of a plane's pixels.
func (p *Plane) MinSamples() int {
	least := uint16(maxSamples)
	for _, n := range p.n {
		least = min(least, n)
	}
	return int(least)
}

// Noise returns a pixel's mean over the windows (a folded film: its luminance) and the variance of
// that mean, without veil, taken as if its samples had been drawn at random; they are spread more
// evenly than that, so it is an upper bound on average. The variance is +Inf under two samples.
func (p *Plane) Noise(i int) (mean, variance float64) {
	if p.folded != nil {
		mean = float64(p.folded[i][1])
	} else {
		var b Band
		p.t[i].get(&b)
		mean = float64(meanBand(&b))
	}
	n := float64(p.n[i])
	if n < 2 {
		return mean, math.Inf(1)
	}
	return mean, max(0, float64(p.msq[i])-mean*mean) / (n - 1)
}

// ErrOutOfStep is returned for layers that have different numbers of samples: expose them one by
// one.
var ErrUnevenSamples = errors.New("these layers do not have the same number of samples")

// Expose adds samples to every pixel of the given layers (nil: all) until it has n more than the
// pixel that has fewest. The picture depends on seed and on which layers are exposed together, not
// on threads, nor on how the samples are parted into calls. When ctx ends it stops between rows and
// reports ErrStopped: rows that were done keep their new samples, Samples stays, and the next call
// goes on where this one stopped.
func (sc *Scene) Expose(ctx context.Context, f *Film, n int, seed uint64, layers []int, rows func(done, of int)) error {
	return sc.ExposeMasked(ctx, f, n, seed, layers, nil, rows)
}

// ExposeMasked is Expose for the pixels that want asks for (nil: all). The others keep what they
// have; Samples does not rise unless all are asked for. To choose pixels by their own noise biases
// each a little towards what it happens to be (a pixel that looks quiet too early stays so): ask
// for those whose neighbours are noisy too.
func (sc *Scene) ExposeMasked(ctx context.Context, f *Film, n int, seed uint64, layers []int, want func(i int) bool,
	rows func(done, of int)) error {
	var planes []*Plane
	ids := layers
	if ids == nil {
		ids = sc.all
	}
	for _, l := range ids {
		planes = append(planes, f.Planes[l])
	}
	if len(planes) == 0 || n <= 0 {
		return nil
	}
	first := planes[0].MinSamples()
	for i, p := range planes {
		if p.MinSamples() != first {
			return ErrUnevenSamples
		}
		switch {
		case sc.Medium == nil || f.HasAirlight(ids[i]):
		case f.Folds != nil:
			p.foldedAirlight = make([]sharedExponent, f.W*f.H)
		default:
			p.airlight = make([]packed, f.W*f.H)
		}
	}
	to := min(first+n, maxSamples)
	// The cells are refined at the same samples however these are parted into calls.
	if at := refineAt(first); f.CacheCell > 0 && want == nil && at < to {
		part := func(before, n int) func(done, of int) {
			if rows == nil {
				return nil
			}
			return func(done, of int) { rows(before*of+n*done, (to-first)*of) }
		}
		if err := sc.ExposeMasked(ctx, f, at-first, seed, layers, nil, part(0, at-first)); err != nil {
			return err
		}
		return sc.ExposeMasked(ctx, f, to-at, seed, layers, nil, part(at-first, to-at))
	}
	threads := f.Threads
	if threads <= 0 {
		threads = runtime.GOMAXPROCS(0)
	}
	if f.CacheCell > 0 {
		if f.cache == nil {
			f.cache = sc.newIrradianceCache(ctx, &f.lens, f.CacheCell, seed)
		}
		if f.cache == nil || !f.cache.fill(ctx, sc, seed, ids, threads) ||
			!f.cache.refine(ctx, sc, seed, ids, first, f.W*f.H, threads) {
			return ErrStopped
		}
	}
	var next, done atomic.Int64
	var wg parallel.Group
	for range threads {
		wg.Go(func() {
			w := newIntegrator(sc, layers)
			w.directDepth = 1
			w.cache, w.cacheDepth = f.cache, 2
			if sc.Medium != nil {
				w.airlight = make([]Band, sc.Layers)
			}
			e := exposer{w: w, f: f, planes: planes, ids: ids, sum: make([]Band, len(ids)),
				veil: make([]Band, len(ids)), squares: make([]float32, len(ids))}
			for {
				y := int(next.Add(1) - 1)
				if y >= f.H || ctx.Err() != nil {
					return
				}
				for x := range f.W {
					i := y*f.W + x
					if want != nil && !want(i) {
						continue
					}
					have := int(planes[0].n[i])
					if want != nil {
						e.pixel(x, y, have, min(have+n, maxSamples), seed)
					} else if have < to {
						e.pixel(x, y, have, to, seed)
					}
				}
				if rows != nil {
					rows(int(done.Add(1)), f.H)
				}
			}
		})
	}
	wg.Wait()
	f.count()
	if ctx.Err() != nil {
		return ErrStopped
	}
	return nil
}

func (f *Film) count() {
	if f.Samples = maxSamples; len(f.Planes) == 0 {
		f.Samples = 0
	}
	for _, p := range f.Planes {
		f.Samples = min(f.Samples, p.MinSamples())
	}
}

// exposure is what one goroutine needs to expose pixels.
type exposer struct {
	w       *integrator
	f       *Film
	planes  []*Plane
	ids     []int
	sum     []Band
	veil    []Band
	squares []float32
}

// pixel adds the samples number from to to-1.
func (e *exposer) pixel(x, y, from, to int, seed uint64) {
	w, f := e.w, e.f
	i := y*f.W + x
	clear(e.sum)
	clear(e.veil)
	clear(e.squares)
	w.seq, w.screenSeq = sample.New(seed, uint64(i)), sample.New(seed, 1<<40)
	w.screenSpace, w.px, w.py = true, x, y
	var rec featureSample
	for k := from; k < to; k++ {
		clear(w.direct)
		clear(w.bounced)
		clear(w.airlight)
		w.index, w.dim = uint32(k), 0
		rec, w.features = featureSample{}, &rec
		du, dv := w.next2D()
		lu, lv := w.next2D()
		o, d := f.lens.ray((float64(x)+du)/float64(f.W), (float64(y)+dv)/float64(f.H), lu, lv)
		w.traceFromCamera(o, d)
		for j, l := range e.ids {
			t := &e.sum[j]
			m := float32(0)
			weight := &evenWindows
			if f.Folds != nil {
				weight = (*Band)(&f.Folds[l].W[1])
			}
			for b := range Bands {
				v := w.direct[l][b] + w.bounced[l][b]
				if w.airlight != nil {
					v -= w.airlight[l][b]
					e.veil[j][b] += w.airlight[l][b]
				}
				t[b] += v
				m += v * weight[b]
			}
			e.squares[j] += m * m
		}
		f.Features.addSample(i, k, &rec)
	}
	whole := float32(to)
	for j, p := range e.planes {
		p.msq[i] = (p.msq[i]*float32(from) + e.squares[j]) / whole
		p.n[i] = uint16(to)
		if f.Folds != nil {
			fold := &f.Folds[e.ids[j]]
			addFolded(&p.folded[i], fold.Apply(&e.sum[j]), float32(from), whole)
			if p.foldedAirlight != nil {
				veil := p.foldedAirlight[i].get()
				addFolded(&veil, fold.Apply(&e.veil[j]), float32(from), whole)
				p.foldedAirlight[i] = shareExponent(veil)
			}
			continue
		}
		var b Band
		p.t[i].get(&b)
		for k := range b {
			b[k] = (b[k]*float32(from) + e.sum[j][k]) / whole
		}
		p.t[i].set(&b)
		if p.airlight != nil {
			p.airlight[i].get(&b)
			for k := range b {
				b[k] = (b[k]*float32(from) + e.veil[j][k]) / whole
			}
			p.airlight[i].set(&b)
		}
	}
}

// addFolded adds the sum of new samples to a mean of so many; whole is how many there are then.
func addFolded(mean *[3]float32, sum [3]float64, have, whole float32) {
	for k, v := range sum {
		mean[k] = (mean[k]*have + float32(v)) / whole
	}
}

// evenWindows are weights of the mean over the windows.
var evenWindows = Grey(1.0 / Bands)
