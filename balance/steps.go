package balance

import (
	"cmp"
	"math"
	"slices"
)

// discretise takes a continuous state to the steps: the dials to the values
// about it, each time with the levels slid anew, then the levels by search
// of all corners, then polishing. It returns the cost on the steps.
func (h *searcher) discretise(s *state) float64 {
	m := h.m
	var combos []state
	h.dialCorners(*s, 0, &combos)
	type scored struct {
		s state
		j float64
	}
	var list []scored
	for _, c := range combos {
		j := h.newton.slide(&c, false, 10)
		list = append(list, scored{c, j + h.dialFixed(c)})
	}
	slices.SortStableFunc(list, func(a, b scored) int { return cmp.Compare(a.j, b.j) })
	best := math.Inf(1)
	for i, c := range list {
		if i >= 2 || c.j > best {
			break
		}
		h.corners(&c.s)
		m.legal(&c.s)
		if j := h.polish(&c.s); j < best {
			best = j
			s.set(c.s)
		}
	}
	return best
}

func (h *searcher) dialFixed(s state) float64 {
	var c float64
	for i := range s.cam {
		c += h.m.dialChange(i, s.cam[i])
	}
	return c
}

// dialCorners lists s with each free dial on the allowed values next below and above, and on the
// present one if near.
func (h *searcher) dialCorners(s state, i int, out *[]state) {
	if i == dials {
		*out = append(*out, s.clone())
		return
	}
	vals := h.m.dial[i].vals
	lo, hi := about(vals, s.cam[i])
	s.cam[i] = lo
	h.dialCorners(s, i+1, out)
	if hi != lo {
		s.cam[i] = hi
		h.dialCorners(s, i+1, out)
	}
}

// about returns the allowed values next below and above x; both the same at the ends or on a value.
func about(vals []float64, x float64) (lo, hi float64) {
	i, ok := slices.BinarySearch(vals, x)
	switch {
	case ok:
		return vals[i], vals[i]
	case i == 0:
		return vals[0], vals[0]
	case i == len(vals):
		return vals[i-1], vals[i-1]
	case x-vals[i-1] < 1e-7:
		return vals[i-1], vals[i-1]
	case vals[i]-x < 1e-7:
		return vals[i], vals[i]
	}
	return vals[i-1], vals[i]
}

// corners puts the levels of s on the steps next to them: all combinations of below and above for
// the first 11 lights that lie between steps, the nearest for further ones.
func (h *searcher) corners(s *state) {
	m := h.m
	type choice struct {
		g, n int
		v    [2]float64
	}
	var list []choice
	for g := range m.lights {
		if s.opt[g] == off {
			continue
		}
		lo, hi := about(m.lights[g].levels, s.lev[g])
		s.lev[g] = nearest(m.lights[g].levels, s.lev[g])
		if lo != hi && len(list) < 11 {
			list = append(list, choice{g, 2, [2]float64{lo, hi}})
		}
	}
	if len(list) == 0 {
		return
	}
	rest := s.clone()
	for _, c := range list {
		rest.opt[c.g] = off
	}
	ch := m.channels
	m.sums(rest, h.stack[:ch])
	best := math.Inf(1)
	lev := make([]float64, len(list))
	bestLev := make([]float64, len(list))
	var dive func(i int, changes float64)
	dive = func(i int, changes float64) {
		if i == len(list) {
			h.tried++
			if j := m.look(h.stack[i*ch:(i+1)*ch], &s.cam) + changes; j < best-1e-12 {
				best = j
				copy(bestLev, lev)
			}
			return
		}
		c := list[i]
		for _, v := range c.v {
			lev[i] = v
			h.shine(h.stack[(i+1)*ch:(i+2)*ch], h.stack[i*ch:(i+1)*ch], c.g, s.opt[c.g], v, &s.cam)
			dive(i+1, changes+m.change(c.g, s.opt[c.g], v))
		}
	}
	dive(0, 0)
	for i, c := range list {
		s.lev[c.g] = bestLev[i]
	}
}

// polish makes s such that no single setting, and no pair of levels within two steps, can be
// changed for the better.
func (h *searcher) polish(s *state) float64 {
	best := h.m.cost(*s, h.sum)
	for range 30 {
		before := best
		best = h.polishDials(s, best)
		for g := range h.m.lights {
			best = h.polishLight(s, g, best)
		}
		if best >= before-1e-12 {
			best = h.polishPairs(s, best)
		}
		if best >= before-1e-12 {
			break
		}
	}
	return best
}

// polishDials tries every value of each dial, the levels as they are and moved along so that flash,
// and then also what burns, keeps its exposure.
func (h *searcher) polishDials(s *state, best float64) float64 {
	m := h.m
	trial := s.clone()
	for i := range m.dial {
		if len(m.dial[i].vals) < 2 {
			continue
		}
		from := s.clone()
		for _, v := range m.dial[i].vals {
			for follow := range 3 {
				trial.set(from)
				trial.cam[i] = v
				if follow > 0 && !h.follows(&trial, i, v-from.cam[i], follow == 2) {
					continue
				}
				h.tried++
				if j := m.cost(trial, h.sum); j < best-1e-12 {
					best = j
					s.set(trial)
				}
			}
		}
	}
	return best
}

// follows moves the levels so that a dial moved by d stops leaves the exposure as it was: of flash,
// and with all of what burns too.
func (h *searcher) follows(s *state, dial int, d float64, all bool) (moved bool) {
	m := h.m
	for g := range m.lights {
		l := &m.lights[g]
		if s.opt[g] == off || len(l.levels) < 2 || !l.flashy && !all && dial != dialT || l.flashy && dial == dialT {
			continue
		}
		by := -d // more time or sensitivity: less light
		if dial == dialA {
			by = d
		}
		if v := nearest(l.levels, s.lev[g]+by); v != s.lev[g] {
			s.lev[g], moved = v, true
		}
	}
	return moved
}

// polishLight tries every option of light g at every level, or at those near the level that gives
// as much light where there are many.
func (h *searcher) polishLight(s *state, g int, best float64) float64 {
	m := h.m
	l := &m.lights[g]
	if len(l.opts)*len(l.levels) < 2 {
		return best
	}
	h.without(*s, g)
	rest := m.means(*s) - m.change(g, s.opt[g], s.lev[g])
	opt, lev := s.opt[g], s.lev[g]
	for _, k := range l.opts {
		levels := l.levels
		if len(levels) > 24 && k != off && opt != off {
			at := state{opt: []int{s.opt[g]}, lev: []float64{s.lev[g]}, cam: s.cam}
			h.rematch(&at, 0, l, k)
			levels = near(levels, at.lev[0], 6)
			if slices.Contains(l.levels, l.level) {
				levels = append(slices.Clone(levels), l.level)
			}
		}
		for _, v := range levels {
			h.shine(h.sum, h.base, g, k, v, &s.cam)
			h.tried++
			if j := m.look(h.sum, &s.cam) + (rest + m.change(g, k, v)); j < best-1e-12 {
				best, opt, lev = j, k, v
			}
			if k == off {
				break
			}
		}
	}
	s.opt[g], s.lev[g] = opt, lev
	return best
}

// setting is one option and level of a light.
type setting struct {
	opt int
	lev float64
}

// around lists the settings of light g to try beside another's: all, where there are few, else
// levels up to two steps away.
func (h *searcher) around(s *state, g int, out []setting) []setting {
	l := &h.m.lights[g]
	out = out[:0]
	if len(l.opts)*len(l.levels) > 30 {
		if s.opt[g] == off {
			return append(out, setting{off, s.lev[g]})
		}
		for _, v := range near(l.levels, s.lev[g], 2) {
			out = append(out, setting{s.opt[g], v})
		}
		return out
	}
	for _, k := range l.opts {
		for _, v := range l.levels {
			out = append(out, setting{k, v})
			if k == off {
				break
			}
		}
	}
	return out
}

// polishPairs tries the settings of two lights at a time.
func (h *searcher) polishPairs(s *state, best float64) float64 {
	m, ch := h.m, h.m.channels
	for a := range m.lights {
		h.aroundA = h.around(s, a, h.aroundA)
		if len(h.aroundA) < 2 {
			continue
		}
		for b := a + 1; b < len(m.lights); b++ {
			h.aroundB = h.around(s, b, h.aroundB)
			if len(h.aroundB) < 2 {
				continue
			}
			changes := m.means(*s) - m.change(a, s.opt[a], s.lev[a]) - m.change(b, s.opt[b], s.lev[b])
			k := s.opt[a]
			s.opt[a] = off
			h.without(*s, b)
			s.opt[a] = k
			for _, x := range h.aroundA {
				mid := h.stack[:ch]
				h.shine(mid, h.base, a, x.opt, x.lev, &s.cam)
				for _, y := range h.aroundB {
					h.shine(h.sum, mid, b, y.opt, y.lev, &s.cam)
					h.tried++
					if j := m.look(h.sum, &s.cam) + (changes + m.change(a, x.opt, x.lev) + m.change(b, y.opt,
						y.lev)); j < best-1e-12 {
						best, s.opt[a], s.lev[a], s.opt[b], s.lev[b] = j, x.opt, x.lev, y.opt, y.lev
					}
				}
			}
		}
	}
	return best
}

// near returns the values up to steps places from x in vals.
func near(vals []float64, x float64, steps int) []float64 {
	i, _ := slices.BinarySearch(vals, x)
	return vals[max(0, i-steps):min(len(vals), i+steps+1)]
}
