package stage

import (
	"math"
	"slices"

	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/shoot"
)

// lensRadius is half the width of a lens of glasses, and lensOut how far it stands before the
// cornea, metres (common practice, no source).
const (
	lensRadius = 0.024
	lensOut    = 0.014
)

// checkReflections finds lights that the camera sees in mirrors, in window glass and in the
// sitter's glasses. It needs the scene prepared.
func (s *Stage) checkReflections() {
	if s.View == nil {
		return
	}
	for i := range s.Layers {
		l := &s.Layers[i]
		if l.Light < 0 || s.Setup.Lights[l.Light].Emitter != nil || len(l.Bodies) == 0 {
			continue
		}
		b := &l.Bodies[0]
		if q, ok := s.shows(b); ok {
			s.problem(diag.Finding, "stage.reflected", l.Path+".at",
				"move it or turn the glass, or block it from there",
				"%s shows in %s, in the frame", l.Name, orWord(s.glassAt(q), "a mirror or in glass"))
		}
		if s.inGlasses(b) {
			s.problem(diag.Finding, "stage.in-glasses", l.Path+".at",
				"raise it by 15 to 20 degrees, or tip the frames down (common practice)",
				"%s shows in the sitter's glasses", l.Name)
		}
	}
}

// facePoints are places on the lit face of a body: its middle and towards its edges.
func (b *Body) facePoints() []geom.Vec {
	w, h := b.Width*0.45, b.Height*0.45
	if h == 0 {
		h = w
	}
	out := []geom.Vec{b.At}
	for _, d := range [4][2]float64{{w, 0}, {-w, 0}, {0, h}, {0, -h}} {
		out = append(out, b.At.Add(b.Frame.Out(d[0], d[1], 0)))
	}
	return out
}

// shows gives a place inside the frame where the camera sees the lit face of a body by one
// reflection.
func (s *Stage) shows(b *Body) (geom.Vec, bool) {
	for _, p := range b.facePoints() {
		p = p.AddMul(b.Frame.N, 0.005)
		for _, q := range s.Scene.MirrorPoints(s.View.At, p) {
			if b.Shape != "sphere" && q.Sub(p).Dot(b.Frame.N) <= 0 {
				continue // the mirror sees its back
			}
			if x, y, _, ok := s.View.Project(q); ok && x > 0 && x < 1 && y > 0 && y < 1 {
				return q, true
			}
		}
	}
	return geom.Vec{}, false
}

// inGlasses reports whether the camera sees the lit face of a body in a lens of the sitter's
// glasses, taken as flat discs before the eyes.
func (s *Stage) inGlasses(b *Body) bool {
	if s.Sitter == nil || s.Setup.Sitter == nil || !s.Setup.Sitter.Glasses {
		return false
	}
	n := s.Sitter.Landmarks["face"].Normal
	for _, eye := range []figure.Landmark{s.Sitter.Landmarks["eye left"], s.Sitter.Landmarks["eye right"]} {
		c := eye.At.AddMul(n, lensOut)
		for _, p := range b.facePoints() {
			hp, hv := p.Sub(c).Dot(n), s.View.At.Sub(c).Dot(n)
			if hp <= 0 || hv <= 0 || b.Shape != "sphere" && c.Sub(p).Dot(b.Frame.N) <= 0 {
				continue
			}
			// Where the way from the camera to the image crosses the lens.
			image := p.AddMul(n, -2*hp)
			q := s.View.At.Lerp(image, hv/(hv+hp))
			if q.Sub(c).Len() < lensRadius && s.Scene.Unoccluded(q.AddMul(n, 0.02), p.AddMul(b.Frame.N, 0.005)) {
				return true
			}
		}
	}
	return false
}

// ByMirror is the length of the way from the camera to p over a mirror,
// metres, where the picture shows p in a mirror and not directly.
func (s *Stage) ByMirror(p geom.Vec) (float64, bool) {
	if s.View == nil {
		return 0, false
	}
	inFrame := func(q geom.Vec) bool {
		x, y, _, ok := s.View.Project(q)
		return ok && x > 0 && x < 1 && y > 0 && y < 1
	}
	if inFrame(p) {
		return 0, false
	}
	for _, q := range s.Scene.MirrorPoints(s.View.At, p) {
		if inFrame(q) {
			return s.View.At.Sub(q).Len() + q.Sub(p).Len(), true
		}
	}
	return 0, false
}

// inBox reports whether a place lies within a box of furniture, however it is turned, or at most
// near metres from it.
func inBox(o *shoot.Object, p geom.Vec, near float64) bool {
	size, d := vec3(o.Box.Size), p.Sub(place(o.Box.At, 0))
	sn, cs := unitAngle(float64(o.Turn) / 360)
	d = geom.V(d.X*cs+d.Y*sn, d.Y*cs-d.X*sn, d.Z)
	return geom.Box{Lo: geom.V(-near, -near, -near), Hi: size.Add(geom.V(near, near, near))}.Contains(d)
}

// glassAt names the object or the window of the place that a point of a reflecting surface is on;
// empty where none has a name.
func (s *Stage) glassAt(p geom.Vec) string {
	const near = 0.05 // metres: a frame's depth
	for _, o := range slices.Concat(s.Shoot.Room.Objects, s.Setup.Objects) {
		switch {
		case o.Box != nil:
			if inBox(&o, p, near) {
				return o.Name
			}
		case o.Quad != nil && len(o.Quad.Size) == 2:
			half := math.Hypot(float64(o.Quad.Size[0]), float64(o.Quad.Size[1])) / 2
			if vec3(o.Quad.At).Sub(p).Len() < half+near {
				return o.Name
			}
		}
	}
	corners, _ := Outline(&s.Shoot.Room)
	for _, w := range s.Shoot.Room.Windows {
		if w.Wall < 1 || w.Wall > len(corners) {
			continue
		}
		a, b := corners[w.Wall-1], corners[w.Wall%len(corners)]
		along := b.Sub(a).Unit()
		d := geom.V(p.X-a.X, p.Y-a.Y, 0)
		t := d.Dot(along)
		if t > float64(w.From) && t < float64(w.From+w.Width) && d.AddMul(along, -t).Len() < 0.3 {
			return w.Name
		}
	}
	return ""
}
