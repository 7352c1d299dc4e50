package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/trace"
)

// action is what one command does. Its fields are its options.
type action interface {
	flags(f *pflag.FlagSet)
	run(ctx context.Context, e *env, args []string) error
}

// words are what the help says of a command.
type words struct {
	use, short, long string
	least, most      int // arguments
}

// arguments refuses too few and too many.
func (w *words) arguments(c *cobra.Command, args []string) error {
	switch n := len(args); {
	case n < w.least:
		return fmt.Errorf("an argument is missing; write %s", c.UseLine())
	case n > w.most:
		return fmt.Errorf("%q is one argument too many; write %s", args[w.most], c.UseLine())
	}
	return nil
}

// command makes a command of the command library from an action.
func command(e *env, w words, a action) *cobra.Command {
	c := &cobra.Command{Use: w.use, Short: w.short, Long: w.long, Args: w.arguments,
		RunE: func(c *cobra.Command, args []string) error { return a.run(c.Context(), e, args) }}
	a.flags(c.Flags())
	if c.Flags().Lookup("setup") != nil {
		_ = c.RegisterFlagCompletionFunc("setup", completeSetups)
	}
	return c
}

// completeSetups gives a shell the names of a shoot's setups.
func completeSetups(c *cobra.Command, args []string, _ string) (names []string, _ cobra.ShellCompDirective) {
	if job, _, err := newEnv(c.InOrStdin(), io.Discard, io.Discard).load(args); err == nil {
		for _, s := range job.File.Setups {
			names = append(names, s.Name)
		}
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

// work is what bounds a computation; commands that compute embed it.
type work struct {
	setup   string
	samples int
	time    time.Duration
	seed    uint64
}

func (w *work) flags(f *pflag.FlagSet) {
	flagSetup(f, &w.setup)
	f.IntVar(&w.samples, "samples", 0,
		"most samples to take (a point, or a pixel); 0 is until the error is small enough")
	f.DurationVar(&w.time, "time", 0, "most time to take for a setup, like 5s or 500ms; 0 is as long as it needs")
	f.Uint64Var(&w.seed, "seed", 1, "seed: the same seed gives the same numbers")
}

func flagSetup(f *pflag.FlagSet, setup *string) {
	f.StringVar(setup, "setup", "", "name of one setup; all when absent")
}

func flagJSON(f *pflag.FlagSet, json *bool) {
	f.BoolVar(json, "json", false, "print JSON (shapes: docs/json.md)")
}

func flagForce(f *pflag.FlagSet, force *bool) {
	f.BoolVar(force, "force", false, "write over a file even where it is a shoot")
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

// step says how far a computation is.
type step = func(done, of int)

// one computes the answer of one setup: within --time, with progress on a terminal and the messages
// on standard error. An answer of nil without an error means that the messages hold an error.
func one[T any](ctx context.Context, e *env, w *work, doing, setup string,
	compute func(ctx context.Context, step step) (*T, diag.List, error)) (*T, error) {
	lim, stop := context.WithCancel(ctx)
	if w.time > 0 {
		lim, stop = context.WithTimeout(ctx, w.time)
	}
	defer stop()
	p := e.progress(doing + " " + setup)
	t, list, err := compute(lim, p.step)
	p.end()
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	e.warn(list)
	switch {
	case t != nil:
		return t, nil
	case errors.Is(err, trace.ErrStopped), errors.Is(err, context.DeadlineExceeded):
		return nil, badInput(fmt.Errorf("--time %v is too short for %s; give it more", w.time, setup))
	case err != nil:
		return nil, badInput(err)
	}
	return nil, &exitError{code: exitInput}
}

// each computes the answer of every setup that --setup chooses, in the file's order, and shows each
// as soon as it is there: the answer first, then the messages.
func each[T any](ctx context.Context, e *env, w *work, job *answer.Job, doing string,
	compute func(ctx context.Context, setup int, step step) (*T, diag.List, error),
	show func(n int, t *T) error) error {
	setups, err := job.Setups(w.setup)
	if err != nil {
		return badInput(err)
	}
	for n, i := range setups {
		var after diag.List
		t, err := one(ctx, e, w, doing, job.File.Setups[i].Name,
			func(ctx context.Context, step step) (*T, diag.List, error) {
				t, list, err := compute(ctx, i, step)
				if t != nil {
					after, list = list, nil
				}
				return t, list, err
			})
		if err != nil {
			return err
		}
		if err := show(n, t); err != nil {
			return err
		}
		if fresh := e.unsaid(after); len(fresh) > 0 {
			if e.screen != nil {
				fmt.Fprintln(e.err)
			}
			e.messages(e.err, fresh)
		}
	}
	return nil
}

// between parts the text of one setup from that of the one before.
func (e *env) between(n int) {
	if n > 0 {
		fmt.Fprintln(e.out)
	}
}
