package day

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
)

// assemble schedules a route in the day's own time, with what each task waits for.
func (p *Plan) assemble(r *route) (*Day, error) {
	d := &Day{Order: r.order, Built: r.built, End: r.end, LeftOut: p.missing(r.set)}
	from, shot, t := p.Last, p.Shot, p.Begin
	picture := -1   // index of the picture before
	var gate []Link // what that picture waited for
	for k, to := range r.order {
		tasks, _ := p.Change(from, to, r.built&^shot)
		over := from < 0 || p.Shot&(1<<from) != 0
		start := t
		if !over {
			start = t - p.Setups[from].Shoot.Dur.Mean()
		}
		g := p.schedule(from, tasks, start, over)
		if g.err != nil {
			return nil, g.err
		}
		first := 0
		if !over {
			first = 1
			d.Tasks[picture].People = g.at[0].people
		}
		base := len(d.Tasks) - first
		var all []Link
		for i, at := range g.at {
			if i < first {
				continue
			}
			task := g.tasks[i]
			var after []Link
			for _, l := range task.After {
				if l.Task < first {
					after = append(after, Link{Task: picture})
				} else {
					after = append(after, Link{base + l.Task, l.Lag})
				}
			}
			if task.Early {
				after = append(after, gate...)
			}
			task.After = after
			all = append(all, Link{Task: len(d.Tasks)})
			d.Tasks = append(d.Tasks, Placed{Task: task, Setup: to, Start: at.start,
				End: at.start + task.Dur.Mean(), People: at.people})
		}
		s := p.Setups[to].Shoot
		s.After = all
		if picture >= 0 {
			s.After = append(s.After, Link{Task: picture})
		}
		s.NotBefore = max(s.NotBefore, p.Setups[to].Earliest)
		picture, gate = len(d.Tasks), s.After
		d.Tasks = append(d.Tasks, Placed{Task: s, Setup: to, Start: r.begin[k], End: r.begin[k] + s.Dur.Mean(),
			People: p.anyone(s)})
		t = r.begin[k] + s.Dur.Mean()
		from, shot = to, shot|1<<to
	}
	if p.Strike != nil {
		g := p.schedule(-1, p.Strike(from), t, true)
		if g.err != nil {
			return nil, g.err
		}
		base := len(d.Tasks)
		for i, at := range g.at {
			task := g.tasks[i]
			after := make([]Link, 0, len(task.After)+1)
			for _, l := range task.After {
				after = append(after, Link{base + l.Task, l.Lag})
			}
			if picture >= 0 {
				after = append(after, Link{Task: picture})
			}
			task.After = after
			d.Tasks = append(d.Tasks, Placed{Task: task, Setup: -1, Start: at.start,
				End: at.start + task.Dur.Mean(), People: at.people})
		}
	}
	d.link()
	p.slack(d)
	return d, nil
}

// anyone gives the first people who may do a task.
func (p *Plan) anyone(t Task) []int {
	var out []int
	for k, q := range p.People {
		if len(out) < t.Hands && slices.ContainsFunc(q.Skills,
			func(s string) bool { return slices.Contains(t.Who, s) }) {
			out = append(out, k)
		}
	}
	return out
}

// link adds to what tasks wait for the task that each of their people and things had before, and
// puts the tasks into order of time.
func (d *Day) link() {
	order := make([]int, len(d.Tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(d.Tasks[a].Start, d.Tasks[b].Start), cmp.Compare(d.Tasks[a].End,
			d.Tasks[b].End), cmp.Compare(a, b))
	})
	to := make([]int, len(order))
	for at, i := range order {
		to[i] = at
	}
	tasks := make([]Placed, len(order))
	person, thing := map[int]int{}, map[string]int{}
	for at, i := range order {
		t := d.Tasks[i]
		after := make([]Link, 0, len(t.After)+2)
		for _, l := range t.After {
			after = append(after, Link{to[l.Task], l.Lag})
		}
		for _, q := range t.People {
			if b, ok := person[q]; ok {
				after = append(after, Link{Task: b})
			}
			person[q] = at
		}
		for _, u := range t.Uses {
			if b, ok := thing[u]; ok {
				after = append(after, Link{Task: b})
			}
			thing[u] = at
		}
		t.After = after
		tasks[at] = t
	}
	d.Tasks = tasks
}

// slack works out how late each task may be: critical path method, backwards from the end of the
// day and from the latest beginnings of pictures.
func (p *Plan) slack(d *Day) {
	late := make([]int, len(d.Tasks))
	for i := range late {
		late[i] = d.End
	}
	for i := len(d.Tasks) - 1; i >= 0; i-- {
		t := &d.Tasks[i]
		if t.Setup >= 0 && t.ID == p.Setups[t.Setup].Shoot.ID {
			if w := p.Setups[t.Setup].Latest; w > 0 {
				late[i] = min(late[i], w+t.End-t.Start)
			}
			if p.Leave > 0 {
				late[i] = min(late[i], p.Leave)
			}
		}
		begin := late[i] - (t.End - t.Start)
		if t.Exactly {
			begin = min(begin, max(t.Start, t.NotBefore+t.Within))
		}
		t.Slack = begin - t.Start
		t.Critical = t.Slack <= 0
		for _, l := range t.After {
			late[l.Task] = min(late[l.Task], begin-l.Lag)
		}
	}
}

func (p *Plan) missing(set uint) []int {
	var out []int
	for i := range p.Setups {
		if set&(1<<i) == 0 {
			out = append(out, i)
		}
	}
	return out
}

// conflicts names, for each setup that is left out, why it cannot be and the smallest change that
// would let it in.
func (p *Plan) conflicts(r *route) []Conflict {
	var set uint
	if r != nil {
		set = r.set
	} else {
		set = p.Shot
	}
	var out []Conflict
	for _, i := range p.missing(set) {
		out = append(out, p.why(i, r))
	}
	return out
}

// why finds what keeps one setup out: alone on the day, then with the rest.
func (p *Plan) why(i int, r *route) Conflict {
	s := &p.Setups[i]
	for _, a := range s.After {
		if p.Shot&(1<<a) == 0 && (r == nil || r.set&(1<<a) == 0) {
			return Conflict{i, "day.after", fmt.Sprintf("%s waits for %s, which is left out", s.Name,
				p.Setups[a].Name),
				fmt.Sprintf("take %s out of its after, or make room for %s", p.Setups[a].Name, p.Setups[a].Name)}
		}
	}
	var few *ErrHands
	g, err := p.ready(p.Last, i, 0, p.Shot, p.Begin)
	switch {
	case err != nil:
		return Conflict{i, "day.plan", err.Error(), "mend the task it names"}
	case errors.As(g.err, &few):
		return Conflict{i, "day.hands", fmt.Sprintf("%s: %v", s.Name, g.err),
			fmt.Sprintf("add %d to the crew for it, or do it another way", few.Need-few.Have)}
	case !g.ok:
		return Conflict{i, "day.kit", fmt.Sprintf("the kit does not allow %s at all", s.Name),
			"hire what is missing, see pack"}
	}
	begin, dur := max(g.ready, s.Earliest), s.Shoot.Dur.Mean()
	if s.Latest > 0 && begin > s.Latest {
		return Conflict{i, "day.light-gone",
			fmt.Sprintf("%s can begin at %s at the earliest, even as the first picture; its light is gone after %s",
				s.Name, Clock(begin), Clock(s.Latest)), fmt.Sprintf("begin %d min earlier",
				minutesUp(begin-s.Latest))}
	}
	if p.Leave > 0 && begin+dur > p.Leave {
		return Conflict{i, "day.too-late",
			fmt.Sprintf("%s would end at %s even as the first picture; the sitter leaves at %s", s.Name,
				Clock(begin+dur), Clock(p.Leave)),
			fmt.Sprintf("begin %d min earlier, or ask for %d min more", minutesUp(begin+dur-p.Leave),
				minutesUp(begin+dur-p.Leave))}
	}
	extra, ok := p.lacking(i, r)
	if !ok {
		return Conflict{i, "day.no-room",
			fmt.Sprintf("%s cannot be had beside the others, however they are ordered", s.Name),
			"leave another out in its place, or widen its hours of light"}
	}
	return Conflict{i, "day.no-room",
		fmt.Sprintf("there is no time for %s beside the others: %d min are missing", s.Name, extra),
		fmt.Sprintf("ask for %d min more, shorten a picture, or leave another out", extra)}
}

// lacking gives how many minutes more at the end of the day would let a setup in beside those of a
// route; false where two hours would not.
func (p *Plan) lacking(i int, r *route) (minutes int, ok bool) {
	for _, m := range []int{5, 10, 15, 20, 30, 45, 60, 90, 120} {
		q := *p
		q.memo, q.Setups = map[changeKey]change{}, slices.Clone(p.Setups)
		q.Setups[i].Must = true
		for k := range q.Setups {
			q.Setups[k].Must = q.Setups[k].Must || r != nil && r.set&(1<<k) != 0
		}
		if q.Leave > 0 {
			q.Leave += m * 60
		}
		if q.Out > 0 {
			q.Out += m * 60
		}
		if o, err := q.route(context.Background(), 0); err == nil && o != nil {
			return m, true
		}
	}
	return 0, false
}

// Clock writes seconds after midnight as hh:mm, rounded to the minute.
func Clock(s int) string {
	m := (s + 30) / 60
	if s < 0 {
		return "-" + Clock(-s)
	}
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

func minutesUp(s int) int { return (s + 59) / 60 }
