package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/records"
	"halfstop/meter"
	"halfstop/photo"
	"halfstop/record"
)

type compareOptions struct {
	work
	frameOut string
	metered  float64
	within   time.Duration
	other    string
	why      string
	json     bool
}

func compareCommand(e *env) *cobra.Command {
	return command(e, words{use: "compare A|PHOTO [B|SHOOT]", least: 1, most: 2,
		short: "what differs between two records or setups, and why",
		long: `compare holds B against A, each a record or a shoot with --setup: what differs in stops, degrees, sizes
and colour, what shows most first. With one shoot, --setup and --other name two of its setups. --why softer
(or brighter, warmer) makes the changes one by one in every order and says how much each brings.

compare PHOTO [SHOOT] holds a test frame (JPEG, TIFF, PNG, or a raw file with a preview in it) against
the predicted picture: what each light gives against its prediction, levels and colours at the points,
where the camera looks, and what may be wrong, by its size. Without --setup the setup that
explains the frame best is taken. How bright frame and points are is said first, on a terminal, while
the lights are told apart; Ctrl-C ends that.`}, &compareOptions{})
}

func (o *compareOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	f.StringVarP(&o.frameOut, "output", "o", "",
		"of a photograph: a PNG of it beside its prediction, and the difference in stops")
	f.Float64Var(&o.metered, "metered", 0,
		"of a photograph: how sure each light's level is, stops, where its heads were metered; 0: by the kit")
	f.DurationVar(&o.within, "within", answer.FrameBudget,
		"of a photograph: the longest it may take; what is known by then is told")
	f.StringVar(&o.other, "other", "", "name of B's setup; --setup is A's")
	f.StringVar(&o.why, "why", "", "softer, brighter or warmer: which change made it so, and by how much")
	flagJSON(f, &o.json)
}

func (o *compareOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	if photo.Named(args[0]) {
		return o.frame(ctx, e, args)
	}
	second := args[len(args)-1]
	if len(args) == 1 && (o.setup == "" || o.other == "") {
		return badInput(errors.New("give two records or shoots, or one shoot with --setup NAME and --other NAME"))
	}
	switch o.why {
	case "", "softer", "brighter", "warmer":
	default:
		return badInput(fmt.Errorf("--why %s: ask softer, brighter or warmer", o.why))
	}
	a, err := o.side(ctx, e, args[0], o.setup)
	if err != nil {
		return err
	}
	other := o.other
	if other == "" && !records.Is(second) {
		other = o.setup
	}
	b, err := o.side(ctx, e, second, other)
	if err != nil {
		return err
	}
	c := record.Compare(a.record, b.record)
	if o.why != "" {
		p := e.progress("tracing changes")
		c.Why, err = record.Explain(ctx, a.side, b.side, o.why, meter.Work{Seed: o.seed, Error: 0.04,
			Samples: 1 << 12}, p.step)
		p.end()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			return badInput(err)
		}
	}
	if o.json {
		return e.json(c)
	}
	e.comparison(c)
	return nil
}

// compared is one of the two.
type compared struct {
	record *record.Record
	side   record.Side
}

// side reads a record, or meters a setup of a shoot.
func (o *compareOptions) side(ctx context.Context, e *env, path, setup string) (c compared, err error) {
	if records.Is(path) {
		f, err := e.openRecord(path)
		if err != nil {
			return c, err
		}
		job, err := e.recordJob(f)
		return compared{f.Record, record.Side{Job: job}}, err
	}
	job, setups, err := e.chosen([]string{path}, setup)
	if err != nil {
		return c, err
	}
	if len(setups) > 1 {
		return c, badInput(fmt.Errorf("%s has %d setups; say which with --setup and --other", path, len(setups)))
	}
	made, err := one(ctx, e, &o.work, "metering", job.File.Setups[setups[0]].Name,
		func(ctx context.Context, step step) (*record.Made, diag.List, error) {
			return record.Make(ctx, job, setups[0], record.Work{Meter: meter.Work{Seed: o.seed, Progress: step,
				Error: 0.03, Samples: 1 << 14}})
		})
	if err != nil {
		return c, err
	}
	return compared{made.Record, record.Side{Job: job, Setup: setups[0]}}, nil
}

// recordJob is the recorded setup, ready to be worked on.
func (e *env) recordJob(f *records.Folder) (*answer.Job, error) {
	job, list, err := f.Job(records.DialledName)
	if err != nil {
		return nil, badInput(err)
	}
	if err := e.fail(list); err != nil {
		return nil, err
	}
	return job, nil
}

func (e *env) comparison(c *record.Comparison) {
	fmt.Fprintf(e.out, "%s against %s\n", c.B, c.A)
	for _, d := range c.Differences {
		fmt.Fprint(e.out, wrap("  "+d.Words, e.columns, 4))
	}
	if len(c.Differences) == 0 {
		fmt.Fprintln(e.out, "  nothing differs that a meter or an eye would tell")
	}
	if len(c.Points) > 0 {
		t := table{head: []string{"point", c.A, c.B, "in the picture"}}
		for _, p := range c.Points {
			t.row(p.Name, p.A, p.B, signed(p.Stops, 1)+" st")
		}
		fmt.Fprintln(e.out)
		e.table(&t)
	}
	w := c.Why
	if w == nil {
		return
	}
	head := "What made it " + w.Became()
	if w.Became() != w.Asked {
		head += ", not " + w.Asked
	}
	fmt.Fprintf(e.out, "\n%s: %s, %s %s before, %s now\n", head, w.Of, signed(w.A, 2), w.Unit, signed(w.B, 2))
	t := table{head: []string{"change", w.Unit}}
	if w.Asked == "softer" {
		t.head = append(t.head, "edge of the nose's shadow")
	}
	for _, p := range w.Parts {
		row := []string{p.Change, signed(p.Brings, 2)}
		if w.Asked == "softer" {
			row = append(row, signed(p.EdgeMM, 1)+" mm")
		}
		t.row(row...)
	}
	e.table(&t)
	if !w.Exact {
		fmt.Fprintln(e.out, "Too many changes for every order: each was made first and last and the two averaged, "+
			"so they do not add up.")
	}
	for _, n := range w.Notes {
		fmt.Fprintln(e.out, n)
	}
}
