package testframe

import (
	"fmt"
	"math"
	"slices"

	"halfstop/learn"
)

// Cause is a likely mistake, or something that is not as planned.
type Cause struct {
	Light  string // empty: the camera
	Words  string
	Stops  float64 // its size; for white balance and framing 0
	Chance float64 // 0 to 1
}

// Sizes from which something is told; common practice, no source.
const (
	whiteNoted  = 0.008 // Δu'v': a match of two lamps of one make leaves about 0.006
	movedNoted  = 0.012 // of the frame
	rollNoted   = 1.0   // degrees
	tellNoted   = 0.35  // standard deviation of a light's weight over which it is not judged
	darkFrom    = -2.6  // stops: a cloth and a dial a stop down together take less
	commonPrior = 0.1   // how often the camera is not set as planned
	commonSD    = 1.2   // … and by how much, stops
)

// Causes says what would explain a photograph, most likely first; what is as planned is not listed.
// noise is how sure a light's level is by the fit, stops.
func (f *Fitted) Causes(layers []Layer, noise float64) []Cause {
	var out []Cause
	off := make([]float64, len(layers))
	seen := make([]bool, len(layers))
	for l := range layers {
		off[l] = math.Log2(max(f.Weight[l], 1.0/256))
		seen[l] = f.Noise[l] < tellNoted
	}
	common := f.common(layers, off, seen, noise)
	if common != 0 {
		out = append(out, Cause{Words: fmt.Sprintf("everything is %.1f stops %s: "+
			"aperture, ISO or a filter is not as planned",
			math.Abs(common), brighter(common)), Stops: common, Chance: 0.8})
	}
	for l := range layers {
		y := &layers[l]
		if !seen[l] {
			continue
		}
		if y.Off {
			if f.Weight[l] > 0.2 && f.Weight[l] > 3*f.Noise[l] {
				out = append(out, Cause{y.Name, "is on, and is planned to be off", 0, 0.9})
			}
			continue
		}
		if f.Bare[l] {
			out = append(out, Cause{y.Name, "its gel is missing", off[l] - common, 0.85})
			continue
		}
		if y.House && off[l] > -2 {
			continue // the level of a house's light is never known well; that it is off is
		}
		out = append(out, explained(y, off[l]-common, math.Hypot(noise, 1.44*f.Noise[l]/max(0.1, f.Weight[l])))...)
	}
	if d := f.Whiteness(); d > whiteNoted {
		way := "bluer"
		if f.Gain[0] > f.Gain[2] {
			way = "warmer"
		}
		out = append(out, Cause{Words: fmt.Sprintf("white balance is not as planned: %s by Δu'v' %.3f", way, d),
			Chance: 0.9})
	}
	if s := f.Shift; math.Hypot(s.X, s.Y) > movedNoted || math.Abs(s.Roll) > rollNoted {
		out = append(out, Cause{Words: fmt.Sprintf("the camera looks elsewhere: "+
			"the picture lies %.0f %% across, %.0f %% down, %.1f° round",
			100*s.X, 100*s.Y, s.Roll), Chance: 0.9})
	}
	slices.SortStableFunc(out, func(a, b Cause) int { return int(math.Copysign(1, b.Chance-a.Chance)) })
	return out
}

// common is by how much all lights are off alike; 0 where that explains them no better.
func (f *Fitted) common(layers []Layer, off []float64, seen []bool, noise float64) float64 {
	var list, sds []float64
	for l := range layers {
		if seen[l] && !layers[l].Off && !layers[l].House && off[l] > -4 {
			list, sds = append(list, off[l]), append(sds, math.Hypot(layers[l].SD, noise))
		}
	}
	if len(list) < 2 {
		return 0
	}
	// The weighted median, so that one light that is wrong does not draw the others along.
	order := make([]int, len(list))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return int(math.Copysign(1, list[a]-list[b])) })
	half, sum := 0.0, 0.0
	for _, s := range sds {
		half += 0.5 / (s * s)
	}
	e := 0.0
	for _, i := range order {
		if sum += 1 / (sds[i] * sds[i]); sum >= half {
			e = list[i]
			break
		}
	}
	// Each light may also be wrong by itself: its cost is bounded (Huber's and Welsch's idea).
	cost := func(e float64) (c float64) {
		for i := range list {
			c += min(9, math.Pow((list[i]-e)/sds[i], 2))
		}
		return c
	}
	with := cost(e) + e*e/(commonSD*commonSD) - 2*math.Log(commonPrior)
	if math.Abs(e) < 0.45 || with >= cost(0) {
		return 0
	}
	return e
}

func brighter(v float64) string {
	if v > 0 {
		return "brighter"
	}
	return "darker"
}

// explained says what may be wrong with one light.
func explained(y *Layer, off, noise float64) (out []Cause) {
	if off < darkFrom || y.House && off < -2 {
		words := "is off"
		if y.Flash {
			words = "did not fire"
		}
		return []Cause{{y.Name, words, off, 0.95}}
	}
	none, list := learn.Explain(off, y.SD, noise)
	if none > 0.5 {
		return nil
	}
	if len(list) == 0 || list[0].Share < 0.2 {
		return []Cause{{y.Name, fmt.Sprintf("gives %.1f stops %s than predicted", math.Abs(off), more(off)),
			off, 1 - none}}
	}
	for _, c := range list[:min(2, len(list))] {
		out = append(out, Cause{y.Name, c.Words, off, c.Share})
	}
	return out
}

func more(v float64) string {
	if v > 0 {
		return "more"
	}
	return "less"
}
