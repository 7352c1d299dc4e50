package answer

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"halfstop/shoot"
	"halfstop/stage"
)

// Hours says how daylight goes with the clock in one setup.
type Hours struct {
	At             int       // minute of the day of the setup
	Shown          int       // that it is looked at; At unless another was asked for
	From, To, Step int       // minutes of the day
	Sun            []float64 // altitude in degrees at From, From + Step …, refraction included
	Stops          []float64 // what comes in by windows and openings, sun included, against the hour shown
	Beam           []bool    // the sun itself comes in by one of them
	Says           []string  // what this rests on, in sentences
	Marks          []HourMark
}

// HourMark is a fixed time of the day.
type HourMark struct {
	Name   string
	Minute int
	Setup  bool
}

// hourStep is the distance of two entries, minutes: at dusk the light falls a stop in the time.
const hourStep = 4

// darkStops stands for a window that nothing comes in by.
const darkStops = -30

// HoursOf gives the clock of a setup: the day's hours and every setup's time, three hours at least.
// Sun and Stops are empty: see Through. Whatever the file leaves open is assumed, and said.
func HoursOf(f *shoot.File, setup int) *Hours {
	h := &Hours{Step: hourStep}
	say := func(format string, args ...any) { h.Says = append(h.Says, fmt.Sprintf(format, args...)) }
	for _, a := range stage.MomentOf(f, "12:00").Assumed {
		say("%s.", capital(a))
	}
	minute := func(name, text string, isSetup bool) int {
		m, ok := clock(text)
		if !ok {
			return -1
		}
		h.Marks = append(h.Marks, HourMark{name, m, isSetup})
		return m
	}
	lo, hi := 24*60, 0
	grow := func(m int) {
		if m >= 0 {
			lo, hi = min(lo, m), max(hi, m)
		}
	}
	hours := f.Shoot.Hours
	for _, x := range [][2]string{{"access", hours.Access}, {"sitter", hours.Sitter}, {"strike", hours.Strike},
		{"out", hours.Out}} {
		grow(minute(x[0], x[1], false))
	}
	h.At = -1
	for i := range f.Setups {
		m := minute(f.Setups[i].Name, f.Setups[i].At, true)
		grow(m)
		if i == setup {
			h.At = m
		}
	}
	if h.At < 0 {
		h.At = 12 * 60
		say("The setup names no time: 12:00 is assumed.")
		grow(h.At)
	}
	h.Shown = minuteOf(f.Setups[setup].Hour, h.At)
	grow(h.Shown)
	if hi-lo < 180 {
		lo, hi = lo-(180-(hi-lo))/2, hi+(180-(hi-lo))/2
	}
	h.From, h.To = max(0, lo/30*30), min(24*60-hourStep, (hi+29)/30*30)
	return h
}

// Through works out what comes in by windows and openings over the
// hours, by their own weather, with the sun: sky, what stands outside,
// ground and beam on each pane, as far as its glass lets through.
func (h *Hours) Through(f *shoot.File, glazings []stage.Glazing) {
	inflow := func(minute int) (sum float64, beam bool) {
		for i := range glazings {
			g := &glazings[i]
			o, ok := g.Outdoors(f, ClockText(minute), "")
			if !ok {
				continue
			}
			sky, _, ground := o.PaneOf(hourRays)
			sum += (sky+ground)*g.Through()*g.Width*g.Height + g.SunFlux(&o)
			beam = beam || g.Sun(&o) > 0
		}
		return sum, beam
	}
	stops := func(a, b float64) float64 {
		if !(a > 0) || !(b > 0) {
			return darkStops
		}
		return max(darkStops, math.Log2(a/b))
	}
	now, _ := inflow(h.Shown)
	h.Sun, h.Stops, h.Beam = nil, nil, nil
	for m := h.From; m <= h.To; m += h.Step {
		in, beam := inflow(m)
		h.Sun = append(h.Sun, stage.MomentOf(f, ClockText(m)).Altitude)
		h.Stops, h.Beam = append(h.Stops, stops(in, now)), append(h.Beam, beam)
	}
	for i := range glazings {
		if off := glazings[i].OffHour(f, ClockText(h.At)); off != "" {
			h.Says = append(h.Says, capital(off)+".")
			break
		}
	}
	if o, ok := weatherOf(f, glazings, h.Shown); ok {
		h.Says = append(h.Says, fmt.Sprintf("The sky is %s: real days of that weather lie %.1f st either way. "+
			"A level that the file states counts at its hour; all other hours follow from it.",
			o.Weather.Name, o.Weather.Spread))
	}
	h.Says = append(h.Says, "Skies: ISO 15469. Levels: IES recommended practice for daylight "+
		"availability, 1984; under the horizon the twilight of the Explanatory Supplement to the Astronomical "+
		"Almanac, 1992.")
}

// hourRays is the side of the grid of directions that a
// pane's light is summed over: within 2 % of a fine one.
const hourRays = 16

func weatherOf(f *shoot.File, glazings []stage.Glazing, minute int) (stage.Outdoors, bool) {
	for i := range glazings {
		if o, ok := glazings[i].Outdoors(f, ClockText(minute), ""); ok {
			return o, true
		}
	}
	return stage.Outdoors{}, false
}

// clock reads hh:mm as a minute of the day.
func clock(s string) (int, bool) {
	a, b, ok := strings.Cut(strings.TrimSpace(s), ":")
	x, e1 := strconv.Atoi(a)
	y, e2 := strconv.Atoi(b)
	if !ok || e1 != nil || e2 != nil || x < 0 || x > 24 || y < 0 || y > 59 || x*60+y > 24*60 {
		return 0, false
	}
	return x*60 + y, true
}

// ClockText prints a minute of the day as hh:mm.
func ClockText(m int) string { return fmt.Sprintf("%02d:%02d", m/60, m%60) }
