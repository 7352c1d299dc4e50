// Command halfstop plans and predicts the light of portraits on location.
//
// Exit codes: 0 ok, 1 findings, 2 bad input, 3 internal fault.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime/debug"

	"github.com/spf13/cobra"
)

func main() { os.Exit(run()) }

// run executes the command line of this process.
func run() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	return execute(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
}

// Exit codes.
const (
	exitOK       = 0
	exitFindings = 1
	exitInput    = 2
	exitInternal = 3
)

// exitError carries an exit code; text is printed when it is not empty.
type exitError struct {
	code int
	err  error
}

func (e *exitError) Error() string {
	if e.err == nil {
		return ""
	}
	return e.err.Error()
}
func (e *exitError) Unwrap() error { return e.err }

// badInput marks an error as the person's to mend.
func badInput(err error) error {
	if err == nil {
		return nil
	}
	return &exitError{exitInput, err}
}

// execute runs one command line and returns the exit code.
func execute(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) (code int) {
	e := &env{in: in, out: out, err: errs}
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(errs, "halfstop: internal fault: %v\n%s\nThis is a mistake in halfstop, not in your file. Nothing was written.\n", r, debug.Stack())
			code = exitInternal
		}
	}()
	root := newRoot(e)
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(out)
	root.SetErr(errs)
	err := root.ExecuteContext(ctx)
	if err == nil {
		return exitOK
	}
	var x *exitError
	if errors.As(err, &x) {
		if x.err != nil {
			fmt.Fprintf(errs, "halfstop: %v\n", x.err)
		}
		return x.code
	}
	if errors.Is(err, context.Canceled) {
		fmt.Fprintln(errs, "halfstop: stopped; nothing was written")
		return exitInternal
	}
	// Unknown commands and flags come from the command library.
	fmt.Fprintf(errs, "halfstop: %v\n", err)
	return exitInput
}

func newRoot(e *env) *cobra.Command {
	root := &cobra.Command{
		Use:   "halfstop",
		Short: "plan and predict the light of portraits on location",
		Long: `halfstop simulates the light of a real place, predicts what a hand-held meter and the camera will read, and draws plans to
build from. SHOOT is a shoot file, a folder with shoot.yaml in it, or - for standard input; without it the built-in
demonstration is used.

Exit codes: 0 ok, 1 findings (the plan does not work as written), 2 bad input, 3 internal fault.`,
		SilenceUsage: true, SilenceErrors: true, Version: version(),
	}
	root.SetVersionTemplate("halfstop {{.Version}}\n")
	root.AddCommand(openCommand(e), meterCommand(e), frameCommand(e), planCommand(e), balanceCommand(e), waysCommand(e), matchCommand(e), checkCommand(e), kitCommand(e))
	return root
}

// version is what the build knows of itself.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	if v == "" || v == "(devel)" {
		v = "development"
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			v += " " + s.Value[:12]
		}
	}
	return v
}
