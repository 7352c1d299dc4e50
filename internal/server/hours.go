package server

import (
	"math"
	"net/http"
	"slices"
	"time"
	_ "time/tzdata" // the zones of shoot files must be known on machines without their own tables

	"halfstop/answer"
	"halfstop/content"
	"halfstop/stage"
)

// HoursView is how daylight goes with the clock. Entry n is of the minute from + n·step of the day.
type HoursView struct {
	At    int        `json:"at" doc:"minute of the day of the setup in the file"`
	Shown int        `json:"shown" doc:"minute that all of this setup is of: see POST /api/setup/{i}/hour"`
	From  int        `json:"from"`
	To    int        `json:"to"`
	Step  int        `json:"step"`
	Sun   []float64  `json:"sun" doc:"altitude, degrees"`
	Stops []float64  `json:"stops" doc:"what comes in from outside, sun included, against the minute shown"`
	Beam  []bool     `json:"beam" doc:"the sun itself comes in"`
	Says  []string   `json:"says" doc:"what this rests on, in sentences"`
	Marks []HourMark `json:"marks"`
	// Patches are where the sun lies on the floor at the minute shown.
	Patches []PatchView `json:"patches"`
}

// PatchView is where the sun that comes through one window lies.
type PatchView struct {
	Window string       `json:"window"`
	Floor  [][2]float64 `json:"floor" doc:"corners on the floor, may lie outside the room"`
}

// HourMark is a fixed time of the day.
type HourMark struct {
	Name   string `json:"name"`
	Minute int    `json:"minute"`
	Setup  bool   `json:"setup" doc:"the time of a setup; else one of the day's hours"`
}

// HourAsk asks for another hour.
type HourAsk struct {
	Minute *int `json:"minute" doc:"of the day; null: the setup's own"`
}

// hoursView gives the clock of a setup that has daylight at some hour. had is what was last worked
// out for it: it is worked out anew where something that it rests on is another.
func hoursView(m *model, s *stage.Stage, index int, had *HoursView, hadKey content.Key) (*HoursView, content.Key) {
	f := m.job.File
	h := answer.HoursOf(f, index)
	var hash content.Hash
	a := f.Shoot
	hash.Text(a.Date + "\n" + a.Place.Zone)
	hash.Floats(a.Place.Latitude, a.Place.Longitude, float64(a.Place.PlanNorth))
	for _, n := range []int{h.At, h.Shown, h.From, h.To} {
		hash.Int(n)
	}
	for _, x := range h.Marks {
		hash.Text(x.Name)
		hash.Int(x.Minute)
	}
	for i := range s.Glazings {
		hash.Keys(s.Glazings[i].Key())
	}
	key := hash.Key()
	if key == hadKey {
		return had, key
	}
	if !slices.ContainsFunc(s.Glazings, func(g stage.Glazing) bool {
		_, ok := g.Outdoors(f, "12:00", "")
		return ok
	}) {
		return nil, key
	}
	h.Through(f, s.Glazings)
	v := &HoursView{At: h.At, Shown: h.Shown, From: h.From, To: h.To, Step: h.Step, Beam: h.Beam, Says: h.Says,
		Marks: []HourMark{}, Patches: []PatchView{}}
	for i := range h.Sun {
		v.Sun = append(v.Sun, math.Round(h.Sun[i]*100)/100)
		v.Stops = append(v.Stops, math.Round(h.Stops[i]*1000)/1000)
	}
	for _, x := range h.Marks {
		v.Marks = append(v.Marks, HourMark(x))
	}
	for i := range s.Glazings {
		g := &s.Glazings[i]
		o, ok := g.Outdoors(f, answer.ClockText(h.Shown), "")
		if !ok || g.Layer < 0 || g.Sun(&o) <= 0 {
			continue
		}
		p := PatchView{Window: g.Name, Floor: [][2]float64{}}
		for _, c := range g.Patch(o.Sun) {
			p.Floor = append(p.Floor, [2]float64{c.X, c.Y})
		}
		v.Patches = append(v.Patches, p)
	}
	return v, key
}

// postHour has a setup looked at at another hour, by every page: the sky, the sun and what they
// make of readings, picture, checks and ways are of that hour. The file stays as it is.
func (s *Server) postHour(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	var a HourAsk
	if err := take(w, r, &a); err != nil {
		return err
	}
	hour := ""
	if a.Minute != nil {
		if *a.Minute < 0 || *a.Minute >= 24*60 {
			return refuse(http.StatusBadRequest, "minute: give a minute of the day, 0 to 1439")
		}
		hour = answer.ClockText(*a.Minute)
	}
	s.book.lookAt(m.job.File.Setups[h.index].Name, hour)
	return give(w, s.state())
}

// lookAt sets the hour that a setup is looked at; empty: its own.
func (b *book) lookAt(setup, hour string) {
	b.turn.Lock()
	defer b.turn.Unlock()
	b.mu.Lock()
	g := b.good
	at := ""
	for i := range g.job.File.Setups {
		if x := &g.job.File.Setups[i]; x.Name == setup {
			at = x.At
		}
	}
	if hour == at {
		hour = ""
	}
	if b.hours[setup] == hour {
		b.mu.Unlock()
		return
	}
	if hour == "" {
		delete(b.hours, setup)
	} else {
		b.hours[setup] = hour
	}
	// A generation of its own: what is computed of it is told from what was.
	b.rev++
	b.past = append(b.past, old{b.rev, b.text})
	next := *g
	next.rev, next.job, next.born, next.last = b.rev, b.timed(g.job), time.Now(), g.born
	b.good = &next
	b.mu.Unlock()
	b.tell()
}

// timed gives a job whose setups are looked at at the hours asked for. b.mu is held.
func (b *book) timed(j *answer.Job) *answer.Job {
	for i := range j.File.Setups {
		if x := &j.File.Setups[i]; x.Hour != b.hours[x.Name] {
			j = j.At(i, b.hours[x.Name])
		}
	}
	return j
}
