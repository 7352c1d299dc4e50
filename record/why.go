package record

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"reflect"
	"slices"
	"strings"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/stage"
)

// Why says which changes between two setups made a figure another, and by how much each.
type Why struct {
	Asked string    `json:"asked"` // 'softer', 'brighter', 'warmer'
	Of    string    `json:"of"`    // the figure, in words
	Unit  string    `json:"unit"`
	A     float64   `json:"a"`
	B     float64   `json:"b"`
	EdgeA float64   `json:"edge_mm_a,omitempty"` // softer: edge of the nose's shadow, by the lights' shares
	EdgeB float64   `json:"edge_mm_b,omitempty"`
	Parts []WhyPart `json:"parts"` // largest first; they add up to B less A
	// Exact says that every order of making the changes was counted (Shapley values); else each was
	// made first and last, and the two were averaged.
	Exact bool     `json:"exact"`
	Notes []string `json:"notes,omitempty"`
}

// Became is what B is against A: what was asked, or its opposite.
func (w *Why) Became() string {
	up := w.B > w.A
	switch {
	case w.Asked == "softer" && up:
		return "harder"
	case w.Asked == "brighter" && !up:
		return "darker"
	case w.Asked == "warmer" && !up:
		return "cooler"
	}
	return w.Asked
}

// WhyPart is one change.
type WhyPart struct {
	Change string  `json:"change"`
	Brings float64 `json:"brings"`
	EdgeMM float64 `json:"edge_mm,omitempty"`
}

// Side is one of two setups held against each other.
type Side struct {
	Job   *answer.Job
	Setup int
}

// mostExact is up to how many changes all orders are counted: 2^6 setups are traced at most.
const mostExact = 6

// Explain finds what made B softer, brighter or warmer than A: each change by itself, in every
// combination with the others, traced; a change's part is its mean effect over all orders
// in which the changes could be made (Shapley 1953). The parts add up to the whole.
// progress may be nil. Check: TestExplain.
func Explain(ctx context.Context, a, b Side, asked string, w meter.Work, progress func(done, of int)) (*Why, error) {
	e := &explainer{ctx: ctx, sides: [2]Side{a, b}, work: w, known: map[int][2]float64{}}
	out := &Why{Asked: asked, Parts: []WhyPart{}}
	switch asked {
	case "softer":
		e.value, out.Of, out.Unit = contrast, "the lit side of the face over its shadow side", "stops"
	case "brighter":
		e.value, out.Of, out.Unit = level, "the key side of the face in the picture", "stops"
	case "warmer":
		e.value, out.Of, out.Unit = warmth, "the light at the key side of the face", "mired"
	default:
		return nil, fmt.Errorf("--why %s: ask softer, brighter or warmer", asked)
	}
	if err := e.begin(); err != nil {
		return nil, err
	}
	for {
		err := e.traceAll(out, progress)
		if err == nil {
			break
		}
		if !errors.Is(err, errMixed) || !e.fuse() {
			return nil, err
		}
	}
	n := len(e.changes)
	if n == 0 {
		out.Notes = append(out.Notes, "nothing differs that light could see")
	}
	whole := 1<<n - 1
	first, last := e.known[0], e.known[whole]
	out.A, out.B, out.EdgeA, out.EdgeB = round(first[0], 3), round(last[0], 3), round(first[1], 1), round(last[1], 1)
	if asked != "softer" {
		out.EdgeA, out.EdgeB = 0, 0
	}
	parts := e.shares(out.Exact)
	for i, c := range e.changes {
		p := WhyPart{Change: c.words, Brings: round(parts[i][0], 3)}
		if asked == "softer" {
			p.EdgeMM = round(parts[i][1], 1)
		}
		out.Parts = append(out.Parts, p)
	}
	slices.SortStableFunc(out.Parts, func(x, y WhyPart) int {
		return cmp.Compare(math.Abs(y.Brings),
			math.Abs(x.Brings))
	})
	out.Notes = append(out.Notes, e.notes...)
	return out, nil
}

// errMixed says that some changes made without the others give a setup that cannot stand.
var errMixed = errors.New("one of the two, with a part of the other's changes, cannot stand")

// traceAll traces every setup that is asked for the parts.
func (e *explainer) traceAll(out *Why, progress func(done, of int)) error {
	n := len(e.changes)
	whole := 1<<n - 1
	masks := []int{0, whole}
	if out.Exact = n <= mostExact; out.Exact {
		masks = masks[:0]
		for m := range whole + 1 {
			masks = append(masks, m)
		}
	} else {
		for i := range n {
			masks = append(masks, 1<<i, whole&^(1<<i))
		}
	}
	for k, m := range masks {
		if err := e.trace(m); err != nil {
			if m != 0 && m != whole {
				err = fmt.Errorf("%w: %w", errMixed, err)
			}
			return err
		}
		if progress != nil {
			progress(k+1, len(masks))
		}
	}
	return nil
}

// fuse takes another change together with the room's, since one without the other cannot stand: a
// camera of a large room is outside the walls of a small one. It reports false where none is left.
func (e *explainer) fuse() bool {
	i := slices.IndexFunc(e.changes, func(c change) bool { return c.room })
	j := slices.IndexFunc(e.changes, func(c change) bool { return c.fuses })
	if i < 0 || j < 0 {
		return false
	}
	room, other := e.changes[i], e.changes[j]
	before := room.apply
	e.changes[i] = change{words: room.words + " and " + other.words, room: true,
		apply: func(to, from *shoot.Setup) {
			if before != nil {
				before(to, from)
			}
			other.apply(to, from)
		}}
	e.changes = slices.Delete(e.changes, j, j+1)
	e.known = map[int][2]float64{}
	e.notes = append(e.notes, other.words+" of one does not fit into the room of the other: they count as one change")
	return true
}

// change is one thing that is of A or of B.
type change struct {
	words string
	room  bool                        // the room and the place in it
	apply func(to, from *shoot.Setup) // takes it over from B
	fuses bool                        // may be taken together with the room
	way   string                      // of a light that comes or goes
}

type explainer struct {
	ctx     context.Context
	sides   [2]Side
	stages  [2]*stage.Stage
	poses   [2]Pose
	work    meter.Work
	value   func(m *answer.Metered) float64
	changes []change
	carried [2][2]shoot.Setup  // setup of a side in the room of a side
	known   map[int][2]float64 // by the changes made: the figure, and the edge in mm
	notes   []string
}

func (e *explainer) begin() error {
	for i, s := range e.sides {
		st, list := s.Job.Stage(s.Setup, figure.Shadow)
		if st == nil {
			return list.Err()
		}
		p, ok := poseOf(st)
		if !ok {
			return fmt.Errorf("%s has no sitter, so there is no face to say it of", st.Setup.Name)
		}
		e.stages[i], e.poses[i] = st, p
	}
	for i := range e.sides {
		for room := range e.sides {
			m := move{from: e.poses[i], to: e.poses[room]}
			e.carried[i][room] = m.setup(e.stages[i])
			e.carried[i][room].At = e.stages[room].Setup.At
			e.carried[i][room].Off, e.carried[i][room].Dim = e.stages[room].Setup.Off, e.stages[room].Setup.Dim
		}
	}
	e.find()
	return nil
}

// find lists what differs.
func (e *explainer) find() {
	a, b := &e.carried[0][0], &e.carried[1][0]
	fa, fb := e.sides[0].Job.File, e.sides[1].Job.File
	switch same := reflect.DeepEqual(fa.Room, fb.Room); {
	case !same:
		e.changes = append(e.changes, change{words: "the room", room: true})
	case e.poses[0] != e.poses[1] || e.stages[0].Setup.At != e.stages[1].Setup.At ||
		!reflect.DeepEqual(e.stages[0].Setup.Off, e.stages[1].Setup.Off):
		e.changes = append(e.changes, change{words: "the place in the room, and what of the house burns", room: true})
	}
	if !reflect.DeepEqual(a.Camera, b.Camera) {
		e.changes = append(e.changes, change{words: "the camera", fuses: true,
			apply: func(to, from *shoot.Setup) { to.Camera = from.Camera }})
	}
	if x, y := *a.Sitter, *b.Sitter; !reflect.DeepEqual(x, y) {
		e.changes = append(e.changes, change{words: "the sitter", fuses: true,
			apply: func(to, from *shoot.Setup) { to.Sitter = from.Sitter }})
	}
	if !reflect.DeepEqual(a.Panels, b.Panels) {
		e.changes = append(e.changes, change{words: "the panels",
			apply: func(to, from *shoot.Setup) { to.Panels = from.Panels }})
	}
	if !reflect.DeepEqual(a.Haze, b.Haze) {
		e.changes = append(e.changes, change{words: "the haze",
			apply: func(to, from *shoot.Setup) { to.Haze = from.Haze }})
	}
	fine := e.lights(a, b, true)
	if len(e.changes)+len(fine) > mostExact {
		fine = e.lights(a, b, false)
	}
	for _, way := range []string{wayAdded, wayAway} {
		if len(e.changes)+len(fine) > mostExact {
			fine = together(fine, way)
		}
	}
	e.changes = append(e.changes, fine...)
	if !reflect.DeepEqual(fa.Kit, fb.Kit) {
		e.notes = append(e.notes, "the two have kit of their own: heads and modifiers of each are taken with it")
	}
}

// together makes one change of those lights that come, or of those that go.
func together(list []change, way string) (out []change) {
	var all []change
	for _, c := range list {
		if c.way == way {
			all = append(all, c)
		} else {
			out = append(out, c)
		}
	}
	if len(all) < 2 {
		return list
	}
	return append(out, change{words: fmt.Sprintf("%d lights%s", len(all), way), way: way,
		apply: func(to, from *shoot.Setup) {
			for _, c := range all {
				c.apply(to, from)
			}
		}})
}

// How the words of a light that comes or goes end.
const (
	wayAdded = " added"
	wayAway  = " taken away"
)

// aspects are what of a light can be changed by itself.
var aspects = []struct {
	words string
	take  func(to, from *shoot.Light)
}{
	{"place and aim", func(to, from *shoot.Light) {
		to.At, to.Height, to.Aim, to.Feather, to.Stand = from.At, from.Height, from.Aim, from.Feather, from.Stand
	}},
	{"modifier", func(to, from *shoot.Light) {
		to.Modifier, to.Grid, to.Zoom, to.Roll = from.Modifier, from.Grid, from.Zoom, from.Roll
		to.Emitter = from.Emitter
	}},
	{"head and setting", func(to, from *shoot.Light) {
		to.Head, to.Power, to.Level, to.Off = from.Head, from.Power, from.Level, from.Off
	}},
	{"colour", func(to, from *shoot.Light) { to.Gel, to.Colour = from.Gel, from.Colour }},
}

// lights lists what differs in lights; fine: aspect by aspect.
func (e *explainer) lights(a, b *shoot.Setup, fine bool) (out []change) {
	find := func(s *shoot.Setup, l *shoot.Light) int {
		return slices.IndexFunc(s.Lights, func(x shoot.Light) bool {
			return strings.EqualFold(lightName(&x),
				lightName(l))
		})
	}
	for i := range a.Lights {
		l := a.Lights[i]
		j := find(b, &l)
		name := lightName(&l)
		if j < 0 {
			out = append(out, change{words: name + wayAway, way: wayAway, apply: func(to, _ *shoot.Setup) {
				if k := find(to, &l); k >= 0 {
					to.Lights[k].Off = true
				}
			}})
			continue
		}
		take := func(part func(to, from *shoot.Light)) func(to, from *shoot.Setup) {
			return func(to, from *shoot.Setup) {
				if k, m := find(to, &l), find(from, &l); k >= 0 && m >= 0 {
					part(&to.Lights[k], &from.Lights[m])
				}
			}
		}
		if !fine {
			if !reflect.DeepEqual(l, b.Lights[j]) {
				out = append(out, change{words: name, apply: take(func(to, from *shoot.Light) { *to = *from })})
			}
			continue
		}
		for _, s := range aspects {
			x := l
			s.take(&x, &b.Lights[j])
			if !reflect.DeepEqual(x, l) {
				out = append(out, change{words: name + ": " + s.words, apply: take(s.take)})
			}
		}
	}
	for i := range b.Lights {
		l := b.Lights[i]
		if find(a, &l) < 0 {
			words := lightName(&l) + wayAdded
			out = append(out, change{words: words, way: wayAdded, apply: func(to, from *shoot.Setup) {
				if m := find(from, &l); m >= 0 {
					to.Lights = append(to.Lights, from.Lights[m])
				}
			}})
		}
	}
	return out
}

func lightName(l *shoot.Light) string {
	if l.Name != "" {
		return l.Name
	}
	return l.Role
}

// trace meters A with the changes of a mask made.
func (e *explainer) trace(mask int) error {
	if _, ok := e.known[mask]; ok {
		return nil
	}
	room := 0
	for i, c := range e.changes {
		if c.room && mask&(1<<i) != 0 {
			room = 1
		}
	}
	set := e.carried[0][room]
	set.Lights = slices.Clone(set.Lights)
	for i, c := range e.changes {
		if mask&(1<<i) != 0 && c.apply != nil {
			c.apply(&set, &e.carried[1][room])
		}
	}
	set.Points = nil
	job := *e.sides[room].Job
	f := *job.File
	f.Kit = both(e.sides[room].Job.File.Kit, e.sides[1-room].Job.File.Kit)
	f.Setups, job.File, job.Doc = []shoot.Setup{set}, &f, nil
	m, list, err := job.Meter(e.ctx, 0, e.work)
	if err != nil {
		return err
	}
	if m == nil {
		return firstError(list)
	}
	e.known[mask] = [2]float64{e.value(m), edge(m)}
	return nil
}

func firstError(list diag.List) error {
	for _, m := range list {
		if m.Severity == diag.Error {
			return errors.New(m.Text)
		}
	}
	return errors.New("the setup cannot be built")
}

// shares gives each change its part.
func (e *explainer) shares(exact bool) [][2]float64 {
	n := len(e.changes)
	whole := 1<<n - 1
	out := make([][2]float64, n)
	for i := range n {
		for c := range 2 {
			if !exact {
				out[i][c] = (e.known[1<<i][c] - e.known[0][c] + e.known[whole][c] - e.known[whole&^(1<<i)][c]) / 2
				continue
			}
			// The weight of a set of k others: k!(n−k−1)!/n!.
			for m := range whole + 1 {
				if m&(1<<i) != 0 {
					continue
				}
				k := bits.OnesCount(uint(m))
				weight := math.Gamma(float64(k+1)) * math.Gamma(float64(n-k)) / math.Gamma(float64(n+1))
				out[i][c] += weight * (e.known[m|1<<i][c] - e.known[m][c])
			}
		}
	}
	return out
}

// contrast is the lit side over the shadow side, stops.
func contrast(m *answer.Metered) float64 {
	if r := m.Facts.Ratio; r != nil && !math.IsInf(float64(r.LitOverShade), 0) {
		return float64(r.LitOverShade)
	}
	return 0
}

// edge is the edge of the nose's shadow, mm: of each light, by its share at the key side.
func edge(m *answer.Metered) float64 {
	var sum, whole float64
	for i := range m.Readings {
		if m.Readings[i].Name != "face key side" {
			continue
		}
		for _, l := range m.Readings[i].Lights {
			for _, f := range m.Facts.Lights {
				if f.Name == l.Name && f.Penumbra > 0 {
					sum, whole = sum+l.Share*float64(f.Penumbra)*1000, whole+l.Share
				}
			}
		}
	}
	if whole == 0 {
		return 0
	}
	return sum / whole
}

func level(m *answer.Metered) float64 {
	for i := range m.Readings {
		if r := &m.Readings[i]; r.Name == "face key side" && !r.Dark {
			return float64(r.Stops)
		}
	}
	return 0
}

func warmth(m *answer.Metered) float64 {
	for i := range m.Readings {
		if r := &m.Readings[i]; r.Name == "face key side" && r.Kelvin > 0 {
			return 1e6 / r.Kelvin
		}
	}
	return 0
}
