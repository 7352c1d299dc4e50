package balance

import (
	"cmp"
	"math"
	"slices"
)

// searcher looks for the best state on the steps: continuous slides for the levels, exchange of
// options, then exact search among the steps about the continuous solution. Everything is counted,
// nothing is timed, so that the answer does not depend on the machine.
type searcher struct {
	m                *compiled
	newton           *newton
	base             []float64
	sum              []float64
	stack            []float64
	best             state
	cost             float64
	found            bool
	aroundA, aroundB []setting
	settled          []float64 // continuous costs of the states that were taken to the steps
	tried            int       // states whose cost was taken
	all              bool      // every combination was tried
}

func newSearcher(m *compiled) *searcher {
	return &searcher{m: m, newton: newNewton(m),
		base: make([]float64, m.channels), sum: make([]float64, m.channels),
		stack: make([]float64, (len(m.lights)+1)*m.channels), cost: math.Inf(1)}
}

// offer keeps s if it is better than what was found so far.
func (h *searcher) offer(s state, cost float64) {
	if !h.found || cost < h.cost-1e-12 {
		h.best, h.cost, h.found = s.clone(), cost, true
	}
}

// without puts the sums of s less light g into base.
func (h *searcher) without(s state, g int) {
	k := s.opt[g]
	s.opt[g] = off
	h.m.sums(s, h.base)
	s.opt[g] = k
}

// shine sets dst to src plus light g in option k at level lev.
func (h *searcher) shine(dst, src []float64, g, k int, lev float64, cam *[dials]float64) {
	if k == off {
		copy(dst, src)
		return
	}
	p, t := math.Exp2(lev), math.Exp2(cam[dialT])
	pf, pc := p, p*t
	pf *= h.m.flashPart(t)
	f, c := h.m.lights[g].flash[k], h.m.lights[g].cont[k]
	dst, src, c = dst[:len(f)], src[:len(f)], c[:len(f)]
	for i := range f {
		dst[i] = src[i] + pf*f[i] + pc*c[i]
	}
}

// exchange is one other option for one light.
type exchange struct{ g, opt int }

// exchanges lists all exchanges that are open to s.
func (h *searcher) exchanges(s state) []exchange {
	var out []exchange
	for g := range h.m.lights {
		for _, k := range h.m.lights[g].opts {
			if k != s.opt[g] {
				out = append(out, exchange{g, k})
			}
		}
	}
	return out
}

// swap makes an exchange in s; the new option starts at the level that gives as much light as the
// old one did.
func (h *searcher) swap(s *state, e exchange) {
	h.rematch(s, e.g, &h.m.lights[e.g], e.opt)
}

// rematch gives setting i of s, of light l, option k at the level that keeps its light.
func (h *searcher) rematch(s *state, i int, l *compiledLight, k int) {
	old := s.opt[i]
	s.opt[i] = k
	if k == off || old == off || k == old || len(l.levels) < 2 {
		return
	}
	t := math.Exp2(s.cam[dialT])
	var was, is float64
	for c := range l.flash[old] {
		was += l.flash[old][c] + t*l.cont[old][c]
		is += l.flash[k][c] + t*l.cont[k][c]
	}
	if was > 0 && is > 0 {
		lev := s.lev[i] + log2(was/is)
		s.lev[i] = math.Min(l.levels[len(l.levels)-1], math.Max(l.levels[0], lev))
	}
}

// whole is the cost of s with its fixed changes.
func (h *searcher) whole(s *state) float64 {
	h.m.sums(*s, h.sum)
	return h.m.look(h.sum, &s.cam) + h.m.means(*s)
}

// improve slides s, then tries exchanges of one option, now and then of two, in shuffled order,
// each with a short slide, and keeps what is better; it ends after so many tries without success.
// It returns the continuous cost.
func (h *searcher) improve(s *state, tries int, d *splitmix, stop func() bool) float64 {
	h.newton.slide(s, true, 12)
	best := h.whole(s)
	trial := s.clone()
	list := h.exchanges(*s)
	for failed, at := 0, 0; failed < tries && len(list) > 0 && !stop(); at++ {
		if at%len(list) == 0 {
			list = h.exchanges(*s)
			for i := len(list) - 1; i > 0; i-- {
				k := d.below(i + 1)
				list[i], list[k] = list[k], list[i]
			}
		}
		trial.set(*s)
		e := list[at%len(list)]
		if e.opt == s.opt[e.g] {
			failed++
			continue
		}
		h.swap(&trial, e)
		if d.below(3) == 0 {
			if o := list[d.below(len(list))]; o.g != e.g && o.opt != s.opt[o.g] {
				h.swap(&trial, o)
			}
		}
		h.newton.slide(&trial, true, 3)
		j := h.whole(&trial)
		if j < best*1.05+1e-9 {
			h.newton.slide(&trial, true, 10)
			j = h.whole(&trial)
		}
		if j < best-1e-9*(1+best) {
			if best-j > 1e-3*best {
				failed = -1
			}
			s.set(trial)
			best = j
		}
		failed++
	}
	return best
}

// everything tries every combination of settings if there are no more than few, starting from s; it
// says whether it did. The best is then the true optimum.
func (h *searcher) everything(s state, few int) bool {
	m := h.m
	n := 1.0
	for _, l := range m.lights {
		c := float64(len(l.opts) * len(l.levels))
		if i := slices.Index(l.opts, off); i >= 0 {
			c -= float64(len(l.levels) - 1)
		}
		n *= c
	}
	for _, d := range m.dial {
		n *= float64(len(d.vals))
	}
	if n > float64(few) {
		return false
	}
	s = s.clone()
	ch := m.channels
	var dive func(g int, changes float64)
	dive = func(g int, changes float64) {
		if g == len(m.lights) {
			h.tried++
			if j := m.look(h.stack[g*ch:(g+1)*ch], &s.cam) + changes; j < h.cost-1e-12 {
				h.offer(s, j)
			}
			return
		}
		l := &m.lights[g]
		for _, k := range l.opts {
			s.opt[g] = k
			for _, lev := range l.levels {
				s.lev[g] = lev
				h.shine(h.stack[(g+1)*ch:(g+2)*ch], h.stack[g*ch:(g+1)*ch], g, k, lev, &s.cam)
				dive(g+1, changes+m.change(g, k, lev))
				if k == off {
					break
				}
			}
		}
	}
	for _, a := range m.dial[dialA].vals {
		for _, t := range m.dial[dialT].vals {
			for _, v := range m.dial[dialS].vals {
				s.cam = [dials]float64{a, t, v}
				clear(h.stack[:ch])
				dive(0, h.dialFixed(s))
			}
		}
	}
	return true
}

// begin searches from the given starts and keeps the best.
func (h *searcher) begin(starts []state, tries int, d *splitmix, stop func() bool) {
	type scored struct {
		s state
		j float64
	}
	var list []scored
	for _, s := range starts {
		if stop() {
			break
		}
		j := h.improve(&s, tries, d, stop)
		list = append(list, scored{s, j})
	}
	slices.SortStableFunc(list, func(a, b scored) int { return cmp.Compare(a.j, b.j) })
	for _, c := range list {
		if stop() {
			break
		}
		h.visited(c.j)
		j := h.discretise(&c.s)
		h.offer(c.s, j)
	}
}

// spent is the work done so far, in rough nanoseconds of one slow core; counted, not timed.
func (h *searcher) spent() float64 {
	rows, ch := float64(len(h.m.rows)), float64(h.m.channels)
	return float64(h.tried)*(30+10*rows+ch) + h.newton.work
}
