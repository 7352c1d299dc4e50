package render

import (
	"context"
	"math"

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
	var of []int
	airlight := make([]bool, len(layers), 2*len(layers))
	of = append(of, layers...)
	for _, l := range layers {
		if f.HasAirlight(l) {
			of, airlight = append(of, l), append(airlight, true)
		}
	}
	raw := func(k, i int) (lum, variance float32) {
		l := of[k]
		t, _ := f.Parts(l, i%f.W, i/f.W)
		c := folds[l].Apply(&t)
		return float32(c[1]), varianceOf(f, l, i, c[1])
	}
	load := func(k int) denoise.Layer {
		l := of[k]
		d := denoise.Layer{Airlight: airlight[k], C: make([][3]float32, f.W*f.H)}
		if !d.Airlight {
			d.Var = make([]float32, f.W*f.H)
		}
		for i := range d.C {
			t, v := f.Parts(l, i%f.W, i/f.W)
			if d.Airlight {
				t = v
			}
			c := folds[l].Apply(&t)
			d.C[i] = [3]float32{float32(c[0]), float32(c[1]), float32(c[2])}
			if !d.Airlight {
				d.Var[i] = varianceOf(f, l, i, c[1])
			}
		}
		return d
	}
	out, err := denoise.Filter(ctx, features, f.Samples, len(of), load)
	if err != nil {
		return nil, err
	}
	if f.Samples < denoise.EdgeSamples {
		looker := func() func(x, y int, out []trace.Feature) { return sc.NewFeatureTracer(f, 1).Trace }
		if err := denoise.ReconstructEdges(ctx, features, out, airlight, raw, looker); err != nil {
			return nil, err
		}
	}
	next := len(layers)
	for k, l := range layers {
		if !f.HasAirlight(l) {
			continue
		}
		for p, v := range out[next] {
			for c := range v {
				out[k][p][c] += v[c]
			}
		}
		next++
	}
	return out[:len(layers):len(layers)], nil
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
