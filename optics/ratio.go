package optics

import (
	"math"

	q "halfstop/quantity"
)

// Ratio says one lighting ratio in both conventions. Speak stops first and print both with their
// words: the two differ by more than half a stop at the gentle end.
type Ratio struct {
	KeyOverFill  q.Stops // key alone over fill alone, at the face
	Sides        float64 // (key + fill) : fill, lit side to shadow side; fill reaches both sides
	Lights       float64 // key : fill, what two separate readings show
	LitOverShade q.Stops // the sides ratio in stops
}

// RatioOf returns the ratio for a key that stands so many stops above the fill: lights 2^s, sides 1
// + 2^s. Source: derived. Check: TestRatioTable (trade table 3.1), A7.7, A7.8.
func RatioOf(keyOverFill q.Stops) Ratio {
	l := keyOverFill.Times()
	return Ratio{keyOverFill, 1 + l, l, logOf(1 + l)}
}

// RatioFromSides reads 'R:1' as lit side to shadow side: key over fill is log2(R-1). ok is false
// for R of 1 and less, where there is no key.
func RatioFromSides(r float64) (ratio Ratio, ok bool) {
	if !(r > 1) || math.IsInf(r, 0) {
		return Ratio{}, false
	}
	return RatioOf(logOf(r - 1)), true
}

// Words says how a ratio reads, by key over fill. Common practice, no source.
func (r Ratio) Words() string {
	words := [...]string{"very open", "soft commercial", "classic portrait", "shaped, still friendly", "editorial",
		"moody",
		"dramatic", "dramatic", "graphic, low key", "graphic, low key"}
	i := int(math.Round(float64(r.KeyOverFill) * 2))
	if i < 0 {
		return "nearly flat"
	}
	if i >= len(words) {
		return "silhouette-like shadow side"
	}
	return words[i]
}
