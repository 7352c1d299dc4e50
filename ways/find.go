package ways

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"

	"halfstop/balance"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/yamltext"
)

// Work bounds the work of Find.
type Work struct {
	Meter meter.Work // Error 0 is 0.03 st
	Point string     // only ways that help a missed target at this point; empty: all
	Most  int        // ways listed; 0 is 7
	// Progress is told of the ways tried and of how many there may be, on the goroutine that called
	// Find. It may be nil.
	Progress func(done, of int)
	// Each is called for every way as it is found, unranked, in the same way. It may be nil.
	Each func(w Way, done, of int)
	// First is called once with what the look as balanced misses, before any way is tried, on the
	// same goroutine. It may be nil.
	First func(f *Found)
}

// Way is one way out, balanced and scored.
type Way struct {
	balance.Way
	Settings []string        // what to set, light by light and the camera, where it differs from the shoot file
	Pattern  string          // 'loop becomes Rembrandt' where the key's pattern changes
	Edits    []yamltext.Edit // geometry and settings, for yamltext.Doc.SetAll
	Adds     []yamltext.Edit // entries added to lists: path of the list, the entry
	Deletes  []string        // entries taken out, last first

	touched []string // lights that the way itself moves, turns, gels or switches
	problem balance.Problem
	aims    []aim
	before  []balance.Outcome
	white   spectrum.XY // of the camera as the file has it
}

// Apply returns the text of the shoot file with the way taken.
func (w *Way) Apply(doc *yamltext.Doc) ([]byte, error) {
	// Additions come first: a setting may belong to one.
	src, err := doc.SetAll(nil)
	for _, a := range w.Adds {
		if err != nil {
			return nil, err
		}
		d, _ := yamltext.Parse(doc.Name, src)
		src, err = d.Append(a.Path, a.Value)
	}
	if err != nil {
		return nil, err
	}
	d, _ := yamltext.Parse(doc.Name, src)
	src, err = d.SetAll(w.Edits)
	for _, path := range w.Deletes {
		if err != nil {
			return nil, err
		}
		d, _ := yamltext.Parse(doc.Name, src)
		src, err = d.Delete(path)
	}
	return src, err
}

// Missed is a target that the balanced look misses.
type Missed struct {
	Target   int
	Words    string
	Off      string // '0.9 st too little'
	Residual q.Stops
	Reason   string // the first cause
	Causes   []Cause
}

// Refused is a way that was considered and is impossible in this place.
type Refused struct {
	Kind       balance.WayKind
	Words, Why string
	Code       string // of the finding that it would have, where that is why
}

// Found is the result of Find: one list for the setup, each way once.
type Found struct {
	Setup   string
	Base    *Balanced // the look as balanced; with the points of the look only
	Missed  []Missed
	Ways    []Way // best first; 'keep it as it is' and 'balanced, nothing else' among them
	Refused []Refused
	Cannot  []string // what cannot stand as the file has it; then each way mends that, and keep is none
	Stopped bool     // cancelled: the ranking of what was done so far
	Notes   []string
	// Compared is the largest standard error of the readings that the figures of the listed ways
	// come from, or what was asked for where that is more.
	Compared q.Stops
}

// The standard errors of the readings in stops: of the listed ways, and of the screening.
const (
	waysError      = 0.03
	screeningError = 0.08
	// finalists are the setups that are traced in full before they are listed.
	finalists = 7
)

// Find searches for ways out of the targets that the balanced look of a setup misses. A way changes
// camera, place, aim, modifier, head, panels, lights of the place or hour. It is applied to a copy
// of the setup, checked against the room and the frame, traced, balanced again and scored by the
// objective of balance with the work and the kit that it needs.
//
// The search has two stages. The screening traces the lights that changed, to 0.08 st. The best are
// then traced in full, to 0.03 st, and only those figures are listed. When ctx is cancelled, the
// ranking of what was done comes back with ctx.Err(). Check: TestPromisesAreKept.
func (j *Shoot) Find(ctx context.Context, setup int, w Work) (*Found, diag.List, error) {
	f := &finder{job: j, setup: setup, work: w, ctx: ctx, meshes: map[figure.Params]*figure.Mesh{},
		found: map[string]float64{}}
	if f.work.Meter.Error <= 0 {
		f.work.Meter.Error, f.work.Meter.Soon = waysError, true
	}
	if f.work.Meter.Samples <= 0 {
		f.work.Meter.Samples = 1 << 17
	}
	if f.work.Most <= 0 {
		f.work.Most = 7
	}
	s, list := j.stageOf(setup, stage.Options{Mesh: f.mesh})
	if s == nil {
		return nil, list, nil
	}
	f.cannot = cannotStand(list)
	for _, m := range list {
		what, how := findingOf(m)
		f.found[what] = max(f.found[what], how)
	}
	f.trim(s)
	measured, err := meter.Measure(ctx, s, f.work.Meter)
	if err != nil {
		return nil, list, err
	}
	b, err := Balance(ctx, s, measured)
	if err != nil {
		return nil, list, err
	}
	f.base, f.now = b.rig, b
	out := &Found{Setup: s.Setup.Name, Base: b, Notes: b.Notes, Compared: f.work.Meter.Error}
	f.out = out
	for _, m := range f.cannot {
		out.Cannot = append(out.Cannot, m.Text)
	}
	var missed, mend []int
	for i, t := range b.Targets() {
		o := b.Solution.Targets[i]
		if _, ended := b.ended(i); o.Unknown && ended {
			mend = append(mend, i) // as good as is known, but its light can go no further that way
		}
		if o.Met || o.Unknown || w.Point != "" && !strings.EqualFold(w.Point, t.Point) {
			continue
		}
		m := Missed{Target: i, Words: t.Words, Off: t.Off, Residual: t.Residual, Reason: t.Reason, Causes: t.Causes}
		if len(m.Causes) > 0 {
			m.Reason = m.Causes[0].Said()
		}
		missed = append(missed, i)
		out.Missed = append(out.Missed, m)
	}
	if w.First != nil {
		w.First(out)
	}
	act := minutesOf("power")
	if f.score, err = balance.NewScorer(ctx, b.Problem, balance.WayOptions{Colour: f.colour(),
		Touch: act.minutes, Who: act.who}); err != nil {
		return nil, list, err
	}
	keep := f.score.Keep()
	f.keep = keep.Solution.Targets
	f.report(keep)
	if w, ok := f.score.Balanced(); ok {
		f.report(w)
	}
	if missed = append(missed, mend...); len(missed) > 0 || len(f.cannot) > 0 {
		f.list = f.changes(missed)
		f.of = len(f.list) + mostPairs + mostTraced + finalists
		f.try(0)
		first := len(f.list)
		g := &generator{finder: f}
		for _, v := range slices.Clone(f.all) {
			if v.Candidate < 0 || f.list[v.Candidate].kind != "place" {
				continue
			}
			if c, ok := g.between(f.list[v.Candidate], v, missed); ok {
				f.list = append(f.list, c)
			}
		}
		f.try(first)
		first = len(f.list)
		if len(f.cannot) == 0 {
			f.list = append(f.list, f.pairs()...)
			f.try(first)
		}
		f.finish(missed)
	}
	out.Stopped = ctx.Err() != nil
	f.all = slices.DeleteFunc(f.all, func(v balance.Way) bool { return !f.fits(&v) })
	f.cameraLast(missed)
	ranked := f.all
	if len(f.cannot) == 0 {
		ranked = balance.Rank(f.all, f.work.Most)
	}
	slices.SortStableFunc(ranked, func(a, b balance.Way) int { return cmp.Compare(a.Score, b.Score) })
	for i := range ranked {
		for k := i; k > 0 && f.quicker(&ranked[k], &ranked[k-1], missed); k-- {
			ranked[k], ranked[k-1] = ranked[k-1], ranked[k]
		}
	}
	f.closersFirst(ranked, missed)
	for _, v := range ranked[:min(len(ranked), f.work.Most)] {
		out.Ways = append(out.Ways, f.way(v))
		out.Compared = max(out.Compared, f.errorOf(v))
	}
	return out, list, ctx.Err()
}

// errorOf is the largest standard error of the readings behind the targets of a way.
func (f *finder) errorOf(v balance.Way) (worst q.Stops) {
	r := f.base
	if v.Candidate >= 0 && f.list[v.Candidate].rig != nil {
		r = f.list[v.Candidate].rig
	}
	b := &Balanced{Stage: r.stage, Measured: r.measured, After: r.weigh(v.Solution)}
	for i := range f.now.Problem.Targets {
		if t := &f.now.Problem.Targets[i]; !b.After[t.Point].Dark && b.After[t.Point].Stops > darkest {
			worst = max(worst, b.errorOf(t))
		}
	}
	return worst
}

// darkest is the level in the picture, stops, under which a reading's error tells nothing any more.
const darkest = -8

// finder is the state of one search.
type finder struct {
	job     *Shoot
	setup   int
	work    Work
	ctx     context.Context
	base    *rig
	now     *Balanced
	cannot  diag.List          // lights that cannot stand where the file has them
	found   map[string]float64 // findings that the setup has as it is, and how large each is
	meshes  map[figure.Params]*figure.Mesh
	meshing sync.Mutex
	points  map[string]bool
	list    []*change
	all     []balance.Way
	out     *Found
	score   *balance.Scorer
	keep    []balance.Outcome // of every target as the file has it
	done    int               // of the changes, and how many there are
	of      int
}

// candidate turns a change into a candidate of the search in balance.
func (f *finder) candidate(i int) balance.Candidate {
	c := f.list[i]
	act := minutesOf(c.action)
	if c.traced() {
		act.minutes += minutesOf("meter").minutes // what moved is metered again
	}
	return balance.Candidate{Kind: c.kind, Words: c.words, Detail: c.detail,
		Minutes: act.minutes + c.more, Who: act.who,
		Needs: c.needs, Taken: c.taken, Extra: float64(c.extra), ExtraOf: c.costs,
		Make: func(ctx context.Context) (balance.Problem, error) {
			r, p, err := f.make(ctx, c)
			c.rig, c.cannot = r, err
			return p, err
		},
		SoftnessOf: func() float64 { return f.softer(c.rig) }}
}

func (f *finder) mesh(p figure.Params) *figure.Mesh {
	f.meshing.Lock()
	defer f.meshing.Unlock()
	if m, ok := f.meshes[p]; ok {
		return m
	}
	m := figure.Build(p)
	f.meshes[p] = m
	return m
}

// trim keeps only the points of the look.
func (f *finder) trim(s *stage.Stage) {
	if f.points == nil {
		f.points = map[string]bool{}
		for _, w := range s.Setup.Look {
			for _, n := range []string{w.Point, w.Above, w.Below, w.To} {
				if i := s.PointNamed(n); n != "" && i >= 0 {
					f.points[strings.ToLower(s.Points[i].Name)] = true
				}
			}
		}
	}
	s.Points = slices.DeleteFunc(slices.Clone(s.Points),
		func(p stage.Point) bool { return !f.points[strings.ToLower(p.Name)] })
}

// copy returns a copy of the shoot in which the setup may be changed.
func (f *finder) copy() (*shoot.File, *shoot.Setup) {
	file := *f.job.File
	file.Setups = slices.Clone(file.Setups)
	file.Room.Windows = slices.Clone(file.Room.Windows)
	s := &file.Setups[f.setup]
	s.Lights, s.Panels, s.Objects, s.Off = slices.Clone(s.Lights), slices.Clone(s.Panels), slices.Clone(s.Objects),
		slices.Clone(s.Off)
	s.Look, s.Points = slices.Clone(s.Look), slices.Clone(s.Points)
	if s.Camera != nil {
		c := *s.Camera
		s.Camera = &c
	}
	if s.Sitter != nil {
		c := *s.Sitter
		s.Sitter = &c
	}
	if s.May != nil {
		c := *s.May
		s.May = &c
	}
	return &file, s
}
