package trace

import (
	"context"
	"errors"
	"runtime"

	"sync/atomic"

	"halfstop/parallel"
	"halfstop/sample"
)

// Reps is the number of independent randomisations (replicates) that each measurement is made of;
// the scatter among them gives the standard error of their mean.
const Reps = 32

// Transport is what one receptor gets from every layer, per unit emission: illuminance in lx (Flat,
// Dome, Spherical) or luminance in cd/m² (Spot) in each window.
type Transport struct {
	Direct      []Band       // straight from the emitters; for a Spot, by one surface at most
	Bounced     []Band       // by way of surfaces or haze
	Airlight    []Band       // for a Spot in haze: the part of both that haze scatters into the camera ray; else nil
	Parts       [Reps][]Band // whole of each randomisation
	DirectParts [Reps][]Band // direct part of each randomisation
	Paths       int          // traced so far, all randomisations together
	// Before is what the randomisations had when Wanted was asked before, with the same guide; nil:
	// never, or by too few paths to tell how they scatter.
	Before *Look

	// Potential is the direct light as if nothing stood in the way, and RelayPotential about that
	// of the lit surfaces around, by one bounce: what was not seen in so many paths is likely no
	// more than a few parts in that many of these.
	Potential      []Band
	RelayPotential []float64
	// Guided says that a path guide was learned for it.
	Guided bool
}

// Look is what the randomisations of a Transport had after so many paths.
type Look struct {
	Paths       int
	Parts       [Reps][]Band
	DirectParts [Reps][]Band
}

// Total returns direct plus bounced of a layer.
func (t *Transport) Total(layer int) Band {
	b := t.Direct[layer]
	for i := range b {
		b[i] += t.Bounced[layer][i]
	}
	return b
}

// MeasureOptions says how much work to spend.
type MeasureOptions struct {
	Seed    uint64
	Layers  []int // layers to trace; nil all
	Start   int   // paths of each randomisation in the first round; 0 is 16
	Most    int   // most paths of each randomisation; 0 is 4096
	Threads int   // 0: as many as the machine has
	// DirectOnly leaves out all that comes by way of surfaces or haze: quick, for fields of many
	// receptors.
	DirectOnly bool
	Bounces    int // most surfaces on the way; 0: no bound
	// Wanted returns how many paths of each randomisation receptor i needs in all; no more than
	// done ends it. nil: Most. It must depend on its arguments only, so that the same seed gives
	// the same answer. It is called rarely, so that stopping by what the error happens to be makes
	// stated errors hardly smaller than they are.
	Wanted func(i, done int, t *Transport) int
	// Weights says how much the light of each layer counts where paths learn their way; nil: all
	// the same.
	Weights []float64
	// Round is told of the paths traced and the most there may be after each round; nil for nobody.
	Round func(done, most int)
}

// ErrStopped is returned with what was measured so far when the context ends the work.
var ErrStopped = errors.New("stopped before the error asked for was reached")

const (
	learnFrom = 1024 // paths of each randomisation that a receptor must want for a path guide to be learned
	// times the paths so far that one answer of Wanted may
	// reach: well spread points do better than it expects
	farthest     = 8
	guideLook    = 64  // paths of each randomisation that a receptor is first looked at with a path guide
	leastLearned = 256 // paths of each randomisation that there must be room for
	// Paths of each randomisation that a look must have to be kept: from there on the variance
	// falls by about the number of paths, under it faster.
	leastLook = 16
	stride    = 4 // times the paths so far that one round may reach
	// Paths of each randomisation in the first pass that learns a path guide; each pass follows
	// what those before found, and takes twice as many, until they have had a part of the most that
	// may be measured.
	learnPass  = 16
	learnShare = 6
)

// measurement is one call of Measure.
type measurement struct {
	sc      *Scene
	recs    []Receptor
	o       MeasureOptions
	threads int
	out     []Transport
	state   []receptorState
	guide   *pathGuide
	found   [][]trained // by receptor: all training samples
	// segments from the dark into the light, of all receptors.
	segments []litSegment
}

// receptorState is where a receptor stands.
type receptorState struct {
	done, goal int // paths of each randomisation traced, and wanted
	guided     bool
	acc        [Reps]replicate
	relays     []float64
	before     *Look
}

// replicate is what one randomisation of a receptor has gathered.
type replicate struct {
	direct, bounced, airlight, potential [][Bands]float64
}

func (a *replicate) reset(sc *Scene, airlight bool) {
	a.direct, a.bounced = make([][Bands]float64, sc.Layers), make([][Bands]float64, sc.Layers)
	a.potential = make([][Bands]float64, sc.Layers)
	if airlight {
		a.airlight = make([][Bands]float64, sc.Layers)
	}
}

func (a *replicate) add(w *integrator) {
	add := func(to [][Bands]float64, from []Band) {
		for l := range to {
			for b := range Bands {
				to[l][b] += float64(from[l][b])
			}
		}
	}
	add(a.direct, w.direct)
	add(a.bounced, w.bounced)
	add(a.airlight, w.airlight)
	add(a.potential, w.potential)
}

// Measure traces receptors until each has the paths it wants. The answer depends on the seed, not
// on the number of threads. When ctx ends, the receptors as they are after the last whole round
// come back with ErrStopped (empty Transports, Paths 0, if not even the first round was done).
//
// A receptor that wants many paths has light that is hard to find: training paths learn where it
// comes from, and it is measured afresh by what they found.
func (sc *Scene) Measure(ctx context.Context, recs []Receptor, o MeasureOptions) ([]Transport, error) {
	if o.Start <= 0 {
		o.Start = 16
	}
	if o.Most <= 0 {
		o.Most = 4096
	}
	o.Start = min(o.Start, o.Most)
	adaptive := o.Wanted != nil
	if !adaptive {
		o.Wanted = func(int, int, *Transport) int { return o.Most }
	}
	if o.Weights == nil {
		o.Weights = make([]float64, sc.Layers)
		for l := range o.Weights {
			o.Weights[l] = 1
		}
	}
	m := &measurement{sc: sc, recs: recs, o: o, threads: o.Threads, out: make([]Transport, len(recs)),
		state: make([]receptorState, len(recs))}
	if m.threads <= 0 {
		m.threads = runtime.GOMAXPROCS(0)
	}
	var live []int
	for i := range recs {
		live = append(live, i)
		m.state[i].goal = o.Start
		m.restart(i)
	}
	for len(live) > 0 {
		if !m.round(ctx, live) {
			return m.out, ErrStopped
		}
		most := 0
		for _, i := range live {
			m.sum(i)
			most = max(most, m.state[i].done)
		}
		// Which go on, and which of those learn first.
		var keep, learn []int
		for _, i := range live {
			s := &m.state[i]
			if s.done >= s.goal {
				wanted := o.Wanted(i, s.done, &m.out[i])
				s.goal = min(o.Most, wanted)
				if adaptive {
					s.goal = min(s.goal, farthest*s.done)
				}
				if s.goal <= s.done {
					continue
				}
				if wanted >= learnFrom && o.Most >= leastLearned && !s.guided && !o.DirectOnly && adaptive {
					learn = append(learn, i)
				}
				if t := &m.out[i]; s.done >= leastLook {
					s.before = &Look{t.Paths, t.Parts, t.DirectParts}
				}
			}
			keep = append(keep, i)
		}
		live = keep
		if len(learn) > 0 && !m.learn(ctx, learn) {
			return m.out, ErrStopped
		}
		if o.Round != nil {
			o.Round(most, o.Most)
		}
	}
	return m.out, nil
}

func (m *measurement) restart(i int) {
	s := &m.state[i]
	s.done, s.before = 0, nil
	for r := range Reps {
		s.acc[r].reset(m.sc, m.airlit(i))
	}
}

func (m *measurement) airlit(i int) bool { return m.sc.Medium != nil && m.recs[i].Kind == Spot }

// round takes each live receptor a step towards its goal; false: ctx ended first.
func (m *measurement) round(ctx context.Context, live []int) bool {
	to := func(i int) int {
		s := &m.state[i]
		if s.done == 0 {
			return min(s.goal, max(m.o.Start, guideLook))
		}
		return min(s.goal, stride*s.done)
	}
	ok := m.units(ctx, live, func(w *integrator, i, r int) {
		s := &m.state[i]
		if w.learned = nil; s.guided {
			w.learned, w.receptor = m.guide, i
		}
		w.measureReplicate(&m.recs[i], m.seq(i).Rep(r), uint32(s.done), uint32(to(i)-s.done))
		s.acc[r].add(w)
	})
	for _, i := range live {
		m.state[i].done = to(i)
	}
	return ok
}

// seq is a receptor's sequence: another one after learning, so that what was learned does not
// depend on the numbers it is used with.
func (m *measurement) seq(i int) sample.Seq {
	if m.state[i].guided {
		return sample.New(m.o.Seed^0x9d1e, uint64(i))
	}
	return sample.New(m.o.Seed, uint64(i))
}

// units runs work for every randomisation of some receptors; false: ctx ended first.
func (m *measurement) units(ctx context.Context, live []int, work func(w *integrator, i, r int)) bool {
	sc, n := m.sc, int64(len(live)*Reps)
	var next atomic.Int64
	var wg parallel.Group
	for range min(m.threads, int(n)) {
		wg.Go(func() {
			w := newIntegrator(sc, m.o.Layers)
			w.maxBounces = m.o.Bounces
			if m.o.DirectOnly {
				w.mode = directLight
			}
			if sc.Medium != nil {
				w.airlight = make([]Band, sc.Layers)
			}
			w.potential = make([]Band, sc.Layers)
			for {
				u := next.Add(1) - 1
				if u >= n || ctx.Err() != nil {
					return
				}
				work(w, live[u/Reps], int(u%Reps))
			}
		})
	}
	wg.Wait()
	return ctx.Err() == nil
}

// sum writes what a receptor has so far into its Transport.
func (m *measurement) sum(i int) {
	sc, s, t := m.sc, &m.state[i], &m.out[i]
	*t = Transport{Direct: make([]Band, sc.Layers), Bounced: make([]Band, sc.Layers),
		Potential: make([]Band, sc.Layers), Paths: s.done * Reps, Guided: s.guided, Before: s.before}
	if m.airlit(i) {
		t.Airlight = make([]Band, sc.Layers)
	}
	if s.relays == nil {
		s.relays = sc.relayPotential(&m.recs[i])
	}
	t.RelayPotential = s.relays
	n := float64(s.done)
	for r := range Reps {
		a := &s.acc[r]
		t.Parts[r], t.DirectParts[r] = make([]Band, sc.Layers), make([]Band, sc.Layers)
		for l := range sc.Layers {
			for b := range Bands {
				d, bo := a.direct[l][b]/n, a.bounced[l][b]/n
				t.Direct[l][b] += float32(d / Reps)
				t.Bounced[l][b] += float32(bo / Reps)
				t.Potential[l][b] += float32(a.potential[l][b] / n / Reps)
				if t.Airlight != nil {
					t.Airlight[l][b] += float32(a.airlight[l][b] / n / Reps)
				}
				t.Parts[r][l][b], t.DirectParts[r][l][b] = float32(d+bo), float32(d)
			}
		}
	}
}

// learn trains a path guide for some receptors together and starts them afresh; false: ctx ended
// first.
func (m *measurement) learn(ctx context.Context, ids []int) bool {
	sc := m.sc
	if m.guide == nil {
		m.guide = &pathGuide{size: max(1e-3, sc.bounds.Size().Len()/20), first: make([]*directionTree, len(m.recs)),
			cells: map[uint64]*directionTree{}}
		m.found = make([][]trained, len(m.recs))
	}
	g := m.guide
	first := 0
	for pass, n := 0, learnPass; pass < 3 || (first+n)*learnShare <= m.o.Most; pass, n = pass+1, n*2 {
		units, segments := make([][Reps][]trained, len(m.recs)), make([][Reps][]litSegment, len(m.recs))
		ok := m.units(ctx, ids, func(w *integrator, i, r int) {
			if w.train == nil {
				w.train = &trainer{weights: m.o.Weights, size: g.size}
			}
			w.learned, w.receptor = nil, i
			if pass > 0 {
				w.learned = g
			}
			w.train.out, w.train.segments = nil, nil
			w.measureReplicate(&m.recs[i], sample.New(m.o.Seed^0x7ea1, uint64(i)).Rep(r), uint32(first), uint32(n))
			units[i][r], segments[i][r] = w.train.out, w.train.segments
		})
		if !ok {
			return false
		}
		first += n
		for _, i := range ids {
			for r := range Reps {
				m.found[i] = append(m.found[i], units[i][r]...)
				m.segments = append(m.segments, segments[i][r]...)
			}
		}
		g.learn(m.found, ids)
		g.portals = sc.findPortals(m.segments)
	}
	for _, i := range ids {
		m.state[i].guided = true
		m.restart(i)
		m.state[i].goal = min(m.o.Most, max(m.o.Start, guideLook))
	}
	return true
}
