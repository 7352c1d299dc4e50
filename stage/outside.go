package stage

import (
	"fmt"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/shoot"
)

// checkPlaces finds what belongs to the room and is not in it, and a camera inside a thing.
func (s *Stage) checkPlaces() {
	corners, ceiling := Outline(&s.Shoot.Room)
	gone := func(p geom.Vec) bool {
		return len(corners) >= 3 && (!insideOrOn(corners, p) || ceiling > 0 && p.Z > CeilingAt(&s.Shoot.Room,
			p.X, p.Y)+0.05 || p.Z < -0.05)
	}
	for i := range s.Layers {
		l := &s.Layers[i]
		if l.Kind != Practical {
			continue
		}
		for _, b := range l.Bodies {
			if gone(b.At) {
				s.problem(diag.Finding, "stage.practical-outside", l.Path,
					"measure again from the room's first corner",
					"%s at %s is in a wall or outside the room: nothing of it comes in", l.Name, xyz(b.At))
				break
			}
		}
	}
	for _, list := range []struct {
		objects []shoot.Object
		base    string
	}{{s.Shoot.Room.Objects, "room.objects"}, {s.Setup.Objects, s.path("objects")}} {
		for i := range list.objects {
			o := &list.objects[i]
			if at, ok := middleOf(o); ok && gone(at) {
				s.problem(diag.Finding, "stage.object-outside", fmt.Sprintf("%s[%d]", list.base, i),
					"measure again from the room's first corner", "%s has its middle at %s, outside the room",
					orWord(o.Name, "an object"), xyz(at))
			}
		}
	}
	if s.View == nil {
		return
	}
	for _, o := range s.solids {
		if o.box.Contains(s.View.At) && o.in(s.View.At) {
			s.problem(diag.Error, "stage.camera-inside", s.path("camera.at"), "move one of them",
				"the camera at %s is inside %s", xyz(s.View.At), o.name)
			s.remark(o.path, "it is here")
			return
		}
	}
}

// middleOf is the middle of an object of a simple shape.
func middleOf(o *shoot.Object) (geom.Vec, bool) {
	switch {
	case o.Box != nil && !o.Box.Inside:
		sz := vec3(o.Box.Size)
		sn, cs := unitAngle(float64(o.Turn) / 360)
		return place(o.Box.At, 0).Add(geom.V((sz.X*cs-sz.Y*sn)/2, (sz.X*sn+sz.Y*cs)/2, sz.Z/2)), true
	case o.Quad != nil:
		return vec3(o.Quad.At), true
	case o.Disc != nil:
		return vec3(o.Disc.At), true
	case o.Sphere != nil:
		return vec3(o.Sphere.At), true
	case o.Cylinder != nil:
		return vec3(o.Cylinder.At).Add(geom.V(0, 0, float64(o.Cylinder.Height)/2)), true
	}
	return geom.Vec{}, false
}
