package stage

import (
	"fmt"
	"math"
	"strings"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/shoot"
)

// Mirror is the flat object in which the camera sees the sitter.
type Mirror struct {
	Name   string
	At     geom.Vec
	Frame  geom.Frame // N is its front
	W, H   float64    // metres; a disc has both the same
	Round  bool
	Object *shoot.Object
}

// Image is the mirror image of a place.
func (m *Mirror) Image(p geom.Vec) geom.Vec {
	return p.AddMul(m.Frame.N, -2*p.Sub(m.At).Dot(m.Frame.N))
}

// ImageOf is the mirror image of a direction.
func (m *Mirror) ImageOf(d geom.Vec) geom.Vec { return d.AddMul(m.Frame.N, -2*d.Dot(m.Frame.N)) }

// Through is where the way from an eye to a place by way of the mirror meets it; ok is false where
// it misses, or both are not before its front.
func (m *Mirror) Through(eye, p geom.Vec) (geom.Vec, bool) {
	a, b := eye.Sub(m.At).Dot(m.Frame.N), p.Sub(m.At).Dot(m.Frame.N)
	if a <= 0 || b <= 0 {
		return geom.Vec{}, false
	}
	at := eye.Lerp(m.Image(p), a/(a+b))
	d := at.Sub(m.At)
	x, y := math.Abs(d.Dot(m.Frame.S)), math.Abs(d.Dot(m.Frame.T))
	if m.Round {
		return at, math.Hypot(x, y) <= m.W/2
	}
	return at, x <= m.W/2 && y <= m.H/2
}

// Eye is the place that the sitter is seen from: the lens, or its mirror image where the camera
// sees the sitter in a mirror.
func (v *View) Eye() geom.Vec {
	if v.Mirror != nil {
		return v.Mirror.Image(v.At)
	}
	return v.At
}

// Sight is where the camera sees a place: itself, or its mirror image.
func (v *View) Sight(p geom.Vec) geom.Vec {
	if v.Mirror != nil {
		return v.Mirror.Image(p)
	}
	return p
}

// findMirror gives the camera its mirror.
func (s *Stage) findMirror(name, path string) *Mirror {
	for _, list := range [][]shoot.Object{s.Setup.Objects, s.Shoot.Room.Objects} {
		for i := range list {
			o := &list[i]
			if !equal(o.Name, name) {
				continue
			}
			flat := o.Quad
			if flat == nil {
				flat = o.Disc
			}
			if flat == nil {
				continue
			}
			m := &Mirror{Name: o.Name, At: vec3(flat.At), Frame: s.flatFrame(flat, path), Round: o.Disc != nil,
				Object: o}
			m.W, m.H = sizes(flat.Size)
			if s.View != nil && s.View.At.Sub(m.At).Dot(m.Frame.N) < 0 {
				// seen from behind, which mirrors as well unless it has another back
				m.Frame = geom.UprightFrame(m.Frame.N.Neg())
			}
			return m
		}
	}
	s.problem(diag.Error, "stage.mirror", path, "write the name of a quad or a disc of the room or the setup",
		"there is no flat object called %q to see the sitter in", name)
	return nil
}

// checkMirror finds what keeps the camera from seeing the sitter in its mirror, and itself in it.
// It needs the scene prepared.
func (s *Stage) checkMirror() {
	v := s.View
	if v == nil || v.Mirror == nil {
		return
	}
	m, path := v.Mirror, s.path("camera.mirror")
	if s.Sitter != nil {
		face := s.Sitter.Landmarks["face"]
		at, ok := m.Through(v.At, face.At)
		switch {
		case !ok:
			s.problem(diag.Finding, "stage.mirror-misses", path,
				"move the camera, the sitter or the mirror: the way in must be as steep as the way out",
				"the camera does not see the sitter's face in %s", m.Name)
			s.mirrorCure(face.At)
		case !s.Scene.Unoccluded(v.At, at.AddMul(m.Frame.N, 0.01)) || !s.Scene.Unoccluded(at.AddMul(m.Frame.N, 0.01),
			face.At.AddMul(face.Normal, 0.02)):
			s.problem(diag.Finding, "stage.mirror-blocked", path, "move what stands in the way, or the camera",
				"something stands between the camera, %s and the sitter's face", m.Name)
		case m.ImageOf(at.Sub(v.At)).Dot(face.Normal) > 0:
			s.problem(diag.Finding, "stage.mirror-back", path,
				"turn the sitter to the mirror: faces: camera means by way of it",
				"the camera sees the back of the sitter's head in %s", m.Name)
		}
	}
	// The camera sees itself where its own image lies inside the frame and the mirror.
	if at, ok := m.Through(v.At, v.At); ok {
		if x, y, _, in := v.Project(at); in && s.inCrop(x, y) {
			s.problem(diag.Finding, "stage.mirror-camera", path, s.hideCamera(),
				"the camera shows in %s, %s of the frame", m.Name, frameWord(x, y))
		}
	}
}

// mirrorCure remarks where a face would have to be.
func (s *Stage) mirrorCure(face geom.Vec) {
	v, m := s.View, s.View.Mirror
	img := m.Image(face)
	a := v.At.Sub(m.At).Dot(m.Frame.N)
	b := face.Sub(m.At).Dot(m.Frame.N)
	if a <= 0 || b <= 0 || len(s.list) == 0 {
		return
	}
	at := v.At.Lerp(img, a/(a+b))
	d := at.Sub(m.At)
	var off []string
	if x := d.Dot(m.Frame.S); math.Abs(x) > m.W/2 {
		off = append(off, fmt.Sprintf("%.2f m to the side", math.Abs(x)-m.W/2))
	}
	if y := d.Dot(m.Frame.T); math.Abs(y) > m.H/2 {
		off = append(off, fmt.Sprintf("%.2f m too %s", math.Abs(y)-m.H/2, map[bool]string{true: "high",
			false: "low"}[y > 0]))
	}
	last := &s.list[len(s.list)-1]
	last.Remarks = append(last.Remarks, diag.Remark{Text: "the way meets the plane of the mirror " + strings.Join(off,
		" and ") + " of its edge"})
}

// hideCamera says how the camera gets out of its mirror, with how far to turn or move.
func (s *Stage) hideCamera() string {
	v, m := s.View, s.View.Mirror
	d := v.At.Sub(m.At)
	side := m.W/2 - math.Abs(d.Dot(m.Frame.S)) + 0.1
	return fmt.Sprintf(
		"move the camera %.2f m further to the side so that it looks in slantwise, keep it behind what the sitter "+
			"hides, or plan a plate to take it out", max(0.05, side))
}

// frameWord says where in the frame a place is.
func frameWord(x, y float64) string {
	col, row := "middle", ""
	switch {
	case x < 0.33:
		col = "left"
	case x > 0.67:
		col = "right"
	}
	switch {
	case y < 0.33:
		row = "upper "
	case y > 0.67:
		row = "lower "
	}
	return row + col
}
