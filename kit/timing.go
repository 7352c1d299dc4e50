package kit

import (
	"math"

	q "halfstop/quantity"
)

// Minutes is a time, minutes.
type Minutes = q.Minutes

// Timing is one task that this crew was timed at.
type Timing struct {
	Date   string    `yaml:"date" doc:"when, year-month-day" like:"2026-03-14"`
	Place  string    `yaml:"place" doc:"the shoot it is from"`
	Action string    `yaml:"action" need:"true" doc:"what was done: an action of docs/day.md" like:"rig a light"`
	Words  string    `yaml:"words" doc:"the task" like:"Aisle: rig key"`
	Took   q.Minutes `yaml:"took" need:"true" over:"0" most:"1440" doc:"how long it took" like:"4 min"`
	Usual  q.Minutes `yaml:"usual" need:"true" over:"0" most:"1440" doc:"how long the plan had given it, on average" like:"5 min"`
}

// Same reports whether two timings are of the same task at the same time: one that was kept, and
// the log that it is from. Where a shoot has a title all of its timings are.
func (t *Timing) Same(o *Timing) bool {
	if t.Place != "" && t.Place == o.Place {
		return true
	}
	return t.Words == o.Words && math.Abs(float64(t.Took-o.Took)) < 0.06
}
