package balance

import (
	"math"
)

// The slow method: a second evaluation of a problem, written straight from the definitions, and a
// search that shares no code with the solver: full enumeration where it is small, else annealing
// with restarts and exhaustive polishing.

// picked is one choice of settings, as indices into the allowed values of slowProblem.
type picked struct {
	opt, lev []int // opt: index into opts
	cam      [3]int
}

type slowProblem struct {
	p      Problem
	opts   [][]int // −1 is off
	levels [][]float64
	ap     []float64
	sh     []float64
	iso    []float64

	tol, sigma, lo, hi []float64 // of each target, stops
	has                []float64 // stops that the present settings miss it by, where that is as good as can be known
	named              []bool    // of each light
	rest               []float64 // stops over all that a light is for, with it at its lowest
}

func newSlow(p Problem) *slowProblem {
	s := &slowProblem{p: p}
	for _, l := range p.Lights {
		now := l.Option
		if l.Off {
			now = -1
		}
		opts, levels := []int{now}, []float64{float64(l.Level)}
		if !l.Lock {
			if len(l.Levels.List) > 0 {
				levels = nil
				for _, v := range l.Levels.List {
					levels = append(levels, float64(v))
				}
			} else if l.Levels.Step > 0 {
				levels = nil
				for i := 0; float64(l.Levels.Max)-float64(i)*float64(l.Levels.Step) >= float64(l.Levels.Min)-1e-9; i++ {
					levels = append(levels, float64(l.Levels.Max)-float64(i)*float64(l.Levels.Step))
				}
			}
			if !(l.Off && !l.MaySwitch) {
				opts = []int{l.Option}
				for _, k := range l.MayOption {
					if k != l.Option {
						opts = append(opts, k)
					}
				}
				if l.MaySwitch {
					opts = append(opts, -1)
				}
			}
		}
		s.opts, s.levels = append(s.opts, opts), append(s.levels, levels)
	}
	one := func(now float64, n int, at func(int) float64) []float64 {
		if n == 0 {
			return []float64{now}
		}
		var v []float64
		for i := range n {
			v = append(v, at(i))
		}
		return v
	}
	c := p.Camera
	s.ap = one(float64(c.Aperture), len(c.Apertures), func(i int) float64 { return float64(c.Apertures[i]) })
	s.sh = one(float64(c.Shutter), len(c.Shutters), func(i int) float64 { return float64(c.Shutters[i]) })
	s.iso = one(float64(c.ISO), len(c.ISOs), func(i int) float64 { return float64(c.ISOs[i]) })
	return s
}

// raw is one choice of settings by value.
type raw struct {
	opt     []int // −1 is off
	lev     []float64
	N, t, S float64
}

func (s *slowProblem) rawOf(x picked) raw {
	r := raw{N: s.ap[x.cam[0]], t: s.sh[x.cam[1]], S: s.iso[x.cam[2]]}
	for g := range s.opts {
		r.opt, r.lev = append(r.opt, s.opts[g][x.opt[g]]), append(r.lev, s.levels[g][x.lev[g]])
	}
	return r
}

// present is the choice that the problem comes with.
func (s *slowProblem) present() raw {
	r := raw{N: float64(s.p.Camera.Aperture), t: float64(s.p.Camera.Shutter), S: float64(s.p.Camera.ISO)}
	for _, l := range s.p.Lights {
		k := l.Option
		if l.Off {
			k = -1
		}
		r.opt, r.lev = append(r.opt, k), append(r.lev, float64(l.Level))
	}
	return r
}

// values gives every target's value and bounds, in stops of it.
func (s *slowProblem) values(x raw, tell func(i int, v, lo, hi, tolerance float64)) {
	N, t, S := x.N, x.t, x.S
	meter := func(pt int, only []int, flash, cont bool) float64 {
		var h float64
		for g, l := range s.p.Lights {
			k := x.opt[g]
			if k < 0 || only != nil && !has(only, g) {
				continue
			}
			c := l.Options[k].At[pt]
			pw := math.Pow(2, x.lev[g])
			if flash {
				h += pw * float64(c.Flash)
			}
			if cont {
				h += pw * float64(c.Continuous) * t
			}
		}
		return h
	}
	picture := func(pt int, veil bool) (xyz [3]float64) {
		for g, l := range s.p.Lights {
			k := x.opt[g]
			if k < 0 {
				continue
			}
			c := l.Options[k].At[pt]
			pw := math.Pow(2, x.lev[g])
			for i := range xyz {
				xyz[i] += pw * (c.FlashXYZ[i] + c.ContinuousXYZ[i]*t)
				if veil {
					xyz[i] += pw * (c.FlashVeil[i] + c.ContVeil[i]*t)
				}
			}
		}
		return xyz
	}
	log := func(v float64) float64 { return math.Log2(math.Max(v, 1e-9)) }
	level := func(pt int) float64 { return log(picture(pt, true)[1]) + math.Log2(0.65*S/(10*N*N)) }
	reads := func(pt int) float64 { return log(meter(pt, nil, true, true)) + math.Log2(S/s.p.constant(pt)) }
	uv := func(pt int) (float64, float64) {
		c := picture(pt, true)
		d := c[0] + 15*c[1] + 3*c[2]
		if d == 0 {
			return 4. / 19, 9. / 19
		}
		return 4 * c[0] / d, 9 * c[1] / d
	}
	// A wish for the reading that the aperture is at goes along with it.
	tied := false
	for _, w := range s.p.Targets {
		tied = tied || w.Kind == Reading && math.Abs((w.Lo+w.Hi)/2-2*math.Log2(float64(s.p.Camera.Aperture))) < 0.4
	}
	for i, w := range s.p.Targets {
		var v float64
		lo, hi, per := w.Lo, w.Hi, 1.0
		within := w.Within
		switch w.Kind {
		case Reading:
			if v = reads(w.Point); tied {
				v -= 2 * math.Log2(N/float64(s.p.Camera.Aperture))
			}
		case Level:
			v = level(w.Point)
		case ReadingAbove:
			v = reads(w.Point) - reads(w.To)
		case LevelAbove:
			v = level(w.Point) - level(w.To)
		case LightsRatio:
			v = log(meter(w.Point, w.Key, true, true)) - log(meter(w.Point, w.Fill, true, true))
		case SidesRatio:
			v = log(meter(w.Point, append(append([]int{}, w.Key...), w.Fill...), true, true)) -
				log(meter(w.Point, w.Fill, true, true))
		case Veil:
			v = log(picture(w.Point, true)[1]) - log(picture(w.Point, false)[1])
		case Ambient:
			v = log(meter(w.Point, nil, false, true)) - log(meter(w.Point, nil, true, false))
			lo, hi = lo-w.Within, hi+w.Within
			lo, hi = math.Log2(lo/(1-lo)), math.Log2(hi/(1-hi))
			within = 0
		case Colour:
			u0, v0 := w.UV[0], w.UV[1]
			if w.To >= 0 {
				u0, v0 = uv(w.To)
			}
			a, b := uv(w.Point)
			v, lo, hi, per = math.Hypot(a-u0, b-v0), 0, 0, 0.01
		case Warmth:
			v, per = miredOf(uv(w.Point))-float64(w.White), 30
		}
		if within == 0 {
			within = map[Priority]float64{Must: 0.15, Want: 0.25, Nice: 0.4}[w.Priority] * per
		}
		within = math.Max(within, 0.05*per)
		tell(i, v/per, lo/per, hi/per, within/per)
	}
}

// normalPenalty is the mean of the penalty over a normal error, by the moments of its three pieces;
// without an error the penalty itself.
func normalPenalty(x, tol, sigma float64) float64 {
	if x < -1000 {
		return 0 // no bound on this side
	}
	piece := func(from, to, a, b, c float64) float64 { // a + b·y + c·y² for y in from..to
		if sigma < 1e-9 {
			if x > from && x <= to {
				return a + b*x + c*x*x
			}
			return 0
		}
		cdf := func(z float64) float64 { return 0.5 * (1 + math.Erf(z/math.Sqrt2)) }
		pdf := func(z float64) float64 {
			if math.IsInf(z, 0) {
				return 0
			}
			return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
		}
		p, q := (from-x)/sigma, (to-x)/sigma
		m0 := cdf(q) - cdf(p)
		m1 := pdf(p) - pdf(q)
		edge := func(z float64) float64 {
			if math.IsInf(z, 0) {
				return 0
			}
			return z * pdf(z)
		}
		m2 := m0 + edge(p) - edge(q)
		return a*m0 + b*(x*m0+sigma*m1) + c*(x*x*m0+2*x*sigma*m1+sigma*sigma*m2)
	}
	e := piece(0, tol, 0, 0, 0.02/(tol*tol))
	e += piece(tol, tol+1, 0.02-0.6*tol+0.4*tol*tol, 0.6-0.8*tol, 0.4)
	e += piece(tol+1, tol+2.5, 0.02+1-1.4*(tol+1), 1.4, 0)
	return e + piece(tol+2.5, math.Inf(1), 0.02+3.1-0.15*(tol+2.5), 0.15, 0)
}

// score is the objective, from the definitions.
func (s *slowProblem) score(x picked) float64 { return s.rawScore(s.rawOf(x)) }

func (s *slowProblem) rawScore(x raw) float64 {
	if s.named == nil {
		n := len(s.p.Targets)
		s.tol, s.sigma, s.lo, s.hi = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
		s.has = make([]float64, n)
		s.values(s.present(), func(i int, v, lo, hi, tol float64) {
			w := s.p.Targets[i]
			sigma := math.Min(0.75, w.Sigma/map[bool]float64{true: 1, false: w.Kind.UnitPerStop()}[w.Kind == Ambient])
			if miss := math.Max(0, math.Max(v-hi, lo-v)); miss <= math.Max(tol, 0.7*sigma) { // as good as can be known
				lo, hi, sigma = math.Min(lo, v), math.Max(hi, v), 0
				s.has[i] = miss
			} else {
				s.has[i] = 0.1 // it is to be set anyway
			}
			s.tol[i], s.sigma[i], s.lo[i], s.hi[i] = tol, math.Round(sigma*100)/100, lo, hi
		})
		s.naming()
		for g, l := range s.p.Lights {
			r := s.present()
			r.lev[g] = s.levels[g][0]
			for _, v := range s.levels[g] {
				r.lev[g] = math.Min(r.lev[g], v)
			}
			s.rest = append(s.rest, math.Max(0, s.over(g, r)))
			if l.For != nil && len(s.levels[g]) > 1 {
				s.named[g] = false
				for _, w := range s.p.Targets {
					s.named[g] = s.named[g] || has(l.For, w.Point) || w.To >= 0 && has(l.For, w.To)
				}
			}
		}
	}
	var sum float64
	for g := range s.p.Lights {
		if x := s.over(g, x) - s.rest[g]; x > 0.15 {
			sum += 14 * (x - 0.075)
		} else if x > 0 {
			sum += 14 * x * x / 0.3
		}
	}
	s.values(x, func(i int, v, lo, hi, _ float64) {
		w := s.p.Targets[i]
		if w.Priority == Must && !w.Strict && w.Within == 0 && w.Kind != Colour && w.Kind != Warmth {
			miss := math.Max(0, math.Max(v-hi, lo-v)) - s.has[i] // let go for other wishes
			if miss > 0.1 {
				sum += 13 * (miss - 0.05)
			} else if miss > 0 {
				sum += 13 * miss * miss / 0.2
			}
		}
		weight := map[Priority]float64{Must: 12, Want: 3, Nice: 1}[w.Priority]
		if w.Weight != 0 {
			weight *= w.Weight
		}
		sum += weight * (normalPenalty(v-s.hi[i], s.tol[i], s.sigma[i]) + normalPenalty(s.lo[i]-v, s.tol[i],
			s.sigma[i]))
	})
	for g, l := range s.p.Lights {
		k, lev := x.opt[g], x.lev[g]
		now := l.Option
		if l.Off {
			now = -1
		}
		touch := 0.03
		if !s.named[g] {
			touch += 0.25
		}
		if k != now {
			sum += touch
			if k < 0 || now < 0 {
				sum += 0.1
			}
			if k >= 0 {
				sum += l.Options[k].Cost
			}
		}
		if k >= 0 && now >= 0 && math.Abs(lev-float64(l.Level)) > 1e-9 {
			d := math.Abs(lev - float64(l.Level))
			sum += touch + 0.01*d + 0.5*math.Max(0, 1-d/0.25)
			if l.For != nil && len(s.levels[g]) > 1 && !s.named[g] {
				sum += 14 * math.Max(0, lev-float64(l.Level))
			}
		}
		if k >= 0 && isFlash(l) && lev > -1 {
			sum += 0.1 * (1 + lev) * (1 + lev)
		}
	}
	camera := s.p.Camera
	if d := 2 * math.Log2(x.N/float64(camera.Aperture)); d < -1e-12 {
		sum += 0.06 - 0.13*d + 0.08*d*d
	} else if d > 1e-12 {
		sum += 0.06 + 0.08*d + 0.03*d*d
	}
	if d := math.Log2(x.S / float64(camera.ISO)); d > 1e-12 {
		sum += 0.06 + 0.1*d + 0.07*d*d
	} else if d < -1e-12 {
		sum += 0.06 - 0.02*d
	}
	slow := func(t float64) float64 { v := math.Max(0, math.Log2(60*t)); return 0.14 * v * v }
	if d := math.Log2(x.t / float64(camera.Shutter)); d > 1e-12 {
		sum += 0.06 + 0.05*d + slow(x.t) - slow(float64(camera.Shutter))
	} else if d < -1e-12 {
		sum += 0.06 - 0.02*d
	}
	return sum
}

func isFlash(l Light) bool {
	for _, o := range l.Options {
		for _, c := range o.At {
			if c.Flash > 0 {
				return true
			}
		}
	}
	return false
}

func (s *slowProblem) first() picked {
	return picked{opt: make([]int, len(s.opts)), lev: make([]int, len(s.opts))}
}

func (x picked) copyOf() picked {
	return picked{opt: append([]int{}, x.opt...), lev: append([]int{}, x.lev...), cam: x.cam}
}

// dims lists the size of every dimension, in the order option, level of each light, then the dials.
func (s *slowProblem) dims() []int {
	var d []int
	for g := range s.opts {
		d = append(d, len(s.opts[g]), len(s.levels[g]))
	}
	return append(d, len(s.ap), len(s.sh), len(s.iso))
}

func (x *picked) at(i int) *int {
	if i >= 2*len(x.opt) {
		return &x.cam[i-2*len(x.opt)]
	}
	if i%2 == 0 {
		return &x.opt[i/2]
	}
	return &x.lev[i/2]
}

// enumerate tries everything.
func (s *slowProblem) enumerate() (picked, float64) {
	dims := s.dims()
	x, best := s.first(), s.first()
	bestV := s.score(x)
	for {
		i := 0
		for i < len(dims) {
			*x.at(i)++
			if *x.at(i) < dims[i] {
				break
			}
			*x.at(i) = 0
			i++
		}
		if i == len(dims) {
			return best, bestV
		}
		if v := s.score(x); v < bestV {
			best, bestV = x.copyOf(), v
		}
	}
}

func (s *slowProblem) size() float64 {
	n := 1.0
	for _, d := range s.dims() {
		n *= float64(d)
	}
	return n
}

// anneal is a global search by random moves of one, two or three dimensions under falling
// temperature, from random settings or from the given ones.
func (s *slowProblem) anneal(d *dice, from *picked, restarts, moves int) (picked, float64) {
	dims := s.dims()
	var open []int
	for i, n := range dims {
		if n > 1 {
			open = append(open, i)
		}
	}
	best := s.first()
	bestV := s.score(best)
	if len(open) == 0 {
		return best, bestV
	}
	for range restarts {
		x := s.first()
		for _, i := range open {
			*x.at(i) = d.n(dims[i])
		}
		if from != nil {
			x = from.copyOf()
			if v := s.score(x); v < bestV {
				best, bestV = x.copyOf(), v
			}
		}
		v := s.score(x)
		for k := range moves {
			cool := float64(k) / float64(moves)
			temp := math.Pow(10, 1-4*cool)
			if from != nil {
				temp = math.Pow(10, -4*cool)
			}
			reach := 1 + 30*(1-cool)*(1-cool)
			y := x.copyOf()
			for range 1 + d.n(3) {
				i := open[d.n(len(open))]
				p := y.at(i)
				if i < 2*len(s.opts) && i%2 == 0 {
					*p = d.n(dims[i])
				} else {
					*p = min(dims[i]-1, max(0, *p+int(math.Round(d.in(-reach, reach)))))
				}
			}
			w := s.score(y)
			if w <= v || d.float() < math.Exp((v-w)/temp) {
				x, v = y, w
				if v < bestV {
					best, bestV = x.copyOf(), v
				}
			}
		}
	}
	for better := true; better; {
		better = false
		for _, i := range open {
			for k := range dims[i] {
				y := best.copyOf()
				*y.at(i) = k
				if v := s.score(y); v < bestV-1e-12 {
					best, bestV, better = y, v, true
				}
			}
		}
	}
	return best, bestV
}

// pickedOf finds a solution's settings among the allowed values; ok is false if one is not on a
// step or breaks a lock.
func (s *slowProblem) pickedOf(sol Solution) (x picked, ok bool) {
	x, ok = s.first(), true
	find := func(vals []float64, v float64) int {
		for i, w := range vals {
			if math.Abs(w-v) < 1e-9*(1+math.Abs(v)) {
				return i
			}
		}
		ok = false
		return 0
	}
	for g, l := range sol.Lights {
		k := l.Option
		if l.Off {
			k = -1
		}
		at := -1
		for i, o := range s.opts[g] {
			if o == k {
				at = i
			}
		}
		if at < 0 {
			return x, false
		}
		x.opt[g] = at
		if !l.Off {
			x.lev[g] = find(s.levels[g], float64(l.Level))
		}
	}
	x.cam = [3]int{find(s.ap, float64(sol.Aperture)), find(s.sh, float64(sol.Shutter)), find(s.iso, float64(sol.ISO))}
	return x, ok
}
