package stage

import (
	"fmt"
	"math"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/material"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
)

// Outline gives the floor's corners in metres, anticlockwise, and the ceiling's height; empty for
// no room.
func Outline(r *shoot.Room) (corners []geom.Vec, ceiling float64) {
	if len(r.Size) == 3 {
		x, y := float64(r.Size[0]), float64(r.Size[1])
		return []geom.Vec{{}, {X: x}, {X: x, Y: y}, {Y: y}}, float64(r.Size[2])
	}
	for _, c := range r.Outline {
		corners = append(corners, geom.V(float64(c[0]), float64(c[1]), 0))
	}
	return corners, float64(r.Ceiling)
}

// Wall gives the start, direction (unit), length and inward normal of wall n, counted from 1.
func Wall(corners []geom.Vec, n int) (a, dir geom.Vec, length float64, in geom.Vec, ok bool) {
	if n < 1 || n > len(corners) {
		return
	}
	a = corners[n-1]
	d := corners[n%len(corners)].Sub(a)
	length = d.Len()
	if length == 0 {
		return
	}
	dir = d.Mul(1 / length)
	return a, dir, length, geom.V(-dir.Y, dir.X, 0), true
}

// shell gives the surface of a part of the room by the first of the names that the shoot uses.
func (s *Stage) shell(keys ...string) int {
	if s.gain == 0 {
		s.gain = s.roomGain()
	}
	return s.add(gained(Material(s.shellSurface(keys...)), s.gain), "room.surfaces")
}

// usualReflectance stands where the file says nothing of a part of the shell: an even grey inside
// the range that is usual indoors, with one standard deviation in stops, that range taken as 90 %.
// Ranges: EN 12464-1:2002, ceiling 0.6 to 0.9, walls 0.3 to 0.8, floor 0.1 to 0.5, from memory.
var usualReflectance = map[string]struct {
	of float64
	sd q.Stops
}{"ceiling": {0.75, 0.18}, "walls": {0.6, 0.43}, "floor": {0.25, 0.71}}

func (s *Stage) shellSurface(keys ...string) material.Surface {
	for _, k := range keys {
		if w, ok := s.Shoot.Room.Surfaces[k]; ok {
			return s.surface(w, "room.surfaces."+k)
		}
	}
	part := keys[0]
	if _, ok := usualReflectance[part]; !ok {
		part = "walls" // one of them by its number
	}
	return material.Surface{Name: "assumed", Diffuse: spectrum.Constant(usualReflectance[part].of)}
}

func (s *Stage) wallMaterial(n int) int {
	return s.shell(fmt.Sprintf("wall %d", n), "walls", "all")
}

// room builds walls with their holes, floor and ceiling.
func (s *Stage) room() {
	r := &s.Shoot.Room
	corners, ceiling := Outline(r)
	if len(corners) < 3 {
		return
	}
	floor := s.shell("floor", "all")
	for n := 1; n <= len(corners); n++ {
		a, dir, length, _, ok := Wall(corners, n)
		if !ok {
			s.problem(diag.Error, "stage.wall", "room.outline", "leave one of the two corners out",
				"wall %d has no length", n)
			continue
		}
		mat := s.wallMaterial(n)
		// The wall is drawn from its far end so that its front looks inward; holes are measured
		// from the near end.
		var holes []trace.Rect
		h, low := s.wallTop(a, dir, length, ceiling)
		hole := func(what, path string, from, width, lo, hi float64) bool {
			top := h
			for _, x := range low {
				if x.from < from+width-1e-6 && x.to > from+1e-6 {
					top = min(top, x.height)
				}
			}
			if width <= 0 || hi <= lo || from < -1e-6 || from+width > length+1e-6 || lo < -1e-6 || ceiling > 0 &&
				hi > top+1e-6 {
				s.problem(diag.Error, "stage.hole", path,
					"measure again: from, width, sill and head must lie inside the wall",
					"%s does not lie inside wall %d, which is %.2f m long and %.2f m high", what, n, length, top)
				return false
			}
			holes = append(holes, trace.Rect{X0: length - from - width, Y0: lo, X1: length - from, Y1: hi})
			return true
		}
		for i, w := range r.Windows {
			if w.Wall == n && !w.InCeiling {
				hole("window "+w.Name, fmt.Sprintf("room.windows[%d]", i), float64(w.From), float64(w.Width),
					float64(w.Sill), float64(w.Head))
			}
		}
		for i, d := range r.Doors {
			if d.Wall != n {
				continue
			}
			head := float64(d.Head)
			if head == 0 {
				head = 2.0
			}
			if hole("door "+d.Name, fmt.Sprintf("room.doors[%d]", i), float64(d.From), float64(d.Width), 0, head) {
				leaf := mat
				if d.Surface != nil {
					leaf = s.material(*d.Surface, nil, fmt.Sprintf("room.doors[%d].surface", i))
				}
				c := a.AddMul(dir, float64(d.From)+float64(d.Width)/2).Add(geom.V(0, 0, head/2))
				if r.Skirting > 0 { // hung in a lining
					c = c.AddMul(geom.V(-dir.Y, dir.X, 0), -rebate)
				}
				s.Scene.AddQuad(c, geom.UprightFrame(geom.V(-dir.Y, dir.X, 0)), float64(d.Width), head, leaf)
			}
		}
		if h <= 0 {
			continue // a floor under the open sky
		}
		for _, x := range low {
			if x.height < h {
				holes = append(holes, trace.Rect{X0: length - x.to, Y0: x.height, X1: length - x.from, Y1: h})
			}
		}
		s.Scene.AddWall(a.AddMul(dir, length), dir.Neg(), geom.V(0, 0, 1), length, h, holes, mat)
	}
	if err := s.Scene.AddPolygon(corners, floor); err != nil {
		s.problem(diag.Error, "stage.outline", "room.outline",
			"list the corners in order round the room, without crossing", "the outline is no simple polygon: %v", err)
		return
	}
	if ceiling <= 0 {
		return
	}
	if len(r.Ceilings) > 0 {
		s.ceilings()
		return
	}
	s.ceiling(corners, ceiling, s.shell("ceiling", "all"))
}

// ceiling builds the ceiling less the windows in it.
func (s *Stage) ceiling(corners []geom.Vec, z float64, mat int) {
	var holes []trace.Rect
	b := geom.Empty()
	for _, c := range corners {
		b = b.Grow(c)
	}
	for i, w := range s.Shoot.Room.Windows {
		if !w.InCeiling {
			continue
		}
		x, y, dx, dy := float64(w.At[0]), float64(w.At[1]), float64(w.Size[0]), float64(w.Size[1])
		if dx <= 0 || dy <= 0 || x < b.Lo.X-1e-6 || y < b.Lo.Y-1e-6 || x+dx > b.Hi.X+1e-6 || y+dy > b.Hi.Y+1e-6 {
			s.problem(diag.Error, "stage.hole", fmt.Sprintf("room.windows[%d]", i), "measure again",
				"window %s does not lie inside the ceiling", w.Name)
			continue
		}
		holes = append(holes, trace.Rect{X0: x, Y0: y, X1: x + dx, Y1: y + dy})
	}
	if len(holes) == 0 {
		top := make([]geom.Vec, len(corners))
		for i, c := range corners { // clockwise from above: front down
			top[len(corners)-1-i] = geom.V(c.X, c.Y, z)
		}
		if err := s.Scene.AddPolygon(top, mat); err != nil {
			return // said of the floor already
		}
		return
	}
	if !rectangular(corners) {
		s.problem(diag.Error, "stage.skylight", "room.windows", "",
			"a window in the ceiling needs a rectangular room whose walls run along x and y")
		return
	}
	// Front down: x runs backwards.
	sz := b.Size()
	for i, h := range holes {
		holes[i] = trace.Rect{X0: b.Hi.X - h.X1, Y0: h.Y0 - b.Lo.Y, X1: b.Hi.X - h.X0, Y1: h.Y1 - b.Lo.Y}
	}
	s.Scene.AddWall(geom.V(b.Hi.X, b.Lo.Y, z), geom.V(-1, 0, 0), geom.V(0, 1, 0), sz.X, sz.Y, holes, mat)
}

func rectangular(c []geom.Vec) bool {
	if len(c) != 4 {
		return false
	}
	for i := range c {
		d := c[(i+1)%4].Sub(c[i])
		if math.Abs(d.X) > 1e-6 && math.Abs(d.Y) > 1e-6 {
			return false
		}
	}
	return true
}

// direction resolves a direction seen from p.
func (s *Stage) direction(d shoot.Direction, p geom.Vec, fallback geom.Vec, path string) geom.Vec {
	words := map[string]geom.Vec{"up": {Z: 1}, "down": {Z: -1}, "x+": {X: 1}, "x-": {X: -1}, "y+": {Y: 1},
		"y-": {Y: -1}, "z+": {Z: 1}, "z-": {Z: -1}}
	if v := geom.Of(d.Vec); v.Len2() > 0 && d.Word == "" {
		return v.Unit()
	}
	if v, ok := words[d.Word]; ok {
		return v
	}
	to := func(what geom.Vec) geom.Vec {
		if v := what.Sub(p); v.Len2() > 1e-12 {
			return v.Unit()
		}
		return fallback
	}
	switch d.Word {
	case "":
		return fallback
	case "camera":
		if s.View != nil {
			return to(s.View.Eye())
		}
		s.problem(diag.Error, "stage.no-camera", path, "give the setup a camera, or a direction as [x, y, z]",
			"there is no camera to face")
	case "sitter":
		if p2, ok := s.landmark("face"); ok {
			return to(p2.At)
		}
		s.problem(diag.Error, "stage.no-sitter", path, "give the setup a sitter, or a direction as [x, y, z]",
			"there is no sitter to face")
	default:
		if at, ok := s.lightAt(d.Word); ok {
			return to(at)
		}
		s.problem(diag.Error, "stage.direction", path,
			"write up, down, x+, x-, y+, y-, camera, sitter, the name of a light, or [x, y, z]",
			"%q is no direction", d.Word)
	}
	return fallback
}

// lightAt finds where a light of the setup hangs, by name or role, before or after it is built.
func (s *Stage) lightAt(name string) (geom.Vec, bool) {
	for pass := range 2 {
		for _, l := range s.Setup.Lights {
			if pass == 0 && equal(l.Name, name) || pass == 1 && equal(l.Role, name) {
				return place(l.At, l.Height), true
			}
		}
	}
	return geom.Vec{}, false
}

// target resolves what something at p points at.
func (s *Stage) target(t shoot.Target, p geom.Vec, path string) geom.Vec {
	if t.Name == "" {
		if geom.Of(t.At).Sub(p).Len() < 1e-6 {
			s.problem(diag.Error, "stage.aim-at", path, "write another place, or a name such as sitter.face",
				"it aims at the place where it is itself, %s", xyz(p))
		}
		return geom.Of(t.At)
	}
	name := t.Name
	switch {
	case hasPrefix(name, "sitters."):
		if l, ok := s.landmark(name); ok {
			return l.At
		}
		s.problem(diag.Error, "stage.landmark", path, "write sitters.NAME.face",
			"there is nobody and no point called %q", name)
	case hasPrefix(name, "sitter"):
		mark := trimPrefixes(name, "sitter.")
		if mark == "sitter" || mark == "" {
			mark = "face"
		}
		if l, ok := s.landmark(mark); ok {
			return l.At
		}
		if s.Setup.Sitter == nil {
			s.problem(diag.Error, "stage.no-sitter", path, "give the setup a sitter, or aim at a place [x, y, z]",
				"there is no sitter to aim at")
		} else {
			s.problem(diag.Error, "stage.landmark", path, "", "the sitter has no point called %q", mark)
		}
	case name == "ceiling":
		if z := CeilingAt(&s.Shoot.Room, p.X, p.Y); z > 0 {
			return geom.V(p.X, p.Y, z)
		}
		s.problem(diag.Error, "stage.aim", path, "", "there is no ceiling to aim at")
	case name == "floor":
		return geom.V(p.X, p.Y, 0)
	case hasPrefix(name, "wall "):
		var n int
		fmt.Sscanf(name, "wall %d", &n)
		corners, _ := Outline(&s.Shoot.Room)
		if a, _, _, in, ok := Wall(corners, n); ok {
			return p.AddMul(in, -p.Sub(a).Dot(in))
		}
		s.problem(diag.Error, "stage.aim", path, "", "there is no %s to aim at", name)
	case hasPrefix(name, "practicals."):
		for i := range s.Shoot.Room.Practicals {
			if pr := &s.Shoot.Room.Practicals[i]; equal(pr.Name, trimPrefixes(name, "practicals.")) {
				return practicalCentre(pr)
			}
		}
		s.problem(diag.Error, "stage.aim", path, "", "there is no practical called %q", name)
	case hasPrefix(name, "points."):
		for _, pt := range s.Setup.Points {
			if equal(pt.Name, trimPrefixes(name, "points.")) && pt.At != nil {
				return vec3(*pt.At)
			}
		}
		s.problem(diag.Error, "stage.aim", path, "", "there is no point called %q with a place", name)
	case hasPrefix(name, "panels."):
		for _, pn := range s.Setup.Panels {
			if equal(pn.Name, trimPrefixes(name, "panels.")) {
				return place(pn.At, pn.Height)
			}
		}
		s.problem(diag.Error, "stage.aim", path, "", "there is no panel called %q", name)
	case name == "camera" && s.View != nil:
		return s.View.At
	default:
		if l, ok := s.landmark(name); ok {
			return l.At
		}
		s.problem(diag.Error, "stage.aim", path,
			"write a place [x, y, z], sitter.face, practicals.NAME, panels.NAME, points.NAME, ceiling or wall N",
			"%q is nothing to aim at", name)
	}
	return p.Add(geom.V(1, 0, 0))
}

// Reflects is the luminous reflectance, under even light, of a part of the shell by the keys under
// which its surface may stand in the shoot file, most particular first ('wall 2', 'walls', 'all').
func (s *Stage) Reflects(keys ...string) float64 {
	return spectrum.LuminousRatio(spectrum.Constant(1), s.shellSurface(keys...).Total())
}
