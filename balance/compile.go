package balance

import (
	"math"
	"slices"
)

// dark is the least light that a logarithm is taken of, in the contribution's own unit: a point
// without light lies far under every wish but not at minus infinity.
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

// compiled is a problem made ready for speed: every target is a function of a few sums over the
// lights ('channels'), so that a change of one light is one multiply-add for each channel.
type compiled struct {
	p        Problem
	channels int
	lights   []compiledLight
	dial     [dials]compiledDial
	rows     []row
	flashed  bool // some light that may be on is a flash
	coarse   bool // some light has steps of over a quarter of a stop
	syncs    bool // the sync speed took shutter times away
	tied     bool // readings asked for go along with the aperture
	every    float64
	bends    float64 // what a light counts that gives more than it is there for: 1
}

type compiledLight struct {
	now     int       // present option, or off
	level   float64   // present level
	levels  []float64 // allowed, rising
	opts    []int     // allowed options, off included where allowed
	flash   [][]float64
	cont    [][]float64 // [option][channel]
	cost    []float64   // by option
	touch   float64     // loss for changing its power at all
	flashy  bool
	recycle float64

	homes   []home  // what it is there for; empty: nothing, or not known
	rest    float64 // stops over all of them that are left with the light at its lowest
	nothing bool    // it is there for none of the targets' points
}

// home is one target at a point that a light is there for: sign is +1 where more of the light
// raises the target's value, −1 where it lowers it.
type home struct {
	row  int
	sign float64
}

type compiledDial struct {
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
	lo, hi    float64 // wanted, in the kind's unit or in stops
	fromLo    float64 // the range that costs nothing: as wanted, or as it is now where that is as good as can be known
	toHi      float64
	tolerance float64   // in the same unit: what counts as met
	per       float64   // the unit in one stop
	w         float64   // weight
	loss      *expected // over the stops past lo or hi
	known     bool      // met by the present settings as far as is known
	held      bool      // a must that is not let go for wants
	from      float64   // of a held one: the stops past what is wanted that cost nothing
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
	partLightX
	partLightY
	partLightZ
)

type channelKey struct {
	point int
	part  part
	only  string // lights counted, for the ratios; empty: all
}

func compile(p Problem) *compiled {
	m := &compiled{p: p, bends: 1}
	for _, l := range p.Lights {
		ml := newCompiledLight(l)
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
		r := newRow(t, p, channel)
		if m.tied && t.Kind == Reading {
			r.ca, r.c = -1, r.c+2*math.Log2(float64(p.Camera.Aperture))
		}
		m.rows = append(m.rows, r)
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
	m.touches()
	m.judge(nil)
	m.purposes()
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
	case partLightX, partLightY, partLightZ:
		k := pt - partLightX
		return c.FlashLight[k], c.ContinuousLight[k]
	}
	return c.FlashXYZ[1] + c.FlashVeil[1], c.ContinuousXYZ[1] + c.ContVeil[1]
}

func newCompiledLight(l Light) compiledLight {
	ml := compiledLight{now: l.Option, level: float64(l.Level), flashy: l.flashes(), recycle: float64(l.Recycle)}
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
		ml.levels = withPresent(v, ml.level, 1e-6)
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

// values lists the levels, rising. Values are counted from Max down, so that full power is always a
// level.
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

func (m *compiled) compileCamera() {
	c := m.p.Camera
	m.every = float64(c.Every)
	m.tied = m.p.Tied()
	m.flashed = slices.ContainsFunc(m.p.Lights,
		func(l Light) bool { return (!l.Off || l.MaySwitch && !l.Lock) && l.flashes() })
	a := compiledDial{now: 2 * math.Log2(float64(c.Aperture))}
	for _, n := range c.Apertures {
		a.vals = append(a.vals, 2*math.Log2(float64(n)))
	}
	s := compiledDial{now: math.Log2(float64(c.ISO))}
	for _, v := range c.ISOs {
		s.vals = append(s.vals, math.Log2(float64(v)))
	}
	t := compiledDial{now: math.Log2(float64(c.Shutter))}
	for _, v := range c.Shutters {
		if m.flashed && !(m.flashPart(float64(v)) > 0) {
			m.syncs = true
			continue
		}
		t.vals = append(t.vals, math.Log2(float64(v)))
	}
	m.dial = [dials]compiledDial{a, t, s}
	for i := range m.dial {
		d := &m.dial[i]
		if len(d.vals) == 0 {
			d.vals = []float64{d.now}
		}
		slices.Sort(d.vals)
		d.vals = withPresent(d.vals, d.now, 0.05)
	}
}

// withPresent makes the value that is the present one but for rounding exactly the present one, so
// that it counts as no change; where the present one lies between the values, it joins them: what
// was found may stay.
func withPresent(vals []float64, now, rounding float64) []float64 {
	for i, v := range vals {
		if math.Abs(v-now) < rounding {
			vals[i] = now
			return slices.Compact(vals)
		}
	}
	if i, _ := slices.BinarySearch(vals, now); i > 0 && i < len(vals) {
		vals = slices.Insert(vals, i, now)
	}
	return vals
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
func (m *compiled) synced(t float64) bool { return t >= float64(m.p.Camera.Sync)*(1-0.003) }

// flashPart is what the shutter time t leaves of the flash.
func (m *compiled) flashPart(t float64) float64 {
	if !(m.p.Camera.Sync > 0) || m.synced(t) {
		return 1
	}
	return m.p.Camera.Pulsed * t / float64(m.p.Camera.Sync)
}

// tiedBy is how near the reading asked for must be to the aperture for the two to go together,
// stops: 'reads f/4' at f/4 says 'rightly exposed', and at f/2.8 the same wish is f/2.8.
const tiedBy = 0.4

func newRow(t Target, p Problem, channel func(int, part, []int) int) row {
	r := row{kind: t.Kind, a: -1, b: -1, uv: t.UV, white: float64(t.White), per: t.perStop(),
		tolerance: t.Tolerance(), w: t.weight(), active: true}
	lo, hi := math.Max(t.Lo, -1e4), math.Min(t.Hi, 1e4)
	r.lo, r.hi = lo, hi
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
		r.tolerance, r.per = (&Target{Priority: t.Priority, Strict: t.Strict, To: NoPoint}).Tolerance(), 1
	case Colour, Warmth:
		of := func(point int) [3]part {
			if p.Points[point].Light {
				return [3]part{partLightX, partLightY, partLightZ}
			}
			return [3]part{partX, partY, partZ}
		}
		for i, pt := range of(t.Point) {
			r.xyz[i] = channel(t.Point, pt, nil)
		}
		if t.To >= 0 {
			for i, pt := range of(t.To) {
				r.ref[i] = channel(t.To, pt, nil)
			}
		}
		r.hasRef = t.To >= 0
		if t.Kind == Colour {
			r.lo, r.hi = 0, 0
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

// oddsRange turns a range of shares into one of the ratio share : rest, in stops. 'From 0' and 'to
// 1' are no limits; 'none' and 'all' mean a millionth.
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
func (m *compiled) present() state {
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
func (m *compiled) legal(s *state) {
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
func (m *compiled) sums(s state, into []float64) {
	clear(into)
	t := math.Exp2(s.cam[dialT])
	m.add(s, into, m.flashPart(t), t)
}

func (m *compiled) add(s state, into []float64, flash, t float64) {
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
func (m *compiled) value(r *row, sum []float64, cam *[dials]float64) float64 {
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
