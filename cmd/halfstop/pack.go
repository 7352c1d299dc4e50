package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/meter"
	"halfstop/papers"
)

func packCommand(e *env) *cobra.Command {
	return command(e, words{use: "pack [SHOOT]", most: 1, short: "the kit list: what goes into the van",
		long: `pack lists what the setups need at once as the day is planned: a light that becomes another is
counted once. Stands come by load and height, sandbags by moment, cables along the floor round
what stands there, batteries by flashes, spares by rule. What the kit counts too few of (have:)
is a finding, with what of the own kit could stand in: each setup concerned is lit again with it
and balanced for its look, and what that costs is said in stops and in softness.

Exit code 0: all there, or not counted; 1: something is short.`}, &packOptions{})
}

type packOptions struct{ json, csv, quick bool }

func (o *packOptions) flags(f *pflag.FlagSet) {
	flagJSON(f, &o.json)
	f.BoolVar(&o.csv, "csv", false, "print the list as CSV, with columns for ticks out and back")
	f.BoolVar(&o.quick, "quick", false, "say only about what a stand-in costs, from its source; light no setup again")
}

func (o *packOptions) run(ctx context.Context, e *env, args []string) error {
	job, err := e.shoot(args)
	if err != nil {
		return err
	}
	p, err := job.Pack(ctx)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return badInput(err)
	}
	if !o.quick {
		bar := e.progress("lighting again with what could stand in")
		err = job.StandIns(ctx, p, meter.Work{Seed: 1}, bar.step)
		bar.end()
		if err != nil {
			return err
		}
	}
	more := p.Short()
	switch {
	case o.json:
		err = e.json(p)
	case o.csv:
		var b []byte
		if b, err = papers.KitTable(&papers.Shoot{Pack: p}); err == nil {
			_, err = e.out.Write(b)
		}
	default:
		e.warn(more)
		o.print(e, p)
	}
	if code := more.ExitCode(); err == nil && code != exitOK {
		err = &exitError{code: code}
	}
	return err
}

func (o *packOptions) print(e *env, p *answer.Pack) {
	hire := 0
	for _, it := range p.Items {
		hire += it.Hire
	}
	fmt.Fprint(e.out, p.Says())
	if hire > 0 {
		fmt.Fprintf(e.out, "; %d to hire", hire)
	}
	fmt.Fprintln(e.out, ".")
	group := ""
	for _, it := range p.Items {
		if it.Group != group {
			group = it.Group
			fmt.Fprintf(e.out, "\n%s\n", group)
		}
		mark := ""
		if it.Hire > 0 {
			mark = fmt.Sprintf("HIRE %d", it.Hire)
		}
		why := it.Why
		if it.Instead != "" {
			why = ""
		}
		row := fmt.Sprintf("  [ ] out [ ] back  %2d  %-30s %-7s %s", it.Need, it.Name, mark, why)
		e.line(63, strings.TrimRight(row, " "))
		if it.Instead != "" {
			e.line(24, "                        or "+it.Instead+": "+it.Cost)
		}
	}
	if len(p.Cables) > 0 {
		fmt.Fprintf(e.out, "\ncables\n")
		for _, c := range p.Cables {
			fmt.Fprintf(e.out, "  %-20s %-16s %5.1f m from %s\n", c.Setup, c.Light, c.LengthM, c.Circuit)
		}
	}
	fmt.Fprintf(e.out, "\ncases\n")
	for _, c := range p.Cases {
		e.line(20, fmt.Sprintf("  %-8s %4.0f kg  %s", c.Name, c.WeightKg, strings.Join(runsOf(c.Holds), ", ")))
	}
	if len(p.Notes) > 0 {
		fmt.Fprintln(e.out)
		for _, n := range p.Notes {
			fmt.Fprintln(e.out, n+".")
		}
	}
}

// runsOf joins equal names that follow each other: '2 × battery'.
func runsOf(names []string) []string {
	var out []string
	for i := 0; i < len(names); {
		n := 1
		for i+n < len(names) && names[i+n] == names[i] {
			n++
		}
		if n > 1 {
			out = append(out, fmt.Sprintf("%d × %s", n, names[i]))
		} else {
			out = append(out, names[i])
		}
		i += n
	}
	return out
}
