package render

import (
	"context"
	"errors"
	"math"

	"halfstop/meter"
	"halfstop/optics"
	"halfstop/picture"
	q "halfstop/quantity"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

// Work says how large a picture is and how much work to spend on it.
type Work struct {
	Width, Height int // pixels of the whole frame
	Samples       int // a pixel, at most
	Seed          uint64
	Solo          int // layer to show alone; -1: all
	// Crop is the part to compute, x0, y0, x1, y1 as shares of the frame from its top left; zero:
	// all.
	Crop  [4]float64
	Error float64 // stop once the picture's relative error is under this (see Frame.Error); 0: go to Samples
	Raw   bool    // Error is that of the picture with its grain, not of the denoised one
	Exact bool    // follow every path to its end (see trace.Film.CacheCell): slower, grainier, and right in the end
	// Windows keeps the light in the windows of the spectrum (trace.NewFilm), so that lights may
	// change their colour afterwards: three times the memory.
	Windows  bool
	Progress func(done, of int)
}

// Frame is a computed picture with what it was made from.
type Frame struct {
	Stage   *stage.Stage
	Film    *trace.Film
	Mix     picture.Mix
	Samples int
	// Error is the estimated relative error of a pixel's luminance, root mean square: by how much
	// the last doubling of the samples changed the picture. 0 until two rounds are done, or where
	// none was asked for. What the irradiance cache blurs is not in it.
	Error float64
	// Cut says that the size asked for is not of the camera's shape, so that the picture is the
	// middle of the frame.
	Cut bool

	crop       [4]float64
	denoised   [][][3]float32 // of each layer, per unit setting: see Denoise
	denoisedAt int            // samples at which it was denoised
}

// Expose computes the picture of a stage that has a View. When ctx ends after a whole round, the
// picture is that of the rounds done; before that it reports trace.ErrStopped.
func Expose(ctx context.Context, s *stage.Stage, w Work) (*Frame, error) {
	cam := meter.CameraOf(s)
	out := &Frame{Stage: s, Mix: MixOf(s, cam, w.Solo), crop: w.Crop}
	lens, width, height := LensOf(s, cam), w.Width, w.Height
	out.Cut = fitLens(&lens, width, height)
	if w.Crop != ([4]float64{}) {
		width, height = cropLens(&lens, w.Crop, width, height)
	}
	if w.Windows {
		out.Film = trace.NewFilm(width, height, len(s.Layers), lens)
	} else {
		out.Film = trace.NewFoldedFilm(width, height, out.Mix.Folds, lens)
	}
	if !w.Exact {
		out.Film.CacheCell = CacheCellSize(s, w.Samples)
	}
	sampler := NewAdaptiveSampler(width, height, w.Error)
	// Rounds of 1, 1, 2, 4 … samples, so that a bound of time leaves a whole picture.
	for out.Samples < w.Samples {
		n, done := max(1, min(out.Samples, w.Samples-out.Samples)), out.Samples
		err := s.Scene.ExposeMasked(ctx, out.Film, n, w.Seed, nil, sampler.Want(), func(rows, of int) {
			if w.Progress != nil {
				w.Progress(done*of+rows*n, w.Samples*of)
			}
		})
		if errors.Is(err, trace.ErrStopped) && done > 0 {
			break // rows of the unfinished round have more samples than others
		}
		if err != nil {
			return nil, err
		}
		if out.Samples += n; done == 0 && !w.Exact {
			if err := RefineEmitterEdges(ctx, s.Scene, out.Film, &out.Mix, w.Seed); err != nil &&
				!errors.Is(err, trace.ErrStopped) {
				return nil, err
			}
		}
		if w.Error > 0 {
			if !w.Raw {
				err = out.Denoise(ctx)
			}
			if err != nil {
				break
			}
			if out.Error = sampler.Update(out.Linear(-1)); out.Error > 0 && out.Error < w.Error {
				break
			}
		}
	}
	return out, nil
}

// Denoise filters the picture, layer by layer, so that the layers still add up; Linear gives the
// denoised light from then on. Light that a single pixel owes to a rare path is spread over the
// picture (firefly suppression, see package denoise): a layer keeps its mean, but where such light
// falls is not known yet. Readings are never denoised.
func (f *Frame) Denoise(ctx context.Context) error {
	if f.denoised != nil && f.denoisedAt == f.Samples {
		return nil
	}
	all := make([]int, f.Film.Layers)
	for l := range all {
		all[l] = l
	}
	out, err := DenoiseLayers(ctx, f.Stage.Scene, f.Film, all, f.Mix.Folds)
	if err == nil {
		f.denoised, f.denoisedAt = out, f.Samples
	}
	return err
}

// Denoised reports whether Denoise was done.
func (f *Frame) Denoised() bool { return f.denoised != nil }

// Reweighed gives the same light under the settings of another stage that differs from this one in
// nothing but settings; where folds differ too, of a film that has windows (Work.Windows) and was
// not denoised.
func (f *Frame) Reweighed(s *stage.Stage, mix picture.Mix) *Frame {
	c := *f
	c.Stage, c.Mix = s, mix
	return &c
}

// Linear mixes the picture, or with light 0 or more only that layer, to XYZ on the scale where
// mid-grey has Y = 0.18.
func (f *Frame) Linear(light int) []spectrum.XYZ {
	if f.denoised != nil {
		return f.falloff(f.mixDenoised(light))
	}
	m := f.Mix
	if light >= 0 {
		m.Weight = make([]float64, len(f.Mix.Weight))
		m.Weight[light] = f.Mix.Weight[light]
	}
	return f.falloff(picture.Linear(f.Film, &m))
}

// mixDenoised adds up denoised layers; light 0 or more: only that one.
func (f *Frame) mixDenoised(light int) []spectrum.XYZ {
	out := make([]spectrum.XYZ, f.Film.W*f.Film.H)
	picture.EachRow(f.Film.H, func(y int) {
		for l, px := range f.denoised {
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

// Range is where the sensor ends at the camera's sensitivity.
func (f *Frame) Range() picture.Range {
	cam := meter.CameraOf(f.Stage)
	return picture.Range{Floor: float64(cam.Sensor.Floor(cam.ISO, 1)), Clip: float64(cam.Sensor.Clip(cam.ISO))}
}

// Grain adds the sensor's noise; photosites is how many million the sensor has.
func (f *Frame) Grain(px []spectrum.XYZ, seed uint64, photosites float64) []spectrum.XYZ {
	cam := meter.CameraOf(f.Stage)
	sensor := optics.Sensor{FullWell: cam.Sensor.FullWell, ReadNoise: cam.Sensor.ReadNoise}
	return picture.Grain(px, seed, photosites*1e6/float64(f.Film.W*f.Film.H), func(level float64) float64 {
		return sensor.SNR(q.Stops(level), cam.ISO)
	})
}

// Size gives the pixels of a stage's whole frame, long on its longer side, in the sensor's shape.
func Size(s *stage.Stage, long int) (w, h int) {
	shape := float64(s.View.Format.Height / s.View.Format.Width)
	if shape > 1 {
		return int(math.Round(float64(long) / shape)), long
	}
	return long, int(math.Round(float64(long) * shape))
}
