package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/stage"
)

// Assumption is something that the file leaves open, with what stands in and how much that may move
// the reading that hangs on it most.
type Assumption struct {
	Words string
	Point string
	Stops float64 // one standard deviation there
}

// Assumed lists what the file leaves open, the most influential first: surfaces of the room, by
// the share of the light that has bounced, and the day's place, date and hour where daylight goes
// by them.
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
		part := strings.TrimSuffix(p.Part, "s") // as in 'wall reflectance'
		add(fmt.Sprintf("%s reflectance assumed %.0f %%", part, 100*p.Reflectance), func(i int) float64 {
			whole, back := 0.0, 0.0
			for _, l := range m.Readings[i].Lights {
				if l.Direct+l.Bounced > 0 {
					whole += l.Share
					back += l.Share * l.Bounced / (l.Direct + l.Bounced)
				}
			}
			return math.Log2(1 + (math.Exp2(p.Stops)-1)*back/max(whole, 1e-9))
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
	return MostOf(out)
}

// MostOf keeps each assumption once, where most hangs on it, the most influential first.
func MostOf(list []Assumption) (out []Assumption) {
	slices.SortStableFunc(list, func(a, b Assumption) int { return cmp.Compare(b.Stops, a.Stops) })
	for _, a := range list {
		if !slices.ContainsFunc(out, func(b Assumption) bool { return a.Words == b.Words }) {
			out = append(out, a)
		}
	}
	return out
}
