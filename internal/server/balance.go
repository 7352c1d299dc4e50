package server

import (
	"context"
	"math"
	"net/http"
	"slices"
	"strings"
	"time"

	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/ways"
)

// BalanceAsk asks for settings.
type BalanceAsk struct {
	Revision int      `json:"revision"`
	Held     []HoldAt `json:"held,omitempty" doc:"levels held on top of the look; each takes the place of the look's own wish about the level of that point"`
	Locks    []string `json:"locks,omitempty" doc:"names of lights that stay as they are, beside those locked in the file"`
}

// HoldAt is one level held.
type HoldAt struct {
	Point string  `json:"point"`
	Kind  string  `json:"kind" words:"reads|stops"`
	Value float64 `json:"value" doc:"reads: f-number; stops: stops to mid-grey in the picture"`
}

// BalanceView is what was found.
type BalanceView struct {
	Revision int              `json:"revision"`
	Balance  ways.BalanceJSON `json:"balance"`
	Edits    []Edit           `json:"edits" doc:"send to /api/edit to take it"`
}

func (s *Server) postBalance(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	var a BalanceAsk
	if err := take(w, r, &a); err != nil {
		return err
	}
	if m.rev != a.Revision {
		return errStale
	}
	st, v := s.engine.current(m, h)
	if st == nil {
		return &refusal{http.StatusUnprocessableEntity, Problem{Error: "the setup cannot be built as it is written",
			Messages: v.Messages}}
	}
	ctx, stop := context.WithTimeout(r.Context(), 20*time.Second)
	defer stop()
	meas, err := s.engine.light(ctx, m, h)
	if err != nil {
		return refuse(http.StatusServiceUnavailable, "the readings are not there yet; ask again")
	}
	asked, err := s.held(st, &a)
	if err != nil {
		return err
	}
	b, err := ways.Balance(ctx, asked, meas)
	if err != nil && b == nil {
		return err
	}
	out := BalanceView{Revision: m.rev, Balance: b.JSON(), Edits: []Edit{}}
	for _, e := range b.Edits() {
		out.Edits = append(out.Edits, Edit{Set: e.Path, Value: e.Value})
	}
	return give(w, out)
}

// held gives a stage whose look has the levels held, each
// a must, and whose lights are locked as asked.
func (s *Server) held(st *stage.Stage, a *BalanceAsk) (*stage.Stage, error) {
	setup := *st.Setup
	setup.Look = slices.Clone(setup.Look)
	setup.Lights = slices.Clone(setup.Lights)
	for _, name := range a.Locks {
		l := st.LayerNamed(name)
		if l < 0 {
			return nil, refuse(http.StatusUnprocessableEntity, "there is no light called %q in %s", name, setup.Name)
		}
		if i := st.Layers[l].Light; i >= 0 {
			setup.Lights[i].Lock = true
		}
	}
	for _, w := range a.Held {
		if st.PointNamed(w.Point) < 0 {
			return nil, refuse(http.StatusUnprocessableEntity, "there is no point called %q in %s", w.Point, setup.Name)
		}
		for i := range setup.Look {
			if l := &setup.Look[i]; strings.EqualFold(l.Point, w.Point) {
				l.Reads, l.Stops, l.Above, l.Below, l.Darkest, l.Brightest, l.Ratio = nil, nil, "", "", nil, nil, ""
			}
		}
		wish := shoot.Wish{Point: w.Point, Priority: "must", Weight: 1, Strict: true}
		switch {
		case w.Kind == "reads" && w.Value > 0 && w.Value < 1000:
			wish.Reads = &shoot.Reading{N: q.FNumber(w.Value)}
		case w.Kind == "stops" && math.Abs(w.Value) < 40:
			v := q.Stops(w.Value)
			wish.Stops = &v
		default:
			return nil, refuse(http.StatusBadRequest, "held: %s %g: kind is reads with an f-number, or stops",
				w.Kind, w.Value)
		}
		setup.Look = append(setup.Look, wish)
	}
	out := *st
	out.Setup = &setup
	return &out, nil
}

// light gives what was measured for a model, waiting for it.
func (e *engine) light(ctx context.Context, m *model, h *setupState) (*meter.Measured, error) {
	e.look(h, m)
	s, _ := e.current(m, h)
	for {
		h.mu.Lock()
		meas, full, news := h.measured, h.full, h.changed
		good := meas != nil && s != nil && h.of.Keys.Light() == s.Keys.Light() && h.rev >= m.rev
		var now []float64
		if good {
			now = fullOf(s)
		}
		h.mu.Unlock()
		if good {
			return rescaled(meas, full, now), nil
		}
		select {
		case <-news:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}
