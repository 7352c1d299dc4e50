package answer

import (
	"context"
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"halfstop/day"
	"halfstop/diag"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
)

// Day is the planned day of a shoot, as `day --json` prints it. Times of day are 'hh:mm', lengths
// of time seconds, chances shares of simulated days, 0 to 1.
type Day struct {
	Version  int         `json:"version"`
	Title    string      `json:"title,omitempty"`
	Begin    string      `json:"begin"`
	Leave    string      `json:"sitter_leaves,omitempty"`
	Out      string      `json:"out,omitempty"`
	End      string      `json:"end"`
	Proven   bool        `json:"proven"` // there is no better plan in the model of package day
	Bound    string      `json:"bound"`  // none ends earlier than this
	People   []string    `json:"people"`
	Setups   []DaySetup  `json:"setups"` // in order of shooting, then those left out
	Tasks    []DayTask   `json:"tasks"`
	Out90    string      `json:"out_by_9_days_in_10"`
	OutIn    float64     `json:"chance_out_in_time"`
	All      float64     `json:"chance_of_all"`
	Days     int         `json:"days_simulated"`
	Reliefs  []DayRelief `json:"give_up_first"`
	Paces    []day.Pace  `json:"paces"`        // durations by what the crew was timed at
	OddTimes []string    `json:"times_unused"` // of the log, not believed
	Sentence string      `json:"sentence"`     // for the art director
	Messages diag.List   `json:"messages"`
	Live     *DayLive    `json:"live,omitempty"` // as it goes now, where DayWork.At says a time
}

// DaySetup is one setup of a day.
type DaySetup struct {
	Name   string  `json:"setup"`
	Shot   bool    `json:"shot"` // before this plan begins
	In     bool    `json:"in"`   // in the plan
	Begin  string  `json:"begin,omitempty"`
	End    string  `json:"end,omitempty"`
	Latest string  `json:"latest_begin,omitempty"`
	Chance float64 `json:"chance"`
	Built  bool    `json:"built_in_the_pre-light"`
	Limit  string  `json:"limit,omitempty"`  // it must have begun by then
	Whose  string  `json:"whose,omitempty"`  // what sets that limit
	From   int     `json:"from_minute"`      // of starts, after midnight
	Starts []int   `json:"starts,omitempty"` // simulated days by the minute in which it begins
}

// DayLive is the day as it goes at a moment, in the order of the plan.
type DayLive struct {
	Now     int         `json:"now_seconds"`           // seconds after midnight
	End     string      `json:"end"`                   // when the place is empty, from here
	Spare   *int        `json:"spare_seconds"`         // how late all of the rest may be; null: nothing limits it
	Planned *int        `json:"planned_spare_seconds"` // the same of the plan
	OutIn   float64     `json:"chance_out_in_time"`
	All     float64     `json:"chance_of_all"`
	Setups  []DaySetup  `json:"setups"`
	Tasks   []DayMoment `json:"tasks"` // in the order of the plan's
}

// DayMoment is when a task is, from what has happened; seconds after midnight.
type DayMoment struct {
	Start int  `json:"start_seconds"`
	End   int  `json:"end_seconds"`
	Begun bool `json:"begun"`
	Over  bool `json:"over"`
}

// DayTask is one task of a day.
type DayTask struct {
	ID       string   `json:"id"`
	Text     string   `json:"text"`
	Setup    string   `json:"setup,omitempty"`
	Action   string   `json:"action"`
	Begin    string   `json:"begin"`
	End      string   `json:"end"`
	Start    int      `json:"start_seconds"` // seconds after midnight
	Seconds  int      `json:"takes_seconds"`
	People   []string `json:"people"`
	Slack    int      `json:"slack_seconds"`
	Critical float64  `json:"critical"` // share of days on which it makes the end
	Picture  bool     `json:"picture"`
	Locked   bool     `json:"locked"` // held by day: locks
	Sitter   bool     `json:"sitter"` // the sitter is needed
}

// DayRelief is something that could be given up.
type DayRelief struct {
	Text    string  `json:"text"`
	Gain    float64 `json:"gain"`
	Chance  float64 `json:"chance_then"`
	Earlier int     `json:"ends_earlier_minutes"`
	Costs   string  `json:"costs"`
}

// DayWork is what a day is asked with.
type DayWork struct {
	Progress day.Progress
	Days     int // simulated; 0: 10,000
	Seed     uint64
	Quick    bool                // without what to give up first
	At       int                 // tell how it goes at this time, seconds after midnight; 0: as planned
	Seen     map[string]day.Seen // what has happened by then
	Took     map[string]float64  // minutes from begun to done, by task, as the log has them
}

// crew gives the whole kit with what the crew was timed at: elsewhere as kept, here as the log has
// it. odd names the times that are not believed.
func (j *Job) crew(f *shoot.File, took map[string]float64) (k kit.Kit, odd []string) {
	k = kit.Merge(kit.Catalogue(), f.Kit)
	if len(took) == 0 {
		return k, nil
	}
	here, odd := j.Timings(took)
	elsewhere := slices.DeleteFunc(slices.Clone(k.Timings), func(t kit.Timing) bool {
		return slices.ContainsFunc(here, func(h kit.Timing) bool { return h.Same(&t) })
	})
	k.Timings = append(here, elsewhere...)
	return k, odd
}

// Timings is what the log's times of this shoot's tasks teach of its crew, against durations that
// know nothing of any timing. odd names the times that are not believed.
func (j *Job) Timings(took map[string]float64) (list []kit.Timing, odd []string) {
	k := kit.Merge(kit.Catalogue(), j.File.Kit)
	k.Timings = nil
	p, _ := day.FromShoot(j.File, &k)
	list, odd = p.Timings(took)
	for i := range list {
		list[i].Date, list[i].Place = j.File.Shoot.Date, j.File.Shoot.Title
	}
	return list, odd
}

// Day plans the day of the shoot from where it is.
func (j *Job) Day(ctx context.Context, w DayWork) (*Day, diag.List, error) {
	k, odd := j.crew(j.File, w.Took)
	p, list := day.FromShoot(j.File, &k)
	if w.Days <= 0 {
		w.Days = 10000
	}
	now, err := p.Resume(w.Progress)
	if err != nil {
		return nil, list, err
	}
	free, locks := now, j.locks()
	now, which, err := free.Lock(locks)
	if err != nil {
		path := fmt.Sprintf("day.locks[%d]", which)
		return nil, append(list, diag.Message{Severity: diag.Error, Code: "day.lock", Pos: j.Doc.Pos(path),
			Text: err.Error(), Fix: "write a task and people as the run sheet calls them, or delete the lock"}), err
	}
	d, err := now.Solve(ctx)
	if err != nil {
		return nil, list, err
	}
	blocked := free.LockConflicts(ctx, locks, d)
	if len(d.Order) == 0 && len(locks) > 0 {
		// Held as they are nothing could be shot: the plan without them, and what they break.
		now = free
		if d, err = now.Solve(ctx); err != nil {
			return nil, list, err
		}
	}
	if len(d.Order) == 0 && len(now.Setups) > bits.OnesCount(now.Shot) {
		why := d.Conflict
		if d, err = now.Relaxed(ctx); err != nil {
			return nil, list, err
		}
		if len(d.Conflict) == 0 {
			d.Conflict = why
		}
	}
	c := now.Simulate(d, w.Days, w.Seed)
	out := collect(j.File, now, d, c)
	for i := range out.Tasks {
		out.Tasks[i].Locked = slices.ContainsFunc(locks,
			func(l day.Lock) bool { return strings.EqualFold(l.Task, out.Tasks[i].ID) })
	}
	if w.At > 0 {
		out.Live = live(j.File, now, d, w)
	}
	d.Conflict = append(blocked, d.Conflict...)
	for _, m := range d.Conflict {
		list = append(list, diag.Message{Severity: diag.Finding, Code: m.Code, Text: m.Text, Fix: m.Fix,
			Pos: j.dayPos(m.Setup)})
	}
	if c.All < 0.9 && ctx.Err() == nil && !w.Quick {
		rs, err := now.Reliefs(d, j.options(w, now, d), min(w.Days, 2000), w.Seed,
			func(p *day.Plan) (*day.Day, error) { return p.Solve(ctx) })
		if err != nil {
			return nil, list, err
		}
		for _, r := range rs {
			if r.Gain > 0.005 {
				out.Reliefs = append(out.Reliefs, DayRelief{r.Text, r.Gain, r.Chance, (d.End - r.End) / 60, r.Costs})
			}
		}
	}
	out.Paces, out.OddTimes = append(out.Paces, p.Paces...), append(out.OddTimes, odd...)
	out.Sentence = daySentence(out, w.Progress.Now > 0)
	out.Messages = list
	return out, list, nil
}

// DayIDs lists every task that any plan of the day may have.
func (j *Job) DayIDs() []string {
	k := kit.Merge(kit.Catalogue(), j.File.Kit)
	p, _ := day.FromShoot(j.File, &k)
	return p.IDs()
}

func (j *Job) dayPos(setup int) diag.Pos {
	if setup < 0 {
		return j.Doc.Pos("shoot.hours")
	}
	return j.Doc.Pos(fmt.Sprintf("setups[%d]", setup))
}

func collect(f *shoot.File, p *day.Plan, d *day.Day, c day.Chances) *Day {
	out := &Day{Version: 1, Title: f.Shoot.Title, Begin: day.Clock(p.Begin), End: day.Clock(d.End),
		Proven: d.Proven,
		Bound:  day.Clock(d.Bound), Days: c.Days, OutIn: c.Out, All: c.All, Out90: day.Clock(c.Ends[2]),
		Paces: []day.Pace{}, OddTimes: []string{},
		Reliefs: []DayRelief{}, People: []string{}, Setups: []DaySetup{}, Tasks: []DayTask{}}
	if p.Leave > 0 {
		out.Leave = day.Clock(p.Leave)
	}
	if p.Out > 0 {
		out.Out = day.Clock(p.Out)
	}
	for _, q := range p.People {
		out.People = append(out.People, q.Name)
	}
	for i := range d.Tasks {
		t := &d.Tasks[i]
		row := DayTask{ID: t.ID, Text: t.Text, Action: t.Kind, Begin: day.Clock(t.Start), End: day.Clock(t.End),
			Start:   t.Start,
			Sitter:  slices.Contains(t.Uses, "sitter"),
			Seconds: t.End - t.Start, Slack: t.Slack, Critical: c.Critical[i], People: []string{}}
		if t.Setup >= 0 {
			row.Setup = p.Setups[t.Setup].Name
			row.Picture = t.ID == p.Setups[t.Setup].Shoot.ID
		}
		for _, k := range t.People {
			row.People = append(row.People, p.People[k].Name)
		}
		out.Tasks = append(out.Tasks, row)
	}
	for i := range p.Setups {
		if p.Shot&(1<<i) != 0 {
			out.Setups = append(out.Setups, DaySetup{Name: p.Setups[i].Name, Shot: true, Chance: 1})
		}
	}
	for k, i := range d.Order {
		x := &c.Setups[i]
		s := DaySetup{Name: p.Setups[i].Name, In: true, Chance: x.Done, Built: k > 0 && d.Built&(1<<i) != 0,
			From: x.From, Starts: x.Starts}
		s.Limit, s.Whose = limit(p, i)
		for _, t := range d.Tasks {
			if t.ID == p.Setups[i].Shoot.ID {
				s.Begin, s.End = day.Clock(t.Start), day.Clock(t.End)
				if p.Out > 0 || s.Limit != "" {
					s.Latest = day.Clock(t.Start + t.Slack)
				}
			}
		}
		out.Setups = append(out.Setups, s)
	}
	for _, i := range d.LeftOut {
		out.Setups = append(out.Setups, DaySetup{Name: p.Setups[i].Name})
	}
	return out
}

// locks are those of the file.
func (j *Job) locks() []day.Lock {
	var out []day.Lock
	for _, l := range j.File.Day.Locks {
		at, _ := day.Seconds(l.At)
		out = append(out, day.Lock{Task: l.Task, At: at, By: l.By})
	}
	return out
}

// limit is the last minute in which a picture may begin, and what sets it.
func limit(p *day.Plan, i int) (at, whose string) {
	s := &p.Setups[i]
	last, by := 0, ""
	if s.Latest > 0 {
		last, by = s.Latest, "its light, or its lock"
	}
	if leave := p.Leave - s.Shoot.Dur.Mean(); p.Leave > 0 && (last == 0 || leave < last) {
		last, by = leave, "the sitter leaves"
	}
	if last == 0 {
		return "", ""
	}
	return day.Clock(last), by
}

// live tells how the day goes at w.At.
func live(f *shoot.File, p *day.Plan, d *day.Day, w DayWork) *DayLive {
	e := p.AsOf(d, w.At, w.Seen)
	c := p.Simulate(e, min(w.Days, 4000), w.Seed)
	all := collect(f, p, e, c)
	out := &DayLive{Now: w.At, End: all.End, OutIn: c.Out, All: c.All, Setups: all.Setups, Tasks: []DayMoment{}}
	if s, ok := p.Spare(e); ok {
		out.Spare = &s
	}
	if s, ok := p.Spare(d); ok {
		out.Planned = &s
	}
	for i := range e.Tasks {
		t := &e.Tasks[i]
		out.Tasks = append(out.Tasks, DayMoment{t.Start, t.End, t.Begun, t.Over})
	}
	return out
}

// options are the simplifications that a crew would think of: leave a picture out, leave out a
// light that is not the key, no haze, shorter pictures.
func (j *Job) options(w DayWork, now *day.Plan, d *day.Day) []day.Option {
	var out []day.Option
	with := func(text, costs string, loss float64, change func(f *shoot.File)) {
		f := *j.File
		f.Setups = slices.Clone(j.File.Setups)
		change(&f)
		k, _ := j.crew(&f, w.Took)
		p, _ := day.FromShoot(&f, &k)
		r, err := p.Resume(w.Progress)
		if err == nil {
			r, _, err = r.Lock(j.locks())
		}
		if err == nil {
			out = append(out, day.Option{Text: text, Costs: costs, Loss: loss, Plan: r})
		}
	}
	for _, i := range d.Order {
		s := &j.File.Setups[i]
		if len(d.Order) > 1 {
			rest := *now
			rest.Fixed = slices.DeleteFunc(slices.Clone(d.Order), func(k int) bool { return k == i })
			out = append(out, day.Option{Text: "leave out " + s.Name, Loss: 6 / float64(max(1, s.Priority)),
				Costs: fmt.Sprintf("a picture of priority %d", max(1, s.Priority)), Plan: &rest})
		}
		for l := range s.Lights {
			light := &s.Lights[l]
			if light.Role == "key" || light.Head == "" {
				continue
			}
			with(fmt.Sprintf("%s without its %s", s.Name, called(light.Name, light.Role)),
				"what that light does", 1, func(f *shoot.File) {
					f.Setups[i].Lights = slices.Delete(slices.Clone(s.Lights), l, l+1)
				})
		}
		if s.Haze != nil {
			with(s.Name+" without haze", "the beams in the air", 1, func(f *shoot.File) { f.Setups[i].Haze = nil })
		}
		if s.Day == nil || s.Day.Hair == "" || s.Day.Hair == "touch" {
			with(fmt.Sprintf("no touch-up before %s", s.Name), "shine that the retouch takes out", 0.5,
				func(f *shoot.File) {
					e := shoot.SetupDay{}
					if s.Day != nil {
						e = *s.Day
					}
					e.Hair = "none"
					f.Setups[i].Day = &e
				})
		}
		with(fmt.Sprintf("4 minutes less for the pictures of %s", s.Name), "frames", 1.5, func(f *shoot.File) {
			e := shoot.SetupDay{}
			if s.Day != nil {
				e = *s.Day
			}
			dur := now.Setups[i].Shoot.Dur
			e.Shoot = shoot.Span{Low: minutes(dur.Low - 4), Likely: minutes(dur.Likely - 4),
				High: minutes(dur.High - 4)}
			f.Setups[i].Day = &e
		})
	}
	return out
}

// called is a light's name, or its role.
func called(name, role string) string {
	if name != "" {
		return name
	}
	return role
}

// minutes holds a shortened time above a minute.
func minutes(m float64) q.Minutes { return q.Minutes(max(1, m)) }

// daySentence is what to tell the art director.
func daySentence(d *Day, late bool) string {
	var in, lost, weak []string
	for _, s := range d.Setups {
		switch {
		case s.Shot:
		case !s.In:
			lost = append(lost, s.Name)
		case s.Chance < 0.7:
			weak = append(weak, fmt.Sprintf("%s at %s (%.0f in 100)", s.Name, s.Begin, 100*s.Chance))
			fallthrough
		default:
			when := "at " + s.Begin
			if late && s.Begin == d.Begin {
				when = "now"
			}
			in = append(in, s.Name+" "+when)
		}
	}
	text := "We shoot " + strings.Join(in, ", ")
	if late {
		text = "From here we shoot " + strings.Join(in, ", ")
	}
	if len(in) == 0 {
		text = "There is nothing more that we can shoot in the time"
	}
	if len(lost) > 0 {
		text += "; there is no time for " + strings.Join(lost, " and ")
	}
	if len(weak) > 0 {
		text += "; in doubt: " + strings.Join(weak, ", ")
	}
	if len(d.Reliefs) > 0 {
		r := d.Reliefs[0]
		text += fmt.Sprintf("; '%s' would bring the chance of all the rest from %.0f to %.0f in 100", r.Text,
			100*d.All, 100*r.Chance)
	}
	return text + "."
}

// DayChecks says what kit, mains, clock and people cannot do as planned, in the whole shoot.
func (j *Job) DayChecks() diag.List {
	k := kit.Merge(kit.Catalogue(), j.File.Kit)
	return day.Check(j.File, &k, j.Doc.Pos)
}

// Accept turns what the shoot has accepted into notes that say so with its reason; an acceptance
// that nothing answers to any more is a note too, so that the list stays true.
func (j *Job) Accept(list diag.List) diag.List {
	out := slices.Clone(list)
	used := make([]bool, len(j.File.Accepted))
	for i := range out {
		m := &out[i]
		if m.Severity == diag.Error || m.Severity == diag.Note {
			continue
		}
		for k, a := range j.File.Accepted {
			if m.Code != a.Code || a.About != "" && !strings.Contains(strings.ToLower(m.Text),
				strings.ToLower(a.About)) {
				continue
			}
			used[k] = true
			m.Severity, m.Fix, m.Accepted = diag.Note, "", true
			m.Text += " (accepted: " + a.Reason + ")"
			break
		}
	}
	for k, a := range j.File.Accepted {
		if !used[k] {
			out = append(out, diag.Message{Severity: diag.Note, Code: "shoot.accepted",
				Pos:  j.Doc.Pos(fmt.Sprintf("accepted[%d]", k)),
				Text: fmt.Sprintf("nothing is found of %q any more", a.Code), Fix: "delete it"})
		}
	}
	return out
}
