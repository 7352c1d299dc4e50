package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/day"
	"halfstop/internal/daylog"
	"halfstop/internal/store"
	"halfstop/kit"
)

func dayCommand(e *env) *cobra.Command {
	return command(e, words{use: "day [SHOOT]", most: 1,
		short: "the run sheet: who does what when, and the chances",
		long: `day plans the day of the shoot. The tasks come from comparing each setup with the one before; how
long they take, who is there and what a setup asks of the day stand under day: in the shoot
(common practice where it says nothing). The order of the setups and the plan by person are the
best there are; where time ran out before that was proven, the bound is printed.

The chances come from simulated days in which every task takes its own time.

Tasks that were begun and done in the log of the day (on the Day screen, a phone, or with halfstop
log) time the crew: the durations of the same actions follow them, the more the more were timed.
--keep keeps those times in kit/crew.yaml beside the shoot; copy the file to another shoot's kit
and its day is planned by them.

When the day runs late: --now says the time, --done and --running name tasks as the run sheet
does ('Aisle: shoot').`},
		&dayOptions{})
}

type dayOptions struct {
	now           string
	done, running []string
	days          int
	seed          uint64
	json, keep    bool
}

func (o *dayOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.now, "now", "", "plan from this time on, hh:mm")
	f.StringArrayVar(&o.done, "done", nil, "a task that is over; may be given again")
	f.StringArrayVar(&o.running, "running", nil, "a task under way, taken to be half over; may be given again")
	f.IntVar(&o.days, "days", 10000, "days to simulate")
	f.Uint64Var(&o.seed, "seed", 1, "seed: the same seed gives the same numbers")
	f.BoolVar(&o.keep, "keep", false, "keep the times of the log in kit/crew.yaml")
	flagJSON(f, &o.json)
}

func (o *dayOptions) run(ctx context.Context, e *env, args []string) error {
	if o.days < 1 || o.days > 1_000_000 {
		return badInput(fmt.Errorf("--days %d: give a number from 1 to 1000000", o.days))
	}
	w := answer.DayWork{Progress: day.Progress{Done: o.done, Running: o.running}, Days: o.days, Seed: o.seed}
	if o.now != "" {
		var ok bool
		if w.Progress.Now, ok = day.Seconds(o.now); !ok {
			return badInput(fmt.Errorf("--now %q: write a time of day, like 15:52", o.now))
		}
	}
	job, list, err := e.load(args)
	if err != nil {
		return err
	}
	dir := ""
	if len(args) > 0 && args[0] != "-" {
		dir = filepath.Dir(store.PlanOf(args[0]))
		if w.Took, err = tookOf(ctx, filepath.Join(dir, daylog.Name)); err != nil {
			return badInput(err)
		}
	}
	if o.keep && dir == "" {
		return badInput(errors.New("--keep writes beside a shoot: name its folder"))
	}
	p := e.progress("planning the day")
	d, more, err := job.Day(ctx, w)
	p.end()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	e.warn(list)
	if err != nil {
		return badInput(err)
	}
	if o.json {
		err = e.json(d)
	} else {
		e.warn(more)
		o.print(e, d)
	}
	if o.keep && err == nil {
		timings, _ := job.Timings(w.Took)
		err = keepTimings(e, dir, timings)
	}
	if code := more.ExitCode(); err == nil && code != exitOK {
		err = &exitError{code: code}
	}
	return err
}

// tookOf takes from a log how long tasks took, minutes from begun to done.
func tookOf(ctx context.Context, path string) (map[string]float64, error) {
	if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	l, err := daylog.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	list, err := l.List(ctx, daylog.Filter{})
	if err != nil {
		return nil, err
	}
	begun, out := map[string]time.Time{}, map[string]float64{}
	for i := range list {
		switch x := &list[i]; {
		case !x.Stands:
		case x.Kind == daylog.Begun:
			begun[x.Subject] = x.At
		case x.Kind == daylog.Tick:
			if b, ok := begun[x.Subject]; ok && x.At.After(b) {
				out[x.Subject] = x.At.Sub(b).Minutes()
			}
		}
	}
	return out, nil
}

// keepTimings writes the times of this shoot to kit/crew.yaml, with those from elsewhere that stand
// in the same file.
func keepTimings(e *env, dir string, list []kit.Timing) error {
	path := filepath.Join(dir, "kit", "crew.yaml")
	if old, err := os.ReadFile(path); err == nil {
		k, wrong := kit.Decode(path, old)
		if err := wrong.Err(); err != nil {
			return badInput(err)
		}
		here := list
		for _, t := range k.Timings {
			if !slices.ContainsFunc(here, func(h kit.Timing) bool { return h.Same(&t) }) {
				list = append(list, t)
			}
		}
	}
	if len(list) == 0 {
		fmt.Fprintln(e.err, "There is nothing to keep: no task was begun and done in the log.")
		return nil
	}
	var b strings.Builder
	b.WriteString("# What this crew was timed at; written by 'halfstop day --keep'. " +
		"Take a time back by deleting it.\ntimings:\n")
	for _, t := range list {
		b.WriteString("  - {")
		for _, f := range [][2]string{{"date", t.Date}, {"place", t.Place}} {
			if f[1] != "" {
				fmt.Fprintf(&b, "%s: %s, ", f[0], strconv.Quote(f[1]))
			}
		}
		fmt.Fprintf(&b, "action: %s, words: %s,\n     took: %.1f min, usual: %.1f min}\n", strconv.Quote(t.Action),
			strconv.Quote(t.Words), float64(t.Took), float64(t.Usual))
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return badInput(err)
	}
	if err := store.WriteFile(path, []byte(b.String())); err != nil {
		return badInput(err)
	}
	fmt.Fprintf(e.err, "%s: tasks timed: %d\n", path, len(list))
	return nil
}

// print writes the run sheet: what it comes to, then the setups, then every task by the clock.
func (o *dayOptions) print(e *env, d *answer.Day) {
	fmt.Fprintln(e.out, d.Sentence)
	end := fmt.Sprintf("The place is empty at %s", d.End)
	if d.Out != "" {
		end += fmt.Sprintf(", due %s; in time on %.0f days of 100, by %s on nine of ten", d.Out, 100*d.OutIn,
			d.Out90)
	}
	fmt.Fprintln(e.out, end+".")
	if !d.Proven {
		fmt.Fprintf(e.out, "Not proven to be the best plan: none ends before %s.\n", d.Bound)
	}
	fmt.Fprintln(e.out)
	fmt.Fprintf(e.out, "%-28s %-6s %-6s %-10s %s\n", "setup", "begins", "ends", "latest",
		"done in time, days of 100")
	for _, s := range d.Setups {
		switch {
		case s.Shot:
			fmt.Fprintf(e.out, "%-28s shot\n", s.Name)
		case !s.In:
			fmt.Fprintf(e.out, "%-28s left out\n", s.Name)
		default:
			note := ""
			if s.Built {
				note = ", stands since the pre-light"
			}
			fmt.Fprintf(e.out, "%-28s %-6s %-6s %-10s %.0f%s\n", s.Name, s.Begin, s.End, s.Latest, 100*s.Chance,
				note)
		}
	}
	fmt.Fprintln(e.out)
	wide := 3
	for _, t := range d.Tasks {
		wide = max(wide, utf8.RuneCountInString(strings.Join(t.People, " + ")))
	}
	fmt.Fprintf(e.out, "%-14s %-7s %-*s %s\n", "time", "slack", wide, "who", "task")
	for _, t := range d.Tasks {
		mark := fmt.Sprintf("%d min", t.Slack/60)
		if t.Slack < 60 {
			mark = "none"
		}
		text := t.ID
		if t.Picture {
			text = strings.ToUpper(t.Setup) + ": shoot"
		}
		fmt.Fprintf(e.out, "%s – %s  %-7s %-*s %s\n", t.Begin, t.End, mark, wide, strings.Join(t.People, " + "), text)
	}
	if len(d.Paces) > 0 {
		fmt.Fprintf(e.out, "\nDurations by what this crew was timed at, minutes: least, likely, most\n")
		for _, c := range d.Paces {
			fmt.Fprintf(e.out, "  %-24s %s, usually %s (%d timed)\n", c.Action, minutes(c.Now), minutes(c.Usual),
				c.Timed)
		}
	}
	for _, t := range d.OddTimes {
		fmt.Fprintf(e.out, "Not believed, and not used: %s.\n", t)
	}
	if len(d.Reliefs) > 0 {
		fmt.Fprintf(e.out, "\nWhat to give up first (chance of all the rest now %.0f in 100)\n", 100*d.All)
		for i, r := range d.Reliefs {
			if i == 6 {
				break
			}
			fmt.Fprintf(e.out, "  %-58s %.0f in 100 (+%.0f)\n", r.Text, 100*r.Chance, 100*r.Gain)
		}
	}
}

func minutes(d day.Duration) string {
	return fmt.Sprintf("%.1f / %.1f / %.1f", d.Low, d.Likely, d.High)
}
