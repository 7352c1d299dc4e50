package stage

import (
	"fmt"
	"math"

	"halfstop/content"
	"halfstop/daylight"
	"halfstop/geom"
	"halfstop/shoot"
	"halfstop/spectrum"
)

// Glazing is a window or free opening with what lies outside it, for questions about other hours.
type Glazing struct {
	Name          string
	At            geom.Vec   // middle
	Frame         geom.Frame // N is where its light goes
	Width, Height float64    // metres
	Layer         int        // of its sky; -1 where it is dark now
	SunLayer      int        // of the sun that comes in by it; -1 where none does now
	outside       shoot.Outside
	measured      string // hour of a level stated without one: the setup's
	ground        float64
	pane          pane
	colour        *spectrum.Curve // of its sky at all hours, where the file states it
}

// lit notes the layer of its sky and, where the file states one, its colour.
func (g *Glazing) lit(layer int, o *shoot.Outside, colour spectrum.Curve) {
	g.Layer = layer
	if chromatic(o.Colour) {
		g.colour = &colour
	}
}

// Colours gives the colour of the sky outside in kelvin, and of what comes in of sky and sun, gels
// included. onPane is what the sky gives to the pane, lx.
func (g *Glazing) Colours(o *Outdoors, onPane float64) (kelvin float64, sky, sun spectrum.XYZ) {
	kelvin = o.KelvinOf(onPane)
	colour := spectrum.White(kelvin)
	if g.colour != nil {
		colour = *g.colour
		kelvin, _, _ = spectrum.CCTOhno2013(colour.XYZ().XY())
	}
	through := g.pane.filter
	return kelvin, colour.Mul(through).XYZ(), daylight.SunLight(o.Altitude, o.Weather.Turbidity).Mul(through).XYZ()
}

// glaze notes a window.
func (s *Stage) glaze(name string, c geom.Vec, f geom.Frame, w, h float64, o *shoot.Outside, p pane) {
	ground := 0.2
	if o.Ground != nil {
		ground = 0
		b := windowsOf(s.reflectance(o.Ground, ""))
		for _, v := range b {
			ground += float64(v) / float64(len(b))
		}
	}
	s.Glazings = append(s.Glazings, Glazing{Name: name, At: c, Frame: f, Width: w, Height: h, Layer: -1, SunLayer: -1,
		outside: *o, measured: s.Setup.At, ground: ground, pane: p})
}

// Outdoors is what lies before it at a clock time, in its own weather or, where one is named, in
// another. A level that the file states is kept at its hour in any weather. A sky without weather
// of its own ('uniform', or a level alone) goes as overcast.
func (g *Glazing) Outdoors(f *shoot.File, clock, condition string) (Outdoors, bool) {
	o := g.outside
	if o.Sky == "none" || o.Sky == "" && o.Luminance == 0 && o.Illuminance == 0 {
		return Outdoors{}, false
	}
	if o.Sky == "uniform" || o.Sky == "" {
		o.Sky = "overcast"
	}
	if o.Measured == "" {
		o.Measured = g.measured
	}
	if condition != "" {
		o.Sky, o.Turbidity = condition, 0
	}
	return OutdoorsOf(f, &o, clock, g.At, g.Frame.N, g.ground)
}

// offHour is how far a stated level may at least lie off its weather before that is said, stops: a
// heavy cloud takes as much.
const offHour = 1.5

// OffHour says where the level that the file states is none that its weather gives at a clock time,
// within twice its spread, and about when it does; empty where it may be so.
func (g *Glazing) OffHour(f *shoot.File, clock string) string {
	o, ok := g.Outdoors(f, clock, "")
	if !ok || o.Stated == 0 {
		return ""
	}
	off := math.Log2(o.Stated)
	if math.Abs(off) <= max(offHour, 2*o.Weather.Spread) {
		return ""
	}
	side, when := "under", ""
	if off > 0 {
		side = "over"
	}
	level := o.Level + o.Direct*max(0, o.Sun.Z)
	for minute := 12 * 60; minute < 24*60 && off < 0; minute += 5 {
		text := fmt.Sprintf("%02d:%02d", minute/60, minute%60)
		m := MomentOf(f, text)
		if o.Weather.Level(m.Altitude, m.Day)+o.Weather.Sun(m.Altitude, m.Day)*max(0, m.Sun.Z) <= level {
			when = "; it gives that at about " + text
			break
		}
	}
	article := "a"
	if o.Weather.Name == "overcast" {
		article = "an"
	}
	return fmt.Sprintf("the level stated outside %s is %.1f st %s what %s %s sky gives at %s%s", g.Name, math.Abs(off),
		side, article, o.Weather.Name, clock, when)
}

// Sun is the direct sun that comes through, lx at right angles to it.
func (g *Glazing) Sun(o *Outdoors) float64 {
	if g.pane.diffuse {
		return 0
	}
	return g.pane.straight * g.pane.gel * o.Beam() * g.pane.tau(math.Abs(o.Sun.Dot(g.Frame.N)))
}

// Through is the share of light that falls on the outside and comes in, near right angles.
func (g *Glazing) Through() float64 {
	return (g.pane.straight + g.pane.scattered) * g.pane.gel * g.pane.tau(0.8)
}

// SunFlux is what the direct sun brings in, scattered light included, lm.
func (g *Glazing) SunFlux(o *Outdoors) float64 {
	cos := max(0, -o.Sun.Dot(g.Frame.N))
	return o.Beam() * cos * g.Width * g.Height * g.pane.gel * (g.pane.straight + g.pane.scattered) * g.pane.tau(cos)
}

// Admits is where a ray from p towards the sun meets the opening; false where it passes beside it.
func (g *Glazing) Admits(p, sun geom.Vec) (geom.Vec, bool) {
	dn := sun.Dot(g.Frame.N)
	if dn >= 0 {
		return geom.Vec{}, false
	}
	t := g.At.Sub(p).Dot(g.Frame.N) / dn
	if !(t > 0) {
		return geom.Vec{}, false
	}
	q := p.AddMul(sun, t)
	d := g.Frame.In(q.Sub(g.At))
	return q, math.Abs(d.X) <= g.Width/2 && math.Abs(d.Y) <= g.Height/2
}

// Patch is the window's image in the sun on the floor (z = 0), by corners; nil where the sun does
// not come in or falls behind.
func (g *Glazing) Patch(sun geom.Vec) (out []geom.Vec) {
	if sun.Dot(g.Frame.N) >= 0 || sun.Z <= 0.01 {
		return nil
	}
	for _, q := range g.Corners() {
		out = append(out, q.AddMul(sun, -q.Z/sun.Z))
	}
	return out
}

// Corners are those of the pane, in order round it.
func (g *Glazing) Corners() (out []geom.Vec) {
	for _, c := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
		out = append(out, g.At.Add(g.Frame.Out(c[0]*g.Width/2, c[1]*g.Height/2, 0)))
	}
	return out
}

// Key is the content key of all that its daylight rests on but the sun's place.
func (g *Glazing) Key() content.Key {
	var h content.Hash
	o := &g.outside
	h.Text(g.Name + "\n" + o.Sky + "\n" + o.Measured + "\n" + g.measured)
	h.Bool(o.NoSun)
	h.Bool(g.pane.diffuse)
	h.Bool(g.Layer >= 0)
	h.Floats(g.At.X, g.At.Y, g.At.Z, g.Frame.N.X, g.Frame.N.Y, g.Frame.N.Z, g.Width, g.Height, g.ground,
		float64(o.Luminance), float64(o.Illuminance), o.Turbidity, g.pane.straight, g.pane.scattered, g.pane.gel,
		g.pane.tau(1), g.pane.tau(0.5))
	for _, s := range o.Stands {
		h.Text(s.Kind)
		h.Floats(float64(s.Distance), float64(s.Height), float64(s.Width), float64(s.Reflectance))
	}
	return h.Key()
}
