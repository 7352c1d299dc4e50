package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"halfstop/diag"
	"halfstop/figure"
)

func checkCommand(e *env) *cobra.Command {
	var w work
	c := &cobra.Command{
		Use:   "check [SHOOT]",
		Short: "mistakes of the file, the geometry and the kit",
		Long: `check reads the shoot and says what cannot stand as written: mistakes of the file, lights in walls, modifiers through the
ceiling, stands in the frame, heads asked for more than they have, surfaces that would make light.

Exit code 0: nothing found; 1: findings; 2: the file cannot be used.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return e.check(&w, args) },
	}
	c.Flags().StringVar(&w.setup, "setup", "", "name of one setup; all when absent")
	c.Flags().BoolVar(&w.json, "json", false, "print JSON (shapes: docs/json.md)")
	return c
}

// checked is what `check --json` prints.
type checked struct {
	Version  int       `json:"version"`
	Messages diag.List `json:"messages"`
}

func (e *env) check(w *work, args []string) error {
	quiet := &env{in: e.in, out: e.out, err: discard{}}
	job, list, err := quiet.load(args)
	if job == nil {
		return err
	}
	if err == nil {
		setups, err := job.Setups(w.setup)
		if err != nil {
			return badInput(err)
		}
		for _, i := range setups {
			s, l := job.Stage(i, figure.Shadow)
			list = append(list, l...)
			if s != nil {
				list = append(list, job.Cautions(s)...)
			}
		}
		list = unique(list)
		list.Sort()
	}
	if w.json {
		if list == nil {
			list = diag.List{}
		}
		if err := e.json(checked{1, list}); err != nil {
			return err
		}
	} else {
		fmt.Fprint(e.out, list.Text())
		if len(list) == 0 {
			fmt.Fprintln(e.out, "nothing found")
		}
	}
	if code := list.ExitCode(); code != exitOK {
		return &exitError{code: code}
	}
	return nil
}

// unique drops messages that say the same of the same place, such as a wall's in every setup.
func unique(l diag.List) diag.List {
	seen := map[string]bool{}
	out := l[:0]
	for _, m := range l {
		k := fmt.Sprint(m.Code, m.Pos, m.Text)
		if !seen[k] {
			seen[k] = true
			out = append(out, m)
		}
	}
	return out
}

type discard struct{}

func (discard) Write(b []byte) (int, error) { return len(b), nil }
