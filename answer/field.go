package answer

import (
	"context"
	"math"

	"halfstop/figure"
	"halfstop/meter"
	"halfstop/render"
	"halfstop/sheet"
	"halfstop/stage"
)

// Fields gives, for each layer, its light over the place at a height: stops
// against ref (lx·s at the setup's shutter), as a meter turned to that light
// would read. Direct light, without the sitter; lights that work by way of a
// surface with what that surface gives. A layer that is off has no field.
func (j *Job) Fields(ctx context.Context, setup int, z, ref float64, seed uint64) ([]*sheet.Field, error) {
	s, _ := stage.Build(j.File, j.Doc, setup, stage.Options{Files: j.Files, Detail: figure.Shadow, Empty: true})
	if s == nil || !(ref > 0) {
		return nil, nil
	}
	out := make([]*sheet.Field, len(s.Layers))
	corners, _ := stage.Outline(&j.File.Room)
	p, err := render.MapIlluminance(ctx, s, corners, render.Plane{At: z}, render.TurnedToLight, seed)
	if p == nil {
		return out, err
	}
	cam := meter.CameraOf(s)
	for l := range s.Layers {
		w := s.Layers[l].K
		if !s.Layers[l].Flash {
			w *= float64(cam.Shutter)
		}
		if w == 0 {
			continue
		}
		f := &sheet.Field{X0: p.X0, Y0: p.Y0, DX: p.DX, DY: p.DY, NX: p.NX, NY: p.NY, Stops: make([]float64, p.NX*p.NY)}
		for i, v := range p.Layers[l] {
			f.Stops[i] = math.Log2(v * w / ref)
		}
		out[l] = f
	}
	return out, nil
}
