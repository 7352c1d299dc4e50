package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/records"
	"halfstop/internal/store"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/spectrum"
	"halfstop/trace"
)

type frameOptions struct {
	work
	out, size, solo, crop, profile, error, compare string
	sheet                                          string
	stops, noise, raw, exact, force                bool

	format   picture.Format
	display  *spectrum.Display
	w, h     int
	part     [4]float64
	relative float64
	sampled  bool          // --samples was given
	kept     *render.Frame // of a record, from its layers; nil: the picture is traced
}

// asRecorded reports whether nothing is asked for that the layers of a record cannot give.
func (o *frameOptions) asRecorded() bool {
	return o.size == "" && o.crop == "" && o.error == "" && !o.exact && !o.raw && o.compare == "" && o.time == 0 &&
		!o.sampled
}

func frameCommand(e *env) *cobra.Command {
	return command(e, words{use: "frame [SHOOT] --setup NAME -o FILE", most: 1, short: "the computed picture",
		long: `frame computes the picture that the camera of a setup takes. The name's ending says the format:

  .png   8 bit, with profile           .jpg, .jpeg   8 bit, with profile
  .tif, .tiff   16 bit, with profile   .exr   linear light, one named layer a light (primaries of
                                              sRGB, mid-grey 0.18)

It is a prediction. The grain of the computation falls with the square root of --samples; what is
left is taken out light by light, which costs the finest texture (--raw leaves it in). The same
seed gives the same picture. --stops shows levels: one flat tone a whole stop, stripes where the
sensor clips, dots under its noise floor. --compare shows two setups side by side and, in colour,
by how many stops the second is over the first. --sheet shows every setup and each of its lights
alone.`}, &frameOptions{})
}

func (o *frameOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	f.StringVarP(&o.out, "output", "o", "", "file to write, or - for a PNG on standard output (needed)")
	f.StringVar(&o.size, "size", "",
		"picture size in pixels, like 960x640; default: 480 on the long side in the camera's shape")
	f.StringVar(&o.error, "error", "", "stop once the relative error of the picture is under this, like 10%")
	f.StringVar(&o.crop, "crop", "",
		"only this part: x0,y0,x1,y1 as shares of the frame from its top left, like 0.3,0.1,0.7,0.6")
	f.StringVar(&o.profile, "profile", "srgb", "colour space of the file: srgb or p3")
	f.StringVar(&o.solo, "solo", "", "one light alone, by name or role")
	f.BoolVar(&o.stops, "stops", false, "levels by whole stops instead of the picture")
	f.StringVar(&o.compare, "compare", "", "beside another setup, by name, or the same setup of another shoot file")
	f.StringVar(&o.sheet, "sheet", "",
		"a sheet of all setups (or the one named), each with every light alone; --sheet=setups: the setups only, "+
			"in a row")
	f.Lookup("sheet").NoOptDefVal = "all"
	f.BoolVar(&o.exact, "exact", false,
		"follow every path of light to its end instead of resting it on cells of some 20 cm: "+
			"ten times as slow, and without their blur (about 1 % of the light)")
	f.BoolVar(&o.raw, "raw", false, "leave the grain of the computation in")
	f.BoolVar(&o.noise, "noise", false, "with the noise of the sensor (24 million photosites); off for judging light")
	flagForce(f, &o.force)
}

// mostBytes is what a picture's film may take.
const mostBytes = 4 << 30

// tidyFrom is what the program may take before what it no longer needs is cleared at once, bytes: a
// frame of 1920 × 1280 with eight lights in haze fits into a GiB.
const tidyFrom = 920 << 20

// photosites of the sensor whose noise is shown, millions.
const photosites = 24

// read turns the flags into what they mean.
func (o *frameOptions) read() error {
	if err := o.check(); err != nil {
		return err
	}
	if o.out == "" {
		return errors.New("say where the picture goes: -o FILE.png, or -o - for standard output")
	}
	developed := func(f picture.Format) bool { return f.Light == nil }
	var known bool
	if o.format, known = picture.FormatOf(o.ending()); !known {
		return fmt.Errorf("%s: give the file a name that ends in %s", o.out,
			picture.Endings(func(picture.Format) bool { return true }))
	}
	if !developed(o.format) && (o.stops || o.sheet != "" || o.compare != "" || o.noise) {
		return fmt.Errorf("an %s file holds the light itself; --stops, --sheet, --compare and --noise go with %s",
			o.format.Name, picture.Endings(developed))
	}
	if o.stops && o.noise {
		return errors.New("--stops shows the light, --noise the sensor's grain on it: leave one out")
	}
	if o.sheet != "" && o.sheet != "all" && o.sheet != "setups" {
		return fmt.Errorf("--sheet=%s: write --sheet for all setups and lights, or --sheet=setups", o.sheet)
	}
	if o.sheet != "" && (o.compare != "" || o.solo != "" || o.stops) {
		return errors.New("--sheet shows every setup and every light: leave --compare, --solo and --stops out")
	}
	switch strings.ToLower(o.profile) {
	case "srgb":
		o.display = spectrum.SRGB
	case "p3", "display p3":
		o.display = spectrum.DisplayP3
	default:
		return fmt.Errorf("--profile %s: write srgb or p3", o.profile)
	}
	if o.size != "" {
		a, b, ok := strings.Cut(o.size, "x")
		w, err1 := strconv.Atoi(a)
		h, err2 := strconv.Atoi(b)
		if !ok || err1 != nil || err2 != nil || w < 8 || h < 8 || w > 16384 || h > 16384 {
			return fmt.Errorf("--size %s: write width x height in pixels, like 960x640, 8 to 16384 each", o.size)
		}
		o.w, o.h = w, h
	}
	if o.crop != "" {
		p := strings.Split(o.crop, ",")
		ok := len(p) == 4
		for i := 0; ok && i < 4; i++ {
			v, err := strconv.ParseFloat(strings.TrimSpace(p[i]), 64)
			ok = err == nil && v >= 0 && v <= 1
			o.part[i] = v
		}
		if !ok || o.part[2]-o.part[0] < 0.01 || o.part[3]-o.part[1] < 0.01 {
			return fmt.Errorf(
				"--crop %s: write x0,y0,x1,y1 as shares of the frame from its top left, like 0.3,0.1,0.7,0.6", o.crop)
		}
	}
	if o.error != "" {
		v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(o.error, "%")), 64)
		if err != nil || !(v >= 0.1 && v <= 100) || !strings.HasSuffix(o.error, "%") {
			return fmt.Errorf("--error %s: write a share of the level like 10%%, 0.1%% to 100%%", o.error)
		}
		o.relative = v / 100
	}
	if o.sampled = o.samples > 0; !o.sampled {
		o.samples = 16
		if o.relative > 0 || o.time > 0 {
			o.samples = 4096
		}
	}
	return nil
}

// ending is that of the file, which names its format.
func (o *frameOptions) ending() string {
	if o.out == "-" {
		return "png"
	}
	return filepath.Ext(o.out)
}

func (o *frameOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.read(); err != nil {
		return badInput(err)
	}
	if err := place(o.out); err != nil {
		return err
	}
	// A picture is a few large blocks without pointers, which cost nothing to go over and much to
	// hold twice.
	defer debug.SetGCPercent(debug.SetGCPercent(25))
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(tidyFrom))
	job, setups, err := e.chosen(args, o.setup)
	if err != nil {
		return err
	}
	if len(args) > 0 && records.Is(args[0]) && o.asRecorded() {
		folder, err := e.openRecord(args[0])
		if err != nil {
			return err
		}
		if o.kept, err = remixed(folder, job); err != nil {
			fmt.Fprintf(e.err, "traced anew, not mixed from the layers: %v\n", err)
		}
	}
	if o.sheet != "" {
		if o.setup == "" {
			return o.mount(ctx, e, job, setups)
		}
		return o.mount(ctx, e, job, setups[:1])
	}
	f, err := o.expose(ctx, e, job, setups[0], o.solo)
	if err != nil {
		return err
	}
	if o.compare != "" {
		return o.beside(ctx, e, job, f)
	}
	if o.format.Light != nil {
		return o.light(e, f)
	}
	img := o.view(f, f.Linear(o.alone(f)))
	return o.save(e, img, fmt.Sprintf("%s, %d samples a pixel%s", f.Stage.Setup.Name, f.Samples, errorWords(f)))
}

func errorWords(f *render.Frame) (words string) {
	if f.Error > 0 {
		words = fmt.Sprintf(", error %.1f %%", f.Error*100)
	}
	if f.Cut {
		words += ", cut from the camera's frame, which is of another shape"
	}
	return
}

// expose computes the picture of one setup.
func (o *frameOptions) expose(ctx context.Context, e *env, job *answer.Job, setup int, solo string) (*render.Frame,
	error) {
	if o.kept != nil {
		if solo != "" && o.kept.Stage.LayerNamed(solo) < 0 {
			return nil, badInput(fmt.Errorf("there is no light called %q in %s", solo, o.kept.Stage.Setup.Name))
		}
		return o.kept, nil
	}
	name := job.File.Setups[setup].Name
	return one(ctx, e, &o.work, "exposing", name, func(lim context.Context, step step) (*render.Frame, diag.List,
		error) {
		f, list, err := job.Frame(lim, setup, answer.FrameWork{SoloName: solo, MostBytes: mostBytes,
			Work: render.Work{Width: o.w, Height: o.h,
				Samples: o.samples, Seed: o.seed, Crop: o.part, Error: o.relative, Raw: o.raw, Exact: o.exact,
				Progress: step}})
		if errors.Is(err, trace.ErrStopped) {
			return nil, list,
				badInput(fmt.Errorf(
					"--time %v is too short for one sample a pixel of %s; give it more or take a smaller --size",
					o.time,
					name))
		}
		if err == nil && f != nil && !o.raw {
			err = f.Denoise(ctx) // what was exposed within --time is cleaned, however long that takes
		}
		if err != nil {
			return nil, list, err
		}
		return f, list, nil
	})
}

// alone is the layer that --solo names, -1 for all.
func (o *frameOptions) alone(f *render.Frame) int {
	if o.solo == "" {
		return -1
	}
	return f.Stage.LayerNamed(o.solo)
}

// view turns linear light into what is shown.
func (o *frameOptions) view(f *render.Frame, px []spectrum.XYZ) any {
	if o.stops {
		return picture.Stops(px, f.Film.W, f.Film.H, f.Range())
	}
	if o.noise {
		px = f.Grain(px, o.seed, photosites)
	}
	return picture.Render(px, f.Film.W, f.Film.H, f.Stage.White, o.display, render.RenderingOf(f.Stage))
}

// save writes a Print or an image by the file's ending.
func (o *frameOptions) save(e *env, v any, words string) error {
	data, err := o.format.Encode(v, o.display)
	if err != nil {
		return err
	}
	if err := e.write(o.out, data, o.force); err != nil {
		return err
	}
	if o.out != "-" {
		b := picture.Flat(v).Bounds()
		fmt.Fprintf(e.out, "%s: %d × %d: %s\n", o.out, b.Dx(), b.Dy(), words)
	}
	return nil
}

// light writes the light itself, one layer a light.
func (o *frameOptions) light(e *env, f *render.Frame) error {
	var layers [][]spectrum.XYZ
	var names []string
	for i, l := range f.Stage.Layers {
		if o.solo == "" || i == o.alone(f) {
			layers, names = append(layers, f.Linear(i)), append(names, l.Name)
		}
	}
	data, err := o.format.Light(f.Film.W, f.Film.H, picture.LightPlates(layers, names), f.Stage.White.XY())
	if err != nil {
		return badInput(err)
	}
	if err := e.write(o.out, data, o.force); err != nil {
		return err
	}
	fmt.Fprintf(e.out, "%s: %d × %d: %s, layers %s; %d samples a pixel%s\n", o.out, f.Film.W, f.Film.H,
		f.Stage.Setup.Name, strings.Join(names, ", "), f.Samples, errorWords(f))
	return nil
}

// beside shows two setups and their difference.
func (o *frameOptions) beside(ctx context.Context, e *env, job *answer.Job, f *render.Frame) error {
	other, name := job, o.compare
	setups, err := job.Setups(o.compare)
	if err != nil {
		// No setup of this shoot: another file, with a setup of the same name.
		s, err2 := store.Read(o.compare, e.in)
		if err2 != nil {
			return badInput(fmt.Errorf("--compare %s: neither a setup (%v) nor a shoot (%v)", o.compare, err, err2))
		}
		file, doc, list := s.Parse()
		if err := e.fail(list); err != nil {
			return err
		}
		other = &answer.Job{File: file, Doc: doc, Files: func(n string) ([]byte, error) {
			return s.ReadFile(n,
				mostFile)
		}}
		if setups, err = other.Setups(f.Stage.Setup.Name); err != nil {
			return badInput(fmt.Errorf("--compare %s: %w", o.compare, err))
		}
	} else {
		name = job.File.Setups[setups[0]].Name
	}
	again := *o
	if o.w == 0 && o.crop == "" {
		again.w, again.h = f.Film.W, f.Film.H
	}
	g, err := again.expose(ctx, e, other, setups[0], o.solo)
	if err != nil {
		return err
	}
	if g.Film.W != f.Film.W || g.Film.H != f.Film.H {
		return badInput(fmt.Errorf("%s and %s come out in different sizes; give --size", f.Stage.Setup.Name, name))
	}
	a, b := f.Linear(o.alone(f)), g.Linear(o.alone(g))
	sheet := picture.Mount([][]picture.Shot{{
		{Image: picture.Flat(o.view(f, a)), Words: f.Stage.Setup.Name},
		{Image: picture.Flat(o.view(g, b)), Words: name},
		{Image: picture.Difference(a, b, f.Film.W, f.Film.H), Words: "second over first, stops"},
	}})
	return o.save(e, sheet, f.Stage.Setup.Name+" beside "+name)
}

// mount shows setups and each light alone.
func (o *frameOptions) mount(ctx context.Context, e *env, job *answer.Job, setups []int) error {
	var rows [][]picture.Shot
	for _, i := range setups {
		if job.File.Setups[i].Camera == nil {
			continue
		}
		f, err := o.expose(ctx, e, job, i, "")
		if err != nil {
			return err
		}
		whole := picture.Shot{Image: picture.Flat(o.view(f, f.Linear(-1))), Words: f.Stage.Setup.Name}
		if o.sheet == "setups" {
			if len(rows) == 0 {
				rows = append(rows, nil)
			}
			rows[0] = append(rows[0], whole)
			continue
		}
		whole.Words += ", all lights"
		row := []picture.Shot{whole}
		for l := range f.Stage.Layers {
			img := picture.Half(picture.Flat(o.view(f, f.Linear(l))))
			row = append(row, picture.Shot{Image: img, Words: f.Stage.Layers[l].Name})
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return badInput(errors.New("no setup has a camera, so there is no picture"))
	}
	words := fmt.Sprintf("%d setups, every light alone at its setting", len(rows))
	if o.sheet == "setups" {
		words = fmt.Sprintf("%d setups", len(rows[0]))
	}
	return o.save(e, picture.Mount(rows), words)
}
