package record

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/kit"
	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/ways"
	"halfstop/yamltext"
)

// RelightWork says how a record is lit again.
type RelightWork struct {
	Record *Record
	Job    *answer.Job // the setup as dialled
	Room   *answer.Job // the other room: its shoot; its own setups are left out
	Kits   []shoot.KitFile
	// Scale is the new sitter's stature over the recorded one; 0 is 1.
	Scale float64
	Meter meter.Work
}

// Relit is a setup lit again in another room.
type Relit struct {
	Version  int          `json:"version"` // of this shape: 1
	Setup    string       `json:"setup"`
	Text     []byte       `json:"-"` // the shoot file: the room, and this setup alone
	Mirrored bool         `json:"mirrored"`
	Turned   float64      `json:"turned_degrees"`
	Why      []string     `json:"differences"` // by their effect, what shows most first
	Notes    []string     `json:"notes"`       // what the kit or the room cannot do
	Settings []string     `json:"settings"`
	Points   []RelitPoint `json:"points"`
	Missed   []string     `json:"missed"` // targets that are not met, with why
	Ways     []string     `json:"ways"`   // out of these, best first; empty where none was looked for
	Regions  []Region     `json:"regions,omitempty"`
	Compared *Comparison  `json:"compared"`
	Record   *Record      `json:"-"` // of the new setup
	Job      *answer.Job  `json:"-"`
}

// RelitPoint is what is left at a point: level in the picture, new less old, stops.
type RelitPoint struct {
	Name  string  `json:"name"`
	Old   string  `json:"old"`
	New   string  `json:"new"`
	Stops float64 `json:"stops"`
}

// ErrNobodyFits says that no place in the room takes sitter and camera; the result with it is of
// the nearest that there is.
var ErrNobodyFits = errors.New("nobody fits here with the camera at that distance")

// Relight puts a record's setup into another room: the whole of it where the walls and the windows
// lie most as they did, each light by its direction, apparent size and level on the sitter, then
// the settings balanced for the look as it came out. The messages are the new stage's. With
// ErrNobodyFits the result is the nearest. Check: TestRelight*.
func Relight(ctx context.Context, w RelightWork) (*Relit, diag.List, error) {
	old, list := w.Job.Stage(0, figure.Shadow)
	if old == nil {
		return nil, list, nil
	}
	pose, ok := poseOf(old)
	if !ok || old.View == nil {
		return nil, list, errors.New("the record has no sitter or no camera: there is no picture to light again")
	}
	if w.Scale == 0 {
		w.Scale = 1
	}
	empty, list := emptyStage(w.Room)
	if empty == nil {
		return nil, list, nil
	}
	out := &Relit{Version: 1, Setup: old.Setup.Name, Why: []string{}, Notes: []string{}, Missed: []string{},
		Ways: []string{}, Settings: []string{}, Points: []RelitPoint{}}
	find := finderOf(old, pose, spaceOf(w.Job.File, old), spaceOf(w.Room.File, empty), w.Scale)
	spots := find.find(1)
	if len(spots) == 0 {
		return nil, nil, find.tooSmall()
	}
	best := spots[0]
	var fits error
	if best.cost >= costTaken {
		fits = find.tooSmall()
	}
	out.Mirrored = best.mirror
	out.Turned = round(math.Remainder(best.pose.Angle-pose.Angle, 2*math.Pi)*180/math.Pi, 1)
	text, err := out.write(w, old, empty, find, &best)
	if err != nil {
		return nil, nil, err
	}
	job, list := parsed(w, text)
	if job == nil {
		return nil, list, fits
	}
	m, list, err := job.Meter(ctx, 0, w.Meter)
	if m == nil && err == nil {
		err = fits // not even the nearest can be lit
	}
	if err != nil || m == nil {
		return nil, list, err
	}
	b, err := balanced(ctx, w, job, m)
	if err != nil {
		return nil, list, err
	}
	if edits := b.Edits(); len(edits) > 0 {
		if text, err = job.Doc.SetAll(edits); err != nil {
			return nil, list, err
		}
		if job, list = parsed(w, text); job == nil {
			return nil, list, nil
		}
	}
	for _, t := range b.Targets() {
		if !t.Met {
			why := t.Off
			if t.Reason != "" {
				why += ", " + t.Reason
			}
			out.Missed = append(out.Missed, t.Words+": "+why)
		}
	}
	made, list, err := Make(ctx, job, 0, Work{Meter: w.Meter})
	if err != nil || made == nil {
		return nil, list, err
	}
	out.Text, out.Record, out.Job = text, made.Record, job
	out.Compared = Compare(w.Record, made.Record)
	out.effects(ctx, w, old, made.Metered)
	for _, l := range made.Record.Lights {
		out.Settings = append(out.Settings, fmt.Sprintf("%s %s", l.Name, l.Dialled))
	}
	for _, p := range w.Record.Points {
		if n := made.Record.Point(p.Name); n != nil && !p.Dark && !n.Dark {
			out.Points = append(out.Points, RelitPoint{p.Name, p.Predicted, n.Predicted, round(n.Level-p.Level, 2)})
		}
	}
	return out, list, fits
}

// balanced finds the settings for the look. The key side comes first, so a little of it is never
// given for the rest; but where that misses a reading which settings that count all readings alike
// would meet together, those are taken.
func balanced(ctx context.Context, w RelightWork, job *answer.Job, m *answer.Metered) (*ways.Balanced, error) {
	b, err := ways.Repeat(ctx, m.Stage, m.Measured)
	if err != nil || b.Missed() == 0 {
		return b, err
	}
	doc := job.Doc
	for i, x := range job.File.Setups[0].Look {
		if _, own := shoot.Anatomical(x.Point); !own || x.Reads == nil {
			continue
		}
		text, err := doc.Set(fmt.Sprintf("setups[0].look[%d].priority", i), "must")
		if err != nil {
			return b, nil
		}
		doc, _ = yamltext.Parse(doc.Name, text)
	}
	alike, _ := parsed(w, doc.Source())
	if alike == nil {
		return b, nil
	}
	s, _ := alike.Stage(0, figure.Shadow)
	if s == nil {
		return b, nil
	}
	c, err := ways.Repeat(ctx, s, m.Measured)
	if err == nil && c.Missed() < b.Missed() {
		return c, nil
	}
	return b, ctx.Err()
}

// emptyStage is the stage of a room with nobody in it and nothing brought.
func emptyStage(j *answer.Job) (*stage.Stage, diag.List) {
	f := *j.File
	f.Setups = []shoot.Setup{{Name: "empty"}}
	e := *j
	e.File, e.Doc = &f, nil
	return e.Stage(0, figure.Shadow)
}

func parsed(w RelightWork, text []byte) (*answer.Job, diag.List) {
	f, doc, list := shoot.Parse("relit.yaml", text, shoot.Options{Kit: w.Kits})
	if list.Has(diag.Error) {
		return nil, list
	}
	return &answer.Job{File: f, Doc: doc, Files: w.Room.Files}, list
}

// write makes the text of the room with the setup in it.
func (r *Relit) write(w RelightWork, old, empty *stage.Stage, find *finder, best *spot) ([]byte, error) {
	m := move{from: find.pose, to: best.pose, mirror: best.mirror, scale: best.scale}
	k := kit.Merge(kit.Catalogue(), w.Room.File.Kit)
	f := &fitter{finder: find, m: m, kit: &k, have: owned(&w.Room.File.Kit), face: old.Sitter.Landmarks["face"].At}
	e := &editor{doc: w.Job.Doc}
	set := m.setup(old)
	keep := best.pose == find.pose && !best.mirror && best.scale == 1 && reflect.DeepEqual(w.Job.File.Room,
		w.Room.File.Room)
	p := "setups[0]"
	if !keep {
		e.set(p+".camera.at", triple(set.Camera.At))
		e.drop(p + ".camera.height")
		e.target(p+".camera.aim", set.Camera.Aim, w.Job.File.Setups[0].Camera.Aim)
		e.set(p+".sitter.at", fmt.Sprintf("[%.3f, %.3f]", float64(set.Sitter.At[0]), float64(set.Sitter.At[1])))
		if set.Sitter.Turn != old.Setup.Sitter.Turn {
			e.set(p+".sitter.turn", set.Sitter.Turn.String())
		}
		if best.scale != 1 {
			e.set(p+".sitter.stature", set.Sitter.Stature.String())
			e.set(p+".sitter.seat", set.Sitter.Seat.String())
		}
		if d := set.Sitter.Faces; d.Word == "" && geom.Of(d.Vec).Len2() > 0 {
			e.set(p+".sitter.faces", fmt.Sprintf("[%g, %g, %g]", d.Vec[0], d.Vec[1], d.Vec[2]))
		}
		if m.mirror && set.Camera.Shift[0] != 0 {
			e.set(p+".camera.shift", fmt.Sprintf("[%s, %s]", set.Camera.Shift[0], set.Camera.Shift[1]))
		}
		if m.mirror && set.Camera.Crop != nil {
			c := set.Camera.Crop
			e.set(p+".camera.crop", fmt.Sprintf("[%g, %g, %g, %g]", c[0], c[1], c[2], c[3]))
		}
	}
	for i := range old.Layers {
		l := &old.Layers[i]
		if l.Light < 0 {
			continue
		}
		q := fmt.Sprintf("%s.lights[%d]", p, l.Light)
		was, now := &old.Setup.Lights[l.Light], &set.Lights[l.Light]
		g := f.fit(l)
		r.Notes = append(r.Notes, g.notes...)
		if g.reason != "" {
			r.Why = append(r.Why, fmt.Sprintf("%s cannot stand where it stood: %s", l.Name, g.reason))
		}
		if !keep || g.reason != "" {
			e.set(q+".at", fmt.Sprintf("[%.3f, %.3f, %.3f]", g.at.X, g.at.Y, g.at.Z))
			e.drop(q + ".height")
			e.target(q+".aim", now.Aim, was.Aim)
			if now.Roll != was.Roll {
				e.set(q+".roll", now.Roll.String())
			}
		}
		e.word(q+".head", g.head, was.Head)
		e.word(q+".modifier", g.modifier, was.Modifier)
		e.word(q+".grid", g.grid, was.Grid)
		if g.setting != "" && l.Source != nil && g.setting != l.Source.Dialled {
			if g.flash {
				e.drop(q + ".level")
				e.set(q+".power", g.setting)
			} else {
				e.drop(q + ".power")
				e.set(q+".level", g.setting)
			}
		}
		if was.Colour.Like != "" && !burns(empty, was.Colour.Like) {
			e.set(q+".colour", fmt.Sprintf("{xy: [%g, %g]}", now.Colour.XY[0], now.Colour.XY[1]))
		}
		for _, key := range []string{".outlet", ".patch", ".area", ".heights"} {
			e.drop(q + key)
		}
	}
	if !keep {
		for i := range set.Panels {
			q := fmt.Sprintf("%s.panels[%d]", p, i)
			e.set(q+".at", triple(set.Panels[i].At))
			e.drop(q + ".height")
			e.target(q+".aim", set.Panels[i].Aim, w.Job.File.Setups[0].Panels[i].Aim)
		}
		r.Notes = append(r.Notes, roomOnly(old)...)
		e.drop(p + ".objects")
	}
	e.points(p, &set, old, f, keep)
	e.look(p, w.Record, old)
	if !keep {
		e.drop(p + ".dim")
		r.house(e, p, w, old, empty)
	}
	if e.err != nil {
		return nil, e.err
	}
	return e.into(w.Room.Doc)
}

// roomOnly says what of a setup belongs to its old room.
func roomOnly(s *stage.Stage) (out []string) {
	if len(s.Setup.Objects) > 0 {
		out = append(out, fmt.Sprintf("%d things that stood in the setup were left out", len(s.Setup.Objects)))
	}
	switch s.Setup.Sitter.Pose {
	case "seated":
		out = append(out, fmt.Sprintf("the sitter sits: bring a seat %s high", s.Setup.Sitter.Seat))
	case "leaning":
		out = append(out, "the sitter leans on something: bring it, or find it there")
	}
	return out
}

// owned says whether a kit has something. Where own kit says of heads how many there are, only what
// is there counts; else all that the catalogue knows can be brought.
func owned(own *kit.Kit) func(list []string, name string) bool {
	have, counted := map[string]bool{}, false
	for i := range own.Heads {
		have[strings.ToLower(own.Heads[i].Name)] = own.Heads[i].Have > 0
		counted = counted || own.Heads[i].Have > 0
	}
	for i := range own.Modifiers {
		have[strings.ToLower(own.Modifiers[i].Name)] = own.Modifiers[i].Have > 0
		counted = counted || own.Modifiers[i].Have > 0
	}
	return func(list []string, name string) bool {
		if counted {
			return have[strings.ToLower(name)]
		}
		if list == nil {
			return true
		}
		for _, n := range list {
			if strings.EqualFold(n, name) {
				return true
			}
		}
		return false
	}
}

// burns reports whether a colour 'practicals.NAME' can be taken in a room.
func burns(s *stage.Stage, like string) bool {
	_, err := s.LightOf(shoot.Spectrum{Like: like})
	return err == nil
}

// editor changes the text of the recorded setup, one setting after the other; the first error
// stays.
type editor struct {
	doc *yamltext.Doc
	err error
}

func (e *editor) take(text []byte, err error) {
	if e.err != nil {
		return
	}
	if e.err = err; err == nil {
		e.doc, _ = yamltext.Parse(e.doc.Name, text)
	}
}

func (e *editor) set(path, value string) {
	if e.err == nil {
		e.take(e.doc.Set(path, value))
	}
}

// drop takes a setting out where it is written.
func (e *editor) drop(path string) {
	if e.err == nil && e.doc.Has(path) {
		e.take(e.doc.Delete(path))
	}
}

// word sets a name where it changes.
func (e *editor) word(path, now, was string) {
	switch {
	case strings.EqualFold(now, was):
	case now == "":
		e.drop(path)
	default:
		e.set(path, now)
	}
}

// target sets what something points at, where it changes.
func (e *editor) target(path string, now, was shoot.Target) {
	switch {
	case now == was:
	case now.Name != "":
		e.set(path, now.Name)
	default:
		e.set(path, fmt.Sprintf("[%.3f, %.3f, %.3f]", now.At[0], now.At[1], now.At[2]))
	}
}

func triple[T ~float64](v []T) string {
	var parts []string
	for _, x := range v {
		parts = append(parts, fmt.Sprintf("%.3f", float64(x)))
	}
	return "[" + strings.Join(parts, ", ") + "]"
}

// points keeps the setup's own points where they have a place in the new room: those on walls are
// moved onto what the camera sees in the same direction.
func (e *editor) points(p string, set *shoot.Setup, old *stage.Stage, f *fitter, keep bool) {
	if keep {
		return
	}
	eye := f.m.place(f.eye)
	for i := len(set.Points) - 1; i >= 0; i-- {
		k := &set.Points[i]
		path := fmt.Sprintf("%s.points[%d]", p, i)
		if k.At == nil {
			e.word(path+".on", k.On, old.Setup.Points[i].On)
			continue
		}
		at := geom.V(float64(k.At[0]), float64(k.At[1]), float64(k.At[2]))
		if k.Receptor == "spot" {
			at = f.room.shell(eye, at)
		}
		if f.room.clearance(at) <= 0 {
			e.drop(path)
			continue
		}
		e.set(path+".at", fmt.Sprintf("[%.3f, %.3f, %.3f]", at.X, at.Y, at.Z))
		e.drop(path + ".from")
		if d := geom.Of(k.Facing.Vec); d.Len2() > 0 {
			e.set(path+".facing", fmt.Sprintf("[%.4f, %.4f, %.4f]", d.X, d.Y, d.Z))
		}
	}
}

// shell is where the way from an eye through a place meets the room's shell, 5 mm before it.
func (p *space) shell(eye, at geom.Vec) geom.Vec {
	d := at.Sub(eye)
	if len(p.corners) < 3 || d.Len2() == 0 {
		return at
	}
	d = d.Unit()
	far := 30.0
	if level := math.Hypot(d.X, d.Y); level > 1e-6 {
		far = p.reach(eye, geom.V(d.X/level, d.Y/level, 0)) / level
	}
	if d.Z < -1e-6 {
		far = min(far, -eye.Z/d.Z)
	}
	if d.Z > 1e-6 && p.height > 0 {
		far = min(far, (p.height-eye.Z)/d.Z)
	}
	return eye.AddMul(d, far-0.005)
}

// look makes the look of what came out: the readings at the sitter, the levels of what is seen.
func (e *editor) look(p string, r *Record, old *stage.Stage) {
	var list []string
	for _, x := range r.Points {
		_, own := shoot.Anatomical(x.Name)
		switch {
		case x.Dark:
		case x.Name == "face key side":
			list = append(list, fmt.Sprintf("{point: face key side, reads: %s, within: 0.1 st, priority: must}",
				x.Predicted))
		case x.Name == "face shadow side" || x.Name == "hair edge" || own && old.Wished(x.Name):
			list = append(list, fmt.Sprintf("{point: %s, reads: %s, within: 0.1 st}", x.Name, x.Predicted))
		case x.Receptor == "spot" && e.doc.Has(p+".points["+yamltext.Quote(x.Name, true)+"]"):
			list = append(list, fmt.Sprintf("{point: %s, stops: %s, priority: nice}",
				yamltext.Quote(x.Name, true), stopsText(x.Level)))
		}
	}
	e.drop(p + ".look")
	e.drop(p + ".may")
	e.set(p+".look", "["+strings.Join(list, ", ")+"]")
}

// into gives the text of a room's shoot with this setup as its only one, one setting a line.
func (e *editor) into(room *yamltext.Doc) ([]byte, error) {
	text := room.Source()
	if room.Has("setups") {
		var err error
		if text, err = room.Delete("setups"); err != nil {
			return nil, err
		}
	}
	n := e.doc.Find("setups[0]")
	if n == nil {
		return nil, errors.New("the recorded setup cannot be found in its own text")
	}
	var b strings.Builder
	b.Write(text)
	if len(text) > 0 && text[len(text)-1] != '\n' {
		b.WriteByte('\n')
	}
	b.WriteString("setups:\n")
	lead := "  - "
	for _, f := range n.Fields {
		b.WriteString(lead + yamltext.Quote(f.Key.Text, false) + ":")
		lead = "    "
		if f.Value.Kind != yamltext.List || len(f.Value.Items) == 0 || f.Value.Items[0].Kind != yamltext.Map {
			b.WriteString(" " + f.Value.Write() + "\n")
			continue
		}
		b.WriteByte('\n')
		for _, i := range f.Value.Items {
			b.WriteString("      - " + i.Write() + "\n")
		}
	}
	return []byte(b.String()), nil
}
