package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/diag"
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

type balanceOptions struct{ solving }

func (o *balanceOptions) flags(f *pflag.FlagSet) {
	o.solving.flags(f, "write the settings into the shoot file; a backup is kept")
}

func (o *balanceOptions) run(ctx context.Context, e *env, args []string) error {
	job, disk, err := o.open(e, args)
	if err != nil {
		return err
	}
	out := ways.Balances{Version: 1, Shoot: job.File.Shoot.Title, Setups: []ways.BalanceJSON{}}
	var edits []yamltext.Edit
	missed := 0
	compute := func(ctx context.Context, i int, step step) (*ways.Balanced, diag.List, error) {
		b, list, err := job.Balance(ctx, i, o.first(step))
		if err != nil {
			b = nil
		}
		return b, list, err
	}
	err = each(ctx, e, &o.work, job, "metering", compute, func(n int, b *ways.Balanced) error {
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
	if err != nil {
		return err
	}
	if o.write {
		changed, err := e.rewrite(disk, func(doc *yamltext.Doc) ([]byte, error) { return doc.SetAll(edits) })
		switch {
		case err != nil:
			return err
		case changed:
			fmt.Fprintf(e.err, "%s: %s written; the old text is kept beside it\n", disk.Name,
				counted(len(edits), "setting", "settings"))
		default:
			fmt.Fprintln(e.err, "nothing to write: the settings are as found")
		}
	}
	return findings(missed)
}

// tinted is the Duv from which on a tint is spoken of: what a quarter of a green or magenta sheet
// does (common practice, no source).
const tinted = 0.003

// tint is a light's distance from white across green and magenta, in words; empty where small.
func tint(duv float64) string {
	if math.Abs(duv) < tinted {
		return ""
	}
	words := map[bool]string{true: "green", false: "magenta"}[duv > 0]
	if math.Abs(duv) < 2*tinted {
		words = "a little " + words
	}
	return ", " + words
}

// printBalance prints the answer first, in a sentence, then the tables.
func (e *env) printBalance(b *ways.Balanced) {
	sol := &b.Solution
	e.line(0, b.Stage.Setup.Name+": "+b.Sentence())
	fmt.Fprintln(e.out)
	c := b.Problem.Camera
	mark := func(changed bool) string {
		if changed {
			return " (changed)"
		}
		return ""
	}
	camera := fmt.Sprintf("camera  %s%s · %s%s · ISO %g%s", sol.Aperture, mark(sol.Aperture != c.Aperture), sol.Shutter,
		mark(sol.Shutter != c.Shutter), float64(sol.ISO), mark(sol.ISO != c.ISO))
	if k, ok := b.WhiteBalance(); ok {
		camera += fmt.Sprintf(" · white balance %.0f K", k)
	}
	if k, duv, point, ok := b.White(); ok {
		camera += fmt.Sprintf(" · the light at %s is %.0f K%s", point, math.Round(k/50)*50, tint(duv))
	}
	e.line(8, camera)
	fmt.Fprintln(e.out)
	var t table
	for _, l := range b.Lights() {
		if l.Fixed && l.Now == "as found" {
			continue
		}
		what := l.Now
		switch {
		case l.Fixed:
			what += ", locked"
		case l.Changed && l.Was != l.Now:
			what += ", was " + l.Was
		case !l.Changed:
			what += ", unchanged"
		}
		if l.Option != "" {
			what += ", " + l.Option
		}
		left := ""
		if !l.Fixed {
			left = "at full"
			if l.Headroom >= 0.05 {
				left = fmt.Sprintf("%.1f st to full", float64(l.Headroom))
			}
		}
		t.row(l.Name, left, what)
	}
	if len(t.rows) > 0 {
		e.table(&t)
		fmt.Fprintln(e.out)
	}
	if len(b.Problem.Targets) == 0 {
		for _, n := range b.Notes {
			e.line(2, "note: "+n)
		}
		return
	}
	t = table{head: []string{"", "comes to", "known to", "", "wanted"}}
	for _, x := range b.Targets() {
		verdict := "met"
		if !x.Met {
			verdict = x.Off
		}
		if !x.Met && x.Kind == "colour" { // what it comes to says it
			verdict = "missed"
		}
		known := ""
		if d := math.Hypot(float64(x.Error), float64(x.Known)); d >= 0.05 || x.Kind != "colour" {
			known = fmt.Sprintf("± %.1f st", max(0.1, d))
		}
		t.row(verdict, x.Predicted, known, x.Priority, x.Words)
	}
	e.table(&t)
	for _, x := range b.Targets() {
		if x.Met {
			continue
		}
		fmt.Fprintln(e.out)
		e.line(2, x.Words+": "+x.Off)
		for _, c := range x.Causes {
			e.line(4, "  "+c.Said())
		}
		if len(x.Causes) == 0 {
			e.line(4, "  "+x.Reason)
		}
		for _, l := range x.Limits {
			explained := l.Light >= 0 && slices.ContainsFunc(x.Causes, func(c ways.Cause) bool {
				return c.Light == l.Light || strings.Contains(c.Words, b.Stage.Layers[l.Light].Name)
			})
			if l.Buys >= 0.1 && !explained && !strings.HasSuffix(l.Words, "fixed") {
				e.line(4, fmt.Sprintf("  %s; one stop %s would buy %.1f st", l.Words, l.Way, float64(l.Buys)))
			}
		}
	}
	for _, n := range b.Notes {
		e.line(2, "note: "+n)
	}
}
