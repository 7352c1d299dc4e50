package record

import (
	"math"

	"halfstop/geom"
	"halfstop/shoot"
	"halfstop/stage"
)

// space is a room for asking what fits where: its outline, its height, the boxes round its things,
// and where its own light comes from.
type space struct {
	corners []geom.Vec
	height  float64 // 0: no ceiling
	boxes   []geom.Box
	house   []source
}

// source is a window or a practical: where, and how much it counts.
type source struct {
	name   string
	at     geom.Vec
	weight float64 // area of a window, m², or flux of a practical over 3,000 lm: by eye, for matching alone
}

// spaceOf reads a room and the things that stand in it; things of one setup come with it.
func spaceOf(f *shoot.File, s *stage.Stage) *space {
	p := &space{}
	p.corners, p.height = stage.Outline(&f.Room)
	for i := range f.Room.Objects {
		if b, ok := boxOf(&f.Room.Objects[i]); ok {
			p.boxes = append(p.boxes, b)
		}
	}
	for i := range s.Glazings {
		g := &s.Glazings[i]
		p.house = append(p.house, source{g.Name, g.At, g.Width * g.Height})
	}
	for i := range s.Layers {
		l := &s.Layers[i]
		if l.Light < 0 && l.Kind == stage.Practical && len(l.Bodies) > 0 {
			p.house = append(p.house, source{l.Name, l.Bodies[0].At, 0.5})
		}
	}
	return p
}

// boxOf is the box along the axes round a thing; false for a mesh, whose size is not known here,
// and for what lies flat.
func boxOf(o *shoot.Object) (b geom.Box, ok bool) {
	b = geom.Empty()
	switch {
	case o.Box != nil && !o.Box.Inside:
		lo := geom.V(float64(o.Box.At[0]), float64(o.Box.At[1]), 0)
		if len(o.Box.At) > 2 {
			lo.Z = float64(o.Box.At[2])
		}
		size := geom.V(float64(o.Box.Size[0]), float64(o.Box.Size[1]), float64(o.Box.Size[2]))
		b = b.Grow(lo).Grow(lo.Add(size))
		if o.Turn != 0 { // round the turned box
			c := b.Centre()
			r := math.Hypot(size.X, size.Y) / 2
			b = b.Grow(geom.V(c.X-r, c.Y-r, c.Z)).Grow(geom.V(c.X+r, c.Y+r, c.Z))
		}
	case o.Cylinder != nil:
		c := o.Cylinder
		r := float64(c.Diameter) / 2
		at := geom.V(float64(c.At[0]), float64(c.At[1]), float64(c.At[2]))
		b = b.Grow(at.Add(geom.V(-r, -r, 0))).Grow(at.Add(geom.V(r, r, float64(c.Height))))
	case o.Sphere != nil:
		r := float64(o.Sphere.Diameter) / 2
		at := geom.V(float64(o.Sphere.At[0]), float64(o.Sphere.At[1]), float64(o.Sphere.At[2]))
		b = b.Grow(at.Add(geom.V(-r, -r, -r))).Grow(at.Add(geom.V(r, r, r)))
	default:
		return b, false
	}
	return b, b.Hi.Z > 0.03
}

// clearance is how far a place is from the nearest wall, floor or ceiling, metres; negative
// outside. A place without walls has room everywhere.
func (p *space) clearance(v geom.Vec) float64 {
	d := math.Inf(1)
	if p.height > 0 {
		d = min(v.Z, p.height-v.Z)
	}
	if len(p.corners) < 3 {
		return d
	}
	inside, near := false, math.Inf(1)
	for i, a := range p.corners {
		b := p.corners[(i+1)%len(p.corners)]
		if (a.Y > v.Y) != (b.Y > v.Y) && v.X < (b.X-a.X)*(v.Y-a.Y)/(b.Y-a.Y)+a.X {
			inside = !inside
		}
		ab, av := geom.V(b.X-a.X, b.Y-a.Y, 0), geom.V(v.X-a.X, v.Y-a.Y, 0)
		t := min(1, max(0, av.Dot(ab)/max(ab.Len2(), 1e-12)))
		near = min(near, av.AddMul(ab, -t).Len())
	}
	if !inside {
		near = -near
	}
	return min(d, near)
}

// free is the distance from a place to the nearest thing's box, metres; 0 inside one.
func (p *space) free(v geom.Vec) float64 {
	d := math.Inf(1)
	for _, b := range p.boxes {
		x := max(b.Lo.X-v.X, 0, v.X-b.Hi.X)
		y := max(b.Lo.Y-v.Y, 0, v.Y-b.Hi.Y)
		z := max(b.Lo.Z-v.Z, 0, v.Z-b.Hi.Z)
		d = min(d, math.Sqrt(x*x+y*y+z*z))
	}
	return d
}

// stands is how much of a person's room is taken by things, 0 to 1: of a circle of 0.3 m about a
// place, between knee and head.
func (p *space) stands(x, y float64) float64 {
	taken, n := 0, 0
	for k := range 9 {
		r := 0.3
		if k == 8 {
			r = 0
		}
		sn, cs := math.Sincos(float64(k) * math.Pi / 4)
		for _, z := range [3]float64{0.3, 0.9, 1.5} {
			if n++; p.free(geom.V(x+r*cs, y+r*sn, z)) == 0 {
				taken++
			}
		}
	}
	return float64(taken) / float64(n)
}

// blocked is the share of the way between two places that lies in things.
func (p *space) blocked(a, b geom.Vec) float64 {
	if len(p.boxes) == 0 {
		return 0
	}
	in := 0
	const steps = 16
	for k := 1; k < steps; k++ {
		if p.free(a.Lerp(b, float64(k)/steps)) == 0 {
			in++
		}
	}
	return float64(in) / steps
}

// reach is how far it is from a place to the outline in a level direction, metres.
func (p *space) reach(v, d geom.Vec) float64 {
	far := 30.0 // farther is as good as no wall
	for i, a := range p.corners {
		b := p.corners[(i+1)%len(p.corners)]
		ex, ey := b.X-a.X, b.Y-a.Y
		det := ex*d.Y - ey*d.X
		if math.Abs(det) < 1e-12 {
			continue
		}
		t := (ex*(a.Y-v.Y) - ey*(a.X-v.X)) / det
		u := (d.X*(a.Y-v.Y) - d.Y*(a.X-v.X)) / det
		if t > 1e-9 && u >= -1e-9 && u <= 1+1e-9 {
			far = min(far, t)
		}
	}
	return far
}

// horizon is the way to the walls in 16 directions about a place, the first along angle, radians;
// mirrored they go round the other way.
func (p *space) horizon(x, y, angle float64, mirror bool) (out [16]float64) {
	side := 1.0
	if mirror {
		side = -1
	}
	for k := range out {
		sn, cs := math.Sincos(angle + side*float64(k)*math.Pi/8)
		out[k] = max(0.05, p.reach(geom.V(x, y, 0), geom.V(cs, sn, 0)))
	}
	return out
}

// falls is about what the house's light is to a face: a vector sum of where it comes from, along
// the way to the camera and to its left.
func (p *space) falls(x, y, angle float64, mirror bool) (out [2]float64) {
	sn, cs := math.Sincos(-angle)
	for _, s := range p.house {
		d := geom.V(s.at.X-x, s.at.Y-y, s.at.Z-1.5)
		k := s.weight / max(d.Len2(), 0.25) / max(d.Len(), 0.5)
		f, l := d.X*cs-d.Y*sn, d.X*sn+d.Y*cs
		if mirror {
			l = -l
		}
		out[0], out[1] = out[0]+k*f, out[1]+k*l
	}
	return out
}
