package main

import (
	"context"
	"errors"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"halfstop/internal/store"
	"halfstop/meter"
	"halfstop/trace"
	"halfstop/ways"
	"halfstop/yamltext"
)

func balanceCommand(e *env) *cobra.Command {
	var w work
	var write bool
	c := &cobra.Command{
		Use:   "balance [SHOOT]",
		Short: "settings for the look wanted",
		Long: `balance finds the settings that bring the look: each light's power in its own unit and steps, gel and colour, aperture, shutter and
sensitivity where 'may:' leaves them free. It says what each target of the look comes to, what stands in the way of those that are
missed, and what one more stop of that would buy. How to write a look: docs/balance.md.

--write puts the settings into the shoot file in place; comments stay, the old text is kept beside it as a backup.

Exit code 1 says that a target is missed; halfstop ways lists the ways out.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return e.balance(c.Context(), &w, write, args) },
	}
	w.flags(c, true)
	c.Flags().BoolVar(&write, "write", false, "write the settings into the shoot file; a backup is kept")
	return c
}

// onDisk reads a shoot that may be written back; the error says why one cannot be.
func (e *env) onDisk(args []string) (*store.Shoot, error) {
	if len(args) == 0 {
		return nil, badInput(errors.New("the built-in demonstration cannot be written to; save it as a file of your own and name that"))
	}
	if args[0] == "-" {
		return nil, badInput(errors.New("a shoot from standard input cannot be written back; give a file"))
	}
	s, err := store.Read(args[0], e.in)
	return s, badInput(err)
}

func (e *env) balance(ctx context.Context, w *work, write bool, args []string) error {
	if err := w.check(); err != nil {
		return err
	}
	var disk *store.Shoot
	if write {
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
	setups, err := job.Setups(w.setup)
	if err != nil {
		return badInput(err)
	}
	out := ways.Balances{Version: 1, Shoot: job.File.Shoot.Title, Setups: []ways.BalanceJSON{}}
	var edits []yamltext.Edit
	missed := 0
	for n, i := range setups {
		lim, stop := w.limit(ctx)
		p := e.progress("metering " + job.File.Setups[i].Name)
		b, list, err := job.Balance(lim, i, meter.Work{Seed: w.seed, Samples: w.samples, Progress: p.step})
		p.end()
		stop()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		e.warn(list)
		if errors.Is(err, trace.ErrStopped) || errors.Is(err, context.DeadlineExceeded) {
			return badInput(fmt.Errorf("--time %v is too short for %s; give it more", w.time, job.File.Setups[i].Name))
		}
		if err != nil {
			return err
		}
		if b == nil {
			return &exitError{code: exitInput}
		}
		missed += b.Missed()
		edits = append(edits, b.Edits()...)
		if w.json {
			out.Setups = append(out.Setups, b.JSON())
			continue
		}
		if n > 0 {
			fmt.Fprintln(e.out)
		}
		e.printBalance(b)
	}
	if w.json {
		if err := e.json(out); err != nil {
			return err
		}
	}
	if write {
		if err := e.writeEdits(disk, edits); err != nil {
			return err
		}
	}
	if missed > 0 {
		return &exitError{code: exitFindings}
	}
	return nil
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
	fmt.Fprintf(e.out, "camera  %s%s · %s%s · ISO %g%s", sol.Aperture, mark(sol.Aperture != c.Aperture), sol.Shutter, mark(sol.Shutter != c.Shutter), float64(sol.ISO), mark(sol.ISO != c.ISO))
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
