package balance

import (
	"cmp"
	"math"
	"slices"
)

// perturb leaves the neighbourhood of the best state in one of several ways, in turn, and searches
// from there: the perturbation step of iterated local search. The generator's seed is fixed.
func (h *searcher) perturb(round int, d *splitmix, stop func() bool) {
	m := h.m
	s := h.best.clone()
	switch round % 6 {
	case 0: // one target matters far more for a while
		missed := h.missed()
		if len(missed) == 0 {
			h.scatter(&s, d, 2)
			break
		}
		r := &m.rows[missed[d.below(len(missed))]]
		if d.below(2) == 0 {
			r = &m.rows[missed[0]]
		}
		w := r.w
		r.w *= 1e3
		h.newton.slide(&s, true, 8)
		r.w = w
	case 1: // two other options at once, at the present levels
		for range 2 {
			g := d.below(len(m.lights))
			l := &m.lights[g]
			h.rematch(&s, g, l, l.opts[d.below(len(l.opts))])
		}
	case 2: // other dials, held while the levels follow
		if m.dialled() {
			for i := range m.dial {
				v := m.dial[i].vals
				s.cam[i] = v[d.below(len(v))]
			}
			h.newton.slide(&s, false, 10)
			break
		}
		h.scatter(&s, d, 2)
	case 3: // one target does not matter for a while
		if len(m.rows) > 0 {
			r := &m.rows[d.below(len(m.rows))]
			was := r.active
			r.active = false
			h.newton.slide(&s, true, 8)
			r.active = was
		}
	case 4: // on the steps all the way
		h.scatter(&s, d, 1+d.below(3))
		h.descend(s)
		return
	default:
		h.scatter(&s, d, 2+d.below(max(1, len(m.lights))))
	}
	h.land(&s, d, stop)
}

// descend takes a state on the steps downhill and offers it.
func (h *searcher) descend(s state) {
	s = s.clone()
	h.m.legal(&s)
	j := h.polish(&s)
	h.offer(s, j)
}

// land slides a perturbed state down and, if it comes near the best, searches on from there.
func (h *searcher) land(s *state, d *splitmix, stop func() bool) {
	j := h.newton.slide(s, true, 12)
	if j > h.cost*1.15+0.05 {
		return
	}
	if j := h.improve(s, 25, d, stop); j < h.cost*1.05+0.3 && !h.visited(j) {
		j := h.discretise(s)
		h.offer(*s, j)
	}
}

// dialled says whether any dial is free.
func (m *compiled) dialled() bool {
	for _, d := range m.dial {
		if len(d.vals) > 1 {
			return true
		}
	}
	return false
}

// visited says whether a continuous state of cost j was taken to the steps before, and remembers
// it.
func (h *searcher) visited(j float64) bool {
	for _, v := range h.settled {
		if math.Abs(v-j) <= 1e-7*(1+j) {
			return true
		}
	}
	h.settled = append(h.settled, j)
	return false
}

// missed lists the active targets that the best state misses, the costliest first.
func (h *searcher) missed() []int {
	h.m.sums(h.best, h.sum)
	var out []int
	cost := make([]float64, len(h.m.rows))
	for i := range h.m.rows {
		if r := &h.m.rows[i]; r.active && h.m.miss(r, h.sum, &h.best.cam) > 1e-3 {
			out = append(out, i)
			cost[i] = r.cost(h.m.value(r, h.sum, &h.best.cam))
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return -cmp.Compare(cost[a], cost[b]) })
	return out
}

// scatter throws n settings anywhere.
func (h *searcher) scatter(s *state, d *splitmix, n int) {
	m := h.m
	for range n {
		if i := d.below(len(m.lights) + dials); i < len(m.lights) {
			l := &m.lights[i]
			s.opt[i] = l.opts[d.below(len(l.opts))]
			s.lev[i] = l.levels[d.below(len(l.levels))]
		} else {
			v := m.dial[i-len(m.lights)].vals
			s.cam[i-len(m.lights)] = v[d.below(len(v))]
		}
	}
}

// redial moves each free dial of the best state by up to two steps and lets the levels follow.
func (h *searcher) redial(stop func() bool) {
	for again := true; again && !stop(); {
		again = false
		for i := range h.m.dial {
			d := &h.m.dial[i]
			if len(d.vals) < 2 {
				continue
			}
			vals := d.vals
			for _, v := range near(vals, h.best.cam[i], pickInt(h.m.coarse, len(vals), 2)) {
				if v == h.best.cam[i] || stop() {
					continue
				}
				s := h.best.clone()
				s.cam[i] = v
				d.vals = []float64{v}
				again = h.follow(&s) || again
				if h.m.coarse {
					s.set(h.best)
					s.cam[i] = v
					before := h.cost
					j := h.polish(&s)
					h.offer(s, j)
					again = again || h.cost < before-1e-9
				}
				d.vals = vals
			}
		}
	}
}

func pickInt(yes bool, a, b int) int {
	if yes {
		return a
	}
	return b
}

// undo puts single changed settings of the best state back to the present and lets the others
// follow: fewest changes.
func (h *searcher) undo(stop func() bool) {
	m := h.m
	now := m.present()
	m.legal(&now)
	target := h.best.clone()
	for i := range m.lights {
		if target.opt[i] == now.opt[i] && target.lev[i] == now.lev[i] || stop() {
			continue
		}
		s := now.clone()
		s.opt[i], s.lev[i] = target.opt[i], target.lev[i]
		h.follow(&s)
	}
	for again := true; again && !stop(); {
		again = false
		for i := range len(m.lights) + dials {
			s := h.best.clone()
			if i < len(m.lights) {
				l := &m.lights[i]
				if s.opt[i] == l.now && (s.lev[i] == l.level || l.now == off) || !slices.Contains(l.opts, l.now) ||
					!slices.Contains(l.levels, l.level) {
					continue
				}
				s.opt[i], s.lev[i] = l.now, l.level
				opts, levels := l.opts, l.levels
				l.opts, l.levels = []int{l.now}, []float64{l.level}
				again = h.follow(&s) || again
				l.opts, l.levels = opts, levels
				continue
			}
			dl := &m.dial[i-len(m.lights)]
			if s.cam[i-len(m.lights)] == dl.now || !slices.Contains(dl.vals, dl.now) {
				continue
			}
			s.cam[i-len(m.lights)] = dl.now
			vals := dl.vals
			dl.vals = []float64{dl.now}
			again = h.follow(&s) || again
			dl.vals = vals
		}
	}
}

func (h *searcher) follow(s *state) bool {
	if h.newton.slide(s, true, 6) >= h.cost {
		return false
	}
	before := h.cost
	j := h.discretise(s)
	h.offer(*s, j)
	return h.cost < before-1e-9
}

// splitmix is a small repeatable generator (Steele, Lea and Flood 2014).
type splitmix uint64

func (d *splitmix) below(n int) int {
	*d += 0x9e3779b97f4a7c15
	z := uint64(*d)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return int(z % uint64(n))
}
