package denoise

import (
	"context"
	"math"
	"slices"

	"halfstop/parallel"
	"halfstop/trace"
)

const (
	featureRays = 16 // feature rays of an edge pixel
	emitterRays = 64 // those where an emitter is near: a fiftieth of one may be brighter than all else
	// EdgeSamples is the number of samples a pixel from which on it knows its own coverage better.
	EdgeSamples = 4 * featureRays
	raiseLimit  = 3    // times its own light and that of most round about: a highlight beside a pixel is not its own
	textureEdge = 1.25 // ratio of neighbours' albedos from which on they are an edge
	edgeReach   = 2    // pixels each way over which the light of edges is averaged
	// Standard errors by which a pixel's own light must contradict that of its parts to be trusted
	// more than they are.
	trustErrors = 2
	mostLevel   = 0.1 // most that the edges' light is changed by together
)

// ReconstructEdges gives the pixels along edges the light of the surfaces they see, each by its
// coverage of the pixel. Coverage needs many feature rays and no light; the light of each surface
// is that of the pixels round about which see nothing else. What none of those sees is given the
// light that pixels have beside their other parts. Where a pixel's own samples contradict all that
// by more than their error, the pixel goes towards them (positive-part shrinkage, James and Stein
// 1961): a rim may be lit other than the surface beside it.
//
// layers are filtered light and are changed; airlight, where there is any, is added to them, each
// surface of an edge with its own. samples are those of a pixel at least. raw gives the luminance
// of a pixel of a layer before it was filtered, with its variance. tracer makes, for each
// goroutine, a function that fills its argument with the features that stratified rays of pixel
// x, y meet; nil: edges stay as they are. It ends with ctx's error, layers unchanged.
func ReconstructEdges(ctx context.Context, s *Features, samples int, layers [][][3]float32, airlight []*Airlight,
	raw func(l, i int) (lum, variance float32), tracer func() func(x, y int, out []trace.Feature)) error {
	var edges []edgePixel
	var at []int32 // number in edges of each pixel, from 1
	if tracer != nil {
		bands := make([][]edgePixel, s.H)
		rows(s.H, func(y0, y1 int) {
			bands[y0] = s.traceEdges(ctx, tracer(), y0, y1)
		})
		edges, at = slices.Concat(bands...), make([]int32, s.W*s.H)
		for k := range edges {
			at[edges[k].i] = int32(k + 1)
		}
		s.poolEmitters(edges, at)
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	var wg parallel.Group
	for l, c := range layers {
		wg.Go(func() {
			w := &edgeLayer{s: s, c: c, edges: edges, at: at, samples: samples,
				raw: func(i int) (lum, variance float32) { return raw(l, i) }}
			light := w.reconstruct()
			veil := make([][3]float32, len(edges))
			if a := airlight[l]; a != nil {
				for k := range edges {
					veil[k] = s.spread(a, &edges[k])
				}
				a.addTo(c)
			}
			for k, e := range edges {
				c[e.i] = light[k]
				addTo(&c[e.i], veil[k])
			}
		})
	}
	wg.Wait()
	return nil
}

func addTo(c *[3]float32, v [3]float32) {
	for b := range c {
		c[b] += v[b]
	}
}

// edgePixel is a pixel i of an edge with what it sees: parts that other pixels see alone, and how
// much no pixel round about does, such as a wire or a tube thinner than a pixel.
type edgePixel struct {
	i       int
	parts   []part
	unseen  float32
	emitter bool // the unseen part is an emitter
	lamp    bool // it sees an emitter at all
	guessed bool // that emitter was met by a sample of the film and by no ray
	near    bool // it or a pixel beside it sees an emitter
}

// part is a pixel's share of another: how much of the other's area sees the same surface, and the
// same with the surfaces' albedos brought to one.
type part struct {
	i          int32
	clear, lit float32
}

// traceEdges finds the edge pixels of some rows, and what they see.
func (s *Features) traceEdges(ctx context.Context, features func(x, y int, out []trace.Feature),
	y0, y1 int) (out []edgePixel) {
	buffer := make([]trace.Feature, emitterRays)
	for y := y0; y < y1; y++ {
		for x := range s.W {
			if !s.edge(x, y) {
				continue
			}
			if ctx.Err() != nil {
				return nil
			}
			rays := buffer[:featureRays]
			if s.emitterNear(x, y) {
				rays = buffer
			}
			features(x, y, rays)
			if e := s.coverage(x, y, rays); len(e.parts) > 0 {
				e.near = len(rays) == emitterRays
				out = append(out, e)
			}
		}
	}
	return
}

// poolEmitters evens out small shares of emitters among the pixels round about. A straight edge
// of one that runs just inside a row of pixels meets a ray of some and none of others, and where it
// outshines what is beside it a hundred times, each one would be a dot.
func (s *Features) poolEmitters(edges []edgePixel, at []int32) {
	const few = 3.5 / emitterRays
	share := make([]float32, len(edges)) // of emitters; -1: not small
	for k, e := range edges {
		if share[k] = -1; !e.near || e.unseen > 0 && !e.guessed {
			continue
		}
		sum := float32(0)
		for _, p := range e.parts {
			if trace.HasEmitter(s.ID[p.i]) {
				sum += p.clear
			}
		}
		if sum < few {
			share[k] = sum
		}
	}
	was := slices.Clone(edges)
	w := &edgeLayer{s: s, edges: was, at: at}
	for k := range edges {
		if share[k] < 0 {
			continue
		}
		sum, n, from := float32(0), float32(0), k
		w.around(k, func(j int) {
			if share[j] >= 0 {
				sum, n = sum+share[j], n+1
				if share[from] == 0 {
					from = j
				}
			}
		})
		if sum == 0 {
			continue
		}
		// What it sees beside the emitters, and those as they are seen by itself or a pixel near.
		var parts []part
		add := func(of []part, emitters bool, scale float32) {
			for _, p := range of {
				if trace.HasEmitter(s.ID[p.i]) == emitters {
					parts = append(parts, part{p.i, p.clear * scale, p.lit * scale})
				}
			}
		}
		e := &edges[k]
		if e.guessed {
			e.unseen = 0
		}
		add(was[k].parts, false, (1-sum/n)/(1-share[k]))
		add(was[from].parts, true, sum/n/share[from])
		e.parts, e.lamp = parts, true
	}
}

// edgeLayer is a layer whose edges are reconstructed.
type edgeLayer struct {
	s     *Features
	c     [][3]float32
	edges []edgePixel
	at    []int32
	// samples a pixel
	samples int
	raw     func(i int) (lum, variance float32)
}

// reconstruct returns the light of the edge pixels.
func (w *edgeLayer) reconstruct() [][3]float32 {
	light, variance := make([][3]float32, len(w.edges)), make([]float32, len(w.edges))
	for k := range w.edges {
		e := &w.edges[k]
		lum, v := w.raw(e.i)
		limit := float32(math.MaxFloat32)
		own := raiseLimit * max(w.c[e.i][1], lum)
		if w.s.ID[e.i] != trace.MixedEmitterID && anyOver(w.c, e.parts, own) {
			limit = max(own, raiseLimit*median(w.c, e.parts))
		}
		light[k] = w.blend(e.parts, limit)
		variance[k] = v
	}
	seen := slices.Clone(light)
	for k := range w.edges {
		if w.edges[k].unseen > 0 {
			addTo(&light[k], w.unseenLight(k, seen))
		}
	}
	for k, e := range w.edges {
		own := w.c[e.i]
		d := own[1] - light[k][1]
		if e.unseen > 0 || !(variance[k] < d*d) { // a variance that is not known is NaN or infinite
			continue
		}
		// Few samples may all have met the same part, or have missed what is seldom found: then
		// their variance is too small, and what the parts and edges round about say counts.
		v, known := float32(0), float32(0)
		w.around(k, func(j int) {
			if u := variance[j]; u <= math.MaxFloat32 {
				v, known = v+u, known+1
			}
		})
		v = max(variance[k], spreadOf(w.c, e.parts)/float32(w.samples), w.varianceOf(e.parts), v/known)
		if trust := 1 - trustErrors*trustErrors*v/(d*d); trust > 0 {
			for b, v := range own {
				light[k][b] += trust * (v - light[k][b])
			}
		}
	}
	w.level(light, variance)
	return light
}

// level brings the light of all edges to what their own samples have together, as far as that is
// known (shrinkage again) and by no more than mostLevel, those on emitters and the others each for
// themselves. Place by place such a gain would take light from one side of an edge to the other.
func (w *edgeLayer) level(light [][3]float32, variance []float32) {
	var own, now, noise [2]float64
	class := func(k int) int {
		if w.edges[k].lamp {
			return 1
		}
		return 0
	}
	for k, e := range w.edges {
		c := class(k)
		own[c] += float64(w.c[e.i][1])
		now[c] += float64(light[k][1])
		if v := variance[k]; v == v { // of a black pixel none is known
			noise[c] += float64(v)
		}
	}
	var gain [2]float32
	for c := range gain {
		gain[c] = 1
		if d := own[c] - now[c]; now[c] > 0 && noise[c] < d*d {
			gain[c] = float32(1 + max(-mostLevel, min(mostLevel, d/now[c]*(1-noise[c]/(d*d)))))
		}
	}
	for k := range light {
		for b := range light[k] {
			light[k][b] *= gain[class(k)]
		}
	}
}

// around calls f for the edge pixels round one, itself too.
func (w *edgeLayer) around(k int, f func(j int)) {
	x, y := w.edges[k].i%w.s.W, w.edges[k].i/w.s.W
	for qy := max(0, y-edgeReach); qy <= min(w.s.H-1, y+edgeReach); qy++ {
		for qx := max(0, x-edgeReach); qx <= min(w.s.W-1, x+edgeReach); qx++ {
			if j := w.at[qy*w.s.W+qx]; j > 0 {
				f(int(j - 1))
			}
		}
	}
}

// varianceOf is the mean variance of the parts of which it is known.
func (w *edgeLayer) varianceOf(parts []part) float32 {
	area, sum := float32(0), float32(0)
	for _, p := range parts {
		if _, v := w.raw(int(p.i)); v <= math.MaxFloat32 {
			area, sum = area+p.clear, sum+p.clear*v
		}
	}
	if area == 0 {
		return 0
	}
	return sum / area
}

// unseenLight is the light of the part of a pixel that no pixel sees alone: the ratio estimate over
// the pixels round about which see such a thing as well, light of all over area of all, since one
// pixel's few samples hit it by chance. seen is the light of the other parts.
func (w *edgeLayer) unseenLight(k int, seen [][3]float32) (sum [3]float32) {
	e, area := &w.edges[k], float32(0)
	w.around(k, func(j int) {
		if o := &w.edges[j]; o.unseen > 0 && o.emitter == e.emitter {
			area += o.unseen
			for b, v := range w.c[o.i] {
				sum[b] += v - seen[j][b]
			}
		}
	})
	for b := range sum {
		sum[b] = max(0, sum[b]) * e.unseen / area
	}
	return sum
}

// spread adds up the airlight of other pixels by their shares of the area.
func (s *Features) spread(a *Airlight, e *edgePixel) (sum [3]float32) {
	for _, p := range e.parts {
		for b, v := range a.At(int(p.i)%s.W, int(p.i)/s.W) {
			sum[b] += p.clear * v
		}
	}
	for b, v := range a.At(e.i%s.W, e.i/s.W) {
		sum[b] += e.unseen * v
	}
	return
}

// blend adds up the light of the pixels that a pixel is made of; none counts for more than limit
// but emitters, which rays have met.
func (w *edgeLayer) blend(parts []part, limit float32) (sum [3]float32) {
	for _, p := range parts {
		k, q := p.lit, &w.c[p.i]
		if q[1] > limit && !trace.HasEmitter(w.s.ID[p.i]) {
			k *= limit / q[1]
		}
		sum[0] += k * q[0]
		sum[1] += k * q[1]
		sum[2] += k * q[2]
	}
	return sum
}

// anyOver reports whether a pixel of parts is brighter than limit.
func anyOver(c [][3]float32, parts []part, limit float32) bool {
	for _, p := range parts {
		if c[p.i][1] > limit {
			return true
		}
	}
	return false
}

// spreadOf is the variance of luminance over the area that is known.
func spreadOf(c [][3]float32, parts []part) float32 {
	area, sum, squares := float32(0), float32(0), float32(0)
	for _, p := range parts {
		v := c[p.i][1]
		area, sum, squares = area+p.clear, sum+p.clear*v, squares+p.clear*v*v
	}
	m := sum / area
	return max(0, squares/area-m*m)
}

// median is the luminance that half of the parts' area lies under.
func median(c [][3]float32, parts []part) float32 {
	m, area := float32(0), float32(0)
	for _, p := range parts {
		area += p.clear
	}
	for _, p := range parts { // few: a selection by counting
		below := float32(0)
		for _, q := range parts {
			if c[q.i][1] < c[p.i][1] {
				below += q.clear
			}
		}
		if v := c[p.i][1]; below <= 0.5001*area && v > m { // half, as sums round
			m = v
		}
	}
	return m
}

// edge reports whether a pixel or one beside it sees something else.
func (s *Features) edge(x, y int) bool {
	i := y*s.W + x
	if s.ID[i] == trace.MixedID || s.ID[i] == trace.MixedEmitterID {
		return true
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if nx, ny := x+dx, y+dy; nx >= 0 && ny >= 0 && nx < s.W && ny < s.H {
				j := ny*s.W + nx
				if s.ID[j] != s.ID[i] || s.same(i, s.Normal[j], s.Depth[j]) == 0 {
					return true
				}
				// A texture finer than a pixel: one sample's albedo is not the pixel's.
				if a, b := s.divisor(i), s.divisor(j); max(a, b) > textureEdge*min(a, b) {
					return true
				}
			}
		}
	}
	return false
}

// emitterNear reports whether a pixel or one beside it sees an emitter.
func (s *Features) emitterNear(x, y int) bool {
	for ny := max(0, y-1); ny <= min(s.H-1, y+1); ny++ {
		for nx := max(0, x-1); nx <= min(s.W-1, x+1); nx++ {
			if trace.HasEmitter(s.ID[ny*s.W+nx]) {
				return true
			}
		}
	}
	return false
}

// same is how much a surface of the same kind as pixel i's is like it, 0 to 1.
func (s *Features) same(i int, n [3]float32, z float32) float32 {
	w := float32(1)
	if z > 0 && s.Depth[i] > 0 {
		w = hat((s.Depth[i]-z)/(0.1*z), w)
		w = hat((1-dot(n, s.Normal[i]))*5, w)
	}
	return w
}

// search are the steps in which a feature ray looks for pixels that see its surface: at what
// distance, and whether only such as it has the same way or things thinner than a pixel, which have
// their own light all along them whichever way they are turned there. The side of a board that no
// pixel shows alone is unseen: taken for the front, which may be lit otherwise, it made dots
// along every window's bars.
var search = []struct {
	from, to int
	thin     bool
}{{0, 1, false}, {1, 2, false}, {3, 5, false}, {0, 2, true}, {3, 5, true}}

// thin reports whether a pixel sees what few pixels beside it see: a line or a dot, not an area.
func (s *Features) thin(i int) bool {
	x, y, alike := i%s.W, i/s.W, 0
	for ny := max(0, y-1); ny <= min(s.H-1, y+1); ny++ {
		for nx := max(0, x-1); nx <= min(s.W-1, x+1); nx++ {
			if k := s.ID[ny*s.W+nx]; k == s.ID[i] || k == trace.MixedID { // which may hold it
				alike++
			}
		}
	}
	return alike <= 4 // itself, two along a line, one where it steps aside
}

// coverage spreads a pixel's feature rays over the pixels round it that see the same surface.
func (s *Features) coverage(x, y int, rays []trace.Feature) edgePixel {
	each, e := 1/float32(len(rays)), edgePixel{i: y*s.W + x}
	emitter := s.ID[e.i] == trace.MixedEmitterID // one of its samples saw an emitter, and no ray has yet
	var parts, of []part                         // of all rays; of one
	for k := range rays {
		g := &rays[k]
		sum := float32(0)
		of = of[:0]
		emitter = emitter && !trace.HasEmitter(g.ID)
		e.lamp = e.lamp || trace.HasEmitter(g.ID)
		for _, step := range search {
			for dy := -step.to; dy <= step.to; dy++ {
				for dx := -step.to; dx <= step.to; dx++ {
					nx, ny := x+dx, y+dy
					if max(dx, -dx, dy, -dy) < step.from || nx < 0 || ny < 0 || nx >= s.W || ny >= s.H {
						continue
					}
					j := ny*s.W + nx
					if s.ID[j] != g.ID {
						continue
					}
					n := g.Normal
					if step.thin {
						if !s.thin(j) {
							continue
						}
						n = s.Normal[j]
					}
					v := s.same(j, n, g.Depth) / float32(1+2*(dx*dx+dy*dy))
					if v > 0 {
						lit := v
						if !trace.HasEmitter(g.ID) { // an emitter's light is not what its surface reflects
							lit *= divisor(g.Albedo) / s.divisor(j)
						}
						of = append(of, part{int32(j), v, lit})
						sum += v
					}
				}
			}
			if sum > 0 {
				break
			}
		}
		if sum == 0 {
			e.unseen += each
			e.emitter = e.emitter || trace.HasEmitter(g.ID)
			continue
		}
		for _, p := range of {
			n := slices.IndexFunc(parts, func(q part) bool { return q.i == p.i })
			if n < 0 {
				n = len(parts)
				parts = append(parts, part{i: p.i})
			}
			parts[n].clear += p.clear * each / sum
			parts[n].lit += p.lit * each / sum
		}
	}
	if emitter {
		e.unseen, e.emitter, e.lamp, e.guessed = each/2, true, true, true
	}
	e.parts = slices.Clone(parts)
	return e
}
