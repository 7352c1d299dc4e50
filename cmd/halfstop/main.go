// Command halfstop plans and predicts the light of portraits on location.
//
// Exit codes: 0 ok, 1 findings, 2 bad input or output that cannot be written, 3 internal fault, 130
// stopped.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"

	"github.com/spf13/cobra"

	"halfstop/shoot"
)

func main() { os.Exit(run()) }

// Exit codes.
const (
	exitOK       = 0
	exitFindings = 1
	exitInput    = 2
	exitInternal = 3
	exitStopped  = 130 // 128 + SIGINT, as shells count; SIGTERM and SIGHUP end in the same way
	exitPipe     = 141 // 128 + SIGPIPE: the reader of a pipe has gone
)

// exitError carries an exit code; err is printed unless it is nil.
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

// badInput marks an error as the person's to mend; nil stays nil.
func badInput(err error) error {
	if err == nil {
		return nil
	}
	return &exitError{exitInput, err}
}

// execute runs one command line and returns the exit code.
func execute(ctx context.Context, args []string, in io.Reader, out, errs io.Writer) (code int) {
	e := newEnv(in, out, errs)
	defer func() {
		if r := recover(); r != nil {
			fmt.Fprintf(e.err, "halfstop: internal fault: %v\n%s\n"+
				"This is a mistake in halfstop, not in your file. What holds: %s.\n", r, debug.Stack(), whatHolds())
			code = exitInternal
		}
	}()
	root := newRoot(e)
	root.SetArgs(args)
	root.SetIn(in)
	root.SetOut(e.out)
	root.SetErr(e.err)
	err := root.ExecuteContext(ctx)
	if failed := e.raw.err; failed != nil && !errors.Is(err, context.Canceled) {
		if brokenPipe(failed) {
			return exitPipe
		}
		fmt.Fprintf(e.err, "halfstop: standard output cannot be written: %v\n", reason(failed))
		return exitInput
	}
	return e.exitCode(err)
}

// exitCode prints the error that a command ended with, and says with what code the program ends.
func (e *env) exitCode(err error) int {
	var x *exitError
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, context.Canceled):
		fmt.Fprintf(e.err, "halfstop: stopped; %s\n", whatHolds())
		return exitStopped
	case errors.As(err, &x):
		if x.err != nil {
			fmt.Fprint(e.err, wrap("halfstop: "+x.err.Error(), e.columns, 2))
		}
		return x.code
	}
	// Unknown commands and flags come from the command library.
	fmt.Fprintf(e.err, "halfstop: %v\n", err)
	return exitInput
}

func newRoot(e *env) *cobra.Command {
	root := &cobra.Command{
		Use:   "halfstop",
		Short: "plan and predict the light of portraits on location",
		Long: `halfstop simulates the light of a real place, predicts what a hand-held meter and the camera will
read, and draws plans to build from. SHOOT is a shoot file, a folder with shoot.yaml in it, or -
for standard input; without it the built-in demonstration is used.

To begin: 'halfstop new NAME' asks for room, sitter, camera and one key and writes a shoot, 'halfstop
meter NAME' predicts it, 'halfstop open NAME' shows it in the browser.

Exit codes: 0 ok, 1 findings (the plan does not work as written), 2 bad input or output that
cannot be written, 3 internal fault, 130 stopped by Ctrl-C.`,
		SilenceUsage: true, SilenceErrors: true, Version: version(),
	}
	root.PersistentFlags().StringVar(&e.at, "at", "",
		"answer for this time of day, hh:mm, instead of each setup's own; daylight goes with it")
	root.SetVersionTemplate(fmt.Sprintf("halfstop {{.Version}}, shoot format %d\n", shoot.Current))
	// One a line, so that two hands may add a command at once.
	for _, command := range []func(*env) *cobra.Command{
		newCommand,
		openCommand,
		meterCommand,
		frameCommand,
		planCommand,
		balanceCommand,
		waysCommand,
		matchCommand,
		sunCommand,
		checkCommand,
		kitCommand,
		dayCommand,
		logCommand,
		recordCommand,
		relightCommand,
		compareCommand,
		findCommand,
		breakdownCommand,
		exportCommand,
		learnCommand,
		packCommand,
		sheetsCommand,
		scanCommand,
		scoutCommand,
		sendCommand,
		manCommand,
	} {
		root.AddCommand(command(e))
	}
	return root
}

// version is what the build knows of itself: the module's version and the commit.
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
