package render

import (
	"context"
	"math"

	"halfstop/geom"
	"halfstop/stage"
	"halfstop/trace"
)

// Plane is where light is laid out: level at a height, or upright along x at a y, from the floor to
// Top. Metres.
type Plane struct {
	Upright bool
	At, Top float64 // Top is of an upright one
}

// IlluminanceMap is the light of a setup's layers over a plane through the place, each at full
// setting: whoever holds it mixes the layers himself. Cell (i, j) has its middle X0 + i·DX along x
// and Y0 + j·DY along y, or up where the plane is upright, metres; values run along x first.
type IlluminanceMap struct {
	Plane
	X0, Y0, DX, DY float64
	NX, NY         int
	Layers         [][]float64 // by layer: lx for a second, or lx·s of one flash, at full setting
}

// MapReceptor says with what meter an IlluminanceMap is read.
type MapReceptor uint8

const (
	// TurnedToLight is a flat meter turned to each light by itself: direct light, or for a light
	// that works by way of a relay what that surface gives.
	TurnedToLight MapReceptor = iota
	// DomeToCamera is a dome held towards the camera (up where there is none): direct and bounced
	// light.
	DomeToCamera
)

// mapStep is the distance of the grid's points, metres; bounced light is measured at every fourth,
// because it varies slowly.
const (
	mapStep = 0.15
	coarse  = 4
)

// gridOf lays the points out over the room, or over all that stands there and a metre around.
func gridOf(s *stage.Stage, corners []geom.Vec, plane Plane) *IlluminanceMap {
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
		if w := s.Setup.Sitter; w != nil {
			b = b.Grow(geom.V(float64(w.At[0]), float64(w.At[1]), 0))
		}
		b.Lo, b.Hi = b.Lo.Sub(geom.V(1, 1, 0)), b.Hi.Add(geom.V(1, 1, 0))
	}
	if plane.Upright {
		b.Lo.Y, b.Hi.Y = 0, plane.Top
	}
	size := b.Size()
	if !(size.X > 0 && size.Y > 0) || math.IsInf(size.X, 0) || math.IsInf(size.Y, 0) {
		return nil
	}
	step := max(mapStep, math.Sqrt(size.X*size.Y/6000))
	nx, ny := int(size.X/step), int(size.Y/step)
	if nx < 2 || ny < 2 {
		return nil
	}
	dx, dy := size.X/float64(nx), size.Y/float64(ny)
	return &IlluminanceMap{Plane: plane, X0: b.Lo.X + dx/2, Y0: b.Lo.Y + dy/2, DX: dx, DY: dy, NX: nx, NY: ny,
		Layers: make([][]float64, len(s.Layers))}
}

// place is the middle of a cell.
func (p *IlluminanceMap) place(i, k int) geom.Vec {
	x, y := p.X0+float64(i)*p.DX, p.Y0+float64(k)*p.DY
	if p.Upright {
		return geom.V(x, p.At, y)
	}
	return geom.V(x, y, p.At)
}

// receptors gives one receptor for each point of the grid.
func (p *IlluminanceMap) receptors(kind trace.ReceptorKind, towards func(at geom.Vec) geom.Vec) []trace.Receptor {
	recs := make([]trace.Receptor, 0, p.NX*p.NY)
	for k := range p.NY {
		for i := range p.NX {
			at := p.place(i, k)
			recs = append(recs, trace.Receptor{Kind: kind, At: at, Facing: towards(at)})
		}
	}
	return recs
}

// relayed reports whether a light does its work by way of a surface: through a silk, off a wall or
// the ceiling.
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

// MapIlluminance measures a stage's layers over a plane through the room of these corners. Where
// there is nothing to cover it is nil. The stage should be built without its sitter
// (stage.Options.Empty): a meter is read where nobody stands yet.
func MapIlluminance(ctx context.Context, s *stage.Stage, corners []geom.Vec, plane Plane, kind MapReceptor,
	seed uint64) (*IlluminanceMap, error) {
	p := gridOf(s, corners, plane)
	if p == nil {
		return nil, nil
	}
	var direct, relays []int
	for l := range s.Layers {
		if relayed(s, &s.Layers[l]) {
			relays = append(relays, l)
		} else {
			direct = append(direct, l)
		}
	}
	recs := p.receptors(trace.Spherical, func(geom.Vec) geom.Vec { return geom.V(0, 0, 1) })
	bounces := 1
	if kind == DomeToCamera {
		recs, bounces = p.receptors(trace.Dome, toCamera(s)), 0
	}
	// Direct light point by point.
	if err := p.measure(ctx, s, recs, direct, trace.MeasureOptions{Seed: seed, Start: 2, Most: 2,
		DirectOnly: true}); err != nil {
		return nil, err
	}
	// Light by way of a relay, smoothed.
	if err := p.measure(ctx, s, recs, relays, trace.MeasureOptions{Seed: seed, Start: 8, Most: 8,
		Bounces: bounces}); err != nil {
		return nil, err
	}
	for _, l := range relays {
		p.smooth(p.Layers[l], [5]float64{1, 4, 6, 4, 1})
	}
	if kind == DomeToCamera && len(direct) > 0 {
		return p, p.bounced(ctx, s, direct, seed)
	}
	return p, nil
}

// bounced adds what comes by way of the room's surfaces, from a coarser grid.
func (p *IlluminanceMap) bounced(ctx context.Context, s *stage.Stage, layers []int, seed uint64) error {
	c := &IlluminanceMap{Plane: p.Plane, X0: p.X0, Y0: p.Y0, NX: max(2, (p.NX-1)/coarse+1),
		NY: max(2, (p.NY-1)/coarse+1)}
	c.DX, c.DY = p.DX*float64(p.NX-1)/float64(c.NX-1), p.DY*float64(p.NY-1)/float64(c.NY-1)
	t, err := s.Scene.Measure(ctx, c.receptors(trace.Dome, toCamera(s)),
		trace.MeasureOptions{Seed: seed, Layers: layers, Start: 16, Most: 16})
	if err != nil {
		return err
	}
	for _, l := range layers {
		v := make([]float64, len(t))
		for i := range t {
			v[i] = s.Layers[l].Fold.Apply(&t[i].Bounced[l])[1]
		}
		c.smooth(v, [5]float64{0, 1, 2, 1, 0})
		for k := range p.NY {
			for i := range p.NX {
				p.Layers[l][k*p.NX+i] += c.between(v, float64(i)*p.DX/c.DX, float64(k)*p.DY/c.DY)
			}
		}
	}
	return nil
}

// toCamera gives the direction from a place towards the camera; up where there is none, or at it.
func toCamera(s *stage.Stage) func(at geom.Vec) geom.Vec {
	return func(at geom.Vec) geom.Vec {
		if s.View == nil || s.View.At.Sub(at).Len() < 0.05 {
			return geom.V(0, 0, 1)
		}
		return s.View.At.Sub(at).Unit()
	}
}

// measure traces layers at receptors and folds their luminous part.
func (p *IlluminanceMap) measure(ctx context.Context, s *stage.Stage, recs []trace.Receptor, layers []int,
	m trace.MeasureOptions) error {
	if len(layers) == 0 {
		return nil
	}
	m.Layers = layers
	t, err := s.Scene.Measure(ctx, recs, m)
	if err != nil {
		return err
	}
	for _, l := range layers {
		v := make([]float64, len(t))
		for i := range t {
			band := t[i].Total(l)
			v[i] = s.Layers[l].Fold.Apply(&band)[1]
		}
		p.Layers[l] = v
	}
	return nil
}

// between reads a grid of values at a place in cells, straight between its neighbours.
func (p *IlluminanceMap) between(v []float64, x, y float64) float64 {
	i, k := min(max(int(x), 0), p.NX-2), min(max(int(y), 0), p.NY-2)
	fx, fy := min(max(x-float64(i), 0), 1), min(max(y-float64(k), 0), 1)
	at := func(i, k int) float64 { return v[k*p.NX+i] }
	return (1-fy)*((1-fx)*at(i, k)+fx*at(i+1, k)) + fy*((1-fx)*at(i, k+1)+fx*at(i+1, k+1))
}

// smooth takes the grain out of sampled light by a mean over 5 × 5 cells weighed by w along each
// side. On the fine grid the binomial weights take a twentieth of a stop's curvature at most where
// the light is a metre or more away.
func (p *IlluminanceMap) smooth(lin []float64, w [5]float64) {
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
	pass(1, p.NX, func(i int) int { return i % p.NX })
	pass(p.NX, p.NY, func(i int) int { return i / p.NX })
}
