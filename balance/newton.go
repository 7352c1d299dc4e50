package balance

import "math"

// newton finds a local minimum over the continuous settings (levels of the lights that are on, free
// dials) with options held: Newton's method with the curvature of the loss of each target
// (Gauss-Newton for the values themselves), damped after Levenberg and Marquardt, inside a box. In
// logarithms one stop of a light moves a point by that light's share there, so the model stays good
// over a stop or two. What touching a setting costs is flat here and left to the search on the
// steps.
type newton struct {
	m     *compiled
	sum   []float64
	cont  []float64 // continuous part of sum, times t
	terms []float64 // contribution of each variable to each channel
	trial state
	vars  []variable
	grad  []float64
	hess  []float64
	chol  []float64
	step  []float64
	a, b  []float64
	held  []bool
	work  float64
}

// variable is a light (g) or a dial (g < 0: dial −1−g).
type variable struct {
	g      int
	lo, hi float64
}

func newNewton(m *compiled) *newton {
	n := len(m.lights) + dials
	v := func(k int) []float64 { return make([]float64, k) }
	return &newton{m: m, sum: v(m.channels), cont: v(m.channels), terms: v(n * m.channels), trial: m.present(),
		grad: v(n), hess: v(n * n),
		chol: v(n * n), step: v(n), a: v(n), b: v(n), held: make([]bool, n)}
}

// free lists the variables of s; with dialsToo the camera's free dials are among them.
func (w *newton) free(s state, dialsToo bool) {
	m := w.m
	w.vars = w.vars[:0]
	for g := range m.lights {
		if l := &m.lights[g]; s.opt[g] != off && len(l.levels) > 1 {
			w.vars = append(w.vars, variable{g, l.levels[0], l.levels[len(l.levels)-1]})
		}
	}
	for i := range m.dial {
		if d := &m.dial[i]; dialsToo && len(d.vals) > 1 {
			w.vars = append(w.vars, variable{-1 - i, d.vals[0], d.vals[len(d.vals)-1]})
		}
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

// price is the smooth part of what a variable costs at x, beside the look.
func (w *newton) price(v variable, x float64) float64 {
	m := w.m
	if v.g < 0 {
		return dialCost(-1-v.g, m.dial[-1-v.g].now, x)
	}
	l := &m.lights[v.g]
	c := 0.0
	if l.now != off {
		c = perStop * math.Abs(x-l.level)
		if l.nothing && x > l.level {
			c += misused * (x - l.level)
		}
	}
	if l.flashy {
		c += powerCost(x, l.recycle, m.every)
	}
	return c
}

// cost is the objective without what touching costs, which is flat here.
func (w *newton) cost(s *state) float64 {
	w.m.sums(*s, w.sum)
	j := w.m.look(w.sum, &s.cam)
	for _, v := range w.vars {
		j += w.price(v, v.get(s))
	}
	return j
}

// slide moves s to a local minimum and returns its continuous cost. rounds bounds the steps.
func (w *newton) slide(s *state, dialsToo bool, rounds int) float64 {
	w.free(*s, dialsToo)
	n := len(w.vars)
	for _, v := range w.vars {
		v.put(s, math.Min(v.hi, math.Max(v.lo, v.get(s))))
	}
	best := w.cost(s)
	damp, fresh := 1e-3, true
	for range rounds {
		if n == 0 || best < 1e-9 || damp > 1e6 {
			break
		}
		if fresh {
			w.model(s)
			fresh = false
		}
		w.work += float64(500 + n*n*(n+len(w.m.rows)))
		w.solve(s, damp)
		w.trial.set(*s)
		longest := 0.0
		for i, v := range w.vars {
			x := math.Min(v.hi, math.Max(v.lo, v.get(s)+math.Max(-3, math.Min(3, w.step[i]))))
			longest = math.Max(longest, math.Abs(x-v.get(s)))
			v.put(&w.trial, x)
		}
		if longest < 1e-4 {
			break
		}
		j := w.cost(&w.trial)
		if j >= best {
			damp *= 10
			continue
		}
		gain := best - j
		s.set(w.trial)
		best, fresh = j, true
		damp = math.Max(1e-6, damp/10)
		if gain < 1e-5*(1e-2+best) {
			break
		}
	}
	return best
}

// model fills gradient and curvature about s.
func (w *newton) model(s *state) {
	m, n := w.m, len(w.vars)
	w.spread(s)
	clear(w.grad[:n])
	clear(w.hess[:n*n])
	add := func(a []float64, first, second float64) {
		if first == 0 && second == 0 {
			return
		}
		for i := range n {
			if a[i] == 0 {
				continue
			}
			w.grad[i] += first * a[i]
			k := second * a[i]
			for j := 0; j <= i; j++ {
				w.hess[i*n+j] += k * a[j]
			}
		}
	}
	a, b := w.a[:n], w.b[:n]
	for i := range m.rows {
		r := &m.rows[i]
		if !r.active {
			continue
		}
		v := m.value(r, w.sum, &s.cam)
		first, second := r.slopes(v)
		if r.kind == Colour {
			w.colourGradient(r, a, b)
			add(a, first, second)
			if v > 1e-9 { // across the miss the distance is round: its curvature is the slope over the distance
				add(b, 0, math.Max(0, first)/(v/r.per))
			}
			continue
		}
		w.gradient(r, a)
		if r.held {
			_, more, bends := spent(r.past(v) - r.from)
			first, second = first+more*sign(v > r.hi), second+bends
		}
		add(a, first, second)
	}
	for g := range m.lights {
		l := &m.lights[g]
		if len(l.homes) == 0 {
			continue
		}
		if x, h := m.over(l, w.sum, &s.cam); x > 0 {
			_, first, second := bent(x)
			w.gradient(&m.rows[h.row], a)
			add(a, h.sign*first*m.bends, second*m.bends)
		}
	}
	const h = 0.05
	for i, v := range w.vars {
		x := v.get(s)
		p, c, q := w.price(v, x-h), w.price(v, x), w.price(v, x+h)
		w.grad[i] += (q - p) / (2 * h)
		w.hess[i*n+i] += math.Max(0, (q-2*c+p)/(h*h))
	}
}

// solve sets step to that of the damped model, variables that press on an end of their range held.
func (w *newton) solve(s *state, damp float64) {
	n := len(w.vars)
	for i, v := range w.vars {
		x := v.get(s)
		w.held[i] = x <= v.lo && w.grad[i] > 0 || x >= v.hi && w.grad[i] < 0
	}
	// Cholesky factor of the held-out, damped curvature.
	for i := range n {
		for j := 0; j <= i; j++ {
			v := w.hess[i*n+j]
			if w.held[i] || w.held[j] {
				v = 0
			}
			if i == j {
				v += damp*(1+v) + 1e-6
				if w.held[i] {
					v = 1
				}
			}
			for k := range j {
				v -= w.chol[i*n+k] * w.chol[j*n+k]
			}
			if i == j {
				w.chol[i*n+i] = math.Sqrt(math.Max(v, 1e-12))
			} else {
				w.chol[i*n+j] = v / w.chol[j*n+j]
			}
		}
	}
	for i := range n {
		v := -w.grad[i]
		if w.held[i] {
			v = 0
		}
		for k := range i {
			v -= w.chol[i*n+k] * w.step[k]
		}
		w.step[i] = v / w.chol[i*n+i]
	}
	for i := n - 1; i >= 0; i-- {
		v := w.step[i]
		for k := i + 1; k < n; k++ {
			v -= w.chol[k*n+i] * w.step[k]
		}
		w.step[i] = v / w.chol[i*n+i]
	}
}

// spread fills terms with what each variable brings to each channel.
func (w *newton) spread(s *state) {
	m := w.m
	m.sums(*s, w.sum)
	t := math.Exp2(s.cam[dialT])
	flash := m.flashPart(t)
	clear(w.cont)
	for g, k := range s.opt {
		if k == off {
			continue
		}
		p := math.Exp2(s.lev[g]) * t
		for i, c := range m.lights[g].cont[k] {
			w.cont[i] += p * c
		}
	}
	for i, v := range w.vars {
		terms := w.terms[i*m.channels : (i+1)*m.channels]
		switch {
		case v.g >= 0:
			k, p := s.opt[v.g], math.Exp2(s.lev[v.g])
			f, c := m.lights[v.g].flash[k], m.lights[v.g].cont[k]
			for ch := range terms {
				terms[ch] = p * (flash*f[ch] + t*c[ch])
			}
		case v.g == -1-dialT && flash > 0 && flash < 1: // a flash that pulses goes with the time too
			copy(terms, w.sum)
		case v.g == -1-dialT:
			copy(terms, w.cont)
		default:
			clear(terms)
		}
	}
}

// gradient fills a with the change of row r, in stops, for one stop of each variable.
func (w *newton) gradient(r *row, a []float64) {
	if r.kind == Warmth {
		w.warmthGradient(r, a)
		return
	}
	for i, v := range w.vars {
		terms := w.terms[i*w.m.channels:]
		a[i] = terms[r.a] / floorDark(w.sum[r.a])
		if r.b >= 0 {
			a[i] -= terms[r.b] / floorDark(w.sum[r.b])
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
func (w *newton) uvGradient(xyz [3]int, i int) (du, dv float64) {
	terms := w.terms[i*w.m.channels:]
	x, y, z := w.sum[xyz[0]], w.sum[xyz[1]], w.sum[xyz[2]]
	d := x + 15*y + 3*z
	if !(d > 1e-30) {
		return 0, 0
	}
	dx, dy, dz := terms[xyz[0]]*math.Ln2, terms[xyz[1]]*math.Ln2, terms[xyz[2]]*math.Ln2
	dd := dx + 15*dy + 3*dz
	return (4*dx - 4*x/d*dd) / d, (9*dy - 9*y/d*dd) / d
}

func (w *newton) warmthGradient(r *row, a []float64) {
	slope := func(xyz [3]int) (mu, mv float64) {
		const h = 1e-4
		u, v := uvOf(w.sum[xyz[0]], w.sum[xyz[1]], w.sum[xyz[2]])
		return (miredOf(u+h, v) - miredOf(u-h, v)) / (2 * h), (miredOf(u, v+h) - miredOf(u, v-h)) / (2 * h)
	}
	mu, mv := slope(r.xyz)
	var ru, rv float64
	if r.hasRef {
		ru, rv = slope(r.ref)
	}
	for i := range a {
		du, dv := w.uvGradient(r.xyz, i)
		a[i] = (mu*du + mv*dv) / r.per
		if r.hasRef {
			du, dv = w.uvGradient(r.ref, i)
			a[i] -= (ru*du + rv*dv) / r.per
		}
	}
}

// colourGradient fills the change of the distance in u'v' along the present miss and across it.
func (w *newton) colourGradient(r *row, along, across []float64) {
	u, v := uvOf(w.sum[r.xyz[0]], w.sum[r.xyz[1]], w.sum[r.xyz[2]])
	u0, v0 := r.uv[0], r.uv[1]
	if r.hasRef {
		u0, v0 = uvOf(w.sum[r.ref[0]], w.sum[r.ref[1]], w.sum[r.ref[2]])
	}
	dist := math.Hypot(u-u0, v-v0)
	cu, cv := 1.0, 0.0
	if dist > 1e-12 {
		cu, cv = (u-u0)/dist, (v-v0)/dist
	}
	for i := range along {
		du, dv := w.uvGradient(r.xyz, i)
		if r.hasRef {
			eu, ev := w.uvGradient(r.ref, i)
			du, dv = du-eu, dv-ev
		}
		along[i] = (cu*du + cv*dv) / r.per
		across[i] = (cu*dv - cv*du) / r.per
	}
}

// sign is 1 or −1.
func sign(up bool) float64 {
	if up {
		return 1
	}
	return -1
}
