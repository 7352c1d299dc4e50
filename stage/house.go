package stage

import (
	"fmt"
	"math"
	"strconv"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
)

// windows builds what comes through windows and free openings.
func (s *Stage) windows() {
	r := &s.Shoot.Room
	corners, _ := Outline(r)
	for i := range r.Windows {
		w := &r.Windows[i]
		path := fmt.Sprintf("room.windows[%d]", i)
		out, opath := r.Outside, "room.outside"
		if w.Outside != nil {
			out, opath = *w.Outside, path+".outside"
		}
		var c geom.Vec
		var f geom.Frame
		var width, height float64
		if w.InCeiling {
			width, height = float64(w.Size[0]), float64(w.Size[1])
			c = geom.V(float64(w.At[0])+width/2, float64(w.At[1])+height/2, 0)
			c.Z = CeilingAt(r, c.X, c.Y)
			f = geom.UprightFrame(geom.V(0, 0, -1))
		} else {
			a, dir, _, in, ok := Wall(corners, w.Wall)
			if !ok {
				s.problem(diag.Error, "stage.wall", path+".wall",
					fmt.Sprintf("the room has walls 1 to %d",
						len(corners)), "window %s is in wall %d, which is not there", w.Name, w.Wall)
				continue
			}
			width, height = float64(w.Width), float64(w.Head-w.Sill)
			c = a.AddMul(dir, float64(w.From)+width/2).Add(geom.V(0, 0, float64(w.Sill)+height/2))
			f = geom.UprightFrame(in)
			if w.Frame { // the glass, and what shines through it, stand back in the wall
				c = c.AddMul(in, -reveal)
			}
		}
		s.opening(w.Name, c, f, width, height, w.Glass, hung{w.Cover, w.Gel}, &out, path, opath)
	}
	for i := range s.Setup.Openings {
		o := &s.Setup.Openings[i]
		path := s.path(fmt.Sprintf("openings[%d]", i))
		c := vec3(o.At)
		f := geom.UprightFrame(s.direction(o.Facing, c, geom.V(0, 0, -1), path+".facing"))
		name := o.Name
		if name == "" {
			name = fmt.Sprintf("opening %d", i+1)
		}
		s.opening(name, c, f, float64(o.Size[0]), float64(o.Size[1]), o.Glass, hung{}, &o.Outside, path,
			path+".outside")
	}
}

// clearGlass is the refractive index of window glass; its own absorption takes about 2 % a pane
// (common practice, no source).
const (
	clearGlass = 1.52
	glassClear = 0.98
)

// dirt is what a street's dirt leaves of a pane's light (common practice, no source: 0.7 to 0.9).
const dirt = 0.8

// hung is what a window has on and before its pane.
type hung struct {
	cover string
	gels  []string
}

// glassFactor gives transmittance by the cosine of incidence; diffuse says that the glass scatters.
func (s *Stage) glassFactor(glass, path string) (t func(cos float64) float64, panes int, diffuse bool) {
	one := func(cos float64) float64 { return trace.PaneTransmittance(cos, clearGlass) * glassClear }
	if g, ok := kind.FindGlass(glass); ok {
		clear := one
		switch {
		case g.Panes == 0:
			return func(float64) float64 { return 1 }, 0, false
		case g.Diffuse > 0:
			return func(float64) float64 { return g.Diffuse }, g.Panes, true
		case g.Tint > 0:
			return func(cos float64) float64 { return g.Tint * one(cos) / one(1) }, g.Panes, false
		case g.Panes == 2:
			clear = func(cos float64) float64 {
				// Two panes with what bounces between them.
				x := one(cos)
				r := 1 - trace.PaneTransmittance(cos, clearGlass)
				if r >= 1 { // at grazing: nothing comes in to bounce
					return 0
				}
				return x * x / (1 - r*r)
			}
		}
		if g.Dirty {
			return func(cos float64) float64 { return dirt * clear(cos) }, g.Panes, false
		}
		return clear, g.Panes, false
	}
	v, err := strconv.ParseFloat(glass, 64)
	if err != nil || !(v >= 0 && v <= 1) {
		s.problem(diag.Error, "stage.glass", path+".glass",
			"write 'none', 'single clear', 'double clear', 'frosted' or a transmittance like '0.8'",
			"%q is no glass", glass)
		return one, 1, false
	}
	at0 := trace.PaneTransmittance(1, clearGlass)
	return func(cos float64) float64 { return v * trace.PaneTransmittance(cos, clearGlass) / at0 }, 1, false
}

// opening adds the layer of one window or opening: sky above the horizon, ground below it, through
// its glass.
func (s *Stage) opening(name string, c geom.Vec, f geom.Frame, w, h float64, glass string, before hung,
	o *shoot.Outside, path, opath string) {
	if !(w > 0 && h > 0) {
		s.problem(diag.Error, "stage.size", path, "give its width and height", "the opening %s has no size", name)
		return
	}
	tau, panes, diffuse := s.glassFactor(glass, path)
	if panes > 0 && !diffuse {
		// The pane lies just outside the light that comes through it, and mirrors the room.
		id := s.add(trace.Material{Name: "window glass", Glass: clearGlass, Clear: trace.Grey(glassClear)}, path)
		s.Scene.AddQuad(c.AddMul(f.N, -0.01), f, w, h, id)
	}
	if diffuse {
		// A frosted pane sends back some of the room's own light.
		s.Scene.AddQuad(c.AddMul(f.N, -0.01), f, w, h, s.preset("glass frosted", path))
	}
	p := s.paneOf(tau, diffuse, before.cover, before.gels, path)
	o = s.lookedAt(o)
	s.glaze(name, c, f, w, h, o, p)
	if s.off(name) || o.Sky == "none" {
		return
	}
	if ByWeather(o) {
		s.byWeather(name, c, f, w, h, o, p, path, opath)
		return
	}
	zenith, sky, ok := skyOf(o)
	if !ok {
		if o.Sky == "" && o.Luminance == 0 && o.Illuminance == 0 {
			s.once(diag.Note, "stage.dark-windows", path,
				"write room: {outside: {sky: overcast}} and its level, or {sky: none} if it is dark",
				"nothing is said of what is outside the windows: they are black")
			return
		}
		s.problem(diag.Error, "stage.sky", opath,
			"write sky: overcast, broken, hazy, clear or 'cie 1' to 'cie 15'; uniform needs luminance: or "+
				"illuminance:", "the sky outside %s is not known", name)
		return
	}
	horizontal := zenith * math.Pi
	if o.Sky != "uniform" {
		horizontal = zenith * 7 * math.Pi / 9
	}
	ground := s.reflectance(o.Ground, opath+".ground")
	if o.Ground == nil {
		ground = spectrum.Constant(0.2)
	}
	gb := windowsOf(ground)
	colour := s.light(o.Colour, spectrum.White(6500), opath+".colour")
	sp := colour.Mul(p.filter)
	layer := s.addLayer(Layer{Name: name, Role: "window", Kind: Daylight, Spectrum: sp, K: 1, Light: -1, Path: path,
		Uncertainty: 0.5})
	s.Layers[layer].Bodies = []Body{{At: c, Frame: f, Shape: "rectangle", Width: w, Height: h}}
	s.Glazings[len(s.Glazings)-1].lit(layer, o, colour)
	if diffuse || p.scattered > 0 {
		// What scatters gives back what falls on its outside, evenly: integrate sky and ground over
		// the outer hemisphere.
		out := geom.FrameOf(f.N.Neg())
		e, eg := 0.0, 0.0
		const n = 64
		for i := range n {
			for j := range n {
				x, y, z := cosineDir((float64(i)+0.5)/n, (float64(j)+0.5)/n)
				d := out.Out(x, y, z)
				if d.Z > 0 {
					e += sky(d) * math.Pi / (n * n)
				} else {
					eg += horizontal / math.Pi * math.Pi / (n * n)
				}
			}
		}
		through := p.gel * p.scattered * tau(1) / math.Pi
		if diffuse {
			through = p.gel * (p.straight + p.scattered) * tau(1) / math.Pi
		}
		s.Scene.AddEmitter(trace.Rectangle(layer, c, f, w, h, e*through, nil, false))
		g := trace.Rectangle(layer, c, f, w, h, eg*through, nil, false)
		g.Tint = gb
		s.Scene.AddEmitter(g)
		if diffuse {
			return
		}
	}
	if p.straight == 0 {
		return
	}
	n, k := f.N, p.gel*p.straight
	s.Scene.AddEmitter(trace.Portal(layer, c, f, w, h, func(d geom.Vec) float64 {
		if d.Z <= 0 {
			return 0
		}
		return k * sky(d) * tau(math.Abs(d.Dot(n)))
	}))
	g := trace.Portal(layer, c, f, w, h, func(d geom.Vec) float64 {
		if d.Z > 0 {
			return 0
		}
		return k * horizontal / math.Pi * tau(math.Abs(d.Dot(n)))
	})
	g.Tint = gb
	s.Scene.AddEmitter(g)
}

func cosineDir(u, v float64) (x, y, z float64) {
	r := math.Sqrt(u)
	sn, cs := math.Sincos(2 * math.Pi * v)
	return r * cs, r * sn, math.Sqrt(max(0, 1-u))
}

// skyOf gives the zenith luminance and the luminance by direction. CIE overcast: L = Lz (1 + 2 sin
// γ)/3, E = 7π/9 Lz (ISO 15469; check D2.1 to D2.4). Uniform: E = π L.
func skyOf(o *shoot.Outside) (zenith float64, l func(geom.Vec) float64, ok bool) {
	uniform := o.Sky == "uniform"
	if !uniform && o.Sky != "overcast" && o.Sky != "" {
		return 0, nil, false
	}
	switch {
	case o.Luminance > 0:
		zenith = float64(o.Luminance)
	case o.Illuminance > 0 && uniform:
		zenith = float64(o.Illuminance) / math.Pi
	case o.Illuminance > 0:
		zenith = float64(o.Illuminance) * 9 / (7 * math.Pi)
	default:
		return 0, nil, false
	}
	if uniform {
		return zenith, func(geom.Vec) float64 { return zenith }, true
	}
	return zenith, func(d geom.Vec) float64 { return zenith * (1 + 2*d.Z) / 3 }, true
}
