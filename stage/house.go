package stage

import (
	"fmt"
	"math"
	"strconv"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
)

// practicals builds the lights that belong to the place.
func (s *Stage) practicals() {
	for i := range s.Shoot.Room.Practicals {
		p := &s.Shoot.Room.Practicals[i]
		path := fmt.Sprintf("room.practicals[%d]", i)
		if p.Off || s.off(p.Name) {
			continue
		}
		sp := s.light(p.Colour, spectrum.White(2856), path+".colour")
		layer := s.addLayer(Layer{Name: p.Name, Role: "practical", Kind: Practical, Spectrum: sp, K: 1, Light: -1, Mains: p.Mains, Path: path, Uncertainty: 0.3})
		switch {
		case len(p.Path) >= 2:
			pts := corners3(p.Path)
			d := float64(p.Diameter)
			l := s.tubeLuminance(p, pts, d, path)
			s.Layers[layer].Bodies = s.tube(layer, pts, d, l)
		case p.Emitter != nil:
			if p.At == nil && len(p.Emitter.Path) == 0 {
				s.problem(diag.Error, "stage.no-place", path, "add at: [x, y, z]", "the practical %s has no place", p.Name)
				continue
			}
			at := geom.Vec{}
			if p.At != nil {
				at = vec3(*p.At)
			}
			f := s.practicalFrame(p, at, path)
			e := *p.Emitter
			if p.Flux > 0 {
				e.Flux = shoot.Amount{Value: float64(p.Flux)}
			}
			if p.Reads != nil {
				// The reading fixes the level: build it at luminance (or intensity) 1 first, then scale the layer.
				e.Luminance, e.Intensity, e.Flux = shoot.Amount{Value: 1}, shoot.Amount{}, shoot.Amount{}
				if e.Shape == "point" {
					e.Luminance, e.Intensity = shoot.Amount{}, shoot.Amount{Value: 1}
				}
				s.Layers[layer].Bodies = s.emitter(layer, &e, at, f, path+".emitter")
				s.Layers[layer].K = s.scaleToReading(layer, p.Reads, at, f.N, path+".reads")
				continue
			}
			s.Layers[layer].Bodies = s.emitter(layer, &e, at, f, path+".emitter")
		case p.Photometry != "":
			at := geom.Vec{}
			if p.At != nil {
				at = vec3(*p.At)
			}
			e := shoot.Emitter{Shape: "point", Photometry: p.Photometry, LampSet: p.LampSet}
			if p.Flux > 0 {
				e.Flux = shoot.Amount{Value: float64(p.Flux)}
			}
			s.Layers[layer].Bodies = s.emitter(layer, &e, at, s.practicalFrame(p, at, path), path)
		default:
			s.problem(diag.Error, "stage.practical", path, "add path: of a tube, emitter: or photometry:", "the practical %s has no shape", p.Name)
		}
	}
}

// practicalFrame aims a practical, down where nothing is said, and turns it: anticlockwise seen from behind it, along its aim.
func (s *Stage) practicalFrame(p *shoot.Practical, at geom.Vec, path string) geom.Frame {
	f := geom.UprightFrame(geom.V(0, 0, -1))
	if p.Aim != nil {
		f = frameTo(at, s.target(*p.Aim, at, path+".aim"))
	}
	return f.Roll(-float64(p.Turn) * deg)
}

func practicalCentre(p *shoot.Practical) geom.Vec {
	if len(p.Path) > 0 {
		b := geom.Empty()
		for _, c := range p.Path {
			b = b.Grow(vec3(c))
		}
		return b.Centre()
	}
	if p.At != nil {
		return vec3(*p.At)
	}
	return geom.Vec{}
}

// Illuminance gives what a reading says, in lux, at C of its receptor.
func readingLux(r *shoot.Reads, flatC, domeC float64) float64 {
	if r.Lux > 0 {
		return float64(r.Lux)
	}
	c := flatC
	if r.Receptor == "dome" {
		c = domeC
	}
	iso := float64(r.ISO)
	if iso == 0 {
		iso = 100
	}
	n := float64(r.FNumber.N)
	t := float64(r.Shutter)
	if t <= 0 || n <= 0 {
		return 0
	}
	return n * n / t * c / iso
}

// tubeLuminance gives the luminance of a tube from what is said of its level.
func (s *Stage) tubeLuminance(p *shoot.Practical, pts []geom.Vec, d float64, path string) float64 {
	length := pathLength(pts)
	if length <= 0 || d <= 0 {
		s.problem(diag.Error, "stage.size", path+".path", "give two corners that differ", "the tube %s has no length or no thickness", p.Name)
		return 0
	}
	if p.Flux > 0 {
		return float64(p.Flux) / (math.Pi * math.Pi * d * length)
	}
	if p.Reads == nil {
		s.problem(diag.Error, "stage.level", path, "add reads: {lux: …, from: 1 m} or flux:", "the level of the practical %s is not known", p.Name)
		return 0
	}
	if p.Reads.Receptor == "spot" {
		// A spot reading of the tube itself: N²/t = L S/K.
		n, t, iso := float64(p.Reads.FNumber.N), float64(p.Reads.Shutter), float64(p.Reads.ISO)
		return n * n / t * s.Shoot.House.K / iso
	}
	want := readingLux(p.Reads, s.Shoot.House.FlatC, s.Shoot.House.DomeC)
	from := float64(p.Reads.From)
	if want <= 0 || from <= 0 {
		s.problem(diag.Error, "stage.reads", path+".reads", "give f-number with shutter and iso, or lux, and from", "the reading of %s does not say how much light, or from where", p.Name)
		return 0
	}
	// The meter looks squarely at the middle of the tube from 'from' away: sum what unit luminance gives there.
	mid, dir := middle(pts)
	side := s.freeSide(mid, dir)
	x := mid.AddMul(side, from)
	sum := 0.0
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		const n = 400
		dl := b.Sub(a).Len() / n
		ax := b.Sub(a).Unit()
		for k := range n {
			y := a.Lerp(b, (float64(k)+0.5)/n)
			w := y.Sub(x)
			r2 := w.Len2()
			w = w.Unit()
			sin := math.Sqrt(max(0, 1-w.Dot(ax)*w.Dot(ax)))
			if p.Reads.Receptor == "dome" {
				sum += d * dl * sin / r2 * (1 - w.Dot(side)) / 2
			} else {
				sum += d * dl * sin / r2 * max(0, -w.Dot(side))
			}
		}
	}
	if sum <= 0 {
		return 0
	}
	return want / sum
}

// middle gives the point half way along a path and the direction there.
func middle(p []geom.Vec) (geom.Vec, geom.Vec) {
	half := pathLength(p) / 2
	for i := 1; i < len(p); i++ {
		l := p[i].Sub(p[i-1]).Len()
		if half <= l {
			return p[i-1].Lerp(p[i], half/l), p[i].Sub(p[i-1]).Unit()
		}
		half -= l
	}
	return p[len(p)-1], geom.V(1, 0, 0)
}

// freeSide gives the direction across a tube in which there is most room: away from the nearest wall, or down from the ceiling.
func (s *Stage) freeSide(p, dir geom.Vec) geom.Vec {
	corners, z := Outline(&s.Shoot.Room)
	best, side := math.Inf(1), geom.FrameOf(dir).S
	try := func(dist float64, in geom.Vec) {
		in = in.AddMul(dir, -in.Dot(dir))
		if dist < best && in.Len() > 0.3 {
			best, side = dist, in.Unit()
		}
	}
	for n := 1; n <= len(corners); n++ {
		if a, _, _, in, ok := Wall(corners, n); ok {
			try(math.Abs(p.Sub(a).Dot(in)), in)
		}
	}
	if z > 0 {
		try(math.Abs(z-p.Z), geom.V(0, 0, -1))
		try(math.Abs(p.Z), geom.V(0, 0, 1))
	}
	return side
}

// scaleToReading gives the factor that makes a layer built at unit level read as stated on its axis, unobstructed.
func (s *Stage) scaleToReading(layer int, r *shoot.Reads, at, axis geom.Vec, path string) float64 {
	if r.Receptor == "spot" {
		n, t, iso := float64(r.FNumber.N), float64(r.Shutter), float64(r.ISO)
		return n * n / t * s.Shoot.House.K / iso
	}
	want := readingLux(r, s.Shoot.House.FlatC, s.Shoot.House.DomeC)
	from := float64(r.From)
	if want <= 0 || from <= 0 {
		s.problem(diag.Error, "stage.reads", path, "give f-number with shutter and iso, or lux, and from", "the reading does not say how much light, or from where")
		return 0
	}
	// 'from' counts from its face, which of a ball stands before its centre.
	if b := s.Layers[layer].Bodies; len(b) > 0 && b[0].Shape == "sphere" {
		from += b[0].Width / 2
	}
	x := at.AddMul(axis, from)
	sum := 0.0
	for _, e := range s.Scene.Emitters {
		if e.Layer == layer {
			sum += e.Direct(x, axis.Neg(), r.Receptor == "dome")
		}
	}
	if sum <= 0 {
		s.problem(diag.Error, "stage.reads", path, "", "this light gives nothing on its axis, so the reading cannot fix its level")
		return 0
	}
	return want / sum
}

// windows builds what comes through windows and free openings.
func (s *Stage) windows() {
	r := &s.Shoot.Room
	corners, ceiling := Outline(r)
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
			c = geom.V(float64(w.At[0])+width/2, float64(w.At[1])+height/2, ceiling)
			f = geom.UprightFrame(geom.V(0, 0, -1))
		} else {
			a, dir, _, in, ok := Wall(corners, w.Wall)
			if !ok {
				s.problem(diag.Error, "stage.wall", path+".wall", fmt.Sprintf("the room has walls 1 to %d", len(corners)), "window %s is in wall %d, which is not there", w.Name, w.Wall)
				continue
			}
			width, height = float64(w.Width), float64(w.Head-w.Sill)
			c = a.AddMul(dir, float64(w.From)+width/2).Add(geom.V(0, 0, float64(w.Sill)+height/2))
			f = geom.UprightFrame(in)
			if w.Frame { // the glass, and what shines through it, stand back in the wall
				c = c.AddMul(in, -reveal)
			}
		}
		s.opening(w.Name, c, f, width, height, w.Glass, &out, path, opath)
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
		s.opening(name, c, f, float64(o.Size[0]), float64(o.Size[1]), o.Glass, &o.Outside, path, path+".outside")
	}
}

// clearGlass is the refractive index of window glass; its own absorption takes about 2 % a pane (common practice, no source).
const (
	clearGlass = 1.52
	glassClear = 0.98
)

// glassFactor gives transmittance by the cosine of incidence; diffuse says that the glass scatters.
func (s *Stage) glassFactor(glass, path string) (t func(cos float64) float64, panes int, diffuse bool) {
	one := func(cos float64) float64 { return trace.PaneTransmittance(cos, clearGlass) * glassClear }
	switch glass {
	case "none":
		return func(float64) float64 { return 1 }, 0, false
	case "", "single clear", "clear", "single":
		return one, 1, false
	case "double clear", "double":
		return func(cos float64) float64 {
			// Two panes with what bounces between them.
			x := one(cos)
			r := 1 - trace.PaneTransmittance(cos, clearGlass)
			return x * x / (1 - r*r)
		}, 2, false
	case "frosted":
		return func(float64) float64 { return 0.75 }, 1, true // common practice, no source
	}
	v, err := strconv.ParseFloat(glass, 64)
	if err != nil || !(v >= 0 && v <= 1) {
		s.problem(diag.Error, "stage.glass", path+".glass", "write 'none', 'single clear', 'double clear', 'frosted' or a transmittance like '0.8'", "%q is no glass", glass)
		return one, 1, false
	}
	at0 := trace.PaneTransmittance(1, clearGlass)
	return func(cos float64) float64 { return v * trace.PaneTransmittance(cos, clearGlass) / at0 }, 1, false
}

// opening adds the layer of one window or opening: sky above the horizon, ground below it, through its glass.
func (s *Stage) opening(name string, c geom.Vec, f geom.Frame, w, h float64, glass string, o *shoot.Outside, path, opath string) {
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
	if s.off(name) || o.Sky == "none" {
		return
	}
	zenith, sky, ok := skyOf(o)
	if !ok {
		if o.Sky == "" && o.Luminance == 0 && o.Illuminance == 0 {
			return // nothing said: dark outside
		}
		s.problem(diag.Error, "stage.sky", opath, "write sky: overcast or uniform, and luminance: or illuminance:", "the sky outside %s is not known", name)
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
	sp := s.light(o.Colour, spectrum.White(6500), opath+".colour")
	layer := s.addLayer(Layer{Name: name, Role: "window", Kind: Daylight, Spectrum: sp, K: 1, Light: -1, Path: path, Uncertainty: 0.5})
	s.Layers[layer].Bodies = []Body{{At: c, Frame: f, Shape: "rectangle", Width: w, Height: h}}
	if diffuse {
		// Frosted glass gives back what falls on its outside, evenly: integrate sky and ground over the outer hemisphere.
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
		s.Scene.AddEmitter(trace.Rectangle(layer, c, f, w, h, e*tau(1)/math.Pi, nil, false))
		g := trace.Rectangle(layer, c, f, w, h, eg*tau(1)/math.Pi, nil, false)
		g.Tint = gb
		s.Scene.AddEmitter(g)
		return
	}
	n := f.N
	s.Scene.AddEmitter(trace.Portal(layer, c, f, w, h, func(d geom.Vec) float64 {
		if d.Z <= 0 {
			return 0
		}
		return sky(d) * tau(math.Abs(d.Dot(n)))
	}))
	g := trace.Portal(layer, c, f, w, h, func(d geom.Vec) float64 {
		if d.Z > 0 {
			return 0
		}
		return horizontal / math.Pi * tau(math.Abs(d.Dot(n)))
	})
	g.Tint = gb
	s.Scene.AddEmitter(g)
}

func cosineDir(u, v float64) (x, y, z float64) {
	r := math.Sqrt(u)
	sn, cs := math.Sincos(2 * math.Pi * v)
	return r * cs, r * sn, math.Sqrt(max(0, 1-u))
}

// skyOf gives the zenith luminance and the luminance by direction. CIE overcast: L = Lz (1 + 2 sin γ)/3, E = 7π/9 Lz
// (ISO 15469; check D2.1 to D2.4). Uniform: E = π L.
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
