package main

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/diag"
	"halfstop/meter"
	"halfstop/ways"
)

func waysCommand(e *env) *cobra.Command {
	return command(e, words{use: "ways [SHOOT]", most: 1, short: "ways out where the look cannot be had",
		long: `ways lists, for each target that the balanced look misses, what could be done: other camera
settings with the flash following, house lights off, nearer, other modifier, grid or head, a
second head, panels, the sitter further from the wall, and giving the target up. Each is tried on
a copy of the setup, held against the room and the frame, balanced anew and scored: what the
picture loses against minutes of work and kit. At most seven for each target, best first; the
shoot file stays as it is.

Minutes are starting values (common practice, no source).`}, &waysOptions{})
}

type waysOptions struct {
	work
	json  bool
	point string
}

func (o *waysOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	flagJSON(f, &o.json)
	f.StringVar(&o.point, "point", "", "only the missed targets at this point")
}

func (o *waysOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	job, list, err := e.load(args)
	if err != nil {
		return err
	}
	e.warn(list)
	out := ways.Out{Version: 1, Shoot: job.File.Shoot.Title, Setups: []ways.WaysJSON{}}
	missed := 0
	err = each(ctx, e, &o.work, job, "ways out of", func(ctx context.Context, i int, step step) (*ways.Found, diag.List,
		error) {
		return job.Shoot().Find(ctx, i, ways.Work{Point: o.point, Meter: meter.Work{Seed: o.seed, Samples: o.samples},
			Each: func(_ ways.Way, done, of int) { step(done, of) }})
	}, func(n int, f *ways.Found) error {
		missed += len(f.Missed)
		if o.json {
			out.Setups = append(out.Setups, f.JSON())
			return nil
		}
		e.between(n)
		e.printWays(f)
		return nil
	})
	if err == nil && o.json {
		err = e.json(out)
	}
	if err == nil && missed > 0 {
		err = &exitError{code: exitFindings}
	}
	return err
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
