package answer

import (
	"context"
	"fmt"
	"image"
	"math"
	"slices"
	"strings"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/kit"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/sheet"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
)

// PlanWork says what plan to draw.
type PlanWork struct {
	Meter   meter.Work
	Picture image.Image // predicted, may be nil
	Letter  bool
	Feet    bool
	Sheet   int // number of this sheet, and of all
	Of      int
	Words   string // revision, may be empty
}

// Plan draws the lighting plan of one setup. The messages are the stage's and the cautions.
func (j *Job) Plan(ctx context.Context, setup int, w PlanWork) (*sheet.Drawing, *sheet.Plan, diag.List, error) {
	m, list, err := j.Meter(ctx, setup, w.Meter)
	if err != nil || m == nil {
		return nil, nil, list, err
	}
	return j.draw(ctx, m, list, w)
}

// draw is Plan of what has been metered.
func (j *Job) draw(ctx context.Context, m *Metered, list diag.List,
	w PlanWork) (*sheet.Drawing, *sheet.Plan, diag.List, error) {
	p, err := j.planOf(ctx, m, w)
	if err != nil {
		return nil, nil, list, err
	}
	list = append(list, j.Cautions(m.Stage)...)
	for _, c := range Together(list, Names(m.Stage.Setup)) {
		if c.Severity == diag.Caution || c.Severity == diag.Finding {
			p.Cautions = append(p.Cautions, sentence(c))
		}
	}
	if off := j.offWords(m.Stage.Setup); off != "" {
		p.Remarks = append(p.Remarks, off)
	}
	p.Cautions = append(p.Cautions, "Planning hints: the venue, local codes and licensed people decide.")
	opt := sheet.Options{Feet: w.Feet || j.File.House.Lengths == "feet"}
	if w.Letter {
		opt.Paper = sheet.Letter
	}
	d, err := sheet.Draw(*p, opt)
	return d, p, list, err
}

// lesser are points of the sitter that a sheet leaves out unless the look names them.
var lesser = []string{"forehead", "chin", "chest", "hands"}

// sentence says a message in one line for paper.
func sentence(m diag.Message) string {
	s := strings.ToUpper(m.Text[:1]) + m.Text[1:]
	if m.Fix != "" {
		s += ": " + m.Fix
	}
	return s + "."
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// tint gives a light's chromaticity after white balance, linear sRGB.
func tint(s *stage.Stage, c spectrum.Curve) [3]float64 {
	x := c.XYZ()
	if !(x.Y > 0) {
		return [3]float64{}
	}
	x = spectrum.XYZ{X: x.X / x.Y, Y: 1, Z: x.Z / x.Y}
	return spectrum.SRGB.Linear(spectrum.CAT16(s.White, spectrum.SRGB.XYZ([3]float64{1, 1, 1})).XYZ(x))
}

func (j *Job) planOf(ctx context.Context, m *Metered, w PlanWork) (*sheet.Plan, error) {
	s := m.Stage
	room := &j.File.Room
	p := &sheet.Plan{Picture: w.Picture}

	// The place.
	corners, ceiling := stage.Outline(room)
	for _, c := range corners {
		p.Room.Outline = append(p.Room.Outline, [2]float64{c.X, c.Y})
	}
	p.Room.Ceiling = ceiling
	for i := range room.Ceilings {
		z := &room.Ceilings[i]
		o := sheet.Overhead{Name: z.Name, Height: float64(z.Height)}
		for _, c := range z.Corners() {
			o.Outline = append(o.Outline, [2]float64{float64(c[0]), float64(c[1])})
		}
		p.Room.Parts = append(p.Room.Parts, o)
	}
	for _, v := range room.Windows {
		if v.InCeiling {
			p.Remarks = append(p.Remarks,
				fmt.Sprintf("%s: a window in the ceiling, %.2f × %.2f m from x %.2f, y %.2f.", capital(v.Name),
					float64(v.Size[0]), float64(v.Size[1]), float64(v.At[0]), float64(v.At[1])))
			continue
		}
		o := sheet.Opening{Name: v.Name, Wall: v.Wall, From: float64(v.From), Width: float64(v.Width),
			Sill: float64(v.Sill), Head: float64(v.Head)}
		if l := s.LayerNamed(v.Name); l >= 0 {
			o.Colour = tint(s, s.Layers[l].Spectrum)
		}
		p.Room.Windows = append(p.Room.Windows, o)
	}
	for _, d := range room.Doors {
		p.Room.Doors = append(p.Room.Doors, sheet.Door{Name: d.Name, Wall: d.Wall, From: float64(d.From),
			Width: float64(d.Width), Head: float64(d.Head),
			HingeFar: d.Hinge == "end", Outward: d.Swing == "out"})
	}
	for _, c := range room.Circuits {
		for k, at := range c.Outlets {
			name := strings.TrimPrefix(c.Name, "ring ")
			if len(c.Outlets) > 1 {
				name = fmt.Sprintf("%s%d", name, k+1)
			}
			p.Room.Outlets = append(p.Room.Outlets,
				sheet.Outlet{Name: name, At: [2]float64{float64(at[0]), float64(at[1])}})
		}
	}
	p.Objects = append(objectsOf(room.Objects), objectsOf(s.Setup.Objects)...)
	if len(corners) == 0 {
		p.Objects = slices.DeleteFunc(p.Objects, ground)
	}
	if n := j.File.Shoot.Place; n.Latitude != 0 || n.Longitude != 0 {
		// North on the plan is anticlockwise from +y; the sheet wants the bearing of +y clockwise
		// from north.
		b := math.Mod(float64(n.PlanNorth)+360, 360)
		p.North = &b
	}

	// Camera and sitter.
	face := geom.Vec{}
	if s.Sitter != nil {
		l := s.Sitter.Landmarks["face"]
		face = l.At
		t := s.Setup.Sitter
		name := capital(orDefault(t.Pose, "standing"))
		top, on := shoot.Footing(float64(t.At[0]), float64(t.At[1]), math.Inf(1), room.Objects,
			s.Setup.Objects)
		p.Sitters = []sheet.Sitter{{Name: "", At: [2]float64{float64(t.At[0]), float64(t.At[1])},
			Facing: math.Atan2(l.Normal.Y, l.Normal.X),
			Floor:  top, Stature: float64(t.Stature), Pose: sheet.Pose(orDefault(t.Pose, "standing")),
			Seat: float64(t.Seat)}}
		if p.Title.Subtitle = name; on != "" {
			p.Title.Subtitle += fmt.Sprintf(", %.2f m up on %s", top, on)
		}
		p.ContourHeight = face.Z
	} else {
		p.ContourHeight = 1.5
		if corners == nil && s.View != nil {
			p.ContourHeight = s.View.At.Z
		}
	}
	cam := m.Camera
	p.Exposure = sheet.Exposure{ISO: cam.ISO, Shutter: strings.TrimSuffix(cam.Shutter.String(), " s"),
		Aperture: cam.Aperture, Sync: cam.Sync.String()}
	if v := s.View; v != nil {
		c := &sheet.Camera{At: v.At, Aim: v.At.AddMul(v.Axis, float64(v.Focus)),
			HalfWidth:  math.Atan(float64(v.Format.Width) / (2 * float64(v.Lens))),
			HalfHeight: math.Atan(float64(v.Format.Height) / (2 * float64(v.Lens))),
			Near:       float64(m.Facts.Near), Far: float64(m.Facts.Far), FootR: 0.35}
		p.Camera = c
		p.Exposure.FocalMM, p.Exposure.LensHeight, p.Exposure.Distance = float64(v.Lens)*1000, q.Metres(v.At.Z), v.Focus
		p.Exposure.Sharp = m.Facts.Far - m.Facts.Near
		if s.Sitter != nil {
			if d, ok := s.ByMirror(face); ok {
				p.Exposure.Distance, p.Exposure.ByMirror = q.Metres(d), true
			}
		}
		if k := v.Set.WhiteBalance.Kelvin; k > 0 {
			p.Exposure.WhiteBalance = k
		} else if t, _, ok := spectrum.CCTOhno2013(s.White.XY()); ok {
			p.Exposure.WhiteBalance = q.Kelvin(math.Round(t/50) * 50)
		}
	}

	// Light.
	ref, of := contourReference(m)
	p.ContourOf = of
	fields, err := j.Fields(ctx, s.Index, p.ContourHeight, ref, w.Meter.Seed)
	if err != nil {
		return nil, err
	}
	p.ContourNote = "Direct light, without shadows of the sitter."
	for _, house := range []bool{false, true} { // what is to be built comes first
		for i := range s.Layers {
			if (s.Layers[i].Light < 0) != house {
				continue
			}
			l := j.planLight(m, i)
			if i < len(fields) {
				l.Field = fields[i]
			}
			p.Lights = append(p.Lights, l)
		}
	}
	p.Lights = group(p.Lights)
	for _, b := range s.Panels {
		p.Panels = append(p.Panels, sheet.Panel{Kind: sheet.PanelKind(b.Form), Name: b.Name, At: b.At,
			Normal: b.Frame.N, Width: float64(b.Panel.Size[0]), Height: float64(b.Panel.Size[1]),
			Stand: j.standAt(s, b.At, b.At.Z, 0.35)})
	}

	// Readings, remarks, title.
	var names []string
	for i, r := range m.Readings {
		name := r.Name
		if r.Receptor == "spot" {
			name += ", spot"
		}
		if m.Stage.Points[i].Path == "" && slices.Contains(lesser, r.Name) && !s.Wished(r.Name) {
			continue // on the screen and in the table of meter; the sheet keeps to what a crew holds the meter at
		}
		p.Readings = append(p.Readings, sheet.Reading{Point: name, N: r.FNumber, Over: r.Stops, HasOver: !r.Dark,
			Sigma: max(r.Error, r.Uncertainty)})
		names = append(names, r.Name)
	}
	for i, name := range names {
		p.Readings[i].Wanted = wanted(s, name, names)
	}
	p.Remarks = append(p.Remarks, remarks(m)...)
	h := j.File.House
	p.Meter = []string{fmt.Sprintf("C %g lx·s flat, %g dome; K %g; q %g. Dome at the face toward camera and key.",
		h.FlatC, h.DomeC, h.K, h.CameraQ)}
	if len(corners) > 0 {
		p.Origin = []string{"x, y from the outline's first corner, x along wall 1; heights from the floor; metres."}
	}
	if j.File.Shoot.Notes != "" {
		p.Origin = append(p.Origin, strings.TrimSpace(j.File.Shoot.Notes))
	}
	p.Title.Shoot, p.Title.Setup, p.Title.Sheet, p.Title.Of, p.Title.Revision = j.File.Shoot.Title, s.Setup.Name,
		max(1, w.Sheet), max(1, w.Of), w.Words
	p.Title.For = strings.TrimSpace(s.Setup.Clock() + "  " + j.File.Shoot.Date)
	return p, nil
}

// ground reports whether a thing is the ground of a place without walls: it is the paper itself.
func ground(o sheet.Object) bool {
	if o.Hi > 0.03 || len(o.Foot) < 3 {
		return false
	}
	area := 0.0
	for i, a := range o.Foot {
		b := o.Foot[(i+1)%len(o.Foot)]
		area += (a[0]*b[1] - b[0]*a[1]) / 2
	}
	return math.Abs(area) > 12 // m²: more than a car or a rug covers
}

func orDefault(s, d string) string {
	if s == "" {
		return d
	}
	return s
}

// contourReference is what 0 means on the plan: the key's own light at
// the face; else all light there; else the brightest point.
func contourReference(m *Metered) (float64, string) {
	for _, want := range []string{"face toward key", "face key side", "face toward camera"} {
		for _, r := range m.Readings {
			if r.Name != want || r.Dark {
				continue
			}
			if k := m.Stage.LayerNamed("key"); k >= 0 && m.Stage.Layers[k].Light >= 0 && r.Lights[k].Share > 0 {
				return r.Lights[k].Share * r.Exposure, "the key at the face"
			}
			return r.Exposure, "all light at the face"
		}
	}
	best := 0.0
	for _, r := range m.Readings {
		if r.Receptor != "spot" {
			best = max(best, r.Exposure)
		}
	}
	return best, "the brightest reading"
}

// flatFoot is the outline from above of a flat rectangle,
// drawn 2 cm thick so that an upright one shows.
func flatFoot(f *shoot.FlatShape) (pts []geom.Vec, lo, hi float64) {
	c := geom.V(float64(f.At[0]), float64(f.At[1]), float64(f.At[2]))
	w, h := float64(f.Size[0]), float64(f.Size[0])
	if len(f.Size) > 1 {
		h = float64(f.Size[1])
	}
	n := geom.Of(f.Facing.Vec).Unit()
	if d, ok := map[string]geom.Vec{"x+": {X: 1}, "x-": {X: -1}, "y+": {Y: 1}, "y-": {Y: -1}, "up": {Z: 1},
		"down": {Z: -1}, "z+": {Z: 1}, "z-": {Z: -1}}[f.Facing.Word]; ok {
		n = d
	}
	if n.Len2() == 0 {
		return nil, 0, 0
	}
	fr := geom.UprightFrame(n).Roll(f.Roll.Radians())
	// The rectangle's own corners, from above, and 2 cm of thickness behind it.
	half := fr.S.Mul(w / 2)
	rise := fr.T.Mul(h / 2)
	depth := geom.V(n.X, n.Y, 0).Mul(-0.02)
	flat := geom.V(rise.X, rise.Y, 0)
	lo, hi = c.Z-math.Abs(rise.Z)-math.Abs(half.Z), c.Z+math.Abs(rise.Z)+math.Abs(half.Z)
	for _, p := range []geom.Vec{half.Neg().Sub(flat), half.Sub(flat), half.Add(flat).Add(depth),
		half.Neg().Add(flat).Add(depth)} {
		pts = append(pts, geom.V(c.X+p.X, c.Y+p.Y, 0))
	}
	return pts, lo, hi
}

func ring(c geom.Vec, r float64) (out []geom.Vec) {
	for k := range 24 {
		s, x := math.Sincos(2 * math.Pi * float64(k) / 24)
		out = append(out, c.Add(geom.V(r*x, r*s, 0)))
	}
	return
}

// standAt is a stand whose column is at a place and holds something at a height, on what is there.
func (j *Job) standAt(s *stage.Stage, at geom.Vec, high, radius float64) *sheet.Stand {
	top, on := shoot.Footing(at.X, at.Y, high, j.File.Room.Objects, s.Setup.Objects)
	return &sheet.Stand{At: [2]float64{at.X, at.Y}, Radius: radius, Floor: top, On: on}
}

// planLight says one layer to the sheet.
func (j *Job) planLight(m *Metered, i int) sheet.Light {
	s := m.Stage
	l := &s.Layers[i]
	out := sheet.Light{Role: capital(l.Name), Colour: tint(s, l.Spectrum), Kind: sheet.Continuous}
	switch l.Kind {
	case stage.Flash:
		out.Kind = sheet.Flash
	case stage.Daylight:
		out.Kind = sheet.Daylight
	}
	if l.Flash {
		out.Kind = sheet.Flash
	}
	shapes := map[string]sheet.Shape{"rectangle": sheet.Rectangle, "disc": sheet.Round, "sphere": sheet.Ball,
		"tube": sheet.Tube, "point": sheet.Ball, "polygon": sheet.Rectangle}
	for _, b := range l.Bodies {
		y := sheet.Body{At: b.At, Aim: b.At.Add(b.Frame.N), Shape: shapes[b.Shape], Width: b.Width, Height: b.Height,
			Depth: b.Depth}
		if k, ok := kind.FindModifier(l.Form); ok && (b.Shape == "rectangle" || b.Shape == "disc" ||
			b.Shape == k.Shape) {
			y.Symbol = k.Symbol
			if b.Shape == "sphere" {
				y.Depth = b.Width
			}
		}
		if b.Shape == "point" {
			y.Width, y.Height, y.Depth = 0.1, 0.1, 0
		}
		if b.Shape == "tube" {
			// Across the aim: the sheet draws a tube's length along its own level axis.
			y.Roll = math.Atan2(b.Frame.S.Z, math.Hypot(b.Frame.S.X, b.Frame.S.Y))
			n := b.Frame.S.Cross(geom.V(0, 0, 1))
			if n.Len2() > 1e-9 {
				y.Aim = b.At.Add(n.Unit())
			}
		}
		out.Bodies = append(out.Bodies, y)
	}
	if l.Light < 0 {
		out.Fixed, out.Dial = true, "as found"
		switch l.Kind {
		case stage.Daylight:
			out.Dial = orDefault(s.Setup.Clock(), "as found")
			out.Where = "window"
			out.Bodies = nil
			out.Words = j.windowWords(l.Name)
		default:
			out.Where = "house"
			out.Words, out.Dial = j.practicalWords(s.Setup, l.Name)
			if n := len(out.Bodies); n > 1 {
				out.Role = fmt.Sprintf("%s ×%d", out.Role, n)
			}
		}
		return out
	}
	w := &s.Setup.Lights[l.Light]
	out.NoAim = true
	if len(out.Bodies) > 0 && l.Target != nil && l.Target.Sub(l.Bodies[0].At).Len() > 0.01 {
		out.Bodies[0].Aim, out.NoAim = *l.Target, false
	}
	var words []string
	for _, x := range []string{w.Head, w.Modifier, w.Grid} {
		if x != "" && x != "bare" {
			words = append(words, x)
		}
	}
	for _, g := range w.Gel {
		words = append(words, g+" gel")
	}
	if w.Emitter != nil {
		words = append(words, "bare emitter, "+w.Emitter.Shape)
	}
	if w.Colour.Like != "" {
		words = append(words, "colour like "+strings.TrimPrefix(w.Colour.Like, "practicals."))
	} else if w.Colour.Kelvin > 0 {
		words = append(words, w.Colour.Kelvin.String())
	}
	out.Words = strings.Join(words, ", ")
	if len(l.Bodies) > 0 {
		b := l.Bodies[0]
		out.Stand = j.standAt(s, b.At, b.At.Z, 0.45)
		if t := l.Standing; t != nil {
			out.Stand = j.standAt(s, t.Foot, b.At.Z, t.Footprint/2)
		}
	}
	out.Feed = feed(w.Outlet, l.Source)
	if w.Head == "" && w.Stand == "" {
		// A light told by its figures alone is of the place, or the crew's own: no kit has it.
		out.Fixed, out.Stand, out.Where, out.Dial = true, nil, "as found, or your own", "as found"
		if w.Level != nil && *w.Level < 1 {
			out.Dial = w.Level.String()
		}
		return out
	}
	if l.Source != nil {
		out.Dial = strings.ReplaceAll(l.Source.Dialled, " - ", " − ")
	} else {
		out.Dial = orDefault(w.Power, "full")
		if w.Level != nil {
			out.Dial = w.Level.String()
		}
	}
	return out
}

// feed says where a light has its power from; empty where the shoot says nothing of it.
func feed(outlet string, s *kit.Source) string {
	out := ""
	switch {
	case outlet != "":
		out = outlet
	case s == nil:
		return ""
	case s.Battery:
		return "battery"
	case s.Mains:
		out = "mains, outlet to find"
	default:
		return ""
	}
	if s != nil && s.Watts > 0 {
		out += ", " + s.Watts.String()
	}
	return out
}

func (j *Job) windowWords(name string) string {
	for _, w := range j.File.Room.Windows {
		if strings.EqualFold(w.Name, name) {
			wide, high := float64(w.Width), float64(w.Head-w.Sill)
			if w.InCeiling {
				wide, high = float64(w.Size[0]), float64(w.Size[1])
			}
			return fmt.Sprintf("%.2f × %.2f m, glass: %s", wide, high, orDefault(w.Glass, "single clear"))
		}
	}
	return "opening"
}

// wanted says in a few letters what the look asks of a point: a level in
// the picture, an incident reading, or a step to another point, which goes by its number on the
// sheet, from 1, where it stands there.
func wanted(s *stage.Stage, point string, listed []string) string {
	called := func(other string) string {
		if i := slices.IndexFunc(listed, func(n string) bool { return strings.EqualFold(n, other) }); i >= 0 {
			return fmt.Sprint(i + 1)
		}
		return strings.TrimPrefix(other, "face ")
	}
	for i := range s.Setup.Look {
		w := &s.Setup.Look[i]
		if !strings.EqualFold(w.Point, point) {
			continue
		}
		switch {
		case w.Stops != nil:
			return plus(float64(*w.Stops))
		case w.Reads != nil:
			return w.Reads.N.String()
		case w.Above != "":
			return plus(float64(w.By)) + " on " + called(w.Above)
		case w.Below != "":
			return plus(-float64(w.By)) + " on " + called(w.Below)
		case w.Ratio != "":
			return w.Ratio
		case w.Darkest != nil && w.Brightest != nil:
			return plus(float64(*w.Darkest)) + " to " + plus(float64(*w.Brightest))
		case w.Darkest != nil:
			return "from " + plus(float64(*w.Darkest))
		case w.Brightest != nil:
			return "to " + plus(float64(*w.Brightest))
		}
	}
	return ""
}

func plus(v float64) string {
	return strings.ReplaceAll(fmt.Sprintf("%+.1f", v+0), "-", "−")
}

// remarks says what the prediction wants said.
func remarks(m *Metered) (out []string) {
	f := &m.Facts
	if r := f.Ratio; r != nil {
		out = append(out, ratioWords(r))
	}
	for _, l := range f.Lights {
		if k := m.Stage.LayerNamed("key"); k >= 0 && m.Stage.Layers[k].Name == l.Name {
			s := fmt.Sprintf("Key: %s, %.0f° round from the nose, %.0f° above", l.Pattern.Words(),
				math.Abs(float64(l.Pattern.Around)), float64(l.Pattern.Above))
			if l.Catchlight != nil && l.Catchlight.OnIris {
				s += fmt.Sprintf("; catchlight at %.0f o'clock", math.Round(l.Catchlight.Hour))
			}
			out = append(out, s+"; "+l.Softness+".")
		}
	}
	if f.Lit < 1 && slices.ContainsFunc(m.Stage.Layers, func(l stage.Layer) bool { return l.Flash }) {
		out = append(out, fmt.Sprintf("Shutter beyond sync: the flash reaches %.0f %% of the frame.", f.Lit*100))
	}
	for _, k := range f.Flicker {
		out = append(out, capital(FlickerWords(&k))+".")
	}
	worst := 0.0
	for _, r := range m.Readings {
		worst = max(worst, float64(max(r.Error, r.Uncertainty)))
	}
	if worst > 0.5 {
		out = append(out, fmt.Sprintf("Readings are known to ±%.1f stops at worst.", worst))
	}
	if s := RestsOn(m.JSON().Layers); s != "" {
		out = append(out, s)
	}
	if m.Measured.Stopped {
		out = append(out, "Computed in a hurry: readings marked ± are not settled.")
	}
	return out
}
