package day

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/diag"
	"halfstop/kind"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
)

// The skills that a crew's members have.
const (
	Photographer = "photographer"
	Assistant    = "assistant"
	Hair         = "hair and make-up"
	Wardrobe     = "wardrobe"
	Other        = "other"
)

// hands are those who carry and rig.
var hands = []string{Photographer, Assistant}

// settling is how long haze evens out before a picture is taken, seconds (common practice, no source).
const settling = 180

// near is what still counts as the same place of a light, metres.
const near = 0.1

// deriver turns a shoot into a plan.
type deriver struct {
	f       *shoot.File
	kit     *kit.Kit
	usual   map[string]Usual
	durs    map[string]Duration
	setups  []int // of the file, by setup of the plan: the plan keeps the file's order
	have    map[string]int
	list    diag.List
	begin   int
	arrives int
	crew    []Person
}

// Begin, where the file says no hours: 9:00.
const noHours = 9 * 3600

// FromShoot derives the plan of a shoot's day: what has to be done between each two setups, by comparing
// them, and who is there to do it. k is the whole kit. Messages tell what the file does not say and
// what stands in for it.
func FromShoot(f *shoot.File, k *kit.Kit) (*Plan, diag.List) {
	d := &deriver{f: f, kit: k, usual: map[string]Usual{}, durs: map[string]Duration{}}
	for _, u := range Usuals() {
		d.usual[u.Action], d.durs[u.Action] = u, u.Dur
	}
	for name, s := range f.Day.Durations {
		if _, ok := d.usual[strings.ToLower(name)]; !ok {
			d.say(diag.Finding, "day.duration", fmt.Sprintf("there is no action called %q among the durations",
				name),
				"write one of: "+strings.Join(d.actions(), ", "))
			continue
		}
		if s.Said() {
			d.durs[strings.ToLower(name)] = Of(s)
		}
	}
	d.crew = d.people()
	p := &Plan{Last: -1, People: d.crew}
	d.hours(p)
	d.counts()
	for i := range f.Setups {
		p.Setups = append(p.Setups, d.setup(&f.Setups[i]))
	}
	if len(f.Day.Order) > 0 {
		p.Fixed = []int{}
		for _, name := range f.Day.Order {
			if i := d.index(name); i >= 0 {
				p.Fixed = append(p.Fixed, i)
			}
		}
	}
	p.Change, p.Strike, p.Build = d.change, d.strike, d.builds(p)
	return p, d.list
}

func (d *deriver) say(s diag.Severity, code, text, fix string) {
	d.list = append(d.list, diag.Message{Severity: s, Code: code, Text: text, Fix: fix})
}

func (d *deriver) actions() []string {
	var out []string
	for _, u := range Usuals() {
		out = append(out, u.Action)
	}
	return out
}

func (d *deriver) index(name string) int {
	return slices.IndexFunc(d.f.Setups, func(s shoot.Setup) bool { return strings.EqualFold(s.Name, name) })
}

// people are the members named, or as many as the crew counts.
func (d *deriver) people() []Person {
	var out []Person
	for _, m := range d.f.Day.People {
		out = append(out, Person{m.Name, m.Does})
	}
	if len(out) > 0 {
		return out
	}
	c := d.f.Shoot.Crew
	for _, g := range []struct {
		n    int
		does string
	}{{c.Photographer, Photographer}, {c.Assistants, Assistant}, {c.HairAndMakeUp, Hair}, {c.Other, Other}} {
		for i := range g.n {
			name := g.does
			if g.n > 1 {
				name = fmt.Sprintf("%s %d", g.does, i+1)
			}
			out = append(out, Person{name, []string{g.does}})
		}
	}
	if len(out) == 0 {
		out = []Person{{"photographer 1", []string{Photographer}}, {"photographer 2", []string{Photographer}},
			{"assistant", []string{Assistant}}}
		d.say(diag.Note, "day.crew", "the shoot says no crew: two photographers and an assistant are assumed",
			"add crew: to shoot:, or people: to day:")
	}
	return out
}

// Seconds reads 'hh:mm' as seconds after midnight.
func Seconds(clock string) (int, bool) {
	var h, m int
	if n, err := fmt.Sscanf(clock, "%d:%d", &h, &m); n != 2 || err != nil || h < 0 || h > 23 || m < 0 || m > 59 {
		return 0, false
	}
	return h*3600 + m*60, true
}

func (d *deriver) hours(p *Plan) {
	h := d.f.Shoot.Hours
	var ok bool
	if d.begin, ok = Seconds(h.Access); !ok {
		d.begin = noHours
		d.say(diag.Note, "day.hours", "the shoot says no hour of access: 09:00 is assumed, and no end",
			"add hours: to shoot:")
	}
	d.arrives, _ = Seconds(h.Sitter)
	p.Begin = d.begin
	p.Leave, _ = Seconds(h.Strike)
	p.Out, _ = Seconds(h.Out)
	// A day that runs past midnight goes on counting.
	last := d.begin
	for _, t := range []*int{&d.arrives, &p.Leave, &p.Out} {
		if *t > 0 && *t < last {
			*t += 24 * 3600
		}
		last = max(last, *t)
	}
}

// counts are the heads, modifiers, grids and panels at hand. What has no count in the kit is taken to be
// there as often as the setup that needs most of it.
func (d *deriver) counts() {
	d.have = map[string]int{}
	for i := range d.f.Setups {
		for name, n := range d.needs(uint(1) << i) {
			d.have[name] = max(d.have[name], n)
		}
	}
	for _, h := range d.kit.Heads {
		if h.Have > 0 {
			d.have["head "+strings.ToLower(h.Name)] = h.Have
		}
	}
	for _, m := range d.kit.Modifiers {
		if m.Have > 0 {
			d.have["modifier "+strings.ToLower(m.Name)] = m.Have
		}
	}
	for _, g := range d.kit.Grids {
		if g.Have > 0 {
			d.have["grid "+strings.ToLower(g.Name)] = g.Have
		}
	}
}

// needs counts what the setups of a set use together.
func (d *deriver) needs(set uint) map[string]int {
	n := map[string]int{}
	for i := range d.f.Setups {
		if set&(1<<i) == 0 {
			continue
		}
		for _, l := range d.f.Setups[i].Lights {
			for _, u := range []struct{ kind, name string }{{"head ", l.Head}, {"modifier ", l.Modifier}, {"grid ",
				l.Grid}} {
				if u.name != "" && !strings.EqualFold(u.name, "bare") {
					n[u.kind+strings.ToLower(u.name)]++
				}
			}
		}
		for _, p := range d.f.Setups[i].Panels {
			n["panel "+strings.ToLower(p.Kind)+fmt.Sprint(p.Size)]++
		}
	}
	return n
}

// enough reports whether the kit has what the setups of a set use at once.
func (d *deriver) enough(set uint) bool {
	for name, n := range d.needs(set) {
		if n > d.have[name] {
			return false
		}
	}
	return true
}

// builds are the sets of setups that the kit allows to stand ready at once.
func (d *deriver) builds(p *Plan) []uint {
	out := []uint{0}
	if len(p.Setups) > 12 {
		return out
	}
	for set := uint(1); set < 1<<len(p.Setups); set++ {
		if d.enough(set) && apart(d.f, set) {
			out = append(out, set)
		}
	}
	// The larger sets are seldom better, and there are many of them where little stands in the way.
	slices.SortStableFunc(out, func(a, b uint) int { return cmp.Compare(count(a), count(b)) })
	return out[:min(len(out), 300)]
}

func count(set uint) int {
	n := 0
	for ; set != 0; set &= set - 1 {
		n++
	}
	return n
}

// apart reports whether no stand of one setup is where a sitter or camera of another is: setups that share
// a place cannot both stand.
func apart(f *shoot.File, set uint) bool {
	const keep = 0.7 // metres: a stand's feet and a person
	type spot struct {
		setup int
		x, y  float64
	}
	var lights, keepClear []spot
	for i := range f.Setups {
		s := &f.Setups[i]
		if set&(1<<i) == 0 {
			continue
		}
		for _, l := range s.Lights {
			if len(l.At) >= 2 {
				lights = append(lights, spot{i, float64(l.At[0]), float64(l.At[1])})
			}
		}
		if s.Sitter != nil {
			keepClear = append(keepClear, spot{i, float64(s.Sitter.At[0]), float64(s.Sitter.At[1])})
		}
		if s.Camera != nil && len(s.Camera.At) >= 2 {
			keepClear = append(keepClear, spot{i, float64(s.Camera.At[0]), float64(s.Camera.At[1])})
		}
	}
	for _, a := range lights {
		for _, b := range append(keepClear, lights...) {
			if a.setup != b.setup && math.Hypot(a.x-b.x, a.y-b.y) < keep {
				return false
			}
		}
	}
	return true
}

func (d *deriver) setup(s *shoot.Setup) Setup {
	out := Setup{Name: s.Name, Priority: max(1, s.Priority)}
	dur := d.durs["shoot"]
	if w := s.Day; w != nil {
		if w.Shoot.Said() {
			dur = Of(w.Shoot)
		}
		for _, a := range w.After {
			if i := d.index(a); i >= 0 {
				out.After = append(out.After, i)
			}
		}
		out.Earliest, _ = Seconds(w.Earliest)
		out.Latest, _ = Seconds(w.Latest)
		out.Must = w.Must
	}
	if s.Sitter != nil {
		out.Earliest = max(out.Earliest, d.arrives)
	}
	out.Shoot = Task{ID: s.Name + ": shoot", Text: "shoot " + s.Name, Kind: "shoot", Dur: dur, Hands: 1,
		Who: []string{Photographer}, Uses: []string{"sitter"}}
	return out
}

// work collects the tasks of one change.
type work struct {
	d     *deriver
	name  string // of the setup they lead to
	tasks []Task
	used  map[string]int
}

// add puts a task on the list and gives its index.
func (w *work) add(action, text string, who []string, after ...int) int {
	u := w.d.usual[action]
	t := Task{ID: w.name + ": " + text, Text: text, Kind: action, Dur: w.d.durs[action], Hands: u.Hands, Who: who}
	// What needs two only for speed is done by one alone, in as much longer; a boom and a frame are not.
	if n := w.d.able(who); n > 0 && n < t.Hands && action != "fly a boom" && action != "rig a frame" {
		t.Dur, t.Hands = t.Dur.Times(float64(t.Hands)/float64(n)), n
	}
	if w.used[t.ID]++; w.used[t.ID] > 1 {
		t.ID = fmt.Sprintf("%s (%d)", t.ID, w.used[t.ID])
	}
	for _, a := range after {
		if a >= 0 {
			t.After = append(t.After, Link{Task: a})
		}
	}
	w.tasks = append(w.tasks, t)
	return len(w.tasks) - 1
}

// able counts the people who may do something.
func (d *deriver) able(who []string) int {
	n := 0
	for _, p := range d.crew {
		if slices.ContainsFunc(p.Skills, func(s string) bool { return slices.Contains(who, s) }) {
			n++
		}
	}
	return n
}

// change gives the tasks that lead from one setup to another.
func (d *deriver) change(from, to int, standing uint) ([]Task, bool) {
	if !d.enough(standing | 1<<to) {
		return nil, false
	}
	s := &d.f.Setups[to]
	w := &work{d: d, name: s.Name, used: map[string]int{}}
	var before *shoot.Setup
	in, ready := -1, -1
	if from >= 0 {
		before = &d.f.Setups[from]
	} else {
		in = w.add("load in", "load in", hands)
		ready = w.sitter(s)
		for i := range d.f.Setups {
			if standing&(1<<i) != 0 && i != to {
				v := &work{d: d, name: d.f.Setups[i].Name, used: w.used, tasks: w.tasks}
				v.build(nil, &d.f.Setups[i], in)
				w.tasks = v.tasks
			}
		}
	}
	built := from >= 0 && standing&(1<<to) != 0
	w.build(w.left(before, built), s, in)
	if !built || from < 0 {
		w.strikeRest(before, s, standing)
	}
	w.rest(before, s, in, ready)
	return w.tasks, true
}

// left is what stands from the setup before: everything, or the very setup where it was built in the pre-light.
func (w *work) left(before *shoot.Setup, built bool) *shoot.Setup {
	if !built {
		return before
	}
	i := w.d.index(w.name)
	return &w.d.f.Setups[i]
}

// sitter is the arrival and the first hair and make-up.
func (w *work) sitter(s *shoot.Setup) int {
	kind := "first hair and make-up"
	if !slices.ContainsFunc(w.d.crew, func(p Person) bool { return slices.Contains(p.Skills, Hair) }) {
		return -1
	}
	i := w.add(kind, kind, []string{Hair})
	w.tasks[i].Uses, w.tasks[i].NotBefore = []string{"sitter"}, w.d.arrives
	return i
}

// build adds what has to be done to the lights and panels of s, given what stands from before.
func (w *work) build(before, s *shoot.Setup, in int) {
	var stand []shoot.Light
	var panels []shoot.Panel
	var off []string
	if before != nil {
		stand, panels, off = before.Lights, before.Panels, before.Off
	}
	pair := pairs(stand, s.Lights)
	for k := range s.Lights {
		l := &s.Lights[k]
		if l.Head == "" {
			continue
		}
		if pair[k] < 0 {
			w.rig(l, in)
		} else {
			w.alter(&stand[pair[k]], l)
		}
	}
	taken := map[int]bool{}
	for _, p := range s.Panels {
		at := slices.IndexFunc(panels, func(o shoot.Panel) bool {
			return strings.EqualFold(o.Kind, p.Kind) && o.Size == p.Size && o.Face == p.Face
		})
		what := called(p.Name, p.Kind)
		switch {
		case at >= 0 && !taken[at]:
			taken[at] = true
			if distance(panels[at].At, p.At, panels[at].Height, p.Height) > near || panels[at].Aim != p.Aim {
				w.add("move a panel", "move "+what, hands)
			}
		case p.Size[0] > 1.05 || p.Size[1] > 1.05:
			w.add("rig a frame", "rig "+what, hands, in)
		default:
			w.add("rig a panel", "rig "+what, hands, in)
		}
	}
	if switches := differ(off, s.Off); before != nil && len(switches) > 0 || before == nil && len(s.Off) > 0 {
		if before == nil {
			switches = s.Off
		}
		w.add("house lights", "switch "+strings.Join(switches, ", "), hands, in)
	}
}

// rig builds a light from its case.
func (w *work) rig(l *shoot.Light, in int) {
	name := called(l.Name, l.Role)
	open := -1
	if w.folds(l.Modifier) {
		open = w.add("open a box", "open "+l.Modifier+" for "+name, hands, in)
	}
	action, text := "rig a light", "rig "+name
	if w.boom(l.Stand) {
		action, text = "fly a boom", "fly "+name+" on its boom"
	}
	at := w.add(action, text, hands, in, open)
	w.tasks[at].Early = true
	if open >= 0 {
		w.tasks[open].Early = true
	}
	if l.Outlet != "" {
		c := w.add("lay a cable", "cable "+name+" to "+l.Outlet, hands, in)
		w.tasks[c].Uses, w.tasks[c].Early = []string{"outlet " + l.Outlet}, true
	}
}

// folds reports whether a modifier comes folded in a bag.
func (w *work) folds(name string) bool {
	i := slices.IndexFunc(w.d.kit.Modifiers, func(m kit.Modifier) bool { return strings.EqualFold(m.Name, name) })
	if i < 0 {
		return false
	}
	k, ok := kind.FindModifier(w.d.kit.Modifiers[i].Kind)
	return ok && k.Folds
}

func (w *work) boom(name string) bool {
	i := slices.IndexFunc(w.d.kit.Stands, func(m kit.Stand) bool { return strings.EqualFold(m.Name, name) })
	return i >= 0 && w.d.kit.Stands[i].Kind == "boom"
}

// alter turns a light that stands into one of the next setup: one task for one pair of hands, its steps in
// the order in which they are done.
func (w *work) alter(a, b *shoot.Light) {
	var steps []string
	var dur Duration
	people, first := 1, ""
	step := func(action, text string) {
		steps, dur = append(steps, text), dur.Plus(w.d.durs[action])
		first = cmp.Or(first, action)
	}
	switch {
	case distance(a.At, b.At, a.Height, b.Height) > near || !strings.EqualFold(a.Stand, b.Stand):
		step("move a light", "move")
		if w.boom(b.Stand) {
			people = 2
		}
	case a.Aim != b.Aim || a.Roll != b.Roll:
		step("aim a light", "aim")
	}
	if !strings.EqualFold(bare(a.Modifier), bare(b.Modifier)) {
		step("swap modifier", bare(a.Modifier)+" to "+bare(b.Modifier))
	}
	if !strings.EqualFold(a.Grid, b.Grid) {
		step("change grid", cmp.Or(b.Grid, a.Grid)+onOff(b.Grid != ""))
	}
	if !slices.Equal(a.Gel, b.Gel) {
		step("change gel", cmp.Or(strings.Join(b.Gel, " + "), strings.Join(a.Gel, " + "))+onOff(len(b.Gel) > 0))
	}
	if a.Power != b.Power || share(a.Level) != share(b.Level) || a.Off != b.Off || a.Colour.Like != b.Colour.Like ||
		a.Colour.Kelvin != b.Colour.Kelvin {
		step("set power", setting(b))
	}
	if len(steps) > 0 {
		at := w.add(first, called(b.Name, b.Role)+": "+strings.Join(steps, ", "), hands)
		w.tasks[at].Dur, w.tasks[at].Hands = dur, people
	}
	if a.Outlet != b.Outlet && b.Outlet != "" {
		c := w.add("lay a cable", "cable "+called(b.Name, b.Role)+" to "+b.Outlet, hands)
		w.tasks[c].Uses = []string{"outlet " + b.Outlet}
	}
}

func onOff(on bool) string {
	if on {
		return " on"
	}
	return " off"
}

// strikeRest takes away what the next setup has no use for. A light that may stay, stays: only off.
func (w *work) strikeRest(before, s *shoot.Setup, standing uint) {
	if before == nil {
		return
	}
	pair := pairs(before.Lights, s.Lights)
	for k := range before.Lights {
		if l := &before.Lights[k]; l.Head != "" && !slices.Contains(pair, k) {
			w.add("strike a light", "strike "+called(l.Name, l.Role)+" of "+before.Name, hands)
		}
	}
	taken := map[int]bool{}
	for _, p := range before.Panels {
		at := slices.IndexFunc(s.Panels, func(o shoot.Panel) bool {
			return strings.EqualFold(o.Kind, p.Kind) && o.Size == p.Size && o.Face == p.Face
		})
		if at >= 0 && !taken[at] {
			taken[at] = true
			continue
		}
		w.add("strike a panel", "strike "+called(p.Name, p.Kind)+" of "+before.Name, hands)
	}
}

// rest is what waits for the lights: camera, haze, metering; and the sitter's own changes.
func (w *work) rest(before, s *shoot.Setup, in, ready int) {
	lit := make([]int, 0, len(w.tasks))
	for i := range w.tasks {
		if i != ready {
			lit = append(lit, i)
		}
	}
	if s.Camera != nil && (before == nil || before.Camera == nil || distance(before.Camera.At, s.Camera.At,
		before.Camera.Height, s.Camera.Height) > near ||
		before.Camera.Lens != s.Camera.Lens || before.Camera.Upright != s.Camera.Upright ||
		before.Camera.Aim != s.Camera.Aim) {
		lit = append(lit, w.add("camera", "camera to "+s.Name, []string{Photographer}, in))
	}
	haze := before != nil && before.Haze != nil
	settle := -1
	switch {
	case s.Haze != nil && !haze:
		settle = w.add("haze", "haze: fill and fan", hands, in)
	case s.Haze == nil && haze:
		lit = append(lit, w.add("clear haze", "clear the haze: doors and air", hands))
	}
	if len(lit) > 0 {
		m := w.add("meter", "meter "+s.Name, hands, lit...)
		if settle >= 0 {
			w.tasks[m].After = append(w.tasks[m].After, Link{settle, settling})
		}
	}
	w.people(before, s, ready)
	w.own(before == nil, s)
}

// people are the changes of hair, make-up and clothes.
func (w *work) people(before, s *shoot.Setup, ready int) {
	someone := slices.ContainsFunc(w.d.crew, func(p Person) bool { return slices.Contains(p.Skills, Hair) })
	hair, clothes := "touch", ""
	if s.Day != nil {
		hair, clothes = cmp.Or(s.Day.Hair, "touch"), s.Day.Wardrobe
	}
	at := ready
	if before != nil && before.Day != nil && clothes != "" && !strings.EqualFold(clothes,
		before.Day.Wardrobe) || before != nil && before.Day == nil && clothes != "" {
		at = w.add("change clothes", "change clothes: "+clothes, []string{Wardrobe, Hair, Assistant})
		w.tasks[at].Uses = []string{"sitter"}
	}
	if !someone || before == nil {
		return
	}
	kind := map[string]string{"touch": "touch up", "change": "change hair", "full": "full hair and make-up"}[hair]
	if kind == "" {
		return
	}
	at = w.add(kind, kind, []string{Hair}, at)
	w.tasks[at].Uses = []string{"sitter"}
}

// own are the crew's own tasks before a setup.
func (w *work) own(first bool, s *shoot.Setup) {
	index := map[string]int{}
	for _, j := range w.d.f.Day.Tasks {
		if j.Setup == "" && !first || j.Setup != "" && !strings.EqualFold(j.Setup, s.Name) {
			continue
		}
		t := Task{ID: s.Name + ": " + j.Name, Text: j.Name, Kind: "own", Dur: Of(j.Takes), Hands: j.Hands,
			Who: j.Who, Early: j.Early}
		if len(t.Who) == 0 {
			t.Who = hands
		}
		t.NotBefore, _ = Seconds(j.At)
		for _, a := range j.After {
			if i, ok := index[strings.ToLower(a)]; ok {
				t.After = append(t.After, Link{Task: i})
			}
		}
		index[strings.ToLower(j.Name)] = len(w.tasks)
		w.tasks = append(w.tasks, t)
	}
}

// strike is the end of the day.
func (d *deriver) strike(last int) []Task {
	w := &work{d: d, name: "strike", used: map[string]int{}}
	var after []int
	if last >= 0 && d.hot(&d.f.Setups[last]) {
		c := w.add("strike", "let hot lamps cool", hands)
		w.tasks[c].Dur, w.tasks[c].Hands = Fixed(10), 0 // common practice, no source
		after = append(after, c)
	}
	a := w.add("strike", "strike and pack", hands)
	for _, c := range after {
		w.add("strike a light", "pack the hot lamps", hands, a, c)
	}
	w.add("load out", "load out and walk through with the venue", hands, len(w.tasks)-1, a)
	return w.tasks
}

func (d *deriver) hot(s *shoot.Setup) bool {
	for _, l := range s.Lights {
		for _, h := range d.kit.Heads {
			if strings.EqualFold(h.Name, l.Head) && h.Hot {
				return true
			}
		}
	}
	return false
}

// pairs finds for each light of b the light of a that becomes it, -1 where none does: of the same head,
// with the least to do in all (exact over all ways to pair, by dynamic programming over subsets of a).
func pairs(a, b []shoot.Light) []int {
	if len(a) > 14 {
		a = a[:14]
	}
	const none = 1e9
	full := 1 << len(a)
	best := make([]float64, full)
	choice := make([][]int, len(b))
	for s := range best {
		best[s] = none
	}
	best[0] = 0
	for k := range b {
		next := make([]float64, full)
		pick := make([]int, full)
		for s := range next {
			// As a new light from its case.
			next[s], pick[s] = best[s]+600, -1
			for i := range a {
				if s&(1<<i) == 0 || !strings.EqualFold(a[i].Head, b[k].Head) || b[k].Head == "" {
					continue
				}
				if c := best[s&^(1<<i)] + effort(&a[i], &b[k]); c < next[s] {
					next[s], pick[s] = c, i
				}
			}
		}
		best, choice[k] = next, pick
	}
	s := 0
	for t := range best {
		if best[t] < best[s] {
			s = t
		}
	}
	out := make([]int, len(b))
	for k := len(b) - 1; k >= 0; k-- {
		out[k] = choice[k][s]
		if out[k] >= 0 {
			s &^= 1 << out[k]
		}
	}
	return out
}

// effort is about how long it takes to make one light of another, seconds.
func effort(a, b *shoot.Light) float64 {
	s := 0.0
	if d := distance(a.At, b.At, a.Height, b.Height); d > near {
		s += 60 + 10*d
	}
	if !strings.EqualFold(bare(a.Modifier), bare(b.Modifier)) {
		s += 90
	}
	if !strings.EqualFold(a.Grid, b.Grid) {
		s += 45
	}
	if !slices.Equal(a.Gel, b.Gel) {
		s += 45
	}
	if !strings.EqualFold(called(a.Name, a.Role), called(b.Name, b.Role)) {
		s += 15
	}
	return s
}

func distance(a, b []q.Metres, ha, hb q.Metres) float64 {
	at := func(p []q.Metres, h q.Metres, k int) float64 {
		switch {
		case k < len(p):
			return float64(p[k])
		case k == 2:
			return float64(h)
		}
		return 0
	}
	d := 0.0
	for k := range 3 {
		x := at(a, ha, k) - at(b, hb, k)
		d += x * x
	}
	return math.Sqrt(d)
}

func called(name, kind string) string {
	if name != "" {
		return name
	}
	return kind
}

func bare(m string) string { return cmp.Or(m, "bare") }

func share(s *q.Share) float64 {
	if s == nil {
		return 1
	}
	return float64(*s)
}

func setting(l *shoot.Light) string {
	switch {
	case l.Off:
		return "off"
	case l.Power != "":
		return l.Power
	case l.Level != nil:
		return l.Level.String()
	}
	return "full"
}

// differ lists what is in one of two lists only.
func differ(a, b []string) []string {
	var out []string
	for _, p := range [2][2][]string{{a, b}, {b, a}} {
		for _, s := range p[0] {
			if !slices.ContainsFunc(p[1], func(o string) bool { return strings.EqualFold(o, s) }) {
				out = append(out, s)
			}
		}
	}
	return out
}
