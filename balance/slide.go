package balance

import "math"

// slider finds a local minimum over the continuous settings (levels of the lights that are on, free dials) with options
// held, by sequential linear programming: each target's value is linearised in the logarithms, the piecewise-linear model
// is solved exactly inside a trust region, and the region grows or shrinks with how well the model foretold the result.
// In logarithms one stop of a light moves a point by that light's share there, so models stay good over a stop or two.
type slider struct {
	m     *mix
	poly  polygon
	sum   []float64
	cont  []float64 // continuous part of sum, times t
	terms []float64 // contribution of each variable to each channel
	trial state
	vars  []variable
	x     []float64
	b     box
	lines []line
	rowsA []float64
	grad  []float64
	work  float64 // of the linear programs solved
}

// variable is a light (g) or a dial (g < 0: dial −1−g).
type variable struct {
	g      int
	lo, hi float64
	keep   float64
	price  float64
}

func newSlider(m *mix) *slider {
	n := len(m.lights) + dials
	return &slider{m: m,
		sum: make([]float64, m.channels), cont: make([]float64, m.channels), terms: make([]float64, n*m.channels),
		trial: m.present(), x: make([]float64, n), grad: make([]float64, n),
		b:     box{lo: make([]float64, n), hi: make([]float64, n), keep: make([]float64, n), price: make([]float64, n)},
		rowsA: make([]float64, 0, 2*n*len(m.rows)),
	}
}

// free lists the variables of s; with dialsToo the camera's free dials are among them.
func (sl *slider) free(s state, dialsToo bool) {
	m := sl.m
	sl.vars = sl.vars[:0]
	for g := range m.lights {
		l := &m.lights[g]
		if s.opt[g] == off || len(l.levels) < 2 {
			continue
		}
		v := variable{g: g, lo: l.levels[0], hi: l.levels[len(l.levels)-1], keep: l.level}
		if l.now != off {
			v.price = changeRate
		}
		sl.vars = append(sl.vars, v)
	}
	if !dialsToo {
		return
	}
	for i := range m.dial {
		d := &m.dial[i]
		if len(d.vals) < 2 {
			continue
		}
		sl.vars = append(sl.vars, variable{g: -1 - i, lo: d.vals[0], hi: d.vals[len(d.vals)-1], keep: d.now, price: changeRate})
	}
}

func (v variable) get(s *state) float64 {
	if v.g >= 0 {
		return s.lev[v.g]
	}
	return s.cam[-1-v.g]
}

func (v variable) put(s *state, x float64) {
	if v.g >= 0 {
		s.lev[v.g] = x
	} else {
		s.cam[-1-v.g] = x
	}
}

// cost is the objective without the fixed part of changes, which is flat here.
func (sl *slider) cost(s *state) float64 {
	sl.m.sums(*s, sl.sum)
	j := sl.m.look(sl.sum, &s.cam)
	for _, v := range sl.vars {
		j += v.price * math.Abs(v.get(s)-v.keep)
	}
	return j
}

// slide moves s to a local minimum and returns its continuous cost. rounds bounds the linear programs.
func (sl *slider) slide(s *state, dialsToo bool, rounds int) float64 {
	sl.free(*s, dialsToo)
	for _, v := range sl.vars {
		v.put(s, math.Min(v.hi, math.Max(v.lo, v.get(s))))
	}
	best := sl.cost(s)
	radius := 2.0
	for range rounds {
		if best < 1e-12 || radius < 2e-4 || len(sl.vars) == 0 {
			break
		}
		sl.linearise(s, radius)
		n := len(sl.vars)
		x := sl.x[:n]
		clear(x)
		foretold := sl.poly.minimise(x, box{sl.b.lo[:n], sl.b.hi[:n], sl.b.keep[:n], sl.b.price[:n]}, sl.lines)
		sl.work += sl.price(n)
		gain := best - foretold
		if gain < 1e-7*(1+best*1e-3) {
			break
		}
		sl.trial.set(*s)
		var longest float64
		for i, v := range sl.vars {
			v.put(&sl.trial, math.Min(v.hi, math.Max(v.lo, v.get(s)+x[i])))
			longest = math.Max(longest, math.Abs(x[i]))
		}
		j := sl.cost(&sl.trial)
		real := best - j
		if real > 0 {
			s.set(sl.trial)
			best = j
		}
		switch {
		case real < 0.25*gain:
			radius = math.Min(radius, longest) * 0.3
		case real > 0.75*gain:
			radius = math.Min(radius*2, 8)
		}
	}
	return best
}

// linearise fills lines and bounds with the model of the objective about s.
func (sl *slider) linearise(s *state, radius float64) {
	m, n := sl.m, len(sl.vars)
	m.sums(*s, sl.sum)
	t := math.Exp2(s.cam[dialT])
	flash := 1.0
	if m.p.Camera.Sync > 0 && !m.synced(t) {
		flash = 0
	}
	clear(sl.cont)
	for g, k := range s.opt {
		if k == off {
			continue
		}
		p := math.Exp2(s.lev[g]) * t
		for i, c := range m.lights[g].cont[k] {
			sl.cont[i] += p * c
		}
	}
	for i, v := range sl.vars {
		terms := sl.terms[i*m.channels : (i+1)*m.channels]
		switch {
		case v.g >= 0:
			k, p := s.opt[v.g], math.Exp2(s.lev[v.g])
			f, c := m.lights[v.g].flash[k], m.lights[v.g].cont[k]
			for ch := range terms {
				terms[ch] = p * (flash*f[ch] + t*c[ch])
			}
		case v.g == -1-dialT:
			copy(terms, sl.cont)
		default:
			clear(terms)
		}
		now := v.get(s)
		sl.b.lo[i] = math.Max(-radius, v.lo-now)
		sl.b.hi[i] = math.Min(radius, v.hi-now)
		sl.b.keep[i], sl.b.price[i] = v.keep-now, v.price
	}
	sl.lines, sl.rowsA = sl.lines[:0], sl.rowsA[:0]
	for i := range m.rows {
		r := &m.rows[i]
		if !r.active {
			continue
		}
		if r.kind == Colour {
			sl.colourLines(r, n)
			continue
		}
		v := m.value(r, sl.sum, &s.cam)
		a := sl.newRow(n)
		sl.gradient(r, a)
		mid := math.NaN()
		if r.inner > 0 {
			mid = (r.mid - v) / r.per
		}
		sl.addLine(a, (r.lo-v)/r.per, mid, (r.hi-v)/r.per, r.w, i)
	}
}

func (sl *slider) newRow(n int) []float64 {
	if cap(sl.rowsA)-len(sl.rowsA) < n {
		sl.rowsA = make([]float64, 0, 2*cap(sl.rowsA)+n)
	}
	at := len(sl.rowsA)
	sl.rowsA = sl.rowsA[:at+n]
	return sl.rowsA[at : at+n : at+n]
}

// addLine adds the miss of a value that moves by a·x out of lo to hi, or away from mid inside. Kinks are moved apart by less than any setting
// shows, so that no two targets meet in exactly one vertex (degenerate vertices stall the walk).
func (sl *slider) addLine(a []float64, lo, mid, hi, w float64, i int) {
	nudge := 1e-8 * float64(1+(i*7)%13)
	k := len(sl.lines)
	if k < cap(sl.lines) {
		sl.lines = sl.lines[:k+1]
	} else {
		sl.lines = append(sl.lines, line{})
	}
	l := &sl.lines[k]
	left, right := w, w
	if lo > 1 {
		left *= farSlope
	}
	if hi < -1 {
		right *= farSlope
	}
	l.a = a
	l.kinks, l.slopes = append(l.kinks[:0], lo-nudge), append(l.slopes[:0], -left)
	if math.IsNaN(mid) {
		l.slopes = append(l.slopes, 0)
	} else {
		l.kinks = append(l.kinks, mid+nudge)
		l.slopes = append(l.slopes, -innerRate, innerRate)
	}
	l.kinks, l.slopes = append(l.kinks, hi+nudge), append(l.slopes, right)
	l.base = 0
}

// gradient fills a with the change of row r, in stops, for one stop of each variable.
func (sl *slider) gradient(r *row, a []float64) {
	m := sl.m
	if r.kind == Warmth {
		sl.warmthGradient(r, a)
		return
	}
	for i, v := range sl.vars {
		terms := sl.terms[i*m.channels:]
		a[i] = terms[r.a] / floorDark(sl.sum[r.a])
		if r.b >= 0 {
			a[i] -= terms[r.b] / floorDark(sl.sum[r.b])
		}
		switch v.g {
		case -1 - dialA:
			a[i] += r.ca
		case -1 - dialS:
			a[i] += r.cs
		}
		a[i] /= r.per
	}
}

// uvGradient returns how u' and v' of an XYZ sum move for one stop of variable i.
func (sl *slider) uvGradient(xyz [3]int, i int) (du, dv float64) {
	terms := sl.terms[i*sl.m.channels:]
	x, y, z := sl.sum[xyz[0]], sl.sum[xyz[1]], sl.sum[xyz[2]]
	d := x + 15*y + 3*z
	if !(d > 1e-30) {
		return 0, 0
	}
	dx, dy, dz := terms[xyz[0]]*math.Ln2, terms[xyz[1]]*math.Ln2, terms[xyz[2]]*math.Ln2
	dd := dx + 15*dy + 3*dz
	return (4*dx - 4*x/d*dd) / d, (9*dy - 9*y/d*dd) / d
}

func (sl *slider) warmthGradient(r *row, a []float64) {
	slope := func(xyz [3]int) (mu, mv float64) {
		const h = 1e-4
		u, v := uvOf(sl.sum[xyz[0]], sl.sum[xyz[1]], sl.sum[xyz[2]])
		return (miredOf(u+h, v) - miredOf(u-h, v)) / (2 * h), (miredOf(u, v+h) - miredOf(u, v-h)) / (2 * h)
	}
	mu, mv := slope(r.xyz)
	var ru, rv float64
	if r.hasRef {
		ru, rv = slope(r.ref)
	}
	for i := range a {
		du, dv := sl.uvGradient(r.xyz, i)
		a[i] = (mu*du + mv*dv) / r.per
		if r.hasRef {
			du, dv = sl.uvGradient(r.ref, i)
			a[i] -= (ru*du + rv*dv) / r.per
		}
	}
}

// colourLines models the distance in u'v' by its part along the present miss and its part across it.
func (sl *slider) colourLines(r *row, n int) {
	u, v := uvOf(sl.sum[r.xyz[0]], sl.sum[r.xyz[1]], sl.sum[r.xyz[2]])
	u0, v0 := r.uv[0], r.uv[1]
	if r.hasRef {
		u0, v0 = uvOf(sl.sum[r.ref[0]], sl.sum[r.ref[1]], sl.sum[r.ref[2]])
	}
	dist := math.Hypot(u-u0, v-v0)
	cu, cv := 1.0, 0.0
	if dist > 1e-12 {
		cu, cv = (u-u0)/dist, (v-v0)/dist
	}
	along, across := sl.newRow(n), sl.newRow(n)
	for i := range along {
		du, dv := sl.uvGradient(r.xyz, i)
		if r.hasRef {
			eu, ev := sl.uvGradient(r.ref, i)
			du, dv = du-eu, dv-ev
		}
		along[i] = (cu*du + cv*dv) / r.per
		across[i] = (cu*dv - cv*du) / r.per
	}
	sl.addLine(along, (-r.hi-dist)/r.per, math.NaN(), (r.hi-dist)/r.per, r.w, 1)
	if dist > r.hi*0.5 {
		sl.addLine(across, -0.3*r.hi/r.per, math.NaN(), 0.3*r.hi/r.per, 0.3*r.w, 2)
	}
}

// price is the work of one round over n variables.
func (sl *slider) price(n int) float64 {
	walk := float64(sl.poly.steps*(n+len(sl.lines))*n) * 2.5
	model := float64(60*len(sl.lines) + 3*sl.m.channels*(n+len(sl.m.lights)))
	return 1000 + walk + model
}

// flops is the work of all slides so far, in the unit of searcher.spent.
func (sl *slider) flops() float64 { return sl.work }
