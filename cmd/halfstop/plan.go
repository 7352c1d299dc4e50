package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"halfstop/answer"
	"halfstop/meter"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/sheet"
	"halfstop/spectrum"
	"halfstop/trace"
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
}

func planCommand(e *env) *cobra.Command {
	var o planOptions
	c := &cobra.Command{
		Use:   "plan [SHOOT] [--setup NAME] -o FILE",
		Short: "the lighting plan to scale",
		Long: `plan draws the lighting plan of a setup to scale: plan and section with dimensions, the light of each head as contours of whole
stops at the height of the face, the table of lights with their dials, the readings to expect, cautions and a title block.

The file's ending says the format: .svg, .pdf (vector, font embedded) or .png. With several setups, or with --dir, one file
a setup is written, named after the setup.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return e.plan(c.Context(), &o, args) },
	}
	o.flags(c, false)
	c.Flags().StringVarP(&o.out, "output", "o", "", "file to write, or - for standard output (then --format says which)")
	c.Flags().StringVar(&o.dir, "dir", "", "folder to write one file a setup into")
	c.Flags().StringVar(&o.format, "format", "", "svg, pdf or png, where no file name says it; default pdf")
	c.Flags().StringVar(&o.paper, "paper", "a4", "a4 or letter")
	c.Flags().BoolVar(&o.feet, "feet", false, "feet and inches")
	c.Flags().BoolVar(&o.picture, "picture", true, "put the predicted picture on the sheet")
	c.Flags().Float64Var(&o.dpi, "dpi", 150, "resolution of .png")
	c.Flags().StringVar(&o.note, "revision", "", "revision printed in the title block")
	return c
}

func (e *env) plan(ctx context.Context, o *planOptions, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	format := strings.ToLower(o.format)
	if o.out != "" && o.out != "-" {
		format = strings.TrimPrefix(strings.ToLower(filepath.Ext(o.out)), ".")
	}
	if format == "" {
		format = "pdf"
	}
	switch {
	case o.out == "" && o.dir == "":
		return badInput(errors.New("say where the plan goes: -o FILE.pdf (.svg, .png), or --dir FOLDER for all setups"))
	case format != "svg" && format != "pdf" && format != "png":
		return badInput(fmt.Errorf("a plan can be written as .svg, .pdf or .png, not as %q", format))
	case o.paper != "a4" && o.paper != "letter":
		return badInput(fmt.Errorf("--paper %s: write a4 or letter", o.paper))
	case !(o.dpi >= 20 && o.dpi <= 1200):
		return badInput(fmt.Errorf("--dpi %g: give 20 to 1200", o.dpi))
	}
	if err := place(o.out); err != nil {
		return err
	}
	job, list, err := e.load(args)
	if err != nil {
		return err
	}
	if o.dir != "" {
		if err := os.MkdirAll(o.dir, 0o755); err != nil {
			return badInput(err)
		}
	}
	e.warn(list)
	setups, err := job.Setups(o.setup)
	if err != nil {
		return badInput(err)
	}
	if o.out != "" && len(setups) > 1 {
		return badInput(fmt.Errorf("the shoot has %d setups and -o names one file; add --setup NAME, or use --dir FOLDER", len(setups)))
	}
	for n, i := range setups {
		name := job.File.Setups[i].Name
		p := e.progress("drawing " + name)
		lim, stop := o.limit(ctx)
		var pic image.Image
		if o.picture && job.File.Setups[i].Camera != nil {
			width, height := answer.Pixels(job.File.Setups[i].Camera, 320)
			f, _, err := job.Frame(lim, i, answer.FrameWork{Work: render.Work{Width: width, Height: height, Samples: 12, Seed: o.seed, Progress: p.step}})
			if err == nil && f != nil {
				err = f.Denoise(lim)
			}
			if err != nil {
				fmt.Fprintf(e.err, "%s: the sheet goes without its picture: %v\n", name, err)
			} else if f != nil {
				pic = picture.Develop(f.Linear(-1), f.Film.W, f.Film.H, f.Stage.White, spectrum.SRGB)
			}
		}
		d, _, list, err := job.Plan(lim, i, answer.PlanWork{Meter: meter.Work{Seed: o.seed, Samples: o.samples, Progress: p.step}, Picture: pic,
			Letter: o.paper == "letter", Feet: o.feet, Sheet: n + 1, Of: len(setups), Words: o.note})
		stop()
		p.end()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		e.warn(list)
		if errors.Is(err, trace.ErrStopped) {
			return badInput(fmt.Errorf("--time %v is too short to measure %s; give it more", o.time, name))
		}
		if err != nil {
			return badInput(err)
		}
		if d == nil {
			return &exitError{code: exitInput}
		}
		path := o.out
		if path == "" {
			path = filepath.Join(o.dir, fileName(name)+"."+format)
		}
		if err := e.writeDrawing(path, format, d, o.dpi); err != nil {
			return err
		}
		if path != "-" {
			fmt.Fprintf(e.out, "%s: %s, 1:%d, %d page(s)\n", path, name, d.Scale(), d.Pages())
		}
		for _, note := range d.Notes() {
			fmt.Fprintf(e.err, "%s: %s\n", path, note)
		}
	}
	return nil
}

// writeDrawing writes one drawing; svg and png of several pages go to FILE, FILE-2 …
func (e *env) writeDrawing(path, format string, d *sheet.Drawing, dpi float64) error {
	if format == "pdf" {
		return e.write(path, d.PDF())
	}
	for page := 1; page <= d.Pages(); page++ {
		var data []byte
		if format == "svg" {
			data = d.SVG(page)
		} else {
			var b bytes.Buffer
			if err := png.Encode(&b, d.PNG(page, dpi)); err != nil {
				return err
			}
			data = b.Bytes()
		}
		at := path
		if page > 1 && path != "-" {
			ext := filepath.Ext(path)
			at = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(path, ext), page, ext)
		}
		if err := e.write(at, data); err != nil {
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
