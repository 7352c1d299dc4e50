package main

import (
	"context"
	"errors"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/render"
	"halfstop/sheet"
)

type planOptions struct {
	work
	out     string
	dir     string
	format  string
	paper   string
	feet    bool
	picture bool
	dpi     float64
	note    string
	force   bool
}

func planCommand(e *env) *cobra.Command {
	return command(e, words{use: "plan [SHOOT] [--setup NAME] -o FILE", most: 1, short: "the lighting plan to scale",
		long: `plan draws the lighting plan of a setup to scale: plan and section with dimensions, the light of
each head as contours of whole stops at the height of the face, the table of lights with their
dials, the readings to expect, cautions and a title block.

The file's ending says the format: .svg, .pdf (vector, font embedded) or .png. With several
setups, or with --dir, one file a setup is written, named after the setup.`}, &planOptions{})
}

func (o *planOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	f.StringVarP(&o.out, "output", "o", "", "file to write, or - for standard output (then --format says which)")
	f.StringVar(&o.dir, "dir", "", "folder to write one file a setup into")
	f.StringVar(&o.format, "format", "", "svg, pdf or png, where no file name says it; default pdf")
	f.StringVar(&o.paper, "paper", "a4", "a4 or letter")
	f.BoolVar(&o.feet, "feet", false, "feet and inches")
	f.BoolVar(&o.picture, "picture", true, "put the predicted picture on the sheet")
	f.Float64Var(&o.dpi, "dpi", 150, "resolution of .png")
	f.StringVar(&o.note, "revision", "", "revision printed in the title block")
	flagForce(f, &o.force)
}

// read checks the options and gives the format to write.
func (o *planOptions) read() (format sheet.Format, err error) {
	if err := o.check(); err != nil {
		return format, err
	}
	ending := o.format
	if o.out != "" && o.out != "-" {
		ending = filepath.Ext(o.out)
	}
	if ending == "" {
		ending = "pdf"
	}
	format, known := sheet.FormatOf(ending)
	switch {
	case o.out == "" && o.dir == "":
		return format,
			badInput(errors.New("say where the plan goes: -o FILE.pdf (.svg, .png), or --dir FOLDER for all setups"))
	case !known:
		return format, badInput(fmt.Errorf("a plan can be written as .svg, .pdf or .png, not as %q",
			strings.TrimPrefix(ending, ".")))
	case o.paper != "a4" && o.paper != "letter":
		return format, badInput(fmt.Errorf("--paper %s: write a4 or letter", o.paper))
	case !(o.dpi >= 20 && o.dpi <= 1200):
		return format, badInput(fmt.Errorf("--dpi %g: give 20 to 1200", o.dpi))
	}
	return format, place(o.out)
}

func (o *planOptions) run(ctx context.Context, e *env, args []string) error {
	format, err := o.read()
	if err != nil {
		return err
	}
	job, setups, err := e.chosen(args, o.setup)
	if err != nil {
		return err
	}
	if o.out != "" && len(setups) > 1 {
		return badInput(
			fmt.Errorf("the shoot has %d setups and -o names one file; add --setup NAME, or use --dir FOLDER",
				len(setups)))
	}
	sheetNo := 0
	return each(ctx, e, &o.work, job, "drawing", func(ctx context.Context, i int, step step) (*sheet.Drawing, diag.List,
		error) {
		sheetNo++
		pic, err := o.predicted(ctx, job, i, 320, step)
		if err != nil && ctx.Err() == nil {
			fmt.Fprintf(e.err, "%s: the sheet goes without its picture: %v\n", job.File.Setups[i].Name, err)
		}
		d, _, list, err := job.Plan(ctx, i, answer.PlanWork{Meter: o.first(step), Picture: pic,
			Letter: o.paper == "letter", Feet: o.feet, Sheet: sheetNo, Of: len(setups), Words: o.note})
		return d, list, err
	}, func(n int, d *sheet.Drawing) error {
		name := job.File.Setups[setups[n]].Name
		path := o.out
		if path == "" {
			path = filepath.Join(o.dir, fileName(name)+"."+format.End)
			if err := os.MkdirAll(o.dir, 0o755); err != nil {
				return badInput(err)
			}
		}
		if err := o.write(e, path, format, d); err != nil {
			os.Remove(o.dir) // an empty folder only
			return err
		}
		if path != "-" {
			fmt.Fprintf(e.out, "%s: %s, 1:%d, %s\n", path, name, d.Scale(), counted(d.Pages(), "page", "pages"))
		}
		for _, note := range d.Notes() {
			fmt.Fprintf(e.err, "%s: %s\n", path, note)
		}
		return nil
	})
}

// predicted is the small picture for the sheet; nil where none is wanted or the setup has no
// camera.
func (o *planOptions) predicted(ctx context.Context, job *answer.Job, setup, long int, step step) (image.Image,
	error) {
	if !o.picture {
		return nil, nil
	}
	return job.Predicted(ctx, setup, render.Work{Samples: 12, Seed: o.seed, Progress: step}, long)
}

// write writes one drawing; pages of a format that holds one go to FILE, FILE-2 …
func (o *planOptions) write(e *env, path string, format sheet.Format, d *sheet.Drawing) error {
	for page := 1; page <= d.Pages() && (page == 1 || format.Paged); page++ {
		data, err := format.Write(d, page, o.dpi)
		if err != nil {
			return err
		}
		at := path
		if page > 1 && path != "-" {
			ext := filepath.Ext(path)
			at = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(path, ext), page, ext)
		}
		if err := e.write(at, data, o.force); err != nil {
			return err
		}
	}
	return nil
}

// fileName turns a setup's name into a file name.
func fileName(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', r == '-', r > 127:
			return r
		case r >= 'A' && r <= 'Z':
			return r + 32
		}
		return '-'
	}, s)
	s = strings.Trim(s, "-")
	if s == "" {
		return "setup"
	}
	return s
}
