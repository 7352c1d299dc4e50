package answer

import (
	"fmt"
	"math"
	"slices"

	"halfstop/stage"
)

// Assumption is something that the file leaves open, with what stands in and how much that may move
// the reading that hangs on it most.
type Assumption struct {
	Words string
	Point string
	Stops float64 // one standard deviation there
}

// assumedError is how far a surface that nobody stated may give back another amount than what
// stands in for it, one standard deviation in stops of its own bounced light: painted walls run
// from 50 to 90 % (common practice, no source).
const assumedError = 0.5

// Assumed lists what the file leaves open, the most influential first: surfaces of the room, by
// the share of the light that has bounced and their share of the shell, and the day's place, date
// and hour where daylight goes by them.
func (m *Metered) Assumed() (out []Assumption) {
	s := m.Stage
	add := func(words string, effect func(i int) float64) {
		a := Assumption{Words: words}
		for i := range m.Readings {
			if r := &m.Readings[i]; !r.Dark {
				if e := effect(i); e > a.Stops {
					a.Point, a.Stops = r.Name, e
				}
			}
		}
		if a.Stops >= 0.05 {
			out = append(out, a)
		}
	}
	for _, p := range s.AssumedSurfaces() {
		add(fmt.Sprintf("%s assumed %s, %.0f %%", p.Part, p.Surface, 100*p.Reflectance), func(i int) float64 {
			whole, back := 0.0, 0.0
			for _, l := range m.Readings[i].Lights {
				if l.Direct+l.Bounced > 0 {
					whole += l.Share
					back += l.Share * l.Bounced / (l.Direct + l.Bounced)
				}
			}
			return math.Log2(1 + (math.Exp2(assumedError*p.Share)-1)*back/max(whole, 1e-9))
		})
	}
	if moment := stage.MomentOf(s.Shoot, s.Setup.Clock()); len(moment.Assumed) > 0 {
		for _, words := range moment.Assumed {
			add("daylight: "+words, func(i int) float64 {
				day := 0.0
				for k, l := range m.Readings[i].Lights {
					if s.Layers[k].Kind == stage.Daylight && s.ByClock(k) {
						day += l.Share
					}
				}
				return math.Log2(1 + day) // a sky twice as bright: what an hour or a season does
			})
		}
	}
	slices.SortStableFunc(out, func(a, b Assumption) int { return int(math.Copysign(1, b.Stops-a.Stops)) })
	return out
}
