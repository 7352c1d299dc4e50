package stage

import (
	"fmt"
	"math"

	"halfstop/diag"
	"halfstop/geom"
)

// checkGeometry finds what cannot stand as written: lights, panels and people in walls, through the
// ceiling, in each other's place; what stands in the frame.
func (s *Stage) checkGeometry() {
	room := &s.Shoot.Room
	corners, ceiling := Outline(room)
	walled := len(corners) >= 3
	if walled && s.View != nil && (!inside(corners, s.View.At) ||
		ceiling > 0 && s.View.At.Z > CeilingAt(room, s.View.At.X, s.View.At.Y)) {
		s.problem(diag.Error, "stage.camera-outside", s.path("camera.at"), "move it inside the outline",
			"the camera at %s is in a wall or outside the room", xyz(s.View.At))
		s.remark("room.outline", "the room's outline is here")
	}
	if walled && s.Setup.Sitter != nil {
		at := geom.V(float64(s.Setup.Sitter.At[0]), float64(s.Setup.Sitter.At[1]), 0)
		if !inside(corners, at) {
			s.problem(diag.Error, "stage.sitter-outside", s.path("sitter.at"), "move the sitter inside the outline",
				"the sitter at %.2f, %.2f is in a wall or outside the room", at.X, at.Y)
			s.remark("room.outline", "the room's outline is here")
		}
		if s.Sitter != nil && ceiling > 0 {
			if top, ceiling := s.Sitter.Bounds().Hi.Z, CeilingAt(room, at.X, at.Y); top > ceiling {
				s.problem(diag.Finding, "stage.sitter-ceiling", s.path("sitter"), "",
					"the sitter's head reaches %.2f m, the ceiling is at %.2f m", top, ceiling)
			}
		}
	}
	for _, l := range s.Layers {
		if l.Light < 0 {
			continue
		}
		for _, b := range l.Bodies {
			s.checkBody(l.Name, b, l.Path, corners, ceiling)
		}
	}
	for _, p := range s.Panels {
		b := Body{At: p.At, Frame: p.Frame, Shape: "rectangle", Width: float64(p.Panel.Size[0]),
			Height: float64(p.Panel.Size[1])}
		s.checkBody("the "+p.Name, b, p.Path, corners, ceiling)
	}
	for _, p := range s.Points {
		if p.Incident != nil && !p.Sitter && walled && ceiling > 0 &&
			(p.Incident.At.Z < -1e-6 || p.Incident.At.Z > CeilingAt(room, p.Incident.At.X,
				p.Incident.At.Y)+1e-6 || !insideOrOn(corners, p.Incident.At)) {
			s.problem(diag.Error, "stage.point-outside", p.Path, "move it inside",
				"the point %s at %s lies in a wall or outside the room", p.Name, xyz(p.Incident.At))
		}
	}
	s.checkPlaces()
	s.checkPointInLight()
	s.checkPointInside()
	s.checkOverlap()
	s.checkStands()
}

// checkPointInLight finds receptors inside a lamp, where there is no answer: a ball and a tube
// shine outward. A light without size lights nothing where it is itself.
func (s *Stage) checkPointInLight() {
	for _, p := range s.Points {
		if p.Incident == nil {
			continue
		}
		for _, l := range s.Layers {
			for _, b := range l.Bodies {
				d := p.Incident.At.Sub(b.At)
				in := false
				switch b.Shape {
				case "sphere":
					in = d.Len() < b.Width/2*(1-1e-6)
				case "tube":
					along := d.Dot(b.Frame.S)
					in = math.Abs(along) < b.Width/2 && d.AddMul(b.Frame.S, -along).Len() < b.Height/2*(1-1e-6)
				case "point":
					if d.Len() < 1e-6 {
						s.problem(diag.Finding, "stage.point-at-light", p.Path, "move one of them",
							"the point %s is where the light %s is: it gets none of its straight light", p.Name, l.Name)
						s.remark(l.Path, "the light is here")
					}
				}
				if in {
					s.problem(diag.Error, "stage.point-in-light", p.Path, "move one of them",
						"the point %s at %s is where the light %s is, inside it", p.Name, xyz(p.Incident.At), l.Name)
					s.remark(l.Path, "the light is here")
				}
			}
		}
	}
}

func xyz(p geom.Vec) string { return fmt.Sprintf("%.2f, %.2f, %.2f", p.X, p.Y, p.Z) }

// extent gives the corners of the box round a body.
func (b *Body) extent() []geom.Vec {
	w, h := b.Width/2, b.Height/2
	if b.Shape == "disc" || b.Shape == "sphere" {
		h = w
	}
	d := b.Depth
	if b.Shape == "tube" {
		h = b.Height / 2
	}
	if b.Shape == "point" {
		w, h = 0.06, 0.06
	}
	var out []geom.Vec
	for _, x := range [2]float64{-w, w} {
		for _, y := range [2]float64{-h, h} {
			for _, z := range [2]float64{-d, 0} {
				if b.Shape == "sphere" {
					z = -w + 2*w*(1+z/max(d, 1e-9))
				}
				out = append(out, b.At.Add(b.Frame.Out(x, y, z)))
			}
		}
	}
	if b.Shape == "disc" { // the round face, not its square
		out = out[:0]
		for k := range 16 {
			sn, cs := math.Sincos(2 * math.Pi * float64(k) / 16)
			out = append(out, b.At.Add(b.Frame.Out(w*cs, w*sn, 0)))
		}
		out = append(out, b.At.Add(b.Frame.Out(0, 0, -d)))
	}
	return out
}

func (s *Stage) checkBody(name string, b Body, path string, corners []geom.Vec, ceiling float64) {
	if len(corners) >= 3 && !insideOrOn(corners, b.At) {
		s.problem(diag.Finding, "stage.outside", path+".at", "move it inside the outline",
			"%s is in a wall or outside the room", name)
		s.remark("room.outline", "the room's outline is here")
		return
	}
	over, top, bottom, through, wall := math.Inf(-1), 0.0, math.Inf(1), 0.0, 0
	for _, p := range b.extent() {
		h := ceiling
		if ceiling > 0 && inside(corners, p) {
			h = CeilingAt(&s.Shoot.Room, p.X, p.Y)
		}
		if p.Z-h > over {
			over, top, ceiling = p.Z-h, p.Z, h
		}
		bottom = min(bottom, p.Z)
		if d, n := wallBefore(corners, p); d > through && d < 1.5 {
			through, wall = d, n
		}
	}
	if ceiling > 0 && top > ceiling+0.001 {
		s.problem(diag.Finding, "stage.through-ceiling", path+".height",
			fmt.Sprintf("lower it by %.2f m, or take a smaller modifier", top-ceiling),
			"%s reaches %.2f m: %.0f cm through the ceiling at %.2f m", name, top, (top-ceiling)*100, ceiling)
		s.remark("room.ceiling", "the ceiling is set here")
	}
	if len(corners) >= 3 && bottom < -0.001 {
		s.problem(diag.Finding, "stage.through-floor", path+".height", fmt.Sprintf("raise it by %.2f m", -bottom),
			"%s reaches %.0f cm below the floor", name, -bottom*100)
	}
	if wall > 0 && through > 0.001 {
		s.problem(diag.Finding, "stage.through-wall", path+".at",
			fmt.Sprintf("move it %.2f m away from wall %d, or take a shallower modifier", through, wall),
			"%s reaches %.0f cm into wall %d", name, through*100, wall)
	}
}

// wallBefore is the nearest wall that p, outside the room, lies behind, and how far, metres; 0 for
// none. Beside an inner corner p lies behind two, and has come through the nearer.
func wallBefore(corners []geom.Vec, p geom.Vec) (far float64, wall int) {
	if len(corners) < 3 || inside(corners, p) {
		return 0, 0
	}
	for n := 1; n <= len(corners); n++ {
		a, dir, l, in, ok := Wall(corners, n)
		if !ok {
			continue
		}
		along := p.Sub(a).Dot(dir)
		if d := -p.Sub(a).Dot(in); along >= 0 && along <= l && d > 0 && (wall == 0 || d < far) {
			far, wall = d, n
		}
	}
	return far, wall
}

// checkOverlap finds lights that hang inside the sitter or inside a box of furniture, and lights in
// one place.
func (s *Stage) checkOverlap() {
	for i, l := range s.Layers {
		if l.Light < 0 || len(l.Bodies) == 0 {
			continue
		}
		at := l.Bodies[0].At
		for k, o := range s.Shoot.Room.Objects {
			if o.Box != nil && !o.Box.Inside && inBox(&o, at, 0) {
				s.problem(diag.Finding, "stage.in-object", l.Path+".at", "move it", "%s is inside %s", l.Name,
					orWord(o.Name, "an object"))
				s.remark(fmt.Sprintf("room.objects[%d]", k), "the object is here")
			}
		}
		if s.Sitter != nil {
			if b := s.Sitter.Bounds(); b.Contains(at) {
				s.problem(diag.Finding, "stage.in-sitter", l.Path+".at", "move it", "%s is where the sitter is",
					l.Name)
			}
		}
		for j := range i {
			m := &s.Layers[j]
			if m.Light >= 0 && len(m.Bodies) > 0 && m.Bodies[0].At.Sub(at).Len() < 0.02 &&
				s.Setup.Lights[l.Light].Emitter == nil {
				s.problem(diag.Finding, "stage.same-place", l.Path+".at", "move one of them",
					"%s and %s hang in one place", m.Name, l.Name)
			}
		}
	}
}

// inCrop reports whether a place of the frame lies in the part that will be used.
func (s *Stage) inCrop(x, y float64) bool {
	crop := [4]float64{0, 0, 1, 1}
	if k := s.Setup.Camera.Crop; k != nil {
		crop = *k
	}
	return x > crop[0] && x < crop[2] && y > crop[1] && y < crop[3]
}

// inside reports whether p (x, y) lies inside the outline.
func inside(c []geom.Vec, p geom.Vec) bool {
	in := false
	for i := range c {
		a, b := c[i], c[(i+1)%len(c)]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < (b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y)+a.X {
			in = !in
		}
	}
	return in
}

// insideOrOn also takes points on a wall.
func insideOrOn(c []geom.Vec, p geom.Vec) bool {
	if inside(c, p) {
		return true
	}
	for n := 1; n <= len(c); n++ {
		if a, dir, l, in, ok := Wall(c, n); ok {
			if t := p.Sub(a).Dot(dir); math.Abs(p.Sub(a).Dot(in)) < 1e-3 && t > -1e-3 && t < l+1e-3 {
				return true
			}
		}
	}
	return false
}
