package photometry

// BeamAngle returns the full angle in degrees between the directions at which the intensity has fallen to share of the largest
// (0.5: beam, 0.1: field), in the plane through C = c degrees: the sum of the angles on both sides of N, each
// counted to the last direction that still reaches it. 0 for a dark web; at most 360.
// Check: TestBeamAngle.
func (w *Web) BeamAngle(c, share float64) float64 {
	want := share * w.grid.peak
	if !(want > 0) {
		return 0
	}
	sum := 0.0
	for _, turn := range []float64{c, c + 180} {
		at := func(gamma float64) float64 { return w.Candela(Direction(gamma, turn)) }
		last := 0.0
		const step = 0.25
		for g := 180.0; g > 0; g -= step {
			if at(g-step) < want {
				continue
			}
			// Crossed within this step, or the beam reaches round to the back.
			lo, hi := g-step, g
			if at(hi) >= want {
				last = hi
				break
			}
			for range 40 {
				if m := (lo + hi) / 2; at(m) >= want {
					lo = m
				} else {
					hi = m
				}
			}
			last = lo
			break
		}
		sum += last
	}
	return sum
}
