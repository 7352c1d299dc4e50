package sheet

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"halfstop/geom"
)

// Limits of what is drawn. A plan beyond them most likely has a wrong unit.
const (
	farthest  = 1000.0  // m from the origin
	mostNodes = 1 << 20 // nodes of one field
	mostItems = 400     // of one kind
	longest   = 2000    // letters of one text
)

type checker struct{ errs []error }

func (c *checker) bad(format string, a ...any) {
	if len(c.errs) < 20 {
		c.errs = append(c.errs, fmt.Errorf(format, a...))
	}
}

func (c *checker) number(what string, v ...float64) {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			c.bad("%s is not a number: give metres (or radians) as a finite figure", what)
			return
		}
		if math.Abs(x) > farthest {
			c.bad("%s is %.4g, farther than %.0f m: give metres, not millimetres, from the room's corner", what, x,
				farthest)
			return
		}
	}
}

func (c *checker) point(what string, p geom.Vec) { c.number(what, p.X, p.Y, p.Z) }

func (c *checker) length(what string, v float64) {
	c.number(what, v)
	if v < 0 {
		c.bad("%s is %.3g m: a size cannot be negative", what, v)
	}
}

func (c *checker) count(what string, n, most int) {
	if n > most {
		c.bad("%d %s, at most %d fit a sheet: draw fewer", n, what, most)
	}
}

// check returns one error with everything that cannot be drawn.
func check(p *Plan, opt Options) error {
	c := &checker{}
	if opt.Paper > Letter {
		c.bad("paper %d is unknown: use A4 or Letter", opt.Paper)
	}
	if opt.Scale < 0 || opt.Scale > 5000 {
		c.bad("scale 1:%d: give 1:1 to 1:5000, or 0 for the largest standard scale that fits", opt.Scale)
	}
	if opt.Date != "" {
		if len(opt.Date) != 14 || strings.Trim(opt.Date, "0123456789") != "" {
			c.bad("date %q: write YYYYMMDDhhmmss", opt.Date)
		}
	}
	c.count("lights", len(p.Lights), 60)
	c.count("readings", len(p.Readings), mostItems)
	c.count("objects", len(p.Objects), mostItems)
	c.count("panels", len(p.Panels), 60)
	c.count("sitters", len(p.Sitters), 20)
	c.count("outlets", len(p.Room.Outlets), 100)
	c.count("cautions", len(p.Cautions), mostItems)
	c.count("remarks", len(p.Remarks), mostItems)
	for _, s := range p.words() {
		if len(s) > longest {
			c.bad("a text of %d letters (%q…): at most %d fit", len(s), s[:24], longest)
		}
	}
	if len(c.errs) == 0 {
		checkRoom(c, &p.Room)
		checkThings(c, p)
		checkLights(c, p)
	}
	if len(c.errs) > 0 {
		return fmt.Errorf("the lighting plan cannot be drawn: %w", errors.Join(c.errs...))
	}
	return nil
}

func checkRoom(c *checker, r *Room) {
	if n := len(r.Outline); n > 0 && n < 3 {
		c.bad("the room's outline has %d corners: give at least three, or none for no room", n)
	}
	c.count("corners of the room", len(r.Outline), mostItems)
	for i, q := range r.Outline {
		c.number(fmt.Sprintf("corner %d of the room", i+1), q[0], q[1])
	}
	c.length("the ceiling height", r.Ceiling)
	c.length("the wall thickness", r.Wall)
	c.count("parts of the ceiling", len(r.Parts), 100)
	for _, o := range r.Parts {
		c.length("the height of a part of the ceiling", o.Height)
		c.count("corners of a part of the ceiling", len(o.Outline), mostItems)
		for _, q := range o.Outline {
			c.number("a corner of a part of the ceiling", q[0], q[1])
		}
	}
	if len(c.errs) > 0 {
		return
	}
	if len(r.Outline) >= 3 {
		pts := make([]xy, len(r.Outline))
		for i, q := range r.Outline {
			pts[i] = xy{q[0], q[1]}
		}
		if math.Abs(areaOf(pts)) < 0.01 {
			c.bad("the room's outline has no area: give its corners in order round the room")
		}
	}
	span := func(what string, wall int, from, width float64) {
		c.number(what, from, width)
		if wall < 1 || wall > len(r.Outline) {
			c.bad("%s is in wall %d: the room has walls 1 to %d", what, wall, len(r.Outline))
			return
		}
		a, b := r.Outline[wall-1], r.Outline[wall%len(r.Outline)]
		l := math.Hypot(b[0]-a[0], b[1]-a[1])
		if !(width > 0) || from < -1e-6 || from+width > l+0.01 {
			c.bad("%s runs from %.2f to %.2f m along wall %d, which is %.2f m long: move or narrow it", what, from,
				from+width, wall, l)
		}
	}
	c.count("windows", len(r.Windows), 100)
	c.count("doors", len(r.Doors), 100)
	for i, o := range r.Windows {
		what := fmt.Sprintf("window %d %q", i+1, o.Name)
		span(what, o.Wall, o.From, o.Width)
		c.number(what+", sill and head", o.Sill, o.Head)
		if o.Head <= o.Sill {
			c.bad("%s has its head at %.2f m, not over its sill at %.2f m", what, o.Head, o.Sill)
		}
	}
	for i, o := range r.Doors {
		what := fmt.Sprintf("door %d %q", i+1, o.Name)
		span(what, o.Wall, o.From, o.Width)
		c.length(what+", head", o.Head)
	}
	for i, o := range r.Outlets {
		c.number(fmt.Sprintf("outlet %d %q", i+1, o.Name), o.At[0], o.At[1])
	}
}

func checkThings(c *checker, p *Plan) {
	for i, o := range p.Objects {
		what := fmt.Sprintf("object %d %q", i+1, o.Name)
		c.count("corners of "+what, len(o.Foot), 2000)
		for _, q := range o.Foot {
			c.number(what, q[0], q[1])
		}
		c.number(what+", its heights", o.Lo, o.Hi)
	}
	for i, s := range p.Sitters {
		what := fmt.Sprintf("sitter %d", i+1)
		c.number(what, s.At[0], s.At[1], s.Floor, s.Facing)
		c.length(what+", stature", s.Stature)
		c.length(what+", seat", s.Seat)
		switch s.Pose {
		case "", PoseStanding, PoseSeated, PoseLeaning:
		default:
			c.bad("%s has the pose %q: write standing, seated or leaning", what, s.Pose)
		}
	}
	if m := p.Camera; m != nil {
		c.point("the camera's place", m.At)
		c.point("the camera's aim", m.Aim)
		c.number("the camera's view", m.HalfWidth, m.HalfHeight, m.Near, m.FootR)
		if math.IsNaN(m.Far) {
			c.bad("the far end of what is sharp is not a number: give metres or +Inf")
		}
	}
	for i, n := range p.Panels {
		what := fmt.Sprintf("panel %d %q", i+1, n.Name)
		c.point(what, n.At)
		c.point(what+", its direction", n.Normal)
		c.length(what+", width", n.Width)
		c.length(what+", height", n.Height)
		checkStand(c, what, n.Stand)
	}
	c.number("the contours' height", p.ContourHeight)
	if p.North != nil {
		if math.IsNaN(*p.North) || math.IsInf(*p.North, 0) {
			c.bad("the plan's north is not a number: give degrees")
		}
	}
	if m := p.Camera; m != nil && (m.FootR < 0 || m.FootR > 5) {
		c.bad("the camera's feet have a radius of %.1f m: give 0 to 5", m.FootR)
	}
	if m := p.Picture; m != nil {
		b := m.Bounds()
		if b.Empty() || b.Dx() > 20000 || b.Dy() > 20000 {
			c.bad("the predicted picture is %d × %d pixels: give 1 to 20000 each way", b.Dx(), b.Dy())
		}
	}
}

func checkStand(c *checker, what string, s *Stand) {
	if s != nil {
		c.number(what+", its stand", s.At[0], s.At[1])
		c.length(what+", its stand's feet", s.Radius)
		if s.Radius > 5 {
			c.bad("%s has a stand with feet of %.1f m radius: give metres, at most 5", what, s.Radius)
		}
		c.length(what+", its stand's height", s.Top)
		c.number(what+", what its stand stands on", s.Floor)
	}
}

func checkLights(c *checker, p *Plan) {
	for i, l := range p.Lights {
		what := fmt.Sprintf("light %d %q", i+1, l.Role)
		c.count("bodies of "+what, len(l.Bodies), 50)
		c.count("contour levels of "+what, len(l.Levels), 30)
		for _, b := range l.Bodies {
			c.point(what+", its place", b.At)
			c.point(what+", its aim", b.Aim)
			c.length(what+", width", b.Width)
			c.length(what+", height", b.Height)
			c.length(what+", depth", b.Depth)
			c.number(what+", roll", b.Roll)
			switch b.Shape {
			case "", Round, Octagon, Rectangle, Ball, Tube, Umbrella:
			default:
				c.bad("%s has the shape %q: write round, octagon, rectangle, ball, tube or umbrella", what, b.Shape)
			}
		}
		checkStand(c, what, l.Stand)
		f := l.Field
		if f == nil {
			continue
		}
		c.number(what+", its field", f.X0, f.Y0, f.DX, f.DY)
		switch {
		case f.NX < 2 || f.NY < 2 || f.NX > mostNodes || f.NY > mostNodes || f.NX*f.NY > mostNodes:
			c.bad("%s has a field of %d × %d nodes: give 2 × 2 to %d in all", what, f.NX, f.NY, mostNodes)
		case len(f.Stops) != f.NX*f.NY:
			c.bad("%s has a field of %d × %d nodes but %d values: give one a node, row by row", what, f.NX, f.NY,
				len(f.Stops))
		case !(f.DX > 0) || !(f.DY > 0):
			c.bad("%s has a field with steps of %g and %g m: both must be over zero", what, f.DX, f.DY)
		}
	}
}

// words lists all text of a plan.
func (p *Plan) words() []string {
	out := []string{p.Title.Shoot, p.Title.Setup, p.Title.Drawing, p.Title.Subtitle, p.Title.For, p.Title.Revision,
		p.Exposure.Shutter, p.Exposure.Sync, p.ContourOf, p.ContourNote}
	for _, list := range [][]string{p.Remarks, p.Cautions, p.Origin, p.Meter} {
		out = append(out, list...)
	}
	for _, l := range p.Lights {
		out = append(out, l.Role, l.Words, l.Size, l.Where, l.Dial, l.Feed)
	}
	for _, n := range p.Panels {
		out = append(out, n.Name, string(n.Kind))
	}
	for _, r := range p.Readings {
		out = append(out, r.Point)
	}
	for _, o := range p.Objects {
		out = append(out, o.Name)
	}
	for _, s := range p.Sitters {
		out = append(out, s.Name)
	}
	for _, o := range p.Room.Outlets {
		out = append(out, o.Name)
	}
	for _, o := range p.Room.Windows {
		out = append(out, o.Name)
	}
	return out
}
