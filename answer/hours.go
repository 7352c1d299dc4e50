package answer

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"halfstop/daylight"
	"halfstop/shoot"
)

// Hours says how daylight goes with the clock in one setup, against the level that the file states.
type Hours struct {
	At             int       // minute of the day that the file's level is taken to be of
	From, To, Step int       // minutes of the day
	Sun            []float64 // altitude in degrees at From, From + Step …
	Stops          []float64 // daylight against the file's
	Says           []string  // what this rests on, in sentences
	Marks          []HourMark
}

// HourMark is a fixed time of the day.
type HourMark struct {
	Name   string
	Minute int
	Setup  bool
}

// hourStep is the distance of two entries: at dusk the light falls a fifth of a stop in the time.
const hourStep = 2

// HoursOf gives the clock of a setup on a scale (daylight.Overcast until there is a fuller sky: this is the one place to put it).
// zone finds a time zone by its name; nil, or one that it does not know, makes the zone follow the longitude. Whatever the file leaves
// open is assumed, and said.
func HoursOf(f *shoot.File, setup int, scale daylight.Scale, source string, zone func(name string) (*time.Location, error)) *Hours {
	h := &Hours{Step: hourStep}
	say := func(format string, args ...any) { h.Says = append(h.Says, fmt.Sprintf(format, args...)) }

	// Where and when.
	p := f.Shoot.Place
	lat, long, placed := p.Latitude, p.Longitude, p.Latitude != 0 || p.Longitude != 0
	if !placed {
		lat = 50
		say("The file names no place: latitude 50° north is assumed, with noon at 12:00.")
	}
	loc := time.FixedZone("", int(math.Round(long/15))*3600)
	known := false
	if placed && p.Zone != "" && zone != nil {
		if l, err := zone(p.Zone); err == nil {
			loc, known = l, true
		}
	}
	if placed && !known {
		say("The time zone is not known: the clock is taken from the longitude, %+d h, without summer time.", int(math.Round(long/15)))
	}
	day, err := time.ParseInLocation("2006-01-02", f.Shoot.Date, loc)
	if err != nil {
		day = time.Date(2026, 3, 20, 0, 0, 0, 0, loc)
		say("The file names no date: the equinox, 20 March, is assumed.")
	}

	// The clock's ends: the day's hours, and every setup's time.
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
	for _, x := range [][2]string{{"access", hours.Access}, {"sitter", hours.Sitter}, {"strike", hours.Strike}, {"out", hours.Out}} {
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
		if h.At = 12 * 60; lo <= hi {
			h.At = (lo + hi) / 2
		}
		say("The setup names no time: %s is assumed.", ClockText(h.At))
		grow(h.At)
	}
	if hi-lo < 180 {
		lo, hi = lo-(180-(hi-lo))/2, hi+(180-(hi-lo))/2
	}
	h.From, h.To = max(0, lo/30*30), min(24*60, (hi+29)/30*30)

	// The sun and the scale.
	altitude := func(m int) float64 {
		a, _ := daylight.Sun(time.Date(day.Year(), day.Month(), day.Day(), 0, m, 0, 0, loc), lat, long)
		return a
	}
	now := scale(altitude(h.At))
	for m := h.From; m <= h.To; m += h.Step {
		a := altitude(m)
		h.Sun = append(h.Sun, a)
		h.Stops = append(h.Stops, math.Log2(scale(a)/now))
	}
	say("Overcast scale: the file's daylight is taken to be the level at %s, and goes up and down with the sun as under even cloud; its colour stays. No sun, no breaks in the cloud: real skies lie up to a stop either way.", ClockText(h.At))
	say("Source: %s.", source)
	return h
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
