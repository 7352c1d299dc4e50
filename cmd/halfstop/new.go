package main

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/internal/store"
)

func newCommand(e *env) *cobra.Command {
	o := &newOptions{}
	c := command(e, words{use: "new [FOLDER]", most: 1,
		short: "begin a shoot: a room, a sitter, a camera and one key light",
		long: `new writes FOLDER/shoot.yaml: a plain room, the sitter, the camera and one key light, placed so
that nothing stands in a wall or in the frame, with the key set for the aperture. It asks for
each in the trade's order; Enter takes what stands in brackets. Flags answer instead: where one
is given, or where no person sits at the terminal, nothing is asked.

Lengths are metres, or feet and inches once one is written so: 17 ft x 13 ft x 8 ft 6 in. FOLDER
is made where it is not there; without it the shoot goes into this folder. A shoot that is there
stays.`}, o)
	o.given = func() (any bool) {
		for _, q := range o.questions() {
			any = any || c.Flags().Changed(q.flag)
		}
		return any
	}
	return c
}

type newOptions struct {
	room, walls, pose, stature, background, lens, aperture, shutter, iso, distance, head, modifier, side string
	ask                                                                                                  bool

	given func() bool // some answer stands on the command line
}

// question is one thing that new must know; its answer goes into at.
type question struct {
	flag, words, usual string
	at                 *string
}

// questions are in the order in which a shoot is thought of: place, person, camera, light.
func (o *newOptions) questions() []question {
	return []question{
		{"room", "room, length x width x height", "5 x 4 x 2.6 m", &o.room},
		{"walls", "walls (a paint's name, or a reflectance like 60 %)", "", &o.walls},
		{"pose", "sitter: standing or seated", "standing", &o.pose},
		{"stature", "sitter's stature", "1.70 m", &o.stature},
		{"background", "from the sitter to the wall behind", "1.5 m", &o.background},
		{"lens", "lens", "50 mm", &o.lens},
		{"distance", "from the camera to the sitter", "2.2 m", &o.distance},
		{"aperture", "aperture", "f/4", &o.aperture},
		{"shutter", "shutter", "1/125 s", &o.shutter},
		{"iso", "sensitivity", "ISO 200", &o.iso},
		{"head", "key light: head", "battery head 500", &o.head},
		{"modifier", "key light: modifier", "softbox 60x90", &o.modifier},
		{"side", "key light: left or right of the camera", "left", &o.side},
	}
}

func (o *newOptions) flags(f *pflag.FlagSet) {
	for _, q := range o.questions() {
		f.StringVar(q.at, q.flag, q.usual, q.words)
	}
	f.BoolVar(&o.ask, "ask", false, "ask for everything, also where the answers come through a pipe")
}

func (o *newOptions) run(ctx context.Context, e *env, args []string) error {
	dir := "."
	if len(args) > 0 {
		dir = args[0]
	}
	path := filepath.Join(dir, store.PlanName)
	if _, err := os.Lstat(path); err == nil {
		return badInput(fmt.Errorf("%s is there already and stays as it is; name another folder", path))
	}
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return badInput(fmt.Errorf("%s is a file; name a folder", dir))
	}
	if o.ask || !o.given() && terminal(e.in) {
		if err := o.answers(e); err != nil {
			return err
		}
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return badInput(err)
	}
	b, err := o.begin(filepath.Base(abs))
	if err != nil {
		return badInput(err)
	}
	src, key, err := b.placeKey(ctx, e, path)
	if err != nil {
		return err
	}
	_, err = os.Stat(dir)
	fresh := errors.Is(err, os.ErrNotExist)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return badInput(err)
	}
	if err := store.WriteFile(path, src); err != nil {
		if fresh {
			os.Remove(dir)
		}
		return badInput(err)
	}
	e.line(2, fmt.Sprintf("%s: one setup, key %s", path, key))
	e.line(2, fmt.Sprintf("Next: halfstop meter %s · halfstop plan %s --dir sheets · halfstop open %s", dir, dir, dir))
	return nil
}

// answers asks each question and reads a line for it.
func (o *newOptions) answers(e *env) error {
	in := bufio.NewScanner(e.in)
	for _, q := range o.questions() {
		fmt.Fprintf(e.err, "%s [%s]: ", q.words, cmp.Or(*q.at, "not stated"))
		if !in.Scan() {
			fmt.Fprintln(e.err)
			return badInput(errors.New("the answers ended early; nothing was written"))
		}
		if s := strings.TrimSpace(in.Text()); s != "" {
			*q.at = s
		}
	}
	return nil
}

// placeKey tries places for the key until the check finds nothing, sets its power by the look, and
// gives the shoot's text and the key's dial.
func (b *beginning) placeKey(ctx context.Context, e *env, path string) ([]byte, string, error) {
	var first diag.List
	for _, b.Key = range b.KeyPlaces(b.left) {
		src := b.Text()
		s := &store.Shoot{Name: path, Src: src}
		file, doc, list := s.Parse()
		if list.Has(diag.Error) {
			return nil, "", badInput(fmt.Errorf("%s", strings.TrimSpace(plainly(list))))
		}
		job := &answer.Job{File: file, Doc: doc}
		st, more := job.Stage(0, figure.Shadow)
		if more.Has(diag.Error) {
			return nil, "", badInput(fmt.Errorf("%s", strings.TrimSpace(plainly(more))))
		}
		if list = append(append(list, more...), job.Cautions(st)...); len(list) > 0 {
			if first == nil {
				first = list
			}
			continue
		}
		return b.power(ctx, e, job, src)
	}
	why := strings.TrimSpace(plainly(first))
	if why == "" {
		why = "no stand finds a place before the sitter"
	}
	return nil, "", badInput(fmt.Errorf(
		"there is no room for this: %s\nTake a smaller modifier, a shorter distance or a larger room", why))
}

// power balances the key for the aperture.
func (b *beginning) power(ctx context.Context, e *env, job *answer.Job, src []byte) ([]byte, string, error) {
	w := &work{seed: 1}
	bal, err := one(ctx, e, w, "metering", job.File.Setups[0].Name, func(ctx context.Context, step step) (*balanced,
		diag.List, error) {
		return job.Balance(ctx, 0, w.first(step))
	})
	if err != nil {
		return nil, "", err
	}
	if edits := bal.Edits(); len(edits) > 0 {
		if src, err = job.Doc.SetAll(edits); err != nil {
			return nil, "", err
		}
	}
	key := ""
	for _, l := range bal.Lights() {
		if !l.Fixed {
			key = "at " + l.Now
		}
	}
	for _, t := range bal.Targets() {
		if t.Met {
			key += fmt.Sprintf(" for %s at the face", b.Aperture)
		} else {
			key += fmt.Sprintf(", which gives %s at the face instead of %s (see halfstop ways)", t.Predicted,
				b.Aperture)
		}
	}
	return src, key, nil
}

// plainly gives the first message without its place in a file that is not there yet.
func plainly(list diag.List) string {
	if len(list) == 0 {
		return ""
	}
	if list[0].Fix != "" {
		return list[0].Text + "; " + list[0].Fix
	}
	return list[0].Text
}
