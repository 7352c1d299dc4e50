package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/records"
	"halfstop/internal/store"
	"halfstop/meter"
	"halfstop/picture"
	"halfstop/record"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/ways"
)

type relightOptions struct {
	work
	room, sitter, out, picture string
	ways, json, force          bool
}

func relightCommand(e *env) *cobra.Command {
	return command(e, words{use: "relight RECORD --room SHOOT", least: 1, most: 1,
		short: "the same look in another room, with another kit",
		long: `relight puts a record's setup into the room of another shoot: the sitter where walls and windows lie most
as they did, the camera for the same picture, each light by its direction, apparent size and level on
the sitter with the heads and modifiers of that shoot's kit, then balanced for the look as it came out.
It says what the room changes, by its effect, and what is left. -o writes the new shoot file: the room
with this setup alone. Put it beside the room's own shoot file, where its kit is.`}, &relightOptions{})
}

func (o *relightOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	f.StringVar(&o.room, "room", "", "the shoot whose room and kit are meant (needed)")
	f.StringVar(&o.sitter, "sitter", "", "a setup there whose sitter's stature counts; absent: the recorded one")
	f.StringVarP(&o.out, "output", "o", "", "shoot file to write, or - for standard output")
	f.StringVar(&o.picture, "picture", "", "old and new picture side by side with their difference, .png or .jpg")
	f.BoolVar(&o.ways, "ways", false, "look for ways out of what is missed")
	flagJSON(f, &o.json)
	flagForce(f, &o.force)
}

func (o *relightOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	if o.room == "" {
		return badInput(errors.New("say which room: --room SHOOT"))
	}
	var format picture.Format
	if o.picture != "" {
		show, ok := &frameOptions{out: o.picture}, false
		if format, ok = picture.FormatOf(show.ending()); !ok || format.Encode == nil {
			return badInput(fmt.Errorf("--picture %s: give it a name that ends in .png or .jpg", o.picture))
		}
	}
	for _, p := range []string{o.out, o.picture} {
		if err := place(p); err != nil {
			return err
		}
	}
	folder, err := e.openRecord(args[0])
	if err != nil {
		return err
	}
	old, err := e.recordJob(folder)
	if err != nil {
		return err
	}
	room, err := e.shoot([]string{o.room})
	if err != nil {
		return err
	}
	w := record.RelightWork{Record: folder.Record, Job: old, Room: room, Scale: 1,
		Meter: meter.Work{Seed: o.seed, Error: 0.03, Samples: 1 << 13}}
	if s, err := store.Read(o.room, e.in); err == nil {
		w.Kits = s.Kit
	}
	if w.Scale, err = o.scale(old.File, room.File); err != nil {
		return badInput(err)
	}
	p := e.progress("lighting again")
	w.Meter.Progress = p.step
	r, list, err := record.Relight(ctx, w)
	p.end()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	nobody := errors.Is(err, record.ErrNobodyFits)
	if err != nil && (!nobody || r == nil) {
		return badInput(fmt.Errorf("%s: %w", o.room, err))
	}
	if r == nil {
		return e.fail(list)
	}
	if nobody {
		r.Notes = append([]string{fmt.Sprintf("%v: what stands here is the nearest that there is", err)}, r.Notes...)
	}
	if o.ways && len(r.Missed) > 0 {
		if err := o.waysOut(ctx, e, r); err != nil {
			return err
		}
	}
	if o.picture != "" {
		if err := o.beside(ctx, e, folder, r, format); err != nil {
			return err
		}
	}
	if o.out != "" {
		if err := e.write(o.out, r.Text, o.force); err != nil {
			return err
		}
	}
	switch {
	case o.json:
		err = e.json(r)
	case o.out != "-":
		o.print(e, r)
	}
	if err == nil && (len(r.Missed) > 0 || nobody) {
		return &exitError{code: exitFindings}
	}
	return err
}

// scale is the stature of the sitter that --sitter names over the recorded one.
func (o *relightOptions) scale(old, room *shoot.File) (float64, error) {
	if o.sitter == "" {
		return 1, nil
	}
	setups, err := (&answer.Job{File: room}).Setups(o.sitter)
	if err != nil {
		return 0, err
	}
	was, now := old.Setups[0].Sitter, room.Setups[setups[0]].Sitter
	if was == nil || now == nil || !(was.Stature > 0) {
		return 0, fmt.Errorf("--sitter %s: that setup has no sitter", o.sitter)
	}
	return float64(now.Stature / was.Stature), nil
}

// waysOut looks for ways out of what is missed.
func (o *relightOptions) waysOut(ctx context.Context, e *env, r *record.Relit) error {
	p := e.progress("looking for ways out")
	found, _, err := r.Job.Shoot().Find(ctx, 0, ways.Work{Most: 5, Meter: meter.Work{Seed: o.seed}})
	p.end()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return badInput(err)
	}
	for i := range found.Ways {
		r.Ways = append(r.Ways, found.Ways[i].Words)
	}
	return nil
}

// beside writes the old picture beside the new one, with what differs, and holds their regions
// against each other.
func (o *relightOptions) beside(ctx context.Context, e *env, folder *records.Folder, r *record.Relit,
	format picture.Format) error {
	job, err := e.recordJob(folder)
	if err != nil {
		return err
	}
	was, err := remixed(folder, job)
	if err != nil {
		return badInput(fmt.Errorf("there is no old picture to show: %w", err))
	}
	w, h := was.Film.W, was.Film.H
	for w > 700 || h > 700 {
		w, h = w/2, h/2
	}
	samples := o.samples
	if samples == 0 {
		samples = 16
	}
	now, err := one(ctx, e, &o.work, "exposing", r.Setup, func(lim context.Context, step step) (*render.Frame,
		diag.List, error) {
		f, list, err := r.Job.Frame(lim, 0, answer.FrameWork{MostBytes: mostBytes,
			Work: render.Work{Width: w, Height: h, Samples: samples, Seed: o.seed, Progress: step}})
		if err == nil && f != nil {
			err = f.Denoise(ctx)
		}
		if err != nil {
			return nil, list, err
		}
		return f, list, nil
	})
	if err != nil {
		return err
	}
	r.Regions = record.Regions(was, now, r.Mirrored)
	show := func(f *render.Frame, words string) picture.Shot {
		img := picture.Flat(picture.Render(f.Linear(-1), f.Film.W, f.Film.H, f.Stage.White, spectrum.SRGB,
			render.RenderingOf(f.Stage)))
		for img.Bounds().Dx() > w {
			img = picture.Half(img)
		}
		return picture.Shot{Image: img, Words: words}
	}
	data, err := format.Encode(picture.Mount([][]picture.Shot{{show(was, "as recorded"), show(now, "here")}}),
		spectrum.SRGB)
	if err != nil {
		return err
	}
	return e.write(o.picture, data, o.force)
}

func (o *relightOptions) print(e *env, r *record.Relit) {
	say := func(head string, list []string) {
		if len(list) == 0 {
			return
		}
		fmt.Fprintln(e.out, head)
		for _, l := range list {
			fmt.Fprint(e.out, wrap("  "+l, e.columns, 4))
		}
	}
	fmt.Fprintf(e.out, "%s, lit again", r.Setup)
	if r.Turned != 0 {
		fmt.Fprintf(e.out, ", the whole turned by %.0f°", r.Turned)
	}
	fmt.Fprintln(e.out)
	say("Set:", r.Settings)
	say("What is different, by its effect:", r.Why)
	say("What the kit and the room cannot do:", r.Notes)
	say("Missed:", r.Missed)
	say("Ways out:", r.Ways)
	t := table{head: []string{"point", "before", "here", "in the picture"}}
	for _, p := range r.Points {
		t.row(p.Name, p.Old, p.New, signed(p.Stops, 1)+" st")
	}
	fmt.Fprintln(e.out)
	e.table(&t)
	if len(r.Regions) > 0 {
		t := table{head: []string{"region", "stops", "ΔE2000"}}
		for _, g := range r.Regions {
			t.row(g.Name, signed(g.Stops, 1), fmt.Sprintf("%.1f", g.DeltaE))
		}
		fmt.Fprintln(e.out)
		e.table(&t)
	}
	if o.out != "" {
		fmt.Fprintf(e.out, "\n%s: the room with this setup\n", o.out)
	}
}
