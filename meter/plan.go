package meter

import (
	"math"

	"halfstop/sample"
	"halfstop/stage"
	"halfstop/trace"
)

// The standard errors worked to where none is asked, in stops: of the straight light a quarter of
// the 0.02 st that the closed forms are held to, of the whole under a third of the 0.05 st
// (docs/accuracy.md).
const (
	straightError = 0.005
	wholeError    = 0.015
)

const (
	// firstLook is the part of the error asked that a first look must be under to end the work: an
	// error estimated from few paths may be small by chance, and to stop there would make stated
	// errors too small.
	firstLook = 0.5
	// spare is by how much more than by the law of 1/√n is planned, so that few need to go on
	// after.
	spare = 1.3
	// leastMore is the least part by which paths grow, so that there are few looks.
	leastMore = 2
	// unseenPart is how much of the error asked may come of what was missed (see doubt).
	unseenPart = 0.3
	// soonPaths are those of each randomisation after which a first answer in haze is content
	// with soonError, stops. Haze brings its light by few strong paths: 0.03 st takes ten times
	// the paths of 0.1 st, and a tenth of a stop is what a meter shows, beside kit that is known
	// to a half.
	soonPaths  = 256
	soonError  = 0.1
	soonGrowth = 4
	// darkPaths are the paths of each randomisation that find nothing before a point is called
	// dark.
	darkPaths = 1024
)

// What paths may have missed, over the number of paths. An emitter of which n well spread samples
// saw nothing, or all, may still be seen or hidden in a part of about 1/n. Relays are followed by
// half of the paths. Check: TestRareLight of internal/accuracy.
const (
	missedPart = 0.4
	relayPart  = 0.8
)

// strayPath is the light of one stray path that may have been missed, over the mean of what the
// paths brought by way of surfaces: one pseudo-observation beside n paths, so that what is stated
// of few paths cannot be smaller than what one path more may tell. Where light comes by few strong
// paths (strips beside tubes, hot spots, what coats and curved mirrors throw), the scatter of the
// first hundreds does not show it: all such readings are too low. (A prior as observations added:
// Gelman et al. 2013, 'Bayesian Data Analysis', from memory; its size is ours, from the rooms of
// the zoo.) Check: TestFirstWords of internal/accuracy.
const strayPath = 60

// An emitter that is seen in part scatters at least by what its edge does: of each randomisation's
// n samples the edge cuts one, which is seen or not. cutVariance is the variance of that over the
// part f of it that is seen, f (1 − f), on average over f; mostCut is the most. Where the edge lies
// along the samples' strata, all randomisations may agree by chance, and their own scatter says
// nothing: a scatter that one cut sample explains is pooled with cutVariance, which counts as
// cutWeight observations. So many leave the stated 95 % intervals right 95 to 96 times in 100 over
// f, and off by 4 standard errors in less than 1 of 2,000 (32 randomisations, by the binomial law).
// Check: TestCutSample, TestRareLight of internal/accuracy.
const (
	cutVariance = 1.0 / 6
	mostCut     = 1.0 / 4
	cutWeight   = 20
)

// lookWeight is how many observations of a randomisation's variance the look before counts for. A
// reading that ends when its error is small enough ends more often where that error is too small by
// chance, or where a rare strong path has not come yet. The look before told how many paths were
// needed, so it was free of that choice; pooled with it, an error is about as large as deviations
// are. (As in two-stage sampling: Stein 1945.) Check: TestSigmas, TestFirstWords.
const lookWeight = 12

// forecastOf is the variance of a randomisation as the look before has it, which had fewer paths:
// fewer times as many, under 1. The variance of what bounced falls by n⁻¹; that of the straight
// light, whose samples are spread by strata, by n⁻³ᐟ² where an edge cuts an emitter, and faster
// where none does. (Mitchell 1996, 'Consequences of stratified sampling in graphics'.) With n⁻¹ for
// all, 98 in 100 of the stated 95 % intervals held the truth in penumbras. Check: TestRareLight.
func forecastOf(whole, direct *sample.Tally, fewer float64) float64 {
	one := func(t *sample.Tally) float64 { return t.StdErr() * t.StdErr() * trace.Reps }
	return max(0, one(whole)*fewer-one(direct)*(fewer-math.Pow(fewer, 1.5)))
}

// scatter is the standard error of the mean of all randomisations; edge as in doubt, forecast the
// variance of one as the look before has it, 0 for none.
func scatter(t *sample.Tally, edge, forecast float64) float64 {
	n := float64(t.N())
	switch one := t.StdErr() * t.StdErr() * n; {
	case one <= mostCut*edge*edge*n/(n-1):
		return t.PooledError(cutVariance*edge*edge, cutWeight)
	case forecast > 0:
		return t.NormalErrorKnowing(forecast, lookWeight)
	}
	return t.NormalError()
}

// partlySeen is the part of an emitter's light under which it is taken to be cut by an edge.
const partlySeen = 0.98

// ruleOfThree: what n tries never saw is, 95 times in 100, under 3/n. (Hanley and Lippman-Hand
// 1983.)
const ruleOfThree = 3

var unit = trace.Grey(1)

// plan decides how many paths a receptor needs: a few to see how it scatters, then as many as that
// says, then more only if that was not enough (a two-stage procedure in the manner of Stein 1945).
type plan struct {
	s     *stage.Stage
	cam   *Camera
	error float64 // stops asked; 0: straightError and wholeError
	start int
	soon  bool // see Work.Soon
	spot  func(i int) bool
	rest  func(i int) float64 // see Work.Rest; may be nil
}

// mostRest is how many times its own light the whole counts for a layer at most: its power may
// still be turned up.
const mostRest = 3

// wanted is trace.MeasureOptions.Wanted.
func (p *plan) wanted(i, done int, t *trace.Transport) int {
	n := float64(t.Paths)
	d := doubtOf(p.s, p.cam, t)
	h, rel := exposure(p.s, p.cam, t, whole, d.edge)
	asked := p.error
	if asked == 0 {
		asked = wholeError
	}
	rest := 0.0
	if p.rest != nil {
		rest = p.rest(i)
	}
	if h <= 0 {
		if d.bound/n <= rest*(math.Exp2(asked)-1) {
			return done
		}
		return max(done, darkPaths)
	}
	if k := min((h+rest)/h, mostRest); k > 1 {
		h, rel = h*k, rel/k
	}
	soon := p.soon && p.s.Scene.Medium != nil
	if soon && done >= soonPaths {
		asked = max(asked, soonError)
	}
	times := need(rel, d.stray/n/h, d.missed/n/h, asked, done <= max(p.start, 16) && !t.Guided)
	if p.error == 0 && !p.spot(i) {
		direct, rel := exposure(p.s, p.cam, t, straight, d.edge)
		times = max(times, need(rel*direct/h, 0, 0, straightError, false))
	}
	if times <= 1 {
		return done
	}
	more := int(math.Ceil(float64(done) * min(1e6, max(leastMore, times))))
	if soon && done < soonPaths { // by a few looks, each of which can be shown
		return min(more, soonGrowth*done, soonPaths)
	}
	return more
}

// need is how many times the paths so far are needed; 1 and less: they are enough. rel, stray and
// hidden are relative errors, asked is in stops: rel falls by the root of the paths, the others by
// their number.
func need(rel, stray, hidden, asked float64, first bool) float64 {
	e := math.Exp2(asked) - 1
	times := hidden / (unseenPart * e)
	most := e
	if first {
		most *= firstLook
	}
	if math.Hypot(rel, stray) > most {
		r2 := rel * rel
		times = max(times, spare*(r2+math.Sqrt(r2*r2+4*e*e*stray*stray))/(2*e*e), 1.01)
	}
	return times
}

// doubt is what a Transport's own scatter does not tell, all but edge to be divided by its paths;
// lx·s or cd·s/m² at the setup's shutter.
type doubt struct {
	missed float64 // a standard error for light that no path found
	edge   float64 // what one sample of each emitter that is cut by an edge adds to a randomisation's mean
	stray  float64 // the light of one strong path
	bound  float64 // of light missed where none was found at all, 95 in 100
}

func doubtOf(s *stage.Stage, c *Camera, t *trace.Transport) (d doubt) {
	for l := range s.Layers {
		w := weight(&s.Layers[l], c)
		potential := w * luminous(&s.Layers[l], &t.Potential[l])
		seen := w * luminous(&s.Layers[l], &t.Direct[l])
		relays := w * luminous(&s.Layers[l], &unit) * t.RelayPotential[l]
		x := missedPart*potential + relayPart*relays
		d.missed += x * x
		if seen > 0 && seen < partlySeen*potential {
			d.edge += potential * potential
		}
		d.stray += strayPath * w * luminous(&s.Layers[l], &t.Bounced[l])
		d.bound += ruleOfThree * (potential + 2*relays)
	}
	d.missed = math.Sqrt(d.missed)
	d.edge = math.Sqrt(d.edge) / float64(max(1, t.Paths/trace.Reps))
	return d
}
