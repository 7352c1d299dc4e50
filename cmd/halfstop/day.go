package main

import (
	"context"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/day"
)

func dayCommand(e *env) *cobra.Command {
	return command(e, words{use: "day [SHOOT]", most: 1,
		short: "the run sheet: who does what when, and the chances",
		long: `day plans the day of the shoot. The tasks come from comparing each setup with the one before; how
long they take, who is there and what a setup asks of the day stand under day: in the shoot
(common practice where it says nothing). The order of the setups and the plan by person are the
best there are; where time ran out before that was proven, the bound is printed.

The chances come from simulated days in which every task takes its own time.

When the day runs late: --now says the time, --done and --running name tasks as the run sheet
does ('Aisle: shoot').`},
		&dayOptions{})
}

type dayOptions struct {
	now           string
	done, running []string
	days          int
	seed          uint64
	json          bool
}

func (o *dayOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.now, "now", "", "plan from this time on, hh:mm")
	f.StringArrayVar(&o.done, "done", nil, "a task that is over; may be given again")
	f.StringArrayVar(&o.running, "running", nil, "a task under way, taken to be half over; may be given again")
	f.IntVar(&o.days, "days", 10000, "days to simulate")
	f.Uint64Var(&o.seed, "seed", 1, "seed: the same seed gives the same numbers")
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
	if code := more.ExitCode(); err == nil && code != exitOK {
		err = &exitError{code: code}
	}
	return err
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
