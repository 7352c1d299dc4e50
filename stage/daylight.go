package stage

import (
	"fmt"
	"math"
	"strings"
	"time"

	"halfstop/daylight"
	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
)

// Moment is where the sun stands at one time of the shoot's day.
type Moment struct {
	Altitude, Azimuth float64  // degrees, refraction of common air included; azimuth east of north
	Day               int      // of the year
	Sun               geom.Vec // unit, towards it, in the frame of the plan
	Assumed           []string // what the file leaves open, in sentences
}

// MomentOf gives the sun of a shoot at a clock time, hh:mm; noon where there is none. What the file
// does not say is assumed: 50° north with noon at 12:00, the equinox. An unknown zone follows the
// longitude.
func MomentOf(f *shoot.File, clock string) Moment {
	var m Moment
	say := func(format string, args ...any) { m.Assumed = append(m.Assumed, fmt.Sprintf(format, args...)) }
	p := f.Shoot.Place
	lat, long := p.Latitude, p.Longitude
	if lat == 0 && long == 0 {
		lat = 50
		say("the file names no place: 50° north is assumed, with noon at 12:00")
	}
	loc := time.FixedZone("", int(math.Round(long/15))*3600)
	if p.Zone != "" {
		if l, ok := p.Clock(); ok {
			loc = l
		} else {
			say("the time zone %q is not known: the clock follows the longitude", p.Zone)
		}
	}
	day, err := time.ParseInLocation("2006-01-02", f.Shoot.Date, loc)
	if err != nil {
		day = time.Date(2026, 3, 20, 0, 0, 0, 0, loc)
		say("the file names no date: the equinox is assumed")
	}
	h, min := 12, 0
	if _, err := fmt.Sscanf(clock, "%d:%d", &h, &min); err != nil {
		h, min = 12, 0
		say("the setup names no time: noon is assumed")
	}
	at := time.Date(day.Year(), day.Month(), day.Day(), h, min, 0, 0, loc)
	alt, az := daylight.Sun(at, lat, long)
	m.Altitude, m.Azimuth, m.Day = daylight.Apparent(alt, 1010, 15), az, at.YearDay()
	m.Sun = daylight.Direction(m.Altitude, az, float64(p.PlanNorth))
	return m
}

// Outdoors is the sky, sun and what stands about at one moment, as one window sees it.
type Outdoors struct {
	Moment
	Weather       daylight.Weather
	Level, Direct float64 // lx: level ground by the sky alone; at right angles to the sun
	Zenith        float64 // cd/m²
	Stated        float64 // a level that the file states, against the weather's own at its hour; 0: none
	sky           daylight.Sky
	ground        float64
	stands        []obstacle
	at, in        geom.Vec // middle of the window, and where its light goes
}

// obstacle is something outside, as a window's middle sees it: what lies under (or, hanging, over)
// an edge.
type obstacle struct {
	distance, top, half float64 // metres; half its width, +Inf for no end
	hangs               bool    // an awning: it hides what is over its edge
	share               float64 // of what it hides
	reflectance         float64
	luminance           float64
}

// conditions reads the word of a sky: a condition by name, or a type of the general sky ('cie 12').
func conditions(word string) (daylight.Weather, bool) {
	if w, ok := daylight.Condition(word); ok {
		return w, true
	}
	var kind int
	if _, err := fmt.Sscanf(word, "cie %d", &kind); err != nil {
		return daylight.Weather{}, false
	}
	if _, ok := daylight.General(kind); !ok {
		return daylight.Weather{}, false
	}
	w := daylight.Weather{Name: "overcast", Kind: kind, Spread: 0.8}
	switch { // the standard's words: 1 to 5 without a sun, 6 to 10 partly cloudy, 11 to 15 clear
	case kind > 10:
		w.Name, w.Direct, w.Spread = "clear", 1, 0.4
	case kind > 5:
		w.Name, w.Direct, w.Spread = "broken", 0.6, 1
	}
	return w, true
}

// ByWeather reports whether an outside is told by its weather: it goes with the hour by itself.
// 'overcast' with a level stated and no hour of it is the level itself.
func ByWeather(o *shoot.Outside) bool {
	_, ok := conditions(o.Sky)
	if o.Sky == "overcast" || o.Sky == "" {
		stated := o.Luminance > 0 || o.Illuminance > 0
		return o.Sky == "overcast" && !stated || stated && o.Measured != ""
	}
	return ok
}

// OutdoorsOf works out what lies before a window at a clock time. at is the middle of the window,
// in where its light goes.
func OutdoorsOf(f *shoot.File, o *shoot.Outside, clock string, at, in geom.Vec, ground float64) (Outdoors, bool) {
	word := o.Sky
	if word == "" {
		word = "overcast"
	}
	w, ok := conditions(word)
	if !ok {
		return Outdoors{}, false
	}
	if o.Turbidity > 0 {
		w.Turbidity = o.Turbidity
	}
	if o.NoSun {
		w.Direct = 0
	}
	out := Outdoors{Moment: MomentOf(f, clock), Weather: w, sky: w.Sky(), ground: ground, at: at, in: in}
	up := geom.V(0, 0, 1)
	factor := 1.0
	if o.Luminance > 0 || o.Illuminance > 0 {
		m := out.Moment
		if o.Measured != "" {
			m = MomentOf(f, o.Measured)
		}
		level, direct := w.Level(m.Altitude, m.Day), w.Sun(m.Altitude, m.Day)
		if o.Luminance > 0 {
			factor = float64(o.Luminance) / (level / out.sky.Illuminance(up, m.Sun, nil))
		} else {
			factor = float64(o.Illuminance) / (level + direct*max(0, m.Sun.Z))
		}
		out.Stated = factor
	}
	out.Level, out.Direct = factor*w.Level(out.Altitude, out.Day), factor*w.Sun(out.Altitude, out.Day)
	out.Zenith = out.Level / out.sky.Illuminance(up, out.Sun, nil)
	for _, s := range o.Stands {
		b := obstacle{distance: max(0.1, float64(s.Distance)), top: float64(s.Height), half: math.Inf(1), share: 1,
			reflectance: float64(s.Reflectance)}
		if s.Width > 0 {
			b.half = float64(s.Width) / 2
		}
		switch s.Kind {
		case "trees":
			b.share = 0.7 // leaves let some sky through: common practice, no source
		case "awning":
			b.hangs = true
		}
		if b.reflectance == 0 {
			// common practice
			b.reflectance = map[string]float64{"facade": 0.35, "wall": 0.3, "trees": 0.12, "awning": 0.3}[s.Kind]
		}
		sky, beam, below := w.Facing(in, out.Sun, out.Level, out.Direct, ground, nil)
		if b.hangs { // it is seen from below: lit by the ground
			sky, beam, below = 0, 0, ground*(out.Level+out.Direct*max(0, out.Sun.Z))*0.5
		}
		b.luminance = b.reflectance * (sky + beam + below) / math.Pi
		out.stands = append(out.stands, b)
	}
	return out, true
}

// hides reports which thing outside lies in a direction, nearest first; nil: none. Directions count
// from the window's middle.
func (o *Outdoors) hides(d geom.Vec) *obstacle {
	outward := -d.Dot(o.in)
	if outward <= 1e-6 {
		return nil
	}
	side := geom.V(0, 0, 1).Cross(o.in).Unit()
	var found *obstacle
	for i := range o.stands {
		b := &o.stands[i]
		t := b.distance / outward
		z := o.at.Z + d.Z*t
		if math.Abs(d.Dot(side))*t > b.half || (z > b.top) != b.hangs || !b.hangs && z < 0 {
			continue
		}
		if found == nil || b.distance < found.distance {
			found = b
		}
	}
	return found
}

// free is the share of a direction's sky or sun that reaches the window.
func (o *Outdoors) free(d geom.Vec) float64 {
	if b := o.hides(d); b != nil {
		return 1 - b.share
	}
	return 1
}

// SkyAt is the luminance of the sky towards d, cd/m², where nothing stands before it.
func (o *Outdoors) SkyAt(d geom.Vec) float64 {
	if d.Z <= 0 {
		return 0
	}
	return o.Zenith * o.sky.Toward(d, o.Sun) * o.free(d)
}

// GroundAt is that of the ground, for a reflectance of 1, and ThingAt that of what stands there.
func (o *Outdoors) GroundAt(d geom.Vec) float64 {
	if d.Z > 0 || o.hides(d) != nil {
		return 0
	}
	return (o.Level + o.Direct*max(0, o.Sun.Z)) / math.Pi
}

// ThingAt is the luminance of what stands outside in a direction, cd/m²; 0 for nothing.
func (o *Outdoors) ThingAt(d geom.Vec) float64 {
	if b := o.hides(d); b != nil {
		return b.share * b.luminance
	}
	return 0
}

// Beam is the direct sun that reaches the window, lx at right angles to it.
func (o *Outdoors) Beam() float64 {
	if o.Sun.Dot(o.in) >= 0 || o.Altitude < -0.27 {
		return 0
	}
	return o.Direct * o.free(o.Sun)
}

// Pane is what falls on the outside of the window: sky with what stands there, sun, ground; lx.
func (o *Outdoors) Pane() (sky, beam, ground float64) { return o.PaneOf(48) }

// PaneOf is Pane by n × n directions.
func (o *Outdoors) PaneOf(n int) (sky, beam, ground float64) {
	out := geom.FrameOf(o.in.Neg())
	for i := range n {
		for j := range n {
			x, y, z := cosineDir((float64(i)+0.5)/float64(n), (float64(j)+0.5)/float64(n))
			d := out.Out(x, y, z)
			sky += (o.SkyAt(d) + o.ThingAt(d)) * math.Pi / float64(n*n)
			ground += o.ground * o.GroundAt(d) * math.Pi / float64(n*n)
		}
	}
	return sky, o.Beam() * max(0, -o.Sun.Dot(o.in)), ground
}

// Kelvin is the colour of the sky that the window sees, by its mean luminance there.
func (o *Outdoors) Kelvin() float64 {
	sky, _, _ := o.Pane()
	return o.KelvinOf(sky)
}

// KelvinOf is Kelvin where what the sky gives to the pane is known, lx.
func (o *Outdoors) KelvinOf(sky float64) float64 {
	return o.Weather.SkyKelvin(2*sky/math.Pi, o.Altitude)
}

// lookedAt is an outside as it counts at the hour that the setup is looked at:
// where that is not its own, a level that the file states without its hour is
// one of the setup's own hour, and goes on from there by the weather.
func (s *Stage) lookedAt(o *shoot.Outside) *shoot.Outside {
	own := s.Setup.At
	if s.Setup.Hour == "" || s.Setup.Hour == own || o.Sky == "none" || o.Measured != "" ||
		o.Luminance == 0 && o.Illuminance == 0 {
		return o
	}
	held := *o
	if held.Measured = own; own == "" {
		held.Measured = "12:00"
	}
	if o.Sky == "uniform" || o.Sky == "" {
		held.Sky = "overcast"
	}
	return &held
}

// byWeather adds the light of a window whose outside is told by its weather: sky, ground and
// things, and the sun as a source of its own.
func (s *Stage) byWeather(name string, c geom.Vec, f geom.Frame, w, h float64, o *shoot.Outside, p pane, path,
	opath string) {
	ground := s.reflectance(o.Ground, opath+".ground")
	if o.Ground == nil {
		ground = spectrum.Constant(0.2)
	}
	gb := windowsOf(ground)
	mean := 0.0
	for _, v := range gb {
		mean += float64(v) / float64(len(gb))
	}
	out, ok := OutdoorsOf(s.Shoot, o, s.Setup.Clock(), c, f.N, mean)
	if !ok {
		s.problem(diag.Error, "stage.sky", opath, "write overcast, broken, hazy, clear or 'cie 1' to 'cie 15'",
			"the sky outside %s is not known", name)
		return
	}
	for _, a := range out.Assumed {
		s.once(diag.Note, "stage.hour", opath,
			"write shoot: {date: …, place: {latitude: …, longitude: …, zone: …}} and the setup's time:",
			"daylight: %s", a)
	}
	colour := s.light(o.Colour, spectrum.White(out.Kelvin()), opath+".colour")
	sp := colour.Mul(p.filter)
	k := p.straight
	layer := s.addLayer(Layer{Name: name, Role: "window", Kind: Daylight, Spectrum: sp, K: 1, Light: -1, Path: path,
		Uncertainty: q.Stops(out.Weather.Spread)})
	s.Layers[layer].Bodies = []Body{{At: c, Frame: f, Shape: "rectangle", Width: w, Height: h}}
	s.Glazings[len(s.Glazings)-1].lit(layer, o, colour)
	n := f.N
	sky, beam, below := out.Pane()
	add := func(tint *trace.Band, l func(geom.Vec) float64, lux float64) {
		if k > 0 && !p.diffuse {
			e := trace.Portal(layer, c, f, w, h,
				func(d geom.Vec) float64 { return k * p.gel * l(d) * p.tau(math.Abs(d.Dot(n))) })
			if tint != nil {
				e.Tint = *tint
			}
			s.Scene.AddEmitter(e)
		}
		scattered := p.scattered * p.tau(1)
		if p.diffuse {
			scattered = (k + p.scattered) * p.tau(1)
		}
		if scattered > 0 && lux > 0 {
			e := trace.Rectangle(layer, c, f, w, h, p.gel*scattered*lux/math.Pi, nil, false)
			if tint != nil {
				e.Tint = *tint
			}
			s.Scene.AddEmitter(e)
		}
	}
	add(nil, func(d geom.Vec) float64 { return out.SkyAt(d) + out.ThingAt(d) }, sky)
	add(&gb, out.GroundAt, below/max(1e-9, mean))
	if beam <= 0 {
		return
	}
	sun := s.addLayer(Layer{Name: name + " sun", Role: "sun", Kind: Daylight,
		Spectrum: daylight.SunLight(out.Altitude, out.Weather.Turbidity).Mul(p.filter),
		K:        1, Light: -1, Path: path, Uncertainty: q.Stops(out.Weather.Spread)})
	s.Layers[sun].Bodies = nil
	s.Glazings[len(s.Glazings)-1].SunLayer = sun
	if straight := k * p.gel * out.Beam() * p.tau(math.Abs(out.Sun.Dot(n))); straight > 0 && !p.diffuse {
		s.Scene.AddEmitter(trace.SunBeam(sun, c, f, w, h, out.Sun, straight))
	}
	scattered := p.scattered
	if p.diffuse {
		scattered += k
	}
	if scattered > 0 {
		s.Scene.AddEmitter(trace.Rectangle(sun, c, f, w, h, p.gel*scattered*beam*p.tau(1)/math.Pi, nil, false))
	}
}

// pane is what a window's light goes through.
type pane struct {
	tau                 func(cos float64) float64
	diffuse             bool
	straight, scattered float64        // by what hangs before it
	filter              spectrum.Curve // by gels on it, in colour
	gel                 float64        // and in light
}

// paneOf reads gel and cover of a window.
func (s *Stage) paneOf(tau func(float64) float64, diffuse bool, coverWord string, gels []string, path string) pane {
	p := pane{tau: tau, diffuse: diffuse, filter: spectrum.Constant(1), gel: 1}
	c, ok := kind.FindCover(coverWord)
	if !ok {
		c.Straight = 1
		s.problem(diag.Error, "stage.cover", path+".cover", "write "+strings.Join(kind.CoverWords(), ", "),
			"%q hangs before no window", coverWord)
	}
	p.straight, p.scattered = c.Straight, c.Scattered
	for _, g := range gels {
		t, _, err := s.kit.Transmittance(g)
		if err != nil {
			s.problem(diag.Error, "stage.gel", path+".gel", "", "%v", err)
			continue
		}
		p.filter = p.filter.Mul(t)
		p.gel *= spectrum.LuminousRatio(spectrum.White(6500), t)
	}
	return p
}
