package picture

import (
	"math"

	"halfstop/sample"
	"halfstop/spectrum"
)

// Grain adds the sensor's noise to linear light: snr gives the signal-to-noise ratio of one
// photosite at a level in stops to mid-grey. Each of the three channels (linear sRGB) gets its own
// Gaussian noise; a pixel of the picture stands for sites photosites, whose noise averages.
// Repeatable for a seed. Check: TestGrain.
func Grain(px []spectrum.XYZ, seed uint64, sites float64, snr func(level float64) float64) []spectrum.XYZ {
	out := make([]spectrum.XYZ, len(px))
	sites = max(1, sites)
	for i, t := range px {
		seq := sample.New(seed, uint64(i))
		c := spectrum.SRGB.Linear(t)
		for b := range c {
			v := max(c[b], 0)
			// The noise of a black site is that of the floor: noise = signal/snr, taken at a level
			// low enough to be read noise.
			at := max(v, MidGrey*math.Exp2(-14))
			r := snr(math.Log2(at / MidGrey))
			if !(r > 0) {
				continue
			}
			u1, u2 := seq.Point2(0, b)
			g := math.Sqrt(-2*math.Log(1-min(u1, 1-1e-12))) * math.Cos(2*math.Pi*u2)
			c[b] += g * at / r / math.Sqrt(sites)
			c[b] = max(0, c[b])
		}
		out[i] = spectrum.SRGB.XYZ(c)
	}
	return out
}
