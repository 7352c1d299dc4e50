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
	n := f.W * f.H
	seen := &denoise.Seen{W: f.W, H: f.H, Albedo: f.Seen.Albedo, Normal: f.Seen.Normal, Depth: f.Seen.Depth, Kind: f.Seen.Kind}
	var list []denoise.Layer
	for _, l := range layers {
		d := denoise.Layer{C: make([][3]float32, n), Var: make([]float32, n)}
		veil := denoise.Layer{Veil: true}
		if f.Veiled(l) {
			veil.C = make([][3]float32, n)
		}
		picture.EachRow(f.H, func(y int) {
			for i := y * f.W; i < (y+1)*f.W; i++ {
				t, v := f.Parts(l, i%f.W, y)
				c := folds[l].Apply(&t)
				d.C[i] = [3]float32{float32(c[0]), float32(c[1]), float32(c[2])}
				// The noise is known of the mean over the windows; of the luminance it is that in proportion.
				mean, variance := f.Planes[l].Noise(i)
				d.Var[i] = float32(math.NaN())
				if mean > 0 {
					d.Var[i] = float32(variance * (c[1] / mean) * (c[1] / mean))
				}
				if veil.C != nil {
					c := folds[l].Apply(&v)
					veil.C[i] = [3]float32{float32(c[0]), float32(c[1]), float32(c[2])}
				}
			}
		})
		specks(&d, f.W, f.H)
		if list = append(list, d); veil.C != nil {
			list = append(list, veil)
		}
	}
	out, err := denoise.Filter(ctx, seen, f.Samples, list)
	if err != nil {
		return nil, err
	}
	if f.Samples < denoise.Known {
		if err := denoise.Edges(ctx, seen, list, out, func() func(x, y int, out []trace.Glimpse) { return sc.Looker(f, 1).At }); err != nil {
			return nil, err
		}
	}
	k := 0
	for i := range list {
		if !list[i].Veil {
			out[k] = out[i]
			k++
			continue
		}
		for p, v := range out[i] {
			for c := range v {
				out[k-1][p][c] += v[c]
			}
		}
	}
	return out[:k], nil
}

// Cleaned reports whether Clean was done.
func (f *Framed) Cleaned() bool { return f.clean != nil }

// Weighed gives the same light under the settings of another stage that differs from this one in nothing but settings.
func (f *Framed) Weighed(s *stage.Stage, mix picture.Mix) *Framed {
	c := *f
	c.Stage, c.Mix = s, mix
	return &c
}

// specks evens out pixels that stand alone: over three times the second brightest of their neighbours, and by their own account uncertain by
// more than a third. A catchlight that every sample finds is certain and stays.
func specks(d *denoise.Layer, w, h int) {
	was := make([]float32, len(d.C))
	for i, c := range d.C {
		was[i] = c[1]
	}
	for y := range h {
		for x := range w {
			i := y*w + x
			var first, second float32
			at := i
			for dy := -1; dy <= 1; dy++ {
				for dx := -1; dx <= 1; dx++ {
					if nx, ny := x+dx, y+dy; (dx != 0 || dy != 0) && nx >= 0 && ny >= 0 && nx < w && ny < h {
						switch v := was[ny*w+nx]; {
						case v > first:
							second, first = first, v
						case v > second:
							second, at = v, ny*w+nx
						}
					}
				}
			}
			unsure := d.Var == nil || !(d.Var[i] < was[i]*was[i]/9)
			if was[i] > 3*second && unsure && second > 0 {
				k := second / was[i]
				for b := range d.C[i] {
					d.C[i][b] *= k
				}
				if at != i && d.Var != nil {
					d.Var[i] = d.Var[at]
				}
			}
		}
	}
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
