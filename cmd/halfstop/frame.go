package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/png"
	"strings"

	"github.com/spf13/cobra"

	"halfstop/answer"
	"halfstop/trace"
)

type frameOptions struct {
	work
	out  string
	size string
	solo string
}

func frameCommand(e *env) *cobra.Command {
	var o frameOptions
	c := &cobra.Command{
		Use:   "frame [SHOOT] --setup NAME -o FILE",
		Short: "the computed picture",
		Long: `frame computes the picture that the camera of a setup takes, as PNG (sRGB). It is a prediction: grain falls with the square root
of --samples.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return e.frame(c.Context(), &o, args) },
	}
	o.flags(c, false)
	c.Flags().StringVarP(&o.out, "output", "o", "", "file to write, or - for standard output (needed)")
	c.Flags().StringVar(&o.size, "size", "", "picture size in pixels, like 960x640; default: 480 on the long side in the camera's shape")
	c.Flags().StringVar(&o.solo, "solo", "", "one light alone, by name or role")
	return c
}

// mostBytes is what a picture's film may take.
const mostBytes = 4 << 30

func (e *env) frame(ctx context.Context, o *frameOptions, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	if o.out == "" {
		return badInput(errors.New("say where the picture goes: -o FILE.png, or -o - for standard output"))
	}
	if o.out != "-" && !strings.HasSuffix(strings.ToLower(o.out), ".png") {
		return badInput(fmt.Errorf("%s: the picture is written as PNG; give the file a name that ends in .png", o.out))
	}
	job, list, err := e.load(args)
	if err != nil {
		return err
	}
	e.warn(list)
	setups, err := job.Setups(o.setup)
	if err != nil {
		return badInput(err)
	}
	w, h := 0, 0
	if o.size != "" {
		if n, err := fmt.Sscanf(o.size, "%dx%d", &w, &h); n != 2 || err != nil || w < 8 || h < 8 || w > 16384 || h > 16384 {
			return badInput(fmt.Errorf("--size %s: write width x height in pixels, like 960x640, 8 to 16384 each", o.size))
		}
	}
	if o.samples == 0 {
		o.samples = 32
	}
	p := e.progress("exposing " + job.File.Setups[setups[0]].Name)
	lim, stop := o.limit(ctx)
	defer stop()
	f, list, err := job.Frame(lim, setups[0], answer.FrameWork{Width: w, Height: h, Samples: o.samples, Seed: o.seed, Solo: o.solo, MostBytes: mostBytes, Progress: p.step})
	p.end()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	e.warn(list)
	if errors.Is(err, trace.ErrStopped) {
		return badInput(fmt.Errorf("--time %v is too short for one sample a pixel; give it more or take a smaller --size", o.time))
	}
	if err != nil {
		return badInput(err)
	}
	if f == nil {
		return &exitError{code: exitInput}
	}
	var buf bytes.Buffer
	if err := png.Encode(&buf, f.Image); err != nil {
		return err
	}
	if err := e.write(o.out, buf.Bytes()); err != nil {
		return err
	}
	if o.out != "-" {
		fmt.Fprintf(e.out, "%s: %s, %d × %d, %d samples a pixel\n", o.out, job.File.Setups[setups[0]].Name, f.Image.Bounds().Dx(), f.Image.Bounds().Dy(), f.Samples)
	}
	return nil
}
