package answer

import (
	"context"
	"math"

	"halfstop/figure"
	"halfstop/geom"
	"halfstop/meter"
	"halfstop/sheet"
	"halfstop/stage"
	"halfstop/trace"
)

// relayed reports whether a light does its work by way of a surface: through a silk, off a wall or the ceiling.
func relayed(s *stage.Stage, l *stage.Layer) bool {
	if l.Light < 0 {
		return false
	}
	w := &s.Setup.Lights[l.Light]
	if w.Through != "" {
		return true
	}
	n := w.Aim.Name
	return n == "ceiling" || n == "floor" || len(n) > 5 && (n[:5] == "wall " || n[:5] == "panel")
}

// fieldStep is the distance of the grid's points, metres.
const fieldStep = 0.15

// Fields gives, for each layer, its light over the place at a height: stops against ref (lx·s at the setup's shutter), as a
// meter turned to that light would read. Direct light, without the sitter; lights that work by way of a surface with what
// that surface gives. A layer that is off has no field.
func (j *Job) Fields(ctx context.Context, setup int, z, ref float64, seed uint64) ([]*sheet.Field, error) {
	s, _ := stage.Build(j.File, j.Doc, setup, stage.Options{Files: j.Files, Detail: figure.Shadow, Empty: true})
	if s == nil || !(ref > 0) {
		return nil, nil
	}
	out := make([]*sheet.Field, len(s.Layers))
	corners, _ := stage.Outline(&j.File.Room)
	b := geom.Empty()
	for _, c := range corners {
		b = b.Grow(c)
	}
	if len(corners) == 0 {
		for _, l := range s.Layers {
			for _, y := range l.Bodies {
				b = b.Grow(y.At)
			}
		}
		if s.Setup.Sitter != nil {
			b = b.Grow(geom.V(float64(s.Setup.Sitter.At[0]), float64(s.Setup.Sitter.At[1]), 0))
		}
		b.Lo, b.Hi = b.Lo.Sub(geom.V(1, 1, 0)), b.Hi.Add(geom.V(1, 1, 0))
	}
	size := b.Size()
	if !(size.X > 0 && size.Y > 0) || math.IsInf(size.X, 0) {
		return out, nil
	}
	step := max(fieldStep, math.Sqrt(size.X*size.Y/6000))
	nx, ny := int(size.X/step), int(size.Y/step)
	if nx < 2 || ny < 2 {
		return out, nil
	}
	dx, dy := size.X/float64(nx), size.Y/float64(ny)
	var recs []trace.Receptor
	for k := range ny {
		for i := range nx {
			recs = append(recs, trace.Receptor{Kind: trace.Round, At: geom.V(b.Lo.X+(float64(i)+0.5)*dx, b.Lo.Y+(float64(k)+0.5)*dy, z), Facing: geom.V(0, 0, 1)})
		}
	}
	cam := meter.CameraOf(s)
	fill := func(layers []int, t []trace.Transport) {
		for _, l := range layers {
			ly := &s.Layers[l]
			w := ly.K * float64(cam.Shutter)
			if ly.Flash {
				w = ly.K
			}
			if w == 0 {
				continue
			}
			f := &sheet.Field{X0: b.Lo.X + dx/2, Y0: b.Lo.Y + dy/2, DX: dx, DY: dy, NX: nx, NY: ny, Stops: make([]float64, nx*ny)}
			for i := range t {
				band := t[i].Whole(l)
				f.Stops[i] = math.Log2(ly.Fold.Apply(&band)[1] * w / ref)
			}
			out[l] = f
		}
	}
	var plain, by []int
	for l := range s.Layers {
		if relayed(s, &s.Layers[l]) {
			by = append(by, l)
		} else {
			plain = append(plain, l)
		}
	}
	if len(plain) > 0 {
		t, err := s.Scene.Measure(ctx, recs, trace.Measuring{Seed: seed, Layers: plain, Start: 4, Most: 4, DirectOnly: true})
		if err != nil {
			return nil, err
		}
		fill(plain, t)
	}
	if len(by) > 0 {
		t, err := s.Scene.Measure(ctx, recs, trace.Measuring{Seed: seed, Layers: by, Start: 16, Most: 16, Bounces: 1})
		if err != nil {
			return nil, err
		}
		fill(by, t)
		for _, l := range by {
			if out[l] != nil {
				smooth(out[l])
			}
		}
	}
	return out, nil
}

// smooth takes the grain out of a sampled field: a 5 × 5 binomial mean of the light (not of its stops), a twentieth of a stop's
// curvature at most where the light is a metre or more away.
func smooth(f *sheet.Field) {
	w := [5]float64{1, 4, 6, 4, 1}
	lin := make([]float64, len(f.Stops))
	for i, v := range f.Stops {
		lin[i] = math.Exp2(v)
	}
	pass := func(stride, n int, at func(i int) int) {
		tmp := make([]float64, len(lin))
		for i := range lin {
			k, sum, ws := at(i), 0.0, 0.0
			for d := -2; d <= 2; d++ {
				if k+d < 0 || k+d >= n {
					continue
				}
				sum += w[d+2] * lin[i+d*stride]
				ws += w[d+2]
			}
			tmp[i] = sum / ws
		}
		copy(lin, tmp)
	}
	pass(1, f.NX, func(i int) int { return i % f.NX })
	pass(f.NX, f.NY, func(i int) int { return i / f.NX })
	for i, v := range lin {
		f.Stops[i] = math.Log2(v)
	}
}
