package day

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/kit"
)

// Pace is how long a crew takes over one action, by the tasks that it was timed at.
type Pace struct {
	Action string   `json:"action"`
	Timed  int      `json:"timed"`
	Usual  Duration `json:"usual"` // before any was timed
	Now    Duration `json:"now"`   // what the plan takes from here on
}

// Bounds of a time that is believed, against the planned mean. Outside them both buttons were
// pressed at once, or one was forgotten (common practice, no source).
const (
	leastPace = 0.2
	mostPace  = 5
)

// Timings turns what the log holds of a plan's tasks, minutes from begun to done by the task's ID,
// into timings of actions, in the plan's order. A task of several actions says nothing of each. odd
// names the tasks whose times are not believed, with the times.
func (p *Plan) Timings(took map[string]float64) (list []kit.Timing, odd []string) {
	for _, t := range p.tasks() {
		m, ok := took[t.ID]
		if !ok || t.Several {
			continue
		}
		usual := float64(t.Dur.Mean()) / 60
		if !(m >= leastPace*usual && m <= mostPace*usual) {
			odd = append(odd, fmt.Sprintf("%s, %.1f min against %.1f min", t.ID, m, usual))
			continue
		}
		list = append(list, kit.Timing{Action: t.Kind, Words: t.ID, Took: kit.Minutes(m), Usual: kit.Minutes(usual)})
	}
	return list, odd
}

// paces corrects durations by what was timed.
//
// The logarithm of a time against its usual one is a crew's own pace plus the day's chance, both
// normal. Half of the usual variance is that between crews, half that between days (common
// practice, no source); the day's half is corrected by the scatter seen, as if four times had been
// seen before. The mean moves by the posterior mean of the pace; the spread is that of the pace
// left and the day's chance. (Conjugate normal model: Gelman and others, Bayesian Data Analysis,
// 2.5 and 3.3.)
func paces(durs map[string]Duration, timings []kit.Timing) []Pace {
	const seenBefore = 4
	by := map[string][]float64{}
	for i := range timings {
		t := &timings[i]
		if r := float64(t.Took / t.Usual); r >= leastPace && r <= mostPace {
			name := strings.ToLower(t.Action)
			by[name] = append(by[name], math.Log(r))
		}
	}
	var out []Pace
	for action, logs := range by {
		was, ok := durs[action]
		mean := (was.Low + was.Likely + was.High) / 3
		if !ok || mean <= 0 {
			continue
		}
		n := float64(len(logs))
		sum := 0.0
		for _, l := range logs {
			sum += l
		}
		about := sum / n
		// The variance of the triangular distribution, relative to its mean; a time that was
		// written as one figure is known to a tenth.
		a, b, c := was.Low, was.Likely, was.High
		usual := max(0.01, (a*a+b*b+c*c-a*b-a*c-b*c)/18/(mean*mean))
		crew, chance := usual/2, seenBefore*usual/2
		for _, l := range logs {
			chance += (l - about) * (l - about)
		}
		chance /= seenBefore + n - 1
		left := 1 / (1/crew + n/chance)
		factor := math.Exp(left * n / chance * about)
		spread := math.Sqrt((left + chance) / usual)
		scaled := func(x float64) float64 { return max(0, factor*(mean+spread*(x-mean))) }
		out = append(out, Pace{action, len(logs), was, Duration{scaled(was.Low), scaled(was.Likely), scaled(was.High)}})
	}
	slices.SortFunc(out, func(a, b Pace) int { return cmp.Compare(a.Action, b.Action) })
	return out
}
