package day

import (
	"fmt"
	"slices"
	"strings"

	"halfstop/diag"
)

// Progress is how far a day is.
type Progress struct {
	Now     int      // seconds after midnight; 0: nothing has begun
	Done    []string // IDs of tasks that are over; 'Aisle: shoot' is the setup's picture
	Running []string // IDs of tasks under way, each taken to be half over
}

// IDs lists every task that any order of the plan may have, in the order of the file.
func (p *Plan) IDs() []string {
	var out []string
	seen := map[string]bool{}
	take := func(tasks []Task) {
		for i := range tasks {
			if !seen[tasks[i].ID] {
				seen[tasks[i].ID] = true
				out = append(out, tasks[i].ID)
			}
		}
	}
	for to := range p.Setups {
		for from := -1; from < len(p.Setups); from++ {
			if from != to {
				tasks, _ := p.Change(from, to, 0)
				take(tasks)
			}
		}
		take([]Task{p.Setups[to].Shoot})
	}
	if p.Strike != nil {
		take(p.Strike(-1))
	}
	return out
}

// Resume gives the plan from a moment on: what is done is kept, what runs takes half its time. An
// unknown task is an error that offers the nearest name.
func (p *Plan) Resume(g Progress) (*Plan, error) {
	known := p.IDs()
	state := map[string]float64{}
	for k, list := range [][]string{g.Done, g.Running} {
		for _, id := range list {
			i := slices.IndexFunc(known, func(s string) bool { return strings.EqualFold(s, id) })
			if i < 0 {
				text := fmt.Sprintf("there is no task called %q", id)
				if near := diag.Nearest(id, known); near != "" {
					text += fmt.Sprintf("; did you mean %q?", near)
				}
				return nil, fmt.Errorf("%s", text)
			}
			state[known[i]] = []float64{0, 0.5}[k]
		}
	}
	q := *p
	if g.Now > 0 {
		q.Begin = max(p.Begin, g.Now)
	}
	q.Setups = slices.Clone(p.Setups)
	q.Last = -1
	fixed := slices.Clone(p.Fixed)
	// The last picture that was taken stands: by the order that is kept, else by the order in
	// which they were said to be done.
	for _, id := range g.Done {
		for i := range q.Setups {
			if strings.EqualFold(q.Setups[i].Shoot.ID, id) {
				q.Shot |= 1 << i
				q.Last = i
			}
		}
	}
	for i := range q.Setups {
		if k, ok := state[q.Setups[i].Shoot.ID]; ok && k > 0 {
			q.Setups[i].Shoot.Dur = q.Setups[i].Shoot.Dur.Times(k)
		}
	}
	if p.Fixed != nil {
		q.Fixed = []int{}
		for _, i := range fixed {
			if q.Shot&(1<<i) == 0 {
				q.Fixed = append(q.Fixed, i)
			}
		}
	}
	// Once the sitter is there the pre-light's arrival lies behind.
	q.Change = func(from, to int, standing uint) ([]Task, bool) {
		tasks, ok := p.Change(from, to, standing)
		return remaining(tasks, state), ok
	}
	q.Strike = func(last int) []Task { return remaining(p.Strike(last), state) }
	q.memo = nil
	return &q, nil
}

// remaining drops the tasks that are over and halves those under way. What waited for a task that
// is over waits for nothing.
func remaining(tasks []Task, state map[string]float64) []Task {
	at := make([]int, len(tasks))
	var out []Task
	for i := range tasks {
		at[i] = -1
		k, known := state[tasks[i].ID]
		if known && k == 0 {
			continue
		}
		at[i] = len(out)
		t := tasks[i]
		if known {
			t.Dur, t.NotBefore = t.Dur.Times(k), 0
		}
		out = append(out, t)
	}
	for i := range out {
		var after []Link
		for _, l := range out[i].After {
			if at[l.Task] >= 0 {
				after = append(after, Link{at[l.Task], l.Lag})
			}
		}
		out[i].After = after
	}
	return out
}
