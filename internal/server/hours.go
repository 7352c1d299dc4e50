package server

import (
	"math"
	"net/http"
	"slices"
	"time"
	_ "time/tzdata" // the zones of shoot files must be known on machines without their own tables

	"halfstop/answer"
	"halfstop/daylight"
	"halfstop/shoot"
	"halfstop/stage"
)

// HoursView is how daylight goes with the clock. Entry n is of the minute from + n·step of the day.
type HoursView struct {
	At    int        `json:"at" doc:"minute of the day that the file's level is taken to be of"`
	From  int        `json:"from"`
	To    int        `json:"to"`
	Step  int        `json:"step"`
	Sun   []float64  `json:"sun" doc:"altitude, degrees"`
	Stops []float64  `json:"stops" doc:"daylight against the file's level: what its layers' weights go up by"`
	Says  []string   `json:"says" doc:"what this rests on, in sentences"`
	Marks []HourMark `json:"marks"`
}

// HourMark is a fixed time of the day.
type HourMark struct {
	Name   string `json:"name"`
	Minute int    `json:"minute"`
	Setup  bool   `json:"setup" doc:"the time of a setup; else one of the day's hours"`
}

// hoursView gives the clock of a setup that has daylight.
func hoursView(m *model, s *stage.Stage, index int) *HoursView {
	if !slices.ContainsFunc(s.Layers, func(l stage.Layer) bool { return l.Kind == stage.Daylight }) {
		return nil
	}
	scale, source := hourScale(m.job.File)
	h := answer.HoursOf(m.job.File, index, scale, source, time.LoadLocation)
	v := &HoursView{At: h.At, From: h.From, To: h.To, Step: h.Step, Says: h.Says, Marks: []HourMark{}}
	for i := range h.Sun {
		v.Sun = append(v.Sun, math.Round(h.Sun[i]*100)/100)
		v.Stops = append(v.Stops, math.Round(h.Stops[i]*1000)/1000)
	}
	for _, x := range h.Marks {
		v.Marks = append(v.Marks, HourMark(x))
	}
	return v
}

// hourScale is how daylight goes with the sun's altitude in the weather that the room's outside
// names; without one as overcast. The strip scales what was traced: where the sun itself comes in,
// halfstop sun and --at trace each hour anew.
func hourScale(f *shoot.File) (daylight.Scale, string) {
	w, ok := daylight.Condition(f.Room.Outside.Sky)
	if !ok || w.Name == "overcast" {
		return daylight.Overcast, daylight.OvercastSource
	}
	const equinox = 80
	return func(altitude float64) float64 { return w.Level(altitude, equinox) },
		"the " + w.Name + " sky of the IES recommended practice for daylight availability (1984), without the sun's own beam"
}

// atHour gives a stage whose daylight is so many stops off the file's.
func atHour(s *stage.Stage, stops float64) (*stage.Stage, error) {
	if stops == 0 {
		return s, nil
	}
	if !(math.Abs(stops) <= 30) {
		return nil, refuse(http.StatusBadRequest, "daylight: give stops against the file's, -30 to 30")
	}
	out := *s
	out.Layers = slices.Clone(s.Layers)
	for l := range out.Layers {
		if out.Layers[l].Kind == stage.Daylight {
			out.Layers[l].K *= math.Exp2(stops)
		}
	}
	return &out, nil
}
