package stage

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/bvh"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/kit"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
	"halfstop/yamltext"
)

// LayerKind says what a layer's light is.
type LayerKind string

const (
	Flash      LayerKind = "flash"
	Continuous LayerKind = "continuous"
	Practical  LayerKind = "practical"
	Daylight   LayerKind = "daylight"
)

// Layer is one light of the setup: what one layer of transport belongs to.
type Layer struct {
	Name string
	Role string
	Kind LayerKind
	// Flash says that its transport is in lx·s, cd·s/m²; else lx, cd/m².
	Flash       bool
	Spectrum    spectrum.Curve
	Fold        spectrum.Fold
	K           float64     // its setting: transport is traced at full and multiplied by this
	Source      *kit.Source // for a head of the kit
	Form        string      // kind of its modifier, a word of package kind; empty for the house's and bare emitters
	Light       int         // number in the setup's lights, -1 for the house's
	Uncertainty q.Stops     // one standard deviation of its level, from where its figures come from
	Basis       kit.Basis   // which of three its level rests on
	Mains       q.Hertz
	Flicker     Flicker
	Bodies      []Body
	Target      *geom.Vec // what it is aimed at; nil where nothing is aimed
	Standing    *Standing // what carries it; nil for what hangs, is clamped or belongs to the house
	Path        string    // in the shoot file: 'setups[0].lights[1]'
}

// Body is where a light is, how large, and where it looks.
type Body struct {
	At                   geom.Vec
	Frame                geom.Frame // N is where the light goes
	Shape                string     // as kit.Source
	Width, Height, Depth float64
}

// Point is a place where light is measured.
type Point struct {
	Name     string
	Receptor string          // 'flat', 'dome', 'spot'
	Incident *trace.Receptor // nil for a spot
	// the spot through the camera, for the level in the
	// picture; nil where the camera does not see it
	Seen   *trace.Receptor
	At     geom.Vec
	Normal geom.Vec
	Sitter bool   // an anatomical point
	Path   string // in the shoot file; empty for the sitter's own
}

// View is the camera ready to project.
type View struct {
	optics.View
	Mirror *Mirror    // in which it sees the sitter; nil: straight
	Frame  geom.Frame // N is where it looks, T up; S points to the left of the picture
	Set    *shoot.Camera
}

// Project is optics.View's with the sensor shifted as the camera says: where p lands in the frame.
// Check: TestShiftedProjection.
func (v *View) Project(p geom.Vec) (x, y, depth float64, ok bool) {
	x, y, depth, ok = v.View.Project(p)
	if ok && v.Set != nil {
		x -= float64(v.Set.Shift[0]) / float64(v.Format.Width)
		y += float64(v.Set.Shift[1]) / float64(v.Format.Height)
	}
	return x, y, depth, ok
}

// Stage is one setup, built.
type Stage struct {
	Shoot    *shoot.File
	Setup    *shoot.Setup
	Index    int
	Scene    *trace.Scene
	Layers   []Layer
	Points   []Point
	View     *View
	Sitter   *figure.Mesh
	Others   []Other  // who else is in the picture
	People   []Placed // the first of all people, as bodies
	Panels   []PanelBody
	Glazings []Glazing    // windows and free openings, lit or not
	White    spectrum.XYZ // the camera's white: a colour that comes out neutral
	Keys     Keys

	RoomError    float64 // one standard deviation of what the room gives back, stops; 0 without a room
	RoomReadings int     // how many readings that rests on

	gain   float64 // on the reflectances of the room's shell, by readings; 0: not asked yet
	key    *Layer  // the layer that plays the key
	kit    kit.Kit
	opt    Options
	doc    *yamltext.Doc
	list   diag.List
	mats   map[string]int
	solids []filled
	rigs   [][2]trace.Mark // where the scene was before and after each light's body
	moving trace.Mark      // and before the first of what a hand can move: lights and panels
	memo   memo            // for the stage after this one
	before *memo           // of Options.Like, while building
}

// PanelBody is a panel as it hangs.
type PanelBody struct {
	Panel *shoot.Panel
	Form  string // its kind, a word of package kind
	Name  string
	At    geom.Vec
	Frame geom.Frame
	Aim   geom.Vec // the place that its front faces
	Path  string
}

// Options say how to build.
type Options struct {
	Files  func(name string) ([]byte, error) // photometric files and meshes inside the shoot's folder; nil: none
	Detail figure.Detail                     // of the sitter
	// of the picture to come, whole frame: the sitter is drawn for it whatever Detail says; zero:
	// no picture
	Pixels [2]int
	Mesh   func(figure.Params) *figure.Mesh // builds or remembers the sitter; nil: figure.Build
	Bare   bool                             // leave out the bodies of lights (laboratory)
	// leave the sitter out of the scene (landmarks stay): for fields of light about that place
	Empty bool
	// Like is a stage of the same setup from a moment ago, for a program in which a hand drags
	// something: what of it still serves is taken over. Rays meet the same, but what is measured
	// has other noise until the stage is Canonical. Nil: build all anew.
	Like *Stage
}

// Build makes the stage of setup number index. The messages hold what cannot be built (Error) and
// what cannot stand as written (Finding): a light in a wall, a modifier through the ceiling. With
// an Error the Stage is nil.
func Build(f *shoot.File, doc *yamltext.Doc, index int, opt Options) (*Stage, diag.List) {
	s := &Stage{Shoot: f, Setup: &f.Setups[index], Index: index, Scene: trace.New(), opt: opt, doc: doc,
		mats: map[string]int{}}
	if s.opt.Mesh == nil {
		s.opt.Mesh = figure.Build
	}
	if opt.Like != nil {
		s.Scene.Reserve(opt.Like.Scene)
		s.before = &opt.Like.memo
		defer func() { s.before = nil }() // one moment is remembered, not the whole drag
	}
	s.kit = kit.Merge(kit.Catalogue(), f.Kit)
	s.room()
	s.fittings()
	s.objects(f.Room.Objects, "room.objects")
	s.objects(s.Setup.Objects, s.path("objects"))
	s.camera()
	s.sitter()
	s.aimCamera()
	s.practicals()
	s.windows()
	s.moving = s.Scene.Mark()
	s.lights()
	s.panels()
	s.haze()
	s.points()
	s.whiteBalance()
	s.checkGeometry()
	s.list.Sort()
	if s.list.Has(diag.Error) {
		return nil, s.list
	}
	if n := s.Scene.Triangles(); n > bvh.MaxTriangles || trace.Bytes(n) > mostSceneBytes {
		s.problem(diag.Error, "stage.too-large", "room.objects", "take a coarser mesh",
			"the scene has %d triangles and would take about %.1f GiB of memory; at most %d triangles and %d GiB "+
				"are taken",
			n, float64(trace.Bytes(n))/(1<<30), bvh.MaxTriangles, mostSceneBytes>>30)
		return nil, s.list
	}
	s.learned()
	s.importance()
	if err := s.prepare(); err != nil {
		s.problem(diag.Error, "stage.scene", "setups", "", "the scene cannot be built: %v", err)
		return nil, s.list
	}
	s.checkFrame()
	s.checkReflections()
	s.checkMirror()
	s.list.Sort()
	s.Keys = s.keysOf(s.rigs)
	return s, s.list
}

// prepare readies the scene for tracing.
func (s *Stage) prepare() error {
	old := s.opt.Like
	s.opt.Like = nil // one moment is remembered, not the whole drag
	if old == nil {
		return s.Scene.Prepare()
	}
	return s.Scene.PrepareFrom(old.Scene)
}

// Canonical returns the stage with nothing taken over from an earlier one: its readings are those
// of a stage built without Like, to the bit. Check: TestSettled of internal/server.
func (s *Stage) Canonical() *Stage {
	sc := s.Scene.Canonical()
	if sc == s.Scene {
		return s
	}
	own := *s
	own.Scene = sc
	return &own
}

// importance gives each layer work by the root of what it leaves at its setting, so that strong
// lights come out cleaner and weak ones are not lost.
func (s *Stage) importance() {
	t := 1.0 / 125
	if s.Setup.Camera != nil && s.Setup.Camera.Shutter > 0 {
		t = float64(s.Setup.Camera.Shutter)
	}
	most := 0.0
	imp := make([]float64, len(s.Layers))
	for l := range s.Layers {
		w := s.Layers[l].K
		if !s.Layers[l].Flash {
			w *= t
		}
		imp[l] = math.Sqrt(max(0, w*s.Scene.Flux(l)))
		most = max(most, imp[l])
	}
	if !(most > 0) || math.IsInf(most, 0) {
		return
	}
	for l := range imp {
		imp[l] = max(imp[l]/most, 0.1)
	}
	s.Scene.Importance = imp
}

func (s *Stage) path(rest string) string { return fmt.Sprintf("setups[%d].%s", s.Index, rest) }

// mostSceneBytes is what a scene with its trees may take.
const mostSceneBytes = 4 << 30

// problem adds a message at a place of the shoot file.
func (s *Stage) problem(sev diag.Severity, code, path, fix, format string, args ...any) {
	m := diag.Message{Severity: sev, Code: code, Text: fmt.Sprintf(format, args...), Fix: fix}
	if s.doc != nil && path != "" {
		m.Pos = s.doc.Pos(path)
	}
	s.list = append(s.list, m)
}

// once is a problem of the shoot, not of the thing where it shows: it is said at the first one.
func (s *Stage) once(sev diag.Severity, code, path, fix, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	for i := range s.list {
		if s.list[i].Code == code && s.list[i].Text == text {
			return
		}
	}
	s.problem(sev, code, path, fix, "%s", text)
}

// remark adds a second place to the last message.
func (s *Stage) remark(path, text string) {
	if s.doc == nil || len(s.list) == 0 {
		return
	}
	last := &s.list[len(s.list)-1]
	last.Remarks = append(last.Remarks, diag.Remark{Pos: s.doc.Pos(path), Text: text})
}

// With builds the same stage with another setup in its place; nil where that cannot be built.
func (s *Stage) With(set *shoot.Setup) *Stage {
	f := *s.Shoot
	f.Setups = slices.Clone(f.Setups)
	f.Setups[s.Index] = *set
	opt := s.opt
	opt.Like = nil
	other, _ := Build(&f, nil, s.Index, opt)
	return other
}

// LayerNamed finds a layer by the name of its light, or by its role.
func (s *Stage) LayerNamed(name string) int {
	for i, l := range s.Layers {
		if strings.EqualFold(l.Name, name) {
			return i
		}
	}
	for i, l := range s.Layers {
		if strings.EqualFold(l.Role, name) {
			return i
		}
	}
	return -1
}

// addLayer gives a light its layer; kept false when it is off.
func (s *Stage) addLayer(l Layer) int {
	base := l.Name
	for n := 2; s.LayerNamed(l.Name) >= 0; n++ {
		l.Name = fmt.Sprintf("%s %d", base, n)
	}
	l.Fold = spectrum.FoldCIE(l.Spectrum)
	s.Layers = append(s.Layers, l)
	s.Scene.Layers = len(s.Layers)
	return len(s.Layers) - 1
}

func (s *Stage) off(name string) bool {
	for _, o := range s.Setup.Off {
		if strings.EqualFold(o, name) || strings.EqualFold(o, "practicals."+name) || strings.EqualFold(o,
			"windows."+name) {
			return true
		}
	}
	return false
}

// place gives the point of an 'at' of two or three numbers with a height beside it.
func place(at []q.Metres, height q.Metres) geom.Vec {
	p := geom.Vec{Z: float64(height)}
	if len(at) > 0 {
		p.X = float64(at[0])
	}
	if len(at) > 1 {
		p.Y = float64(at[1])
	}
	if len(at) > 2 {
		p.Z = float64(at[2])
	}
	return p
}

func vec3(a [3]q.Metres) geom.Vec { return geom.V(float64(a[0]), float64(a[1]), float64(a[2])) }

// frameTo is the upright frame that looks from p to what, or along +x where the two are one.
func frameTo(p, what geom.Vec) geom.Frame {
	d := what.Sub(p)
	if d.Len2() < 1e-12 {
		d = geom.V(1, 0, 0)
	}
	return geom.UprightFrame(d.Unit())
}

const deg = math.Pi / 180

// Behind is the distance along the camera's axis to what lies behind the sitter, metres: the first
// surface on the axis beyond the sitter's far side; 0 for nothing, without a camera or a sitter, or
// by way of a mirror.
func (s *Stage) Behind() float64 {
	if s.View == nil || s.Sitter == nil || s.View.Mirror != nil {
		return 0
	}
	b := s.Sitter.Bounds()
	far := 0.0
	for _, x := range [2]float64{b.Lo.X, b.Hi.X} {
		for _, y := range [2]float64{b.Lo.Y, b.Hi.Y} {
			far = max(far, geom.V(x, y, s.View.At.Z).Sub(s.View.At).Dot(s.View.Axis))
		}
	}
	d, ok := s.Scene.FirstHit(s.View.At.AddMul(s.View.Axis, far), s.View.Axis)
	if !ok {
		return 0
	}
	return far + d
}
