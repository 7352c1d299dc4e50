package trace

import (
	"cmp"
	"math"
	"slices"

	"halfstop/geom"
)

// litSegment is a segment of a training path from a place that no emitter lights directly to one
// that an emitter does, and the light that came that way.
type litSegment struct {
	dark, lit geom.Vec
	weight    float64
}

const (
	portalLeast = 12 // segments that make a portal
	maxPortals  = 12
	portalPart  = 0.9  // of a plane's segments that its portals take in
	portalDust  = 0.03 // of all segments' weight, under which the rest is left alone
	portalBest  = 0.02 // of the best portal's light by area, under which a part of a plane is no opening
	portalArea  = 0.03 // of the squared size of the scene: an opening is smaller
	portalEdge  = 0.06 // of a portal's sides by which it is wider than what was seen of it
)

// findPortals finds the openings by which segments come from the dark into the light: on the planes
// of the scene's flat shapes, those parts where segments cross close together. A gap between two
// walls, a doorway, the edge of a flag are such: aimed at by its solid angle, an opening is found
// from everywhere on its dark side.
func (sc *Scene) findPortals(all []litSegment) []patch {
	total, mean := 0.0, 0.0
	left := slices.Clone(all)
	for i := range left {
		mean += left[i].weight / float64(len(left))
	}
	for i := range left {
		left[i].weight = min(left[i].weight, weightCap*mean)
		total += left[i].weight
	}
	planes := sc.planes()
	size := sc.bounds.Size().Len2()
	top := 0.0
	var out []patch
	for len(out) < maxPortals && len(left) >= portalLeast {
		best, score := -1, 0.0
		for i := range planes {
			weight, area := planes[i].concentration(left)
			if weight > portalDust*total && area > 0 && area < portalArea*size {
				if s := weight / area; s > score {
					best, score = i, s
				}
			}
		}
		if top = max(top, score); best < 0 || score < portalBest*top {
			break
		}
		var made []patch
		made, left = planes[best].portals(sc, planes, left, maxPortals-len(out), portalArea*size)
		if len(made) == 0 {
			break
		}
		out = append(out, made...)
		rest := 0.0
		for i := range left {
			rest += left[i].weight
		}
		if rest < portalDust*total {
			break
		}
	}
	return out
}

// plane is a plane that openings may lie in, with a lattice on it.
type plane struct {
	f    geom.Frame
	at   geom.Vec
	cell float64
}

// planes are those of the scene's flat rectangles, each once.
func (sc *Scene) planes() []plane {
	size := max(1e-3, sc.bounds.Size().Len())
	var out []plane
	for i := range sc.rects {
		r := &sc.rects[i]
		known := false
		for k := range out {
			if p := &out[k]; math.Abs(p.f.N.Dot(r.n)) > 0.9999 && math.Abs(r.corner.Sub(p.at).Dot(p.f.N)) < 1e-3*size {
				known = true
				break
			}
		}
		if !known && len(out) < 400 {
			x := r.ex.Unit()
			out = append(out, plane{geom.Frame{S: x, T: r.n.Cross(x), N: r.n}, r.corner, size / 100})
		}
	}
	return out
}

// cross gives where a segment crosses the plane, clear of both ends.
func (p *plane) cross(s *litSegment) (x, y float64, ok bool) {
	a, b := s.dark.Sub(p.at).Dot(p.f.N), s.lit.Sub(p.at).Dot(p.f.N)
	if a*b >= 0 || min(math.Abs(a), math.Abs(b)) < 1e-6*p.cell {
		return
	}
	d := s.dark.AddMul(s.lit.Sub(s.dark), a/(a-b)).Sub(p.at)
	return d.Dot(p.f.S), d.Dot(p.f.T), true
}

type latticeCell struct{ x, y int32 }

type bin struct {
	at             latticeCell
	weight         float64
	n              int
	x0, x1, y0, y1 float64
	front          float64 // weight of the segments whose dark end is in front
}

// bins sorts the crossings into the plane's lattice, heaviest first.
func (p *plane) bins(s []litSegment) (out []bin, weight float64) {
	index := map[latticeCell]int{}
	for i := range s {
		x, y, ok := p.cross(&s[i])
		if !ok {
			continue
		}
		c := latticeCell{int32(math.Floor(x / p.cell)), int32(math.Floor(y / p.cell))}
		k, known := index[c]
		if !known {
			k = len(out)
			index[c] = k
			out = append(out, bin{at: c, x0: x, x1: x, y0: y, y1: y})
		}
		b := &out[k]
		b.weight += s[i].weight
		b.n++
		b.x0, b.x1, b.y0, b.y1 = min(b.x0, x), max(b.x1, x), min(b.y0, y), max(b.y1, y)
		if s[i].dark.Sub(p.at).Dot(p.f.N) > 0 {
			b.front += s[i].weight
		}
		weight += s[i].weight
	}
	slices.SortFunc(out, func(a, b bin) int {
		return cmp.Or(cmp.Compare(b.weight, a.weight), cmp.Compare(a.at.x, b.at.x), cmp.Compare(a.at.y, b.at.y))
	})
	return out, weight
}

// concentration is the weight that crosses the plane and the area that most of it does so in.
func (p *plane) concentration(s []litSegment) (weight, area float64) {
	bins, weight := p.bins(s)
	sum := 0.0
	for i := range bins {
		if sum += bins[i].weight; sum >= portalPart*weight {
			return weight, float64(i+1) * p.cell * p.cell
		}
	}
	return weight, 0
}

// portals makes rectangles of the connected parts of the lattice that most segments cross, and
// returns the segments that cross none.
func (p *plane) portals(sc *Scene, all []plane, s []litSegment, most int,
	largest float64) (out []patch, rest []litSegment) {
	bins, weight := p.bins(s)
	index, sum := map[latticeCell]int{}, 0.0
	for i := range bins {
		index[bins[i].at] = i
		if sum += bins[i].weight; sum >= portalPart*weight {
			break
		}
	}
	part := make([]int, len(bins)) // number of the connected part + 1
	var parts []bin
	for i := range bins {
		if _, in := index[bins[i].at]; !in || part[i] > 0 {
			continue
		}
		g := bins[i]
		g.weight, g.front, g.n = 0, 0, 0
		stack := []int{i}
		part[i] = len(parts) + 1
		for len(stack) > 0 {
			b := &bins[stack[len(stack)-1]]
			stack = stack[:len(stack)-1]
			g.weight, g.front, g.n = g.weight+b.weight, g.front+b.front, g.n+b.n
			g.x0, g.x1, g.y0, g.y1 = min(g.x0, b.x0), max(g.x1, b.x1), min(g.y0, b.y0), max(g.y1, b.y1)
			for dx := int32(-2); dx <= 2; dx++ {
				for dy := int32(-2); dy <= 2; dy++ {
					if k, ok := index[latticeCell{b.at.x + dx, b.at.y + dy}]; ok && part[k] == 0 {
						part[k] = len(parts) + 1
						stack = append(stack, k)
					}
				}
			}
		}
		parts = append(parts, g)
	}
	var used []bin
	for _, g := range parts {
		if g.n >= portalLeast && len(out) < most && (g.x1-g.x0)*(g.y1-g.y0) < largest {
			p.open(sc, &g)
			out = append(out, p.portal(&g))
			used = append(used, g)
			for i := range all {
				if m, ok := p.mouth(sc, &g, &all[i]); ok && len(out) < most {
					out = append(out, all[i].portal(&m))
				}
			}
		}
	}
	for i := range s {
		x, y, ok := p.cross(&s[i])
		if ok {
			ok = slices.ContainsFunc(used, func(g bin) bool { return x >= g.x0 && x <= g.x1 && y >= g.y0 && y <= g.y1 })
		}
		if !ok {
			rest = append(rest, s[i])
		}
	}
	return out, rest
}

// free reports whether nothing lies in the plane at a place within the scene.
func (p *plane) free(sc *Scene, x, y float64) bool {
	var pass Band
	o, h := p.at.AddMul(p.f.S, x).AddMul(p.f.T, y), 1e-3*p.cell
	if a, b := sc.bounds.Lo, sc.bounds.Hi; o.X < a.X || o.Y < a.Y || o.Z < a.Z || o.X > b.X || o.Y > b.Y || o.Z > b.Z {
		return false
	}
	ok, _ := sc.visible(o.AddMul(p.f.N, -h), p.f.N, 2*h+2*sc.eps, &pass)
	return ok
}

// mouth returns g moved to a parallel plane on its dark side, where the same opening ends: light
// comes out of a deep gap by way of its sides too.
func (p *plane) mouth(sc *Scene, g *bin, q *plane) (out bin, ok bool) {
	h := q.at.Sub(p.at).Dot(p.f.N)
	if g.front <= g.weight/2 {
		h = -h
	}
	if !(h > 0.01*p.cell && h < 6*p.cell) || math.Abs(p.f.N.Dot(q.f.N)) < 0.9999 {
		return
	}
	a := p.at.AddMul(p.f.S, g.x0).AddMul(p.f.T, g.y0).Sub(q.at)
	b := p.at.AddMul(p.f.S, g.x1).AddMul(p.f.T, g.y1).Sub(q.at)
	out = *g
	out.x0, out.x1 = min(a.Dot(q.f.S), b.Dot(q.f.S)), max(a.Dot(q.f.S), b.Dot(q.f.S))
	out.y0, out.y1 = min(a.Dot(q.f.T), b.Dot(q.f.T)), max(a.Dot(q.f.T), b.Dot(q.f.T))
	if p.f.N.Dot(q.f.N) < 0 {
		out.front = out.weight - out.front
	}
	x, y, wx, wy := (out.x0+out.x1)/2, (out.y0+out.y1)/2, out.x1-out.x0, out.y1-out.y0
	if wx < wy {
		wy = 0
	} else {
		wx = 0
	}
	ok = q.free(sc, x, y) && !q.free(sc, x+0.8*wx, y+0.8*wy) && !q.free(sc, x-0.8*wx, y-0.8*wy)
	return out, ok
}

// open widens g to where the opening ends, side by side, as far as half its length: what no path
// has crossed yet is part of it too.
func (p *plane) open(sc *Scene, g *bin) {
	const steps, probes = 8, 5
	grow := func(edge *float64, step, from, to float64, at func(edge, along float64) bool) {
		for range steps {
			next, open := *edge+step, 0
			for k := range probes {
				if at(next, from+(to-from)*(float64(k)+0.5)/probes) {
					open++
				}
			}
			if 2*open < probes {
				return
			}
			*edge = next
		}
	}
	across := func(x, y float64) bool { return p.free(sc, x, y) }
	along := func(y, x float64) bool { return p.free(sc, x, y) }
	dx, dy := max(g.x1-g.x0, 0.05*p.cell)/(2*steps), max(g.y1-g.y0, 0.05*p.cell)/(2*steps)
	grow(&g.x0, -dx, g.y0, g.y1, across)
	grow(&g.x1, dx, g.y0, g.y1, across)
	grow(&g.y0, -dy, g.x0, g.x1, along)
	grow(&g.y1, dy, g.x0, g.x1, along)
}

// portal is the rectangle about a part of the lattice as a relay of even radiance, seen from the
// side of the dark.
func (p *plane) portal(g *bin) patch {
	mx, my := max(portalEdge*(g.x1-g.x0), 1e-4*p.cell), max(portalEdge*(g.y1-g.y0), 1e-4*p.cell)
	lx, ly := g.x1-g.x0+2*mx, g.y1-g.y0+2*my
	q := patch{corner: p.at.AddMul(p.f.S, g.x0-mx).AddMul(p.f.T, g.y0-my), ex: p.f.S.Mul(lx), ey: p.f.T.Mul(ly),
		n: p.f.N, lx: lx, ly: ly}
	q.alongX, q.alongY = q.ex.Mul(1/(lx*lx)), q.ey.Mul(1/(ly*ly))
	if g.front > g.weight/2 {
		q.f = 1
	} else {
		q.b = 1
	}
	return q
}
