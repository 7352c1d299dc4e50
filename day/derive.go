package day

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/diag"
	"halfstop/kit"
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

// settling is how long haze evens out before a picture is taken, seconds (common practice, no
// source).
const settling = 180

// near is what still counts as the same place of a light, metres.
const near = 0.1

// deriver turns a shoot into a plan.
type deriver struct {
	f       *shoot.File
	kit     *kit.Kit
	usual   map[string]Usual
	durs    map[string]Duration
	have    map[string]int
	list    diag.List
	begin   int
	arrives int
	crew    []Person
}

// Begin, where the file says no hours: 9:00.
const noHours = 9 * 3600

// FromShoot derives the plan of a shoot's day: what has to be done between each two setups, by
// comparing them, and who is there to do it. k is the whole kit. Messages tell what the file does
// not say and what stands in for it.
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
	p := &Plan{Last: -1, People: d.crew, Paces: paces(d.durs, k.Timings)}
	for _, c := range p.Paces {
		d.durs[c.Action] = c.Now
	}
	for _, t := range k.Timings {
		if _, ok := d.usual[strings.ToLower(t.Action)]; !ok && t.Action != "own" {
			d.say(diag.Finding, "day.duration",
				fmt.Sprintf("there is no action called %q among the times that the crew took", t.Action),
				"write one of: "+strings.Join(d.actions(), ", "))
		}
	}
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
		out = []Person{{"photographer", []string{Photographer}}, {"assistant", []string{Assistant}}}
		d.say(diag.Note, "day.crew", "the shoot says no crew: a photographer and an assistant are assumed",
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

// counts are the heads, modifiers, grids and panels at hand. What has no count in the kit is taken
// to be there as often as the setup that needs most of it.
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

// apart reports whether no stand of one setup is where a sitter or camera of another is: setups
// that share a place cannot both stand.
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
			dur = Of(w.Shoot) // this picture's own time, whatever others took
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
