package stage

import (
	"fmt"
	"math"
	"strings"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/shoot"
	"halfstop/trace"
)

// standOff is how far a receptor is held off the skin or a surface, metres.
const standOff = 0.015

// seenAngle is the cone that reads one spot of the picture, rad: 0.2°, about 7 mm at 2 m.
const seenAngle = 0.2 * deg

// own lists the sitter's own points: name, landmark, receptor, facing (” the skin's own normal).
var own = []struct{ name, mark, receptor, facing string }{
	{"face toward camera", "face", "dome", "camera"},
	{"face toward key", "face", "dome", "key"},
	{"face key side", "face key side", "flat", ""},
	{"face shadow side", "face shadow side", "flat", ""},
	{"forehead", "forehead", "flat", ""},
	{"chin", "chin", "flat", ""},
	{"hair edge", "hair edge", "flat", ""},
	{"chest", "chest", "flat", ""},
	{"hands", "hands", "flat", ""},
}

// points builds the receptors: those the setup names, then the sitter's own.
func (s *Stage) points() {
	named := map[string]bool{}
	for i := range s.Setup.Points {
		s.point(&s.Setup.Points[i], s.path(fmt.Sprintf("points[%d]", i)))
		named[strings.ToLower(s.Setup.Points[i].Name)] = true
	}
	for _, o := range s.Others { // two of each of the others; more may be named
		for _, mark := range []string{"face key side", "face shadow side"} {
			if n := o.Name + " " + mark; !named[strings.ToLower(n)] {
				s.point(&shoot.Point{Name: n, On: "sitters." + o.Name + "." + mark, Receptor: "flat"}, "")
			}
		}
	}
	if s.Sitter == nil {
		return
	}
	for _, o := range own {
		if named[o.name] {
			continue
		}
		if o.facing == "key" {
			if _, ok := s.lightAt("key"); !ok {
				continue
			}
		}
		if o.facing == "camera" && s.View == nil {
			continue
		}
		s.point(&shoot.Point{Name: o.name, On: o.mark, Receptor: o.receptor, Facing: shoot.Direction{Word: o.facing}},
			"")
	}
	// Points of the look that are landmarks and not there yet.
	for i, w := range s.Setup.Look {
		for _, n := range []string{w.Point, w.Above, w.Below, w.To} {
			if n == "" || s.PointNamed(n) >= 0 {
				continue
			}
			if _, ok := s.landmark(n); ok {
				s.point(&shoot.Point{Name: n, On: n, Receptor: "flat"}, s.path(fmt.Sprintf("look[%d]", i)))
			}
		}
	}
}

// PointNamed finds a point by name, -1 for none.
func (s *Stage) PointNamed(name string) int {
	for i := range s.Points {
		if equal(s.Points[i].Name, trimPrefixes(name, "points.")) {
			return i
		}
	}
	return -1
}

func (s *Stage) point(w *shoot.Point, path string) {
	p := Point{Name: w.Name, Receptor: orWord(strings.ToLower(w.Receptor), "flat"), Path: path}
	onSkin := false
	switch {
	case w.At != nil:
		p.At = vec3(*w.At)
	case w.On != "":
		l, ok := s.landmark(w.On)
		if !ok {
			s.problem(diag.Error, "stage.landmark", path+".on", "", "the sitter has no point called %q", w.On)
			return
		}
		p.At, p.Normal, onSkin, p.Sitter = l.At, l.Normal, true, true
	default:
		s.problem(diag.Error, "stage.no-place", path, "add at: [x, y, z] or on: sitter.face",
			"the point %s has no place", w.Name)
		return
	}
	if p.Receptor == "spot" {
		s.spot(w, &p, path)
		s.Points = append(s.Points, p)
		return
	}
	fallback := p.Normal
	if !onSkin {
		fallback = geom.V(0, 0, 1)
		if w.Facing.Word == "" && geom.Of(w.Facing.Vec).Len2() == 0 {
			switch {
			case s.View != nil && s.View.Eye().Sub(p.At).Len2() > 1e-9:
				fallback = s.View.Eye().Sub(p.At).Unit()
			default:
				s.problem(diag.Error, "stage.facing", path, "add facing: up, or [x, y, z]",
					"the point %s faces nowhere", w.Name)
			}
		}
	}
	n := s.direction(w.Facing, p.At, fallback, path+".facing")
	at := p.At
	if onSkin {
		// Held off the skin, both along the skin's normal and the way it looks.
		at = at.AddMul(p.Normal, standOff)
		if p.Receptor == "dome" {
			at = at.AddMul(n, 2*standOff)
		}
	} else {
		p.Normal = n
	}
	receptor := trace.Flat
	if p.Receptor == "dome" {
		receptor = trace.Dome
	} else if p.Receptor != "flat" {
		s.problem(diag.Error, "stage.receptor", path+".receptor", "write flat, dome or spot", "%q is no receptor",
			p.Receptor)
		return
	}
	p.Incident = &trace.Receptor{Kind: receptor, At: at, Facing: n}
	if onSkin && s.View != nil {
		// By way of a mirror the ray of a spot leaves towards the image; what it meets first is the
		// mirror.
		if d := s.View.Sight(p.At).Sub(s.View.At); d.Len() > 0.05 && p.At.Sub(s.View.Eye()).Dot(p.Normal) < 0 {
			p.Seen = &trace.Receptor{Kind: trace.Spot, At: s.View.At, Facing: d.Unit(), Angle: seenAngle}
		}
	}
	s.Points = append(s.Points, p)
}

// spot builds a reading of what is seen at a place, from the camera or a stated eye.
func (s *Stage) spot(w *shoot.Point, p *Point, path string) {
	eye := geom.Vec{}
	switch {
	case w.From != nil:
		eye = vec3(*w.From)
	case s.View != nil:
		eye = s.View.At
	default:
		s.problem(diag.Error, "stage.no-eye", path, "add from: [x, y, z], or a camera to the setup",
			"the spot %s is seen from nowhere", w.Name)
		return
	}
	d := p.At.Sub(eye)
	if d.Len() < 1e-6 {
		s.problem(diag.Error, "stage.no-eye", path, "move one of them", "the spot %s lies where it is seen from",
			w.Name)
		return
	}
	a := float64(w.Angle) * deg
	if a <= 0 {
		a = 1 * deg
	}
	p.Seen = &trace.Receptor{Kind: trace.Spot, At: eye, Facing: d.Unit(), Angle: math.Min(a, math.Pi/2)}
}

// haze fills the place.
func (s *Stage) haze() {
	h := s.Setup.Haze
	if h == nil {
		return
	}
	ext := h.Extinction
	switch {
	case h.Visibility > 0:
		ext = 3.912 / float64(h.Visibility) // Koschmieder, 2 % contrast; check G4.3
	case h.Density != "":
		v, ok := map[string]float64{"light": 0.02, "medium": 0.05, "heavy": 0.15}[strings.ToLower(h.Density)]
		if !ok {
			s.problem(diag.Error, "stage.haze", s.path("haze.density"), "write light, medium or heavy",
				"%q is no density of haze", h.Density)
		}
		ext = v
	}
	if ext <= 0 {
		return
	}
	albedo := h.Albedo
	g := h.Forward
	if !(albedo >= 0 && albedo <= 1) || !(g > -1 && g < 1) {
		s.problem(diag.Error, "stage.haze", s.path("haze"), "albedo from 0 to 1, forward between -1 and 1",
			"this haze makes light or scatters impossibly")
		return
	}
	walls, _ := Outline(&s.Shoot.Room)
	s.Scene.Medium = &trace.Medium{Extinction: ext, Albedo: albedo, G: g, Indoors: len(walls) >= 3}
}

// panels hangs silks, reflectors, flags.
func (s *Stage) panels() {
	for i := range s.Setup.Panels {
		p := &s.Setup.Panels[i]
		path := s.path(fmt.Sprintf("panels[%d]", i))
		form, face, back, size := p.Kind, p.Face, "", p.Size
		if k, ok := s.kit.FindPanel(p.Kind); ok {
			form = string(k.Kind)
			if face == "" {
				face = k.Face
			}
			back = k.Back
			if size[0] == 0 {
				size = k.Size
			}
		}
		at := place(p.At, p.Height)
		aim := s.target(p.Aim, at, path+".aim")
		f := frameTo(at, aim).Roll(float64(p.Roll) * deg)
		if !(size[0] > 0 && size[1] > 0) {
			s.problem(diag.Error, "stage.size", path, "add size: [width, height]", "the panel has no size")
			continue
		}
		var id int
		if p.Surface != nil {
			id = s.material(*p.Surface, nil, path+".surface")
		} else {
			id = s.panelMaterial(form, face, back, path)
		}
		s.Scene.AddQuad(at, f, float64(size[0]), float64(size[1]), id)
		name := p.Name
		if name == "" {
			name = form
		}
		s.Panels = append(s.Panels, PanelBody{Panel: p, Form: form, Name: name, At: at, Frame: f, Aim: aim, Path: path})
	}
}

// panelMaterial gives a panel's surface by its face, or by its kind where no face is named.
func (s *Stage) panelMaterial(form, face, back, path string) int {
	byWord := map[string]string{"white": "white reflector", "silver": "silver reflector", "gold": "gold reflector",
		"black": "black stage cloth"}
	if w, ok := byWord[strings.ToLower(face)]; ok {
		face = w
	}
	if face == "" {
		k, ok := kind.FindPanel(form)
		if !ok {
			s.problem(diag.Error, "stage.panel", path+".kind", "write "+oneOf(kind.PanelWords())+", or add surface:",
				"%q is no kind of panel", form)
			return s.black()
		}
		face = k.Face
	}
	if back == "" {
		return s.preset(face, path)
	}
	if w, ok := byWord[strings.ToLower(back)]; ok {
		back = w
	}
	t := Material(s.named(face, path))
	b := Material(s.named(back, path))
	t.Back = &b
	return s.add(t, path)
}

// Wished reports whether the setup's look names a point.
func (s *Stage) Wished(point string) bool {
	for _, w := range s.Setup.Look {
		for _, n := range [4]string{w.Point, w.Above, w.Below, w.To} {
			if equal(trimPrefixes(n, "points.", "sitter."), point) {
				return true
			}
		}
	}
	return false
}
