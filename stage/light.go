package stage

import (
	"fmt"
	"math"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/kit"
	"halfstop/photometry"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
)

// lights builds the setup's own lights: heads of the kit and bare emitters.
func (s *Stage) lights() {
	s.rigs = make([][2]trace.Mark, len(s.Setup.Lights))
	for i := range s.Setup.Lights {
		l := &s.Setup.Lights[i]
		path := s.path(fmt.Sprintf("lights[%d]", i))
		if l.Off {
			continue
		}
		if len(l.At) == 0 && !(l.Emitter != nil && len(l.Emitter.Path) > 0) {
			s.problem(diag.Error, "stage.no-place", path, "add at: [x, y] and height:", "the light %s has no place",
				lightName(l, i))
			continue
		}
		at := place(l.At, l.Height)
		aim := l.Aim
		what := at.Add(geom.V(0, 0, -1))
		aimed := !(s.Setup.Sitter == nil && hasPrefix(aim.Name, "sitter") && l.Emitter != nil && allRound(l.Emitter))
		if aimed {
			what = s.target(aim, at, path+".aim")
		}
		f := s.feathered(l, at, what).Roll(float64(l.Roll) * deg)
		s.rigs[i][0] = s.Scene.Mark()
		before := len(s.Layers)
		if l.Emitter != nil {
			s.bare(l, i, at, f, path)
		} else {
			s.head(l, i, at, f, path)
		}
		s.rigs[i][1] = s.Scene.Mark()
		for k := before; k < len(s.Layers) && aimed; k++ {
			s.Layers[k].Target = &what
		}
	}
}

// feathered is the frame of a light at a place that looks at what, turned off it on the level:
// towards the camera where the angle is positive.
func (s *Stage) feathered(l *shoot.Light, at, what geom.Vec) geom.Frame {
	if l.Feather == 0 {
		return frameTo(at, what)
	}
	d := what.Sub(at)
	turn := float64(l.Feather) * deg
	if s.View != nil {
		if c := s.View.Eye().Sub(at); d.X*c.Y-d.Y*c.X < 0 {
			turn = -turn // the camera is to the right of where it looks
		}
	}
	sn, cs := math.Sincos(turn)
	return frameTo(at, at.Add(geom.V(d.X*cs-d.Y*sn, d.X*sn+d.Y*cs, d.Z)))
}

// allRound reports whether an emitter needs no aim: even all round, or lying where its path says.
func allRound(e *shoot.Emitter) bool {
	switch e.Shape {
	case "point":
		return e.Beam == 0 && e.Photometry == ""
	case "sphere":
		return e.Photometry == ""
	}
	return len(e.Path) > 0
}

func lightName(l *shoot.Light, i int) string {
	switch {
	case l.Name != "":
		return l.Name
	case l.Role != "":
		return l.Role
	}
	return fmt.Sprintf("light %d", i+1)
}

// head builds a light from the kit.
func (s *Stage) head(l *shoot.Light, i int, at geom.Vec, f geom.Frame, path string) {
	w := kit.Want{Head: l.Head, Modifier: l.Modifier, Grid: l.Grid, Gels: l.Gel, Power: l.Power, Level: l.Level,
		Zoom:  l.Zoom,
		FlatC: s.Shoot.House.FlatC, DomeC: s.Shoot.House.DomeC, Files: s.opt.Files}
	if chromatic(l.Colour) {
		w.Colour = kit.Ask{Light: s.light(l.Colour, spectrum.White(5600), path+".colour")}
	}
	src, err := s.kit.Resolve(w)
	if err != nil {
		p := path
		m := diag.Message{Severity: diag.Error, Code: "kit", Text: err.Error()}
		if k, ok := err.(*kit.Problem); ok {
			m.Code, m.Text, m.Fix = k.Code, k.Text, k.Fix
			switch k.Code {
			case "kit.unknown-head":
				p += ".head"
			case "kit.unknown-modifier":
				p += ".modifier"
			case "kit.unknown-grid", "kit.grid":
				p += ".grid"
			case "kit.zoom":
				p += ".zoom"
			case "kit.unknown-gel", "kit.gel":
				p += ".gel"
			case "kit.power", "kit.power-off", "kit.power-over", "kit.power-under":
				p += ".power"
				if l.Level != nil {
					p = path + ".level"
				}
			}
		}
		if s.doc != nil {
			m.Pos = s.doc.Pos(p)
		}
		s.list = append(s.list, m)
		return
	}
	s.list = append(s.list, src.Notes...)
	kind := Continuous
	if src.Flash {
		kind = Flash
	}
	id := s.addLayer(Layer{Name: lightName(l, i), Role: l.Role, Kind: kind, Flash: src.Flash, Spectrum: src.Spectrum,
		K:      src.Axial / src.AxialFull,
		Source: &src, Light: i, Uncertainty: src.Uncertainty, Basis: src.Basis, Path: path})
	if equal(l.Role, "key") && s.key == nil {
		s.key = &s.Layers[id]
	}
	form := ""
	if m, ok := s.kit.FindModifier(l.Modifier); ok {
		form = string(m.Kind)
	}
	s.Layers[id].Form = form
	s.sourceEmitter(id, &src, at, f, form)
	s.Layers[id].Bodies = []Body{{At: at, Frame: f, Shape: src.Shape, Width: float64(src.Width),
		Height: float64(src.Height), Depth: float64(src.Depth)}}
	if !s.opt.Bare {
		b := &s.Layers[id].Bodies[0]
		rig := []*trace.Mesh{s.rigMesh(b, form)}
		if t := s.stand(l, b); t != nil {
			s.Layers[id].Standing = t
			rig = append(rig, s.standMesh(t, b))
		}
		for _, m := range rig {
			if err := s.Scene.AddMesh(m); err != nil {
				s.problem(diag.Error, "stage.light", path, "", "the light cannot be built: %v", err)
			}
		}
	}
}

// webFactor turns a photometric web into a factor by direction of travel, relative to what it gives
// on the axis of f.
func webFactor(w *photometry.Web, f geom.Frame) func(geom.Vec) float64 {
	ref := w.Axial()
	if ref <= 0 {
		ref = w.MaxCandela()
	}
	if ref <= 0 {
		ref = 1
	}
	return func(dir geom.Vec) float64 { return w.Candela(f.In(dir)) / ref }
}

// tiltFactor is what the lamps keep when the luminaire points along n in place of straight down
// (TILT data of LM-63).
func tiltFactor(w *photometry.Web, n geom.Vec) float64 {
	return w.Tilt.Factor(math.Acos(max(-1, min(1, -n.Z))) / deg)
}

// sourceEmitter adds the emitter of a resolved source at full; form is the kind of its modifier.
// What a dish's plate hides the rest makes up for, so that the level on the axis is the kit's; an
// octagon with an even face has eight sides.
func (s *Stage) sourceEmitter(layer int, src *kit.Source, at geom.Vec, f geom.Frame, form string) {
	w, h := float64(src.Width), float64(src.Height)
	var web func(geom.Vec) float64
	lm := 0.0
	if src.Web != nil {
		web = webFactor(src.Web, f)
		ref := src.Web.Axial()
		if ref <= 0 {
			ref = src.Web.MaxCandela()
		}
		if ref > 0 {
			lm = src.Web.Flux() / ref * src.AxialFull
		}
	}
	i := src.AxialFull
	switch src.Shape {
	case "rectangle":
		if web != nil {
			s.Scene.AddEmitter(trace.WebRectangle(layer, at, f, w, h, i/(w*h), web))
			return
		}
		s.Scene.AddEmitter(trace.Rectangle(layer, at, f, w, h, i/(w*h), trace.FaceBeam(src.Profile), false))
	case "disc":
		a := math.Pi * w * w / 4
		if web != nil {
			s.Scene.AddEmitter(trace.Disc(layer, at, f, w/2, i/a, trace.WebFace(), false, web))
			return
		}
		k, _ := kind.FindModifier(form)
		if k.Octagon && len(src.Profile) == 0 && !s.opt.Bare {
			s.Scene.AddEmitter(trace.Octagon(layer, at, f, w/2, i/a, nil))
			return
		}
		if p := k.Plate * w; p > 0 && !s.opt.Bare {
			a -= math.Pi * p * p
		}
		s.Scene.AddEmitter(trace.Disc(layer, at, f, w/2, i/a, trace.FaceBeam(src.Profile), false, nil))
	case "sphere":
		beam := trace.PointBeam(src.Profile)
		if web != nil {
			beam = nil
		} else if beam == nil {
			beam = trace.PointBeam(lambertProfile())
		}
		s.Scene.AddEmitter(trace.Sphere(layer, at, w/2, f.N, i/(math.Pi*w*w/4), beam, web))
	case "tube":
		half := f.S.Mul(w / 2)
		s.Scene.AddEmitter(trace.Tube(layer, at.Sub(half), at.Add(half), h, i/(w*h)))
	default:
		beam := trace.PointBeam(src.Profile)
		if web != nil {
			beam = nil
		} else if beam == nil {
			beam = trace.PointBeam(lambertProfile())
		}
		s.Scene.AddEmitter(trace.Point(layer, at, f.N, i, beam, 0, web, lm))
	}
}

func lambertProfile() []float64 {
	p := make([]float64, 91)
	for d := range p {
		p[d] = math.Cos(float64(d) * deg)
	}
	p[90] = 0
	return p
}

// level is what an Emitter says of its level, in the unit of its own kind.
type level struct {
	luminance, intensity, flux float64
	flash                      bool
}

func (s *Stage) levelOf(e *shoot.Emitter, path string) (level, bool) {
	var l level
	n := 0
	for _, a := range []struct {
		from shoot.Amount
		to   *float64
	}{{e.Luminance, &l.luminance}, {e.Intensity, &l.intensity}, {e.Flux, &l.flux}} {
		if a.from.Value != 0 {
			*a.to, l.flash = a.from.Value, a.from.Flash
			n++
		}
	}
	if n > 1 {
		s.problem(diag.Error, "stage.level", path, "keep one of luminance, intensity, flux",
			"the level of this emitter is said %d times", n)
		return l, false
	}
	return l, n == 1
}

// bare builds a laboratory emitter.
func (s *Stage) bare(l *shoot.Light, i int, at geom.Vec, f geom.Frame, path string) {
	lv, _ := s.levelOf(l.Emitter, path+".emitter")
	kind := Continuous
	if lv.flash {
		kind = Flash
	}
	k := 1.0
	if l.Level != nil {
		k = float64(*l.Level)
	}
	if l.Power != "" {
		p, err := q.ParsePower(l.Power)
		if err != nil {
			s.problem(diag.Error, "stage.power", path+".power", "", "%v", err)
		} else {
			k *= p.Times()
		}
	}
	sp := s.light(l.Colour, spectrum.White(5600), path+".colour")
	id := s.addLayer(Layer{Name: lightName(l, i), Role: l.Role, Kind: kind, Flash: lv.flash, Spectrum: sp, K: k,
		Light: i, Path: path})
	if equal(l.Role, "key") && s.key == nil {
		s.key = &s.Layers[id]
	}
	s.Layers[id].Bodies = s.emitter(id, l.Emitter, at, f, path+".emitter")
}

// emitter adds a stated emitter to a layer and returns its bodies.
func (s *Stage) emitter(layer int, e *shoot.Emitter, at geom.Vec, f geom.Frame, path string) []Body {
	lv, ok := s.levelOf(e, path)
	var web *photometry.Web
	if e.Photometry != "" {
		if web = s.web(e.Photometry, e.LampSet, path+".photometry"); web == nil {
			return nil
		}
		if !ok {
			lv.intensity, ok = web.Axial(), true
			if lv.intensity <= 0 {
				lv.intensity = web.MaxCandela()
			}
			lv.intensity *= tiltFactor(web, f.N)
		}
	}
	if !ok {
		s.problem(diag.Error, "stage.level", path,
			"state one of luminance, intensity, flux with its unit ('1000 cd', '1000 lm s')",
			"this emitter has no level")
		return nil
	}
	w, h := sizes(e.Size)
	beam := float64(e.Beam) * deg
	// Half-value angle to a cosine power: I(θ) = I0 cosⁿθ with I(beam/2) = I0/2.
	n := 1.0
	if beam > 0 && e.Shape != "point" {
		n = math.Log(0.5) / math.Log(math.Cos(min(beam/2, 89*deg)))
	}
	var profile []float64
	if beam > 0 {
		profile = make([]float64, 91)
		for d := range profile {
			profile[d] = math.Pow(max(0, math.Cos(float64(d)*deg)), n)
		}
	}
	var factor func(geom.Vec) float64
	if web != nil {
		factor = webFactor(web, f)
	}
	needSize := func(what string) bool {
		if !(w > 0 && h > 0) {
			s.problem(diag.Error, "stage.size", path, "add size: "+what, "a %s needs its size", e.Shape)
			return false
		}
		return true
	}
	b := Body{At: at, Frame: f, Shape: e.Shape, Width: w, Height: h}
	// level → luminance of a flat face of area a
	face := func(a float64) float64 {
		switch {
		case lv.luminance > 0:
			return lv.luminance
		case lv.intensity > 0:
			return lv.intensity / a
		}
		return lv.flux * (n + 1) / (2 * math.Pi) / a
	}
	sides := 1.0
	if e.TwoSided {
		sides = 2
	}
	switch e.Shape {
	case "point":
		i := lv.intensity
		if lv.luminance > 0 {
			s.problem(diag.Error, "stage.level", path+".luminance", "state intensity or flux",
				"a point has no luminance: it has no size")
			return nil
		}
		if lv.flux > 0 {
			switch {
			case web != nil && web.Flux() > 0:
				i = lv.flux / web.Flux() * max(web.Axial(), 0)
				if web.Axial() <= 0 {
					i = lv.flux / web.Flux() * web.MaxCandela()
				}
			case beam > 0 && beam < 2*math.Pi:
				i = lv.flux / (2 * math.Pi * (1 - math.Cos(beam/2)))
			default:
				i = lv.flux / (4 * math.Pi)
			}
		}
		lm := 0.0
		if web != nil {
			lm = i * 4 * math.Pi
		}
		s.Scene.AddEmitter(trace.Point(layer, at, f.N, i, nil, beam, factor, lm))
	case "disc":
		if !needSize("its diameter") {
			return nil
		}
		a := math.Pi * w * w / 4
		fb := trace.FaceBeam(profile)
		if web != nil {
			fb = trace.WebFace()
		}
		s.Scene.AddEmitter(trace.Disc(layer, at, f, w/2, face(a*lambertSides(lv, sides)), fb, e.TwoSided, factor))
		if e.Solid {
			s.Scene.AddDisc(at.AddMul(f.N, solidDepth(e)), f, w/2, s.black())
		}
	case "rectangle":
		if !needSize("[width, height]") {
			return nil
		}
		if web != nil {
			s.Scene.AddEmitter(trace.WebRectangle(layer, at, f, w, h, face(w*h), factor))
		} else {
			s.Scene.AddEmitter(trace.Rectangle(layer, at, f, w, h, face(w*h*lambertSides(lv, sides)),
				trace.FaceBeam(profile), e.TwoSided))
		}
		if e.Solid {
			s.Scene.AddQuad(at.AddMul(f.N, solidDepth(e)), f, w, h, s.black())
		}
	case "sphere":
		if !needSize("its diameter") {
			return nil
		}
		r := w / 2
		l := lv.luminance
		if lv.intensity > 0 {
			l = lv.intensity / (math.Pi * r * r)
		} else if lv.flux > 0 {
			l = lv.flux / (4 * math.Pi * math.Pi * r * r)
		}
		s.Scene.AddEmitter(trace.Sphere(layer, at, r, f.N, l, nil, factor))
		if e.Solid {
			s.Scene.AddSphere(at, r*0.999, s.black(), false)
		}
	case "tube":
		if len(e.Path) < 2 || !(w > 0) {
			s.problem(diag.Error, "stage.size", path, "add path: [[x, y, z], [x, y, z]] and size: its diameter",
				"a tube needs its path and its diameter")
			return nil
		}
		pts := corners3(e.Path)
		length := pathLength(pts)
		l := lv.luminance
		if lv.intensity > 0 {
			l = lv.intensity / (w * length)
		} else if lv.flux > 0 {
			l = lv.flux / (math.Pi * math.Pi * w * length)
		}
		if e.Solid {
			for i := 1; i < len(pts); i++ {
				// Of 32 flat sides; its edges stay within the tube.
				s.Scene.AddRod(pts[i-1], pts[i], w/2*0.99, 32, s.black())
			}
		}
		return s.tube(layer, pts, w, l)
	case "polygon":
		if len(e.Path) < 3 {
			s.problem(diag.Error, "stage.size", path, "add path: with three corners or more",
				"a polygon needs its corners")
			return nil
		}
		pts := corners3(e.Path)
		pieces, area, err := convexPieces(pts)
		if err != nil {
			s.problem(diag.Error, "stage.polygon", path+".path", "list the corners in order round it, in one plane",
				"this emitter cannot be: %v", err)
			return nil
		}
		l := face(area * lambertSides(lv, sides))
		for _, p := range pieces {
			s.Scene.AddEmitter(trace.Polygon(layer, p, l, e.TwoSided))
		}
		b.At = pts[0]
		if e.Solid {
			behind := make([]geom.Vec, len(pts))
			n := polygonNormal(pts)
			for i, p := range pts {
				behind[i] = p.AddMul(n.Unit(), solidDepth(e))
			}
			if err := s.Scene.AddPolygon(behind, s.black()); err != nil {
				s.problem(diag.Error, "stage.polygon", path+".path",
					"list the corners in order round it, in one plane", "this emitter cannot be: %v", err)
			}
		}
	default:
		s.problem(diag.Error, "stage.shape", path+".shape", "write point, disc, rectangle, sphere, tube or polygon",
			"%q is no shape of an emitter", e.Shape)
		return nil
	}
	return []Body{b}
}

// convexPieces cuts a flat polygon so that every piece is convex (the whole, where it is), and
// gives its area. Corners off its plane by more than a thousandth of its extent are an error.
func convexPieces(pts []geom.Vec) (pieces [][]geom.Vec, area float64, err error) {
	tris, err := trace.Triangulate(pts)
	if err != nil {
		return nil, 0, err
	}
	var sum geom.Vec
	for _, t := range tris {
		c := pts[t[1]].Sub(pts[t[0]]).Cross(pts[t[2]].Sub(pts[t[0]])).Mul(0.5)
		sum = sum.Add(c)
		area += c.Len()
		pieces = append(pieces, []geom.Vec{pts[t[0]], pts[t[1]], pts[t[2]]})
	}
	n := sum.Unit()
	convex := true
	for i, p := range pts {
		a, b := pts[(i+1)%len(pts)], pts[(i+2)%len(pts)]
		convex = convex && a.Sub(p).Cross(b.Sub(a)).Dot(n) >= 0
		if math.Abs(p.Sub(pts[0]).Dot(n)) > 1e-3*math.Sqrt(area) {
			return nil, 0, fmt.Errorf("its corners do not lie in one plane")
		}
	}
	if convex {
		pieces = [][]geom.Vec{pts}
	}
	return pieces, area, nil
}

// lambertSides spreads a stated flux over both sides of a two-sided face; luminance and intensity
// are of one side.
func lambertSides(lv level, sides float64) float64 {
	if lv.flux > 0 {
		return sides
	}
	return 1
}

func corners3(a [][3]q.Metres) []geom.Vec {
	p := make([]geom.Vec, len(a))
	for i, c := range a {
		p[i] = vec3(c)
	}
	return p
}

func pathLength(p []geom.Vec) float64 {
	l := 0.0
	for i := 1; i < len(p); i++ {
		l += p[i].Sub(p[i-1]).Len()
	}
	return l
}

// tube adds a bent tube and returns one body a stretch.
func (s *Stage) tube(layer int, p []geom.Vec, diameter, luminance float64) (out []Body) {
	for i := 1; i < len(p); i++ {
		if p[i].Sub(p[i-1]).Len() < 1e-9 {
			continue
		}
		s.Scene.AddEmitter(trace.Tube(layer, p[i-1], p[i], diameter, luminance))
		d := p[i].Sub(p[i-1])
		f := geom.UprightFrame(geom.V(0, 0, -1))
		f.S = d.Unit()
		f.T = f.N.Cross(f.S)
		out = append(out, Body{At: p[i-1].Lerp(p[i], 0.5), Frame: f, Shape: "tube", Width: d.Len(), Height: diameter})
	}
	return
}

func (s *Stage) black() int {
	if id, ok := s.mats[""]; ok {
		return id
	}
	id, _ := s.Scene.AddMaterial(trace.Material{Name: "black"})
	s.mats[""] = id
	return id
}

// web reads a photometric file; what its reader noted goes to the messages, with its place in that
// file.
func (s *Stage) web(name string, lampSet int, path string) *photometry.Web {
	if s.opt.Files == nil {
		s.problem(diag.Error, "stage.file", path, "", "photometric files cannot be read here: there is no folder")
		return nil
	}
	src, err := s.opt.Files(name)
	if err != nil {
		s.problem(diag.Error, "stage.file", path, "put the file into the shoot's folder", "%s cannot be read: %v",
			name, err)
		return nil
	}
	w, list := photometry.Options{Files: kit.Beside(name, s.opt.Files), LampSet: lampSet}.Parse(name, src)
	s.list = append(s.list, list...)
	if w == nil {
		if !list.Has(diag.Error) {
			s.problem(diag.Error, "stage.file", path, "", "%s cannot be understood", name)
		}
		return nil
	}
	return w
}
