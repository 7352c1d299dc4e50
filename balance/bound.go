package balance

import (
	"math"
	"slices"
)

// region is a part of the settings: for each light the options still open and the levels between lo and hi.
type region struct {
	opts   [][]int
	lo, hi []float64
}

func (m *mix) everything() region {
	r := region{}
	for g := range m.lights {
		l := &m.lights[g]
		r.opts = append(r.opts, l.opts)
		r.lo = append(r.lo, l.levels[0])
		r.hi = append(r.hi, l.levels[len(l.levels)-1])
	}
	return r
}

// bounder proves how good a look can be at best inside a region. In linear power every channel is linear, an option taken
// from several is a mixture of them, and each miss has a convex underestimator over the channel's range: the exact curve
// on the dark side, the chord on the bright side. Their sum is minimised exactly, so the result is a proven lower bound
// (of the misses; changes count as nothing). Colour and warmth count as met here.
type bounder struct {
	m        *mix
	poly     polygon
	vars     []mixture
	x        []float64
	fix      []float64 // channels of what cannot change
	min, max []float64 // range of each channel
	lines    []line
}

// mixture is one variable: light g in option k, flash or continuous or both, at unit (1 = the region's highest level).
type mixture struct {
	g, k        int
	flash, cont float64 // what one unit weighs
	lo          float64
}

const bigSlope = 1e7 // what a mixture over full weighs; any finite value leaves the bound valid

// bound returns the proven lower bound of the look in r and a state near the relaxed solution, as a start for a search.
func (bd *bounder) bound(r region) (lower float64, start state) {
	m := bd.m
	start = m.present()
	tLo, tHi := math.Exp2(m.dial[dialT].vals[0]), math.Exp2(m.dial[dialT].vals[len(m.dial[dialT].vals)-1])
	flash := 1.0
	if m.p.Camera.Sync > 0 && !m.synced(tHi) {
		flash = 0
	}
	bd.collect(r, flash, tLo, tHi)
	n := len(bd.vars)
	if n == 0 {
		return 0, start
	}
	bd.lines = bd.lines[:0]
	for i := range m.rows {
		if m.rows[i].active {
			bd.addRow(&m.rows[i])
		}
	}
	bd.addSums()
	b := box{lo: make([]float64, n), hi: make([]float64, n), keep: make([]float64, n), price: make([]float64, n)}
	bd.x = slices.Grow(bd.x[:0], n)[:n]
	for i, v := range bd.vars {
		b.lo[i], b.hi[i] = v.lo, 1
		bd.x[i] = v.lo
	}
	lower = bd.poly.minimise(bd.x, b, bd.lines)
	if math.IsNaN(lower) || lower < 0 {
		lower = 0
	}
	bd.startFrom(r, &start)
	return lower, start
}

// collect lists the variables of r and the range of every channel.
func (bd *bounder) collect(r region, flash, tLo, tHi float64) {
	m := bd.m
	ch := m.channels
	bd.vars = bd.vars[:0]
	bd.fix, bd.min, bd.max = make([]float64, ch), make([]float64, ch), make([]float64, ch)
	low, high := make([]float64, ch), make([]float64, ch)
	for g := range m.lights {
		l := &m.lights[g]
		opts := r.opts[g]
		pLo, pHi := math.Exp2(r.lo[g]), math.Exp2(r.hi[g])
		if len(opts) == 1 && opts[0] == off {
			continue
		}
		if len(opts) == 1 && pLo == pHi && tLo == tHi {
			for i := range bd.fix {
				v := pHi * (flash*l.flash[opts[0]][i] + tHi*l.cont[opts[0]][i])
				bd.fix[i] += v
				bd.min[i] += v
				bd.max[i] += v
			}
			continue
		}
		alone := len(opts) == 1
		for i := range low {
			low[i], high[i] = math.Inf(1), 0
		}
		for _, k := range opts {
			if k == off {
				clear(low)
				continue
			}
			f, c := l.flash[k], l.cont[k]
			for i := range low {
				low[i] = math.Min(low[i], pLo*(flash*f[i]+tLo*c[i]))
				high[i] = math.Max(high[i], pHi*(flash*f[i]+tHi*c[i]))
			}
			if tLo == tHi {
				bd.vars = append(bd.vars, mixture{g, k, pHi * flash, pHi * tHi, pick(alone, pLo/pHi, 0)})
				continue
			}
			if flash > 0 && slices.ContainsFunc(f, positive) {
				bd.vars = append(bd.vars, mixture{g, k, pHi, 0, pick(alone, pLo/pHi, 0)})
			}
			if slices.ContainsFunc(c, positive) {
				bd.vars = append(bd.vars, mixture{g, k, 0, pHi * tHi, pick(alone, pLo*tLo/(pHi*tHi), 0)})
			}
		}
		for i := range low {
			bd.min[i] += low[i]
			bd.max[i] += high[i]
		}
	}
}

func positive(x float64) bool { return x > 0 }

func pick(yes bool, a, b float64) float64 {
	if yes {
		return a
	}
	return b
}

// channel returns the coefficients of channel i over the variables, divided by unit.
func (bd *bounder) channel(i int, unit float64) []float64 {
	a := make([]float64, len(bd.vars))
	for j, v := range bd.vars {
		l := &bd.m.lights[v.g]
		a[j] = (v.flash*l.flash[v.k][i] + v.cont*l.cont[v.k][i]) / unit
	}
	return a
}

func (bd *bounder) addRow(full *row) {
	under := *full
	r := &under
	r.w *= farSlope // a miss counts at least this much of itself
	if r.kind == Colour || r.kind == Warmth {
		return
	}
	m := bd.m
	shift := func(worst func(d mixDial, c float64) float64) float64 {
		return r.c + worst(m.dial[dialA], r.ca) + worst(m.dial[dialS], r.cs)
	}
	kLo := shift(func(d mixDial, c float64) float64 { return math.Min(c*d.vals[0], c*d.vals[len(d.vals)-1]) })
	kHi := shift(func(d mixDial, c float64) float64 { return math.Max(c*d.vals[0], c*d.vals[len(d.vals)-1]) })
	lo, hi := r.lo-kHi, r.hi-kLo // of log2 of the channel (or of the ratio of two)
	if r.b >= 0 {
		bd.addRatio(r, lo, hi)
		return
	}
	least, most := bd.min[r.a], bd.max[r.a]
	if hi < 300 && most > dark && math.Log2(most) > hi {
		bd.addBright(r, math.Exp2(hi), math.Max(least, dark), most)
	}
	if lo > -300 && (least <= dark || math.Log2(least) < lo) {
		bd.addDark(r, math.Exp2(lo), math.Max(least, dark), most)
	}
}

// addBright adds the chord of w·log2(M/top) from where it is zero (or from the least M) to the most M.
func (bd *bounder) addBright(r *row, top, least, most float64) {
	from := math.Max(top, least)
	if most <= from*(1+1e-12) {
		return
	}
	a := bd.channel(r.a, top)
	rise := r.w * (math.Log2(most/top) - math.Log2(from/top)) / (most/top - from/top)
	base := r.w * math.Log2(from/top)
	left := 0.0
	if least > top {
		left = rise
	}
	bd.lines = append(bd.lines, line{a: a, kinks: []float64{(from - bd.fix[r.a]) / top}, slopes: []float64{left, rise}, base: base})
}

// addDark adds tangents of w·log2(bottom/M), a convex curve, for M under bottom.
func (bd *bounder) addDark(r *row, bottom, least, most float64) {
	a := bd.channel(r.a, bottom)
	to := math.Min(bottom, most)
	const tangents = 6
	f := func(m float64) float64 { return -r.w * math.Log2(m) }
	df := func(m float64) float64 { return -r.w / (m * math.Ln2) }
	lo, hi := math.Max(least/bottom, 1e-6), to/bottom
	if bd.min[r.a] < dark { // under dark the miss grows no more: keep the tangents below that
		lo = math.Max(lo, math.E*dark/bottom)
	}
	if !(lo < hi) {
		lo = hi
	}
	l := line{a: a}
	var pm, pf, pd float64
	for i := range tangents {
		m := lo * math.Pow(hi/lo, float64(i)/(tangents-1))
		fm, dm := f(m), df(m)
		if i == 0 {
			l.slopes = append(l.slopes, dm)
		} else if dm > pd*(1-1e-9) {
			x := (fm - dm*m - pf + pd*pm) / (pd - dm)
			if len(l.kinks) == 0 {
				l.base = pf + pd*(x-pm)
			}
			l.kinks = append(l.kinks, x)
			l.slopes = append(l.slopes, dm)
		}
		pm, pf, pd = m, fm, dm
	}
	if to == bottom { // beyond it nothing is missed
		x := pm - pf/pd
		if len(l.kinks) == 0 {
			l.base = 0
		}
		l.kinks = append(l.kinks, x)
		l.slopes = append(l.slopes, 0)
	}
	if len(l.kinks) == 0 {
		l.kinks = append(l.kinks, pm)
		l.slopes = append(l.slopes, pd)
		l.base = pf
	}
	for i := range l.kinks {
		l.kinks[i] -= bd.fix[r.a] / bottom
	}
	bd.lines = append(bd.lines, l)
}

// addRatio adds, for each side, chord of the logarithm that must be large less tangent of the one that must be small.
func (bd *bounder) addRatio(r *row, lo, hi float64) {
	if hi < 300 {
		bd.addOver(r.a, r.b, -hi, r.w)
	}
	if lo > -300 {
		bd.addOver(r.b, r.a, lo, r.w)
	}
}

// addOver underestimates w·max(0, log2 A − log2 B + c).
func (bd *bounder) addOver(a, b int, c, w float64) {
	aLo, aHi := math.Max(bd.min[a], dark), math.Max(bd.max[a], dark)
	bLo, bHi := math.Max(bd.min[b], dark), math.Max(bd.max[b], dark)
	if math.Log2(aHi/bLo)+c <= 0 {
		return
	}
	rise := 1 / (aHi * math.Ln2)
	if aHi > aLo*(1+1e-9) {
		rise = math.Log2(aHi/aLo) / (aHi - aLo)
	}
	mid := (bHi - bLo) / math.Log(bHi/bLo) // the tangent that is parallel to the chord
	if !(bHi > bLo*(1+1e-9)) {
		mid = bLo
	}
	mid = math.Max(mid, math.E*dark) // so that the tangent stays above the floor of the logarithm
	fall := 1 / (mid * math.Ln2)
	k := math.Log2(aLo) - rise*aLo - math.Log2(mid) + fall*mid + c + rise*bd.fix[a] - fall*bd.fix[b]
	coef := bd.channel(a, 1)
	for j, v := range bd.channel(b, 1) {
		coef[j] = rise*coef[j] - fall*v
	}
	bd.lines = append(bd.lines, line{a: coef, kinks: []float64{-k}, slopes: []float64{0, w}})
}

// addSums keeps the mixture of one light's options at or under full.
func (bd *bounder) addSums() {
	for i := 0; i < len(bd.vars); {
		j := i
		for j < len(bd.vars) && bd.vars[j].g == bd.vars[i].g {
			j++
		}
		for _, flash := range [...]bool{true, false} {
			a := make([]float64, len(bd.vars))
			n := 0
			for k := i; k < j; k++ {
				if v := bd.vars[k]; flash && v.flash > 0 || !flash && v.flash == 0 {
					a[k] = 1
					n++
				}
			}
			if n > 1 {
				bd.lines = append(bd.lines, line{a: a, kinks: []float64{1}, slopes: []float64{0, bigSlope}})
			}
		}
		i = j
	}
}

// startFrom reads a state off the relaxed solution: for each light the option with the largest share, at its total level.
func (bd *bounder) startFrom(r region, s *state) {
	for g := range s.opt {
		var total, most float64
		k := off
		for i, v := range bd.vars {
			if v.g != g {
				continue
			}
			x := bd.x[i]
			total = math.Max(total, x)
			if x > most {
				most, k = x, v.k
			}
		}
		if k == off {
			if len(r.opts[g]) == 1 {
				s.opt[g] = r.opts[g][0]
				s.lev[g] = r.hi[g]
			} else if !slices.Contains(r.opts[g], off) {
				s.opt[g], s.lev[g] = r.opts[g][0], r.lo[g]
			} else {
				s.opt[g] = off
			}
			continue
		}
		s.opt[g] = k
		s.lev[g] = math.Min(r.hi[g], math.Max(r.lo[g], r.hi[g]+math.Log2(total)))
	}
	for i := range s.cam {
		s.cam[i] = nearest(bd.m.dial[i].vals, s.cam[i])
	}
}
