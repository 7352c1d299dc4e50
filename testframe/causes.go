package testframe

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Cause is a likely mistake, or something that is not as planned.
type Cause struct {
	Light  string // empty: the camera
	Words  string
	Stops  float64 // its size; for white balance and framing 0
	Chance float64 // 0 to 1

	likeliest bool // of the explanation that is likelier than all others
}

// Sizes from which something is told; common practice, no source.
const (
	whiteNoted    = 0.012 // Δu'v': a match of two lamps of one make leaves about 0.006
	movedNoted    = 0.012 // of the frame
	rollNoted     = 1.6   // degrees
	exposureNoted = 0.25  // stops
	// Logarithm of how much likelier the place must be: of seven rooms frames that were not moved
	// had 3 at most, those of a camera turned by 2° 63 at least; between them.
	movedFrom = 14
	tellFrom  = 0.4 // chance
)

// Causes says what explains a photograph, most likely first: what is not as planned in the
// explanation that is likelier than all others, where that has a chance worth telling. Chances
// are of all explanations that were weighed (model). What would explain it instead is in
// Instead.
func (f *Fitted) Causes(layers []Layer) []Cause {
	var out []Cause
	for _, x := range f.told {
		if x.likeliest && x.Chance >= tellFrom {
			out = append(out, x)
		}
	}
	if d, p := f.Whiteness(), f.whiteOff(); d > whiteNoted && p >= tellFrom {
		way := "bluer"
		if f.Gain[0] > f.Gain[2] {
			way = "warmer"
		}
		out = append(out, Cause{Words: "white balance is not as planned: " + way,
			Chance: p})
	}
	if s := f.Shift; f.moved > movedFrom && (math.Hypot(s.X, s.Y) > movedNoted || math.Abs(s.Roll) > rollNoted) {
		out = append(out, Cause{Words: fmt.Sprintf("the camera looks elsewhere: "+
			"the picture lies %.0f %% across, %.0f %% down, %.1f° round",
			100*s.X, 100*s.Y, s.Roll), Chance: 0.9})
	}
	slices.SortStableFunc(out, func(a, b Cause) int { return cmp.Compare(b.Chance, a.Chance) })
	return out
}

// insteadFrom is the chance from which another explanation is named.
const insteadFrom = 0.15

// Instead says what may be the case instead of what Causes tells, most likely first.
func (f *Fitted) Instead() []Cause {
	var out []Cause
	for _, x := range f.told {
		if x.Chance >= insteadFrom && !(x.likeliest && x.Chance >= tellFrom) {
			out = append(out, x)
		}
	}
	return out
}

// explain weighs the explanations of a photograph and keeps the chance of each cause, the weights
// of the likeliest, and how sure each weight is over all of them. step is called explainSteps
// times; where it says so the work ends with what was weighed by then.
func (f *Fitted) explain(s *sums, layers []Layer, step func() bool) {
	m := &model{sums: s, gain: f.Gain, tried: map[string]*guess{}, step: step}
	for l := range layers {
		m.house = m.house || layers[l].House
		m.states = append(m.states, statesOf(&layers[l]))
	}
	best := m.search()
	f.told = nil
	type what struct {
		light int
		words string
	}
	chance, off, whole := map[what]float64{}, map[what]float64{}, 0.0
	mean, square := make([]float64, len(layers)), make([]float64, len(layers))
	for _, g := range m.tried {
		p := math.Exp(g.log - best.log)
		if p < 1e-6 {
			continue
		}
		whole += p
		note := func(light int, words string, stops float64) {
			k := what{light, words}
			chance[k] += p
			off[k] += p * stops
		}
		if math.Abs(g.stops) > exposureNoted {
			note(-1, "exposure", g.stops)
		}
		for l, k := range g.is {
			mean[l] += p * g.w[l]
			square[l] += p * g.w[l] * g.w[l]
			if st := &m.states[l][k]; st.odd {
				note(l, st.words, math.Log2(max(g.w[l], 1.0/256))-g.stops)
			}
		}
	}
	f.Weight, f.before, f.Noise = best.w, make([]known, len(layers)), make([]float64, len(layers))
	for l := range layers {
		f.Bare[l] = m.states[l][best.is[l]].bare
		mean[l] /= whole
		f.Noise[l] = math.Sqrt(max(0, square[l]/whole-mean[l]*mean[l]))
		f.before[l].mean, f.before[l].sd = m.states[l][best.is[l]].weight(best.stops, best.house)
	}
	for k, p := range chance {
		c := Cause{Words: k.words, Stops: off[k] / p, Chance: p / whole}
		if k.light < 0 {
			c.likeliest = math.Abs(best.stops) > exposureNoted
		} else {
			st := &m.states[k.light][best.is[k.light]]
			c.likeliest = st.odd && st.words == k.words
		}
		if k.light >= 0 {
			c.Light = layers[k.light].Name
		} else {
			c.Words = fmt.Sprintf("everything is %.1f stops %s: aperture, ISO or a filter is not as planned",
				math.Abs(c.Stops), brighter(c.Stops))
		}
		f.told = append(f.told, c)
	}
	slices.SortFunc(f.told, func(a, b Cause) int {
		return cmp.Or(cmp.Compare(b.Chance, a.Chance), strings.Compare(a.Light+a.Words, b.Light+b.Words))
	})
}

func brighter(v float64) string {
	if v > 0 {
		return "brighter"
	}
	return "darker"
}
