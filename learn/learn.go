package learn

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Factor is one thing whose level is not exactly known.
type Factor struct {
	Key   string  // 'head battery head 500', 'modifier octa 90', 'surfaces', 'practical sign', 'daylight'
	Prior float64 // one standard deviation, stops; 0: known exactly
}

// Part is one light's share of a reading as predicted.
type Part struct {
	Exposure float64 // any linear unit, the same for all parts of a reading; 0 or more
	// Factors and how the part goes with each: 1 where the part is proportional to it, the bounced
	// share where only bounced light goes by way of it.
	Factors []int
	Gain    []float64
}

// Observation is one reading with its prediction.
type Observation struct {
	Parts []Part
	Read  float64 // the same unit as the parts' exposures
	Noise float64 // one standard deviation of the reading itself, stops
	Words string  // for people: 'key at the face, 17:42'
}

// Known is what has been learned.
type Known struct {
	Factors []Factor
	Mean    []float64   // stops, by factor: how much brighter than predicted
	Cov     [][]float64 // stops², by factor
	Doubts  []Doubt     // readings that do not fit and were left out, worst first
}

// Doubt is a reading that does not fit the others.
type Doubt struct {
	Index  int     // of the observations
	Off    float64 // stops by which it reads more than all others would have it
	Sigmas float64
	Causes []Cause // likely ones, most likely first
}

// Errors of Learn.
var errFactor = errors.New("a part names a factor that is not there")

// questioned is from how many standard deviations a reading is not believed. At 3.3 one sound
// reading in a thousand is questioned.
const questioned = 3.3

// Learn gives the posterior of the factors. Observations that do not fit are left out one by one,
// the worst first, until all fit, and listed as doubts; never more than a third of them.
func Learn(factors []Factor, obs []Observation) (*Known, error) {
	for i := range obs {
		o := &obs[i]
		if !(o.Read > 0) || math.IsInf(o.Read, 0) || !(o.Noise > 0) {
			return nil, fmt.Errorf("%s: a reading of %g with an error of %g stops teaches nothing", o.Words,
				o.Read, o.Noise)
		}
		if !(total(o.Parts) > 0) {
			return nil, fmt.Errorf("%s: no light is predicted there, so its reading teaches nothing", o.Words)
		}
		for _, p := range o.Parts {
			for _, f := range p.Factors {
				if f < 0 || f >= len(factors) || len(p.Gain) != len(p.Factors) {
					return nil, fmt.Errorf("%s: %w", o.Words, errFactor)
				}
			}
		}
	}
	out := make([]bool, len(obs))
	var doubts []Doubt
	for {
		k := fit(factors, obs, out)
		worst, off, sigmas := -1, 0.0, questioned
		if len(doubts) < (len(obs)+2)/3 {
			for i := range obs {
				if out[i] {
					continue
				}
				// Against what all the others say: the reading itself taken back out.
				d, sd := k.withheld(&obs[i])
				if s := math.Abs(d) / sd; s > sigmas {
					worst, off, sigmas = i, d, s
				}
			}
		}
		if worst < 0 {
			k.Doubts = doubts
			return k, nil
		}
		out[worst] = true
		doubts = append(doubts, Doubt{worst, off, sigmas, causesOf(off)})
	}
}

// total is the exposure of all parts.
func total(parts []Part) float64 {
	s := 0.0
	for i := range parts {
		s += parts[i].Exposure
	}
	return s
}

// at gives log2 of a reading's prediction with corrections x, and its slope by factor.
func at(parts []Part, x, slope []float64) float64 {
	clear(slope)
	sum := 0.0
	for i := range parts {
		p := &parts[i]
		e := 0.0
		for j, f := range p.Factors {
			e += p.Gain[j] * x[f]
		}
		v := p.Exposure * math.Exp2(e)
		sum += v
		for j, f := range p.Factors {
			slope[f] += v * p.Gain[j]
		}
	}
	for f := range slope {
		slope[f] /= sum
	}
	return math.Log2(sum)
}

// fit finds the mode of the posterior by Gauss-Newton and takes the curvature there for its
// covariance.
func fit(factors []Factor, obs []Observation, out []bool) *Known {
	n := len(factors)
	k := &Known{Factors: factors, Mean: make([]float64, n)}
	slope := make([]float64, n)
	for range 30 {
		cov := make([][]float64, n)
		for i := range cov {
			cov[i] = make([]float64, n)
			cov[i][i] = factors[i].Prior * factors[i].Prior
		}
		mean := make([]float64, n)
		// Each observation, made linear at the present mode, is one rank-one update (Kalman 1960,
		// measurement update); the prior is not inverted, so factors that are known exactly stay
		// exact.
		for i := range obs {
			if out[i] {
				continue
			}
			h := at(obs[i].Parts, k.Mean, slope)
			for f := range slope {
				h -= slope[f] * k.Mean[f] // value at zero corrections
			}
			update(mean, cov, slope, math.Log2(obs[i].Read)-h, obs[i].Noise)
		}
		step := 0.0
		for f := range mean {
			step = max(step, math.Abs(mean[f]-k.Mean[f]))
		}
		k.Mean, k.Cov = mean, cov
		if step < 1e-9 {
			break
		}
	}
	return k
}

// update brings one linear observation y = slope·x + noise into mean and cov.
func update(mean []float64, cov [][]float64, slope []float64, y, noise float64) {
	n := len(mean)
	gain := make([]float64, n)
	s := noise * noise
	for i := range n {
		for j := range n {
			gain[i] += cov[i][j] * slope[j]
		}
	}
	for i := range n {
		s += slope[i] * gain[i]
		y -= slope[i] * mean[i]
	}
	for i := range n {
		mean[i] += gain[i] / s * y
		for j := range n {
			cov[i][j] -= gain[i] * gain[j] / s
		}
	}
}

// withheld gives how far a reading lies over what the others predict, and the standard deviation
// of that.
func (k *Known) withheld(o *Observation) (off, sd float64) {
	slope := make([]float64, len(k.Factors))
	h := at(o.Parts, k.Mean, slope)
	r := math.Log2(o.Read) - h
	v := 0.0
	for i := range slope {
		for j := range slope {
			v += slope[i] * k.Cov[i][j] * slope[j]
		}
	}
	// The posterior has seen this reading. With leverage v/noise² its own residual shrinks by 1 −
	// v/noise².
	n2 := o.Noise * o.Noise
	left := max(1e-6, 1-v/n2)
	return r / left, math.Sqrt(n2 / left)
}

// Predict gives by how much a prediction is corrected, stops, and one standard deviation of what
// is still not known of it. Parts are as in an observation.
func (k *Known) Predict(parts []Part) (shift, sd float64) {
	slope := make([]float64, len(k.Factors))
	t := total(parts)
	if !(t > 0) {
		return 0, 0
	}
	shift = at(parts, k.Mean, slope) - math.Log2(t)
	return shift, math.Sqrt(k.variance(slope))
}

func (k *Known) variance(slope []float64) float64 {
	v := 0.0
	for i := range slope {
		for j := range slope {
			v += slope[i] * k.Cov[i][j] * slope[j]
		}
	}
	return max(0, v)
}

// Left reports whether an observation is a doubt, and was left out.
func (k *Known) Left(observation int) bool {
	return slices.ContainsFunc(k.Doubts, func(d Doubt) bool { return d.Index == observation })
}

// SD gives one standard deviation of a factor, stops.
func (k *Known) SD(f int) float64 { return math.Sqrt(max(0, k.Cov[f][f])) }

// Next gives the index of the candidate reading that would teach most about the targets, and by
// how many stops it would bring down their root-mean-square uncertainty. noise is a reading's,
// stops. -1: none teaches anything.
//
// Bayesian experimental design for a linear model with squared error (Chaloner and Verdinelli
// 1995, A-optimal).
func (k *Known) Next(candidates, targets [][]Part, noise float64) (best int, gain float64) {
	n := len(k.Factors)
	slopes := make([][]float64, len(targets))
	before := 0.0
	for t := range targets {
		slopes[t] = make([]float64, n)
		at(targets[t], k.Mean, slopes[t])
		before += k.variance(slopes[t])
	}
	best = -1
	slope := make([]float64, n)
	least := before
	for c := range candidates {
		if !(total(candidates[c]) > 0) {
			continue
		}
		at(candidates[c], k.Mean, slope)
		cov := make([][]float64, n)
		for i := range cov {
			cov[i] = slices.Clone(k.Cov[i])
		}
		update(make([]float64, n), cov, slope, 0, noise)
		after := 0.0
		q := Known{Factors: k.Factors, Cov: cov}
		for t := range targets {
			after += q.variance(slopes[t])
		}
		if after < least-1e-12 {
			best, least = c, after
		}
	}
	if best < 0 || len(targets) == 0 {
		return -1, 0
	}
	m := float64(len(targets))
	return best, math.Sqrt(before/m) - math.Sqrt(max(0, least)/m)
}
