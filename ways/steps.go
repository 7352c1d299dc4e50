package ways

import (
	"fmt"
	"math"

	"halfstop/balance"
	q "halfstop/quantity"
)

// coarse is the step of a head from which on its steps are told as a cause, stops: tenths and
// thirds are finer than a kit is known to.
const coarse = 0.45

// between returns the cause of a miss that the steps of a head leave: the light meant for the point
// moves in steps of half a stop or more, and the miss is within one.
func (b *Balanced) between(i int) (c Cause, ok bool) {
	t, o := &b.Problem.Targets[i], &b.Solution.Targets[i]
	if t.Kind != balance.Reading && t.Kind != balance.Level {
		return c, false
	}
	l := b.toolFor(t.Point)
	if l < 0 || b.Problem.Lights[l].Lock {
		return c, false
	}
	level, step := float64(b.Solution.Lights[l].Level), math.Inf(1)
	for _, s := range b.Problem.Lights[l].Levels.List {
		// The next step on the side that would mend it.
		if d := float64(s) - level; math.Abs(d) > 0.01 && (d > 0) == (o.Residual < 0) {
			step = math.Min(step, math.Abs(d))
		}
	}
	if miss := math.Abs(float64(o.Residual)); step < coarse || miss >= step || math.IsInf(step, 1) {
		return c, false
	}
	how := fmt.Sprintf("steps of %.1f st", step)
	switch {
	case math.Abs(step-1) < 0.05:
		how = "full stops"
	case math.Abs(step-0.5) < 0.05:
		how = "half stops"
	}
	return Cause{Kind: Coarse, Light: l, Buys: q.Stops(math.Abs(float64(o.Residual))),
		Words: fmt.Sprintf("%s moves in %s, and the nearest is %s st off", b.Stage.Layers[l].Name, how,
			signed(float64(o.Residual), 1)),
		Remedy: "the aperture, the distance or a thin cloth for the rest"}, true
}
