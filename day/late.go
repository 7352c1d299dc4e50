package day

import (
	"fmt"
	"slices"
	"strings"

	"halfstop/diag"
)

// Progress is how far a day is.
type Progress struct {
	Now     int            // seconds after midnight; 0: nothing has begun
	Done    []string       // IDs of tasks that are over; 'Aisle: shoot' is the setup's picture
	Running []string       // IDs of tasks under way
	Since   map[string]int // when those began, seconds after midnight; one that is not here is half over
}

// IDs lists every task that any order of the plan may have, in the order of the file.
func (p *Plan) IDs() []string {
	var out []string
	for _, t := range p.tasks() {
		out = append(out, t.ID)
	}
	return out
}

// tasks are all that a plan may come to, each once.
func (p *Plan) tasks() []Task {
	var out []Task
	seen := map[string]bool{}
	take := func(tasks []Task) {
		for i := range tasks {
			if !seen[tasks[i].ID] {
				seen[tasks[i].ID] = true
				out = append(out, tasks[i])
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

// Resume gives the plan from a moment on: what is done is kept, what runs takes what is left of it.
// A picture that is taken or being taken means that all that led to it is done. An unknown task is
// an error that offers the nearest name.
func (p *Plan) Resume(g Progress) (*Plan, error) {
	known := p.IDs()
	left := map[string]func(Duration) Duration{}
	for k, list := range [][]string{g.Done, g.Running} {
		for _, id := range list {
			i, err := find(id, known)
			if err != nil {
				return nil, err
			}
			left[known[i]] = none
			if k == 1 {
				left[known[i]] = g.left(known[i])
			}
		}
	}
	q := *p
	if g.Now > 0 {
		q.Begin = max(p.Begin, g.Now)
	}
	q.Setups, q.Last, q.memo = slices.Clone(p.Setups), -1, nil
	// The last picture that was taken stands: by the order in which they were said to be done.
	for _, id := range g.Done {
		for i := range q.Setups {
			if strings.EqualFold(q.Setups[i].Shoot.ID, id) {
				q.Shot |= 1 << i
				q.Last = i
			}
		}
	}
	for i := range q.Setups {
		f, ok := left[q.Setups[i].Shoot.ID]
		if !ok || q.Shot&(1<<i) != 0 {
			continue
		}
		q.Setups[i].Shoot.Dur = f(q.Setups[i].Shoot.Dur)
		q.Setups[i].Earliest, q.Setups[i].Latest = 0, 0 // it has begun
		q.running = i + 1
	}
	if p.Fixed != nil {
		q.Fixed = slices.DeleteFunc(slices.Clone(p.Fixed), func(i int) bool { return q.Shot&(1<<i) != 0 })
	}
	if q.running > 0 && q.Fixed != nil {
		q.Fixed = slices.DeleteFunc(q.Fixed, func(i int) bool { return i == q.running-1 })
		q.Fixed = slices.Insert(q.Fixed, 0, q.running-1)
	}
	// Once the sitter is there the pre-light's arrival lies behind.
	q.Change = func(from, to int, standing uint) ([]Task, bool) {
		if q.running == to+1 {
			return nil, true
		}
		tasks, ok := p.Change(from, to, standing)
		return remaining(tasks, left), ok
	}
	if p.Strike != nil {
		q.Strike = func(last int) []Task { return remaining(p.Strike(last), left) }
	}
	return &q, nil
}

// find gives the place of a task's ID among those known, or an error with the nearest.
func find(id string, known []string) (int, error) {
	i := slices.IndexFunc(known, func(s string) bool { return strings.EqualFold(s, id) })
	if i >= 0 {
		return i, nil
	}
	if near := diag.Nearest(id, known); near != "" {
		return -1, fmt.Errorf("there is no task called %q; did you mean %q?", id, near)
	}
	return -1, fmt.Errorf("there is no task called %q", id)
}

func none(Duration) Duration { return Duration{} }

// left gives what is left of a task under way: its duration less what it has taken, or half of it.
func (g *Progress) left(id string) func(Duration) Duration {
	since, ok := g.Since[id]
	if !ok || g.Now <= 0 {
		return func(d Duration) Duration { return d.Times(0.5) }
	}
	over := float64(max(0, g.Now-since)) / 60
	return func(d Duration) Duration {
		// What has taken longer than it ever does is taken to be over within a minute.
		return Duration{max(0, d.Low-over), max(0, d.Likely-over), max(min(1, d.High), d.High-over)}
	}
}

// remaining drops the tasks that are over and shortens those under way. What waited for a task that
// is over waits for nothing.
func remaining(tasks []Task, left map[string]func(Duration) Duration) []Task {
	at := make([]int, len(tasks))
	var out []Task
	for i := range tasks {
		at[i] = -1
		f, known := left[tasks[i].ID]
		if known && f(tasks[i].Dur) == (Duration{}) {
			continue
		}
		at[i] = len(out)
		t := tasks[i]
		if known {
			t.Dur, t.NotBefore, t.Exactly = f(t.Dur), 0, false
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
