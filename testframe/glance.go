package testframe

import (
	"math"
	"slices"
)

// Glanced is what a photograph says before its lights are told apart.
type Glanced struct {
	Level     float64    // of the frame against the prediction, stops: the median of its places
	Low, High float64    // between these are eight places in ten
	Gain      [3]float64 // its white against the plan's, luminance 1
	Told      float64    // share of the frame that tells: neither clipped nor in the floor, in both
}

// Glance holds a photograph against the sum of the lights as planned, where the plan's camera
// looked, by medians over its places: a place that is wrong, or somebody who stands elsewhere,
// moves them little (Huber 1981). It takes some milliseconds.
func Glance(photo, planned *Image, at Shift) Glanced {
	var level []float64
	var ratio [3][]float64
	for k, i := range sampled(photo.W, photo.H, at) {
		if i < 0 {
			continue
		}
		o, v := photo.RGB[k], planned.RGB[i]
		if max(o[0], o[1], o[2], v[0], v[1], v[2]) > clip || min(luminance(o), luminance(v)) < glanceFloor {
			continue
		}
		level = append(level, math.Log2(luminance(o)/luminance(v)))
		for c := range ratio {
			if min(o[c], v[c]) > gamutEdge {
				ratio[c] = append(ratio[c], o[c]/v[c])
			}
		}
	}
	g := Glanced{Gain: [3]float64{1, 1, 1}, Told: float64(len(level)) / float64(len(photo.RGB))}
	if len(level) == 0 {
		return g
	}
	g.Level, g.Low, g.High = quantile(level, 0.5), quantile(level, 0.1), quantile(level, 0.9)
	for c := range ratio {
		if len(ratio[c]) == 0 {
			return g
		}
	}
	for c := range ratio {
		g.Gain[c] = quantile(ratio[c], 0.5)
	}
	y := luminance(g.Gain)
	for c := range g.Gain {
		g.Gain[c] /= y
	}
	return g
}

// glanceFloor is the luminance from which a place tells something: seven stops under mid-grey.
const glanceFloor = 0.18 / 128

// quantile sorts a list and gives the value that a share of it lies under.
func quantile(list []float64, share float64) float64 {
	slices.Sort(list)
	return list[int(share*float64(len(list)-1))]
}
