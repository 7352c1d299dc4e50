package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	q "halfstop/quantity"
)

func sunCommand(e *env) *cobra.Command {
	return command(e, words{use: "sun [SHOOT]", most: 1, short: "daylight at every point and window over the hours",
		long: `sun follows daylight through the day: where the sun stands, what falls on every window, what every
point gets against the setup's own hour, how far other weather would lift or drop it, when the sun
itself falls on a point and where its patch lies, until when the look holds, and when to hold the
meter up again.

The weather stands in the file (outside: {sky: clear}); a level measured at an hour pins the scale
(illuminance: 12000 lx, measured: "16:00"), and so does --reads, a meter reading of one point.`}, &sunOptions{})
}

type sunOptions struct {
	work
	from, to, reads, out string
	step                 int
	json, force          bool
}

func (o *sunOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	f.StringVar(&o.from, "from", "", "first time, hh:mm; the shoot's hours when absent")
	f.StringVar(&o.to, "to", "", "last time, hh:mm")
	f.IntVar(&o.step, "step", 10, "minutes between times, 1 to 120")
	f.StringVar(&o.reads, "reads", "",
		"a reading that pins the scale: 'POINT=1200 lx@16:00' or 'POINT=f/4 + 0.3@16:00'")
	f.StringVarP(&o.out, "output", "o", "", "plot to write, .svg or .png")
	flagJSON(f, &o.json)
	flagForce(f, &o.force)
}

// pin reads --reads against a setup's camera settings.
func (o *sunOptions) pin(job *answer.Job, setup int) (*answer.SunPin, error) {
	if o.reads == "" {
		return nil, nil
	}
	bad := func(why string) (*answer.SunPin, error) {
		return nil, badInput(fmt.Errorf("--reads %q: %s; write it like 'bench=1200 lx@16:00'", o.reads, why))
	}
	what, at, ok := strings.Cut(o.reads, "@")
	name, value, ok2 := strings.Cut(what, "=")
	minute, ok3 := answer.Minute(at)
	if !ok || !ok2 || !ok3 {
		return bad("a point, its reading and the hour are needed")
	}
	p := &answer.SunPin{Point: strings.TrimSpace(name), Minute: minute}
	value = strings.TrimSpace(value)
	if lx, err := q.ParseLux(value); err == nil && strings.HasSuffix(value, "lx") {
		p.Lux = float64(lx)
		return p, nil
	}
	n, err := q.ParseFNumber(value)
	if err != nil {
		return bad(err.Error())
	}
	iso, t, c := 100.0, 1.0/125, float64(job.File.House.FlatC)
	if cam := job.File.Setups[setup].Camera; cam != nil {
		iso, t = float64(cam.ISO), float64(cam.Shutter)
	}
	p.Lux = c * float64(n) * float64(n) / (iso * t)
	return p, nil
}

func (o *sunOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	w := answer.SunWork{Step: o.step}
	if o.step < 1 || o.step > 120 {
		return badInput(fmt.Errorf("--step %d: give minutes from 1 to 120", o.step))
	}
	for _, x := range []struct {
		text, flag string
		to         *int
	}{{o.from, "--from", &w.From}, {o.to, "--to", &w.To}} {
		if x.text == "" {
			continue
		}
		m, ok := answer.Minute(x.text)
		if !ok {
			return badInput(fmt.Errorf("%s %q: write a time like 16:30", x.flag, x.text))
		}
		*x.to = m
	}
	if (o.from == "") != (o.to == "") || o.from != "" && w.To <= w.From {
		return badInput(errors.New("--from and --to go together, the earlier first"))
	}
	kind := strings.ToLower(filepath.Ext(o.out))
	if o.out != "" && kind != ".svg" && kind != ".png" {
		return badInput(fmt.Errorf("-o %s: a plot is written as .svg or .png", o.out))
	}
	job, err := e.shoot(args)
	if err != nil {
		return err
	}
	all := sunJSON{Version: 1, Setups: []sunSetupJSON{}}
	err = each(ctx, e, &o.work, job, "daylight of", func(ctx context.Context, i int, step step) (*answer.SunDay,
		diag.List, error) {
		pin, err := o.pin(job, i)
		if err != nil {
			return nil, nil, err
		}
		w := w
		w.Pin, w.Meter = pin, o.work.first(step)
		w.Meter.Error = firstError
		return job.Sun(ctx, i, w)
	}, func(n int, d *answer.SunDay) error {
		if o.out != "" {
			path := o.out
			if n > 0 {
				path = strings.TrimSuffix(path, filepath.Ext(path)) + fmt.Sprintf("-%d", n+1) + kind
			}
			data := sunSVG(d)
			if kind == ".png" {
				data = sunPNG(d)
			}
			if err := e.write(path, data, o.force); err != nil {
				return err
			}
			fmt.Fprintf(e.err, "%s: %s\n", path, d.Setup)
		}
		if o.json {
			all.Setups = append(all.Setups, sunJSONOf(d))
			return nil
		}
		e.between(n)
		e.sunTable(d)
		return nil
	})
	if err == nil && o.json {
		err = e.json(all)
	}
	return err
}

// sunTable prints what is told first, then the hours.
func (e *env) sunTable(d *answer.SunDay) {
	fmt.Fprintf(e.out, "%s   daylight against %s\n", d.Setup, answer.ClockText(d.At))
	for _, s := range append(append([]string{}, d.Says...), d.Assumed...) {
		e.line(2, "- "+s)
	}
	fmt.Fprintln(e.out)
	// As many points as fit; the rest stand in --json.
	room := (e.columns - 30 - 9*len(d.Windows)) / 12
	shown := min(len(d.Points), max(1, room))
	fmt.Fprintf(e.out, "%-6s %5s %9s", "time", "sun", "open, lx")
	for _, w := range d.Windows {
		fmt.Fprintf(e.out, " %8s", clipWord(w, 8))
	}
	for _, p := range d.Points[:shown] {
		fmt.Fprintf(e.out, " %11s", clipWord(p.Name, 11))
	}
	fmt.Fprintln(e.out)
	for i, t := range d.Times {
		fmt.Fprintf(e.out, "%-6s %4s° %9s", answer.ClockText(t.Minute), minus(t.Altitude), lux(t.Ground))
		for _, w := range t.Windows {
			mark := ""
			if w.Sun > 0 {
				mark = "*"
			}
			fmt.Fprintf(e.out, " %8s", lux(w.Pane)+mark)
		}
		for _, p := range d.Points[:shown] {
			mark := " "
			if p.Direct[i] {
				mark = "*"
			}
			fmt.Fprintf(e.out, " %10s%s", stopsText(p.Stops[i]), mark)
		}
		fmt.Fprintln(e.out)
	}
	e.line(2,
		"Windows: lx on the outside of the pane. Points: stops of all light against the setup's own hour. * the "+
			"sun itself.")
	var skies []string
	for k, w := range d.Windows {
		var all []float64
		for _, t := range d.Times {
			all = append(all, t.Windows[k].Kelvin)
		}
		if said := kelvinText(all); said != "" {
			skies = append(skies, w+" "+said)
		}
	}
	if len(skies) > 0 {
		e.line(2, "Colour of the sky outside: "+strings.Join(skies, ", ")+".")
	}
	for _, p := range d.Points[:shown] {
		said := ""
		if k := kelvinText(p.Kelvin); k != "" {
			said = ", daylight " + k
		}
		e.line(15, fmt.Sprintf("%-14s %s  other weather %s%s", clipWord(p.Name, 14), spark(p.Stops),
			weatherText(&p), said))
	}
	if n := len(d.Points) - shown; n > 0 {
		fmt.Fprintf(e.out, "%d more points stand in --json\n", n)
	}
	for _, t := range d.Times {
		for _, p := range t.Patches {
			if len(p.Hits) > 0 {
				e.line(7, fmt.Sprintf("%s  sun through %s on %s; its patch lies %s", answer.ClockText(t.Minute),
					p.Window, strings.Join(p.Hits, ", "), p.Where()))
			}
		}
	}
}

// weatherText says how far other weather would take a point, at most over the hours.
func weatherText(p *answer.SunPoint) string {
	lo, hi := 0.0, 0.0
	for i, v := range p.Low {
		if !math.IsNaN(v) {
			lo, hi = min(lo, v), max(hi, p.Top[i])
		}
	}
	return stopsText(lo) + " to " + stopsText(hi)
}

// kelvinText says between which colours daylight goes; empty where there is none.
func kelvinText(k []float64) string {
	lo, hi := math.Inf(1), 0.0
	for _, v := range k {
		if v > 0 {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	switch {
	case hi == 0:
		return ""
	case lo == hi:
		return fmt.Sprintf("%.0f K", hi)
	}
	return fmt.Sprintf("%.0f to %.0f K", lo, hi)
}

func minus(v float64) string { return strings.Replace(fmt.Sprintf("%.0f", v+0), "-", "−", 1) }

func clipWord(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

func lux(v float64) string {
	switch {
	case v >= 1000:
		return fmt.Sprintf("%.0f", math.Round(v/100)*100)
	case v >= 10:
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.2g", v)
}

func stopsText(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "dark"
	}
	if math.Abs(v) < 0.05 {
		return "0.0 st"
	}
	return strings.Replace(fmt.Sprintf("%+.1f st", v), "-", "−", 1)
}

// spark is a line of eight heights, over a stop at least: a tenth of a stop is no slope to worry
// about.
func spark(v []float64) string {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, x := range v {
		if !math.IsNaN(x) && !math.IsInf(x, 0) {
			lo, hi = min(lo, x), max(hi, x)
		}
	}
	if most := 1.0; hi-lo < most {
		lo = (lo+hi)/2 - most/2
		hi = lo + most
	}
	var b strings.Builder
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) || math.IsInf(lo, 0) {
			b.WriteRune('▁')
			continue
		}
		b.WriteRune([]rune("▁▂▃▄▅▆▇█")[int(math.Round(7*(x-lo)/(hi-lo)))])
	}
	return b.String()
}

type sunJSON struct {
	Version int            `json:"version"`
	Setups  []sunSetupJSON `json:"setups"`
}

type sunSetupJSON struct {
	Setup   string         `json:"setup"`
	At      string         `json:"at"`    // the setup's own hour
	Scale   float64        `json:"scale"` // of daylight against the model, by a reading
	Says    []string       `json:"says"`
	Assumed []string       `json:"assumed"`
	Times   []sunTimeJSON  `json:"times"`
	Points  []sunPointJSON `json:"points"`
}

type sunTimeJSON struct {
	At       string          `json:"at"`
	Altitude float64         `json:"altitude"` // degrees
	Azimuth  float64         `json:"azimuth"`  // degrees east of north
	Ground   float64         `json:"ground_lux"`
	Windows  []sunWindowJSON `json:"windows"`
	Patches  []sunPatchJSON  `json:"patches"`
}

type sunWindowJSON struct {
	Name   string  `json:"name"`
	Pane   float64 `json:"pane_lux"` // on its outside
	Sun    float64 `json:"sun_lux"`  // of it by the sun itself
	Kelvin float64 `json:"kelvin"`
}

type sunPatchJSON struct {
	Window string        `json:"window"`
	Floor  [][2]float64  `json:"floor"` // corners on the plane of the floor, metres
	Lies   []patchOnJSON `json:"lies"`
	Hits   []string      `json:"hits"`
}

type patchOnJSON struct {
	Wall    int          `json:"wall"`    // 0: the floor
	Corners [][2]float64 `json:"corners"` // metres: x and y, or along the wall and up
}

type sunPointJSON struct {
	Name   string     `json:"name"`
	Lux    []float64  `json:"lux"`    // of daylight
	Stops  []*float64 `json:"stops"`  // all light against the setup's hour; null: dark
	Low    []*float64 `json:"low"`    // daylight in the dullest weather against the file's, stops
	Top    []*float64 `json:"top"`    // and in the brightest
	Kelvin []float64  `json:"kelvin"` // 0: none
	Direct []bool     `json:"direct"` // the sun itself falls on it
}

func finite(v []float64) []*float64 {
	out := make([]*float64, len(v))
	for i := range v {
		if !math.IsNaN(v[i]) && !math.IsInf(v[i], 0) {
			x := math.Round(v[i]*1000) / 1000
			out[i] = &x
		}
	}
	return out
}

func someText(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func sunJSONOf(d *answer.SunDay) sunSetupJSON {
	round := func(v float64) float64 { return math.Round(v*100) / 100 }
	out := sunSetupJSON{Setup: d.Setup, At: answer.ClockText(d.At), Scale: d.Scale, Says: someText(d.Says),
		Assumed: someText(d.Assumed),
		Times:   []sunTimeJSON{}, Points: []sunPointJSON{}}
	for _, t := range d.Times {
		j := sunTimeJSON{At: answer.ClockText(t.Minute), Altitude: round(t.Altitude), Azimuth: round(t.Azimuth),
			Ground:  round(t.Ground),
			Windows: []sunWindowJSON{}, Patches: []sunPatchJSON{}}
		for k, w := range t.Windows {
			j.Windows = append(j.Windows, sunWindowJSON{d.Windows[k], round(w.Pane), round(w.Sun), w.Kelvin})
		}
		for _, p := range t.Patches {
			on := []patchOnJSON{}
			for _, x := range p.Lies {
				on = append(on, patchOnJSON(x))
			}
			j.Patches = append(j.Patches, sunPatchJSON{p.Window, p.Floor, on, someText(p.Hits)})
		}
		out.Times = append(out.Times, j)
	}
	for _, p := range d.Points {
		rounded := make([]float64, len(p.Lux))
		for i, v := range p.Lux {
			rounded[i] = round(v)
		}
		out.Points = append(out.Points, sunPointJSON{p.Name, rounded, finite(p.Stops), finite(p.Low), finite(p.Top),
			p.Kelvin, p.Direct})
	}
	return out
}
