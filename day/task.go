package day

import (
	"fmt"
	"math"
	"slices"
)

// Duration is how long a task takes, minutes: a triangular distribution from Low over Likely to
// High. 0 <= Low <= Likely <= High.
type Duration struct {
	Low    float64 `json:"low"`
	Likely float64 `json:"likely"`
	High   float64 `json:"high"`
}

// Fixed is a duration that is known.
func Fixed(minutes float64) Duration { return Duration{minutes, minutes, minutes} }

// Mean gives the mean in seconds, rounded: the duration that a plan is made with.
func (d Duration) Mean() int { return int(math.Round((d.Low + d.Likely + d.High) * 20)) }

// At gives the duration at share u of its distribution, 0 <= u < 1, in seconds: the inverse of the
// triangular distribution function.
func (d Duration) At(u float64) float64 {
	w := d.High - d.Low
	if w <= 0 {
		return d.Likely * 60
	}
	c := (d.Likely - d.Low) / w
	if u < c {
		return 60 * (d.Low + math.Sqrt(u*w*(d.Likely-d.Low)))
	}
	return 60 * (d.High - math.Sqrt((1-u)*w*(d.High-d.Likely)))
}

// CDF gives the share of days on which the task takes at most s seconds.
func (d Duration) CDF(s float64) float64 {
	m, w := s/60, d.High-d.Low
	switch {
	case m < d.Low:
		return 0
	case m >= d.High:
		return 1
	case m < d.Likely:
		return (m - d.Low) * (m - d.Low) / (w * (d.Likely - d.Low))
	}
	return 1 - (d.High-m)*(d.High-m)/(w*(d.High-d.Likely))
}

// Plus gives the sum of two durations end to end.
func (d Duration) Plus(e Duration) Duration {
	return Duration{d.Low + e.Low, d.Likely + e.Likely, d.High + e.High}
}

// Times gives k durations end to end, k >= 0.
func (d Duration) Times(k float64) Duration { return Duration{d.Low * k, d.Likely * k, d.High * k} }

// Check reports a duration that cannot be.
func (d Duration) Check() error {
	if !(d.Low >= 0 && d.Low <= d.Likely && d.Likely <= d.High && d.High <= 24*60) {
		return fmt.Errorf("a duration of %g, %g, %g min: write least, likely and most, in this order, up to a day",
			d.Low, d.Likely, d.High)
	}
	return nil
}

// Person is one of the crew.
type Person struct {
	Name   string   `json:"name"`
	Skills []string `json:"skills"`
}

// Link is what must be over before a task begins, by index in the same list of tasks.
type Link struct {
	Task int
	Lag  int // seconds between its end and the task's beginning: haze settling, a lamp cooling
}

// Task is one piece of work in a change.
type Task struct {
	ID   string // stable: 'Aisle/key/rig'
	Text string // what is done
	Kind string // row of durations.csv
	// Several tells that Dur is that of more actions than Kind.
	Several bool
	Dur     Duration
	Hands   int      // people at once, 0 or more
	Who     []string // skills; anyone with one of them may do it
	After   []Link
	Uses    []string // things that only one task may use at a time: 'sitter', 'outlet ring A'
	// Early tells that free hands may do it while the picture before is taken.
	Early bool
	// NotBefore is the earliest beginning, seconds after midnight; 0: none. Exactly: it is the
	// beginning, or at most Within seconds before it.
	NotBefore int
	Exactly   bool
	Within    int
}

// Placed is a task with its time and its people.
type Placed struct {
	Task
	Setup      int // of the plan's setups; -1: none
	Start, End int
	People     []int // indices of the plan's people
	Slack      int   // seconds it may be late without moving the end of the day or a picture past its latest start
	Critical   bool
	// Begun and Over: it has begun, it is done, whatever its limits say (Plan.AsOf).
	Begun, Over bool
}

// ErrCycle names tasks that wait for each other.
type ErrCycle struct{ Tasks []string }

func (e *ErrCycle) Error() string {
	return fmt.Sprintf("these tasks wait for each other: %v", e.Tasks)
}

// ErrHands says that a task needs more hands than there are.
type ErrHands struct {
	Task       string
	Need, Have int
	Who        []string
}

func (e *ErrHands) Error() string {
	return fmt.Sprintf("%s needs %d people of %v and there are %d", e.Task, e.Need, e.Who, e.Have)
}

// sorted gives the order in which tasks can be done, or the cycle that forbids one.
func sorted(tasks []Task) ([]int, error) {
	state := make([]byte, len(tasks)) // 0 new, 1 open, 2 done
	var out, open []int
	var visit func(i int) error
	visit = func(i int) error {
		switch state[i] {
		case 2:
			return nil
		case 1:
			var names []string
			for _, k := range open[slices.Index(open, i):] {
				names = append(names, tasks[k].ID)
			}
			return &ErrCycle{names}
		}
		state[i] = 1
		open = append(open, i)
		for _, l := range tasks[i].After {
			if l.Task < 0 || l.Task >= len(tasks) {
				return fmt.Errorf("%s waits for a task that is not there", tasks[i].ID)
			}
			if err := visit(l.Task); err != nil {
				return err
			}
		}
		open = open[:len(open)-1]
		state[i] = 2
		out = append(out, i)
		return nil
	}
	for i := range tasks {
		if err := visit(i); err != nil {
			return nil, err
		}
	}
	return out, nil
}
