package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/demo"
	"halfstop/internal/store"
)

// env is the outside world of a command.
type env struct {
	in       io.Reader
	out, err io.Writer
}

// mostFile is the largest photometric file or mesh that is read.
const mostFile = 256 << 20

// load reads and parses a shoot; args holds at most one path. Messages are printed; those of severity Error end the command.
func (e *env) load(args []string) (*answer.Job, diag.List, error) {
	if len(args) == 0 {
		s := &store.Shoot{Name: demo.Name, Src: demo.Shoot()}
		f, doc, list := s.Parse()
		job := &answer.Job{File: f, Doc: doc, Files: func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) }}
		return job, list, e.fail(list)
	}
	s, err := store.Read(args[0], e.in)
	if err != nil {
		return nil, nil, badInput(err)
	}
	f, doc, list := s.Parse()
	job := &answer.Job{File: f, Doc: doc, Files: func(name string) ([]byte, error) { return s.ReadFile(name, mostFile) }}
	return job, list, e.fail(list)
}

// fail prints a list that holds an Error and returns exit code 2; else nil, printing nothing.
func (e *env) fail(list diag.List) error {
	if !list.Has(diag.Error) {
		return nil
	}
	fmt.Fprint(e.err, list.Text())
	return &exitError{code: exitInput}
}

// warn prints what is no Error.
func (e *env) warn(list diag.List) {
	if len(list) > 0 {
		fmt.Fprint(e.err, list.Text())
	}
}

// json prints a value with two-space indent.
func (e *env) json(v any) error {
	enc := json.NewEncoder(e.out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// write puts data into a file atomically, or to standard output for '-'.
func (e *env) write(path string, data []byte) error {
	if path == "-" {
		_, err := e.out.Write(data)
		return err
	}
	if err := place(path); err != nil {
		return err
	}
	if err := store.WriteFile(path, data); err != nil {
		return badInput(err)
	}
	return nil
}

// place reports, before any work is done, that a file could not be written for want of its folder.
func place(path string) error {
	if dir := filepath.Dir(path); path != "" && path != "-" && dir != "." {
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			return badInput(fmt.Errorf("%s: the folder %s is not there; make it first", path, dir))
		}
	}
	return nil
}

// work is what bounds a computation.
type work struct {
	setup   string
	samples int
	time    time.Duration
	seed    uint64
	json    bool
}

func (w *work) flags(c *cobra.Command, json bool) {
	c.Flags().StringVar(&w.setup, "setup", "", "name of one setup; all when absent")
	c.Flags().IntVar(&w.samples, "samples", 0, "most samples to take (a point, or a pixel); 0 is until the error is small enough")
	c.Flags().DurationVar(&w.time, "time", 0, "most time to take, like 5s or 500ms; 0 is as long as it needs")
	c.Flags().Uint64Var(&w.seed, "seed", 1, "seed: the same seed gives the same numbers")
	if json {
		c.Flags().BoolVar(&w.json, "json", false, "print JSON (shapes: docs/json.md)")
	}
	_ = c.RegisterFlagCompletionFunc("setup", func(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
		e := &env{in: cmd.InOrStdin(), out: io.Discard, err: io.Discard}
		job, _, err := e.load(args)
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var names []string
		for _, s := range job.File.Setups {
			names = append(names, s.Name)
		}
		return names, cobra.ShellCompDirectiveNoFileComp
	})
}

func (w *work) check() error {
	if w.samples < 0 || w.samples > 1<<24 {
		return badInput(fmt.Errorf("--samples %d: give a number from 1 to 16777216", w.samples))
	}
	if w.time < 0 {
		return badInput(fmt.Errorf("--time %v: give a time above zero", w.time))
	}
	return nil
}

// limit bounds ctx by --time.
func (w *work) limit(ctx context.Context) (context.Context, context.CancelFunc) {
	if w.time > 0 {
		return context.WithTimeout(ctx, w.time)
	}
	return context.WithCancel(ctx)
}

// terminal reports whether w is a screen that a person watches.
func terminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// progress shows work on a terminal once it has lasted a second; silent in a pipe.
type progress struct {
	w     io.Writer
	what  string
	start time.Time
	last  time.Time
	shown bool
}

func (e *env) progress(what string) *progress {
	p := &progress{what: what, start: time.Now()}
	if terminal(e.err) {
		p.w = e.err
	}
	return p
}

// step tells how far the work is; safe on a nil writer.
func (p *progress) step(done, of int) {
	now := time.Now()
	if p.w == nil || of <= 0 || now.Sub(p.start) < time.Second || now.Sub(p.last) < 200*time.Millisecond {
		return
	}
	p.last, p.shown = now, true
	share := float64(done) / float64(of)
	left := ""
	if share > 0.02 {
		left = fmt.Sprintf(", at most %s left", (time.Duration(float64(now.Sub(p.start)) * (1 - share) / share)).Round(time.Second))
	}
	fmt.Fprintf(p.w, "\r%s: %3.0f %%%s (Ctrl-C stops)\033[K", p.what, share*100, left)
}

func (p *progress) end() {
	if p.shown {
		fmt.Fprint(p.w, "\r\033[K")
	}
}
