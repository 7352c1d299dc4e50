package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/diag"
	"halfstop/figure"
)

func checkCommand(e *env) *cobra.Command {
	return command(e, words{use: "check [SHOOT]", most: 1, short: "mistakes of the file, the geometry and the kit",
		long: `check reads the shoot and says what cannot stand as written: mistakes of the file, lights in
walls, modifiers through the ceiling, stands in the frame, heads asked for more than they have,
surfaces that would make light.

Exit code 0: nothing found; 1: findings; 2: the file cannot be used.`}, &checkOptions{})
}

type checkOptions struct {
	setup string
	json  bool
}

func (o *checkOptions) flags(f *pflag.FlagSet) {
	flagSetup(f, &o.setup)
	flagJSON(f, &o.json)
}

// checked is what `check --json` prints.
type checked struct {
	Version  int       `json:"version"`
	Messages diag.List `json:"messages"`
}

func (o *checkOptions) run(_ context.Context, e *env, args []string) error {
	list, err := o.messages(e, args)
	if err != nil {
		return err
	}
	if o.json {
		err = e.json(checked{1, append(diag.List{}, list...)})
	} else {
		e.line(0, found(list))
		e.messages(e.out, list)
	}
	if code := list.ExitCode(); err == nil && code != exitOK {
		err = &exitError{code: code}
	}
	return err
}

// found says in one line how many messages of each kind there are.
func found(list diag.List) string {
	if len(list) == 0 {
		return "nothing found"
	}
	var parts []string
	for _, k := range []struct {
		severity diag.Severity
		many     string
	}{{diag.Error, "errors: the file cannot be used"}, {diag.Finding, "findings: it does not work as written"},
		{diag.Caution, "cautions"}, {diag.Note, "notes"}} {
		n := 0
		for _, m := range list {
			if m.Severity == k.severity {
				n++
			}
		}
		if n > 0 {
			word, rest, _ := strings.Cut(k.many, ":")
			if n == 1 {
				word = strings.TrimSuffix(word, "s")
			}
			if rest != "" {
				word += ":" + rest
			}
			parts = append(parts, fmt.Sprintf("%d %s", n, word))
		}
	}
	return strings.Join(parts, "; ")
}

// messages are what is found of a shoot, each once, in the order of the file.
func (o *checkOptions) messages(e *env, args []string) (diag.List, error) {
	quiet := newEnv(e.in, io.Discard, io.Discard)
	job, list, err := quiet.load(args)
	if job == nil {
		return nil, err
	}
	if err == nil {
		setups, err := job.Setups(o.setup)
		if err != nil {
			return nil, badInput(err)
		}
		for _, i := range setups {
			s, l := job.Stage(i, figure.Shadow)
			list = append(list, l...)
			if s != nil {
				list = append(list, job.Cautions(s)...)
			}
		}
	}
	if err == nil {
		if o.setup == "" {
			list = append(list, job.DayChecks()...)
		}
		list = job.Accept(list)
	}
	list = quiet.unsaid(list)
	list.Sort()
	return list, nil
}
