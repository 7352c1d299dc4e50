package balance

import (
	"cmp"
	"math"
	"slices"
)

// searcher looks for the best state on the steps: continuous slides for the levels, exchange of options, then exact search
// among the steps about the continuous solution. Everything is counted, nothing is timed, so that the answer does not
// depend on the machine.
type searcher struct {
	m       *mix
	sl      *slider
	base    []float64
	sum     []float64
	stack   []float64
	best    state
	cost    float64
	found   bool
	settled []float64 // continuous costs of the states that were taken to the steps
	tried   int       // states whose cost was taken
}

func newSearcher(m *mix) *searcher {
	return &searcher{m: m, sl: newSlider(m),
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
	if h.m.p.Camera.Sync > 0 && !h.m.synced(t) {
		pf = 0
	}
	f, c := h.m.lights[g].flash[k], h.m.lights[g].cont[k]
	dst, src, f, c = dst[:len(f)], src[:len(f)], f[:len(f)], c[:len(f)]
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

// swap makes an exchange in s; the new option starts at the level that gives as much light as the old one did.
func (h *searcher) swap(s *state, e exchange) {
	h.rematch(s, e.g, &h.m.lights[e.g], e.opt)
}

// rematch gives setting i of s, of light l, option k at the level that keeps its light.
func (h *searcher) rematch(s *state, i int, l *mixLight, k int) {
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
	return h.m.look(h.sum, &s.cam) + changeRate*h.m.changes(*s)
}

// improve slides s, then tries exchanges of one option, now and then of two, in shuffled order, each with a short slide,
// and keeps what is better; it ends after so many tries without success. It returns the continuous cost.
func (h *searcher) improve(s *state, tries int, d *splitmix, stop func() bool) float64 {
	h.sl.slide(s, true, 12)
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
		h.sl.slide(&trial, true, 3)
		j := h.whole(&trial)
		if j < best*1.05+1e-9 {
			h.sl.slide(&trial, true, 10)
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

// settle takes a continuous state to the steps: the dials to the values about it, each time with the levels slid anew,
// then the levels by search of all corners, then polishing. It returns the cost on the steps.
func (h *searcher) settle(s *state) float64 {
	m := h.m
	var combos []state
	h.dialCorners(*s, 0, &combos)
	type scored struct {
		s state
		j float64
	}
	var list []scored
	for _, c := range combos {
		j := h.sl.slide(&c, false, 10)
		list = append(list, scored{c, j + changeRate*h.dialFixed(c)})
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

// dialCorners lists s with each free dial on the allowed values next below and above, and on the present one if near.
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

// corners puts the levels of s on the steps next to them: all combinations of below and above for the first 11 lights
// that lie between steps, the nearest for further ones.
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
			if j := m.look(h.stack[i*ch:(i+1)*ch], &s.cam) + changeRate*changes; j < best-1e-12 {
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

// polish makes s such that no single setting, and no pair of levels within two steps, can be changed for the better.
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

func (h *searcher) polishDials(s *state, best float64) float64 {
	for i := range h.m.dial {
		keep := s.cam[i]
		for _, v := range h.m.dial[i].vals {
			s.cam[i] = v
			h.tried++
			if j := h.m.cost(*s, h.sum); j < best-1e-12 {
				best, keep = j, v
			}
		}
		s.cam[i] = keep
	}
	return best
}

// polishLight tries every option of light g at every level, or at those near the level that gives as much light where there
// are many.
func (h *searcher) polishLight(s *state, g int, best float64) float64 {
	m := h.m
	l := &m.lights[g]
	if len(l.opts)*len(l.levels) < 2 {
		return best
	}
	h.without(*s, g)
	rest := m.changes(*s) - m.change(g, s.opt[g], s.lev[g])
	opt, lev := s.opt[g], s.lev[g]
	for _, k := range l.opts {
		levels := l.levels
		if len(levels) > 24 && k != off && opt != off {
			at := state{opt: []int{s.opt[g]}, lev: []float64{s.lev[g]}, cam: s.cam}
			h.rematch(&at, 0, l, k)
			levels = near(levels, at.lev[0], 6)
		}
		for _, v := range levels {
			h.shine(h.sum, h.base, g, k, v, &s.cam)
			h.tried++
			if j := m.look(h.sum, &s.cam) + changeRate*(rest+m.change(g, k, v)); j < best-1e-12 {
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

// polishPairs tries two levels at a time, each up to two steps away.
func (h *searcher) polishPairs(s *state, best float64) float64 {
	m, ch := h.m, h.m.channels
	for a := range m.lights {
		if s.opt[a] == off || len(m.lights[a].levels) < 2 {
			continue
		}
		for b := a + 1; b < len(m.lights); b++ {
			if s.opt[b] == off || len(m.lights[b].levels) < 2 {
				continue
			}
			changes := m.changes(*s) - m.change(a, s.opt[a], s.lev[a]) - m.change(b, s.opt[b], s.lev[b])
			k := s.opt[a]
			s.opt[a] = off
			h.without(*s, b)
			s.opt[a] = k
			la, lb := s.lev[a], s.lev[b]
			for _, va := range near(m.lights[a].levels, la, 2) {
				mid := h.stack[:ch]
				h.shine(mid, h.base, a, s.opt[a], va, &s.cam)
				for _, vb := range near(m.lights[b].levels, lb, 2) {
					h.shine(h.sum, mid, b, s.opt[b], vb, &s.cam)
					h.tried++
					if j := m.look(h.sum, &s.cam) + changeRate*(changes+m.change(a, s.opt[a], va)+m.change(b, s.opt[b], vb)); j < best-1e-12 {
						best, s.lev[a], s.lev[b] = j, va, vb
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

// everything tries every combination of settings if there are no more than few, starting from s; it says whether it did. The
// best is then the true optimum.
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
			if j := m.look(h.stack[g*ch:(g+1)*ch], &s.cam) + changeRate*changes; j < h.cost-1e-12 {
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
		if h.found && c.j >= h.cost || stop() {
			break
		}
		h.known(c.j)
		j := h.settle(&c.s)
		h.offer(c.s, j)
	}
}

// kick leaves the neighbourhood of the best state in one of several ways, in turn, and searches from there; it is how the
// search gets out of the valleys that differences of logarithms make. The generator's seed is fixed.
func (h *searcher) kick(round int, d *splitmix, stop func() bool) {
	m := h.m
	s := h.best.clone()
	if round%5 == 4 && (m.coarse || len(m.rows) == 0) { // on the steps all the way, for heads with coarse ones
		h.scatter(&s, d, 1+d.below(3))
		j := h.polish(&s)
		h.offer(s, j)
		return
	}
	if round%3 == 2 && m.dialled() { // other dials, held while the levels follow
		for i := range m.dial {
			v := m.dial[i].vals
			s.cam[i] = v[d.below(len(v))]
		}
		h.sl.slide(&s, false, 10)
	}
	switch round % 4 {
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
		r.w = math.Max(w*1e3, Must.rate()*10)
		h.sl.slide(&s, true, 8)
		r.w = w
	case 1: // two other options at once, at the present levels
		for range 2 {
			g := d.below(len(m.lights))
			l := &m.lights[g]
			s.opt[g] = l.opts[d.below(len(l.opts))]
		}
	case 2: // one target does not matter for a while
		if len(m.rows) > 0 {
			r := &m.rows[d.below(len(m.rows))]
			was := r.active
			r.active = false
			h.sl.slide(&s, true, 8)
			r.active = was
		}
	default:
		h.scatter(&s, d, 2+d.below(max(1, len(m.lights))))
	}
	j := h.sl.slide(&s, true, 12) + changeRate*changeFixed
	if j > h.cost*1.15+1e-6 {
		return
	}
	if j := h.improve(&s, 25, d, stop); j < h.cost && !h.known(j) {
		j := h.settle(&s)
		h.offer(s, j)
	}
}

// dialled says whether any dial is free.
func (m *mix) dialled() bool {
	for _, d := range m.dial {
		if len(d.vals) > 1 {
			return true
		}
	}
	return false
}

// known says whether a continuous state of cost j was taken to the steps before, and remembers it.
func (h *searcher) known(j float64) bool {
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
			for _, v := range near(vals, h.best.cam[i], 2) {
				if v == h.best.cam[i] {
					continue
				}
				s := h.best.clone()
				s.cam[i] = v
				d.vals = []float64{v}
				again = h.follow(&s) || again
				d.vals = vals
			}
		}
	}
}

// undo puts single changed settings of the best state back to the present and lets the others follow: fewest changes.
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
				if s.opt[i] == l.now && (s.lev[i] == l.level || l.now == off) || !slices.Contains(l.opts, l.now) || !slices.Contains(l.levels, l.level) {
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
	if h.sl.slide(s, true, 6) >= h.cost {
		return false
	}
	before := h.cost
	j := h.settle(s)
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

// spent is the work done so far, in rough nanoseconds of one slow core; counted, not timed.
func (h *searcher) spent() float64 {
	rows, ch := float64(len(h.m.rows)), float64(h.m.channels)
	return float64(h.tried)*(30+10*rows+ch) + h.sl.flops()
}
