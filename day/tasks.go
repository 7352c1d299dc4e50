package day

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"halfstop/kind"
	"halfstop/kit"
	"halfstop/shoot"
)

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
	// What needs two only for speed is done by one alone, in as much longer; a boom and a frame
	// are not.
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

// left is what stands from the setup before: everything, or the very setup where it was built in
// the pre-light.
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

// alter turns a light that stands into one of the next setup: one task for one pair of hands, its
// steps in the order in which they are done.
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
		w.tasks[at].Dur, w.tasks[at].Hands, w.tasks[at].Several = dur, people, len(steps) > 1
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
