package answer

import (
	"context"
	"math"

	"halfstop/denoise"
	"halfstop/picture"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

// Clean takes the grain out of the picture, layer by layer, so that the layers still add up; Linear gives the cleaned light from then on. Light
// that a single pixel owes to a rare path is dropped (see specks), so a cleaned picture is a little darker than the readings where light comes
// in such ways; readings are never cleaned.
func (f *Framed) Clean(ctx context.Context) error {
	if f.clean != nil && f.at == f.Samples {
		return nil
	}
	all := make([]int, f.Film.Layers)
	for l := range all {
		all[l] = l
	}
	out, err := CleanLayers(ctx, f.Stage.Scene, f.Film, all, f.Mix.Folds)
	if err == nil {
		f.clean, f.at = out, f.Samples
	}
	return err
}

// CleanLayers gives the light of some of a film's layers without its grain, folded to XYZ per unit setting: folds are those of all layers.
func CleanLayers(ctx context.Context, sc *trace.Scene, f *trace.Film, layers []int, folds []spectrum.Fold) ([][][3]float32, error) {
	seen := &denoise.Seen{W: f.W, H: f.H, Albedo: f.Features.Albedo, Normal: f.Features.Normal, Depth: f.Features.Depth, Kind: f.Features.ID}
	// Surfaces first, then the veils that there are.
	var of []int
	veil := make([]bool, len(layers), 2*len(layers))
	of = append(of, layers...)
	for _, l := range layers {
		if f.HasAirlight(l) {
			of, veil = append(of, l), append(veil, true)
		}
	}
	own := func(k, i int) (lum, variance float32) {
		l := of[k]
		t, _ := f.Parts(l, i%f.W, i/f.W)
		c := folds[l].Apply(&t)
		return float32(c[1]), noiseOf(f, l, i, c[1])
	}
	load := func(k int) denoise.Layer {
		l := of[k]
		d := denoise.Layer{Veil: veil[k], C: make([][3]float32, f.W*f.H)}
		if !d.Veil {
			d.Var = make([]float32, f.W*f.H)
		}
		for i := range d.C {
			t, v := f.Parts(l, i%f.W, i/f.W)
			if d.Veil {
				t = v
			}
			c := folds[l].Apply(&t)
			d.C[i] = [3]float32{float32(c[0]), float32(c[1]), float32(c[2])}
			if !d.Veil {
				d.Var[i] = noiseOf(f, l, i, c[1])
			}
		}
		return d
	}
	out, err := denoise.Filter(ctx, seen, f.Samples, len(of), load)
	if err != nil {
		return nil, err
	}
	if f.Samples < denoise.Known {
		if err := denoise.Edges(ctx, seen, out, veil, own, func() func(x, y int, out []trace.Feature) { return sc.NewFeatureTracer(f, 1).Trace }); err != nil {
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

// noiseOf is the variance of a pixel's luminance lum: the noise is known of the mean over the windows, and taken in proportion. NaN where none is known.
func noiseOf(f *trace.Film, layer, i int, lum float64) float32 {
	mean, variance := f.Planes[layer].Noise(i)
	if !(mean > 0) {
		return float32(math.NaN())
	}
	return float32(variance * (lum / mean) * (lum / mean))
}

// Cleaned reports whether Clean was done.
func (f *Framed) Cleaned() bool { return f.clean != nil }

// Weighed gives the same light under the settings of another stage that differs from this one in nothing but settings.
func (f *Framed) Weighed(s *stage.Stage, mix picture.Mix) *Framed {
	c := *f
	c.Stage, c.Mix = s, mix
	return &c
}

// mixClean adds up cleaned layers; light 0 or more: only that one.
func (f *Framed) mixClean(light int) []spectrum.XYZ {
	out := make([]spectrum.XYZ, f.Film.W*f.Film.H)
	picture.EachRow(f.Film.H, func(y int) {
		for l, px := range f.clean {
			k := f.Mix.Weight[l] * f.Mix.Exposure
			if k == 0 || light >= 0 && l != light {
				continue
			}
			for i := y * f.Film.W; i < (y+1)*f.Film.W; i++ {
				c := px[i]
				out[i].X += float64(c[0]) * k
				out[i].Y += float64(c[1]) * k
				out[i].Z += float64(c[2]) * k
			}
		}
	})
	return out
}
