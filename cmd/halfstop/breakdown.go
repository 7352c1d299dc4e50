package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/breakdown"
	"halfstop/meter"
	"halfstop/sheet"
)

type breakdownOptions struct {
	work
	out                          string
	keep                         []string
	teach, photos, noPlan, force bool
}

func breakdownCommand(e *env) *cobra.Command {
	return command(e, words{use: "breakdown RECORD -o FILE.html", least: 1, most: 1,
		short: "how a picture is lit, light by light, to publish or to teach",
		long: `breakdown makes one page of a record that works offline and from a mail (.html, at most 2 MB), or a PDF:
the picture and each light of it, mixed on the reader's own device, plan and section, what was
predicted, metered and used, why each light is there (why: of the shoot file), foreground, middle and
background. What is private is left out: title, date, place, names, notes, times, files, what pictures
say of themselves; what was left out and what stays is listed before it is written. --teach hides the
settings until they are guessed.`}, &breakdownOptions{})
}

func (o *breakdownOptions) flags(f *pflag.FlagSet) {
	f.StringVarP(&o.out, "output", "o", "", "file to write: .html or .pdf (needed)")
	f.StringSliceVar(&o.keep, "keep", nil, "what of the private shall stay: title, date, place, names, notes, time")
	f.BoolVar(&o.teach, "teach", false, "a page to teach with: the settings are hidden until they are guessed")
	f.BoolVar(&o.photos, "photos", false, "with the photographs of the set, drawn anew without EXIF")
	f.BoolVar(&o.noPlan, "no-plan", false, "without plan and section")
	f.Uint64Var(&o.seed, "seed", 1, "seed of the plan's readings: the same seed gives the same numbers")
	flagForce(f, &o.force)
}

func (o *breakdownOptions) run(ctx context.Context, e *env, args []string) error {
	make, ok := map[string]func(breakdown.Work) (*breakdown.Made, error){".html": breakdown.HTML,
		".htm": breakdown.HTML,
		".pdf": breakdown.PDF}[strings.ToLower(filepath.Ext(o.out))]
	if !ok {
		return badInput(errors.New("say where it goes: -o FILE.html or -o FILE.pdf"))
	}
	for _, k := range o.keep {
		if !slices.Contains(breakdown.Kinds(), k) {
			return badInput(fmt.Errorf("--keep %s: it can be %s", k, strings.Join(breakdown.Kinds(), ", ")))
		}
	}
	if err := place(o.out); err != nil {
		return err
	}
	folder, err := e.openRecord(args[0])
	if err != nil {
		return err
	}
	job, err := e.recordJob(folder)
	if err != nil {
		return err
	}
	w := breakdown.Work{Record: folder.Record, Job: job, Teach: o.teach,
		Private: breakdown.PrivateOf(job.File, folder.Record, o.keep)}
	if w.Frame, err = remixed(folder, job); err != nil {
		return badInput(fmt.Errorf("%s: there is no picture to break down: %w", folder.Dir, err))
	}
	if !o.noPlan {
		if w.Plan, err = o.plan(ctx, e, job); err != nil {
			return err
		}
	}
	for _, p := range folder.Record.Pictures {
		if !o.photos || p.Says == "computed" {
			continue
		}
		data, err := folder.Read(p.File)
		if err != nil {
			return badInput(err)
		}
		w.Photos = append(w.Photos, data)
	}
	made, err := make(w)
	if err != nil {
		return badInput(err)
	}
	say := func(head string, list []string) {
		if len(list) > 0 {
			fmt.Fprintln(e.out, head)
		}
		for _, l := range list {
			fmt.Fprint(e.out, wrap("  "+l, e.columns, 4))
		}
	}
	say("Left out:", made.Strip)
	say("Texts that stay; read them before it goes out:", made.Stays)
	say("Not in it:", made.Skipped)
	if err := e.write(o.out, made.Data, o.force); err != nil {
		return err
	}
	fmt.Fprintf(e.out, "%s: %.2f MB\n", o.out, float64(len(made.Data))/1e6)
	return nil
}

// plan draws plan and section of the recorded setup.
func (o *breakdownOptions) plan(ctx context.Context, e *env, job *answer.Job) (*sheet.Plan, error) {
	return one(ctx, e, &o.work, "drawing", job.File.Setups[0].Name,
		func(ctx context.Context, step step) (*sheet.Plan, diag.List, error) {
			_, p, list, err := job.Plan(ctx, 0, answer.PlanWork{Meter: meter.Work{Seed: o.seed, Error: 0.05,
				Samples:  1 << 12,
				Progress: step}})
			return p, slices.DeleteFunc(list, func(m diag.Message) bool { return m.Severity != diag.Error }), err
		})
}
