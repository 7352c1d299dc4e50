package server

import (
	"context"
	"fmt"
	"math"
	"time"

	"halfstop/meter"
	"halfstop/stage"
)

// Readings once a hand rests: closer ones, then fine ones, with those on the way.

// betterReadings asks for fine readings where they come soon, before the picture of
// the size asked for; else for as close ones as come in that time.
func (e *engine) betterReadings(h *setupState) { e.refine(h, "better", rankBetter, betterTime) }

// fineReadings asks for fine readings.
func (e *engine) fineReadings(h *setupState) { e.refine(h, "fine", rankFine, fineTime) }

// refine measures the newest model on a canonical stage, once the hand is at rest, for limit at
// most. Interim results are published as first readings where it is no worse than what is shown.
func (e *engine) refine(h *setupState, name string, rank int, limit time.Duration) {
	e.debounced(h, name, rank, limit, func(c, ctx context.Context, m *model, s *stage.Stage) bool {
		began := time.Now()
		told, shown := began, began
		var last *meter.Measured
		tell := func(x *meter.Measured) {
			if last = nil; e.closer(h, s, x) {
				e.publish(h, m, s, x, "first", betterError)
			}
		}
		meas, err := meter.Measure(c, s, meter.Work{Seed: 1, Start: 16, Error: e.finest, Soon: true, Threads: e.cores,
			Progress: func(done, most int) {
				if rank == rankFine && time.Since(told) > 400*time.Millisecond {
					told = time.Now()
					e.hub.send(Event{Kind: "progress", Revision: m.rev, Index: h.index, What: "readings",
						Done: math.Min(1, float64(time.Since(began))/float64(fineTime))})
				}
			}, Interim: func(x *meter.Measured) {
				if last = x; c.Err() == nil && time.Since(shown) > interimInterval {
					shown = time.Now()
					tell(x)
				}
			}})
		switch {
		case ctx.Err() != nil:
			return true
		case err == nil && meas != nil && (!meas.Stopped || rank == rankFine):
			e.publish(h, m, s, meas, "fine", float64(e.finest))
		case last != nil:
			tell(last)
		}
		return false
	})
}

// debounced runs a task on a canonical stage of the newest model once the hand is at rest, unless
// its readings are fine already, for limit at most (c); ctx ends where it is stopped for something
// more urgent.
func (e *engine) debounced(h *setupState, name string, rank int, limit time.Duration,
	do func(c, ctx context.Context, m *model, s *stage.Stage) (again bool)) {
	e.queue.put(&task{key: fmt.Sprintf("%s %d", name, h.index), rank: rank, run: func(ctx context.Context) bool {
		m := e.book.snapshot()
		if m == nil || h.index >= len(m.job.File.Setups) {
			return false
		}
		select { // a hand that moves on would only stop it
		case <-time.After(m.debounceTime() - time.Since(m.born)):
		case <-ctx.Done():
			return true
		}
		h.mu.Lock()
		fine := h.readings != nil && h.readings.Revision == m.rev && h.word == "fine"
		h.mu.Unlock()
		if fine {
			return false
		}
		s, _ := e.canonical(m, h)
		if s == nil {
			return false
		}
		c, stop := context.WithTimeout(ctx, limit)
		defer stop()
		return do(c, ctx, m, s)
	}})
}

// closer reports whether the point that is known worst is
// known better by meas than by what is shown.
func (e *engine) closer(h *setupState, s *stage.Stage, meas *meter.Measured) bool {
	h.mu.Lock()
	v := h.readings
	h.mu.Unlock()
	if v == nil {
		return true
	}
	was := 0.0
	for _, p := range v.Readings.Points {
		was = max(was, p.Error, p.StopsError)
	}
	return e.worst(s, meas) <= was
}

// worst is the standard error of the point that is known worst, stops.
func (e *engine) worst(s *stage.Stage, meas *meter.Measured) (is float64) {
	for _, r := range meter.Weigh(s, meas, meter.CameraOf(s)) {
		is = max(is, float64(r.Error), float64(r.SeenError))
	}
	return is
}
