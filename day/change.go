package day

import (
	"cmp"
	"errors"
	"math/bits"
	"slices"
)

// project is one change to schedule: tasks on people, to be over as early as may be.
type project struct {
	tasks  []Task
	people []Person
	free   []int // when each person is free, seconds
	start  int   // nothing begins before

	dur    []int
	tail   []int    // longest way from a task's beginning to the end of all, seconds
	anc    []uint64 // the tasks that must be over before a task begins
	class  []int    // of each person: those with the same skills and the same class are alike
	nclass int
	may    [][]bool // class may do task
	uses   [][]int
	nuses  int
	who    []pool // distinct sets of people that tasks draw on, for the bound

	nodes, limit int
	best         int
	bestAt       []placing
	now          []placing
	seen         map[uint64][][]int
	cut          int // least bound of what the node limit left unseen; 0: nothing
}

type pool struct {
	classes []bool
	people  int
	tasks   uint64
}

type placing struct {
	start  int
	people []int
}

// maxTasks is the most tasks of one change.
const maxTasks = 60

var errTooMany = errors.New("a change of more than 60 tasks: divide it")

// errNever tells that a change cannot be: a task with a fixed beginning would begin late.
var errNever = errors.New("a task that is fixed in time cannot begin then")

// nodeLimit bounds the search of one change.
const nodeLimit = 200_000

// solve schedules the project exactly and gives its end. bound is proven: end == bound unless the
// node limit ended the search.
func (p *project) solve() (end, bound int, at []placing, err error) {
	if len(p.tasks) > maxTasks {
		return 0, 0, nil, errTooMany
	}
	if err := p.prepare(); err != nil {
		return 0, 0, nil, err
	}
	if len(p.tasks) == 0 {
		return p.start, p.start, nil, nil
	}
	if p.limit == 0 {
		p.limit = nodeLimit
	}
	p.best = 1 << 40
	p.now = make([]placing, len(p.tasks))
	p.seen = map[uint64][][]int{}
	ends := make([]int, len(p.tasks))
	usable := make([]int, p.nuses)
	low := p.bound(0, p.start, ends, p.free)
	p.branch(0, -1, p.start, ends, slices.Clone(p.free), usable)
	if p.best == 1<<40 {
		return 0, 0, nil, errNever
	}
	bound = p.best
	if p.cut > 0 {
		bound = max(low, min(p.best, p.cut))
	}
	return p.best, bound, p.bestAt, nil
}

func (p *project) prepare() error {
	n := len(p.tasks)
	order, err := sorted(p.tasks)
	if err != nil {
		return err
	}
	p.dur, p.tail, p.anc = make([]int, n), make([]int, n), make([]uint64, n)
	for _, i := range order {
		for _, l := range p.tasks[i].After {
			p.anc[i] |= p.anc[l.Task] | 1<<l.Task
		}
	}
	for i := range p.tasks {
		p.dur[i] = p.tasks[i].Dur.Mean()
		p.tail[i] = p.dur[i]
	}
	for _, i := range slices.Backward(order) {
		for _, l := range p.tasks[i].After {
			p.tail[l.Task] = max(p.tail[l.Task], p.dur[l.Task]+l.Lag+p.tail[i])
		}
	}
	// People with the same skills are alike. Those who do not take the pictures come first: of two
	// schedules that are as good the first is kept, and assistants rig where anyone may.
	p.class = make([]int, len(p.people))
	var kinds [][]string
	first := make([]int, 0, len(p.people))
	for _, taking := range []bool{false, true} {
		for i, q := range p.people {
			if slices.Contains(q.Skills, Photographer) == taking {
				first = append(first, i)
			}
		}
	}
	for _, i := range first {
		q := p.people[i]
		s := slices.Sorted(slices.Values(q.Skills))
		k := slices.IndexFunc(kinds, func(o []string) bool { return slices.Equal(o, s) })
		if k < 0 {
			k = len(kinds)
			kinds = append(kinds, s)
		}
		p.class[i] = k
	}
	p.nclass = len(kinds)
	names := []string{}
	p.may, p.uses = make([][]bool, n), make([][]int, n)
	for i := range p.tasks {
		t := &p.tasks[i]
		p.may[i] = make([]bool, p.nclass)
		have := 0
		for k, skills := range kinds {
			p.may[i][k] = slices.ContainsFunc(skills, func(s string) bool { return slices.Contains(t.Who, s) })
		}
		for _, k := range p.class {
			if p.may[i][k] {
				have++
			}
		}
		if have < t.Hands {
			return &ErrHands{t.ID, t.Hands, have, t.Who}
		}
		for _, u := range t.Uses {
			k := slices.Index(names, u)
			if k < 0 {
				k = len(names)
				names = append(names, u)
			}
			p.uses[i] = append(p.uses[i], k)
		}
		if t.Hands > 0 {
			w := slices.IndexFunc(p.who, func(q pool) bool { return slices.Equal(q.classes, p.may[i]) })
			if w < 0 {
				w = len(p.who)
				p.who = append(p.who, pool{classes: p.may[i], people: have})
			}
			p.who[w].tasks |= 1 << i
		}
	}
	// Who may do what a narrower pool does too: each pool's bound counts all tasks that lie within
	// it.
	for w := range p.who {
		for v := range p.who {
			if within(p.who[v].classes, p.who[w].classes) {
				p.who[w].tasks |= p.who[v].tasks
			}
		}
	}
	p.nuses = len(names)
	return nil
}

func within(a, b []bool) bool {
	for i, v := range a {
		if v && !b[i] {
			return false
		}
	}
	return true
}

// earliest is when a task's predecessors and its own limits let it begin.
func (p *project) earliest(i, t int, ends []int) int {
	e := max(t, p.tasks[i].NotBefore)
	for _, l := range p.tasks[i].After {
		e = max(e, ends[l.Task]+l.Lag)
	}
	return e
}

// bound is a lower bound of the end of all: the longest chain, and the work of each pool of people.
func (p *project) bound(done uint64, t int, ends, free []int) int {
	b := t
	for i := range p.tasks {
		switch {
		case done&(1<<i) != 0:
			b = max(b, ends[i])
		default:
			b = max(b, p.earliestKnown(i, t, done, ends)+p.tail[i])
		}
	}
	for k := range p.who {
		w := &p.who[k]
		busy := 0 // people's time that is taken already
		for q, f := range free {
			if w.classes[p.class[q]] {
				busy += max(f, t) - t
			}
		}
		end := func(tasks uint64, after int) {
			work := busy
			for rest := tasks & w.tasks &^ done; rest != 0; rest &= rest - 1 {
				i := bits.TrailingZeros64(rest)
				work += p.dur[i] * p.tasks[i].Hands
			}
			if work > busy {
				b = max(b, t+(work+w.people-1)/w.people+after)
			}
		}
		end(1<<len(p.tasks)-1, 0)
		// All that must be over before a task, then the task and what follows it.
		for i := range p.tasks {
			if done&(1<<i) == 0 && p.anc[i]&w.tasks&^done != 0 {
				end(p.anc[i], p.tail[i])
			}
		}
	}
	return b
}

// earliestKnown is earliest with the predecessors that have their time already.
func (p *project) earliestKnown(i, t int, done uint64, ends []int) int {
	e := max(t, p.tasks[i].NotBefore)
	for _, l := range p.tasks[i].After {
		if done&(1<<l.Task) != 0 {
			e = max(e, ends[l.Task]+l.Lag)
		}
	}
	return e
}

// branch places the next task in order of beginnings. In that order a person who is free by the
// time a task begins is as good as any other of the same class who is, so only how many of each
// class take part is a choice; and some optimal schedule has each task as early as its order lets
// it.
func (p *project) branch(done uint64, last, t int, ends, free, usable []int) {
	if done == 1<<len(p.tasks)-1 {
		end := p.start
		for _, e := range ends {
			end = max(end, e)
		}
		if end < p.best {
			p.best = end
			p.bestAt = slices.Clone(p.now)
		}
		return
	}
	b := p.bound(done, t, ends, free)
	if b >= p.best {
		return
	}
	if p.nodes++; p.nodes > p.limit {
		if p.cut == 0 || b < p.cut {
			p.cut = b
		}
		return
	}
	if p.dominated(done, t, ends, free, usable) {
		return
	}
	type choice struct {
		task, start int
		people      []int
	}
	var choices []choice
	for i := range p.tasks {
		if done&(1<<i) != 0 || !p.ready(i, done) {
			continue
		}
		e := p.earliest(i, t, ends)
		// Two tasks one after the other that begin at the same time could change places.
		twin := i < last && p.dur[i] > 0 && p.dur[last] > 0
		for _, u := range p.uses[i] {
			e = max(e, usable[u])
		}
		p.crews(i, free, func(people []int) {
			s := e
			for _, k := range people {
				s = max(s, free[k])
			}
			if p.tasks[i].Exactly && s > p.tasks[i].NotBefore+p.tasks[i].Within || twin && s == t {
				return
			}
			choices = append(choices, choice{i, s, slices.Clone(people)})
		})
	}
	slices.SortStableFunc(choices, func(a, b choice) int {
		return cmp.Or(cmp.Compare(a.start, b.start), cmp.Compare(p.tail[b.task], p.tail[a.task]))
	})
	for _, c := range choices {
		i := c.task
		end := c.start + p.dur[i]
		if c.start+p.tail[i] >= p.best {
			continue
		}
		f2, u2, e2 := slices.Clone(free), slices.Clone(usable), slices.Clone(ends)
		for _, k := range c.people {
			f2[k] = end
		}
		for _, u := range p.uses[i] {
			u2[u] = end
		}
		e2[i] = end
		p.now[i] = placing{c.start, c.people}
		p.branch(done|1<<i, i, c.start, e2, f2, u2)
	}
}

func (p *project) ready(i int, done uint64) bool {
	for _, l := range p.tasks[i].After {
		if done&(1<<l.Task) == 0 {
			return false
		}
	}
	return true
}

// crews calls f with the people who could do a task: for each way to take some of each class, the
// ones who are free first.
func (p *project) crews(i int, free []int, f func([]int)) {
	by := make([][]int, p.nclass)
	for k := range p.people {
		if c := p.class[k]; p.may[i][c] {
			by[c] = append(by[c], k)
		}
	}
	for c := range by {
		slices.SortStableFunc(by[c], func(a, b int) int { return cmp.Compare(free[a], free[b]) })
	}
	var take func(c, left int, crew []int)
	take = func(c, left int, crew []int) {
		if left == 0 {
			f(crew)
			return
		}
		if c == p.nclass {
			return
		}
		for n := min(left, len(by[c])); n >= 0; n-- {
			take(c+1, left-n, append(crew[:len(crew):len(crew)], by[c][:n]...))
		}
	}
	take(0, p.tasks[i].Hands, nil)
}

// dominated reports whether a state with the same tasks placed was seen that is nowhere later;
// else it is kept for those to come.
func (p *project) dominated(done uint64, t int, ends, free, usable []int) bool {
	v := []int{t}
	by := make([][]int, p.nclass)
	for k, f := range free {
		by[p.class[k]] = append(by[p.class[k]], max(f, t))
	}
	for _, c := range by {
		slices.Sort(c)
		v = append(v, c...)
	}
	for _, u := range usable {
		v = append(v, max(u, t))
	}
	end := t
	for i := range p.tasks {
		if done&(1<<i) != 0 {
			v = append(v, ends[i])
			end = max(end, ends[i])
		}
	}
	// An end counts only by what still waits for it, and by the end of all.
	at := 1 + len(free) + len(usable)
	for i := range p.tasks {
		if done&(1<<i) == 0 {
			continue
		}
		if !p.awaited(i, done) {
			v[at] = 0
		}
		at++
	}
	v = append(v, end)
	for _, o := range p.seen[done] {
		ok := true
		for i := range o {
			if o[i] > v[i] {
				ok = false
				break
			}
		}
		if ok {
			return true
		}
	}
	if len(p.seen[done]) < 64 {
		p.seen[done] = append(p.seen[done], v)
	}
	return false
}

func (p *project) awaited(i int, done uint64) bool {
	for j := range p.tasks {
		if done&(1<<j) != 0 {
			continue
		}
		for _, l := range p.tasks[j].After {
			if l.Task == i {
				return true
			}
		}
	}
	return false
}
