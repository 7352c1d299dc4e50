package server

import (
	"context"
	"runtime/debug"
	"sync"
)

// task is one piece of rendering. run reports whether it wants to go on later (it was stopped for
// something more urgent).
type task struct {
	key  string // a newer task of the same key replaces one that waits
	rank int    // 0 goes first
	keep bool   // once running it is finished, also when a newer one of its key comes: so that a drag gets answers
	run  func(ctx context.Context) (again bool)

	seq  uint64
	gone bool // dropped while it ran
}

// queue runs one task at a time: the lowest rank first, and among
// equals the newest. A more urgent task stops a running one.
type queue struct {
	mu      sync.Mutex
	wait    map[string]*task
	running *task
	cancel  context.CancelFunc
	seq     uint64
	wake    chan struct{}
	before  func(key string)
	faulted func(key string, v any, stack []byte)
}

func newQueue(before func(key string), faulted func(key string, v any, stack []byte)) *queue {
	return &queue{wait: map[string]*task{}, wake: make(chan struct{}, 1), before: before, faulted: faulted}
}

// put adds a task.
func (q *queue) put(t *task) {
	q.mu.Lock()
	q.seq++
	t.seq = q.seq
	q.wait[t.key] = t
	if r := q.running; r != nil && q.cancel != nil {
		if r.rank > t.rank && !r.keep || r.key == t.key && !r.keep {
			q.cancel()
		}
	}
	q.mu.Unlock()
	select {
	case q.wake <- struct{}{}:
	default:
	}
}

// has reports whether a task of a key waits or runs.
func (q *queue) has(key string) bool {
	q.mu.Lock()
	defer q.mu.Unlock()
	return q.wait[key] != nil || q.running != nil && q.running.key == key
}

// drop takes a task out again, also when it runs.
func (q *queue) drop(t *task) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if q.wait[t.key] == t {
		delete(q.wait, t.key)
	}
	if q.running == t && q.cancel != nil {
		t.gone = true
		q.cancel()
	}
}

// work runs tasks until ctx ends.
func (q *queue) work(ctx context.Context) {
	for {
		t, c := q.next(ctx)
		if t == nil {
			select {
			case <-ctx.Done():
				return
			case <-q.wake:
				continue
			}
		}
		again := q.one(c, t)
		q.mu.Lock()
		q.cancel()
		q.running, q.cancel = nil, nil
		if _, newer := q.wait[t.key]; again && !newer && !t.gone && ctx.Err() == nil {
			q.wait[t.key] = t
		}
		q.mu.Unlock()
	}
}

// next takes the most urgent task.
func (q *queue) next(ctx context.Context) (*task, context.Context) {
	q.mu.Lock()
	defer q.mu.Unlock()
	if ctx.Err() != nil {
		return nil, nil
	}
	var best *task
	for _, t := range q.wait {
		if best == nil || t.rank < best.rank || t.rank == best.rank && t.seq > best.seq {
			best = t
		}
	}
	if best == nil {
		return nil, nil
	}
	delete(q.wait, best.key)
	c, cancel := context.WithCancel(ctx)
	q.running, q.cancel = best, cancel
	return best, c
}

// one runs a task; a fault in it becomes a message.
func (q *queue) one(ctx context.Context, t *task) (again bool) {
	defer q.guard(t.key)
	if q.before != nil {
		q.before(t.key)
	}
	return t.run(ctx)
}

// guard catches a fault of the goroutine that it is deferred in.
func (q *queue) guard(key string) {
	if v := recover(); v != nil {
		q.faulted(key, v, debug.Stack())
	}
}
