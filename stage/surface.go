package stage

import (
	"fmt"
	"math"

	"halfstop/diag"
	"halfstop/kit"
	"halfstop/material"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
)

// windowsOf reads a curve in the 16 windows; an empty curve is zero.
func windowsOf(c spectrum.Curve) trace.Band {
	if c.Empty() {
		return trace.Band{}
	}
	b := c.Windows()
	for i := range b {
		b[i] = min(1, max(0, b[i]))
	}
	return b
}

// Material turns a surface of package material into one that trace can use.
func Material(m material.Surface) trace.Material {
	t := trace.Material{Name: m.Name, Diffuse: windowsOf(m.Diffuse), Mirror: windowsOf(m.Mirror),
		Trans: windowsOf(m.Transmit),
		Clear: windowsOf(m.Clear), Alpha: m.Rough * m.Rough, Coat: m.Coat, CoatAlpha: m.CoatRough * m.CoatRough}
	if !m.Diffuse.Empty() {
		t.Texture, t.Pattern = textureOf(m.Name)
	}
	if m.Coat > 0 && !m.Clear.Empty() && m.Diffuse.Empty() {
		// A clear pane: the index is that of the glass, not of a coat.
		t.Glass, t.Coat = m.Coat, 0
		t.Mirror = trace.Band{}
	}
	return t
}

// reflectance gives the curve of a stated reflectance.
func (s *Stage) reflectance(r *shoot.Reflectance, path string) spectrum.Curve {
	switch {
	case r == nil:
		return spectrum.Curve{}
	case len(r.Spectrum) > 0:
		c, err := spectrum.Smooth(r.Spectrum)
		if err != nil {
			s.problem(diag.Error, "stage.spectrum", path, "give pairs [nm, value] with rising wavelengths",
				"this spectrum cannot be used: %v", err)
		}
		return c
	case len(r.Name) == 7 && r.Name[0] == '#':
		var v [3]uint8
		if _, err := fmt.Sscanf(r.Name, "#%02x%02x%02x", &v[0], &v[1], &v[2]); err != nil {
			s.problem(diag.Error, "stage.colour", path, "write '#rrggbb' with hexadecimal digits",
				"%q is not a colour", r.Name)
			return spectrum.Curve{}
		}
		return spectrum.ReflectanceOfSRGB(float64(v[0])/255, float64(v[1])/255, float64(v[2])/255)
	case r.Name != "":
		p, err := material.Preset(r.Name)
		if err != nil {
			s.problem(diag.Error, "stage.surface", path, "", "%v", err)
			return spectrum.Curve{}
		}
		return p.Diffuse
	}
	return spectrum.Constant(r.Value)
}

// named finds an own or a preset surface.
func (s *Stage) named(name, path string) material.Surface {
	if own, ok := s.kit.FindSurface(name); ok {
		m, err := ownSurface(own)
		if err != nil {
			s.problem(diag.Error, "stage.surface", path, "", "surface %q: %v", name, err)
		}
		return m
	}
	p, err := material.Preset(name)
	if err != nil {
		s.problem(diag.Error, "stage.unknown-surface", path, "", "%v", err)
	}
	return p
}

func ownSurface(o kit.SurfaceSpec) (m material.Surface, err error) {
	if o.Like != "" {
		if m, err = material.Preset(o.Like); err != nil {
			return m, err
		}
	}
	m.Name, m.Source = o.Name, o.Source
	number := func(dst *spectrum.Curve, v *float64) {
		if v != nil {
			*dst = spectrum.Constant(*v)
		}
	}
	number(&m.Diffuse, o.Diffuse)
	number(&m.Mirror, o.Mirror)
	number(&m.Transmit, o.Transmit)
	number(&m.Clear, o.Clear)
	if len(o.Spectrum) > 0 {
		if m.Diffuse, err = spectrum.Smooth(o.Spectrum); err != nil {
			return m, err
		}
	}
	if len(o.Colour) == 7 {
		var v [3]uint8
		if _, err = fmt.Sscanf(o.Colour, "#%02x%02x%02x", &v[0], &v[1], &v[2]); err != nil {
			return m, fmt.Errorf("%q is not a colour '#rrggbb'", o.Colour)
		}
		m.Diffuse = spectrum.ReflectanceOfSRGB(float64(v[0])/255, float64(v[1])/255, float64(v[2])/255)
	}
	if o.Rough != nil {
		m.Rough = *o.Rough
	}
	if o.Coat != nil {
		m.Coat = *o.Coat
	}
	return m, nil
}

// surface gives the material of a surface as written: a preset with what is stated beside it laid
// over.
func (s *Stage) surface(w shoot.Surface, path string) material.Surface {
	var m material.Surface
	if w.Preset != "" {
		m = s.named(w.Preset, path)
	}
	if w.Diffuse != nil {
		m.Diffuse = s.reflectance(w.Diffuse, path)
	}
	if w.Mirror != nil {
		m.Mirror = s.reflectance(w.Mirror, path)
	}
	if w.Transmit != nil {
		m.Transmit = s.reflectance(w.Transmit, path)
	}
	if w.Clear != nil {
		m.Clear = s.reflectance(w.Clear, path)
	}
	if w.Rough != 0 {
		m.Rough = w.Rough
	}
	if w.Coat != 0 {
		m.Coat = w.Coat
	}
	if w.CoatRough != 0 {
		m.CoatRough = w.CoatRough
	}
	if m.Name == "" {
		m.Name = "surface"
	}
	return m
}

// material registers a surface as written and returns its number in the scene.
func (s *Stage) material(w shoot.Surface, back *shoot.Surface, path string) int {
	t := Material(s.surface(w, path))
	if back != nil {
		b := Material(s.surface(*back, path))
		t.Back = &b
	}
	return s.add(t, path)
}

// preset registers a preset surface.
func (s *Stage) preset(name, path string) int {
	if id, ok := s.mats[name]; ok {
		return id
	}
	id := s.add(Material(s.named(name, path)), path)
	s.mats[name] = id
	return id
}

func (s *Stage) add(t trace.Material, path string) int {
	id, err := s.Scene.AddMaterial(t)
	if err != nil {
		s.problem(diag.Error, "stage.energy", path,
			"lower one of diffuse, mirror, transmit, clear so that they sum to 1 at most", "%v", err)
		id, _ = s.Scene.AddMaterial(trace.Material{Name: "black"})
	}
	return id
}

// light gives the spectrum of a colour as written; fallback stands in where nothing is written.
func (s *Stage) light(c shoot.Spectrum, fallback spectrum.Curve, path string) spectrum.Curve {
	bad := func(err error) spectrum.Curve {
		s.problem(diag.Error, "stage.colour", path, "", "%v", err)
		return fallback
	}
	switch {
	case c.Like != "":
		if l := s.LayerNamed(trimPrefixes(c.Like, "practicals.", "lights.", "windows.")); l >= 0 {
			return s.Layers[l].Spectrum
		}
		if sp, ok := s.practicalSpectrum(trimPrefixes(c.Like, "practicals.")); ok {
			return sp
		}
		return bad(fmt.Errorf("there is no light called %q to take the colour of", c.Like))
	case len(c.Pairs) > 0:
		sp, err := spectrum.OfPairs(c.Pairs)
		if err != nil {
			return bad(err)
		}
		return sp
	case c.XY[1] > 0:
		sp, err := spectrum.OfChromaticity(c.XY[0], c.XY[1])
		if err != nil {
			return bad(err)
		}
		return sp
	case c.RGB != "":
		var v [3]uint8
		if _, err := fmt.Sscanf(c.RGB, "#%02x%02x%02x", &v[0], &v[1], &v[2]); err != nil {
			return bad(fmt.Errorf("%q is not a colour '#rrggbb'", c.RGB))
		}
		d := spectrum.SRGB
		t := d.XYZ([3]float64{spectrum.Decode(float64(v[0]) / 255), spectrum.Decode(float64(v[1]) / 255),
			spectrum.Decode(float64(v[2]) / 255)})
		xy := t.XY()
		sp, err := spectrum.OfChromaticity(xy.X, xy.Y)
		if err != nil {
			return bad(err)
		}
		return sp
	case c.Kelvin > 0:
		if c.Duv != 0 {
			xy := spectrum.XYOfCCT(float64(c.Kelvin), c.Duv)
			sp, err := spectrum.OfChromaticity(xy.X, xy.Y)
			if err != nil {
				return bad(err)
			}
			return sp
		}
		return spectrum.White(float64(c.Kelvin))
	case c.Name != "":
		sp, err := spectrum.Lamp(c.Name)
		if err != nil {
			return bad(err)
		}
		return sp
	}
	return fallback
}

// chromatic reports whether a colour is written at all.
func chromatic(c shoot.Spectrum) bool {
	return c.Like != "" || len(c.Pairs) > 0 || c.XY[1] > 0 || c.RGB != "" || c.Kelvin > 0 || c.Name != ""
}

// practicalSpectrum is the colour of a practical of the house, on or off.
func (s *Stage) practicalSpectrum(name string) (spectrum.Curve, bool) {
	for i := range s.Shoot.Room.Practicals {
		if equal(s.Shoot.Room.Practicals[i].Name, name) {
			return s.practicalColour(&s.Shoot.Room.Practicals[i], fmt.Sprintf("room.practicals[%d]", i)), true
		}
	}
	return spectrum.Curve{}, false
}

// whiteBalance sets the colour that comes out neutral.
func (s *Stage) whiteBalance() {
	c := spectrum.White(5500)
	if s.Setup.Camera != nil {
		c = s.light(s.Setup.Camera.WhiteBalance, c, s.path("camera.white balance"))
	}
	x := c.XYZ()
	if x.Y > 0 && !math.IsNaN(x.Y) {
		s.White = spectrum.XYZ{X: x.X / x.Y, Y: 1, Z: x.Z / x.Y}
	}
}
