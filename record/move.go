package record

import (
	"math"
	"slices"
	"strings"

	"halfstop/geom"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
)

// Pose is where a setup is in its room: the sitter's place, and the way from there to the camera
// on the plan, radians anticlockwise from x.
type Pose struct {
	X, Y, Angle float64
}

// poseOf reads a stage's pose: to the camera, or where there is none where the sitter faces.
func poseOf(s *stage.Stage) (p Pose, ok bool) {
	w := s.Setup.Sitter
	if w == nil || s.Sitter == nil {
		return p, false
	}
	p.X, p.Y = float64(w.At[0]), float64(w.At[1])
	d := s.Sitter.Landmarks["face"].Normal
	if s.View != nil {
		d = s.View.Eye().Sub(geom.V(p.X, p.Y, 0))
	}
	p.Angle = math.Atan2(d.Y, d.X)
	return p, true
}

// move carries places from one pose to another: turned, and where mirror is set with left and right
// changed as seen from the camera.
type move struct {
	from, to Pose
	mirror   bool
	scale    float64 // of lengths; 0 is 1
}

func (m *move) times() float64 {
	if m.scale > 0 {
		return m.scale
	}
	return 1
}

// place carries a place.
func (m *move) place(p geom.Vec) geom.Vec {
	d := m.way(geom.V(p.X-m.from.X, p.Y-m.from.Y, p.Z)).Mul(m.times())
	return geom.V(m.to.X+d.X, m.to.Y+d.Y, d.Z)
}

// way carries a direction.
func (m *move) way(d geom.Vec) geom.Vec {
	sn, cs := math.Sincos(-m.from.Angle)
	x, y := d.X*cs-d.Y*sn, d.X*sn+d.Y*cs
	if m.mirror {
		y = -y
	}
	sn, cs = math.Sincos(m.to.Angle)
	return geom.V(x*cs-y*sn, x*sn+y*cs, d.Z)
}

// goesAlong reports whether a target goes with the sitter or the setup, by its name.
func goesAlong(name string) bool {
	for _, p := range []string{"sitter.", "panels.", "points."} {
		if len(name) >= len(p) && strings.EqualFold(name[:len(p)], p) {
			return true
		}
	}
	_, ok := shoot.Anatomical(name)
	return ok
}

// setup carries a setup's own things: camera, sitter, lights, panels, points; s is its stage, which
// knows where words of the old room point. The look is left out.
func (m *move) setup(s *stage.Stage) shoot.Setup {
	out := *s.Setup
	out.Look, out.May, out.Off, out.Dim, out.Openings = nil, nil, nil, nil, nil
	at := func(v geom.Vec) []q.Metres {
		return []q.Metres{q.Metres(roundTo(v.X)), q.Metres(roundTo(v.Y)), q.Metres(roundTo(v.Z))}
	}
	flip := 1.0
	if m.mirror {
		flip = -1
	}
	target := func(t shoot.Target, now *geom.Vec) shoot.Target {
		if t.Name != "" && goesAlong(t.Name) {
			return shoot.Target{Name: m.name(t.Name)}
		}
		if t.Name == "" {
			p := geom.Of(t.At)
			now = &p
		}
		if now == nil {
			return t
		}
		p := m.place(*now)
		return shoot.Target{At: [3]float64{roundTo(p.X), roundTo(p.Y), roundTo(p.Z)}}
	}
	if c := out.Camera; c != nil && s.View != nil {
		k := *c
		k.At, k.Height = at(m.place(s.View.At)), 0
		aim := s.View.At.AddMul(s.View.Axis, float64(s.View.Focus))
		k.Aim = target(c.Aim, &aim)
		k.Shift[0] *= q.Metres(flip)
		if m.mirror && c.Crop != nil {
			k.Crop = &[4]float64{1 - c.Crop[2], c.Crop[1], 1 - c.Crop[0], c.Crop[3]}
		}
		if c.Focus != nil {
			f := target(*c.Focus, nil)
			k.Focus = &f
		}
		out.Camera = &k
	}
	if w := out.Sitter; w != nil {
		k := *w
		p := m.place(geom.V(float64(w.At[0]), float64(w.At[1]), 0))
		k.At = [2]q.Metres{q.Metres(roundTo(p.X)), q.Metres(roundTo(p.Y))}
		k.Turn *= q.Degrees(flip)
		k.Stature *= q.Metres(m.times())
		k.Seat *= q.Metres(m.times())
		if k.Faces.Word != "camera" && (k.Faces.Word != "" || geom.Of(k.Faces.Vec).Len2() > 0) {
			d := m.way(faces(s))
			k.Faces = shoot.Direction{Vec: [3]float64{roundTo(d.X), roundTo(d.Y), roundTo(d.Z)}}
		}
		out.Sitter = &k
	}
	out.Lights = append([]shoot.Light(nil), out.Lights...)
	for _, l := range s.Layers {
		if l.Light < 0 || len(l.Bodies) == 0 {
			continue
		}
		k := &out.Lights[l.Light]
		k.At, k.Height = at(m.place(lightPlace(k))), 0
		k.Aim = target(k.Aim, l.Target)
		k.Roll *= q.Degrees(flip)
		k.Area, k.Heights, k.Outlet, k.Patch = nil, [2]q.Metres{}, "", nil
		if k.Colour.Like != "" {
			if c, err := s.LightOf(k.Colour); err == nil {
				x := c.XY()
				k.Colour = shoot.Spectrum{XY: [2]float64{roundTo(x.X), roundTo(x.Y)}}
			}
		}
	}
	out.Panels = append([]shoot.Panel(nil), out.Panels...)
	for _, p := range s.Panels {
		for i := range out.Panels {
			if k := &out.Panels[i]; p.Panel == &s.Setup.Panels[i] {
				k.At, k.Height = at(m.place(p.At)), 0
				k.Aim = target(k.Aim, &p.Aim)
				k.Roll *= q.Degrees(flip)
				k.Size = [2]q.Metres{k.Size[0] * q.Metres(m.times()), k.Size[1] * q.Metres(m.times())}
			}
		}
	}
	out.Points = nil
	for i := range s.Setup.Points {
		k := s.Setup.Points[i]
		if k.On == "" && k.At != nil {
			p := m.place(geom.V(float64(k.At[0]), float64(k.At[1]), float64(k.At[2])))
			k.At = &[3]q.Metres{q.Metres(roundTo(p.X)), q.Metres(roundTo(p.Y)), q.Metres(roundTo(p.Z))}
			k.From = nil
		}
		if d := geom.Of(k.Facing.Vec); d.Len2() > 0 {
			w := m.way(d)
			k.Facing.Vec = w.Array()
		} else if len(k.Facing.Word) == 2 {
			if n := s.PointNamed(k.Name); n >= 0 {
				k.Facing = shoot.Direction{Vec: m.way(s.Points[n].Normal).Array()}
			}
		}
		k.On = m.name(k.On)
		out.Points = append(out.Points, k)
	}
	return out
}

// name changes left and right in the name of one of the sitter's own points, where all is mirrored.
func (m *move) name(n string) string {
	if !m.mirror {
		return n
	}
	return strings.NewReplacer("left", "right", "right", "left").Replace(n)
}

// faces is where the sitter's chest points.
func faces(s *stage.Stage) geom.Vec {
	switch s.Setup.Sitter.Faces.Word {
	case "x+":
		return geom.V(1, 0, 0)
	case "x-":
		return geom.V(-1, 0, 0)
	case "y+":
		return geom.V(0, 1, 0)
	case "y-":
		return geom.V(0, -1, 0)
	}
	if d := geom.Of(s.Setup.Sitter.Faces.Vec); d.Len2() > 0 {
		return d.Unit()
	}
	return s.Sitter.Landmarks["face"].Normal
}

// lightPlace is where a light of the shoot file has its face.
func lightPlace(l *shoot.Light) geom.Vec {
	var v [3]float64
	for i, x := range l.At {
		if i < 3 {
			v[i] = float64(x)
		}
	}
	if len(l.At) == 2 {
		v[2] = float64(l.Height)
	}
	return geom.Of(v)
}

// roundTo rounds to a millimetre, or a thousandth.
func roundTo(v float64) float64 {
	v = math.Round(v*1000) / 1000
	if v == 0 {
		return 0 // no −0
	}
	return v
}

// both is one kit with the entries of two: where a name is in both the first holds.
func both(own, other kit.Kit) kit.Kit {
	k := own
	k.Heads = with(own.Heads, other.Heads, func(x *kit.Head) string { return x.Name })
	k.Modifiers = with(own.Modifiers, other.Modifiers, func(x *kit.Modifier) string { return x.Name })
	k.Grids = with(own.Grids, other.Grids, func(x *kit.Grid) string { return x.Name })
	k.Gels = with(own.Gels, other.Gels, func(x *kit.GelSpec) string { return x.Name })
	k.Panels = with(own.Panels, other.Panels, func(x *kit.PanelSpec) string { return x.Name })
	k.Stands = with(own.Stands, other.Stands, func(x *kit.Stand) string { return x.Name })
	k.Surfaces = with(own.Surfaces, other.Surfaces, func(x *kit.SurfaceSpec) string { return x.Name })
	return k
}

func with[T any](own, other []T, name func(*T) string) []T {
	out := slices.Clone(own)
	for i := range other {
		if !slices.ContainsFunc(own, func(x T) bool { return strings.EqualFold(name(&x), name(&other[i])) }) {
			out = append(out, other[i])
		}
	}
	return out
}
