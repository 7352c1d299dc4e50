package day

import (
	"context"
	"errors"
	"fmt"
	"math/bits"
	"slices"
)

// maxSetups is the most setups of one day: the order is exact over all their subsets.
const maxSetups = 14

// Setup is one picture as the day sees it.
type Setup struct {
	Name     string
	Priority int // 1 is dropped last
	Shoot    Task
	// After names setups that must be shot before, by index.
	After []int
	// The beginning of its shooting lies in this window, seconds after midnight; zero: no limit.
	Earliest, Latest int
	// Must: it may not be left out.
	Must bool
}

// Plan is a day to be planned.
type Plan struct {
	People []Person
	Setups []Setup
	// Begin is when work begins, Leave when the sitter leaves (no shooting after), Out when the
	// place must be empty.
	Begin, Leave, Out int
	// Change gives the tasks that lead from one setup to the next; from -1: the pre-light, with
	// the sitter's arrival. standing tells which setups stand ready since the pre-light and have
	// not been taken; ok is false where the kit does not allow it.
	Change func(from, to int, standing uint) (tasks []Task, ok bool)
	// Strike gives what is done after the last picture.
	Strike func(last int) []Task
	// Build lists the sets of setups that may be built in the pre-light; nil: none but the first.
	Build []uint
	// Shot are the setups that are done, Last the one that stands (-1: none).
	Shot uint
	Last int
	// Fixed, where not nil, is the order to keep; what is not in it is left out.
	Fixed []int
	// Paces are the actions whose durations come from what the crew was timed at.
	Paces []Pace

	running    int // the setup that is being shot, plus one; 0: none
	memo       map[changeKey]change
	optimistic bool // changes count with their bounds
}

type changeKey struct {
	from, to int
	standing uint
	start    int
}

type change struct {
	ready, bound int
	ok           bool
	err          error
	at           []placing
	tasks        []Task
}

// Day is a planned day.
type Day struct {
	Order    []int // setups in order of shooting
	LeftOut  []int
	Built    uint // setups that stand since the pre-light
	Tasks    []Placed
	End      int  // when all is out
	Bound    int  // no plan of the same value ends before this; equal to End where Proven
	Proven   bool // the plan is the best there is in the model of package day
	Conflict []Conflict
}

// Conflict is why something cannot be, and the smallest change that mends it.
type Conflict struct {
	Setup int // -1: the whole day
	Code  string
	Text  string
	Fix   string
}

// value is what a set of pictures is worth: a higher priority outweighs any number of lower ones,
// as counted in decreasing order of priority.
func (p *Plan) value(set uint) []int {
	most := 1
	for i := range p.Setups {
		most = max(most, p.Setups[i].Priority)
	}
	v := make([]int, most+1)
	for i := range p.Setups {
		if set&(1<<i) != 0 {
			v[min(most, max(0, p.Setups[i].Priority))]++
		}
	}
	return v
}

// errNone tells that nothing can be planned at all.
var errNone = errors.New("no setups to plan")

// Solve plans the day: first as many pictures as can be had, by priority; then the earliest end.
//
// It is exact in the model of this package unless a change is too hard for its node limit, or ctx
// ends; then Bound says how far off it may be. A day that cannot be comes back with Conflicts that
// name what stands against it, and as much of a plan as there is.
func (p *Plan) Solve(ctx context.Context) (*Day, error) {
	n := len(p.Setups)
	if n > maxSetups {
		return nil, fmt.Errorf("%d setups in one day: at most %d can be ordered", n, maxSetups)
	}
	if n == 0 {
		return nil, errNone
	}
	if err := p.check(); err != nil {
		return nil, err
	}
	p.memo = map[changeKey]change{}
	builds := p.Build
	if len(builds) == 0 || p.Shot != 0 || p.running > 0 {
		builds = []uint{0}
	}
	best, stopped, err := p.search(ctx, builds)
	if err != nil {
		return nil, err
	}
	if best == nil {
		if stopped {
			return nil, ctx.Err()
		}
		return &Day{Conflict: p.conflicts(nil), LeftOut: p.missing(p.Shot), End: p.Begin}, nil
	}
	d, err := p.assemble(best)
	if err != nil {
		return nil, err
	}
	d.Bound, d.Proven = d.End, true
	if stopped || p.unproven() {
		d.Bound, d.Proven = p.lower(ctx, builds, best, stopped)
	}
	d.Conflict = p.conflicts(best)
	return d, nil
}

// Relaxed plans a day that cannot be as it is asked for: without its limits, one after the other,
// until anything can be shot. What the plan breaks is a conflict with the smallest change.
func (p *Plan) Relaxed(ctx context.Context) (*Day, error) {
	q := *p
	q.Setups = slices.Clone(p.Setups)
	for _, without := range []func(s *Setup){
		func(*Setup) { q.Out = 0 },
		func(s *Setup) { s.Must = false },
		func(*Setup) { q.Leave = 0 },
		func(s *Setup) { s.Latest = 0 },
	} {
		for i := range q.Setups {
			without(&q.Setups[i])
		}
		d, err := q.Solve(ctx)
		if err != nil || len(d.Order) > 0 {
			if err == nil {
				d.Conflict = append(p.broken(d), d.Conflict...)
			}
			return d, err
		}
	}
	return p.Solve(ctx)
}

// broken names the limits of p that a day breaks.
func (p *Plan) broken(d *Day) []Conflict {
	var out []Conflict
	for i := range d.Tasks {
		t := &d.Tasks[i]
		if t.Setup < 0 || t.ID != p.Setups[t.Setup].Shoot.ID {
			continue
		}
		s := &p.Setups[t.Setup]
		if s.Latest > 0 && t.Start > s.Latest {
			out = append(out, Conflict{t.Setup, "day.light-gone",
				fmt.Sprintf("%s would begin at %s; its light, or its lock, is gone after %s", s.Name, Clock(t.Start),
					Clock(s.Latest)), fmt.Sprintf("begin the day %d min earlier", minutesUp(t.Start-s.Latest))})
		}
		if p.Leave > 0 && t.End > p.Leave {
			out = append(out, Conflict{t.Setup, "day.too-late",
				fmt.Sprintf("%s would end at %s; the sitter leaves at %s", s.Name, Clock(t.End), Clock(p.Leave)),
				fmt.Sprintf("ask the sitter for %d min more", minutesUp(t.End-p.Leave))})
		}
	}
	if p.Out > 0 && d.End > p.Out {
		out = append(out, Conflict{-1, "day.out", fmt.Sprintf("the place would be empty at %s; it is due at %s",
			Clock(d.End), Clock(p.Out)), fmt.Sprintf("ask the venue for %d min more, or begin so much earlier",
			minutesUp(d.End-p.Out))})
	}
	for _, i := range d.LeftOut {
		if p.Setups[i].Must {
			out = append(out, Conflict{i, "day.must", fmt.Sprintf("%s may not be left out, and there is no room for it",
				p.Setups[i].Name), "take its must away, or see what stands against it"})
		}
	}
	return out
}

// search tries every set of setups built in the pre-light; stopped tells that ctx ended it.
func (p *Plan) search(ctx context.Context, builds []uint) (best *route, stopped bool, err error) {
	for _, built := range builds {
		r, err := p.route(ctx, built)
		if err != nil {
			if ctx.Err() == nil {
				return nil, false, err
			}
			return best, true, nil
		}
		if r != nil && (best == nil || p.better(r, best)) {
			best = r
		}
	}
	return best, false, nil
}

// unproven reports whether the node limit ended the search of any change.
func (p *Plan) unproven() bool {
	for _, g := range p.memo {
		if g.ok && g.bound < g.ready {
			return true
		}
	}
	return false
}

// lower gives a proven lower bound of the end: the same search with the bound of each change in
// place of its length; where time ran out, what the pictures alone take.
func (p *Plan) lower(ctx context.Context, builds []uint, best *route, stopped bool) (int, bool) {
	if !stopped {
		p.optimistic = true
		r, stopped, err := p.search(ctx, builds)
		p.optimistic = false
		if err == nil && !stopped && r != nil {
			same := slices.Compare(p.value(r.set), p.value(best.set)) == 0
			return min(r.end, best.end), same && r.end+r.late == best.end+best.late
		}
	}
	b := p.Begin
	for _, i := range best.order {
		b += p.Setups[i].Shoot.Dur.Mean()
	}
	return b, false
}

func (p *Plan) check() error {
	for i := range p.Setups {
		s := &p.Setups[i]
		if err := s.Shoot.Dur.Check(); err != nil {
			return fmt.Errorf("%s: %w", s.Name, err)
		}
	}
	// Setups that wait for each other.
	tasks := make([]Task, len(p.Setups))
	for i := range p.Setups {
		tasks[i].ID = p.Setups[i].Name
		for _, a := range p.Setups[i].After {
			tasks[i].After = append(tasks[i].After, Link{Task: a})
		}
	}
	_, err := sorted(tasks)
	return err
}

// lateCost is what it costs to shoot a setup of priority 1 one place later, in seconds of a later
// end; one of priority 2 half as much: the important pictures come first unless that costs real
// time. Common practice, no source.
const lateCost = 600

// route is an order with its times.
type route struct {
	order []int
	begin []int // of each picture
	set   uint
	built uint
	end   int // with the strike
	late  int // what it costs to have important pictures late, seconds
}

func (p *Plan) better(a, b *route) bool {
	if c := slices.Compare(p.value(a.set), p.value(b.set)); c != 0 {
		return c > 0
	}
	return a.end+a.late < b.end+b.late
}

// late is what setup i costs at place k of the order.
func (p *Plan) late(i, k int) int { return k * lateCost / max(1, p.Setups[i].Priority) }

// label is one way to have shot a set and to stand at one of them. An earlier end is never worse,
// since a change that begins earlier is ready no later; so of two ways one is kept unless it ends
// later and costs more.
type label struct {
	end, late int
	begin     int // of the last picture
	from, by  int // the state before, and which of its labels
}

// route finds the best order with some setups built in the pre-light.
func (p *Plan) route(ctx context.Context, built uint) (*route, error) {
	n := len(p.Setups)
	full := 1 << n
	// states[set*(n+1)+last]; last n: none yet.
	states := make([][]label, full*(n+1))
	base := p.Shot
	last := p.Last
	if last < 0 {
		last = n
	}
	states[int(base)*(n+1)+last] = []label{{end: p.Begin}}
	var best *route
	for set := int(base); set < full; set++ {
		if uint(set)&base != base {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for at := 0; at <= n; at++ {
			for by, c := range states[set*(n+1)+at] {
				if set != int(base) || p.Shot != 0 {
					if r := p.finish(states, uint(set), at, by, built); r != nil && (best == nil ||
						p.better(r, best)) {
						best = r
					}
				}
				for to := range n {
					if set&(1<<to) != 0 || !p.allowed(uint(set), to) {
						continue
					}
					next, ok, err := p.shoot(c, at, to, built, uint(set))
					if err != nil {
						return nil, err
					}
					if ok {
						next.from, next.by = at, by
						k := (set|1<<to)*(n+1) + to
						states[k] = keep(states[k], next)
					}
				}
			}
		}
	}
	return best, nil
}

// shoot goes on from a label to another setup; false where it cannot be in time.
func (p *Plan) shoot(c label, at, to int, built, set uint) (label, bool, error) {
	from := at
	if at == len(p.Setups) {
		from = -1
	}
	g, err := p.ready(from, to, built, set, c.end)
	if err != nil || !g.ok {
		return label{}, false, err
	}
	s := &p.Setups[to]
	begin := max(g.ready, s.Earliest)
	end := begin + s.Shoot.Dur.Mean()
	if s.Latest > 0 && begin > s.Latest || p.Leave > 0 && end > p.Leave {
		return label{}, false, nil
	}
	return label{end: end, begin: begin, late: c.late + p.late(to, bits.OnesCount(set))}, true, nil
}

// keep adds a label unless one of the list is as good in both, and drops those that it is as good
// as.
func keep(list []label, n label) []label {
	for _, l := range list {
		if l.end <= n.end && l.late <= n.late {
			return list
		}
	}
	return append(slices.DeleteFunc(list, func(l label) bool { return n.end <= l.end && n.late <= l.late }), n)
}

// allowed holds After and a fixed order.
func (p *Plan) allowed(shot uint, to int) bool {
	for _, a := range p.Setups[to].After {
		if shot&(1<<a) == 0 {
			return false
		}
	}
	if p.running > 0 && shot == p.Shot && to != p.running-1 {
		return false
	}
	if p.Fixed != nil {
		k := bits.OnesCount(shot &^ p.Shot)
		return k < len(p.Fixed) && p.Fixed[k] == to
	}
	return true
}

// ready gives when a setup may be shot after another that ended at t.
//
// The change is scheduled together with the picture before it, which has ended at t; free hands may
// have begun while it was taken.
func (p *Plan) ready(from, to int, built, shot uint, t int) (change, error) {
	tasks, ok := p.Change(from, to, built&^shot)
	if !ok {
		return change{}, nil
	}
	// Without tasks that are tied to the clock the change takes equally long whenever it begins.
	tied := from < 0
	for i := range tasks {
		tied = tied || tasks[i].NotBefore > 0
	}
	start := t
	if from >= 0 {
		start -= p.Setups[from].Shoot.Dur.Mean()
		if p.Shot&(1<<from) != 0 {
			start = t // it was taken before this plan begins
		}
	}
	key := changeKey{from, to, built &^ shot, start}
	if !tied {
		key.start = 0
	}
	g, known := p.memo[key]
	if !known {
		g = p.schedule(from, tasks, key.start, from >= 0 && p.Shot&(1<<from) != 0)
		p.memo[key] = g
	}
	var few *ErrHands
	if errors.Is(g.err, errNever) || errors.As(g.err, &few) {
		return change{err: g.err}, nil // it cannot be; conflicts say why
	}
	if g.err != nil {
		return g, fmt.Errorf("to %s: %w", p.Setups[to].Name, g.err)
	}
	if p.optimistic {
		g.ready = g.bound
	}
	g.ready += start - key.start
	return g, nil
}

// schedule solves one change from a start. The picture before it is its first task.
func (p *Plan) schedule(from int, tasks []Task, start int, over bool) change {
	all := tasks
	if from >= 0 && !over {
		shoot := p.Setups[from].Shoot
		shoot.After, shoot.NotBefore, shoot.Exactly = nil, start, true
		all = append([]Task{shoot}, tasks...)
		for i := range all[1:] {
			t := &all[i+1]
			after := make([]Link, 0, len(t.After)+1)
			for _, l := range t.After {
				after = append(after, Link{l.Task + 1, l.Lag})
			}
			if !t.Early {
				after = append(after, Link{Task: 0})
			}
			t.After = after
		}
	}
	free := make([]int, len(p.People))
	for i := range free {
		free[i] = start
	}
	pr := &project{tasks: all, people: p.People, free: free, start: start}
	end, bound, at, err := pr.solve()
	return change{ready: end, bound: bound, ok: err == nil, err: err, at: at, tasks: all}
}

// finish turns a label into a route, with the strike.
func (p *Plan) finish(states [][]label, set uint, at, by int, built uint) *route {
	n := len(p.Setups)
	for i := range p.Setups {
		if p.Setups[i].Must && set&(1<<i) == 0 {
			return nil
		}
	}
	c := states[int(set)*(n+1)+at][by]
	r := &route{set: set, built: built, end: c.end, late: c.late}
	for s, k, b := set, at, by; s != p.Shot; {
		d := states[int(s)*(n+1)+k][b]
		r.order = append(r.order, k)
		r.begin = append(r.begin, d.begin)
		s, k, b = s&^(1<<k), d.from, d.by
	}
	slices.Reverse(r.order)
	slices.Reverse(r.begin)
	if p.Strike != nil {
		last := at
		if at == n {
			last = -1
		}
		g := p.schedule(-1, p.Strike(last), c.end, true)
		if !g.ok {
			return nil
		}
		r.end = g.ready
	}
	if p.Out > 0 && r.end > p.Out {
		return nil
	}
	return r
}
