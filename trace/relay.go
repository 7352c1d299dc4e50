package trace

import (
	"cmp"
	"math"
	"runtime"
	"slices"
	"sync/atomic"

	"halfstop/geom"
	"halfstop/parallel"
	"halfstop/sample"
)

// A relay is a lit surface that passes light on: a silk, a reflector, a patch of ceiling or wall
// under a head. Paths from a receptor or from the first surface a camera sees go to relays by their
// solid angle, in proportion to what they pass on, as often as they go by the surface's own law.
// The two are one mixture of densities, so nothing is counted twice.

// patch is a flat rectangle on a surface.
type patch struct {
	corner, ex, ey, n geom.Vec
	lx, ly            float64
	alongX, alongY    geom.Vec // ex and ey over their squared lengths; set for relays in use
	mat               *Material
	front, back       []float64    // radiosity per layer seen from either side, in shares of that layer's whole
	quarter           [][4]float64 // per layer: both sides' radiosity at each of the quarters
	f, b              float64      // the same summed over all layers
	tri               int          // first of its triangles
	tris              int          // how many
	bounds            bool         // the rectangle is only the bounds of what they fill
	of                outline      // the rectangle it is a cell of
	byLamp            bool         // offered by AddRelay
}

// outline says which rectangle one is.
type outline struct{ corner, ex, ey geom.Vec }

const (
	cellSize       = 0.5 // metres, of a patch on a large surface, where the scene is room-sized
	maxGuides      = 64
	maxSplits      = 160 // of cells whose light is uneven: by a tube near a wall, by the hot spot on a silk
	guideShare     = 0.5 // how often a path follows the relays
	maxHot         = 40  // hot cells among them (mergeHot)
	maxDeepGuides  = 24
	deepLeast      = 0.002 // of all light that a cell must pass on to be one of those
	deepGuideShare = 0.3   // the same deeper in the path
)

// relayRect remembers a rectangle (edges ex, ey from corner) that light may fall on; its triangles
// are the last ones added, as many as said; they fill it, or it is only the bounds of another
// outline.
func (sc *Scene) relayRect(corner, ex, ey geom.Vec, mat, tris int, bounds bool) {
	lx, ly := ex.Len(), ey.Len()
	if lx < 1e-6 || ly < 1e-6 {
		return
	}
	sc.rects = append(sc.rects, patch{corner: corner, ex: ex, ey: ey, n: ex.Cross(ey).Unit(), lx: lx, ly: ly,
		of: outline{corner, ex, ey}, mat: sc.mats[mat], tri: len(sc.tris) - tris, tris: tris, bounds: bounds})
}

// AddRelay offers a rectangle (edges ex, ey from corner, front towards ex × ey) that lies on a mesh
// close by a lamp, such as the face of a tube's housing: small, and yet much brighter than a wall.
// It adds nothing that light meets. mat is the mesh's material there.
func (sc *Scene) AddRelay(corner, ex, ey geom.Vec, mat int) {
	n := len(sc.rects)
	sc.relayRect(corner, ex, ey, mat, 0, true)
	if len(sc.rects) > n {
		sc.rects[n].byLamp = true
	}
}

// findRelays measures the direct light on every cell of every remembered rectangle and keeps the
// cells that pass on most.
func (sc *Scene) findRelays() {
	all := sc.cells(sc.rects)
	sc.lightCells(all, sc.all, 2)
	sc.lit = sc.refineCells(all, sc.totals(all))
	sc.selectRelays()
}

// cells cuts rectangles into cells.
func (sc *Scene) cells(rects []patch) []patch {
	scale := max(1e-3, sc.bounds.Size().Len()/9) // a 7 m room has cells of half a metre
	var all []patch
	for _, r := range rects {
		if r.mat.delta {
			continue
		}
		if !r.byLamp && r.lx*r.ly < 0.02*scale*scale {
			continue // furniture edges: too small to matter
		}
		nx, ny := cells(r.lx, scale), cells(r.ly, scale)
		if len(all)+nx*ny > 20000 {
			break
		}
		for i := range nx {
			for j := range ny {
				c := r
				c.ex, c.ey = r.ex.Mul(1/float64(nx)), r.ey.Mul(1/float64(ny))
				c.lx, c.ly = r.lx/float64(nx), r.ly/float64(ny)
				c.corner = r.corner.AddMul(c.ex, float64(i)).AddMul(c.ey, float64(j))
				all = append(all, c)
			}
		}
	}
	return all
}

// light measures what layers send to every cell.
func (sc *Scene) lightCells(all []patch, layers []int, samples int) {
	const together = 16
	var next atomic.Int64
	var wg parallel.Group
	for range min(runtime.GOMAXPROCS(0), (len(all)+together-1)/together) {
		wg.Go(func() {
			for {
				to := int(next.Add(together))
				for k := to - together; k < min(to, len(all)); k++ {
					sc.radiosity(&all[k], layers, samples)
				}
				if to >= len(all) {
					return
				}
			}
		})
	}
	wg.Wait()
}

// totals sums what all cells pass on of each layer.
func (sc *Scene) totals(all []patch) []float64 {
	total := make([]float64, sc.Layers)
	for k := range all {
		for l := range total {
			total[l] += (all[k].front[l] + all[k].back[l]) * all[k].lx * all[k].ly
		}
	}
	return total
}

// selectRelays keeps the cells that pass on most.
func (sc *Scene) selectRelays() {
	sc.guides, sc.deepGuides = nil, nil
	total := sc.totals(sc.lit)
	all := slices.Clone(sc.lit)
	// Each layer's radiosities become shares of that layer's whole, so that a weak light is served
	// as well as a strong one.
	for k := range all {
		p := &all[k]
		p.front, p.back = slices.Clone(p.front), slices.Clone(p.back)
		for l := range p.front {
			if total[l] > 0 {
				p.front[l] /= total[l]
				p.back[l] /= total[l]
			}
			imp := 1.0
			if l < len(sc.Importance) {
				imp = sc.Importance[l]
			}
			p.f += p.front[l] * imp
			p.b += p.back[l] * imp
		}
	}
	passes := func(p *patch) float64 { return (p.f + p.b) * p.lx * p.ly }
	all = mergeHot(all, maxDeepGuides)
	sortPatches(all, passes)
	for i := range all[:min(len(all), maxGuides)] {
		if passes(&all[i]) > 0 {
			sc.guides = append(sc.guides, all[i])
		}
	}
	// Deeper in a path only the hot ones count: strips beside tubes, spots on silks. They are few,
	// small and bright.
	sortPatches(all, func(p *patch) float64 { return p.f + p.b })
	for i := range all {
		if len(sc.deepGuides) < maxDeepGuides && passes(&all[i]) > deepLeast {
			sc.deepGuides = append(sc.deepGuides, all[i])
		}
	}
	for _, set := range [2][]patch{sc.guides, sc.deepGuides} {
		for i := range set {
			p := &set[i]
			p.alongX, p.alongY = p.ex.Mul(1/(p.lx*p.lx)), p.ey.Mul(1/(p.ly*p.ly))
		}
	}
}

// sortPatches puts the largest first; equals keep their order. Patches are large, so that only
// their ranks are sorted.
func sortPatches(set []patch, by func(p *patch) float64) {
	type rank struct {
		by float64
		at int
	}
	ranks := make([]rank, len(set))
	for i := range set {
		ranks[i] = rank{by(&set[i]), i}
	}
	slices.SortFunc(ranks, func(a, b rank) int { return cmp.Or(cmp.Compare(b.by, a.by), cmp.Compare(a.at, b.at)) })
	was := slices.Clone(set)
	for i, r := range ranks {
		set[i] = was[r.at]
	}
}

func cells(l, scale float64) int { return max(1, min(40, int(math.Round(l/(cellSize*scale))))) }

// refine halves, again and again, the cell whose light is most uneven for what it passes on, across
// the direction in which it changes most.
func (sc *Scene) refineCells(all []patch, total []float64) []patch {
	uneven := make([]float64, len(all), len(all)+maxSplits)
	for i := range all {
		uneven[i] = all[i].unevenness(total)
	}
	for range maxSplits {
		worst, k := 0.0, -1
		for i, u := range uneven {
			if u > worst {
				worst, k = u, i
			}
		}
		if k < 0 {
			break
		}
		a := all[k]
		b := a
		if a.changesAlongX(total) {
			a.ex, a.lx = a.ex.Mul(0.5), a.lx/2
			b.ex, b.lx = a.ex, a.lx
			b.corner = b.corner.Add(a.ex)
		} else {
			a.ey, a.ly = a.ey.Mul(0.5), a.ly/2
			b.ey, b.ly = a.ey, a.ly
			b.corner = b.corner.Add(a.ey)
		}
		a.front, b.front = nil, nil // lists of their own
		sc.radiosity(&a, sc.all, 2)
		sc.radiosity(&b, sc.all, 2)
		all[k], uneven[k] = a, a.unevenness(total)
		all, uneven = append(all, b), append(uneven, b.unevenness(total))
	}
	return all
}

// quarters: where radiosity looks at a patch, in shares of its sides.
var patchProbes = [4][2]float64{{0.25, 0.3}, {0.7, 0.25}, {0.3, 0.75}, {0.75, 0.7}}

// unevenness is the spread of a patch's light among its quarters times its area, in shares of each
// layer's whole.
func (p *patch) unevenness(total []float64) float64 {
	if min(p.lx, p.ly) < 0.02 && max(p.lx, p.ly) < 0.05 {
		return 0 // small enough
	}
	u := 0.0
	for l := range p.quarter {
		lo, hi := math.Inf(1), 0.0
		for _, v := range p.quarter[l] {
			lo, hi = min(lo, v), max(hi, v)
		}
		if total[l] > 0 && hi > 1.5*lo {
			u += (hi - lo) * p.lx * p.ly / total[l]
		}
	}
	return u
}

// changesAlongX reports whether light changes more from one half to the other along ex than along
// ey.
func (p *patch) changesAlongX(total []float64) bool {
	x, y := 0.0, 0.0
	for l, q := range p.quarter {
		if total[l] > 0 {
			x += math.Abs(q[0]+q[2]-q[1]-q[3]) / total[l]
			y += math.Abs(q[0]+q[1]-q[2]-q[3]) / total[l]
		}
	}
	if math.Abs(x-y) < 0.1*(x+y) { // a hot spot in the middle: halve the longer side
		return p.lx > p.ly
	}
	return x > y
}

// radiosity measures what the emitters of layers send to p directly, on a fixed set of places and
// directions. What p knows of other layers stays.
func (sc *Scene) radiosity(p *patch, layers []int, samples int) {
	if p.front == nil {
		p.front, p.back, p.quarter = make([]float64, sc.Layers), make([]float64, sc.Layers),
			make([][4]float64, sc.Layers)
	}
	for _, l := range layers {
		p.front[l], p.back[l], p.quarter[l] = 0, 0, [4]float64{}
		for _, e := range sc.byLayer[l] {
			sc.irradiate(p, e, samples)
		}
	}
}

// irradiate adds one emitter's light to p.
func (sc *Scene) irradiate(p *patch, e *Emitter, samples int) {
	refl := float64(meanBand(&p.mat.Diffuse)) + float64(meanBand(&p.mat.Mirror))
	tr := float64(meanBand(&p.mat.Trans))
	back := refl
	if b := p.mat.Back; b != nil {
		back = float64(meanBand(&b.Diffuse)) + float64(meanBand(&b.Mirror))
	}
	var ls lightSample
	var vis Band
	for i, q := range patchProbes {
		x := p.corner.AddMul(p.ex, q[0]).AddMul(p.ey, q[1])
		// Samples of the emitter at each place, one or two: its middle parts.
		for k := range samples {
			if !e.sample(x, (0.5+float64(k))/float64(samples), q[(i+k)%2], &ls) {
				continue
			}
			cos := ls.w.Dot(p.n)
			o := x.AddMul(p.n, math.Copysign(sc.eps, cos))
			ok, dimmed := sc.visible(o, ls.w, ls.dist, &vis)
			if !ok {
				continue
			}
			ir := ls.le / ls.pdf * math.Abs(cos) / float64(4*samples)
			if dimmed {
				ir *= float64(meanBand(&vis))
			}
			if !(ir < 1e12) {
				continue
			}
			f, b := refl, tr
			if cos < 0 {
				f, b = tr, back
			}
			p.front[e.Layer] += ir * f
			p.back[e.Layer] += ir * b
			p.quarter[e.Layer][i] += ir * 4 * (f + b)
		}
	}
}

// guide is the choice of relays at one vertex x.
type guide struct {
	set   []patch
	x     geom.Vec
	total float64
	cum   [maxGuides]float64
	// The vertex in each patch's own terms: height over its plane, place along its sides (0 to 1
	// inside), density once known.
	h, a, b, dens [maxGuides]float64
}

// ready weighs the relays of a set as seen from x.
func (g *guide) prepare(set []patch, x geom.Vec, layers []int) {
	g.total, g.set, g.x = 0, set, x
	for k := range set {
		p := &set[k]
		d := x.Sub(p.corner)
		h := d.Dot(p.n)
		a, b := d.Dot(p.alongX), d.Dot(p.alongY)
		g.h[k], g.a[k], g.b[k], g.dens[k] = h, a, b, 0
		w := 0.0
		if math.Abs(h) > 1e-6*(p.lx+p.ly) {
			if layers == nil {
				w = p.f
				if h < 0 {
					w = p.b
				}
			} else {
				side := p.front
				if h < 0 {
					side = p.back
				}
				for _, l := range layers {
					w += side[l]
				}
			}
			u, v := (a-0.5)*p.lx, (b-0.5)*p.ly
			d2 := u*u + v*v + h*h
			area := p.lx * p.ly
			w *= area * math.Abs(h) / (math.Sqrt(d2) * (d2 + area/4))
		}
		g.total += w
		g.cum[k] = g.total
	}
}

// sample draws a direction from x towards a relay.
func (g *guide) sample(pick, u, v float64) (geom.Vec, bool) {
	want := pick * g.total
	k, n := 0, len(g.set)
	for k < n-1 && g.cum[k] <= want {
		k++
	}
	p := &g.set[k]
	seen := sample.RectSeen(p.corner, p.ex, p.ey, g.x)
	d, pdf := seen.Sample(u, v)
	if pdf == 0 || d.Len2() == 0 {
		return geom.Vec{}, false
	}
	return d.Unit(), true
}

// byArea marks a patch whose density depends on the direction.
const byArea = -1

// pdf returns the density with which sample gives w (unit).
func (g *guide) pdf(w geom.Vec) float64 {
	if g.total == 0 {
		return 0
	}
	sum, last := 0.0, 0.0
	for k := range g.set {
		wk := g.cum[k] - last
		last = g.cum[k]
		if wk == 0 {
			continue
		}
		p := &g.set[k]
		dn := w.Dot(p.n)
		// Towards the plane: t = -h/dn is above 0 only where the signs differ.
		if dn*g.h[k] >= 0 {
			continue
		}
		t := -g.h[k] / dn
		if a := g.a[k] + t*w.Dot(p.alongX); a < 0 || a > 1 {
			continue
		}
		if b := g.b[k] + t*w.Dot(p.alongY); b < 0 || b > 1 {
			continue
		}
		if g.dens[k] == 0 {
			seen := sample.RectSeen(p.corner, p.ex, p.ey, g.x)
			g.dens[k] = byArea
			if !seen.ByArea() {
				g.dens[k] = 1 / seen.SolidAngle()
			}
		}
		if d := g.dens[k]; d > 0 {
			sum += wk * d
		} else {
			sum += wk * t * t / (math.Abs(dn) * p.lx * p.ly)
		}
	}
	return sum / g.total
}
