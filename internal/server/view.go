package server

import (
	"fmt"
	"math"
	"strings"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/ways"
	"halfstop/yamltext"
)

// viewOf describes one setup of a model. s is nil where the setup
// cannot be built; old, if not nil, is then what could last be.
func viewOf(m *model, index int, s *stage.Stage, list diag.List, old *SetupView) *SetupView {
	f := m.job.File
	w := &f.Setups[index]
	if s == nil {
		v := &SetupView{Objects: []ObjectView{}, Lights: []LightView{}, Panels: []PanelView{}, Points: []PointView{},
			Look: []WishView{}, Off: []string{}}
		if old != nil {
			c := *old
			v = &c
		} else {
			v.Room = roomView(m, w)
		}
		v.Revision, v.Index, v.Path, v.Name, v.Built, v.Messages = m.rev, index, fmt.Sprintf("setups[%d]", index),
			w.Name, false, placed(m.job.Doc, list)
		return v
	}
	v := &SetupView{Revision: m.rev, Index: index, Path: fmt.Sprintf("setups[%d]", index), Name: w.Name,
		Priority: w.Priority, Time: w.At, Notes: w.Notes, Built: true,
		Messages: placed(m.job.Doc, append(append(diag.List{}, list...), m.job.Cautions(s)...)), Room: roomView(m, w),
		Objects: []ObjectView{}, Panels: []PanelView{}, Points: []PointView{}, Off: some(w.Off)}
	v.Objects = append(objectViews(f.Room.Objects, "room.objects"), objectViews(w.Objects, v.Path+".objects")...)
	v.Lights = lightViews(m, s, v.Path)
	for _, p := range s.Panels {
		v.Panels = append(v.Panels, PanelView{Name: p.Name, Path: p.Path, Kind: p.Panel.Kind, Face: p.Panel.Face,
			At: p.At.Array(), AtCount: len(p.Panel.At),
			Normal: p.Frame.N.Array(), Side: p.Frame.S.Array(), Up: p.Frame.T.Array(),
			Width: float64(p.Panel.Size[0]), Height: float64(p.Panel.Size[1]), Aim: p.Aim.Array(),
			AimName: p.Panel.Aim.Name})
	}
	if s.Sitter != nil {
		v.Sitter = sitterView(s, v.Path)
	}
	if s.View != nil {
		v.Camera = cameraView(m, s, v.Path)
	}
	for _, p := range s.Points {
		o := PointView{Name: p.Name, Path: p.Path, Receptor: p.Receptor, Sitter: p.Sitter, At: p.At.Array(),
			Normal: p.Normal.Array(), Seen: p.Seen != nil}
		if s.View != nil {
			at := p.At
			if p.Sitter { // where the camera sees the sitter in a mirror, so are their points
				at = s.View.Sight(at)
			}
			if x, y, _, ok := s.View.Project(at); ok && x >= 0 && x <= 1 && y >= 0 && y <= 1 {
				o.Picture = &[2]float64{x, y}
			}
		}
		v.Points = append(v.Points, o)
	}
	v.Look = lookViews(m, s, v.Path)
	if c := w.Cover; c != nil {
		v.Cover = &CoverView{Path: v.Path + ".cover", Title: float64(c.Title), Margin: float64(c.Margin),
			Lines: c.Lines, Column: float64(c.Column)}
	}
	var had *HoursView
	if old != nil {
		had, v.hoursKey = old.Hours, old.hoursKey
	}
	v.Hours, v.hoursKey = hoursView(m, s, index, had, v.hoursKey)
	if h := w.Haze; h != nil {
		v.Haze = &HazeView{Path: v.Path + ".haze", Visibility: float64(h.Visibility)}
		if s.Scene.Medium != nil {
			v.Haze.Extinction = s.Scene.Medium.Extinction
		}
	}
	return v
}

// some gives a list that is never null in JSON.
func some[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}

// texts gives words of a closed set as plain text; never nil.
func texts[S ~string](l []S) []string {
	out := make([]string, len(l))
	for i, s := range l {
		out[i] = string(s)
	}
	return out
}

func metres2(a [2]q.Metres) [2]float64 { return [2]float64{float64(a[0]), float64(a[1])} }
func metres3(a [3]q.Metres) [3]float64 {
	return [3]float64{float64(a[0]), float64(a[1]), float64(a[2])}
}

func roomView(m *model, w *shoot.Setup) RoomView {
	f := m.job.File
	r := &f.Room
	corners, ceiling := stage.Outline(r)
	v := RoomView{Outline: [][2]float64{}, Ceiling: ceiling, Ceilings: []CeilingView{},
		Windows: []OpeningView{}, Doors: []OpeningView{},
		Practicals: []PracticalView{}, Circuits: []CircuitView{},
		Detectors: [][3]float64{}, Exits: [][2]float64{}, North: float64(f.Shoot.Place.PlanNorth)}
	for _, c := range corners {
		v.Outline = append(v.Outline, [2]float64{c.X, c.Y})
	}
	for i := range r.Ceilings {
		z := &r.Ceilings[i]
		x := CeilingView{Name: z.Name, Path: fmt.Sprintf("room.ceilings[%d]", i), Height: float64(z.Height)}
		for _, c := range z.Corners() {
			x.Outline = append(x.Outline, metres2(c))
		}
		v.Ceilings = append(v.Ceilings, x)
	}
	hole := func(wall int, from, width, sill, head float64) [][3]float64 {
		a, dir, _, _, ok := stage.Wall(corners, wall)
		if !ok {
			return [][3]float64{}
		}
		p, e := a.AddMul(dir, from), a.AddMul(dir, from+width)
		return [][3]float64{{p.X, p.Y, sill}, {e.X, e.Y, sill}, {e.X, e.Y, head}, {p.X, p.Y, head}}
	}
	for i, o := range r.Windows {
		x := OpeningView{Name: o.Name, Path: fmt.Sprintf("room.windows[%d]", i), Wall: o.Wall, From: float64(o.From),
			Width: float64(o.Width), Sill: float64(o.Sill), Head: float64(o.Head), Glass: o.Glass}
		if o.InCeiling {
			x.Wall = 0
			a, z := metres2(o.At), metres2(o.Size)
			ceiling := stage.CeilingAt(r, a[0]+z[0]/2, a[1]+z[1]/2)
			x.Corners = [][3]float64{{a[0], a[1], ceiling}, {a[0] + z[0], a[1], ceiling},
				{a[0] + z[0], a[1] + z[1], ceiling}, {a[0], a[1] + z[1], ceiling}}
		} else {
			x.Corners = hole(o.Wall, x.From, x.Width, x.Sill, x.Head)
		}
		v.Windows = append(v.Windows, x)
	}
	for i, o := range r.Doors {
		v.Doors = append(v.Doors, OpeningView{Name: o.Name, Path: fmt.Sprintf("room.doors[%d]", i), Wall: o.Wall,
			From: float64(o.From), Width: float64(o.Width), Head: float64(o.Head), Hinge: o.Hinge, Swing: o.Swing,
			Corners: hole(o.Wall, float64(o.From), float64(o.Width), 0, float64(o.Head))})
	}
	for i := range r.Practicals {
		p := &r.Practicals[i]
		x := PracticalView{Name: p.Name, Path: fmt.Sprintf("room.practicals[%d]", i), Kind: p.Kind,
			Line: [][3]float64{}, Off: p.Off || isOff(w, p.Name)}
		for _, c := range p.Path {
			x.Line = append(x.Line, metres3(c))
		}
		if p.At != nil {
			x.Line = append(x.Line, metres3(*p.At))
		}
		v.Practicals = append(v.Practicals, x)
	}
	for _, c := range r.Circuits {
		x := CircuitView{Name: c.Name, Volts: float64(c.Volts), Amps: float64(c.Amps), Load: float64(c.Load),
			Outlets: [][2]float64{}}
		for _, o := range c.Outlets {
			x.Outlets = append(x.Outlets, metres2(o))
		}
		v.Circuits = append(v.Circuits, x)
	}
	for _, d := range r.Detectors {
		v.Detectors = append(v.Detectors, metres3(d))
	}
	for _, x := range r.Exits {
		v.Exits = append(v.Exits, metres2(x))
	}
	return v
}

func isOff(w *shoot.Setup, name string) bool {
	for _, o := range w.Off {
		if strings.EqualFold(o, name) || strings.EqualFold(o, "practicals."+name) ||
			strings.EqualFold(o, "windows."+name) {
			return true
		}
	}
	return false
}

// objectViews gives what solid things look like from above.
func objectViews(list []shoot.Object, path string) []ObjectView {
	out := []ObjectView{}
	for i := range list {
		o := &list[i]
		v := ObjectView{Name: o.Name, Path: fmt.Sprintf("%s[%d]", path, i), Foot: [][2]float64{}}
		sn, cs := math.Sincos(o.Turn.Radians())
		ring := func(x, y, d float64) {
			for k := range 24 {
				s, c := math.Sincos(2 * math.Pi * float64(k) / 24)
				v.Foot = append(v.Foot, [2]float64{x + d/2*c, y + d/2*s})
			}
		}
		flat := func(p *shoot.FlatShape) {
			n := geom.Of(p.Facing.Vec)
			if n.Len2() == 0 {
				n = geom.V(0, 0, 1)
				if w := p.Facing.Word; len(w) == 2 {
					d := map[byte]geom.Vec{'x': geom.V(1, 0, 0), 'y': geom.V(0, 1, 0), 'z': n}[w[0]]
					if w[1] == '-' {
						d = d.Neg()
					}
					n = d
				}
			}
			if !(n.Len2() > 0) {
				return
			}
			fr := geom.UprightFrame(n.Unit()).Roll(p.Roll.Radians())
			w, h := float64(p.Size[0]), float64(p.Size[len(p.Size)-1])
			c := geom.Of(metres3(p.At))
			b := geom.Empty()
			for _, k := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
				x := c.AddMul(fr.S, k[0]*w/2).AddMul(fr.T, k[1]*h/2)
				v.Foot = append(v.Foot, [2]float64{x.X, x.Y})
				b = b.Grow(x)
			}
			v.Lo, v.Hi = b.Lo.Z, b.Hi.Z
		}
		switch {
		case o.Box != nil && o.Box.Inside:
			continue
		case o.Box != nil:
			x, y := float64(o.Box.Size[0]), float64(o.Box.Size[1])
			ax, ay := float64(o.Box.At[0]), float64(o.Box.At[1])
			for _, c := range [4][2]float64{{0, 0}, {x, 0}, {x, y}, {0, y}} {
				v.Foot = append(v.Foot, [2]float64{ax + c[0]*cs - c[1]*sn, ay + c[0]*sn + c[1]*cs})
			}
			if len(o.Box.At) > 2 {
				v.Lo = float64(o.Box.At[2])
			}
			v.Hi = v.Lo + float64(o.Box.Size[2])
			if strings.EqualFold(string(o.Kind), "steps") {
				n := kind.StepsOf(v.Hi - v.Lo)
				for i := range n {
					t := TreadView{High: v.Lo + kind.StepAt((float64(i)+0.5)/float64(n), v.Hi-v.Lo)}
					y0, y1 := y*float64(i)/float64(n), y*float64(i+1)/float64(n)
					for _, c := range [4][2]float64{{0, y0}, {x, y0}, {x, y1}, {0, y1}} {
						t.Foot = append(t.Foot, [2]float64{ax + c[0]*cs - c[1]*sn, ay + c[0]*sn + c[1]*cs})
					}
					v.Treads = append(v.Treads, t)
				}
			}
			k, furnished := kind.FindObject(o.Kind)
			v.Solid = !furnished || k.Solid
		case o.Sphere != nil:
			c, d := metres3(o.Sphere.At), float64(o.Sphere.Diameter)
			ring(c[0], c[1], d)
			v.Lo, v.Hi = c[2]-d/2, c[2]+d/2
		case o.Cylinder != nil:
			c := metres3(o.Cylinder.At)
			ring(c[0], c[1], float64(o.Cylinder.Diameter))
			v.Lo, v.Hi, v.Solid = c[2], c[2]+float64(o.Cylinder.Height), true
		case o.Quad != nil && len(o.Quad.Size) > 0:
			flat(o.Quad)
		case o.Disc != nil && len(o.Disc.Size) > 0:
			flat(o.Disc)
		case len(o.Polygon) > 0:
			v.Lo, v.Hi = math.Inf(1), math.Inf(-1)
			for _, c := range o.Polygon {
				p := metres3(c)
				v.Foot = append(v.Foot, [2]float64{p[0], p[1]})
				v.Lo, v.Hi = min(v.Lo, p[2]), max(v.Hi, p[2])
			}
		}
		out = append(out, v)
	}
	return out
}

// written gives a setting as the file has it, in one line; empty where it is absent.
func written(doc *yamltext.Doc, path string) string {
	n := doc.Find(path)
	if n == nil {
		return ""
	}
	return nodeText(n)
}

func nodeText(n *yamltext.Node) string {
	switch n.Kind {
	case yamltext.Scalar:
		return n.Text
	case yamltext.List:
		var p []string
		for _, i := range n.Items {
			p = append(p, nodeText(i))
		}
		return "[" + strings.Join(p, ", ") + "]"
	case yamltext.Map:
		var p []string
		for _, f := range n.Fields {
			p = append(p, f.Key.Text+": "+nodeText(f.Value))
		}
		return "{" + strings.Join(p, ", ") + "}"
	}
	return ""
}

// lightViews gives the setup's lights in the file's order, then all that is not the setup's own.
func lightViews(m *model, s *stage.Stage, setup string) []LightView {
	out := []LightView{}
	at := map[int]int{}
	for i := range s.Layers {
		if s.Layers[i].Light >= 0 {
			at[s.Layers[i].Light] = i
		}
	}
	for i := range s.Setup.Lights {
		w := &s.Setup.Lights[i]
		path := fmt.Sprintf("%s.lights[%d]", setup, i)
		v := LightView{Name: w.Name, Role: w.Role, Path: path, Layer: -1, Kind: "continuous", Off: w.Off,
			Lock: w.Lock, Head: w.Head, Modifier: w.Modifier, Grid: w.Grid, Gels: some([]string(w.Gel)),
			Colour: written(m.job.Doc, path+".colour"), Through: w.Through, Outlet: w.Outlet, AtCount: len(w.At),
			AimName: w.Aim.Name, Dial: []DialStep{}, Bodies: []BodyView{}, Why: []string{}}
		if v.Name == "" {
			v.Name = w.Role
		}
		if len(w.At) >= 2 {
			a := [3]float64{float64(w.At[0]), float64(w.At[1]), float64(w.Height)}
			if len(w.At) > 2 {
				a[2] = float64(w.At[2])
			}
			v.At = &a
			v.Stands, _ = shoot.Footing(a[0], a[1], a[2], m.job.File.Room.Objects, s.Setup.Objects)
			if l, on := at[i]; on && s.Layers[l].Standing != nil {
				v.Stands = s.Layers[l].Standing.Foot.Z // a boom stands elsewhere
			}
		}
		if w.Area != nil {
			for _, c := range w.Area {
				v.Area = append(v.Area, metres2(c))
			}
		}
		l, lit := at[i]
		if lit {
			layerInto(s, l, &v)
		}
		if w.Emitter != nil {
			v.Fixed = "a bare emitter: its level stands in the file"
		} else {
			dialInto(m, s, l, lit, w, &v)
		}
		out = append(out, v)
	}
	for l := range s.Layers {
		ly := &s.Layers[l]
		if ly.Light >= 0 {
			continue
		}
		v := LightView{Name: ly.Name, Role: ly.Role, Path: ly.Path, House: true, Gels: []string{}, Dial: []DialStep{},
			Bodies: []BodyView{}, Why: []string{}, Fixed: "belongs to the house: as found"}
		if ly.Kind == stage.Daylight {
			v.Fixed = "daylight: as the hour gives it"
		}
		layerInto(s, l, &v)
		v.Setting = "as found"
		out = append(out, v)
	}
	call(out)
	return out
}

// call says what each light is called: two of one role go by their names.
func call(lights []LightView) {
	with := map[string]int{}
	for _, l := range lights {
		if !l.House {
			with[l.Role]++
		}
	}
	for i := range lights {
		l := &lights[i]
		l.Called = l.Name
		if l.Role != "" && !l.House && with[l.Role] == 1 {
			l.Called = l.Role
		}
	}
}

// layerInto fills in what a light gives.
func layerInto(s *stage.Stage, l int, v *LightView) {
	ly := &s.Layers[l]
	v.Layer, v.Name, v.Kind, v.Flash, v.K, v.Uncertainty = l, ly.Name, string(ly.Kind), ly.Flash, ly.K,
		float64(ly.Uncertainty)
	v.RestsOn = ly.Basis.String()
	xy := ly.Spectrum.XY()
	v.XY = [2]float64{xy.X, xy.Y}
	if k, duv, ok := spectrum.CCTOhno2013(xy); ok {
		v.Kelvin, v.Duv = k, duv
	}
	if x := ly.Spectrum.XYZ(); x.Y > 0 {
		x = spectrum.XYZ{X: x.X / x.Y, Y: 1, Z: x.Z / x.Y}
		v.Tint = spectrum.SRGB.Linear(spectrum.CAT16(s.White, spectrum.SRGB.XYZ([3]float64{1, 1, 1})).XYZ(x))
	}
	face := geom.Vec{}
	if s.Sitter != nil {
		face = s.Sitter.Landmarks["face"].At
	}
	for i, b := range ly.Bodies {
		v.Bodies = append(v.Bodies, BodyView{Shape: b.Shape, At: b.At.Array(), Normal: b.Frame.N.Array(),
			Side: b.Frame.S.Array(), Up: b.Frame.T.Array(), Width: b.Width, Height: b.Height, Depth: b.Depth})
		if i == 0 && ly.Light >= 0 {
			far := 1.5
			if s.Sitter != nil {
				far = max(0.3, b.At.Sub(face).Len())
			}
			aim := b.At.AddMul(b.Frame.N, far).Array()
			if w := s.Setup.Lights[ly.Light]; w.Aim.Name == "" {
				aim = w.Aim.At
			}
			v.Aim = &aim
		}
	}
	if src := ly.Source; src != nil {
		v.Setting, v.Stops, v.Headroom, v.Down, v.Step = src.Dialled, float64(src.Setting), float64(src.Headroom),
			float64(src.Floor), float64(src.Step)
		v.StepShare, v.Watts, v.Hot, v.Why = float64(src.Dial.Share), float64(src.Watts), src.Hot, some(src.Why)
	}
}

// dialInto fills in the steps of a head, also for one that is off.
func dialInto(m *model, s *stage.Stage, l int, lit bool, w *shoot.Light, v *LightView) {
	var d kit.Dial
	if lit && s.Layers[l].Source != nil {
		d = s.Layers[l].Source.Dial
	} else {
		k := kit.Merge(kit.Catalogue(), m.job.File.Kit)
		h, ok := k.FindHead(w.Head)
		if !ok {
			return
		}
		d = h.Dial()
		v.Flash = d.Flash
		if d.Flash {
			v.Kind = "flash"
		}
		v.Setting = w.Power
		if w.Level != nil {
			v.Setting = w.Level.String()
		}
	}
	v.SettingPath = v.Path + ".power"
	if !d.Flash {
		v.SettingPath = v.Path + ".level"
	}
	steps := d.Steps()
	if len(steps) <= 1 {
		v.SettingPath, v.Fixed = "", "this head cannot be turned down"
	}
	for _, st := range steps {
		v.Dial = append(v.Dial, DialStep{d.Print(st), float64(st)})
	}
}

func sitterView(s *stage.Stage, setup string) *SitterView {
	w := s.Setup.Sitter
	b := s.Sitter.Bounds()
	v := &SitterView{Path: setup + ".sitter", At: metres2(w.At), Stature: float64(w.Stature), Pose: w.Pose,
		Turn: float64(w.Turn), Low: b.Lo.Array(), High: b.Hi.Array(), Landmarks: map[string][3]float64{}}
	for name, l := range s.Sitter.Landmarks {
		v.Landmarks[name] = l.At.Array()
	}
	face, chest := s.Sitter.Landmarks["face"], s.Sitter.Landmarks["chest"]
	v.Faces, v.Chest = face.Normal.Array(), geom.V(chest.Normal.X, chest.Normal.Y, 0).Unit().Array()
	return v
}

// lookViews says the wishes in words and figures.
func lookViews(m *model, s *stage.Stage, setup string) []WishView {
	out := []WishView{}
	for i := range s.Setup.Look {
		w := &s.Setup.Look[i]
		v := WishView{Path: fmt.Sprintf("%s.look[%d]", setup, i), Point: w.Point, Priority: w.Priority,
			Wants: []WantView{}}
		var words []string
		add := func(kind, key, to, text string, lo, hi *float64, xy *[2]float64, say string) {
			v.Wants = append(v.Wants, WantView{Kind: kind, Key: key, Lo: lo, Hi: hi, To: to, XY: xy, Text: text})
			words = append(words, say)
		}
		one := func(x float64) *float64 { return &x }
		text := func(key string) string { return written(m.job.Doc, v.Path+"."+key) }
		if w.Reads != nil {
			n := float64(w.Reads.N)
			add("reads", "reads", "", text("reads"), one(n), one(n), nil, "reads "+w.Reads.N.Meter())
		}
		if w.Stops != nil {
			n := float64(*w.Stops)
			add("stops", "stops", "", text("stops"), one(n), one(n), nil, "at "+w.Stops.String())
		}
		if w.Above != "" {
			n := float64(w.By)
			add("above", "by", w.Above, text("by"), one(n), one(n), nil, w.By.String()+" above "+w.Above)
		}
		if w.Below != "" {
			n := -float64(w.By)
			add("above", "by", w.Below, text("by"), one(n), one(n), nil,
				strings.TrimPrefix(w.By.String(), "+")+" below "+w.Below)
		}
		if w.Darkest != nil {
			add("darkest", "darkest", "", text("darkest"), one(float64(*w.Darkest)), nil, nil,
				"not under "+w.Darkest.String())
		}
		if w.Brightest != nil {
			add("brightest", "brightest", "", text("brightest"), nil, one(float64(*w.Brightest)), nil,
				"not over "+w.Brightest.String())
		}
		if w.Ratio != "" {
			add("ratio", "ratio", w.To, w.Ratio, nil, nil, nil, "ratio "+w.Ratio+" to "+w.To)
		}
		if w.Colour != nil {
			var xy *[2]float64
			if k := s.LayerNamed(strings.TrimPrefix(w.Colour.Like, "practicals.")); w.Colour.Like != "" && k >= 0 {
				c := s.Layers[k].Spectrum.XY()
				xy = &[2]float64{c.X, c.Y}
			} else if w.Colour.Kelvin > 0 {
				c := spectrum.White(float64(w.Colour.Kelvin)).XY()
				xy = &[2]float64{c.X, c.Y}
			} else if w.Colour.XY[1] > 0 {
				xy = &w.Colour.XY
			}
			add("colour", "colour", "", text("colour"), nil, nil, xy, "coloured "+text("colour"))
		}
		if w.Warmer != nil {
			n := float64(*w.Warmer)
			add("warmer", "warmer", "", text("warmer"), one(n), one(n), nil,
				ways.WarmerSaid(*w.Warmer)+" than the camera's white")
		}
		if w.Haze != nil {
			add("haze", "haze", "", text("haze"), nil, one(float64(*w.Haze)), nil,
				"lifted by haze at most "+w.Haze.String())
		}
		if w.Ambient != nil {
			n := float64(*w.Ambient)
			add("ambient", "ambient", "", text("ambient"), one(n), one(n), nil,
				w.Ambient.String()+" of the light not flash")
		}
		v.Words = strings.Join(words, ", ")
		out = append(out, v)
	}
	return out
}

// kitView lists what can be put into a setup.
func kitView(m *model) KitView {
	k := kit.Catalogue() // before there is a good text: what there is to buy and hire
	if m != nil {
		k = kit.Merge(k, m.job.File.Kit)
	}
	v := KitView{Heads: []KitHead{}, Modifiers: []KitModifier{}, Grids: []KitGrid{}, Gels: some(k.GelNames()),
		Panels: []KitPanel{}, Stands: []string{}}
	own := map[string]bool{}
	if m != nil {
		for _, h := range m.job.File.Kit.Heads {
			own[h.Name] = true
		}
	}
	for _, h := range k.Heads {
		v.Heads = append(v.Heads, KitHead{h.Name, h.Kind, string(h.Mount), h.Have, own[h.Name]})
	}
	for _, x := range k.Modifiers {
		v.Modifiers = append(v.Modifiers, KitModifier{x.Name, string(x.Kind), texts(x.Mount), x.Have})
	}
	for _, g := range k.Grids {
		v.Grids = append(v.Grids, KitGrid{g.Name, g.Kind})
	}
	for _, p := range k.Panels {
		v.Panels = append(v.Panels, KitPanel{p.Name, string(p.Kind), metres2(p.Size)})
	}
	for _, s := range k.Stands {
		v.Stands = append(v.Stands, s.Name)
	}
	return v
}
