package day

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"halfstop/diag"
)

// Lock holds a task of the plan: the minute in which it begins, the people who do it, or both.
type Lock struct {
	Task string
	At   int      // seconds after midnight; 0: any time
	By   []string // names; none: anyone who may
}

// minute is how much later than its lock a task may begin, seconds: clocks of a day show minutes.
const minute = 59

// Lock gives the plan with tasks held where a person has put them. A lock whose minute lies before
// the plan's beginning holds no more. The error names a task or a person that is not known, with
// the nearest, or who may not do it; index says which lock.
func (p *Plan) Lock(list []Lock) (q *Plan, index int, err error) {
	if len(list) == 0 {
		return p, -1, nil
	}
	known := p.IDs()
	held := map[string]Lock{}
	named := map[string]bool{}
	for i, l := range list {
		k, err := find(l.Task, known)
		if err != nil {
			return nil, i, err
		}
		if l.By, err = p.named(l.By); err != nil {
			return nil, i, err
		}
		for _, who := range l.By {
			named[who] = true
		}
		if l.At < p.Begin {
			l.At = 0
		}
		held[known[k]] = l
	}
	r := *p
	r.memo, r.People, r.Setups = nil, slices.Clone(p.People), slices.Clone(p.Setups)
	for i := range r.People {
		if q := &r.People[i]; named[q.Name] {
			q.Skills = append(slices.Clone(q.Skills), as(q.Name))
		}
	}
	for i := range r.Setups {
		s := &r.Setups[i]
		l, ok := held[s.Shoot.ID]
		if !ok || p.running == i+1 {
			continue
		}
		if l.At > 0 {
			s.Earliest = max(s.Earliest, l.At)
			if s.Latest == 0 || l.At+minute < s.Latest {
				s.Latest = l.At + minute
			}
		}
		s.Shoot = by(s.Shoot, l)
	}
	hold := func(tasks []Task) []Task {
		out := slices.Clone(tasks)
		for i := range out {
			if l, ok := held[out[i].ID]; ok {
				out[i] = by(out[i], l)
				if l.At > 0 {
					out[i].NotBefore, out[i].Exactly, out[i].Within = l.At, true, minute
				}
			}
		}
		return out
	}
	r.Change = func(from, to int, standing uint) ([]Task, bool) {
		tasks, ok := p.Change(from, to, standing)
		return hold(tasks), ok
	}
	if p.Strike != nil {
		r.Strike = func(last int) []Task { return hold(p.Strike(last)) }
	}
	return &r, -1, nil
}

// named gives the names of people as the plan has them.
func (p *Plan) named(names []string) ([]string, error) {
	var all, out []string
	for _, q := range p.People {
		all = append(all, q.Name)
	}
	for _, n := range names {
		i := slices.IndexFunc(all, func(s string) bool { return strings.EqualFold(s, n) })
		if i < 0 {
			if near := diag.Nearest(n, all); near != "" {
				return nil, fmt.Errorf("there is nobody called %q; did you mean %q?", n, near)
			}
			return nil, fmt.Errorf("there is nobody called %q: %s", n, strings.Join(all, ", "))
		}
		out = append(out, all[i])
	}
	return out, nil
}

// as is the skill to be one person.
func as(name string) string { return "@" + name }

// by hands a task to the people of its lock.
func by(t Task, l Lock) Task {
	if len(l.By) == 0 {
		return t
	}
	t.Who, t.Hands = nil, len(l.By)
	for _, n := range l.By {
		t.Who = append(t.Who, as(n))
	}
	return t
}

// LockConflicts names the locks that keep pictures out: without the one of them more would be shot.
// d is the day with them. The smallest change is the time at which the task would begin then.
func (p *Plan) LockConflicts(ctx context.Context, list []Lock, d *Day) []Conflict {
	if len(d.LeftOut) == 0 {
		return nil
	}
	var out []Conflict
	for i, l := range list {
		q, _, err := p.Lock(slices.Delete(slices.Clone(list), i, i+1))
		if err != nil {
			continue
		}
		e, err := q.Solve(ctx)
		if err != nil || len(e.LeftOut) >= len(d.LeftOut) {
			continue
		}
		var back []string
		for _, k := range d.LeftOut {
			if !slices.Contains(e.LeftOut, k) {
				back = append(back, p.Setups[k].Name)
			}
		}
		what, fix := "where it is", "unlock it"
		if l.At > 0 {
			what = "at " + Clock(l.At)
		}
		for _, t := range e.Tasks {
			if strings.EqualFold(t.ID, l.Task) {
				fix = fmt.Sprintf("let it begin at %s, or unlock it", Clock(t.Start))
			}
		}
		out = append(out, Conflict{-1, "day.lock", fmt.Sprintf("'%s' held %s keeps out %s", l.Task, what,
			strings.Join(back, " and ")), fix})
	}
	return out
}
