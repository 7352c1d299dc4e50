package balance

import (
	"math"
	"slices"
)

// toolShare is the part of the light at a target's point from which on a light counts as named by
// that target.
const toolShare = 0.25

// touches sets what changing each light's power costs: more where no target names the light. A
// light is named where it gives a quarter of what makes a target now, or could give the most of all
// there, or is of a ratio's lists.
func (m *compiled) touches() {
	named := make([]bool, len(m.lights))
	now := m.present()
	sum := make([]float64, m.channels)
	m.sums(now, sum)
	t := math.Exp2(m.dial[dialT].now)
	for i := range m.rows {
		r, target := &m.rows[i], &m.p.Targets[i]
		for _, g := range slices.Concat(target.Key, target.Fill) {
			named[g] = true
		}
		channels := []int{r.a, r.b}
		if r.kind == Colour || r.kind == Warmth {
			channels = []int{r.xyz[1]}
			if r.hasRef {
				channels = append(channels, r.ref[1])
			}
		}
		for _, c := range channels {
			if c < 0 {
				continue
			}
			strongest, most := -1, 0.0
			for g := range m.lights {
				l := &m.lights[g]
				if l.now != off && math.Exp2(l.level)*(l.flash[l.now][c]+t*l.cont[l.now][c]) >= toolShare*sum[c] &&
					sum[c] > dark {
					named[g] = true
				}
				if len(l.levels) < 2 && len(l.opts) < 2 {
					continue
				}
				for _, k := range l.opts {
					if k == off {
						continue
					}
					if v := math.Exp2(l.levels[len(l.levels)-1]) * (l.flash[k][c] + t*l.cont[k][c]); v > most {
						strongest, most = g, v
					}
				}
			}
			if strongest >= 0 {
				named[strongest] = true
			}
		}
	}
	for g := range m.lights {
		l := &m.lights[g]
		if l.purpose(m.p.Lights[g].For, m.p.Targets); m.p.Lights[g].For != nil && len(l.levels) > 1 {
			named[g] = !l.nothing
		}
		if l.touch = touchPower; !named[g] {
			l.touch += unnamed
		}
	}
}

// purpose finds the targets at the points that a light is there for. A target that compares two of
// them cannot say how much of the light is wanted.
func (l *compiledLight) purpose(points []int, targets []Target) {
	if points == nil || len(l.levels) < 2 {
		return
	}
	l.nothing = true
	for i, t := range targets {
		at, to := slices.Contains(points, t.Point), t.To >= 0 && slices.Contains(points, t.To)
		l.nothing = l.nothing && !at && !to
		switch t.Kind {
		case Reading, Level:
			to = false
		case ReadingAbove, LevelAbove:
		default:
			continue
		}
		if at != to {
			l.homes = append(l.homes, home{i, map[bool]float64{true: 1, false: -1}[at]})
		}
	}
}

// purposes finds by how much each light is over all that it is there for at its lowest, the others
// as they are: so much is no misuse of it.
func (m *compiled) purposes() {
	sum := make([]float64, m.channels)
	for g := range m.lights {
		if l := &m.lights[g]; len(l.homes) > 0 {
			s := m.present()
			s.lev[g], l.rest = l.levels[0], 0
			m.sums(s, sum)
			if over, _ := m.over(l, sum, &s.cam); over > 0 {
				l.rest = over
			}
		}
	}
}

// over is by how many stops a light is over all the targets that it is there for and what steps
// leave there, the least of them, and which that is.
func (m *compiled) over(l *compiledLight, sum []float64, cam *[dials]float64) (stops float64, at home) {
	stops = math.Inf(1)
	for _, h := range l.homes {
		r := &m.rows[h.row]
		if !r.active {
			continue
		}
		v := m.value(r, sum, cam)
		x := (v - r.toHi) / r.per
		if h.sign < 0 {
			x = (r.fromLo - v) / r.per
		}
		x -= math.Min(bentFree, r.tolerance/r.per)
		if x < stops {
			stops, at = x, h
		}
	}
	if math.IsInf(stops, 1) {
		return 0, at
	}
	return stops - l.rest, at
}

// bent is the loss of all lights that give more than what they are there for.
func (m *compiled) bent(sum []float64, cam *[dials]float64) (j float64) {
	for g := range m.lights {
		if l := &m.lights[g]; len(l.homes) > 0 {
			x, _ := m.over(l, sum, cam)
			loss, _, _ := bent(x)
			j += loss * m.bends
		}
	}
	return j
}

// spent is the loss of all musts that are let go for other wishes. A tolerance that the file states
// is free to be used.
func (m *compiled) spent(sum []float64, cam *[dials]float64) (j float64) {
	for i := range m.rows {
		if r := &m.rows[i]; r.held && r.active {
			loss, _, _ := spent(r.past(m.value(r, sum, cam)) - r.from)
			j += loss
		}
	}
	return j
}

// judge gives each row its loss: the expectation over the prediction's error. Where the present
// settings are as good as can be known, what they give counts as wanted too. Targets of base that
// are not so are not taken for it here either; base may be nil.
func (m *compiled) judge(base *compiled) {
	type shape struct{ tolerance, sigma float64 }
	made := map[shape]*expected{}
	if base != nil {
		for i := range base.rows {
			made[shape{base.rows[i].loss.tolerance, base.rows[i].loss.sigma}] = base.rows[i].loss
		}
	}
	now := m.present()
	sum := make([]float64, m.channels)
	m.sums(now, sum)
	for i := range m.rows {
		r, t := &m.rows[i], &m.p.Targets[i]
		tolerance := r.tolerance / r.per
		sigma := math.Min(t.Sigma/t.perStop(), maxSigma)
		v := m.value(r, sum, &now.cam)
		r.fromLo, r.toHi = r.lo, r.hi
		r.known = !t.Strict && (base == nil || base.rows[i].known) && r.past(v) <= math.Max(tolerance, knownShare*sigma)
		r.held = t.Priority == Must && !t.Strict && t.Within == 0 && r.kind != Colour && r.kind != Warmth
		r.from = setTo
		if r.known {
			r.from = r.past(v)
			r.fromLo, r.toHi = math.Min(r.lo, v), math.Max(r.hi, v)
			sigma = 0
		}
		k := shape{tolerance, math.Round(sigma*100) / 100}
		if made[k] == nil {
			made[k] = tabulate(k.tolerance, k.sigma)
		}
		r.loss = made[k]
	}
}

// past is how far v lies outside what row r wants, stops, zero inside.
func (r *row) past(v float64) float64 {
	return math.Max(0, math.Max(v-r.hi, r.lo-v)) / r.per
}

// miss returns the stops by which row r is missed, zero inside its tolerance.
func (m *compiled) miss(r *row, sum []float64, cam *[dials]float64) float64 {
	return math.Max(0, r.past(m.value(r, sum, cam))-r.tolerance/r.per)
}

// cost is what row r counts at value v.
func (r *row) cost(v float64) float64 {
	return r.w * (r.loss.at((v-r.toHi)/r.per) + r.loss.at((r.fromLo-v)/r.per))
}

// slopes are the first and second derivative of cost for a stop of v.
func (r *row) slopes(v float64) (first, second float64) {
	a, b := r.loss.slopes((v - r.toHi) / r.per)
	c, d := r.loss.slopes((r.fromLo - v) / r.per)
	return r.w * (a - c), r.w * (b + d)
}

// look is the weighted loss of the targets.
func (m *compiled) look(sum []float64, cam *[dials]float64) float64 {
	var j float64
	for i := range m.rows {
		if r := &m.rows[i]; r.active {
			j += r.cost(m.value(r, sum, cam))
		}
	}
	return j + m.bent(sum, cam) + m.spent(sum, cam)
}

// change is what light g at (opt, lev) costs beside the look: moved from the present, and near
// full.
func (m *compiled) change(g, opt int, lev float64) float64 {
	l := &m.lights[g]
	var c float64
	if opt != l.now {
		c += l.touch
		if opt == off || l.now == off {
			c += switching
		}
		if opt != off {
			c += l.cost[opt]
		}
	}
	if opt == off {
		return c
	}
	if l.now != off && lev != l.level {
		c += l.touch + perStop*math.Abs(lev-l.level) + slightly(lev-l.level)
		if l.nothing && lev > l.level {
			c += misused * (lev - l.level)
		}
	}
	if l.flashy {
		c += powerCost(lev, l.recycle, m.every)
	}
	return c
}

func (m *compiled) dialChange(i int, v float64) float64 {
	if v == m.dial[i].now {
		return 0
	}
	return touchDial + dialCost(i, m.dial[i].now, v)
}

// means is what the settings of s cost beside the look.
func (m *compiled) means(s state) float64 {
	var c float64
	for g := range s.opt {
		c += m.change(g, s.opt[g], s.lev[g])
	}
	for i := range s.cam {
		c += m.dialChange(i, s.cam[i])
	}
	return c
}

// cost is the whole objective of a state.
func (m *compiled) cost(s state, scratch []float64) float64 {
	m.sums(s, scratch)
	return m.look(scratch, &s.cam) + m.means(s)
}
