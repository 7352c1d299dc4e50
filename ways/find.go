package ways

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"math"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"halfstop/balance"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/parallel"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
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
type Refused struct{ Words, Why string }

// Found is the result of Find: one list for the setup, each way once.
type Found struct {
	Setup    string
	Base     *Balanced // the look as balanced; with the points of the look only
	Missed   []Missed
	Ways     []Way // best first; 'keep it as it is' and 'balanced, nothing else' among them
	Refused  []Refused
	Cannot   []string // what cannot stand as the file has it; then each way mends that, and keep is none
	Stopped  bool     // cancelled: the ranking of what was done so far
	Notes    []string
	Compared q.Stops // standard error of the readings that the figures of the listed ways come from
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
		for k := i; k > 0 && quicker(&ranked[k], &ranked[k-1], missed); k-- {
			ranked[k], ranked[k-1] = ranked[k-1], ranked[k]
		}
	}
	for _, v := range ranked[:min(len(ranked), f.work.Most)] {
		out.Ways = append(out.Ways, f.way(v))
	}
	return out, list, ctx.Err()
}

// tied is by how much the scores of two ways of one kind differ at most where what a crew does
// first decides (judgement).
const tied = 0.1

// quicker reports whether a stands before b though its score is a little higher: it is of the same
// kind, takes less time, and no missed target is a tenth of a stop better with b.
func quicker(a, b *balance.Way, missed []int) bool {
	return a.Candidate >= 0 && b.Candidate >= 0 && a.Kind == b.Kind && a.Minutes < b.Minutes &&
		a.Score-b.Score < tied && !slices.ContainsFunc(missed, func(t int) bool {
		return a.Solution.Targets[t].Miss-b.Solution.Targets[t].Miss >= 0.1
	})
}

// report keeps a way.
func (f *finder) report(v balance.Way) {
	f.all = append(f.all, v)
	if f.work.Each != nil {
		f.work.Each(f.way(v), f.done, max(f.of, f.done))
	}
}

// step tells how far the search is.
func (f *finder) step() {
	if f.done++; f.work.Progress != nil {
		f.work.Progress(f.done, max(f.of, f.done))
	}
}

// try tries the changes from one on, as many at once as the work has threads, and keeps them in
// their order.
func (f *finder) try(from int) {
	for i, t := range f.tried(from) {
		f.step()
		if t.ok {
			f.report(t.way)
		}
		if c := f.list[i]; c.cannot != nil && f.ctx.Err() == nil {
			f.out.Refused = append(f.out.Refused, Refused{c.words, c.cannot.Error()})
		}
	}
}

// trial is a change made and balanced.
type trial struct {
	way balance.Way
	ok  bool
}

// tried makes and balances the changes from one on and yields each in its turn.
func (f *finder) tried(from int) iter.Seq2[int, trial] {
	return func(yield func(int, trial) bool) {
		n := len(f.list) - from
		out := make([]chan trial, n)
		for i := range out {
			out[i] = make(chan trial, 1)
		}
		var next atomic.Int64
		var group parallel.Group
		for range min(n, f.threads()) {
			group.Go(func() {
				for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
					var t trial
					if f.ctx.Err() == nil {
						t.way, t.ok = f.score.Try(f.ctx, f.candidate(from+i), from+i, false)
					}
					out[i] <- t
				}
			})
		}
		defer group.Wait()
		for i := range out {
			if t := <-out[i]; !yield(from+i, t) {
				return
			}
		}
	}
}

// threads is how many changes are tried at once.
func (f *finder) threads() int {
	if n := f.work.Meter.Threads; n > 0 {
		return n
	}
	return runtime.GOMAXPROCS(0)
}

// hopeless is by how much a way of the screening loses to the look as balanced before it is given
// up: its whole trace moves its score by less.
const hopeless = 0.5

// sieved are the ways of the screening that may be listed, the best first: those that fit, help a
// missed target, and are beaten neither by the look as balanced nor by another of their kind. Where
// a light cannot stand all that fit are.
func (f *finder) sieved(missed []int) (out []balance.Way) {
	all := slices.Clone(f.all)
	slices.SortStableFunc(all, func(a, b balance.Way) int { return cmp.Compare(a.Score, b.Score) })
	bar := math.Inf(1)
	for _, v := range all {
		if v.Candidate < 0 {
			bar = min(bar, v.Score+hopeless)
		}
	}
	for _, v := range all {
		if v.Candidate < 0 || f.fits(&v) && (len(f.cannot) > 0 || v.Score < bar && f.helps(v, missed)) &&
			!f.halfDoes(v, missed) {
			out = append(out, v)
		}
	}
	if len(f.cannot) == 0 {
		out = balance.Rank(out, len(out))
	}
	return out
}

// finish traces the best of the screening in full and scores them again. What is not traced in full
// is not listed.
func (f *finder) finish(missed []int) {
	var out []balance.Way
	kinds, sets := map[string]int{}, map[*change]int{}
	whole := 0
	for _, v := range f.sieved(missed) {
		if v.Candidate < 0 {
			out = append(out, v)
			continue
		}
		c := f.list[v.Candidate]
		// At most three of a kind for one light and two on one set. Two changes joined push out
		// neither of them alone.
		kind := string(c.kind) + strings.Join(c.layers, ",")
		if c.of[1] != nil {
			kind += "+" + string(c.of[1].kind)
		}
		if kinds[kind] >= 3 {
			continue
		}
		root := c // the traced one of a pair
		if c.root != nil {
			root = c.root
		}
		if root.traced() {
			if sets[root] >= 2 || f.ctx.Err() != nil {
				continue
			}
			if !root.whole {
				if whole == finalists {
					continue
				}
				whole++
				root.whole = true
				for _, set := range v.Solution.Lights {
					root.levels = append(root.levels, pickNumber(!set.Off)*set.Level.Times())
				}
				r, _, err := f.make(f.ctx, root)
				if err != nil {
					continue
				}
				root.rig, root.on = r, r
				f.step()
			}
			if root.on == nil {
				continue
			}
			c.on = root.on
			n, ok := f.score.Try(f.ctx, f.candidate(v.Candidate), v.Candidate, false)
			if !ok {
				continue
			}
			v = n
			sets[root]++
		}
		kinds[kind]++
		out = append(out, v)
	}
	f.all = out
}

// worthwhile is the part of a miss that a way takes away at least (judgement): a crew fetches no
// stand for a quarter of what is missing.
const worthwhile = 0.3

// helps reports whether a way brings a missed target nearer by a tenth of a stop and by what is
// worth the work, or mends it, apart from targets that it gives up.
func (f *finder) helps(v balance.Way, missed []int) bool {
	for _, t := range missed {
		was, is := f.now.Solution.Targets[t], v.Solution.Targets[t]
		gain := was.Miss - is.Miss
		if was.Unknown {
			gain = q.Stops(math.Abs(float64(was.Residual)) - math.Abs(float64(is.Residual)))
		}
		least := q.Stops(max(0.1, worthwhile*float64(was.Miss)))
		if gain >= 0.1 && (gain >= least || is.Met) && !slices.Contains(f.list[v.Candidate].giveUp, t) {
			return true
		}
	}
	return false
}

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
	return balance.Candidate{Kind: c.kind, Words: c.words, Detail: c.detail, GiveUp: c.giveUp,
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

// make applies a change to a copy, checks it against the room, traces what changed and poses the
// problem.
func (f *finder) make(ctx context.Context, c *change) (*rig, balance.Problem, error) {
	file, set := f.copy()
	if c.apply != nil {
		c.apply(set)
	}
	if c.room != nil {
		c.room(&file.Room)
	}
	if !c.traced() || c.on != nil {
		on := f.base
		if c.on != nil {
			on = c.on
		}
		s := *on.stage
		s.Setup = set
		if c.white > 0 {
			x := spectrum.White(float64(c.white)).XYZ()
			s.White = spectrum.XYZ{X: x.X / x.Y, Y: 1, Z: x.Z / x.Y}
		}
		r := newRig(&s, on.measured)
		p := f.pose(r)
		if c.tune != nil {
			c.tune(r, &p)
		}
		return r, p, nil
	}
	s := c.built
	if s == nil {
		var err error
		if s, err = f.build(file); err != nil {
			return nil, balance.Problem{}, err
		}
	}
	w := f.work.Meter
	w.Progress = nil
	if !c.whole {
		w.Error, w.Samples, w.Threads = screeningError, min(w.Samples, 1<<14), 1 // see tried
	}
	some := !c.whole && !c.everything
	if some {
		w.Rest = func(point int, seen bool) float64 { return f.rest(s, w.Layers, point, seen) }
		w.Layers = []int{}
		for l := range s.Layers {
			if slices.Contains(c.layers, s.Layers[l].Name) || layerOf(f.base.stage, s.Layers[l].Name) < 0 {
				w.Layers = append(w.Layers, l)
			}
		}
	}
	m, err := meter.Measure(ctx, f.turned(s, c), w)
	if err != nil {
		return nil, balance.Problem{}, err
	}
	if some {
		f.merge(s, m, w.Layers)
	}
	r := newRig(s, m)
	p := f.pose(r)
	if c.tune != nil {
		c.tune(r, &p)
	}
	return r, p, nil
}

// misfit says why a changed setup cannot be.
type misfit struct{ diag.Message }

func (m misfit) Error() string { return m.Text }

// build builds a changed setup and holds it against the room and the frame. An error says what it
// finds that the setup as it is does not have, or has less of; what cannot stand is one in any
// case.
func (f *finder) build(file *shoot.File) (*stage.Stage, error) {
	job := &Shoot{File: file, Doc: f.job.Doc, Files: f.job.Files}
	s, list := job.stageOf(f.setup, stage.Options{Mesh: f.mesh, Like: f.base.stage})
	for _, m := range list {
		if m.Severity > diag.Finding {
			continue
		}
		if m.Severity == diag.Finding && !slices.Contains(impossible, m.Code) {
			what, how := findingOf(m)
			if was, ok := f.found[what]; ok && how <= was+0.5 {
				continue
			}
		}
		return nil, misfit{m}
	}
	if s == nil {
		return nil, fmt.Errorf("it cannot be built")
	}
	f.trim(s)
	if len(s.Points) != len(f.base.stage.Points) {
		return nil, fmt.Errorf("points of the look are lost")
	}
	return s, nil
}

// numbers finds the figures in a message.
var numbers = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// findingOf returns what a finding is about, without its figures, and the first figure that it
// gives after a colon: how deep something stands in the frame, how far through the ceiling.
func findingOf(m diag.Message) (what string, how float64) {
	what, more, _ := strings.Cut(m.Text, ":")
	how, _ = strconv.ParseFloat(numbers.FindString(more), 64)
	return m.Code + " " + numbers.ReplaceAllString(what, ""), how
}

// pose poses a changed setup. The uncertainty of each target is taken from the base.
func (f *finder) pose(r *rig) balance.Problem {
	p, _, _ := r.problem()
	for i := range p.Targets {
		if i < len(f.now.Problem.Targets) {
			p.Targets[i].Sigma = f.now.Problem.Targets[i].Sigma
		}
	}
	return p
}

func layerOf(s *stage.Stage, name string) int {
	return slices.IndexFunc(s.Layers, func(l stage.Layer) bool { return l.Name == name })
}

// merge copies the layers that were not traced from the base.
func (f *finder) merge(s *stage.Stage, m *meter.Measured, traced []int) {
	fill := func(to, from *trace.Transport) {
		if to == nil || from == nil {
			return
		}
		to.Before = nil // of the layers traced only
		for l := range s.Layers {
			b := layerOf(f.base.stage, s.Layers[l].Name)
			if b < 0 || slices.Contains(traced, l) {
				continue
			}
			to.Direct[l], to.Bounced[l] = from.Direct[b], from.Bounced[b]
			if to.Airlight != nil && from.Airlight != nil {
				to.Airlight[l] = from.Airlight[b]
			}
			for k := range trace.Reps {
				to.Parts[k][l], to.DirectParts[k][l] = from.Parts[k][b], from.DirectParts[k][b]
			}
		}
	}
	for i := range s.Points {
		fill(m.Incident[i], f.base.measured.Incident[i])
		fill(m.Seen[i], f.base.measured.Seen[i])
	}
}

// turned is a changed stage for a trace, its lights at the settings that they will come to, about:
// the error asked is one of the mixture of them. They are those of the screening where there was
// one, else those of the base as balanced, with another head giving what the one before gave.
func (f *finder) turned(s *stage.Stage, c *change) *stage.Stage {
	cam := meter.CameraOf(s)
	during := func(ly *stage.Layer) float64 {
		if ly.Flash {
			return cam.Lit()
		}
		return float64(cam.Shutter)
	}
	own := *s
	own.Layers = slices.Clone(s.Layers)
	for l := range own.Layers {
		ly := &own.Layers[l]
		if ly.Light < 0 || ly.Source == nil || !(ly.K > 0) {
			continue
		}
		if l < len(c.levels) {
			ly.K = c.levels[l]
			continue
		}
		b := layerOf(f.base.stage, ly.Name)
		if b < 0 || f.base.stage.Layers[b].Source == nil || f.now.Solution.Lights[b].Off {
			continue
		}
		was := &f.base.stage.Layers[b]
		gave := f.now.Solution.Lights[b].Level.Times() * was.Source.AxialFull * during(was)
		ly.K = min(1, gave/(ly.Source.AxialFull*during(ly)))
	}
	return &own
}

// rest is the light at a point, seen or by a meter, of the base's lights that are not traced anew,
// at the setup's shutter.
func (f *finder) rest(s *stage.Stage, traced []int, point int, seen bool) (sum float64) {
	base, cam := f.base.stage, meter.CameraOf(f.base.stage)
	t := f.base.measured.Incident[point]
	if seen {
		t = f.base.measured.Seen[point]
	}
	if t == nil {
		return 0
	}
	for b := range base.Layers {
		ly := &base.Layers[b]
		if l := layerOf(s, ly.Name); l < 0 || slices.Contains(traced, l) {
			continue
		}
		during := float64(cam.Shutter)
		if ly.Flash {
			during = cam.Lit()
		}
		band := t.Total(b)
		k := ly.K
		if ly.Light >= 0 && ly.Source != nil {
			k = f.now.Solution.Lights[b].Level.Times() * pickNumber(!f.now.Solution.Lights[b].Off)
		}
		sum += k * during * ly.Fold.Apply(&band)[1]
	}
	return sum
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
