package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
)

func checkCommand(e *env) *cobra.Command {
	return command(e, words{use: "check [SHOOT]", most: 1, short: "mistakes of the file, the geometry and the kit",
		long: `check reads the shoot and says what cannot stand as written: mistakes of the file, lights in
walls, modifiers through the ceiling, stands in the frame, in furniture or under too much weight, heads asked for
more than they have, surfaces that would make light, a face far off the camera's setting, an inverted ratio.

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

func (o *checkOptions) run(ctx context.Context, e *env, args []string) error {
	list, assumed, err := o.messages(ctx, e, args)
	if err != nil {
		return err
	}
	if o.json {
		err = e.json(checked{1, append(diag.List{}, list...)})
	} else {
		e.line(0, found(list))
		e.messages(e.out, list)
		printAssumed(e, assumed)
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

// messages are what is found of a shoot, each once, in the order of the file, and what it leaves
// open.
func (o *checkOptions) messages(ctx context.Context, e *env, args []string) (diag.List, []answer.Assumption, error) {
	quiet := newEnv(e.in, io.Discard, io.Discard)
	job, list, err := quiet.load(args)
	if job == nil {
		return nil, nil, err
	}
	var assumed []answer.Assumption
	if err == nil {
		setups, err := job.Setups(o.setup)
		if err != nil {
			return nil, nil, badInput(err)
		}
		for _, i := range setups {
			// A quick reading: a tenth of a stop tells a face that is far off from one that is not.
			m, l, err := job.Meter(ctx, i, meter.Work{Seed: 1, Error: 0.1, Samples: 4096})
			if err != nil {
				return nil, nil, err
			}
			list = append(list, l...)
			if m != nil {
				assumed = append(assumed, m.Assumed()...)
				list = append(append(list, m.Judge()...), job.Cautions(m.Stage)...)
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
	return list, answer.MostOf(assumed), nil
}
