package answer

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/daylight"
	"halfstop/diag"
	"halfstop/geom"
	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
)

// SunWork says what hours of daylight to work out.
type SunWork struct {
	Meter    meter.Work
	From, To int // minutes of the day; both 0: the shoot's hours
	Step     int // minutes; 0: 10
	Pin      *SunPin
}

// SunPin is a reading that fixes the scale: what a point read at an hour, all lights as in the
// file.
type SunPin struct {
	Point  string
	Minute int
	Lux    float64 // incident, lx
}

// SunDay is daylight over the hours of one setup.
type SunDay struct {
	Setup   string
	At      int // the setup's own minute
	Scale   float64
	Times   []SunTime
	Windows []string
	Points  []SunPoint
	Says    []string // the results in sentences
	Assumed []string
}

// SunTime is one time of the day.
type SunTime struct {
	Minute            int
	Altitude, Azimuth float64 // degrees
	Ground            float64 // lx on open level ground, sun included
	Windows           []SunWindow
	Patches           []SunPatch
}

// SunWindow is what falls on a window from outside, lx, and the colour of what it sees of the sky.
type SunWindow struct {
	Pane, Sun float64 // all; of it the direct sun
	Kelvin    float64
}

// SunPatch is where the sun that comes through a window lies on the floor.
type SunPatch struct {
	Window string
	Floor  [][2]float64 // corners on the plane of the floor, as if no wall stood in the way, metres
	Lies   []PatchOn    // where in the room it lies
	Hits   []string     // points it lies on
}

// SunPoint is the daylight at one point over the times.
type SunPoint struct {
	Name     string
	Lux      []float64 // daylight alone
	Stops    []float64 // all light against the setup's own hour
	Low, Top []float64 // stops of daylight in the dullest and brightest weather against the file's
	Kelvin   []float64 // colour of the daylight
	Direct   []bool    // the sun itself falls on it
	other    float64   // light that is no daylight, lx
}

// Sun works out daylight at each point and window over the hours. Each window's light at each point
// is traced at the setup's hour or, where that is dark, at noon, and, where the sky is brighter
// about the sun, every hour and a half besides; between them it goes with what falls
// on the window's outside. The sun itself is added where a free line leads from a point through the
// window to it; its light off floor and walls goes as in the nearest traces in which it came in by
// that window, and where it did in none, as the window's own bounced light.
func (j *Job) Sun(ctx context.Context, setup int, w SunWork) (*SunDay, diag.List, error) {
	f := j.File
	at := minuteOf(f.Setups[setup].Clock(), 12*60)
	ref := at
	if stage.MomentOf(f, ClockText(at)).Altitude < 3 {
		ref = 12 * 60
	}
	base := j.At(setup, ClockText(ref))
	m, list, err := base.Meter(ctx, setup, w.Meter)
	if m == nil || err != nil {
		return nil, list, err
	}
	s := m.Stage
	d := &SunDay{Setup: f.Setups[setup].Name, At: at, Scale: 1,
		Assumed: stage.MomentOf(f, f.Setups[setup].Clock()).Assumed}
	if len(s.Glazings) == 0 {
		return nil, list, fmt.Errorf("the setup %q has no window and no opening: there is no daylight to follow",
			d.Setup)
	}
	from, to, step := w.From, w.To, w.Step
	if step <= 0 {
		step = 10
	}
	if from == 0 && to == 0 {
		h := HoursOf(f, setup)
		from, to = h.From, h.To
	}
	for _, g := range s.Glazings {
		d.Windows = append(d.Windows, g.Name)
	}

	// What the messages say of the hour is what is assumed here: once is enough.
	list = slices.DeleteFunc(list, func(m diag.Message) bool { return m.Code == "stage.hour" })
	for k := range s.Glazings {
		if off := s.Glazings[k].OffHour(f, ClockText(at)); off != "" {
			d.Assumed = append(d.Assumed, off)
			break
		}
	}
	var answers []sunAnswers
	first, err := j.sunAnswers(f, m, ref, d)
	if err != nil {
		return nil, list, err
	}
	answers = append(answers, first)
	for _, minute := range otherRefs(s, f, ref, from, to) {
		m, more, err := j.At(setup, ClockText(minute)).Meter(ctx, setup, w.Meter)
		if m == nil || err != nil {
			return nil, more, err
		}
		next, err := j.sunAnswers(f, m, minute, nil)
		if err != nil {
			return nil, list, err
		}
		answers = append(answers, next)
	}
	slices.SortFunc(answers, func(a, b sunAnswers) int { return a.minute - b.minute })
	places := placesOf(s)
	// What lies before each window at a time in a weather, worked out once.
	type asked struct {
		window, minute int
		weather        string
	}
	type before struct {
		out            stage.Outdoors
		ok             bool
		pane, beam     float64
		kelvin         float64
		skyXYZ, sunXYZ spectrum.XYZ
	}
	known := map[asked]*before{}
	see := func(k, minute int, weather string) *before {
		key := asked{k, minute, weather}
		if v := known[key]; v != nil {
			return v
		}
		v := &before{}
		if v.out, v.ok = s.Glazings[k].Outdoors(f, ClockText(minute), weather); v.ok {
			sky, beam, ground := v.out.Pane()
			v.pane, v.beam = sky+ground, beam
			v.kelvin, v.skyXYZ, v.sunXYZ = s.Glazings[k].Colours(&v.out, sky)
		}
		known[key] = v
		return v
	}
	// light gives the daylight at a point at a minute, in a weather.
	light := func(n, minute int, weather string) (lux, kelvin float64, direct bool) {
		var sum spectrum.XYZ
		add := func(e float64, x spectrum.XYZ) {
			if e > 0 {
				lux += e
				sum = spectrum.XYZ{X: sum.X + e*x.X/x.Y, Y: sum.Y + e, Z: sum.Z + e*x.Z/x.Y}
			}
		}
		for k := range s.Glazings {
			g, v := &s.Glazings[k], see(k, minute, weather)
			if !v.ok {
				continue
			}
			a := answerAt(answers, minute, n, k)
			add(a.sky*v.pane, v.skyXYZ)
			add(a.bounced*g.SunFlux(&v.out), v.sunXYZ)
			if e := places[n].sun(s, g, &v.out); e > 0 {
				direct = true
				add(e, v.sunXYZ)
			}
		}
		if sum.Y > 0 {
			kelvin, _, _ = spectrum.CCTOhno2013(sum.XY())
		}
		return lux, kelvin, direct
	}
	if p := w.Pin; p != nil {
		n := -1
		for i := range d.Points {
			if strings.EqualFold(d.Points[i].Name, p.Point) {
				n = i
			}
		}
		if n < 0 {
			return nil, list, fmt.Errorf("no point is called %q", p.Point)
		}
		lux, _, _ := light(n, p.Minute, "")
		if !(lux > 0) || p.Lux <= d.Points[n].other {
			return nil, list, fmt.Errorf(
				"at %s %s gets %.3g lx without daylight; the reading of %.3g lx tells nothing of the sky",
				ClockText(p.Minute), p.Point, d.Points[n].other, p.Lux)
		}
		d.Scale = (p.Lux - d.Points[n].other) / lux
		d.Says = append(d.Says,
			fmt.Sprintf("The reading at %s at %s puts daylight %+.1f st from the model's; all hours follow it.",
				p.Point, ClockText(p.Minute), math.Log2(d.Scale)))
	}
	own := make([]float64, len(d.Points))
	corners, ceiling := stage.Outline(&f.Room)
	for n := range d.Points {
		lux, _, _ := light(n, at, "")
		own[n] = d.Scale*lux + d.Points[n].other
	}
	for minute := from; minute <= to; minute += step {
		if err := ctx.Err(); err != nil {
			return nil, list, err
		}
		clock := ClockText(minute)
		mo := stage.MomentOf(f, clock)
		t := SunTime{Minute: minute, Altitude: mo.Altitude, Azimuth: mo.Azimuth}
		for k := range s.Glazings {
			g, v := &s.Glazings[k], see(k, minute, "")
			if !v.ok {
				t.Windows = append(t.Windows, SunWindow{})
				continue
			}
			out := v.out
			t.Ground = d.Scale * (out.Level + out.Direct*max(0, out.Sun.Z))
			t.Windows = append(t.Windows, SunWindow{d.Scale * (v.pane + v.beam), d.Scale * v.beam,
				math.Round(v.kelvin/50) * 50})
			if g.Sun(&out) <= 0 {
				continue
			}
			patch := SunPatch{Window: g.Name, Lies: lies(g, out.Sun, corners, ceiling)}
			for _, c := range g.Patch(out.Sun) {
				patch.Floor = append(patch.Floor, [2]float64{c.X, c.Y})
			}
			for n := range d.Points {
				if places[n].sun(s, g, &out) > 0 {
					patch.Hits = append(patch.Hits, d.Points[n].Name)
				}
			}
			t.Patches = append(t.Patches, patch)
		}
		d.Times = append(d.Times, t)
		for n := range d.Points {
			p := &d.Points[n]
			lux, kelvin, direct := light(n, minute, "")
			lux *= d.Scale
			low, top := lux, lux
			for _, c := range daylight.Conditions() {
				e, _, _ := light(n, minute, c)
				low, top = min(low, d.Scale*e), max(top, d.Scale*e)
			}
			p.Lux, p.Kelvin, p.Direct = append(p.Lux, lux), append(p.Kelvin,
				math.Round(kelvin/50)*50), append(p.Direct, direct)
			p.Stops = append(p.Stops, stopsOf(lux+p.other, own[n]))
			p.Low, p.Top = append(p.Low, stopsOf(low, lux)), append(p.Top, stopsOf(top, lux))
		}
	}
	d.sentences(f, setup)
	return d, list, nil
}

func stopsOf(a, b float64) float64 {
	if !(a > 0) || !(b > 0) {
		return math.NaN()
	}
	return math.Log2(a / b)
}

// place is a point's receptor.
type place struct {
	at, normal geom.Vec
	dome       bool
}

func placesOf(s *stage.Stage) (out []place) {
	for i := range s.Points {
		p := &s.Points[i]
		if p.Incident == nil || p.Receptor == "spot" {
			continue
		}
		out = append(out, place{p.At, p.Normal, p.Receptor == "dome"})
	}
	return out
}

// sun is the direct sun at a place through one window, lx: on a flat receptor by the cosine, on a
// dome by (1 + cos)/2.
func (p place) sun(s *stage.Stage, g *stage.Glazing, o *stage.Outdoors) float64 {
	e := g.Sun(o)
	if e <= 0 {
		return 0
	}
	c := o.Sun.Dot(p.normal)
	if p.dome {
		c = (1 + c) / 2
	}
	if c <= 0 {
		return 0
	}
	from := p.at.AddMul(p.normal, 0.005)
	hole, ok := g.Admits(from, o.Sun)
	if !ok || !s.Scene.Unoccluded(from, hole.AddMul(o.Sun, -0.02)) {
		return 0
	}
	return e * c
}

// At gives the job with a setup looked at at another hour. A level of daylight that the file states
// stays that of the hour it had.
func (j *Job) At(setup int, clock string) *Job {
	f := *j.File
	f.Setups = append([]shoot.Setup(nil), f.Setups...)
	f.Setups[setup].Hour = clock
	return &Job{File: &f, Doc: j.Doc, Files: j.Files}
}

func minuteOf(clockText string, otherwise int) int {
	if m, ok := clock(clockText); ok {
		return m
	}
	return otherwise
}

// Minute reads hh:mm.
func Minute(text string) (int, bool) { return clock(text) }

// lookHolds is how far a point of the look may drift where the look does not say, stops; meterAgain
// is the drift after which one holds the meter up again (a third of a stop is one step of most
// dials).
const (
	lookHolds  = 0.25
	meterAgain = 1.0 / 3
)

// sentences says what a photographer wants to know of the hours.
func (d *SunDay) sentences(f *shoot.File, setup int) {
	say := func(format string, args ...any) { d.Says = append(d.Says, fmt.Sprintf(format, args...)) }
	step := d.step()
	for k, name := range d.Windows {
		for i := 0; i+1 < len(d.Times); i++ {
			a, b := d.Times[i].Windows[k].Sun > 0, d.Times[i+1].Windows[k].Sun > 0
			if a && !b {
				say("The sun leaves %s after %s.", name, ClockText(d.Times[i].Minute))
			} else if b && !a {
				say("The sun comes to %s by %s.", name, ClockText(d.Times[i+1].Minute))
			}
		}
	}
	reported := 0
	for n := range d.Points {
		p := &d.Points[n]
		if slices.Contains(lesser, p.Name) {
			continue
		}
		// From where on it falls by a stop in half an hour or less, to the end or to where it stops
		// falling; where the sun goes between, what comes after it is told too.
		var paces []string
		for i := 0; i+1 < len(p.Stops); i++ {
			per := func(k int) float64 { return (p.Stops[k] - p.Stops[k+1]) / step }
			if !(per(i) >= 1.0/30) || d.jumps(i) {
				continue
			}
			k := i
			for k+1 < len(p.Stops)-1 && per(k+1) >= 1.0/30 && !d.jumps(k+1) {
				k++
			}
			if fall := p.Stops[i] - p.Stops[k+1]; fall >= 1 {
				// Dusk falls ever faster: what is slower than half the mean of what
				// follows is told apart.
				steep := i
				for steep < k && per(steep) < (p.Stops[steep]-p.Stops[k+1])/(float64(k+1-steep)*step)/2 {
					steep++
				}
				every := func(from, to int) string {
					return fmt.Sprintf("every %.0f minutes after %s", float64(to-from)*step/(p.Stops[from]-p.Stops[to]),
						ClockText(d.Times[from].Minute))
				}
				if steep > i && p.Stops[i]-p.Stops[steep] >= 0.5 {
					paces = append(paces, every(i, steep))
				}
				paces = append(paces, every(steep, k+1))
			}
			i = k
		}
		if len(paces) > 0 && reported < 4 {
			reported++
			say("%s loses 1 stop %s.", capital(p.Name), strings.Join(paces, ", "))
		}
		for i := range p.Direct {
			if p.Direct[i] && (i == 0 || !p.Direct[i-1]) {
				end := i
				for end+1 < len(p.Direct) && p.Direct[end+1] {
					end++
				}
				if span := ClockText(d.Times[i].Minute); end > i {
					say("The sun itself falls on %s from %s to %s.", p.Name, span, ClockText(d.Times[end].Minute))
				} else {
					say("The sun itself falls on %s at %s.", p.Name, span)
				}
			}
		}
	}
	d.holds(&f.Setups[setup], say)
	d.meterTimes(say)
}

// jumps reports whether the sun comes to or leaves a window or a point between two times.
func (d *SunDay) jumps(i int) bool {
	for k := range d.Windows {
		if (d.Times[i].Windows[k].Sun > 0) != (d.Times[i+1].Windows[k].Sun > 0) {
			return true
		}
	}
	return slices.ContainsFunc(d.Points, func(p SunPoint) bool { return p.Direct[i] != p.Direct[i+1] })
}

func (d *SunDay) step() float64 {
	if len(d.Times) < 2 {
		return 1
	}
	return float64(d.Times[1].Minute - d.Times[0].Minute)
}

// holds says until when the look stands if nobody touches anything.
func (d *SunDay) holds(s *shoot.Setup, say func(string, ...any)) {
	wished := false
	for i, t := range d.Times {
		if t.Minute < d.At {
			continue
		}
		for _, w := range s.Look {
			may := float64(w.Within.Stops())
			if may == 0 {
				may = lookHolds
			}
			for n := range d.Points {
				p := &d.Points[n]
				if !strings.EqualFold(p.Name, w.Point) {
					continue
				}
				wished = true
				if off := p.Stops[i]; math.Abs(off) > may {
					last := max(d.At, t.Minute-int(d.step()))
					say("The look holds until %s; at %s %s is %s st from where it was at %s.", ClockText(last),
						ClockText(t.Minute), p.Name, plus(off), ClockText(d.At))
					return
				}
			}
		}
	}
	if wished {
		say("The look holds to the end of these hours.")
	}
}

// meterTimes says when to hold the meter up again, by the point that moves most.
func (d *SunDay) meterTimes(say func(string, ...any)) {
	var at []string
	for n := range d.Points {
		var mine []string
		last := math.NaN()
		for i, t := range d.Times {
			v := d.Points[n].Stops[i]
			if t.Minute < d.At || math.IsNaN(v) {
				continue
			}
			if math.IsNaN(last) {
				last = v
			}
			if math.Abs(v-last) >= meterAgain {
				mine, last = append(mine, ClockText(t.Minute)), v
			}
		}
		if len(mine) > len(at) {
			at = mine
		}
	}
	if len(at) > 8 {
		at = append(at[:8], "and so on")
	}
	if len(at) > 0 {
		say("Meter again at %s: by then a point has moved a third of a stop.", strings.Join(at, ", "))
	}
}
