package shoot

import (
	"fmt"

	q "halfstop/quantity"
	"halfstop/yamltext"
)

// Work is the plan of the day: the people, how long things take, and tasks other than the light.
type Work struct {
	People    []Member        `yaml:"people" doc:"the crew by name; absent: as many as crew says, by number"`
	Durations map[string]Span `yaml:"durations" fill:"no" doc:"how long this crew takes, by action; absent: common practice, see docs/day.md"`
	Order     []string        `yaml:"order" doc:"setups in the order to keep; absent: the best order is found" names:"setups"`
	Tasks     []Job           `yaml:"tasks" doc:"what else is to be done"`
	Locks     []Lock          `yaml:"locks" doc:"tasks held where a person has put them"`
	Frames    int             `yaml:"frames" default:"60" least:"1" most:"10000" doc:"frames taken of a setup, where it does not say"`
}

// Accepted is a finding or caution that the crew accepts, with the reason.
type Accepted struct {
	Code   string `yaml:"code" need:"true" doc:"of the message, as check --json prints it" like:"day.way"`
	About  string `yaml:"about" doc:"only where the message speaks of this: a setup, a light" like:"Aisle"`
	Reason string `yaml:"reason" need:"true" doc:"why" like:"the venue's manager stands at the door"`
}

// Member is one of the crew.
type Member struct {
	Name string   `yaml:"name" need:"true" doc:"as the papers shall call this person"`
	Does []string `yaml:"does" need:"true" doc:"'photographer', 'assistant', 'hair and make-up', 'wardrobe', 'other': what this person does" words:"photographer|assistant|hair and make-up|wardrobe|other"`
}

// Job is a task of the crew's own, beside those that follow from the setups.
type Job struct {
	Name  string   `yaml:"name" need:"true" doc:"what is done"`
	Setup string   `yaml:"setup" doc:"before this setup is shot; absent: before the first" names:"setups"`
	Takes Span     `yaml:"takes" need:"true" doc:"how long"`
	Hands int      `yaml:"hands" default:"1" least:"0" most:"20" doc:"people at once"`
	Who   []string `yaml:"who" doc:"who may do it; absent: photographers and assistants" words:"photographer|assistant|hair and make-up|wardrobe|other"`
	After []string `yaml:"after" doc:"own tasks of the same setup that must be over before"`
	At    string   `yaml:"at" doc:"not before this time, hh:mm" form:"clock"`
	Early bool     `yaml:"early" doc:"free hands may do it while the picture before is taken"`
}

// Lock fixes a task of the plan in time or to people.
type Lock struct {
	Task string   `yaml:"task" need:"true" doc:"as the run sheet calls it" like:"Aisle: rig accent"`
	At   string   `yaml:"at" doc:"the minute in which it begins, hh:mm; absent: any" form:"clock"`
	By   []string `yaml:"by" doc:"who does it, by name; absent: anyone who may"`
}

// SetupDay is what the plan of the day needs to know of a setup.
type SetupDay struct {
	Shoot    Span     `yaml:"shoot" doc:"how long its pictures take; absent: 10 / 14 / 20 min (common practice, no source)"`
	Frames   int      `yaml:"frames" least:"0" most:"10000" doc:"frames taken"`
	Burst    float64  `yaml:"burst" least:"0" most:"60" doc:"frames a second while the shutter is held down; absent: single frames" unit:"frames a second"`
	Hair     string   `yaml:"hair" default:"touch" words:"none|touch|change|full" doc:"'none', 'touch' (powder), 'change' (hair or make-up anew in part), 'full'"`
	Wardrobe string   `yaml:"wardrobe" doc:"what the sitter wears, in words; another word than the setup before means a change of clothes"`
	After    []string `yaml:"after" doc:"setups that must be shot before" names:"setups"`
	Sitter   string   `yaml:"sitter" default:"still" words:"still|turns|walks|jumps" doc:"how the sitter moves while pictures are taken: for ghosts and smears"`
	Earliest string   `yaml:"earliest" doc:"not begun before, hh:mm" form:"clock"`
	Latest   string   `yaml:"latest" doc:"not begun after, hh:mm: its light is gone" form:"clock"`
	Must     bool     `yaml:"must" doc:"it may not be left out"`
}

// Span is how long something takes, in minutes: least, likely, most. Written '5 min' or [3 min, 5
// min, 9 min].
type Span struct {
	Low, Likely, High q.Minutes
}

// Said reports whether a span is written.
func (s Span) Said() bool { return s != Span{} }

// UnmarshalNode reads one duration or three rising ones.
func (s *Span) UnmarshalNode(d *yamltext.Decoder, n *yamltext.Node) {
	const fix = "write 5 min, or least, likely and most: [3 min, 5 min, 9 min]"
	if n.Kind != yamltext.List {
		mark := d.Mark()
		var m q.Minutes
		d.Into(n, &m)
		if !d.Failed(mark) {
			*s = Span{m, m, m}
		}
	} else {
		mark := d.Mark()
		var m []q.Minutes
		d.Into(n, &m)
		if d.Failed(mark) {
			return
		}
		if len(m) != 3 {
			d.Problem(n, "file.count", fix, "%s has %d durations", d.What(), len(m))
			return
		}
		*s = Span{m[0], m[1], m[2]}
	}
	if !(s.Low >= 0 && s.Low <= s.Likely && s.Likely <= s.High && s.High <= 24*60) {
		d.Problem(n, "file.range", fix, "%s: least, likely and most do not rise, or pass a day", d.What())
		*s = Span{}
	}
}

// day checks the plan of the day.
func (c *checker) day() {
	w := &c.file.Day
	var setups []string
	for i := range c.file.Setups {
		setups = append(setups, c.file.Setups[i].Name)
	}
	seen := names{}
	for i := range w.People {
		c.unique(seen, "a person", w.People[i].Name, fmt.Sprintf("day.people[%d]", i))
	}
	twice := names{}
	for i, name := range w.Order {
		p := fmt.Sprintf("day.order[%d]", i)
		c.refers(p, "setup called", name, setups)
		c.unique(twice, "a setup of the order", name, p)
	}
	jobs := names{}
	var known []string
	for i := range w.Tasks {
		known = append(known, w.Tasks[i].Name)
	}
	for i := range w.Tasks {
		j := &w.Tasks[i]
		p := fmt.Sprintf("day.tasks[%d]", i)
		c.unique(jobs, "a task", j.Name, p)
		if j.Setup != "" {
			c.refers(p+".setup", "setup called", j.Setup, setups)
		}
		for k, a := range j.After {
			c.refers(fmt.Sprintf("%s.after[%d]", p, k), "task called", a, known)
		}
		c.clockTime(p+".at", j.At)
	}
	held := names{}
	for i := range w.Locks {
		p := fmt.Sprintf("day.locks[%d]", i)
		c.unique(held, "a locked task", w.Locks[i].Task, p)
		c.clockTime(p+".at", w.Locks[i].At)
	}
	for i := range c.file.Setups {
		s := c.file.Setups[i].Day
		if s == nil {
			continue
		}
		p := fmt.Sprintf("setups[%d].day", i)
		c.clockTime(p+".earliest", s.Earliest)
		c.clockTime(p+".latest", s.Latest)
		for k, a := range s.After {
			at := fmt.Sprintf("%s.after[%d]", p, k)
			if c.refers(at, "setup called", a, setups) && fold(a) == fold(c.file.Setups[i].Name) {
				c.say(at, "shoot.after", "delete it", "a setup cannot come after itself")
			}
		}
	}
}
