package optics

import (
	"math"

	q "halfstop/quantity"
)

// Reading returns the f-number an incident meter with constant c shows for luminous exposure h: N²
// = H·S/C. It serves flash (h is what the flash leaves), continuous light (h is illuminance times
// shutter time) and their sum. 0 in the dark. Check: A6.3, A6.11.
func Reading(h q.LuxSeconds, s q.ISO, c float64) q.FNumber {
	return q.FNumber(root(float64(h) * float64(s) / c))
}

// Spot returns the f-number a reflected meter with constant k shows: N² = L·t·S/K. 0 in the dark.
func Spot(lt q.LuminanceSeconds, s q.ISO, k float64) q.FNumber {
	return q.FNumber(root(float64(lt) * float64(s) / k))
}

func logOf(x float64) q.Stops {
	if !(x > 0) {
		return q.Stops(math.Inf(-1))
	}
	return q.Stops(math.Log2(x))
}

func root(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	return math.Sqrt(x)
}

// over divides, giving 0 where that has no finite answer.
func over(a, b float64) float64 {
	x := a / b
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return x
}
