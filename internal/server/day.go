package server

import (
	"context"
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"halfstop/answer"
	"halfstop/day"
	"halfstop/diag"
	"halfstop/internal/daylog"
	"halfstop/papers"
	"halfstop/shoot"
)

// DayView is the day of the shoot: its plan, what has happened of it, and how it goes.
type DayView struct {
	Revision int              `json:"revision" doc:"the good revision that it is of"`
	Date     string           `json:"date" doc:"of the shoot, year-month-day; empty: not said"`
	Problem  string           `json:"problem" doc:"why there is no plan; empty: there is one"`
	Day      *answer.Day      `json:"day,omitempty"`
	From     string           `json:"from" doc:"the plan is made anew from this time on, hh:mm; empty: it is that of the whole day"`
	Locks    []LockView       `json:"locks"`
	Seen     []SeenView       `json:"seen" doc:"what has happened, by the log"`
	Past     []answer.DayTask `json:"past" doc:"planned anew: what was done before, with the times that it had"`
	Daylight *HoursView       `json:"daylight,omitempty" doc:"where the place has windows"`
	Kit      []KitLine        `json:"kit"`
	KitSays  []string         `json:"kit_says" doc:"weights and what is to be known, in sentences"`
	Findings []diag.Message   `json:"findings" doc:"of the day and of what stands in it; path says what each concerns"`
	Papers   []PaperName      `json:"papers"`
	Kept     string           `json:"kept" doc:"where ticks are kept"`
}

// LockView is one lock of the file.
type LockView struct {
	Path string   `json:"path"`
	Task string   `json:"task"`
	At   string   `json:"at"`
	By   []string `json:"by"`
}

// SeenView is what has happened of a task, seconds after midnight; 0: not yet.
type SeenView struct {
	Task  string `json:"task"`
	Begun int    `json:"begun"`
	Done  int    `json:"done"`
}

// KitLine is one line of the kit list.
type KitLine struct {
	Group string  `json:"group"`
	Name  string  `json:"name"`
	Need  int     `json:"need"`
	Have  int     `json:"have" doc:"0: the kit does not say"`
	Hire  int     `json:"hire"`
	Kg    float64 `json:"weight_kg" doc:"of one; 0: not known"`
	Why   string  `json:"why"`
	Out   bool    `json:"out" doc:"ticked as in the van"`
	Back  bool    `json:"back" doc:"ticked as home again"`
}

// PaperName is one paper that can be made.
type PaperName struct {
	Name string `json:"name"`
	Says string `json:"says"`
	Lit  bool   `json:"lit" doc:"light is computed for it: it takes a while"`
}

// Happening is something that happened, for the log.
type Happening struct {
	What string `json:"what" words:"begun|done|undo|out|back|late|plan" doc:"begun, done: a task; undo: take back the last of a task; out, back: a thing of the kit, said again it is taken back; late: plan anew from here; plan: back to the plan of the whole day"`
	Name string `json:"name,omitempty" doc:"of the task or the thing"`
	At   int    `json:"at" doc:"when, seconds after midnight"`
}

// happened is where what happens is kept: the log of the day beside the shoot, or memory for the
// demonstration. What was planned stands in the shoot file (locks, order); what happened is no plan
// and is never undone by undo of the text, so it stands in the log.
type happened interface {
	AddNext(ctx context.Context, e daylog.Entry) (daylog.Entry, error)
	List(ctx context.Context, f daylog.Filter) ([]daylog.Entry, error)
}

// logClient is this program's name in the log.
const logClient = "workbench"

// memoryLog is the log of the demonstration.
type memoryLog struct {
	mu   sync.Mutex
	list []daylog.Entry
}

func (l *memoryLog) AddNext(_ context.Context, e daylog.Entry) (daylog.Entry, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	e.Seq, e.At, e.Received, e.Stands = int64(len(l.list)+1), e.Said, time.Now(), true
	if e.Kind == daylog.Reversal {
		x := &l.list[e.Reverses-1]
		x.Stands, x.By = false, e.Seq
		if x.Kind == daylog.Reversal { // what it took back holds again
			l.list[x.Reverses-1].Stands, l.list[x.Reverses-1].By = true, 0
		}
	}
	l.list = append(l.list, e)
	return e, nil
}

func (l *memoryLog) List(_ context.Context, f daylog.Filter) ([]daylog.Entry, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if f.All {
		return slices.Clone(l.list), nil
	}
	var out []daylog.Entry
	for _, e := range l.list {
		if e.Stands && e.Kind != daylog.Reversal {
			out = append(out, e)
		}
	}
	return out, nil
}

// dayBook is the day's share of the server.
type dayBook struct {
	mu     sync.Mutex
	memory memoryLog
	log    *daylog.Log
	of     string // the log's file

	work   sync.Mutex // one paper at a time is computed
	made   map[string]*madePaper
	madeOf int // revision
}

// happened opens the log. Looking makes none: nil where there is none yet.
func (s *Server) happened(ctx context.Context, write bool) (happened, string, error) {
	s.book.mu.Lock()
	path, demo := s.book.file.Path, s.book.demo
	s.book.mu.Unlock()
	d := &s.day
	d.mu.Lock()
	defer d.mu.Unlock()
	if demo || path == "" {
		return &d.memory, "memory, with the demonstration", nil
	}
	path = filepath.Join(filepath.Dir(path), daylog.Name)
	if d.log != nil && d.of == path {
		return d.log, path, nil
	}
	if _, err := os.Lstat(path); err != nil && !write {
		return nil, path, nil
	}
	if d.log != nil {
		d.log.Close()
		d.log = nil
	}
	l, err := daylog.Open(ctx, path)
	if err != nil {
		return nil, path, err
	}
	d.log, d.of = l, path
	return l, path, nil
}

// zoneOf is the zone of the shoot's clocks.
func zoneOf(f *shoot.File) *time.Location {
	if l, ok := f.Shoot.Place.Clock(); ok {
		return l
	}
	return time.Local
}

// moment gives a time of the shoot's day; without a date, of today.
func moment(f *shoot.File, seconds int) time.Time {
	z := zoneOf(f)
	d, err := time.ParseInLocation("2006-01-02", f.Shoot.Date, z)
	if err != nil {
		d = time.Now().In(z)
	}
	return time.Date(d.Year(), d.Month(), d.Day(), 0, 0, seconds, 0, z)
}

// since gives seconds after the midnight of the shoot's day, without a date of the entry's own.
func since(f *shoot.File, t time.Time) int {
	t = t.In(zoneOf(f))
	if _, err := time.Parse("2006-01-02", f.Shoot.Date); err != nil {
		h, m, s := t.Clock()
		return h*3600 + m*60 + s
	}
	return int(t.Sub(moment(f, 0)) / time.Second)
}

// history is what the log tells of the day.
type history struct {
	seen map[string]day.Seen
	last map[string]daylog.Entry // the newest of a task
	kit  map[string]daylog.Entry // 'out name'
	late *daylog.Entry
	from day.Progress
}

// took gives how long tasks took, minutes, by the log.
func (h *history) took() map[string]float64 {
	out := map[string]float64{}
	for task, x := range h.seen {
		if x.Begun > 0 && x.Done > x.Begun {
			out[task] = float64(x.Done-x.Begun) / 60
		}
	}
	return out
}

func (s *Server) history(ctx context.Context, f *shoot.File) (*history, string, error) {
	h := &history{seen: map[string]day.Seen{}, last: map[string]daylog.Entry{}, kit: map[string]daylog.Entry{}}
	log, kept, err := s.happened(ctx, false)
	if err != nil || log == nil {
		return h, kept, err
	}
	list, err := log.List(ctx, daylog.Filter{})
	if err != nil {
		return h, kept, err
	}
	for _, e := range list {
		at := since(f, e.At)
		if e.Kind != daylog.Kit && (at < 1 || at > 48*3600) {
			continue // of another day
		}
		x := h.seen[e.Subject]
		switch e.Kind {
		case daylog.Begun:
			x.Begun = at
		case daylog.Tick:
			x.Done = at
		case daylog.Kit:
			h.kit[e.Text+" "+e.Subject] = e
			continue
		case daylog.Late:
			var p day.Progress
			if json.Unmarshal(e.Detail, &p) == nil && p.Now > 0 {
				h.late, h.from = &e, p
			}
			continue
		default:
			continue
		}
		h.seen[e.Subject], h.last[e.Subject] = x, e
	}
	return h, kept, nil
}

func (s *Server) getDay(w http.ResponseWriter, r *http.Request) error {
	m, err := s.model()
	if err != nil {
		return err
	}
	now := 0
	if t := r.FormValue("now"); t != "" {
		if now, err = strconv.Atoi(t); err != nil || now < 0 || now > 48*3600 {
			return refuse(http.StatusBadRequest, "now: seconds after midnight, 0 to %d", 48*3600)
		}
	}
	v, err := s.dayView(r.Context(), m, now, r.FormValue("quick") != "")
	if err != nil {
		return err
	}
	return give(w, v)
}

// dayView puts the day together. A day that cannot be planned says why, and has the rest.
func (s *Server) dayView(ctx context.Context, m *model, now int, quick bool) (*DayView, error) {
	f := m.job.File
	h, kept, err := s.history(ctx, f)
	v := &DayView{Revision: m.rev, Date: f.Shoot.Date, Locks: []LockView{}, Seen: []SeenView{},
		Past: []answer.DayTask{}, Kit: []KitLine{}, KitSays: []string{},
		Findings: []diag.Message{}, Papers: []PaperName{}, Kept: kept}
	if err != nil {
		v.Kept = err.Error()
	}
	work := answer.DayWork{Seed: 1, Days: 4000, Quick: quick, At: now, Seen: h.seen, Progress: s.known(m, h.from),
		Took: h.took()}
	d, list, err := m.job.Day(ctx, work)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		v.Problem = err.Error()
	}
	if v.Day = d; d != nil && h.late != nil {
		v.From = day.Clock(h.from.Now)
		v.Past = s.past(ctx, m, h, d)
	}
	v.Findings = append(v.Findings, placed(m.job.Doc, append(list, m.job.Accept(m.job.DayChecks())...))...)
	for i, l := range f.Day.Locks {
		v.Locks = append(v.Locks, LockView{"day.locks[" + strconv.Itoa(i) + "]", l.Task, l.At, some(l.By)})
	}
	for task, x := range h.seen {
		v.Seen = append(v.Seen, SeenView{task, x.Begun, x.Done})
	}
	slices.SortFunc(v.Seen, func(a, b SeenView) int { return strings.Compare(a.Task, b.Task) })
	for i := range f.Setups {
		if _, x := s.engine.current(m, s.engine.setup(i)); x != nil && x.Hours != nil {
			v.Daylight = x.Hours
			break
		}
	}
	for _, p := range papers.All() {
		v.Papers = append(v.Papers, PaperName{p.Name, p.Says, papers.Lit([]papers.Paper{p})})
	}
	if d == nil || quick {
		return v, nil
	}
	pack, err := m.job.Pack(ctx)
	if err != nil {
		return v, ctx.Err()
	}
	for _, it := range pack.Items {
		line := KitLine{Group: it.Group, Name: it.Name, Need: it.Need, Have: it.Have, Hire: it.Hire,
			Kg: it.WeightKg, Why: it.Why}
		if it.Instead != "" {
			line.Why = "or " + it.Instead + ", " + it.Cost
		}
		_, line.Out = h.kit["out "+it.Name]
		_, line.Back = h.kit["back "+it.Name]
		v.Kit = append(v.Kit, line)
	}
	v.KitSays = append(some(pack.Notes), pack.Says())
	return v, nil
}

// past are the tasks of the whole day's plan that are done and no longer in a plan made anew.
func (s *Server) past(ctx context.Context, m *model, h *history, now *answer.Day) []answer.DayTask {
	out := []answer.DayTask{}
	whole, _, err := m.job.Day(ctx, answer.DayWork{Seed: 1, Days: 1, Quick: true})
	if err != nil {
		return out
	}
	for _, t := range whole.Tasks {
		x := h.seen[t.ID]
		if x.Done <= 0 || slices.ContainsFunc(now.Tasks, func(o answer.DayTask) bool { return o.ID == t.ID }) {
			continue
		}
		t.Start = x.Begun
		if x.Begun <= 0 || x.Begun > x.Done {
			t.Start = x.Done - t.Seconds
		}
		t.Seconds, t.Begin, t.End = x.Done-t.Start, day.Clock(t.Start), day.Clock(x.Done)
		out = append(out, t)
	}
	return out
}

// known drops from a progress what the plan as it is now does not know any more.
func (s *Server) known(m *model, p day.Progress) day.Progress {
	if len(p.Done)+len(p.Running) == 0 {
		return p
	}
	ids := m.job.DayIDs()
	other := func(id string) bool {
		return !slices.ContainsFunc(ids, func(k string) bool { return strings.EqualFold(k, id) })
	}
	p.Done = slices.DeleteFunc(slices.Clone(p.Done), other)
	p.Running = slices.DeleteFunc(slices.Clone(p.Running), other)
	return p
}

// postDay puts something that happened into the log.
func (s *Server) postDay(r *http.Request, x Happening) (Done, error) {
	m, err := s.model()
	if err != nil {
		return Done{}, err
	}
	f := m.job.File
	if x.At < 0 || x.At > 48*3600 {
		return Done{}, refuse(http.StatusBadRequest, "at: seconds after midnight, 0 to %d", 48*3600)
	}
	h, _, err := s.history(r.Context(), f)
	if err != nil {
		return Done{}, err
	}
	e := daylog.Entry{Client: logClient, Subject: x.Name, Said: moment(f, x.At)}
	switch x.What {
	case "begun", "done":
		if e.Subject, err = s.taskOf(m, x.Name); err != nil {
			return Done{}, err
		}
		e.Kind = daylog.Begun
		if x.What == "done" {
			e.Kind = daylog.Tick
		}
	case "undo":
		last, ok := h.last[x.Name]
		if !ok {
			return Done{}, refuse(http.StatusUnprocessableEntity, "nothing has happened of '%s'", x.Name)
		}
		e = daylog.Entry{Client: logClient, Kind: daylog.Reversal, Reverses: last.Seq, Said: e.Said}
	case "out", "back":
		e.Kind, e.Text, e.Said = daylog.Kit, x.What, time.Now()
		if had, ok := h.kit[x.What+" "+x.Name]; ok {
			e = daylog.Entry{Client: logClient, Kind: daylog.Reversal, Reverses: had.Seq, Said: e.Said}
		}
	case "late":
		if e, err = s.lateEntry(r.Context(), m, h, x.At); err != nil {
			return Done{}, err
		}
	case "plan":
		if h.late == nil {
			return Done{}, refuse(http.StatusUnprocessableEntity, "the plan is that of the whole day already")
		}
		e = daylog.Entry{Client: logClient, Kind: daylog.Reversal, Reverses: h.late.Seq, Said: e.Said}
	default:
		return Done{}, refuse(http.StatusBadRequest, "what: write begun, done, undo, out, back, late or plan")
	}
	log, _, err := s.happened(r.Context(), true)
	if err != nil {
		return Done{}, err
	}
	if _, err := log.AddNext(r.Context(), e); err != nil {
		return Done{}, err
	}
	s.hub.send(Event{Kind: "day", Revision: m.rev, Index: -1})
	return Done{m.rev}, nil
}

// Done says that something was done.
type Done struct {
	Revision int `json:"revision"`
}

// taskOf gives a task's name as the plan has it.
func (s *Server) taskOf(m *model, name string) (string, error) {
	ids := m.job.DayIDs()
	i := slices.IndexFunc(ids, func(k string) bool { return strings.EqualFold(k, name) })
	if i >= 0 {
		return ids[i], nil
	}
	near := ""
	if n := diag.Nearest(name, ids); n != "" {
		near = "; did you mean '" + n + "'?"
	}
	return "", refuse(http.StatusUnprocessableEntity, "there is no task called '%s'%s", name, near)
}

// lateEntry notes that the plan is made anew from a time on, and what stood then: what is done
// later leaves the new plan as it is.
func (s *Server) lateEntry(ctx context.Context, m *model, h *history, at int) (daylog.Entry, error) {
	if at <= 0 {
		return daylog.Entry{}, refuse(http.StatusBadRequest, "at: say what time it is")
	}
	p := day.Progress{Now: at, Since: map[string]int{}}
	type ended struct {
		task string
		at   int
	}
	var done []ended
	for task, x := range h.seen {
		switch {
		case x.Done > 0:
			done = append(done, ended{task, x.Done})
		case x.Begun > 0:
			p.Running, p.Since[task] = append(p.Running, task), x.Begun
		}
	}
	slices.SortFunc(done, func(a, b ended) int {
		if a.at != b.at {
			return a.at - b.at
		}
		return strings.Compare(a.task, b.task)
	})
	for _, x := range done {
		p.Done = append(p.Done, x.task)
	}
	slices.Sort(p.Running)
	behind := 0.0
	if d, _, err := m.job.Day(ctx, answer.DayWork{Seed: 1, Days: 1, Quick: true, At: at, Seen: h.seen,
		Progress: s.known(m, h.from)}); err == nil && d.Live != nil && d.Live.Spare != nil && d.Live.Planned != nil {
		behind = float64(*d.Live.Planned-*d.Live.Spare) / 60
	}
	detail, err := json.Marshal(p)
	return daylog.Entry{Client: logClient, Kind: daylog.Late, Value: &behind, Unit: "min", Detail: detail,
		Said: moment(m.job.File, at)}, err
}
