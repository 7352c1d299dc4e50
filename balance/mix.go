package balance

import (
	"math"
	"slices"
)

// dark is the least light that a logarithm is taken of, in the contribution's own unit: a point without light lies far
// under every wish but not at minus infinity.
const dark = 1e-9

// off is the option index of a light that is switched off.
const off = -1

// The camera's dials, each in stops on its own scale.
const (
	dialA = iota // 2·log2 N, light lost
	dialT        // log2 t, gained by continuous light
	dialS        // log2 S, gained
	dials
)

// mix is a problem compiled for speed: every target is a function of a few sums over the lights ('channels'), so that a
// change of one light is one multiply-add for each channel.
type mix struct {
	p        Problem
	channels int
	lights   []mixLight
	dial     [dials]mixDial
	rows     []row
	flashed  bool // some light that may be on is a flash
	coarse   bool // some light has steps of over a quarter of a stop
	syncs    bool // the sync speed took shutter times away
}

type mixLight struct {
	now    int       // present option, or off
	level  float64   // present level
	levels []float64 // allowed, rising
	opts   []int     // allowed options, off included where allowed
	flash  [][]float64
	cont   [][]float64 // [option][channel]
	cost   []float64   // by option
}

type mixDial struct {
	now  float64
	vals []float64 // allowed, rising; one value when fixed
}

// row is one compiled target.
type row struct {
	kind      Kind
	a, b      int // channels of numerator and denominator; b −1: none
	xyz, ref  [3]int
	hasRef    bool
	uv        [2]float64
	white     float64
	c, ca, cs float64 // value = log2 a − log2 b + c + ca·A + cs·S
	lo, hi    float64 // kept free of a miss, tolerance included, in stops or the kind's unit
	per       float64 // the kind's unit in one stop
	w         float64 // weight × rate
	tier      float64 // rate of its priority
	mid       float64 // the single value wanted, where nearer still is better inside the tolerance
	inner     float64 // slope towards it
	active    bool
}

// state is a choice of settings: what is varied.
type state struct {
	opt []int
	lev []float64
	cam [dials]float64
}

func (s state) clone() state {
	return state{opt: slices.Clone(s.opt), lev: slices.Clone(s.lev), cam: s.cam}
}

func (s *state) set(o state) {
	copy(s.opt, o.opt)
	copy(s.lev, o.lev)
	s.cam = o.cam
}

type part uint8

const (
	partMeter part = iota
	partMeterFlash
	partMeterCont
	partX
	partY
	partZ
	partClean // Y without haze
)

type channelKey struct {
	point int
	part  part
	only  string // lights counted, for the ratios; empty: all
}

func compile(p Problem) *mix {
	m := &mix{p: p}
	for _, l := range p.Lights {
		ml := newMixLight(l)
		for i := 1; i < len(ml.levels); i++ {
			m.coarse = m.coarse || ml.levels[i]-ml.levels[i-1] > 0.25
		}
		m.lights = append(m.lights, ml)
	}
	m.compileCamera()
	keys := map[channelKey]int{}
	var order []channelKey
	sets := map[string][]int{}
	channel := func(point int, pt part, only []int) int {
		k := channelKey{point: point, part: pt}
		if only != nil {
			k.only = setName(only)
			sets[k.only] = only
		}
		if i, ok := keys[k]; ok {
			return i
		}
		keys[k] = len(order)
		order = append(order, k)
		return len(order) - 1
	}
	for _, t := range p.Targets {
		m.rows = append(m.rows, newRow(t, p, channel))
	}
	m.channels = len(order)
	for g, l := range p.Lights {
		ml := &m.lights[g]
		for _, o := range l.Options {
			f, c := make([]float64, m.channels), make([]float64, m.channels)
			for i, k := range order {
				if k.only == "" || slices.Contains(sets[k.only], g) {
					f[i], c[i] = k.part.of(o.At[k.point])
				}
			}
			ml.flash, ml.cont = append(ml.flash, f), append(ml.cont, c)
		}
	}
	return m
}

func setName(lights []int) string {
	b := []byte{'='}
	for _, g := range lights {
		b = append(b, byte(g>>8), byte(g))
	}
	return string(b)
}

func (pt part) of(c Contribution) (flash, cont float64) {
	switch pt {
	case partMeter:
		return float64(c.Flash), float64(c.Continuous)
	case partMeterFlash:
		return float64(c.Flash), 0
	case partMeterCont:
		return 0, float64(c.Continuous)
	case partX:
		return c.FlashXYZ[0] + c.FlashVeil[0], c.ContinuousXYZ[0] + c.ContVeil[0]
	case partZ:
		return c.FlashXYZ[2] + c.FlashVeil[2], c.ContinuousXYZ[2] + c.ContVeil[2]
	case partClean:
		return c.FlashXYZ[1], c.ContinuousXYZ[1]
	}
	return c.FlashXYZ[1] + c.FlashVeil[1], c.ContinuousXYZ[1] + c.ContVeil[1]
}

func newMixLight(l Light) mixLight {
	ml := mixLight{now: l.Option, level: float64(l.Level)}
	if l.Off {
		ml.now = off
	}
	for _, o := range l.Options {
		ml.cost = append(ml.cost, o.Cost)
	}
	ml.levels, ml.opts = []float64{ml.level}, []int{ml.now}
	if l.Lock {
		return ml
	}
	if v := l.Levels.values(); len(v) > 0 {
		ml.levels = v
		snap(v, ml.level)
	}
	if l.Off && !l.MaySwitch {
		return ml
	}
	ml.opts = nil
	ml.opts = append(ml.opts, l.Option)
	for _, k := range l.MayOption {
		if !slices.Contains(ml.opts, k) {
			ml.opts = append(ml.opts, k)
		}
	}
	if l.MaySwitch {
		ml.opts = append(ml.opts, off)
	}
	slices.Sort(ml.opts)
	return ml
}

// values lists the levels, rising. Values are counted from Max down, so that full power is always a level.
func (s Scale) values() []float64 {
	var out []float64
	switch {
	case len(s.List) > 0:
		for _, v := range s.List {
			if s.Min == s.Max || v >= s.Min-1e-9 && v <= s.Max+1e-9 {
				out = append(out, float64(v))
			}
		}
	case s.Step > 0:
		for i := 0; i <= maxSteps; i++ {
			v := float64(s.Max) - float64(i)*float64(s.Step)
			if v < float64(s.Min)-1e-9 {
				break
			}
			out = append(out, v)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

func (m *mix) compileCamera() {
	c := m.p.Camera
	m.flashed = slices.ContainsFunc(m.p.Lights, func(l Light) bool { return (!l.Off || l.MaySwitch && !l.Lock) && l.flashes() })
	a := mixDial{now: 2 * math.Log2(float64(c.Aperture))}
	for _, n := range c.Apertures {
		a.vals = append(a.vals, 2*math.Log2(float64(n)))
	}
	s := mixDial{now: math.Log2(float64(c.ISO))}
	for _, v := range c.ISOs {
		s.vals = append(s.vals, math.Log2(float64(v)))
	}
	t := mixDial{now: math.Log2(float64(c.Shutter))}
	for _, v := range c.Shutters {
		if m.flashed && !m.synced(float64(v)) {
			m.syncs = true
			continue
		}
		t.vals = append(t.vals, math.Log2(float64(v)))
	}
	m.dial = [dials]mixDial{a, t, s}
	for i := range m.dial {
		d := &m.dial[i]
		if len(d.vals) == 0 {
			d.vals = []float64{d.now}
		}
		slices.Sort(d.vals)
		snap(d.vals, d.now)
		d.vals = slices.Compact(d.vals)
	}
}

// snap makes the value that is the present one but for rounding exactly the present one, so that it counts as no change.
func snap(vals []float64, now float64) {
	for i, v := range vals {
		if math.Abs(v-now) < 1e-6 {
			vals[i] = now
		}
	}
}

func (l Light) flashes() bool {
	for _, o := range l.Options {
		for _, c := range o.At {
			if c.Flash > 0 || c.FlashXYZ != [3]float64{} {
				return true
			}
		}
	}
	return false
}

// synced says whether the whole frame sees the flash at shutter time t.
func (m *mix) synced(t float64) bool { return t >= float64(m.p.Camera.Sync)*(1-0.003) }

func newRow(t Target, p Problem, channel func(int, part, []int) int) row {
	r := row{kind: t.Kind, b: -1, uv: t.UV, white: float64(t.White), per: t.PerStop, active: true}
	if r.per == 0 {
		r.per = t.Kind.UnitPerStop()
	}
	weight := t.Weight
	if weight == 0 {
		weight = 1
	}
	r.tier = t.Priority.rate()
	r.w = weight * r.tier
	lo, hi := math.Max(t.Lo, -1e4), math.Min(t.Hi, 1e4)
	tolerance := math.Max(t.Within, float64(Shown)*r.per)
	r.lo, r.hi = lo-tolerance, hi+tolerance
	if t.Lo == t.Hi && t.Within < tolerance && t.Kind != Colour {
		r.mid, r.inner = t.Lo, innerRate
	}
	switch t.Kind {
	case Reading:
		r.a, r.c, r.cs = channel(t.Point, partMeter, nil), -math.Log2(p.constant(t.Point)), 1
	case ReadingAbove:
		r.a, r.b = channel(t.Point, partMeter, nil), channel(t.To, partMeter, nil)
		r.c = math.Log2(p.constant(t.To)) - math.Log2(p.constant(t.Point))
	case Level:
		r.a, r.c, r.ca, r.cs = channel(t.Point, partY, nil), math.Log2(p.lensQ()/10), -1, 1
	case LevelAbove:
		r.a, r.b = channel(t.Point, partY, nil), channel(t.To, partY, nil)
	case LightsRatio:
		r.a, r.b = channel(t.Point, partMeter, t.Key), channel(t.Point, partMeter, t.Fill)
	case SidesRatio:
		both := append(slices.Clone(t.Key), t.Fill...)
		r.a, r.b = channel(t.Point, partMeter, both), channel(t.Point, partMeter, t.Fill)
	case Veil:
		r.a, r.b = channel(t.Point, partY, nil), channel(t.Point, partClean, nil)
	case Ambient:
		r.a, r.b = channel(t.Point, partMeterCont, nil), channel(t.Point, partMeterFlash, nil)
		r.lo, r.hi = oddsRange(lo-t.Within, hi+t.Within)
		r.lo, r.hi, r.inner = r.lo-float64(Shown), r.hi+float64(Shown), 0
	case Colour, Warmth:
		for i, pt := range [...]part{partX, partY, partZ} {
			r.xyz[i] = channel(t.Point, pt, nil)
			if t.To >= 0 {
				r.ref[i] = channel(t.To, pt, nil)
			}
		}
		r.hasRef = t.To >= 0
		if t.Kind == Colour {
			r.lo, r.hi = 0, tolerance
		}
	}
	return r
}

func (p Problem) constant(point int) float64 {
	if c := p.Points[point].C; c > 0 {
		return c
	}
	return 250
}

func (p Problem) lensQ() float64 {
	if p.Camera.LensQ > 0 {
		return p.Camera.LensQ
	}
	return 0.65
}

// oddsRange turns a range of shares into one of the ratio share : rest, in stops. 'From 0' and 'to 1' are no limits; 'none'
// and 'all' mean a millionth.
func oddsRange(lo, hi float64) (float64, float64) {
	odds := func(share float64) float64 {
		share = math.Min(1, math.Max(0, share))
		return math.Min(20, math.Max(-20, math.Log2(share/(1-share))))
	}
	l, h := odds(lo), odds(hi)
	if lo <= 0 {
		l = -1e4
	}
	if hi >= 1 {
		h = 1e4
	}
	return l, h
}

// present is the state that the problem comes in.
func (m *mix) present() state {
	s := state{}
	for g := range m.lights {
		s.opt = append(s.opt, m.lights[g].now)
		s.lev = append(s.lev, m.lights[g].level)
	}
	for i := range m.dial {
		s.cam[i] = m.dial[i].now
	}
	return s
}

// legal moves every setting of s that is not an allowed value to the nearest that is.
func (m *mix) legal(s *state) {
	for g := range m.lights {
		l := &m.lights[g]
		if !slices.Contains(l.opts, s.opt[g]) {
			s.opt[g] = l.opts[len(l.opts)-1]
		}
		s.lev[g] = nearest(l.levels, s.lev[g])
	}
	for i := range m.dial {
		s.cam[i] = nearest(m.dial[i].vals, s.cam[i])
	}
}

func nearest(vals []float64, x float64) float64 {
	i, ok := slices.BinarySearch(vals, x)
	if ok || i == 0 {
		return vals[min(i, len(vals)-1)]
	}
	if i == len(vals) || x-vals[i-1] <= vals[i]-x {
		return vals[i-1]
	}
	return vals[i]
}

// sums adds up the channels of a state.
func (m *mix) sums(s state, into []float64) {
	clear(into)
	t := math.Exp2(s.cam[dialT])
	if m.p.Camera.Sync > 0 && !m.synced(t) {
		m.add(s, into, 0, t)
		return
	}
	m.add(s, into, 1, t)
}

func (m *mix) add(s state, into []float64, flash, t float64) {
	for g, k := range s.opt {
		if k == off {
			continue
		}
		p := math.Exp2(s.lev[g])
		f, c := m.lights[g].flash[k], m.lights[g].cont[k]
		pf, pc := p*flash, p*t
		for i := range into {
			into[i] += pf*f[i] + pc*c[i]
		}
	}
}

func floorDark(x float64) float64 {
	if x > dark {
		return x
	}
	return dark
}

// value returns what row r comes to, in the unit its bounds are in.
func (m *mix) value(r *row, sum []float64, cam *[dials]float64) float64 {
	switch r.kind {
	case Colour:
		u, v := uvOf(sum[r.xyz[0]], sum[r.xyz[1]], sum[r.xyz[2]])
		u0, v0 := r.uv[0], r.uv[1]
		if r.hasRef {
			u0, v0 = uvOf(sum[r.ref[0]], sum[r.ref[1]], sum[r.ref[2]])
		}
		return math.Hypot(u-u0, v-v0)
	case Warmth:
		d := miredOf(uvOf(sum[r.xyz[0]], sum[r.xyz[1]], sum[r.xyz[2]])) - r.white
		if r.hasRef {
			d = d + r.white - miredOf(uvOf(sum[r.ref[0]], sum[r.ref[1]], sum[r.ref[2]]))
		}
		return d
	}
	x := floorDark(sum[r.a])
	if r.b >= 0 {
		return log2(x/floorDark(sum[r.b])) + r.c
	}
	return log2(x) + r.c + r.ca*cam[dialA] + r.cs*cam[dialS]
}

// miss returns the stops by which row r is missed, zero inside its tolerance.
func (m *mix) miss(r *row, sum []float64, cam *[dials]float64) float64 {
	v := m.value(r, sum, cam)
	switch {
	case v > r.hi:
		return (v - r.hi) / r.per
	case v < r.lo:
		return (r.lo - v) / r.per
	}
	return 0
}

// counted is what a miss of m stops counts: the stops, of which those beyond the first weigh a hundredth less, so that
// where two targets pull a light equally, the one that can be met has it and the far one does not drag it.
func counted(m float64) float64 {
	if m > 1 {
		return m - (1-farSlope)*(m-1)
	}
	return m
}

const farSlope = 0.99

// innerRate is what a stop of distance inside the tolerance of a single value weighs, against a missed 'nice': less than a
// further changed setting for the whole of Shown, more than the size of a change. So: what can be met is met, by the
// fewest changes, as near as they allow, by the smallest.
const innerRate = 4e-3

// cost is what row r counts at value v.
func (r *row) cost(v float64) float64 {
	switch {
	case v > r.hi:
		return r.w*counted((v-r.hi)/r.per) + r.inner*(r.hi-r.mid)/r.per
	case v < r.lo:
		return r.w*counted((r.lo-v)/r.per) + r.inner*(r.mid-r.lo)/r.per
	case r.inner > 0:
		return r.inner * math.Abs(v-r.mid) / r.per
	}
	return 0
}

// look is the weighted sum of misses.
func (m *mix) look(sum []float64, cam *[dials]float64) float64 {
	var j float64
	for i := range m.rows {
		if r := &m.rows[i]; r.active {
			j += r.cost(m.value(r, sum, cam))
		}
	}
	return j
}

// change is how much light g at (opt, lev) differs from the present, in stops of change.
func (m *mix) change(g, opt int, lev float64) float64 {
	l := &m.lights[g]
	var c float64
	if opt != l.now {
		c += changeFixed
		if opt == off || l.now == off {
			c++
		}
		if opt != off {
			c += l.cost[opt]
		}
	}
	if opt != off && l.now != off && lev != l.level {
		c += changeFixed + math.Abs(lev-l.level)
	}
	return c
}

func (m *mix) dialChange(i int, v float64) float64 {
	if v == m.dial[i].now {
		return 0
	}
	return changeFixed + math.Abs(v-m.dial[i].now)
}

func (m *mix) changes(s state) float64 {
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
func (m *mix) cost(s state, scratch []float64) float64 {
	m.sums(s, scratch)
	return m.look(scratch, &s.cam) + changeRate*m.changes(s)
}

// lookOf is the look of a state.
func (m *mix) lookOf(s state, scratch []float64) float64 {
	m.sums(s, scratch)
	return m.look(scratch, &s.cam)
}
