package server

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/quantity"
	"halfstop/stage"
	"halfstop/trace"
)

// Bounds of the two passes of a reading. The quick pass ends while a drag still goes on; the fine
// one is well inside the tenth of a stop that a meter shows.
const (
	firstTime               = 16 * time.Millisecond
	firstError              = 0.1
	fineError               = 0.03
	fineTime                = 8 * time.Second
	betterError, betterTime = 0.05, 2500 * time.Millisecond

	interimInterval = 150 * time.Millisecond // from one interim result of readings to the next, at least

	debounceLeast = 120 * time.Millisecond // debounce: from a change to the start of fine readings, at least
)

// lookTime is how long a setup without a picture in work is measured with each change after a page
// asked for it: a page that looks at it later asks anew.
const lookTime = 20 * time.Second

// Ranks of tasks, most urgent first.
const (
	rankFirst   = iota
	rankDraft   // a picture to see at all
	rankBetter  // readings that a person may trust
	rankPicture // a picture of the size asked for
	rankFine
	rankWeigh  // readings of a plan that is weighed up
	rankTrial  // a small picture of a plan that is weighed up
	rankFields // contours on the plan
	rankFilm   // a cleaner picture
)

// setupState is what is kept of one setup: its stage, readings and picture, each with the revision
// that it is of.
type setupState struct {
	index int

	build sync.Mutex // one at a time builds the stage
	mu    sync.Mutex
	stage *stage.Stage // drawn for readings
	list  diag.List
	rev   int // model of stage, list and view
	view  *SetupView

	measured  *meter.Measured
	full      []float64    // what each layer's transport was traced at
	of        *stage.Stage // that it was measured in
	word      string
	asked     float64
	readings  *ReadingsView
	announced time.Time // when the pages heard of them
	sent      int       // model whose view went out with readings

	fields []*fields // newest last

	film     *film
	shown    *encoded
	hand     time.Time // when the last picture for a hand that moves was begun; see follow
	busy     bool      // one is in work, and it alone touches made
	dragged  dragPicture
	portrait *portrait // stage of the picture of the size asked for, in work
	wants    int       // open streams
	size     [2]int
	seen     time.Time
	changed  chan struct{} // closed and made anew when something is ready
}

// engine renders.
type engine struct {
	book   *book
	hub    *hub
	queue  *queue
	memory int64
	most   int            // samples a pixel of a picture
	side   int            // pixels of a picture's long side at most; 0: what is asked for
	finest quantity.Stops // standard error of fine readings
	// for tracing; the program has room for one goroutine more, that a request need not wait for a
	// slice of time
	cores int

	turn sync.RWMutex // held by the quick pass of readings: a picture that is made beside it waits meanwhile

	mu     sync.Mutex
	setups map[int]*setupState
	meshes map[meshKey]*figure.Mesh
	heads  map[uint64]*figure.Head
	pinned *model // last model told to the setups
	trials trials
	kept   keptLayers
}

type meshKey struct {
	key    uint64
	detail figure.Detail
}

func newEngine(b *book, h *hub, o Options) *engine {
	tuneCollector(o.Memory)
	e := &engine{book: b, hub: h, memory: o.Memory, most: o.Samples, side: o.Side, finest: quantity.Stops(o.Fine),
		cores: cores(), setups: map[int]*setupState{},
		meshes: map[meshKey]*figure.Mesh{}, heads: map[uint64]*figure.Head{}}
	e.queue = newQueue(o.Before, func(key string, v any, stack []byte) {
		said, _, _ := strings.Cut(fmt.Sprint(v), "\n")
		index := -1
		if _, n, ok := strings.Cut(key, "film "); ok {
			index, _ = strconv.Atoi(n)
		}
		h.send(Event{Kind: "message", What: "fault", Index: index,
			Text: "internal fault while rendering: " + said +
				". The last good picture stays; the terminal has the details"})
		h.log("internal fault while rendering: %v\n%s", v, stack)
	})
	return e
}

// cores gives how many cores there are to trace on, and once makes room for one goroutine more.
var cores = sync.OnceValue(func() int {
	n := runtime.GOMAXPROCS(0)
	runtime.GOMAXPROCS(n + 1)
	return n
})

// tuneCollector lets rubbish lie longer than Go does by itself, since a drag makes 15 MiB of it
// with each change; not beyond what pictures of so many bytes would make of the heap anyway.
func tuneCollector(memory int64) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(300)
		debug.SetMemoryLimit(2*memory + 256<<20)
	}
}

// mesh builds or remembers a sitter.
func (e *engine) mesh(p figure.Params) *figure.Mesh {
	k := meshKey{p.Key(), p.Detail}
	e.mu.Lock()
	m := e.meshes[k]
	e.mu.Unlock()
	if m != nil {
		return m
	}
	m = e.head(p).Build(p)
	e.mu.Lock()
	defer e.mu.Unlock()
	if len(e.meshes) >= 16 {
		clear(e.meshes)
	}
	e.meshes[k] = m
	return m
}

// head draws or remembers a sitter's head: a turned head,
// another pose or another coat is half the work then.
func (e *engine) head(p figure.Params) *figure.Head {
	k := p.HeadKey()
	e.mu.Lock()
	h := e.heads[k]
	e.mu.Unlock()
	if h != nil {
		return h
	}
	h = figure.DrawHead(p)
	e.mu.Lock()
	defer e.mu.Unlock()
	if len(e.heads) >= mostHeads {
		clear(e.heads)
	}
	e.heads[k] = h
	return h
}

// mostHeads bounds what is remembered: the finest takes some 100 MB.
const mostHeads = 4

func (e *engine) stageOf(m *model, index int, d figure.Detail, like *stage.Stage) (*stage.Stage, diag.List) {
	return stage.Build(m.job.File, m.job.Doc, index, stage.Options{Files: m.job.Files, Detail: d, Mesh: e.mesh,
		Like: like})
}

// pictureStage is a stage whose sitter is drawn for a picture of w × h pixels.
func (e *engine) pictureStage(m *model, index, w, h int) (*stage.Stage, diag.List) {
	return stage.Build(m.job.File, m.job.Doc, index, stage.Options{Files: m.job.Files, Detail: figure.Far,
		Pixels: [2]int{w, h}, Mesh: e.mesh})
}

// setup gives what is held of a setup.
func (e *engine) setup(index int) *setupState {
	e.mu.Lock()
	defer e.mu.Unlock()
	h := e.setups[index]
	if h == nil {
		h = &setupState{index: index, changed: make(chan struct{})}
		e.setups[index] = h
	}
	return h
}

// current brings a setup's stage and view to a model and gives them. The stage is built like the
// one before: where noise must not depend on what was shown earlier take a canonical one.
func (e *engine) current(m *model, h *setupState) (*stage.Stage, *SetupView) {
	h.build.Lock()
	defer h.build.Unlock()
	h.mu.Lock()
	if h.rev >= m.rev && h.view != nil {
		defer h.mu.Unlock()
		return h.stage, h.view
	}
	old, like := h.view, h.stage
	h.mu.Unlock()
	s, list := e.stageOf(m, h.index, figure.Shadow, like)
	v := viewOf(m, h.index, s, list, old)
	h.mu.Lock()
	defer h.mu.Unlock()
	h.stage, h.list, h.view, h.rev = s, list, v, m.rev
	return s, v
}

// canonical is current with a stage that is as if built anew.
func (e *engine) canonical(m *model, h *setupState) (*stage.Stage, *SetupView) {
	s, v := e.current(m, h)
	if s == nil {
		return nil, v
	}
	own := s.Canonical()
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.stage == s {
		h.stage = own
	}
	return own, v
}

// requestReadings asks for a setup's readings.
func (e *engine) requestReadings(h *setupState) {
	h.mu.Lock()
	h.seen = time.Now()
	h.mu.Unlock()
	e.queue.put(&task{key: fmt.Sprintf("first %d", h.index), rank: rankFirst, keep: true,
		run: func(ctx context.Context) bool { return e.quickReadings(ctx, h) }})
}

// textChanged tells the engine that the text changed: the setups that
// pages look at are rendered again, the one seen last first.
func (e *engine) textChanged() {
	m := e.book.snapshot()
	if m == nil {
		return
	}
	e.mu.Lock()
	if e.pinned == m {
		e.mu.Unlock()
		return
	}
	e.pinned = m
	var list []*setupState
	for i, h := range e.setups {
		if i >= len(m.job.File.Setups) {
			delete(e.setups, i)
			continue
		}
		list = append(list, h)
	}
	e.mu.Unlock()
	seen := func(h *setupState) time.Time { h.mu.Lock(); defer h.mu.Unlock(); return h.seen }
	slices.SortFunc(list, func(a, b *setupState) int { return seen(a).Compare(seen(b)) })
	for _, h := range list { // the queue takes the newest first
		h.mu.Lock()
		film := h.wants > 0
		recent := film || time.Since(h.seen) < lookTime
		h.broadcast()
		h.mu.Unlock()
		if !recent {
			continue
		}
		e.queue.put(&task{key: fmt.Sprintf("first %d", h.index), rank: rankFirst, keep: true,
			run: func(ctx context.Context) bool { return e.quickReadings(ctx, h) }})
	}
}

// broadcast wakes those who wait for a change. h.mu is held.
func (h *setupState) broadcast() {
	close(h.changed)
	h.changed = make(chan struct{})
}

// quickReadings measures the quick pass of the newest model.
func (e *engine) quickReadings(ctx context.Context, h *setupState) bool {
	e.turn.Lock()
	defer e.turn.Unlock()
	m := e.book.snapshot()
	if m == nil || h.index >= len(m.job.File.Setups) {
		return false
	}
	s, _ := e.current(m, h)
	if s == nil {
		return false
	}
	h.mu.Lock()
	old, oldFull, of, word, asked, film := h.measured, h.full, h.of, h.word, h.asked, h.wants > 0
	h.mu.Unlock()
	if film {
		e.requestPicture(h)
	}
	if old != nil && of.Keys.Light() == s.Keys.Light() {
		e.publish(h, m, s, rescaled(old, oldFull, fullOf(s)), word, asked)
		if word != "fine" {
			e.fineReadings(h)
		}
		return false
	}
	meas, err := e.measureQuick(ctx, s, before{old, of, oldFull})
	if err != nil || meas == nil {
		return ctx.Err() != nil
	}
	e.publish(h, m, s, meas, "first", firstError)
	e.betterReadings(h)
	e.fineReadings(h)
	e.pictureDrag(h, m, s)
	return false
}

// fullOf gives what each layer's transport is traced at.
func fullOf(s *stage.Stage) []float64 {
	out := make([]float64, len(s.Layers))
	for i := range s.Layers {
		out[i] = s.Layers[i].Full()
	}
	return out
}

// rescaled gives measured light for heads that give more or less at
// full than when it was traced (another gel, another colour).
func rescaled(m *meter.Measured, was, is []float64) *meter.Measured {
	if slices.Equal(was, is) {
		return m
	}
	out := &meter.Measured{Stopped: m.Stopped}
	each := func(list []*trace.Transport) []*trace.Transport {
		var to []*trace.Transport
		for _, t := range list {
			if t == nil {
				to = append(to, nil)
				continue
			}
			c := cloned(t)
			for l := range is {
				k := float32(is[l] / was[l])
				for _, p := range parts(c) {
					for b := range (*p)[l] {
						(*p)[l][b] *= k
					}
				}
			}
			to = append(to, c)
		}
		return to
	}
	out.Incident, out.Seen = each(m.Incident), each(m.Seen)
	return out
}

// parts lists the bands of a transport by layer.
func parts(t *trace.Transport) []*[]trace.Band {
	out := []*[]trace.Band{&t.Direct, &t.Bounced}
	if t.Airlight != nil {
		out = append(out, &t.Airlight)
	}
	add := func(parts, direct *[trace.Reps][]trace.Band) {
		for r := range parts {
			out = append(out, &parts[r], &direct[r])
		}
	}
	add(&t.Parts, &t.DirectParts)
	if t.Before != nil {
		add(&t.Before.Parts, &t.Before.DirectParts)
	}
	return out
}

func cloned(t *trace.Transport) *trace.Transport {
	c := *t
	if t.Before != nil {
		was := *t.Before
		c.Before = &was
	}
	for _, p := range parts(&c) {
		*p = slices.Clone(*p)
	}
	return &c
}

// before is what was measured last.
type before struct {
	measured *meter.Measured
	of       *stage.Stage
	full     []float64
}

// measureQuick measures what a drag needs: all layers at points that moved or where a shadow did,
// elsewhere the layers that moved. What else is known of a point stays, with its own error; only
// the light that comes there by way of surfaces in the new shadow waits for the fine reading.
func (e *engine) measureQuick(ctx context.Context, s *stage.Stage, old before) (*meter.Measured, error) {
	w := meter.Work{Seed: 1, Start: 1, Error: firstError, Threads: e.cores}
	layers, alike := old.moved(s)
	if !alike {
		return timed(ctx, s, w, firstTime)
	}
	was := rescaled(old.measured, old.full, fullOf(s))
	out := &meter.Measured{Incident: make([]*trace.Transport, len(s.Points)),
		Seen: make([]*trace.Transport, len(s.Points))}
	var same, other []int
	for i := range s.Points {
		if j := old.point(s, &s.Points[i], layers); j >= 0 {
			out.Incident[i], out.Seen[i] = was.Incident[j], was.Seen[j]
			same = append(same, i)
		} else {
			other = append(other, i)
		}
	}
	if len(layers) == 0 {
		same = nil
	}
	limit := firstTime
	if len(same) > 0 && len(other) > 0 {
		limit /= 2
	}
	part := func(points, layers []int) error {
		if len(points) == 0 {
			return nil
		}
		sub := *s
		sub.Points = nil
		for _, i := range points {
			sub.Points = append(sub.Points, s.Points[i])
		}
		pw := w
		pw.Layers = layers
		m, err := timed(ctx, &sub, pw, limit)
		if err != nil {
			return err
		}
		for k, i := range points {
			out.Incident[i], out.Seen[i] = joined(out.Incident[i], m.Incident[k], layers),
				joined(out.Seen[i], m.Seen[k], layers)
		}
		return nil
	}
	if err := part(same, layers); err != nil {
		return nil, err
	}
	return out, part(other, nil)
}

// moved gives the layers whose light is another; alike is false where more
// than lights, camera and points has changed, so that nothing holds.
func (b *before) moved(s *stage.Stage) (layers []int, alike bool) {
	if b.measured == nil || len(b.of.Layers) != len(s.Layers) || s.Keys.Place != b.of.Keys.Place ||
		len(s.Keys.Lights) != len(b.of.Keys.Lights) {
		return nil, false
	}
	for l := range s.Layers {
		n := s.Layers[l].Light
		if n != b.of.Layers[l].Light || s.Layers[l].Name != b.of.Layers[l].Name {
			return nil, false
		}
		if n >= 0 && s.Keys.Lights[n] != b.of.Keys.Lights[n] {
			layers = append(layers, l)
		}
	}
	return layers, true
}

// point finds the point that is as it was, with the same
// shadows of the lights that did not move; -1 for none.
func (b *before) point(s *stage.Stage, p *stage.Point, moved []int) int {
	for j := range b.of.Points {
		if !samePoint(p, &b.of.Points[j]) || b.measured.Incident[j] == nil && b.measured.Seen[j] == nil {
			continue
		}
		for l := range s.Layers {
			if len(moved) == 0 || slices.Contains(moved, l) {
				continue
			}
			for _, r := range [2]*trace.Receptor{p.Incident, p.Seen} {
				if r != nil && s.Scene.VisibleShare(l, r) != b.of.Scene.VisibleShare(l, r) {
					return -1
				}
			}
		}
		return j
	}
	return -1
}

// joined puts freshly traced layers into an older transport; the
// whole fresh one where all layers (nil) were traced.
func joined(old, fresh *trace.Transport, layers []int) *trace.Transport {
	if layers == nil || old == nil || fresh == nil {
		return fresh
	}
	c := cloned(old)
	c.Before = nil // of other paths than what is joined
	to, from := parts(c), parts(fresh)
	for i := range to {
		for _, l := range layers {
			(*to[i])[l] = (*from[i])[l]
		}
	}
	c.Paths = min(old.Paths, fresh.Paths)
	return c
}

func samePoint(a, b *stage.Point) bool {
	same := func(x, y *trace.Receptor) bool { return x == nil && y == nil || x != nil && y != nil && *x == *y }
	return a.Name == b.Name && same(a.Incident, b.Incident) && same(a.Seen, b.Seen)
}

// timed measures for at most about limit; one round is always done, and none is begun that would
// not come to its end: each takes about as long as all before it.
func timed(ctx context.Context, s *stage.Stage, w meter.Work, limit time.Duration) (*meter.Measured, error) {
	c, stop := context.WithTimeout(ctx, limit)
	defer stop()
	began := time.Now()
	w.Progress = func(int, int) {
		if 2*time.Since(began) > limit {
			stop()
		}
	}
	m, err := meter.Measure(c, s, w)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err == nil {
		return m, nil
	}
	// Not even one round: the least there is, without a limit.
	w.Start, w.Samples, w.Progress = 1, trace.Reps, nil
	return meter.Measure(ctx, s, w)
}

// publish keeps readings and tells the pages.
func (e *engine) publish(h *setupState, m *model, s *stage.Stage, meas *meter.Measured, word string, asked float64) {
	v := readingsOf(m, h.index, s, meas, word, asked)
	v.Millis = float64(time.Since(m.born).Microseconds()) / 1000
	h.mu.Lock()
	if h.readings != nil && h.readings.Revision > m.rev {
		h.mu.Unlock()
		return
	}
	h.measured, h.full, h.of, h.word, h.asked, h.readings = meas, fullOf(s), s, word, asked, v
	h.announced = time.Now()
	var view *SetupView
	if h.rev == m.rev && h.sent != m.rev {
		view, h.sent = h.view, m.rev
	}
	h.broadcast()
	h.mu.Unlock()
	e.hub.send(Event{Kind: "readings", Revision: m.rev, Index: h.index, Word: word, Millis: v.Millis, Readings: v,
		View: view})
}

// look notes that a page looks at a setup, and asks for
// readings where those of the model are not there.
func (e *engine) look(h *setupState, m *model) {
	h.mu.Lock()
	h.seen = time.Now()
	have := h.readings != nil && h.readings.Revision >= m.rev
	built := h.stage != nil
	h.mu.Unlock()
	if !have && built {
		e.requestReadings(h)
	}
}
