package balance

import "math"

// line is one convex piecewise-linear term of a sum: f(a·x) with kinks in rising order, slopes[i] left of kinks[i] and
// slopes[len(kinks)] right of the last; base is f(kinks[0]).
type line struct {
	a      []float64
	kinks  []float64
	slopes []float64
	base   float64
}

// at evaluates the term.
func (l *line) at(r float64) float64 {
	if r <= l.kinks[0] {
		return l.base + l.slopes[0]*(r-l.kinks[0])
	}
	f := l.base
	for i := 1; i < len(l.kinks); i++ {
		if r <= l.kinks[i] {
			return f + l.slopes[i]*(r-l.kinks[i-1])
		}
		f += l.slopes[i] * (l.kinks[i] - l.kinks[i-1])
	}
	return f + l.slopes[len(l.kinks)]*(r-l.kinks[len(l.kinks)-1])
}

// conjugateAt returns the largest value of y·t − f(t), for a slope y that f takes somewhere.
func (l *line) conjugateAt(y float64) float64 {
	f, prev := l.base, l.kinks[0]
	for i, k := range l.kinks {
		if i > 0 {
			f += l.slopes[i] * (k - prev)
		}
		prev = k
		if y <= l.slopes[i+1] {
			return y*k - f
		}
	}
	return y*prev - f
}

// box holds the bounds of the variables and, where changes cost something, a kink at keep with slopes ∓price about it.
type box struct {
	lo, hi, keep []float64
	price        []float64
}

// polygon minimises Σ lines + Σ price·|x−keep| over a box by walking from vertex to vertex: at a vertex n terms sit on a
// kink; releasing one gives an edge, and a piecewise-linear line search runs along it past as many kinks as still go down.
// It is the simplex method for convex piecewise-linear sums, without a column for each miss. Scratch space is kept
// between calls.
type polygon struct {
	n      int
	inv    []float64 // columns of the inverse of the active rows, column k at [k*n:]
	active []int     // active[k]: row on a kink; rows 0..n-1 are the variables, n.. the lines
	kink   []int     // which kink of it
	where  []int     // for each row: position in active, or -1
	seg    []int     // for rows not active: kinks below
	r      []float64 // value a·x of each row
	rate   []float64
	y, d   []float64
	units  []line
	store  []float64
	steps  int // of the last walk
}

const flat = 1e-10 // slopes and rates below this count as none

// minimise returns the minimiser (in x, which also gives the start and must lie in the box) and a proven lower bound of the
// minimum (from the multipliers, so that rounding or an early stop cannot spoil it). Variables with equal bounds stay.
func (s *polygon) minimise(x []float64, b box, lines []line) (lower float64) {
	n := len(x)
	rows := n + len(lines)
	s.resize(n, rows)
	s.start(x, b, lines)
	for s.steps = 0; s.steps < 40*(rows+4); s.steps++ {
		k, up := s.steepest(lines)
		if k < 0 {
			break
		}
		if !s.walk(k, up, lines) {
			break
		}
	}
	for j := range x {
		x[j] = math.Min(b.hi[j], math.Max(b.lo[j], s.solveFor(j, lines)))
	}
	return s.lower(b, lines)
}

func (s *polygon) resize(n, rows int) {
	s.n = n
	grow := func(v []float64, k int) []float64 {
		if cap(v) < k {
			return make([]float64, k)
		}
		return v[:k]
	}
	growInt := func(v []int, k int) []int {
		if cap(v) < k {
			return make([]int, k)
		}
		return v[:k]
	}
	s.inv = grow(s.inv, n*n)
	s.active, s.kink = growInt(s.active, n), growInt(s.kink, n)
	s.where, s.seg = growInt(s.where, rows), growInt(s.seg, rows)
	s.r, s.rate = grow(s.r, rows), grow(s.rate, rows)
	s.y, s.d = grow(s.y, n), grow(s.d, n)
	s.store = grow(s.store, 12*n)
	if cap(s.units) < n {
		s.units = make([]line, n)
	}
	s.units = s.units[:n]
}

// start makes the variables' own rows active: each sits on a kink at its starting value.
func (s *polygon) start(x []float64, b box, lines []line) {
	n := s.n
	clear(s.inv)
	for j := range n {
		s.inv[j*n+j] = 1
		kinks, slopes := s.store[j*12:j*12:j*12+5], s.store[j*12+5:j*12+5:j*12+12]
		lo, hi, p := b.lo[j], b.hi[j], b.price[j]
		slopes = append(slopes, math.Inf(-1))
		kinks = append(kinks, lo)
		slopes = append(slopes, -p)
		keepIn := p > 0 && b.keep[j] > lo && b.keep[j] < hi
		if keepIn {
			kinks = append(kinks, b.keep[j])
			slopes = append(slopes, p)
		} else if p > 0 && b.keep[j] <= lo {
			slopes[1] = p
		}
		kinks = append(kinks, hi)
		slopes = append(slopes, math.Inf(1))
		at := 0
		for at < len(kinks) && kinks[at] < x[j] {
			at++
		}
		if at == len(kinks) || kinks[at] != x[j] {
			kinks = append(kinks, 0)
			copy(kinks[at+1:], kinks[at:])
			kinks[at] = x[j]
			slopes = append(slopes, 0)
			copy(slopes[at+1:], slopes[at:])
		}
		s.units[j] = line{kinks: kinks, slopes: slopes}
		s.active[j], s.kink[j], s.where[j], s.r[j] = j, at, j, x[j]
	}
	for i := range lines {
		l := &lines[i]
		s.where[n+i] = -1
		v := dot(l.a, x)
		s.r[n+i] = v
		at := 0
		for at < len(l.kinks) && l.kinks[at] < v {
			at++
		}
		s.seg[n+i] = at
	}
}

func (s *polygon) row(i int, lines []line) *line {
	if i < s.n {
		return &s.units[i]
	}
	return &lines[i-s.n]
}

// steepest returns the active row whose release goes down fastest, and in which direction; −1 at the minimum.
func (s *polygon) steepest(lines []line) (best int, up bool) {
	n := s.n
	s.gradient(lines)
	best, worst := -1, -flat
	for k := range n {
		col := s.inv[k*n : k*n+n]
		g := dot(s.y, col)
		l := s.row(s.active[k], lines)
		right, left := g+l.slopes[s.kink[k]+1], -g-l.slopes[s.kink[k]]
		if right >= worst && left >= worst {
			continue
		}
		norm := math.Sqrt(dot(col, col)) + 1e-12
		tol := -flat * (1 + math.Abs(g)*1e-3)
		if right < tol && right/norm < worst {
			best, up, worst = k, true, right/norm
		}
		if left < tol && left/norm < worst {
			best, up, worst = k, false, left/norm
		}
	}
	return best, up
}

// gradient sums slope·row over the rows that are not active.
func (s *polygon) gradient(lines []line) {
	n := s.n
	clear(s.y)
	for i := range s.where {
		if s.where[i] >= 0 {
			continue
		}
		l := s.row(i, lines)
		g := l.slopes[s.seg[i]]
		if g == 0 {
			continue
		}
		if i < n {
			s.y[i] += g
			continue
		}
		for j, a := range l.a {
			s.y[j] += g * a
		}
	}
}

// walk leaves kink k along its edge, stops at the kink where the sum would rise, and makes that row active instead.
func (s *polygon) walk(k int, up bool, lines []line) bool {
	n := s.n
	col := s.inv[k*n : k*n+n]
	sign := 1.0
	if !up {
		sign = -1
	}
	leave := s.active[k]
	l := s.row(leave, lines)
	g := sign * dot(s.y, col)
	if up {
		g += l.slopes[s.kink[k]+1]
		s.seg[leave] = s.kink[k] + 1
	} else {
		g -= l.slopes[s.kink[k]]
		s.seg[leave] = s.kink[k]
	}
	s.where[leave] = -1
	for j := range n {
		s.d[j] = sign * col[j]
	}
	for i := range s.where {
		switch {
		case i == leave:
			s.rate[i] = sign
		case s.where[i] >= 0:
			s.rate[i] = 0
		case i < n:
			s.rate[i] = s.d[i]
		default:
			s.rate[i] = dot(lines[i-n].a, s.d)
		}
	}
	var step float64
	for {
		next, dist := -1, math.Inf(1)
		for i, v := range s.rate {
			if s.where[i] >= 0 || math.Abs(v) < 1e-9 {
				continue
			}
			l := s.row(i, lines)
			var t float64
			switch {
			case v > 0 && s.seg[i] < len(l.kinks):
				t = (l.kinks[s.seg[i]] - s.r[i]) / v
			case v < 0 && s.seg[i] > 0:
				t = (l.kinks[s.seg[i]-1] - s.r[i]) / v
			default:
				continue
			}
			if t < dist {
				next, dist = i, t
			}
		}
		if next < 0 {
			return false
		}
		step = math.Max(step, dist)
		l := s.row(next, lines)
		at := s.seg[next]
		if s.rate[next] < 0 {
			at--
		}
		g += math.Abs(s.rate[next]) * (l.slopes[at+1] - l.slopes[at])
		if g >= -flat {
			s.arrive(k, next, at, step, lines)
			return true
		}
		if s.rate[next] > 0 {
			s.seg[next]++
		} else {
			s.seg[next]--
		}
	}
}

// arrive moves by step along d and swaps the row that left position k for row next on its kink at.
func (s *polygon) arrive(k, next, at int, step float64, lines []line) {
	n := s.n
	for i := range s.r {
		s.r[i] += step * s.rate[i]
	}
	s.r[next] = s.row(next, lines).kinks[at]
	s.active[k], s.kink[k], s.where[next] = next, at, k
	col := s.inv[k*n : k*n+n]
	along := func(c []float64) float64 {
		if next < n {
			return c[next]
		}
		return dot(lines[next-n].a, c)
	}
	f := 1 / along(col)
	for j := range col {
		col[j] *= f
	}
	for o := range n {
		if o == k {
			continue
		}
		c := s.inv[o*n : o*n+n]
		g := along(c)
		if g == 0 {
			continue
		}
		for j := range c {
			c[j] -= g * col[j]
		}
	}
}

// solveFor returns variable j at the present vertex.
func (s *polygon) solveFor(j int, lines []line) float64 {
	var v float64
	for k := range s.n {
		v += s.inv[k*s.n+j] * s.row(s.active[k], lines).kinks[s.kink[k]]
	}
	return v
}

// lower is the dual bound: for any slopes y the sum is at least Σ(yᵢ·aᵢ·x − fᵢ*(yᵢ)), minimised over the box.
func (s *polygon) lower(b box, lines []line) float64 {
	n := s.n
	s.gradient(lines)
	total := make([]float64, n)
	var bound float64
	for i := range lines {
		l := &lines[i]
		var y float64
		if k := s.where[n+i]; k >= 0 {
			y = -dot(s.y, s.inv[k*n:k*n+n])
			y = math.Min(l.slopes[s.kink[k]+1], math.Max(l.slopes[s.kink[k]], y))
		} else {
			y = l.slopes[s.seg[n+i]]
		}
		for j, a := range l.a {
			total[j] += y * a
		}
		bound -= l.conjugateAt(y)
	}
	for j := range n {
		bound += leastOn(total[j], b, j)
	}
	return bound
}

// leastOn returns the least of g·x + price·|x−keep| between the bounds of variable j.
func leastOn(g float64, b box, j int) float64 {
	f := func(x float64) float64 { return g*x + b.price[j]*math.Abs(x-b.keep[j]) }
	keep := math.Min(b.hi[j], math.Max(b.lo[j], b.keep[j]))
	return math.Min(f(b.lo[j]), math.Min(f(b.hi[j]), f(keep)))
}

func dot(a, b []float64) float64 {
	var s float64
	b = b[:len(a)]
	for i, v := range a {
		s += v * b[i]
	}
	return s
}
