package day

import (
	"cmp"
	"slices"

	"halfstop/sample"
)

// Chances is what a simulation of the day gives: shares of days, 0 to 1.
type Chances struct {
	Days   int
	Setups []Chance // by setup of the plan; those left out have zero
	Out    float64  // the place is left in time
	All    float64  // every picture of the order is done and the place is left in time
	// Critical is, by task, the share of days on which it lay on the chain that made the end.
	Critical []float64
	// Ends are the 10th, 50th and 90th percentile of the end, seconds after midnight.
	Ends [3]int
}

// Chance is that of one setup.
type Chance struct {
	Done  float64 // begun in its light and shot before the sitter leaves
	Start [3]int  // 10th, 50th and 90th percentile of the beginning, seconds after midnight
	// Starts counts days by the minute of the beginning; entry 0 is minute From after midnight.
	From   int
	Starts []int
}

// Simulate runs days in which every task takes its own random time. People keep their order of
// tasks; a task begins when all that it waits for is over. A picture whose light is gone, or that
// would pass the sitter's leaving, is lost: its time is not spent.
//
// The same seed gives the same days, and day k of two plans has the same luck for tasks of the same
// ID, so that plans can be compared with few days.
func (p *Plan) Simulate(d *Day, days int, seed uint64) Chances {
	n := len(d.Tasks)
	c := Chances{Days: days, Setups: make([]Chance, len(p.Setups)), Critical: make([]float64, n)}
	if days <= 0 || n == 0 {
		return c
	}
	luck := make([]sample.Seq, n)
	for i := range d.Tasks {
		luck[i] = sample.New(seed, hash(d.Tasks[i].ID))
	}
	end, lead := make([]float64, n), make([]int, n)
	begins := make([][]float64, len(p.Setups))
	ends := make([]float64, 0, days)
	for k := range days {
		ok, last := true, -1
		for i := range d.Tasks {
			t := &d.Tasks[i]
			begin, by := float64(p.Begin), -1
			for _, l := range t.After {
				if e := end[l.Task] + float64(l.Lag); e > begin {
					begin, by = e, l.Task
				}
			}
			if nb := float64(t.NotBefore); nb > begin || t.Begun {
				begin, by = nb, -1
			}
			dur := t.Dur.At(luck[i].Noise(uint32(k), 0))
			if s := t.Setup; s >= 0 && t.ID == p.Setups[s].Shoot.ID {
				w, leave := p.Setups[s].Latest, p.Leave
				if !t.Over && (!t.Begun && w > 0 && begin > float64(w) || leave > 0 && begin+dur > float64(leave)) {
					ok, dur = false, 0
				} else {
					c.Setups[s].Done++
				}
				begins[s] = append(begins[s], begin)
			}
			end[i], lead[i] = begin+dur, by
			if last < 0 || end[i] > end[last] {
				last = i
			}
		}
		out := p.Out <= 0 || end[last] <= float64(p.Out)
		if out {
			c.Out++
		}
		if ok && out {
			c.All++
		}
		for i := last; i >= 0; i = lead[i] {
			c.Critical[i]++
		}
		ends = append(ends, end[last])
	}
	for s := range c.Setups {
		c.Setups[s].Done /= float64(days)
		c.Setups[s].Start = percentiles(begins[s])
		c.Setups[s].From, c.Setups[s].Starts = histogram(begins[s])
	}
	for i := range c.Critical {
		c.Critical[i] /= float64(days)
	}
	c.Out, c.All, c.Ends = c.Out/float64(days), c.All/float64(days), percentiles(ends)
	return c
}

func percentiles(v []float64) (out [3]int) {
	if len(v) == 0 {
		return out
	}
	slices.Sort(v)
	for i, q := range []float64{0.1, 0.5, 0.9} {
		out[i] = int(v[min(len(v)-1, int(q*float64(len(v))))] + 0.5)
	}
	return out
}

// histogram counts sorted times by their minute.
func histogram(v []float64) (from int, counts []int) {
	if len(v) == 0 {
		return 0, nil
	}
	from = int(v[0] / 60)
	counts = make([]int, int(v[len(v)-1]/60)-from+1)
	for _, x := range v {
		counts[int(x/60)-from]++
	}
	return from, counts
}

// hash is FNV-1a, 64 bits.
func hash(s string) uint64 {
	h := uint64(14695981039346656037)
	for i := range len(s) {
		h = (h ^ uint64(s[i])) * 1099511628211
	}
	return h
}

// Relief is one thing to give up, and the chance that it buys.
type Relief struct {
	Text   string
	Loss   float64 // what it costs the pictures, in the words of Option
	Gain   float64 // rise of the chance that all that stays is done in time, 0 to 1
	Chance float64 // that chance then
	End    int     // when the place is empty then, seconds after midnight
	Costs  string  // in words
}

// Option is something that could be given up: a plan without it.
type Option struct {
	Text  string
	Loss  float64 // over 0: how much the pictures lose, 1 for a nice-to-have light, 3 for a setup
	Costs string  // the same in words
	Plan  *Plan
}

// Reliefs sorts options by the chance that each buys for its loss. d is the plan's day, of which
// the order is kept where an option has all its setups.
func (p *Plan) Reliefs(d *Day, options []Option, days int, seed uint64, solve func(*Plan) (*Day,
	error)) ([]Relief, error) {
	now := p.Simulate(d, days, seed).All
	var out []Relief
	for _, o := range options {
		e, err := solve(o.Plan)
		if err != nil {
			return nil, err
		}
		then := o.Plan.Simulate(e, days, seed).All
		out = append(out, Relief{o.Text, o.Loss, then - now, then, e.End, o.Costs})
	}
	slices.SortStableFunc(out, func(a, b Relief) int {
		return cmp.Compare(b.Gain/max(b.Loss, 1e-9), a.Gain/max(a.Loss, 1e-9))
	})
	return out, nil
}
