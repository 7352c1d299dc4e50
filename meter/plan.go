package meter

import (
	"math"

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
	// unseenPart is how much of the error asked may come of what was not seen (see unseen).
	unseenPart = 0.3
	// darkPaths are the paths of each randomisation that find nothing before a point is called
	// dark.
	darkPaths = 1024
)

// Of light that is hidden from a point in part, n well spread samples know the part to about edge/n
// (the scatter of the one sample that the edge cuts: between 0 and 1/2, 0.4 in the mean), seen or
// not. Relays are followed by half of the paths, so 2 × for them. Check: TestRareLight of
// internal/accuracy.
const (
	edgePart  = 0.4
	relayPart = 0.8
)

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
	spot  func(i int) bool
}

// wanted is trace.MeasureOptions.Wanted.
func (p *plan) wanted(i, done int, t *trace.Transport) int {
	h, rel := exposure(p.s, p.cam, &t.Parts)
	n := float64(t.Paths)
	hidden, bound := unseen(p.s, p.cam, t)
	if h <= 0 {
		if bound == 0 {
			return done
		}
		return max(done, darkPaths)
	}
	asked := p.error
	if asked == 0 {
		asked = wholeError
	}
	times := need(rel, hidden/n/h, asked, done <= max(p.start, 16) && !t.Guided)
	if p.error == 0 && !p.spot(i) {
		d, rel := exposure(p.s, p.cam, &t.DirectParts)
		times = max(times, need(rel*d/h, 0, straightError, false))
	}
	if times <= 1 {
		return done
	}
	return int(math.Ceil(float64(done) * min(1e6, max(2, times))))
}

// need is how many times the paths so far are needed; 1 and less: they are enough. rel and hidden
// are relative errors, asked is in stops.
func need(rel, hidden, asked float64, first bool) float64 {
	e := math.Exp2(asked) - 1
	times := hidden / (unseenPart * e)
	most := e
	if first {
		most *= firstLook
	}
	if rel > most {
		times = max(times, spare*(rel/e)*(rel/e), 1.01)
	}
	return times
}

// unseen is a standard error of one path for light that may have been missed, to be divided by the
// paths, and an upper bound of it for a point that got none, likewise; lx·s or cd·s/m² at the
// setup's shutter.
func unseen(s *stage.Stage, c *Camera, t *trace.Transport) (sd, bound float64) {
	for l := range s.Layers {
		w := weight(&s.Layers[l], c)
		straight := w * luminous(&s.Layers[l], &t.Potential[l])
		relays := w * luminous(&s.Layers[l], &unit) * t.RelayPotential[l]
		x := edgePart*straight + relayPart*relays
		sd += x * x
		bound += straight + 2*relays
	}
	return math.Sqrt(sd), ruleOfThree * bound
}
