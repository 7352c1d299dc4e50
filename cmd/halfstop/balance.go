package main

import (
	"context"
	"errors"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/diag"
	"halfstop/internal/store"
	"halfstop/meter"
	"halfstop/ways"
	"halfstop/yamltext"
)

func balanceCommand(e *env) *cobra.Command {
	return command(e, words{use: "balance [SHOOT]", most: 1, short: "settings for the look wanted",
		long: `balance finds the settings that bring the look: each light's power in its own unit and steps, gel
and colour, aperture, shutter and sensitivity where 'may:' leaves them free. It says what each
target of the look comes to, what stands in the way of those that are missed, and what one more
stop of that would buy. How to write a look: docs/balance.md.

--write puts the settings into the shoot file in place; comments stay, the old text is kept
beside it as a backup.

Exit code 1 says that a target is missed; halfstop ways lists the ways out.`}, &balanceOptions{})
}

type balanceOptions struct {
	work
	json, write bool
}

func (o *balanceOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	flagJSON(f, &o.json)
	f.BoolVar(&o.write, "write", false, "write the settings into the shoot file; a backup is kept")
}

// onDisk reads a shoot that may be written back; the error says why one cannot be.
func (e *env) onDisk(args []string) (*store.Shoot, error) {
	if len(args) == 0 {
		return nil, badInput(
			errors.New("the built-in demonstration cannot be written to; save it as a file of your own and name that"))
	}
	if args[0] == "-" {
		return nil, badInput(errors.New("a shoot from standard input cannot be written back; give a file"))
	}
	s, err := store.Read(args[0], e.in)
	return s, badInput(err)
}

func (o *balanceOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	var disk *store.Shoot
	if o.write {
		var err error
		if disk, err = e.onDisk(args); err != nil {
			return err
		}
	}
	job, list, err := e.load(args)
	if err != nil {
		return err
	}
	e.warn(list)
	out := ways.Balances{Version: 1, Shoot: job.File.Shoot.Title, Setups: []ways.BalanceJSON{}}
	var edits []yamltext.Edit
	missed := 0
	err = each(ctx, e, &o.work, job, "metering", func(ctx context.Context, i int, step step) (*ways.Balanced, diag.List,
		error) {
		b, list, err := job.Balance(ctx, i, meter.Work{Seed: o.seed, Samples: o.samples, Progress: step})
		if err != nil {
			b = nil
		}
		return b, list, err
	}, func(n int, b *ways.Balanced) error {
		missed += b.Missed()
		edits = append(edits, b.Edits()...)
		if o.json {
			out.Setups = append(out.Setups, b.JSON())
			return nil
		}
		e.between(n)
		e.printBalance(b)
		return nil
	})
	if err == nil && o.json {
		err = e.json(out)
	}
	if err == nil && o.write {
		err = e.writeEdits(disk, edits)
	}
	if err == nil && missed > 0 {
		err = &exitError{code: exitFindings}
	}
	return err
}

// writeEdits changes the plan on disk.
func (e *env) writeEdits(s *store.Shoot, edits []yamltext.Edit) error {
	if len(edits) == 0 {
		fmt.Fprintln(e.err, "nothing to write: the settings are as found")
		return nil
	}
	doc, list := yamltext.Parse(s.Name, s.Src)
	if doc == nil {
		return e.fail(list)
	}
	src, err := doc.SetAll(edits)
	if err != nil {
		return badInput(fmt.Errorf("%s cannot be edited in place: %w", s.Name, err))
	}
	if err := s.Write(src); err != nil {
		return badInput(err)
	}
	fmt.Fprintf(e.err, "%s: %d settings written; the old text is kept beside it\n", s.Name, len(edits))
	return nil
}

func (e *env) printBalance(b *ways.Balanced) {
	sol := &b.Solution
	fmt.Fprintf(e.out, "%s", b.Stage.Setup.Name)
	switch n := len(b.Problem.Targets); {
	case n == 0:
	case b.Missed() == 0:
		fmt.Fprintf(e.out, "   the look is had: all %d targets", n)
	default:
		fmt.Fprintf(e.out, "   %d of %d targets missed", b.Missed(), n)
	}
	fmt.Fprintln(e.out)
	c := b.Problem.Camera
	mark := func(changed bool) string {
		if changed {
			return " (changed)"
		}
		return ""
	}
	fmt.Fprintf(e.out, "camera  %s%s · %s%s · ISO %g%s", sol.Aperture, mark(sol.Aperture != c.Aperture), sol.Shutter,
		mark(sol.Shutter != c.Shutter), float64(sol.ISO), mark(sol.ISO != c.ISO))
	if k, ok := b.WhiteBalance(); ok {
		fmt.Fprintf(e.out, " · white balance %.0f K", k)
	}
	if k, duv, point, ok := b.White(); ok {
		fmt.Fprintf(e.out, " · the light at %s is %.0f K, Duv %s", point, k, signed(duv, 3))
	}
	fmt.Fprint(e.out, "\n\n")
	t := tabwriter.NewWriter(e.out, 2, 8, 2, ' ', 0)
	for _, l := range b.Lights() {
		what := l.Now
		switch {
		case l.Fixed && l.Now == "as found":
			what = "as found"
		case l.Fixed:
			what += "  locked"
		case l.Changed && l.Was != l.Now:
			what += "  was " + l.Was
		case !l.Changed:
			what += "  unchanged"
		}
		if l.Option != "" {
			what += ", " + l.Option
		}
		left := ""
		if !l.Fixed {
			left = fmt.Sprintf("%.1f st in hand", float64(l.Headroom))
		}
		fmt.Fprintf(t, "%s\t%s\t%s\n", l.Name, what, left)
	}
	t.Flush()
	if len(b.Problem.Targets) > 0 {
		fmt.Fprintln(e.out)
	}
	t = tabwriter.NewWriter(e.out, 2, 8, 2, ' ', 0)
	for _, x := range b.Targets() {
		verdict := "met"
		if !x.Met {
			verdict = signed(float64(x.Residual), 1) + " st"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t± %.2f st\t%s\n", x.Words, x.Priority, x.Predicted, float64(x.Error), verdict)
	}
	t.Flush()
	for _, x := range b.Targets() {
		if x.Met {
			continue
		}
		fmt.Fprintf(e.out, "\n%s: %s\n", x.Words, x.Reason)
		for _, l := range x.Limits {
			fmt.Fprintf(e.out, "  %s; one stop more would buy %.1f st\n", l.Words, float64(l.Buys))
		}
		for _, o := range x.Conflicts {
			fmt.Fprintf(e.out, "  at odds with: %s\n", o)
		}
	}
	for _, n := range b.Notes {
		fmt.Fprintln(e.out, "note: "+n)
	}
}
