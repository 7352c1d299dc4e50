package answer

import (
	"context"
	"fmt"
	"image"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/spectrum"
	"halfstop/stage"
)

// FrameWork says what picture to compute and how much work to spend.
type FrameWork struct {
	render.Work        // Width 0: 480 on the long side in the camera's shape; its Solo is set from the name below
	SoloName    string // one light alone, by name or role; empty: all
	MostBytes   int64  // bound of the film's memory; 0: none
}

// Predicted gives the small picture of a setup that papers carry, developed; nil for a setup
// without a camera. long is its longer side, pixels.
func (j *Job) Predicted(ctx context.Context, setup int, w render.Work, long int) (image.Image, error) {
	cam := j.File.Setups[setup].Camera
	if cam == nil {
		return nil, nil
	}
	w.Width, w.Height = Pixels(cam, long)
	f, _, err := j.Frame(ctx, setup, FrameWork{Work: w})
	if err == nil && f != nil {
		err = f.Denoise(ctx)
	}
	if err != nil || f == nil {
		return nil, err
	}
	return picture.Develop(f.Linear(-1), f.Film.W, f.Film.H, f.Stage.White, spectrum.SRGB,
		render.RenderingOf(f.Stage)), nil
}

// defaultSide is the longer side of a picture of no stated size, pixels.
const defaultSide = 480

// Frame computes the picture of one setup. The messages are the
// stage's; the Frame is nil when one of them is an Error.
func (j *Job) Frame(ctx context.Context, setup int, w FrameWork) (*render.Frame, diag.List, error) {
	width, height := w.Width, w.Height
	if cam := j.File.Setups[setup].Camera; width == 0 && cam != nil {
		if width, height = defaultSide, defaultSide*2/3; cam.Upright {
			width, height = height, width
		}
	}
	s, list := stage.Build(j.File, j.Doc, setup, stage.Options{Files: j.Files, Detail: figure.Far,
		Pixels: [2]int{width, height}})
	if s == nil {
		return nil, list, nil
	}
	if s.View == nil {
		return nil, list, fmt.Errorf("the setup %s has no camera, so there is no picture", s.Setup.Name)
	}
	w.Solo = -1
	if w.SoloName != "" {
		if w.Solo = s.LayerNamed(w.SoloName); w.Solo < 0 {
			return nil, list, fmt.Errorf("there is no light called %q in %s", w.SoloName, s.Setup.Name)
		}
	}
	if w.Width == 0 { // the sensor's own shape
		width, height = render.Size(s, defaultSide)
	}
	if need := s.Scene.FoldedFilmBytes(width, height); w.MostBytes > 0 && need > w.MostBytes {
		return nil, list, fmt.Errorf(
			"a picture of %d × %d with %d lights takes about %.1f GiB of memory, over the limit of %.1f GiB; take "+
				"a smaller --size",
			width, height, len(s.Layers), float64(need)/(1<<30), float64(w.MostBytes)/(1<<30))
	}
	w.Width, w.Height = width, height
	f, err := render.Expose(ctx, s, w.Work)
	return f, list, err
}
