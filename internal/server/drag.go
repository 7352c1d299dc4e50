package server

import (
	"context"
	"fmt"
	"slices"
	"time"

	"halfstop/content"
	"halfstop/meter"
	"halfstop/render"
	"halfstop/stage"
	"halfstop/trace"
)

// While a hand moves, every change stops the picture of the one before, so that none would ever be
// done. Pictures that follow a hand are of one change and are not stopped: small, on one thread
// beside the readings, and not more than so many a second, so that the readings stay quick.
const (
	handGap   = 700 * time.Millisecond // from one change to the next, at most: a hand that moves
	handEvery = 450 * time.Millisecond // from the begin of one picture to that of the next
	handSide  = 96                     // pixels
	handCells = 8                      // size of cells over those of a picture to judge
)

// dragging reports whether a model is one of many in a row that has just come.
func (m *model) dragging() bool {
	return !m.last.IsZero() && m.born.Sub(m.last) < handGap && time.Since(m.born) < handTime
}

// debounceTime is how long after a change what would be stopped by another is left
// alone: on a busy machine changes of a hand come more slowly.
func (m *model) debounceTime() time.Duration {
	if gap := m.born.Sub(m.last); !m.last.IsZero() && gap < handGap {
		return max(debounceLeast, 2*gap)
	}
	return debounceLeast
}

// dragPicture is the last picture that followed a drag.
type dragPicture struct {
	f  *film
	p  *encoded
	of *stage.Stage
}

// pictureDrag exposes a small picture of a change in a row of changes, where a
// page looks at the picture and the last such one is long enough ago.
func (e *engine) pictureDrag(h *setupState, m *model, s *stage.Stage) {
	if s.View == nil || !m.dragging() {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.wants == 0 || h.busy || time.Since(h.hand) < handEvery {
		return
	}
	key := pictureKey(s)
	if h.shown != nil && h.shown.key == key { // such as where a point moved
		return
	}
	h.busy, h.hand = true, time.Now()
	size := h.size
	go func() {
		defer e.queue.guard(fmt.Sprintf("film %d", h.index))
		defer func() {
			h.mu.Lock()
			h.busy = false
			h.mu.Unlock()
		}()
		if p := e.exposeDrag(h, m, s, key, size); p != nil {
			e.offerPicture(h, m, p)
		}
	}()
}

// exposeDrag exposes and denoises it. Where only lights moved the light of
// the others stands as it was, but for the shadow of what moved.
func (e *engine) exposeDrag(h *setupState, m *model, s *stage.Stage, key content.Key, size [2]int) *encoded {
	ctx := context.Background()
	cam := meter.CameraOf(s)
	w, ht := sizeOf(s, size[0], size[1], e.memory)
	if max(w, ht) > handSide {
		w, ht = sizeOf(s, max(16, w*handSide/max(w, ht)), 0, e.memory)
	}
	f := &film{key: key, full: fullOf(s), scene: s.Scene, f: trace.NewFilm(w, ht, len(s.Layers), lensOf(s, &cam))}
	was := h.dragged
	layers, keeps := []int(nil), func(int) bool { return false }
	if was.p != nil && was.p.w == w && was.p.h == ht && was.of.Keys.View == s.Keys.View {
		b := before{&meter.Measured{}, was.of, was.f.full}
		if moved, alike := b.moved(s); alike && len(moved) > 0 {
			layers, keeps = moved, func(l int) bool { return !slices.Contains(moved, l) }
		}
	}
	f.f.CacheCell, f.f.Threads = handCells*render.CacheCellSize(s, 0), 1
	rest := func() { // to wait is all
		e.turn.RLock()
		defer e.turn.RUnlock()
	}
	rest()
	if err := s.Scene.Expose(ctx, f.f, 1, 1, layers, func(int, int) { rest() }); err != nil {
		return nil
	}
	rest()
	p := encodeLayers(ctx, m, s, f, was.p, keeps)
	h.dragged = dragPicture{f, p, s}
	return p
}

// offerPicture shows a picture of an earlier change unless there is one as new.
func (e *engine) offerPicture(h *setupState, m *model, p *encoded) {
	h.mu.Lock()
	if h.shown != nil && (h.shown.rev >= m.rev || h.shown.key == p.key) {
		h.mu.Unlock()
		return
	}
	h.shown = p
	h.broadcast()
	h.mu.Unlock()
	e.hub.send(Event{Kind: "layers", Revision: m.rev, Index: h.index, Samples: p.samples})
}

// fits reports whether a picture of an earlier change can stand in
// for one of a stage: the same lights in the same colours.
func (p *encoded) fits(s *stage.Stage, colours content.Key) bool {
	return p.colours == colours && slices.EqualFunc(p.names, s.Layers,
		func(name string, l stage.Layer) bool { return name == l.Name })
}
