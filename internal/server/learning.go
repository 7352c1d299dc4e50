package server

import (
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/ownkit"
	"halfstop/kit"
	"halfstop/shoot"
)

// LearnView is what the readings of the day teach of kit and place, and what of it is in force.
type LearnView struct {
	Revision int           `json:"revision"`
	Kept     string        `json:"kept" doc:"where lessons are kept, in words"`
	Log      string        `json:"log" doc:"where readings are kept, in words"`
	Reads    []LearnRead   `json:"readings" doc:"of the log, as they came; also those taken back"`
	Factors  []LearnFactor `json:"factors" doc:"most surely moved first"`
	Doubts   []LearnDoubt  `json:"doubts" doc:"readings that do not fit the others: left out, not averaged in"`
	Before   float64       `json:"uncertainty_before_stops" doc:"root mean square over all points of all setups"`
	After    float64       `json:"uncertainty_after_stops"`
	Next     string        `json:"read_next" doc:"the reading that would teach most; empty: none would"`
	NextSD   float64       `json:"read_next_brings_stops" doc:"by how much it would bring the uncertainty down"`
	Unkept   int           `json:"unkept" doc:"lessons of these readings that are not in the own kit yet, or not as they are now"`
	Lessons  int           `json:"lessons" doc:"that are in force, of this place and others"`
}

// LearnRead is one reading of the log.
type LearnRead struct {
	Seq   int64   `json:"seq"`
	Words string  `json:"words"`
	Setup string  `json:"setup"`
	Date  string  `json:"date"`
	Off   float64 `json:"off_stops" doc:"over what the figures alone predict"`
	State string  `json:"state" words:"fits|doubt|unused|back" doc:"doubt: it does not fit the others; unused: it teaches nothing, see why; back: taken back"`
	Why   string  `json:"why" doc:"of unused"`
	Kept  bool    `json:"kept" doc:"its lesson is in the own kit"`
}

// LearnFactor is one thing of kit or place.
type LearnFactor struct {
	What     string  `json:"what" doc:"its name for /api/learn/forget"`
	Kind     string  `json:"kind" words:"head|modifier|grid|gel|surfaces|house"`
	Name     string  `json:"name"`
	Stops    float64 `json:"stops" doc:"over its figures, as all readings have it"`
	SD       float64 `json:"sd_stops"`
	Prior    float64 `json:"sd_before_stops"`
	Readings int     `json:"readings"`
	Date     string  `json:"date" doc:"of the newest, year-month-day"`
	InForce  *Taught `json:"in_force,omitempty" doc:"what predictions use now; absent: its figures alone"`
}

// LearnDoubt is a reading that does not fit.
type LearnDoubt struct {
	Words  string                `json:"reading"`
	Off    float64               `json:"off_stops" doc:"against all the others"`
	Causes []answer.LearnedCause `json:"causes" doc:"what would explain it, likeliest first"`
}

// LearnAsk logs a reading as it is taken now, with the settings of the lights as they stand.
type LearnAsk struct {
	Setup string `json:"setup"`
	Point string `json:"point"`
	Alone string `json:"alone" doc:"the only light that was on; empty: all"`
	Reads string `json:"reads" doc:"as the meter says it: 'f/5.6 + 0.3', 'f/5.6.3'"`
}

// LearnBack takes a reading back, or puts it in force again.
type LearnBack struct {
	Seq   int64 `json:"seq"`
	Again bool  `json:"again,omitempty"`
}

// LearnForget takes out of the own kit what was learned of one thing.
type LearnForget struct {
	What string `json:"what" doc:"as a factor has it"`
}

// lessonShelf keeps what was last learned: it is metered anew where kit, shoot or log is another.
type lessonShelf struct {
	work    sync.Mutex
	rev     int
	entries int
	last    taughtNow
}

// taughtNow is what was learned; numbers are those of the readings in the log.
type taughtNow struct {
	of      *answer.Learned
	numbers []int64
	place   string
}

// learned meters what the log needs and learns from it.
func (s *Server) learned(r *http.Request) (m *model, list []daylog.Entry, now taughtNow, err error) {
	if m, err = s.model(); err != nil {
		return m, nil, now, err
	}
	log, _, err := s.happened(r.Context(), false)
	if err == nil && log != nil {
		list, err = log.List(r.Context(), daylog.Filter{All: true})
	}
	if err != nil {
		return m, nil, now, err
	}
	h := &s.lessons
	h.work.Lock()
	defer h.work.Unlock()
	if h.last.of != nil && h.rev == m.rev && h.entries == len(list) {
		return m, list, h.last, nil
	}
	reads, numbers := ownkit.Reads(list)
	l, err := m.job.Learn(r.Context(), reads, answer.LearnWork{Seed: 1,
		Progress: func(done, of int) { s.working("learn", done, of) }})
	if err != nil {
		return m, list, now, err
	}
	h.rev, h.entries, h.last = m.rev, len(list), taughtNow{l, numbers, m.job.File.Here()}
	return m, list, h.last, nil
}

func (s *Server) getLearn(w http.ResponseWriter, r *http.Request) error {
	m, list, h, err := s.learned(r)
	if err != nil {
		return err
	}
	l := h.of
	_, at, err := s.happened(r.Context(), false)
	if err != nil {
		return err
	}
	v := LearnView{Revision: m.rev, Kept: s.kitWhere(), Log: at, Reads: []LearnRead{}, Factors: []LearnFactor{},
		Doubts: []LearnDoubt{}, Before: l.Before, After: l.After, Next: l.Next, NextSD: l.NextGain}
	whole := kit.Merge(kit.Catalogue(), m.job.File.Kit)
	v.Lessons = len(whole.Lessons)
	kept := map[string]bool{}
	for i := range whole.Lessons {
		kept[ownkit.LessonText(&whole.Lessons[i])] = true
	}
	lesson, open := map[int64]*kit.Lesson{}, map[string]bool{} // readings whose lesson is not in force, by words
	now := map[string]bool{}
	for i := range l.Lessons {
		text := ownkit.LessonText(&l.Lessons[i])
		lesson[h.numbers[l.Of[i]]], now[text] = &l.Lessons[i], true
		if !kept[text] {
			open[l.Lessons[i].Words] = true
		}
	}
	for i := range whole.Lessons { // kept, and otherwise by now
		if o := &whole.Lessons[i]; o.Place == h.place && len(now) > 0 && !now[ownkit.LessonText(o)] {
			open[o.Words] = true
		}
	}
	v.Unkept = len(open)
	all, _ := ownkit.Reads(standing(list))
	for i, x := range readings(list) {
		e := LearnRead{Seq: x.Seq, Words: all[i].Words, Setup: x.Setup, Date: x.At.Format("2006-01-02"),
			State: "fits"}
		switch o := lesson[x.Seq]; {
		case !x.Stands:
			e.State = "back"
		case o == nil:
			e.State = "unused"
			for _, why := range l.Unused {
				if rest, ok := strings.CutPrefix(why, all[i].Words+": "); ok {
					e.Why = rest
				}
			}
		default:
			e.Off, e.Kept = float64(o.Off), kept[ownkit.LessonText(o)]
			if slices.ContainsFunc(l.Doubts, func(d answer.LearnedDoubt) bool {
				return d.Words == o.Words && d.Place == o.Place
			}) {
				e.State = "doubt"
			}
		}
		v.Reads = append(v.Reads, e)
	}
	for _, f := range l.Factors {
		kind, name, _ := strings.Cut(f.Name, " ")
		x := LearnFactor{What: f.Name, Kind: kind, Name: inHouse(h.place, name),
			Stops: f.Stops, SD: f.SD, Prior: f.Prior,
			Readings: f.Read, Date: f.Date}
		if stops, sd, n, ok := whole.Learned(kind, name); ok && n > 0 {
			x.InForce = &Taught{Stops: stops, SD: sd, Readings: n, Date: lessonDate(&whole, f.Name)}
		}
		v.Factors = append(v.Factors, x)
	}
	for _, d := range l.Doubts {
		v.Doubts = append(v.Doubts, LearnDoubt{d.Words, d.Off, some(d.Causes)})
	}
	return give(w, v)
}

// inHouse is what something of a place is called within it: its name without that of the place.
func inHouse(place, name string) string {
	if n := len(place); n > 0 && len(name) >= n && strings.EqualFold(name[:n], place) {
		if name = strings.TrimPrefix(name[n:], ": "); name == "" {
			return "this room"
		}
	}
	return name
}

// readings are those of a log that a lesson can be of, also those taken back.
func readings(list []daylog.Entry) (out []daylog.Entry) {
	for _, x := range list {
		if x.Kind == daylog.Reading && x.Unit == "f" && x.Value != nil {
			out = append(out, x)
		}
	}
	return out
}

// standing gives the readings as if none had been taken back.
func standing(list []daylog.Entry) []daylog.Entry {
	out := readings(list)
	for i := range out {
		out[i].Stands = true
	}
	return out
}

// lessonDate is the date of the newest lesson in force about a thing.
func lessonDate(whole *kit.Kit, what string) (date string) {
	for i := range whole.Lessons {
		if ownkit.About(&whole.Lessons[i], what) {
			date = max(date, whole.Lessons[i].Date)
		}
	}
	return date
}

func (s *Server) postLearnRead(r *http.Request, x LearnAsk) (Done, error) {
	m, err := s.model()
	if err != nil {
		return Done{}, err
	}
	f := m.job.File
	i := slices.IndexFunc(f.Setups, func(p shoot.Setup) bool { return p.Name == x.Setup })
	if i < 0 {
		return Done{}, refuse(http.StatusNotFound, "the shoot has no setup %q", x.Setup)
	}
	n, err := ownkit.MeterReading(x.Reads)
	if err != nil {
		return Done{}, refuse(http.StatusUnprocessableEntity, "%v", err)
	}
	value := float64(n)
	now := s.now()
	e := daylog.Entry{Client: logClient, Kind: daylog.Reading, Setup: x.Setup, Subject: x.Point, Value: &value,
		Unit: "f", Said: now}
	e.Detail = ownkit.Detail(x.Alone, &f.Setups[i])
	log, _, err := s.happened(r.Context(), true)
	if err != nil {
		return Done{}, err
	}
	list, err := log.List(r.Context(), daylog.Filter{})
	if err != nil {
		return Done{}, err
	}
	for _, d := range dialsNow(&f.Setups[i], list) { // what the lights were set to goes with the reading
		d.Client, d.Said = logClient, now
		if _, err := log.AddNext(r.Context(), d); err != nil {
			return Done{}, err
		}
	}
	if _, err := log.AddNext(r.Context(), e); err != nil {
		return Done{}, err
	}
	s.hub.send(Event{Kind: "day", Revision: m.rev, Index: -1})
	return Done{m.rev}, nil
}

// now is the time of this program.
func (s *Server) now() time.Time {
	if s.opt.Clock != nil {
		return s.opt.Clock()
	}
	return time.Now()
}

// dialsNow gives entries for lights whose setting in the plan is not the one that was logged last.
func dialsNow(setup *shoot.Setup, list []daylog.Entry) (out []daylog.Entry) {
	last := map[string]string{}
	for _, x := range list {
		if x.Kind == daylog.Dial && x.Setup == setup.Name {
			last[strings.ToLower(x.Subject)] = x.Text
		}
	}
	for i := range setup.Lights {
		l := &setup.Lights[i]
		text := l.Power
		if l.Level != nil {
			text = l.Level.String()
		}
		if text == "" {
			text = "1/1"
		}
		name := l.Name
		if name == "" {
			name = l.Role
		}
		if had, ok := last[strings.ToLower(name)]; name == "" || l.Head == "" || ok && had == text {
			continue
		}
		out = append(out, daylog.Entry{Kind: daylog.Dial, Setup: setup.Name, Subject: name, Text: text})
	}
	return out
}

func (s *Server) postLearnBack(r *http.Request, x LearnBack) (Done, error) {
	m, err := s.model()
	if err != nil {
		return Done{}, err
	}
	log, _, err := s.happened(r.Context(), false)
	if err != nil {
		return Done{}, err
	}
	var list []daylog.Entry
	if log != nil {
		if list, err = log.List(r.Context(), daylog.Filter{All: true}); err != nil {
			return Done{}, err
		}
	}
	i := slices.IndexFunc(list, func(e daylog.Entry) bool { return e.Seq == x.Seq && e.Kind == daylog.Reading })
	switch {
	case i < 0:
		return Done{}, refuse(http.StatusNotFound, "the log has no reading no. %d", x.Seq)
	case list[i].Stands != x.Again:
		e := daylog.Entry{Client: logClient, Kind: daylog.Reversal, Reverses: x.Seq, Said: s.now()}
		if x.Again {
			e.Reverses = list[i].By
		}
		if _, err := log.AddNext(r.Context(), e); err != nil {
			return Done{}, err
		}
		s.hub.send(Event{Kind: "day", Revision: m.rev, Index: -1})
	}
	return Done{m.rev}, nil
}

func (s *Server) postLearnKeep(w http.ResponseWriter, r *http.Request) error {
	_, _, h, err := s.learned(r)
	if err != nil {
		return err
	}
	l, place := h.of, h.place
	if len(l.Lessons) == 0 {
		return refuse(http.StatusUnprocessableEntity, "no reading teaches anything yet: log one first")
	}
	err = s.book.changeKit("keep what readings taught", func(files []shoot.KitFile) ([]ownkit.Change, error) {
		return ownkit.Keep(files, place, l.Lessons)
	})
	if err != nil {
		return kitRefusal(err)
	}
	return give(w, s.state())
}

func (s *Server) postLearnForget(r *http.Request, x LearnForget) (State, error) {
	gone := 0
	err := s.book.changeKit("forget what was learned of "+x.What,
		func(files []shoot.KitFile) (out []ownkit.Change, err error) {
			out, gone, err = ownkit.Forget(files, func(l *kit.Lesson) bool { return ownkit.About(l, x.What) })
			return out, err
		})
	if err != nil {
		return State{}, kitRefusal(err)
	}
	if gone == 0 {
		return State{}, refuse(http.StatusUnprocessableEntity, "nothing is kept of %q in the files of kit", x.What)
	}
	return s.state(), nil
}
