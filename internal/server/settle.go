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

// better asks for first readings anew, on a stage of its own and closer, once the hand is at rest.
func (e *engine) better(h *held) {
	e.settle(h, "better", rankBetter, betterTime, func(c, ctx context.Context, m *model, s *stage.Stage, keys lightKeys) bool {
		var last *meter.Measured
		meas, err := meter.Measure(c, s, meter.Work{Seed: 1, Start: 4, Error: betterError, Threads: e.cores, Interim: func(x *meter.Measured) { last = x }})
		if ctx.Err() != nil {
			return true
		}
		if err != nil {
			meas = last
		}
		if meas != nil && e.closer(h, s, meas) {
			e.publish(h, m, s, keys, meas, "first", betterError)
		}
		return false
	})
}

// fine asks for settled readings. Those on the way are told as first ones.
func (e *engine) fine(h *held) {
	e.settle(h, "fine", rankFine, fineTime, func(c, ctx context.Context, m *model, s *stage.Stage, keys lightKeys) bool {
		began := time.Now()
		told, shown := began, began
		meas, err := meter.Measure(c, s, meter.Work{Seed: 1, Start: 16, Error: fineError, Threads: e.cores, Progress: func(done, most int) {
			if time.Since(told) > 400*time.Millisecond {
				told = time.Now()
				e.hub.send(Event{Kind: "progress", Revision: m.rev, Index: h.index, What: "readings", Done: math.Min(1, float64(time.Since(began))/float64(fineTime))})
			}
		}, Interim: func(x *meter.Measured) {
			if time.Since(shown) > betterTime && c.Err() == nil && e.closer(h, s, x) {
				shown = time.Now()
				e.publish(h, m, s, keys, x, "first", betterError)
			}
		}})
		if ctx.Err() != nil {
			return true
		}
		if err == nil && meas != nil {
			e.publish(h, m, s, keys, meas, "fine", fineError)
		}
		return false
	})
}

// settle runs a measurement of the newest model on a settled stage, once the hand is at rest, for limit at most (c); ctx ends where it is
// stopped for something more urgent.
func (e *engine) settle(h *held, name string, rank int, limit time.Duration, do func(c, ctx context.Context, m *model, s *stage.Stage, keys lightKeys) (again bool)) {
	e.queue.put(&task{key: fmt.Sprintf("%s %d", name, h.index), rank: rank, run: func(ctx context.Context) bool {
		m := e.book.snapshot()
		if m == nil || h.index >= len(m.job.File.Setups) {
			return false
		}
		select { // a hand that moves on would only stop it
		case <-time.After(restTime - time.Since(m.born)):
		case <-ctx.Done():
			return true
		}
		s, _ := e.settled(m, h)
		if s == nil {
			return false
		}
		keys, _ := keysOf(m.job.File, h.index)
		c, stop := context.WithTimeout(ctx, limit)
		defer stop()
		return do(c, ctx, m, s, keys)
	}})
}

// closer reports whether the point that is known worst is known better by meas than by what is shown.
func (e *engine) closer(h *held, s *stage.Stage, meas *meter.Measured) bool {
	h.mu.Lock()
	v := h.readings
	h.mu.Unlock()
	if v == nil {
		return true
	}
	was, is := 0.0, 0.0
	for _, p := range v.Readings.Points {
		was = max(was, p.Error, p.StopsError)
	}
	for _, r := range meter.Weigh(s, meas, meter.CameraOf(s)) {
		is = max(is, float64(r.Error), float64(r.SeenError))
	}
	return is <= was
}
