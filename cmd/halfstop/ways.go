package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/diag"
	"halfstop/internal/store"
	"halfstop/meter"
	"halfstop/ways"
)

func waysCommand(e *env) *cobra.Command {
	return command(e, words{use: "ways [SHOOT]", most: 1, short: "ways out where the look cannot be had",
		long: `ways says what can be done where the balanced look misses what is wanted, the best first: other
camera settings with the flash following, lights moved, aimed elsewhere, feathered or flagged,
other modifiers, grids and heads, a second head, panels, house lights off, blinds, a later hour,
the sitter further from the wall, giving a target up. Each is tried on a copy of the setup, held
against the room and the frame, balanced anew and scored: what the picture loses against minutes
of work and kit. The figures of what is listed come from a trace of that very set.

--take N --write takes way N of one setup into the shoot file; comments stay, the old text is kept
beside it as a backup.

Minutes are starting values (common practice, no source).`}, &waysOptions{})
}

type waysOptions struct {
	solving
	point string
	take  int
}

func (o *waysOptions) flags(f *pflag.FlagSet) {
	o.solving.flags(f, "write the way taken into the shoot file; a backup is kept")
	f.StringVar(&o.point, "point", "", "only what helps a missed target at this point")
	f.IntVar(&o.take, "take", 0, "take way N of the list, with --write")
}

func (o *waysOptions) run(ctx context.Context, e *env, args []string) error {
	if o.write != (o.take > 0) || o.take < 0 {
		return badInput(errors.New("--take N and --write go together: N is the number of a way in the list"))
	}
	job, disk, err := o.open(e, args)
	if err != nil {
		return err
	}
	if setups, err := job.Setups(o.setup); o.write && err == nil && len(setups) > 1 {
		return badInput(errors.New("--take takes a way of one setup: name it with --setup"))
	}
	out := ways.Out{Version: 1, Shoot: job.File.Shoot.Title, Setups: []ways.WaysJSON{}}
	missed, told := 0, 0
	first := func(f *ways.Found) { // what is wrong comes at once
		if e.screen != nil {
			fmt.Fprint(e.screen, "\r\033[K")
		}
		e.between(told)
		told++
		e.printMissed(f)
	}
	if o.json || o.write {
		first = nil
	}
	compute := func(ctx context.Context, i int, step step) (*ways.Found, diag.List, error) {
		return job.Shoot().Find(ctx, i, ways.Work{Point: o.point, Meter: meter.Work{Seed: o.seed, Samples: o.samples},
			Progress: step, First: first})
	}
	err = each(ctx, e, &o.work, job, "ways out of", compute, func(_ int, f *ways.Found) error {
		missed += len(f.Missed)
		if o.write {
			return e.takeWay(disk, f, o.take)
		}
		if o.json {
			out.Setups = append(out.Setups, f.JSON())
			return nil
		}
		e.printWays(f)
		return nil
	})
	if err != nil || o.write {
		return err
	}
	if o.json {
		if err := e.json(out); err != nil {
			return err
		}
	}
	return findings(missed)
}

// takeWay writes way n of the list into the shoot's file.
func (e *env) takeWay(disk *store.Shoot, f *ways.Found, n int) error {
	if n > len(f.Ways) {
		return badInput(fmt.Errorf("there is no way %d of %s: the list has %d", n, f.Setup, len(f.Ways)))
	}
	w := &f.Ways[n-1]
	changed, err := e.rewrite(disk, w.Apply)
	if err != nil {
		return err
	}
	if !changed {
		e.line(0, "Nothing to write: "+w.Words+".")
		return nil
	}
	e.line(0, "Taken: "+w.Words+".")
	for _, t := range w.Targets() {
		e.line(4, "  "+t.Words+": "+t.BeforeText+" → "+t.AfterText)
	}
	e.line(0, disk.Name+" is written; the old text is kept beside it.")
	return nil
}

// printMissed prints what the setup misses however its dials are set, and why.
func (e *env) printMissed(f *ways.Found) {
	if n := len(f.Missed); n > 0 {
		e.line(0, fmt.Sprintf("%s: balanced, it still misses %d of %s.", f.Setup, n,
			counted(len(f.Base.Problem.Targets), "wish", "wishes")))
	}
	for _, m := range f.Missed {
		e.line(2, "missed: "+m.Words+", "+m.Off)
		if m.Reason != "" {
			e.line(4, "    "+m.Reason)
		}
	}
	if len(f.Missed) > 0 {
		fmt.Fprintln(e.out)
	}
}

// printWays prints the answer in a sentence, then the ways.
func (e *env) printWays(f *ways.Found) {
	e.line(0, f.Setup+": "+f.Sentence())
	for i := range f.Ways {
		w := &f.Ways[i]
		fmt.Fprintln(e.out)
		e.line(4, fmt.Sprintf("%2d  %s", i+1, w.Words))
		var parts []string
		for _, t := range w.Targets() {
			mark := ""
			if !t.Met {
				mark = " " + t.Missed
			}
			parts = append(parts, t.Words+": "+t.BeforeText+" → "+t.AfterText+mark)
		}
		for _, p := range parts {
			e.line(6, "    "+p)
		}
		parts = nil
		if w.Minutes > 0 {
			parts = append(parts, timeText(float64(w.Minutes))+", "+w.Who)
		}
		if w.DeltaE > 1.5 {
			parts = append(parts, fmt.Sprintf("colour ΔE %.0f", w.DeltaE))
		}
		if math.Abs(math.Log2(w.Softness)) > 0.1 {
			parts = append(parts, fmt.Sprintf("shadow edge × %.1f", w.Softness))
		}
		if w.Pattern != "" {
			parts = append(parts, w.Pattern)
		}
		parts = append(parts, w.Settings...)
		if w.Detail != "" {
			parts = append(parts, w.Detail)
		}
		if len(w.Taken) > 0 {
			parts = append(parts, "kit: "+strings.Join(w.Taken, ", "))
		}
		if len(parts) > 0 {
			e.line(4, "    "+strings.Join(parts, " · "))
		}
	}
	if len(f.Refused) > 0 {
		fmt.Fprintln(e.out)
	}
	for _, s := range f.RefusedSaid() {
		e.line(2, s)
	}
	if f.Compared > coarse {
		e.line(2, fmt.Sprintf("the figures are computed to %.2f st", float64(f.Compared)))
	}
	if f.Stopped {
		e.line(2, "stopped by --time: not all ways were tried")
	}
	for _, n := range f.Notes {
		e.line(2, "note: "+n)
	}
}

// coarse is the error of the figures, stops, from which on it is said: in haze.
const coarse = 0.035

func timeText(minutes float64) string {
	if minutes < 1 {
		return fmt.Sprintf("%.0f s", math.Max(5, math.Round(minutes*60/5)*5))
	}
	return fmt.Sprintf("%.0f min", math.Round(minutes))
}
