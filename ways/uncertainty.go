package ways

import (
	"context"
	"math"

	"halfstop/balance"
)

// The uncertainties beyond the kit's own figures, stops (judgement): pose and place to a few
// centimetres for a meter at two points, and the reflectance of the subject for a level in the
// picture.
const (
	poseDoubt    = 0.05
	surfaceDoubt = 0.15
)

// uncertainty sets the standard deviation of each target's prediction: the lights' own
// uncertainties weighted by their shares of the point, less what two points have in common. set
// holds the settings at which the shares are taken; nil: the present ones.
func (r *rig) uncertainty(p *balance.Problem, set *balance.Solution) {
	n := len(p.Lights)
	incident := func(l, point int) (flash, cont float64) {
		light := &p.Lights[l]
		level, option, off, t := light.Level, light.Option, light.Off, float64(p.Camera.Shutter)
		if set != nil {
			s := &set.Lights[l]
			level, option, off, t = s.Level, s.Option, s.Off, float64(set.Shutter)
		}
		if off {
			return 0, 0
		}
		c := &light.Options[option].At[point]
		return float64(c.Flash) * level.Times(), float64(c.Continuous) * level.Times() * t
	}
	shares := func(point int, take func(flash, cont float64) float64) []float64 {
		out := make([]float64, n)
		sum := 0.0
		for l := range n {
			out[l] = take(incident(l, point))
			sum += out[l]
		}
		for l := range n {
			if sum > 0 {
				out[l] /= sum
			}
		}
		return out
	}
	all := func(f, c float64) float64 { return f + c }
	for i := range p.Targets {
		t := &p.Targets[i]
		if r.repeats {
			t.Sigma = 0
			continue
		}
		switch t.Kind {
		case balance.Colour, balance.Warmth, balance.Veil:
			t.Sigma = 0
			continue
		}
		a := shares(t.Point, all)
		floor := poseDoubt
		if t.Kind == balance.Level || t.Kind == balance.LevelAbove {
			floor = surfaceDoubt
		}
		switch {
		case t.To >= 0:
			for l, s := range shares(t.To, all) {
				a[l] -= s
			}
		case t.Kind == balance.Ambient:
			a = shares(t.Point, func(_, c float64) float64 { return c })
			for l, s := range shares(t.Point, func(f, _ float64) float64 { return f }) {
				a[l] -= s
			}
		}
		v := floor * floor
		for l := range n {
			v += a[l] * a[l] * float64(r.stage.Layers[l].Uncertainty*r.stage.Layers[l].Uncertainty)
		}
		t.Sigma = math.Sqrt(v)
	}
}

// solve balances a problem, and once more where the uncertainties at the solution differ much from
// those at the present settings.
func (r *rig) solve(ctx context.Context, p *balance.Problem) (balance.Solution, error) {
	sol, err := balance.Solve(ctx, *p)
	if err != nil {
		return sol, err
	}
	before := make([]float64, len(p.Targets))
	for i := range p.Targets {
		before[i] = p.Targets[i].Sigma
	}
	r.uncertainty(p, &sol)
	for i := range p.Targets {
		if math.Abs(p.Targets[i].Sigma-before[i]) > 0.1 {
			return balance.Solve(ctx, *p)
		}
	}
	for i := range p.Targets {
		p.Targets[i].Sigma = before[i]
	}
	return sol, nil
}
