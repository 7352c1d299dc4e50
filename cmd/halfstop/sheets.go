package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
	"halfstop/papers"
	"halfstop/sheet"
)

func sheetsCommand(e *env) *cobra.Command {
	var list strings.Builder
	for _, p := range papers.All() {
		fmt.Fprintf(&list, "  %-8s %s\n", p.Name, p.Says)
	}
	return command(e, words{use: "sheets [SHOOT]", most: 1, short: "every paper the crew needs",
		long: "sheets writes the papers of the shoot into a folder, each as a PDF with bookmarks, legible in " +
			"black and\n" +
			"white; with --book one PDF of all. Beside them: the day for calendars (.ics), the schedule, the kit " +
			"and the\n" +
			"readings as tables (.csv). What the shoot does not say is a line to fill in by hand.\n\n" + list.String()},
		&sheetsOptions{})
}

type sheetsOptions struct {
	work
	out, paper, format string
	only               []string
	book, force        bool
}

func (o *sheetsOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	f.StringVarP(&o.out, "out", "o", "", "folder to write into; it is made where it is not there")
	f.StringSliceVar(&o.only, "only", nil, "papers to write, by name; all when absent")
	f.StringVar(&o.paper, "paper", "a4", "a4 or letter")
	f.StringVar(&o.format, "format", "pdf", "pdf, svg or png")
	f.BoolVar(&o.book, "book", false, "one PDF with everything")
	flagForce(f, &o.force)
}

func (o *sheetsOptions) run(ctx context.Context, e *env, args []string) error {
	chosen, err := papers.Find(o.only)
	format, known := sheet.FormatOf(o.format)
	switch {
	case err != nil:
		return badInput(err)
	case o.out == "":
		return badInput(errors.New("say which folder the papers go into: -o FOLDER"))
	case o.paper != "a4" && o.paper != "letter":
		return badInput(fmt.Errorf("--paper %s: write a4 or letter", o.paper))
	case !known:
		return badInput(fmt.Errorf("papers can be written as pdf, svg or png, not as %q", o.format))
	}
	if err := o.check(); err != nil {
		return err
	}
	job, err := e.shoot(args)
	if err != nil {
		return err
	}
	s, found, err := o.gather(ctx, e, job, chosen)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(o.out, 0o755); err != nil {
		return badInput(err)
	}
	if err := o.write(e, s, chosen, format); err != nil {
		_ = os.Remove(o.out) // an empty folder only
		return err
	}
	e.warn(found)
	if code := found.ExitCode(); code != exitOK {
		return &exitError{code: code}
	}
	return nil
}

// gather computes what the chosen papers need.
func (o *sheetsOptions) gather(ctx context.Context, e *env, job *answer.Job,
	chosen []papers.Paper) (*papers.Shoot, diag.List, error) {
	plan := &planOptions{work: o.work, picture: true, paper: o.paper}
	var p *progress
	end := func() {
		if p != nil {
			p.end()
		}
	}
	s, found, err := papers.Gather(ctx, job, chosen, papers.Work{Letter: o.paper == "letter",
		Printed: time.Now().Format("2006-01-02 15:04"), Made: papers.Short(version()),
		Day:   answer.DayWork{Seed: o.seed},
		Meter: func(int) meter.Work { return plan.first(p.step) },
		Picture: func(ctx context.Context, i, long int) (image.Image, error) {
			return plan.predicted(ctx, job, i, long, p.step)
		},
		Say: func(text string) { fmt.Fprintln(e.err, text) },
		Step: func(what string, done, of int) {
			end()
			p = e.progress(what)
		}})
	end()
	switch {
	case ctx.Err() != nil:
		return nil, nil, ctx.Err()
	case err != nil:
		e.warn(found)
		return nil, nil, badInput(err)
	}
	return s, found, nil
}

func (o *sheetsOptions) write(e *env, s *papers.Shoot, chosen []papers.Paper, format sheet.Format) error {
	save := &planOptions{force: o.force, dpi: 150}
	if o.book {
		if d := papers.Make(s, chosen...); d != nil {
			path := filepath.Join(o.out, "book."+format.End)
			if err := save.write(e, path, format, d); err != nil {
				return err
			}
			fmt.Fprintf(e.out, "%s: %d pages\n", path, d.Pages())
		}
	} else {
		for _, p := range chosen {
			d := papers.Make(s, p)
			if d == nil {
				continue
			}
			path := filepath.Join(o.out, p.Name+"."+format.End)
			if err := save.write(e, path, format, d); err != nil {
				return err
			}
			fmt.Fprintf(e.out, "%s: %s, %s\n", path, strings.SplitN(p.Says, ":", 2)[0],
				counted(d.Pages(), "page", "pages"))
			for _, n := range d.Notes() {
				fmt.Fprintf(e.err, "%s: %s\n", path, n)
			}
		}
	}
	if len(o.only) > 0 {
		return nil
	}
	for _, t := range []struct {
		name string
		make func() ([]byte, error)
	}{
		{"day.ics", func() ([]byte, error) { return papers.Calendar(s, "", time.Now()) }},
		{"schedule.csv", func() ([]byte, error) { return papers.Schedule(s) }},
		{"kit.csv", func() ([]byte, error) { return papers.KitTable(s) }},
		{"readings.csv", func() ([]byte, error) { return papers.ReadingsTable(s) }},
	} {
		b, err := t.make()
		if err != nil {
			fmt.Fprintf(e.err, "no %s: %v\n", t.name, err)
			continue
		}
		path := filepath.Join(o.out, t.name)
		if err := e.write(path, b, o.force); err != nil {
			return err
		}
		fmt.Fprintln(e.out, path)
	}
	return nil
}
