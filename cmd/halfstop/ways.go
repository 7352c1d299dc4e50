package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"halfstop/meter"
	"halfstop/trace"
	"halfstop/ways"
)

func waysCommand(e *env) *cobra.Command {
	var w work
	var point string
	c := &cobra.Command{
		Use:   "ways [SHOOT]",
		Short: "ways out where the look cannot be had",
		Long: `ways lists, for each target that the balanced look misses, what could be done: other camera settings with the flash following, house
lights off, nearer, other modifier, grid or head, a second head, panels, the sitter further from the wall, and giving the target up.
Each is tried on a copy of the setup, held against the room and the frame, balanced anew and scored: what the picture loses against minutes of
work and kit. At most seven for each target, best first; the shoot file stays as it is.

Minutes are starting values (common practice, no source).`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return e.ways(c.Context(), &w, point, args) },
	}
	w.flags(c, true)
	c.Flags().StringVar(&point, "point", "", "only the missed targets at this point")
	return c
}

func (e *env) ways(ctx context.Context, w *work, point string, args []string) error {
	if err := w.check(); err != nil {
		return err
	}
	job, list, err := e.load(args)
	if err != nil {
		return err
	}
	e.warn(list)
	setups, err := job.Setups(w.setup)
	if err != nil {
		return badInput(err)
	}
	out := ways.Out{Version: 1, Shoot: job.File.Shoot.Title, Setups: []ways.WaysJSON{}}
	missed := 0
	for n, i := range setups {
		lim, stop := w.limit(ctx)
		p := e.progress("ways out of " + job.File.Setups[i].Name)
		f, list, err := job.Shoot().Find(lim, i, ways.Work{Point: point, Meter: meter.Work{Seed: w.seed, Samples: w.samples}, Each: func(_ ways.Way, done, of int) { p.step(done, of) }})
		p.end()
		stop()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if n == 0 {
			e.warn(list)
		}
		if f == nil && errors.Is(err, trace.ErrStopped) || f == nil && errors.Is(err, context.DeadlineExceeded) {
			return badInput(fmt.Errorf("--time %v is too short for %s; give it more", w.time, job.File.Setups[i].Name))
		}
		if f == nil && err != nil {
			return err
		}
		if f == nil {
			return &exitError{code: exitInput}
		}
		missed += len(f.Missed)
		if w.json {
			out.Setups = append(out.Setups, f.JSON())
			continue
		}
		if n > 0 {
			fmt.Fprintln(e.out)
		}
		e.printWays(f)
	}
	if w.json {
		if err := e.json(out); err != nil {
			return err
		}
	}
	if missed > 0 {
		return &exitError{code: exitFindings}
	}
	return nil
}

func (e *env) printWays(f *ways.Found) {
	fmt.Fprintln(e.out, f.Setup)
	if len(f.Missed) == 0 {
		fmt.Fprintln(e.out, "  nothing is missed: no way out is needed")
	}
	told := map[string]bool{}
	for _, m := range f.Missed {
		fmt.Fprintf(e.out, "\n%s: %s\n", m.Words, m.Reason)
		for i := range m.Ways {
			w := &m.Ways[i]
			if told[w.Words] {
				fmt.Fprintf(e.out, "%3d  %s (as above)\n", i+1, w.Words)
				continue
			}
			told[w.Words] = true
			fmt.Fprintf(e.out, "%3d  %s\n", i+1, w.Words)
			var parts []string
			if w.StillShort > 0.05 {
				parts = append(parts, fmt.Sprintf("still missed %.1f st in all", float64(w.StillShort)))
			} else {
				parts = append(parts, "nothing is missed then")
			}
			if o := w.OthersWords(); o != "" {
				parts = append(parts, fmt.Sprintf("%s moves %s st", o, signed(float64(w.Others), 1)))
			}
			if w.DeltaE > 1 {
				parts = append(parts, fmt.Sprintf("colour ΔE %.0f", w.DeltaE))
			}
			if math.Abs(math.Log2(w.Softness)) > 0.1 {
				parts = append(parts, fmt.Sprintf("shadow edge × %.1f", w.Softness))
			}
			if w.Pattern != "" {
				parts = append(parts, w.Pattern)
			}
			if w.Minutes > 0 {
				parts = append(parts, timeText(float64(w.Minutes))+", "+w.Who)
			}
			fmt.Fprintf(e.out, "     %s\n", strings.Join(parts, " · "))
			if len(w.Settings) > 0 {
				fmt.Fprintf(e.out, "     %s\n", strings.Join(w.Settings, " · "))
			}
			if w.Detail != "" {
				fmt.Fprintf(e.out, "     %s\n", w.Detail)
			}
			if len(w.Taken) > 0 {
				fmt.Fprintf(e.out, "     kit: %s\n", strings.Join(w.Taken, ", "))
			}
		}
	}
	for _, r := range f.Refused {
		fmt.Fprintf(e.out, "not here: %s (%s)\n", r.Words, r.Why)
	}
	if f.Stopped {
		fmt.Fprintln(e.out, "stopped by --time: not all ways were tried")
	}
	for _, n := range f.Notes {
		fmt.Fprintln(e.out, "note: "+n)
	}
}

func timeText(minutes float64) string {
	if minutes < 1 {
		return fmt.Sprintf("%.0f s", math.Round(minutes*60/5)*5)
	}
	return fmt.Sprintf("%.0f min", math.Round(minutes))
}
