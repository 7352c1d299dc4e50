package server

import (
	"context"
	"net/http"
	"time"

	"halfstop/meter"
	"halfstop/ways"
)

// WaysView is what can be done about the targets that the balanced look misses.
type WaysView struct {
	Revision int           `json:"revision"`
	Ways     ways.WaysJSON `json:"ways"`
	Takes    []Take        `json:"takes" doc:"for each way: what to send to /api/edit to take it, the look balanced again with it"`
}

// Take is a way as a change of the text.
type Take struct {
	Name  string `json:"name"`
	Edits []Edit `json:"edits"`
}

// waysTime bounds the search for ways out; what was found
// by then is given, and said to be cut short.
const waysTime = 45 * time.Second

func (s *Server) getWays(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	if st, v := s.engine.current(m, h); st == nil {
		return &refusal{http.StatusUnprocessableEntity, Problem{Error: "the setup cannot be built as it is written",
			Messages: v.Messages}}
	}
	ctx, stop := context.WithTimeout(r.Context(), waysTime)
	defer stop()
	s.ways.Lock() // one search at a time: each takes the whole machine
	defer s.ways.Unlock()
	over := make(chan struct{})
	defer close(over)
	go func() { // a change of the shoot ends it
		t := time.NewTicker(100 * time.Millisecond)
		defer t.Stop()
		for {
			select {
			case <-over:
				return
			case <-s.done:
				stop()
				return
			case <-t.C:
				if s.book.snapshot() != m {
					stop()
					return
				}
			}
		}
	}()
	f, _, err := m.job.Shoot().Find(ctx, h.index, ways.Work{Point: r.FormValue("point"), Meter: meter.Work{Seed: 1},
		Progress: func(done, of int) {
			s.hub.send(Event{Kind: "progress", Revision: m.rev, Index: h.index, What: "ways",
				Done: float64(done) / float64(max(1, of))})
		}})
	if s.book.snapshot() != m {
		return errStale
	}
	if f == nil {
		if err == nil || ctx.Err() != nil {
			return refuse(http.StatusServiceUnavailable,
				"the search for ways out was stopped before it found any; ask again")
		}
		return err
	}
	out := WaysView{Revision: m.rev, Ways: f.JSON(), Takes: []Take{}}
	for _, way := range out.Ways.Ways {
		t := Take{Name: way.Words, Edits: []Edit{}}
		for _, e := range way.Adds {
			t.Edits = append(t.Edits, Edit{Append: e.Path, Value: e.Value})
		}
		for _, e := range way.Edits {
			t.Edits = append(t.Edits, Edit{Set: e.Path, Value: e.Value})
		}
		for _, p := range way.Deletes {
			t.Edits = append(t.Edits, Edit{Delete: p})
		}
		out.Takes = append(out.Takes, t)
	}
	return give(w, out)
}
