package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"strings"
	"time"

	"golang.org/x/image/draw"

	"halfstop/answer"
	"halfstop/photo"
	"halfstop/picture"
	"halfstop/ways"
)

// readPhoto reads a photograph, or the largest preview in a raw file, and its exposure data.
func readPhoto(path string) (image.Image, photo.Exif, error) {
	var x photo.Exif
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, x, err
	case !info.Mode().IsRegular():
		return nil, x, fmt.Errorf("%s: this is no plain file", path)
	case info.Size() > photo.MostBytes:
		return nil, x, fmt.Errorf("%s: it has %d MiB; %d MiB are read at most", path, info.Size()>>20,
			photo.MostBytes>>20)
	}
	src, err := os.ReadFile(path)
	if err != nil {
		return nil, x, err
	}
	img, x, err := photo.Decode(src)
	if err != nil {
		err = fmt.Errorf("%s: %w", path, err)
	}
	return img, x, err
}

// frame holds a photograph against a setup.
func (o *compareOptions) frame(ctx context.Context, e *env, args []string) error {
	if o.other != "" || o.why != "" {
		return badInput(fmt.Errorf("--other and --why compare setups; a photograph has --setup"))
	}
	if o.metered < 0 || o.metered > 3 {
		return badInput(fmt.Errorf("--metered %g: give stops, like 0.15", o.metered))
	}
	img, x, err := readPhoto(args[0])
	if err != nil {
		return badInput(err)
	}
	job, setups, err := e.chosen(args[1:], o.setup)
	if err != nil {
		return err
	}
	var best *answer.FrameTest
	samples := o.samples
	if samples == 0 {
		samples = 16
	}
	p := e.progress("comparing")
	end := time.Now().Add(o.within)
	for _, i := range job.FrameCandidates(setups, x) {
		ask := answer.FrameAsk{Setup: i, Image: img, Exif: x, Work: answer.FrameWorkTest{Samples: samples, Seed: o.seed,
			Metered: o.metered, Step: p.step}, First: func(t *answer.FrameTest) {
			if !o.json {
				p.say(strings.Join(firstWords(t), "\n"))
			}
		}}
		t, _, err := job.HoldFrame(ctx, ask, time.Until(end))
		if ctx.Err() != nil {
			p.end()
			return ctx.Err()
		}
		if errors.Is(err, context.DeadlineExceeded) && best != nil {
			break // the setups that were looked at by then
		}
		if errors.Is(err, context.DeadlineExceeded) {
			err = fmt.Errorf("in %v not even a first look was done; give it longer, like --within 1m", o.within)
		}
		if err != nil {
			p.end()
			return badInput(err)
		}
		if best == nil || best.First && !t.First || best.First == t.First && t.Rest < best.Rest {
			best = t
		}
	}
	p.end()
	if best == nil {
		return badInput(fmt.Errorf("no setup of the shoot has a camera"))
	}
	if o.frameOut != "" {
		b, err := besides(best)
		if err == nil {
			err = e.write(o.frameOut, b, false)
		}
		if err != nil {
			return badInput(err)
		}
	}
	if o.json {
		return e.json(best)
	}
	e.frameTest(best)
	return nil
}

// firstWords are what a first look says.
func firstWords(t *answer.FrameTest) (out []string) {
	for _, n := range t.Notes {
		out = append(out, t.Setup+", "+n)
	}
	for _, s := range t.Points {
		switch {
		case s.Out:
		case s.Clip:
			out = append(out, fmt.Sprintf("  %s clips", s.Name))
		default:
			out = append(out, fmt.Sprintf("  %s %s st against the prediction", s.Name, signed(s.Off, 1)))
		}
	}
	return out
}

func (e *env) frameTest(t *answer.FrameTest) {
	by := "by the plan"
	if t.ByExif {
		by = "by the file"
	}
	switch {
	case t.First:
		e.line(2, fmt.Sprintf("%s, %s (%s).", t.Setup, t.Camera, by))
	default:
		e.line(2, fmt.Sprintf("%s, %s (%s); %.0f %% of its light is not explained.", t.Setup, t.Camera, by, 100*t.Rest))
	}
	if len(t.Causes) == 0 && !t.First {
		fmt.Fprintln(e.out, "As planned, as far as the photograph can tell.")
	}
	for _, c := range t.Causes {
		words := c.Words
		if c.Light != "" {
			words = c.Light + ": " + words
		}
		size := ""
		if math.Abs(c.Stops) > 0.05 && math.Abs(c.Stops) < 7 {
			size = fmt.Sprintf(" (%s st)", signed(c.Stops, 1))
		}
		e.line(2, fmt.Sprintf("%.0f in 100  %s%s", 100*c.Chance, words, size))
	}
	fmt.Fprintln(e.out)
	l := table{head: []string{"light", "against its prediction", "share of the light", "plan"}}
	for _, x := range t.Lights {
		off := signed(x.Stops, 2) + " st"
		switch {
		case x.Noise > 0.35:
			off = "too little to tell"
		case x.Stops <= -3.5:
			off = "dark"
		}
		l.row(x.Name, off, fmt.Sprintf("%.0f %%", 100*x.Share), x.Plan)
	}
	if !t.First {
		e.table(&l)
		fmt.Fprintln(e.out)
	}
	s := table{head: []string{"point", "as photographed", "against the prediction", "colour"}}
	for _, x := range t.Points {
		switch {
		case x.Out:
			s.row(x.Name, "outside", "–", "–")
		case x.Clip:
			s.row(x.Name, signed(x.Stops, 1)+" st or more", signed(x.Off, 2)+" st or more", "–")
		default:
			s.row(x.Name, signed(x.Stops, 1)+" st", signed(x.Off, 2)+" st", ways.ColourFar(x.DUV))
		}
	}
	if len(s.rows) > 0 {
		e.table(&s)
	}
	e.line(2, fmt.Sprintf("%.1f %% of the frame clips, %.1f %% lies over 7 stops under mid-grey.",
		100*t.Clipped, 100*t.Floor))
	for _, n := range t.Notes {
		e.line(2, n)
	}
}

// besides draws photograph, prediction and difference in stops.
func besides(t *answer.FrameTest) ([]byte, error) {
	grow := func(img image.Image) image.Image {
		b := img.Bounds()
		out := image.NewNRGBA(image.Rect(0, 0, 4*b.Dx(), 4*b.Dy()))
		draw.CatmullRom.Scale(out, out.Bounds(), img, b, draw.Src, nil)
		return out
	}
	a, b, d := t.Pictures()
	sheet := picture.Mount([][]picture.Shot{{{Image: grow(a), Words: "photographed"},
		{Image: grow(b), Words: "predicted"}, {Image: grow(d), Words: "photographed over predicted, stops"}}})
	var out bytes.Buffer
	err := png.Encode(&out, sheet)
	return out.Bytes(), err
}
