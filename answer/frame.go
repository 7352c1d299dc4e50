package answer

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/picture"
	"halfstop/stage"
	"halfstop/trace"
)

// FrameWork says what picture to compute and how much work to spend.
type FrameWork struct {
	Width, Height int // pixels; 0: 480 on the long side in the camera's shape
	Samples       int
	Seed          uint64
	Solo          string // one light alone, by name or role
	// Crop is the part to compute, x0, y0, x1, y1 as shares of the frame from its top left; zero: all. Width and Height are the whole frame's.
	Crop      [4]float64
	Error     float64 // stop once the picture's relative error is under this (see Framed.Error); 0: go to Samples
	Raw       bool    // Error is that of the picture with its grain, not of the cleaned one
	Exact     bool    // follow every path to its end (see trace.Film.Quick): slower, grainier, and right in the end
	MostBytes int64
	Progress  func(done, of int)
}

// Framed is a computed picture with what it was made from.
type Framed struct {
	Stage   *stage.Stage
	Film    *trace.Film
	Mix     picture.Mix
	Samples int
	// Error is the estimated relative error of a pixel's luminance, root mean square: by how much the last doubling of the samples changed the
	// picture. 0 until two rounds are done, or where none was asked for. What cells blur (about 1 %) is not in it.
	Error float64
	// Cut says that the size asked for is not of the camera's shape, so that the picture is the middle of the frame.
	Cut bool

	crop  [4]float64
	clean [][][3]float32 // of each layer, per unit setting: see Clean
	at    int            // samples at which it was cleaned
}

// LensOf gives the camera of a stage to trace.
func LensOf(s *stage.Stage, cam meter.Camera) trace.Lens {
	v := s.View
	f, d := float64(v.Lens), float64(v.Focus)
	img := f
	if d > f*1.001 {
		img = f * d / (d - f)
	}
	l := trace.Lens{At: v.At, Right: v.Right, Up: v.Up, Axis: v.Axis, Width: float64(v.Format.Width), Height: float64(v.Format.Height),
		Image: img, Focus: d, Radius: f / float64(cam.Aperture) / 2, Blades: v.Set.Blades, ShiftX: float64(v.Set.Shift[0]), ShiftY: float64(v.Set.Shift[1])}
	if v.Set.Falloff {
		l.Rim = max(f/rimNumber/2, l.Radius)
		l.RimShift = rimShift * l.Rim / (math.Hypot(l.Width, l.Height) / 2)
	}
	return l
}

// The barrel of an uncorrected lens: its rims are as wide as an opening of f/1.8, and stand so far from it that wide open the corner of the frame
// gets 0.42 of the middle's light, 1.25 stops less; two stops down nothing is clipped. Common practice, no source. Check: TestRim of trace.
const rimNumber, rimShift = 1.8, 0.475

// MixOf weighs the layers of a stage by their settings and the camera's; solo 0 or more mutes all others.
func MixOf(s *stage.Stage, cam meter.Camera, solo int) picture.Mix {
	n := float64(cam.Aperture)
	lens := cam.Q / (n * n)
	if cam.TStop > 0 {
		lens = math.Pi / 4 / float64(cam.TStop*cam.TStop)
	}
	m := picture.Mix{White: s.White, Exposure: 0.18 * lens * float64(cam.ISO) / 10}
	for i, l := range s.Layers {
		m.Folds = append(m.Folds, l.Fold)
		w := l.K * float64(cam.Shutter)
		if l.Flash {
			w = l.K * cam.Lit()
		}
		if solo >= 0 && i != solo {
			w = 0
		}
		m.Weight = append(m.Weight, w)
	}
	return m
}

// fit narrows a lens's sensor to the shape of width × height pixels, about its middle, and reports whether anything worth telling (over 1 %) was
// cut off. Pixels stay square.
func fit(lens *trace.Lens, width, height int) bool {
	shape := float64(width) / float64(height)
	was := lens.Width / lens.Height
	if shape > was {
		lens.Height = lens.Width / shape
	} else {
		lens.Width = lens.Height * shape
	}
	return math.Abs(math.Log(shape/was)) > 0.01
}

// usual is the longer side of a picture of no stated size, pixels.
const usual = 480

// Frame computes the picture of one setup.
func (j *Job) Frame(ctx context.Context, setup int, w FrameWork) (*Framed, diag.List, error) {
	width, height := w.Width, w.Height
	if cam := j.File.Setups[setup].Camera; width == 0 && cam != nil {
		if width, height = usual, usual*2/3; cam.Upright {
			width, height = height, width
		}
	}
	s, list := stage.Build(j.File, j.Doc, setup, stage.Options{Files: j.Files, Detail: figure.Far, Pixels: [2]int{width, height}})
	if s == nil {
		return nil, list, nil
	}
	if s.View == nil {
		return nil, list, fmt.Errorf("the setup %s has no camera, so there is no picture", s.Setup.Name)
	}
	solo := -1
	if w.Solo != "" {
		if solo = s.LayerNamed(w.Solo); solo < 0 {
			return nil, list, fmt.Errorf("there is no light called %q in %s", w.Solo, s.Setup.Name)
		}
	}
	if w.Width == 0 { // the sensor's own shape
		shape := float64(s.View.Format.Height / s.View.Format.Width)
		width, height = usual, int(math.Round(usual*shape))
		if shape > 1 {
			width, height = int(math.Round(usual/shape)), usual
		}
	}
	if need := s.Scene.FilmBytes(width, height); w.MostBytes > 0 && need > w.MostBytes {
		return nil, list, fmt.Errorf("a picture of %d × %d with %d lights takes about %.1f GiB of memory, over the limit of %.1f GiB; take a smaller --size",
			width, height, len(s.Layers), float64(need)/(1<<30), float64(w.MostBytes)/(1<<30))
	}
	cam := meter.CameraOf(s)
	out := &Framed{Stage: s, Mix: MixOf(s, cam, solo), crop: w.Crop}
	lens := LensOf(s, cam)
	out.Cut = fit(&lens, width, height)
	if w.Crop != ([4]float64{}) {
		width, height = cropLens(&lens, w.Crop, width, height)
	}
	out.Film = trace.NewFilm(width, height, len(s.Layers), lens)
	if !w.Exact {
		out.Film.CacheCell = Cells(s, w.Samples)
	}
	doubt := newDoubt(width, height, w.Error)
	// Rounds of 1, 1, 2, 4 … samples, so that a bound of time leaves a whole picture.
	for out.Samples < w.Samples {
		n, done := max(1, min(out.Samples, w.Samples-out.Samples)), out.Samples
		err := s.Scene.ExposeMasked(ctx, out.Film, n, w.Seed, nil, doubt.want(), func(rows, of int) {
			if w.Progress != nil {
				w.Progress(done*of+rows*n, w.Samples*of)
			}
		})
		if errors.Is(err, trace.ErrStopped) && done > 0 {
			break // rows of the unfinished round have more samples than others
		}
		if err != nil {
			return nil, list, err
		}
		if out.Samples += n; done == 0 && !w.Exact {
			if err := Outline(ctx, s.Scene, out.Film, &out.Mix, w.Seed); err != nil && !errors.Is(err, trace.ErrStopped) {
				return nil, list, err
			}
		}
		if w.Error > 0 {
			if !w.Raw {
				err = out.Clean(ctx)
			}
			if err != nil {
				break
			}
			if out.Error = doubt.compare(out.Linear(-1)); out.Error > 0 && out.Error < w.Error {
				break
			}
		}
	}
	return out, list, nil
}
