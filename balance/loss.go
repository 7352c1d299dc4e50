package balance

import "math"

// The exchange rates of the objective, in units of loss: 1 is what one stop beyond the tolerance
// counts for a 'nice'. All are judgement (common practice, no source), held by the preferences in
// preference_test.go; docs/decisions/0008 says how they were found.
const (
	mustWeight   = 12
	wantWeight   = 3
	niceWeight   = 1
	strictWeight = 1000 // a target that is not to be traded at all

	mustTolerance   = 0.15 // stops
	wantTolerance   = 0.25
	niceTolerance   = 0.4
	strictTolerance = 0.05

	edgeSlope = 0.6  // just beyond the tolerance: it is worth something to be inside
	farFrom   = 2.5  // stops beyond the tolerance from which on it is another picture
	farSlope  = 0.15 // of the loss there
	innerLoss = 0.02 // at the edge of the tolerance: nearly flat inside
	maxSigma  = 0.75 // stops; beyond it nothing is known anyway

	// A target that the present settings meet within this share of the prediction's standard
	// deviation is as good as can be known: nothing is gained by moving it.
	knownShare = 0.7
)

// weight is what one stop of a target of this priority counts against one of a 'nice'.
func (t *Target) weight() float64 {
	w := t.Weight
	if w == 0 {
		w = 1
	}
	switch {
	case t.Strict:
		return w * strictWeight
	case t.Priority == Must:
		return w * mustWeight
	case t.Priority == Nice:
		return w * niceWeight
	}
	return w * wantWeight
}

// Tolerance is what a miss may come to and still count as met, in the kind's unit: Within (at least
// what a meter shows), or else 0.15, 0.25 or 0.4 stops by priority.
func (t *Target) Tolerance() float64 {
	if t.Within > 0 {
		return math.Max(t.Within, float64(Shown)*t.perStop())
	}
	switch {
	case t.Strict:
		return strictTolerance * t.perStop()
	case t.Priority == Must:
		return mustTolerance * t.perStop()
	case t.Priority == Nice:
		return niceTolerance * t.perStop()
	}
	return wantTolerance * t.perStop()
}

func (t *Target) perStop() float64 {
	if t.PerStop > 0 {
		return t.PerStop
	}
	return t.Kind.UnitPerStop()
}

// penalty is the loss of x stops past what is wanted: nearly flat inside the tolerance, quadratic
// to a stop beyond it, linear from there (Huber 1964), and nearly flat again where it is another
// picture anyway, so that a target that cannot be had by far does not drag those that can.
func penalty(x, tolerance float64) float64 {
	if x <= 0 {
		return 0
	}
	if x <= tolerance {
		return innerLoss * (x / tolerance) * (x / tolerance)
	}
	d := x - tolerance
	switch {
	case d <= 1:
		return innerLoss + edgeSlope*d + (1-edgeSlope)*d*d
	case d <= farFrom:
		return innerLoss + 1 + (2-edgeSlope)*(d-1)
	}
	return innerLoss + 1 + (2-edgeSlope)*(farFrom-1) + farSlope*(d-farFrom)
}

// expected is the expectation of penalty over a normal error of the prediction, tabulated over the
// stops past what is wanted.
type expected struct {
	tolerance, sigma float64
	v                []float64
}

// The range of the table, stops; beyond it the loss goes on in a straight line.
const (
	tableFrom = -3.0
	tableTo   = 5.0
	tableStep = 1.0 / 64
)

func tabulate(tolerance, sigma float64) *expected {
	e := &expected{tolerance: tolerance, sigma: sigma, v: make([]float64, int((tableTo-tableFrom)/tableStep)+1)}
	const nodes, reach = 81, 4.0
	var z, w [nodes]float64
	var sum float64
	for k := range z {
		z[k] = -reach + 2*reach*float64(k)/(nodes-1)
		w[k] = math.Exp(-z[k] * z[k] / 2)
		sum += w[k]
	}
	for i := range e.v {
		x := tableFrom + float64(i)*tableStep
		if sigma == 0 {
			e.v[i] = penalty(x, tolerance)
			continue
		}
		for k := range z {
			e.v[i] += w[k] / sum * penalty(x+sigma*z[k], tolerance)
		}
	}
	return e
}

// at is the loss of x stops past what is wanted.
func (e *expected) at(x float64) float64 {
	p := (x - tableFrom) / tableStep
	i := int(p)
	if p < 0 {
		return e.v[0]
	}
	if last := len(e.v) - 2; i > last {
		i = last
	}
	return e.v[i] + (p-float64(i))*(e.v[i+1]-e.v[i])
}

// slopes are the first and second derivative at x.
func (e *expected) slopes(x float64) (first, second float64) {
	const h = 2 * tableStep
	a, b, c := e.at(x-h), e.at(x), e.at(x+h)
	return (c - a) / (2 * h), math.Max(0, (c-2*b+a)/(h*h))
}

// The costs of the means, in units of loss.
const (
	touchPower = 0.03 // a power set to another step at all
	touchDial  = 0.06 // a dial of the camera
	perStop    = 0.01 // each stop that a power moves
	slight     = 0.5  // a power moved by next to nothing, falling to none at a quarter of a stop
	unnamed    = 0.25 // a light that no target names is touched
	switching  = 0.1  // a light switched on or off
	misused    = 14.0 // each stop that a light is turned up that is there for none of the targets' points
	bentSlope  = 14.0 // each stop that a light gives more than all its own targets ask for: over what a must loses
	bentFree   = 0.1  // stops that steps leave: no misuse
	bentKnee   = 0.15 // from there up to here with the square, stops

	spentSlope = 13.0 // each stop by which a must is let go for other wishes: over what three wants far off gain
	setTo      = 0.1  // a must that is to be set anyway is set to a tenth of a stop
	spentKnee  = 0.1  // up to here with the square, stops: what steps leave

	nearFull = 0.1 // a flash at full: recycle, pops, colour; none at half power and below
	waiting  = 2.0 // each interval between frames that the recycle at this power is longer than the interval
)

// bent is the loss of a light that is x stops over all that it is there for, and its two slopes.
func bent(x float64) (loss, first, second float64) { return hinge(x, bentSlope, bentKnee) }

// spent is the loss of a must that is x stops further off than it need be, and its two slopes. The
// tolerance is what nobody walks to a head for, not a stock to pay with: a must is let go by it for
// no want that stays missed all the same.
func spent(x float64) (loss, first, second float64) { return hinge(x, spentSlope, spentKnee) }

// hinge is nothing up to zero and rises with a slope beyond, with the square up to the knee.
func hinge(x, slope, knee float64) (loss, first, second float64) {
	switch {
	case x <= 0:
		return 0, 0, 0
	case x < knee:
		return slope / (2 * knee) * x * x, slope / knee * x, slope / knee
	}
	return slope * (x - knee/2), slope, 0
}

// slightly is what a power moved by so little costs beside: nobody walks to a head for a tenth.
func slightly(by float64) float64 { return slight * math.Max(0, 1-4*math.Abs(by)) }

// powerCost is what a flash at a level costs by recycle and pops.
func powerCost(level, recycle, every float64) (c float64) {
	if over := 1 + level; over > 0 {
		c = nearFull * over * over
	}
	if every > 0 && recycle > 0 {
		c += waiting * math.Max(0, recycle*math.Exp2(level)/every-1)
	}
	return c
}

// dialCost is what a dial moved from its present value costs, beside touching it.
func dialCost(dial int, from, to float64) float64 {
	d := to - from
	switch dial {
	case dialS: // noise
		if d > 0 {
			return 0.1*d + 0.07*d*d
		}
		return -0.05 * d // the flash must give more; a shorter shutter takes nothing from it
	case dialA: // depth
		if d < 0 {
			return -0.13*d + 0.08*d*d
		}
		return 0.08*d + 0.03*d*d
	}
	if d > 0 {
		return 0.05*d + blur(to) - blur(from)
	}
	return -0.02 * d
}

// blur is what movement costs at a shutter time of 2^t seconds: nothing up to 1/60, then with the
// square of the stops beyond.
func blur(t float64) float64 {
	over := t + math.Log2(60)
	if over <= 0 {
		return 0
	}
	return 0.14 * over * over
}
