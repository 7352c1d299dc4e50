package render

import (
	"context"
	"math"
	"slices"

	"halfstop/denoise"
	"halfstop/spectrum"
	"halfstop/trace"
)

// DenoiseLayers returns some layers of a film denoised, folded to XYZ per unit setting: one picture
// of W × H a layer of layers, in that order. folds are those of all layers of the film. It ends
// with ctx's error.
//
// What haze adds on the way to the eye (airlight) is filtered by itself, since surfaces' edges are
// not its edges.
func DenoiseLayers(ctx context.Context, sc *trace.Scene, f *trace.Film, layers []int,
	folds []spectrum.Fold) ([][][3]float32, error) {
	features := &denoise.Features{W: f.W, H: f.H, Albedo: f.Features.Albedo, Normal: f.Features.Normal,
		Depth: f.Features.Depth, ID: f.Features.ID}
	// Surfaces first, then the airlight that there is.
	n := len(layers)
	of := append([]int(nil), layers...)
	for _, l := range layers {
		if f.HasAirlight(l) {
			of = append(of, l)
		}
	}
	raw := func(k, i int) (lum, variance float32) {
		l := layers[k]
		c, _ := f.XYZ(l, i, &folds[l])
		return float32(c[1]), varianceOf(f, l, i, c[1])
	}
	load := func(k int, d *denoise.Layer) {
		l := of[k]
		d.Airlight = k >= n
		for i := range d.C {
			c, veil := f.XYZ(l, i, &folds[l])
			if d.Airlight {
				c = veil
			} else {
				d.Var[i] = varianceOf(f, l, i, c[1])
			}
			d.C[i] = [3]float32{float32(c[0]), float32(c[1]), float32(c[2])}
		}
	}
	out, airlight, err := denoise.Filter(ctx, features, f.Samples, len(of), load)
	if err != nil {
		return nil, err
	}
	veils := make([]*denoise.Airlight, n) // of each layer of layers
	for k := n; k < len(of); k++ {
		veils[slices.Index(layers, of[k])] = airlight[k]
	}
	out = out[:n:n]
	var tracer func() func(x, y int, out []trace.Feature)
	if f.Samples < denoise.EdgeSamples {
		tracer = func() func(x, y int, out []trace.Feature) { return sc.NewFeatureTracer(f, 1).Trace }
	}
	if err := denoise.ReconstructEdges(ctx, features, f.Samples, out, veils, raw, tracer); err != nil {
		return nil, err
	}
	return out, nil
}

// varianceOf is the variance of a pixel's luminance lum: that of the mean over the windows is
// known, and taken in proportion. NaN where none is known.
func varianceOf(f *trace.Film, layer, i int, lum float64) float32 {
	mean, variance := f.Planes[layer].Noise(i)
	if !(mean > 0) {
		return float32(math.NaN())
	}
	return float32(variance * (lum / mean) * (lum / mean))
}
