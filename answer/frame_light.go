package answer

import (
	"context"

	"halfstop/render"
	"halfstop/spectrum"
)

// A filter that takes noise out of a picture stops at edges of things. Light in the air has none: a
// beam in haze comes out wide and short. Kept there is what the filter says of single pixels, but
// the light of each neighbourhood is what was traced in it.
const (
	nearPixels = 3    // a neighbourhood reaches so far to each side
	filterOff  = 0.25 // how far a filter's light may be off there, as a share; common practice, no source
)

// asTraced gives filtered light the mean of the traced light about each pixel, as far as that is
// known better: noise of the mean against what a filter may be off (an empirical Bayes estimate,
// Efron and Morris 1975).
func asTraced(traced, filtered []spectrum.XYZ, w, h int) []spectrum.XYZ {
	out := make([]spectrum.XYZ, len(filtered))
	for y := range h {
		for x := range w {
			n, off, square, light := 0.0, 0.0, 0.0, 0.0
			for j := max(0, y-nearPixels); j <= min(h-1, y+nearPixels); j++ {
				for i := max(0, x-nearPixels); i <= min(w-1, x+nearPixels); i++ {
					d := traced[j*w+i].Y - filtered[j*w+i].Y
					n, off, square, light = n+1, off+d, square+d*d, light+filtered[j*w+i].Y
				}
			}
			off, light = off/n, light/n
			noise := max(0, square/n-off*off) / n
			may := filterOff * light * filterOff * light
			k := 1.0
			if light > 0 && may+noise > 0 {
				k = max(0, 1+may/(may+noise)*off/light)
			}
			p := filtered[y*w+x]
			out[y*w+x] = spectrum.XYZ{X: p.X * k, Y: p.Y * k, Z: p.Z * k}
		}
	}
	return out
}

// filtered takes the noise out of a frame and gives its light, light by light; nil for none.
func filtered(ctx context.Context, f *render.Frame) ([][]spectrum.XYZ, error) {
	if f == nil {
		return nil, nil
	}
	out := make([][]spectrum.XYZ, len(f.Stage.Layers))
	for l := range out {
		out[l] = f.Linear(l)
	}
	if err := f.Denoise(ctx); err != nil {
		return nil, err
	}
	for l := range out {
		traced := out[l]
		out[l] = f.Linear(l)
		if f.Stage.Setup.Haze != nil {
			out[l] = asTraced(traced, out[l], f.Film.W, f.Film.H)
		}
	}
	return out, nil
}
