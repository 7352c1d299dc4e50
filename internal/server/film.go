package server

import (
	"context"
	"fmt"
	"math"
	"runtime"
	"sync"
	"time"

	"halfstop/content"
	"halfstop/meter"
	"halfstop/render"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

// Sizes and passes of pictures.
const (
	usualSide   = 480
	mostSide    = 1600
	mostSamples = 128
	draftUpTo   = 2 // samples of the full size that come before fine readings; see firstSamples
	draftCells  = 4 // cells of a first picture over those of one to judge

	drawTime = 40 * time.Millisecond // from readings on: the browser draws them
	handTime = time.Second           // from a change on, while a hand may be moving, a core is left to the browser
)

// draftSides holds the long sides of the pictures that come before the one
// asked for: something to see at once, then something to judge.
var draftSides = []int{160, 300}

// firstSamples holds the samples of the first pass of a picture: of each of draftSides, then of the
// size asked for. One sample has no variance that the filter could go by: it leaves black and white
// specks along edges. Of a small picture more of them cost little beside its cells.
var firstSamples = []int{4, 2, draftUpTo}

// film is the picture of a setup as far as it is exposed. Only the queue's worker touches it.
type film struct {
	key   content.Key
	f     *trace.Film
	scene *trace.Scene
	full  []float64 // what each layer was traced at
	draft int       // number in draftSides; -1: the size asked for
	pass  int
	shown int // samples of the last picture made of it
	most  int // samples that it is brought to
}

// encoded is a picture ready to be sent. It is never changed.
type encoded struct {
	key, colours content.Key
	rev          int // model that it is of
	w, h         int
	samples      int
	pass         int
	final        bool // of the size asked for
	last         bool
	kept         bool // of a record's layers: nothing was traced for it
	film         *film
	names        []string        // by layer
	folds        []spectrum.Fold // by layer
	full         []float64       // what scales are for
	scales       []float64
	means        [][3]float64 // in the units of the half floats
	data         []byte       // see LayersHead
}

// sizeOf gives the picture's size for the sides asked (0: not asked), inside the limits and the
// camera's shape.
func sizeOf(s *stage.Stage, w, h int, memory int64) (int, int) {
	shape := float64(s.View.Format.Width / s.View.Format.Height)
	switch {
	case w <= 0 && h <= 0:
		w = usualSide
		if shape < 1 {
			w = int(math.Round(usualSide * shape))
		}
	case w <= 0:
		w = int(math.Round(float64(h) * shape))
	}
	w = min(max(w, 16), mostSide)
	h = int(math.Round(float64(w) / shape))
	if h > mostSide {
		w, h = int(math.Round(mostSide*shape)), mostSide
	}
	for w > 32 && filmBytes(s.Scene, w, h) > memory {
		w = w * 9 / 10
		h = int(math.Round(float64(w) / shape))
	}
	return w, max(h, 8)
}

// filmBytes is what a picture takes here: its film, and what is sent.
func filmBytes(sc *trace.Scene, w, h int) int64 {
	return sc.FilmBytes(w, h) + int64(w)*int64(h)*int64(sc.Layers)*6
}

// requestPicture asks for a setup's picture: of the newest model once its stage is there, see
// quickReadings.
func (e *engine) requestPicture(h *setupState) {
	rank := rankDraft
	m := e.book.snapshot()
	if m == nil || h.index >= len(m.job.File.Setups) {
		return
	}
	h.mu.Lock()
	if s := h.stage; s != nil && s.View != nil && h.rev == m.rev {
		key := pictureKey(s)
		if p := h.shown; p != nil && p.key == key && p.final && p.samples >= draftUpTo && p.colours == s.Keys.Colours {
			rank = rankFilm
		}
		if f := h.film; rank == rankDraft && f != nil && f.key == key && f.draft >= 0 && f.f.Samples > 0 {
			// In haze each draft takes a second and more: readings that a person may trust come
			// after the first.
			w, ht := sizeOf(s, h.size[0], h.size[1], e.memory)
			if nextDraft(f.draft+1, w, ht) < 0 || s.Scene.Medium != nil {
				rank = rankPicture
			}
		}
	}
	h.mu.Unlock()
	e.queue.put(&task{key: fmt.Sprintf("film %d", h.index), rank: rank,
		run: func(ctx context.Context) bool { return e.exposePass(ctx, h) }})
}

// nextDraft gives the first draft from r on that is clearly smaller than w × h; -1 for none.
func nextDraft(r, w, h int) int {
	if r < len(draftSides) && draftSides[r]*5 < max(w, h)*4 {
		return r
	}
	if r+1 < len(draftSides) {
		return nextDraft(r+1, w, h)
	}
	return -1
}

// exposePass exposes one pass of the picture and asks for the next.
func (e *engine) exposePass(ctx context.Context, h *setupState) bool {
	m := e.book.snapshot()
	if m == nil || h.index >= len(m.job.File.Setups) {
		return false
	}
	s, _ := e.current(m, h) // drafts are to see soon; that of the size asked for has a stage of its own
	if s == nil || s.View == nil {
		return false
	}
	key := pictureKey(s)
	h.mu.Lock()
	f, size, wants, p, told := h.film, h.size, h.wants, h.shown, h.announced
	h.mu.Unlock()
	if wants == 0 || e.showKept(h, m, s, key) {
		return false
	}
	wait := drawTime - time.Since(told)
	if m.dragging() { // the next change would only stop it; see follow
		wait = max(wait, m.debounceTime()-time.Since(m.born))
	}
	select {
	case <-time.After(wait):
	case <-ctx.Done():
		return true
	}
	w, ht := sizeOf(s, size[0], size[1], e.memory)
	cam := meter.CameraOf(s)
	draft := -2 // stay with the film there is
	switch {
	case f == nil || f.key != key || f.draft < 0 && (f.f.W != w || f.f.H != ht):
		draft = nextDraft(0, w, ht)
	case f.draft >= 0 && f.f.Samples > 0:
		draft = nextDraft(f.draft+1, w, ht)
	}
	if draft > -2 {
		st, pass := s, 0
		if f != nil && f.key == key {
			pass = f.pass
		}
		if draft < 0 { // the sitter drawn for the camera
			if st = e.portrait(ctx, m, h, key, w, ht); st == nil {
				return ctx.Err() != nil
			}
		}
		fw, fh := w, ht
		if draft >= 0 {
			fw, fh = sizeOf(s, max(16, w*draftSides[draft]/max(w, ht)), 0, e.memory)
		}
		f = &film{key: key, full: fullOf(st), scene: st.Scene, draft: draft, pass: pass, most: e.most,
			f: trace.NewFilm(fw, fh, len(st.Layers), lensOf(st, &cam))}
		if f.f.CacheCell = render.CacheCellSize(st, 0); draft >= 0 {
			f.f.CacheCell *= draftCells
		}
	} else if p != nil && p.key == key && p.colours != s.Keys.Colours && f.f.Samples > 0 {
		return e.develop(ctx, h, m, s, f) // other colours: fold the film anew before anything else
	}
	if f.f.Samples > f.shown { // stopped on the way to being shown
		return e.develop(ctx, h, m, s, f)
	}
	if f.f.Samples >= f.most {
		return false
	}
	h.mu.Lock()
	h.film = f // also when stopped: what is exposed stays
	h.mu.Unlock()
	if f.f.Threads = e.cores; time.Since(m.born) < handTime {
		f.f.Threads = max(1, e.cores-1)
	}
	told, began := time.Now(), time.Now()
	var mu sync.Mutex
	more := f.f.Samples // twice as many
	if more == 0 {
		if more = firstSamples[len(draftSides)]; f.draft >= 0 {
			more = firstSamples[f.draft]
		}
	}
	err := f.scene.Expose(ctx, f.f, max(1, min(more, f.most-f.f.Samples)), 1, nil, func(rows, of int) {
		mu.Lock()
		defer mu.Unlock()
		if now := time.Now(); now.Sub(told) > 400*time.Millisecond && now.Sub(began) > 800*time.Millisecond {
			told = now
			e.hub.send(Event{Kind: "progress", Revision: m.rev, Index: h.index, What: "picture",
				Done: float64(rows) / float64(of)})
		}
	})
	if err != nil {
		return ctx.Err() != nil
	}
	return e.develop(ctx, h, m, s, f)
}

// portrait is a stage for a picture that is being built or was; ready is closed when it is there.
type portrait struct {
	key   content.Key
	w, h  int
	ready chan struct{}
	stage *stage.Stage // nil: it cannot be built
}

// portrait builds the stage of a picture beside the queue, since a finely drawn sitter takes up to
// a second and readings shall not wait for it; nil where it cannot be built, or ctx ended first:
// then it goes on, and is there when it is asked for again. One is built at a time for a setup.
func (e *engine) portrait(ctx context.Context, m *model, h *setupState, key content.Key,
	w, ht int) *stage.Stage {
	for {
		h.mu.Lock()
		p := h.portrait
		if p == nil {
			p = &portrait{key: key, w: w, h: ht, ready: make(chan struct{})}
			h.portrait = p
			go func() {
				defer e.queue.guard(fmt.Sprintf("film %d", h.index))
				defer close(p.ready)
				p.stage, _ = e.pictureStage(m, h.index, w, ht)
			}()
		}
		h.mu.Unlock()
		select {
		case <-p.ready:
		case <-ctx.Done():
			return nil
		}
		h.mu.Lock()
		if h.portrait == p { // the film holds it from now on, or it is of another plan
			h.portrait = nil
		}
		h.mu.Unlock()
		if p.key == key && p.w == w && p.h == ht {
			return p.stage
		}
	}
}

// develop shows what is exposed and asks for more.
func (e *engine) develop(ctx context.Context, h *setupState, m *model, s *stage.Stage, f *film) (again bool) {
	f.pass++
	if !e.encodeFilm(ctx, h, m, s, f) {
		return true
	}
	f.shown = f.f.Samples
	e.requestPicture(h)
	return false
}

// encodeFilm makes a film ready to be sent, drops others where memory
// is short, and tells the pages; false where it was stopped.
func (e *engine) encodeFilm(ctx context.Context, h *setupState, m *model, s *stage.Stage, f *film) bool {
	h.mu.Lock()
	old := h.shown
	h.mu.Unlock()
	p := encodeLayers(ctx, m, s, f, old, func(l int) bool { return old.film == f && old.samples == f.f.Samples })
	if p == nil {
		return false
	}
	h.mu.Lock()
	h.shown = p
	h.broadcast()
	h.mu.Unlock()
	e.prune(h)
	e.hub.send(Event{Kind: "layers", Revision: m.rev, Index: h.index, Samples: p.samples})
	return true
}

// encodeLayers folds and denoises a film; nil where it was stopped. Layers that old (nil: none) has
// of the same light, as keeps says, stand as they are where their colours are the same.
func encodeLayers(ctx context.Context, m *model, s *stage.Stage, f *film, old *encoded,
	keeps func(l int) bool) *encoded {
	p := &encoded{key: f.key, colours: s.Keys.Colours, rev: m.rev, w: f.f.W, h: f.f.H, samples: max(1, f.f.Samples),
		pass: f.pass, final: f.draft < 0, last: f.draft < 0 && f.f.Samples >= f.most}
	for l := range s.Layers {
		p.folds = append(p.folds, s.Layers[l].Fold)
		p.names = append(p.names, s.Layers[l].Name)
	}
	var todo []int
	n := p.w * p.h * 6
	p.means = make([][3]float64, len(s.Layers))
	p.scales, p.data = make([]float64, len(s.Layers)), make([]byte, len(s.Layers)*n)
	p.film = f
	for l, full := range fullOf(s) {
		if old != nil && keeps(l) && old.folds[l] == p.folds[l] {
			copy(p.data[l*n:(l+1)*n], old.data[l*n:])
			p.scales[l], p.means[l] = old.scales[l]*full/old.full[l], old.means[l]
		} else {
			todo = append(todo, l)
		}
	}
	p.full = fullOf(s)
	var px [][][3]float32
	if len(todo) > 0 {
		var err error
		if px, err = render.DenoiseLayers(ctx, f.scene, f.f, todo, p.folds); err != nil {
			return nil // stopped
		}
	}
	eachLayer(len(todo), func(k int) {
		l := todo[k]
		scale := block(px[k], p.data[l*n:(l+1)*n])
		p.scales[l] = scale * p.full[l] / f.full[l]
		for _, c := range px[k] {
			for b, v := range c {
				p.means[l][b] += float64(v) / scale / float64(len(px[k]))
			}
		}
	})
	return p
}

func eachLayer(n int, do func(l int)) {
	work := make(chan int, n)
	for l := range n {
		work <- l
	}
	close(work)
	var wg sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for l := range work {
				do(l)
			}
		})
	}
	wg.Wait()
}

// prune drops the pictures seen longest ago until all fit into the memory.
func (e *engine) prune(but *setupState) {
	e.mu.Lock()
	list := make([]*setupState, 0, len(e.setups))
	for _, h := range e.setups {
		list = append(list, h)
	}
	e.mu.Unlock()
	for {
		total := int64(0)
		var oldest *setupState
		var when time.Time
		for _, h := range list {
			h.mu.Lock()
			if p := h.shown; p != nil {
				total += filmBytes(p.film.scene, p.w, p.h)
				if h != but && h.wants == 0 && (oldest == nil || h.seen.Before(when)) {
					oldest, when = h, h.seen
				}
			}
			h.mu.Unlock()
		}
		if total <= e.memory || oldest == nil {
			return
		}
		oldest.mu.Lock()
		oldest.film, oldest.shown = nil, nil
		oldest.mu.Unlock()
	}
}

// block packs a layer as half floats and gives the scale that brings them back.
func block(px [][3]float32, out []byte) (scale float64) {
	most := float32(0)
	for _, c := range px {
		for _, v := range c {
			if v = max(v, -v); v > most && !math.IsInf(float64(v), 0) {
				most = v
			}
		}
	}
	// A power of two that puts the brightest just under the largest
	// half float: 29 stops under it stay exact to 0.1 %.
	e := 0
	if most > 0 {
		_, e = math.Frexp(float64(most))
	}
	down := math.Ldexp(1, 15-e)
	for i, c := range px {
		for k, v := range c {
			h := toHalf(float32(float64(v) * down))
			out[6*i+2*k], out[6*i+2*k+1] = byte(h), byte(h>>8)
		}
	}
	return math.Ldexp(1, e-15)
}

// composite adds a picture's layers up for a stage's settings:
// XYZ on the scale where mid-grey has Y = 0.18.
func (p *encoded) composite(s *stage.Stage) []spectrum.XYZ {
	cam := meter.CameraOf(s)
	n := p.w * p.h
	out := make([]spectrum.XYZ, n)
	ex := exposureOf(s, &cam).Factor
	for l := range p.scales {
		k := s.Layers[l].K * float64(cam.Shutter)
		if s.Layers[l].Flash {
			k = s.Layers[l].K * cam.Lit()
		}
		k *= p.scales[l] * ex
		if k == 0 {
			continue
		}
		at := p.data[l*n*6:]
		for i := range out {
			out[i].X += k * fromHalf(uint16(at[6*i])|uint16(at[6*i+1])<<8)
			out[i].Y += k * fromHalf(uint16(at[6*i+2])|uint16(at[6*i+3])<<8)
			out[i].Z += k * fromHalf(uint16(at[6*i+4])|uint16(at[6*i+5])<<8)
		}
	}
	return out
}

// fromHalf decodes a finite IEEE 754 half float.
func fromHalf(h uint16) float64 {
	m, e := float64(h&0x3ff), int(h>>10&0x1f)
	v := math.Ldexp(m, -24)
	if e > 0 {
		v = math.Ldexp(1024+m, e-25)
	}
	if h&0x8000 != 0 {
		return -v
	}
	return v
}

// toHalf rounds to the nearest IEEE 754 half float, ties to even; what is
// too large becomes the largest finite one, not a number 0.
func toHalf(v float32) uint16 {
	b := math.Float32bits(v)
	sign := uint16(b >> 16 & 0x8000)
	b &= 0x7fffffff
	switch {
	case b > 0x7f800000:
		return 0
	case b >= 0x477ff000: // 65520 and over would round to infinity
		return sign | 0x7bff
	case b < 0x38800000: // under 2^-14: subnormal
		if b < 0x33000000 {
			return sign
		}
		shift := 126 - b>>23
		m := b&0x7fffff | 0x800000
		r := m >> shift
		rest := m & (1<<shift - 1)
		if mid := uint32(1) << (shift - 1); rest > mid || rest == mid && r&1 == 1 {
			r++
		}
		return sign | uint16(r)
	}
	r := (b - 0x38000000) >> 13
	if rest := b & 0x1fff; rest > 0x1000 || rest == 0x1000 && r&1 == 1 {
		r++
	}
	return sign | uint16(r)
}
