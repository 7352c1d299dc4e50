package optics

import (
	"math"

	q "halfstop/quantity"
)

// Covers returns the angle a source of the given diameter covers from a distance: 2·atan(D/2d).
// Check: trade table 3.6.
func Covers(diameter, distance q.Metres) q.Degrees {
	return q.Degrees(2 * math.Atan2(float64(diameter), 2*float64(distance)) * 180 / math.Pi)
}

// Penumbra returns the width of the soft edge of a shadow whose edge stands gap in front of what it
// falls on: gap·D/d, for gap much smaller than the distance d of the source from that edge. 0 for a
// distance that is not above 0. Check: trade table 3.6.
func Penumbra(gap, diameter, distance q.Metres) q.Metres {
	return q.Metres(over(float64(gap)*float64(diameter), float64(distance)))
}

// NoseGap is how far the tip of a nose stands before the cheek its shadow falls on (common
// practice, no source).
const NoseGap q.Metres = 0.03

// Softness says how a source reads by distance over diameter: very soft, soft, medium, half-hard,
// hard, in this order. Common practice, no source; borders halfway between the trade's figures.
// 'Crisp' is no step of it: the trade says it of a sharp edge, so it may not stand for a softer one
// than half-hard.
func Softness(diameter, distance q.Metres) string {
	r := over(float64(distance), float64(diameter))
	switch {
	case !(diameter > 0):
		return "hard"
	case r < 0.85:
		return "very soft, wraps"
	case r < 1.25:
		return "soft, beauty"
	case r < 1.75:
		return "soft"
	case r < 2.5:
		return "medium"
	case r < 5:
		return "half-hard"
	}
	return "hard"
}
