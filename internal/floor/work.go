package floor

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"halfstop/answer"
	"halfstop/day"
	"halfstop/diag"
	"halfstop/internal/daylog"
	"halfstop/internal/ownkit"
	"halfstop/stage"
)

// How long the work waits.
const (
	lookAgain = 700 * time.Millisecond // from one look at the log to the next: other programs add to it
	restTime  = 2 * time.Second        // for a shoot that is being changed to come to rest
)

// worker is what the work goroutine keeps.
type worker struct {
	f     *Floor
	rev   int
	job   *answer.Job
	floor *answer.Floor
	tried map[int]error // setups that were metered, and how that went
	// setups that were metered with their lights where they stood for a reading, and how that went
	before map[string]error

	planKey string
	plan    *answer.Day
	planErr error

	plans   map[int]*answer.FramePlan // predicted pictures of setups, for test frames
	unseen  map[int]error             // setups of which there is none to be had
	testing bool                      // a frame is being held against one, or one is being predicted …
	// … of this setup, where stopPredict is not nil
	predicting  int
	stopPredict func()
	frameDone   chan tested

	tracing int          // setup that is being traced, -1: none
	traced  chan tracing // of it

	setup    int // of the shoot, that is on
	changed  time.Time
	balanced string // what the proposal rests on
	last     *answer.Rebalanced
	lastErr  error
	shown    *Proposal // the newest of this setup that was shown
	shownOf  string    // its setup; where that is no longer on nothing is kept
}

// work takes in what changed, shows it, and computes what follows, most urgent first.
func (f *Floor) work() {
	defer close(f.ended)
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	go func() { <-f.end; stop() }()
	w := &worker{f: f, setup: -1, rev: -1, tracing: -1, traced: make(chan tracing, 1),
		frameDone: make(chan tested, 1)}
	looked := make(chan struct{})
	go func() { defer close(looked); f.watching(ctx) }()
	defer func() { <-looked }()
	t := time.NewTicker(lookAgain)
	defer t.Stop()
	for {
		again := w.step(ctx)
		if ctx.Err() != nil {
			return
		}
		if again {
			continue
		}
		select {
		case <-f.end:
			return
		case <-f.wake:
		case <-t.C:
		case x := <-w.traced:
			w.taken(x)
		case x := <-w.frameDone:
			w.frameTaken(x)
		}
	}
}

// tracing is a setup that was traced beside the work.
type tracing struct {
	setup int
	id    string                   // of a setup as it stood for a reading; else empty
	stood map[string]answer.Stance // then
	floor *answer.Floor
	d     *answer.Metered
	err   error
}

// taken takes in a setup that was traced, where the shoot is still the same.
func (w *worker) taken(x tracing) {
	w.tracing = -1
	if x.floor != w.floor {
		return
	}
	if x.id != "" {
		w.before[x.id] = x.err
	} else {
		w.tried[x.setup] = x.err
	}
	if x.err == nil {
		w.floor.Take(x.setup, x.stood, x.d)
	}
}

// step takes in what is new and does one piece of work; it reports whether more waits.
func (w *worker) step(ctx context.Context) (more bool) {
	defer w.f.recovered("the work of the floor")
	job, rev := w.f.opt.Shoot()
	if job != nil && rev != w.rev {
		if w.changed.IsZero() && w.job != nil {
			w.changed = time.Now()
		}
		if w.job == nil || time.Since(w.changed) > restTime {
			w.job, w.rev, w.changed = job, rev, time.Time{}
			w.floor, w.tried, w.planKey, w.balanced, w.last = job.NewFloor(1), map[int]error{}, "", "", nil
			w.before = map[string]error{}
			w.shown, w.plans, w.unseen = nil, map[int]*answer.FramePlan{}, map[int]error{}
		}
	}
	entries, trouble := w.entries(ctx)
	if ctx.Err() != nil {
		return false
	}
	if w.job == nil {
		w.show(entries, trouble, "")
		return false
	}
	if w.planDay(ctx, entries) {
		w.show(entries, trouble, "")
		return true
	}
	w.setup = w.on(entries)
	if w.frames(ctx, entries) {
		return true
	}
	w.show(entries, trouble, w.doing())
	s, setup := w.toTest(entries)
	if s != nil { // beside the work, and before any of it: somebody looks at the photograph
		w.testFrame(ctx, s, setup, entries)
	}
	switch {
	case w.setup >= 0 && w.untried(w.setup):
		w.trace(ctx, tracing{setup: w.setup}, 0)
		return false
	case w.setup >= 0 && w.rebalance(ctx, entries):
		w.show(entries, trouble, "")
		return true
	}
	if s == nil {
		w.predict(ctx, w.setup)
	}
	if x, ok := w.stoodElsewhere(entries); ok {
		w.trace(ctx, x, 1)
		return false
	}
	for i := range w.job.File.Setups {
		if w.untried(i) {
			w.trace(ctx, tracing{setup: i}, 1)
			return false
		}
	}
	return false
}

func (w *worker) untried(i int) bool { _, done := w.tried[i]; return !done }

func (w *worker) doing() string {
	if w.setup >= 0 && w.untried(w.setup) {
		return "readings of " + w.job.File.Setups[w.setup].Name
	}
	return ""
}

// stoodElsewhere finds a reading whose lights have been moved since and that was not traced as it
// was: until then it teaches nothing.
func (w *worker) stoodElsewhere(entries []daylog.Entry) (x tracing, ok bool) {
	list, _ := ownkit.Reads(entries)
	for i := range list {
		id, setup, moved, ok := w.floor.TraceOf(&list[i])
		if _, done := w.before[id]; ok && moved && !done {
			return tracing{setup: setup, id: id, stood: list[i].Stood}, true
		}
	}
	return x, false
}

// trace meters a setup beside the work, one at a time; those that are not on with one thread, so
// that they hold nothing up.
func (w *worker) trace(ctx context.Context, x tracing, threads int) {
	if w.tracing >= 0 {
		return
	}
	w.tracing = x.setup
	x.floor, x.err = w.floor, errors.New("a fault of the program; its terminal has the details")
	go func() {
		defer func() { w.traced <- x }()
		defer w.f.recovered("metering for the floor")
		x.d, x.err = x.floor.Trace(ctx, x.setup, x.stood, threads)
	}()
}

// entries reads the log; trouble says why it cannot be.
func (w *worker) entries(ctx context.Context) ([]daylog.Entry, string) {
	l, err := w.f.open(ctx)
	if err != nil {
		return nil, w.f.plain(err)
	}
	list, err := l.List(ctx, daylog.Filter{})
	if err != nil {
		return w.f.known.entries, w.f.plain(err)
	}
	return list, ""
}

// planDay makes the plan anew where it must be; it reports whether it did.
func (w *worker) planDay(ctx context.Context, entries []daylog.Entry) bool {
	var p day.Progress
	number := int64(0)
	for i := range entries {
		if o := ownOf(&entries[i]); o.Floor == "plan" {
			number = entries[i].Seq
			p.Now, _ = day.Seconds(o.Now)
		}
	}
	if number > 0 {
		for i := range entries {
			if entries[i].Kind == daylog.Tick && entries[i].Seq < number {
				p.Done = append(p.Done, entries[i].Subject)
			}
		}
	}
	key := fmt.Sprint(w.rev, " ", number)
	if key == w.planKey {
		return false
	}
	// A tick of what is no task of this plan any more holds nothing up.
	p.Done = w.tasksOf(p.Done)
	d, _, err := w.job.Day(ctx, answer.DayWork{Progress: p, Days: 400, Seed: 1})
	if ctx.Err() != nil {
		return false
	}
	w.planKey, w.plan, w.planErr = key, d, err
	return true
}

// tasksOf drops names that the first plan does not have.
func (w *worker) tasksOf(done []string) []string {
	if len(done) == 0 {
		return nil
	}
	ids := w.job.TaskIDs()
	return slices.DeleteFunc(done, func(id string) bool { return !slices.Contains(ids, id) })
}

// on is the setup that is on: the first of the plan whose picture is not taken; -1: none is left.
func (w *worker) on(entries []daylog.Entry) int {
	if w.plan == nil { // no day can be planned: the first whose picture was not ticked
		for i := range w.job.File.Setups {
			if !ticked(entries, w.job.File.Setups[i].Name+": shoot") {
				return i
			}
		}
		return -1
	}
	for _, s := range w.plan.Setups {
		if s.Shot || !s.In || ticked(entries, s.Name+": shoot") {
			continue
		}
		return slices.IndexFunc(w.job.File.Setups, func(x stageSetup) bool { return x.Name == s.Name })
	}
	return -1
}

func ticked(entries []daylog.Entry, id string) bool {
	return slices.ContainsFunc(entries, func(e daylog.Entry) bool { return e.Kind == daylog.Tick && e.Subject == id })
}

// dialled gives what lights of a setup were set to last, and when the last of them was set.
func dialled(entries []daylog.Entry, setup string) (dials map[string]string, last int64) {
	dials = map[string]string{}
	for i := range entries {
		if e := &entries[i]; e.Kind == daylog.Dial && e.Setup == setup && e.Text != "" {
			dials[e.Subject] = e.Text
			last = max(last, e.Seq)
		}
	}
	return dials, last
}

// rebalance finds the settings again where readings or dials are others; it reports whether it did.
func (w *worker) rebalance(ctx context.Context, entries []daylog.Entry) bool {
	dials, list, key := w.basis(entries)
	if key == w.balanced || w.tried[w.setup] != nil {
		return false
	}
	r, err := w.floor.Rebalance(ctx, w.setup, list, dials)
	if ctx.Err() != nil {
		return false
	}
	w.balanced, w.last, w.lastErr = key, r, err
	return true
}

// basis is what a proposal rests on, and a key to tell it from another.
func (w *worker) basis(entries []daylog.Entry) (dials map[string]string, list []answer.Read, key string) {
	dials, _ = dialled(entries, w.job.File.Setups[w.setup].Name)
	list, seqs := ownkit.Reads(entries)
	return dials, list, fmt.Sprint(w.setup, " ", dials, seqs, len(w.before))
}

// show makes the view of what is known and wakes who waits, where it is another than before.
func (w *worker) show(entries []daylog.Entry, trouble, doing string) {
	v := w.view(entries)
	if trouble != "" {
		v.Troubles = append(v.Troubles, trouble)
	}
	f := w.f
	f.mu.Lock()
	defer f.mu.Unlock()
	if same(&f.known.view, &v) && f.known.work == doing {
		f.known.entries = entries
		return
	}
	f.known = known{view: v, entries: entries, work: doing}
	f.said()
}

// rounded is a number to so many places; not a number is 0.
func rounded(v float64, places int) float64 {
	k := math.Pow(10, float64(places))
	v = math.Round(v*k) / k
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return v
}

// cautionsOf are those of a setup, for who stands in it.
func (w *worker) cautionsOf(s *stage.Stage) []string {
	out := []string{}
	for _, c := range w.job.Cautions(s) {
		if c.Severity == diag.Caution {
			t := strings.ToUpper(c.Text[:1]) + c.Text[1:]
			if c.Fix != "" {
				t += ": " + c.Fix
			}
			out = append(out, t+".")
		}
	}
	if s.Setup.Haze != nil && len(out) > 0 || slices.ContainsFunc(s.Layers,
		func(l stage.Layer) bool { return l.Flash }) {
		out = append(out, "Flash: ask who is in the room whether flashing light harms anybody; "+
			"do not fire close to eyes.")
	}
	if len(out) > 0 {
		out = append(out, "The venue, local codes and licensed people decide.")
	}
	return out
}
