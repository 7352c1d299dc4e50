package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/ownkit"
	"halfstop/internal/store"
	"halfstop/kit"
	"halfstop/shoot"
)

func learnCommand(e *env) *cobra.Command {
	return command(e, words{use: "learn [SHOOT]", most: 1,
		short: "what the readings of the day teach of kit and place",
		long: `learn holds the readings in the log of the day (halfstop log add) against their predictions and says
by how many stops heads, modifiers, grids, gels, the room and the house's lights differ from their figures, and
how sure that is. A reading that does not fit is questioned, with likely causes, and left out. The last line
says which reading would teach most.

--write keeps the lessons in kit/learned.yaml beside the shoot: all predictions use them from then on. Copy the file to
another shoot to take them along; delete a lesson there, or log undo the reading and learn again, to take it back.`},
		&learnOptions{})
}

type learnOptions struct {
	write, json bool
	seed        uint64
}

func (o *learnOptions) flags(f *pflag.FlagSet) {
	f.BoolVar(&o.write, "write", false, "keep the lessons in kit/learned.yaml")
	f.Uint64Var(&o.seed, "seed", 1, "seed: the same seed gives the same numbers")
	flagJSON(f, &o.json)
}

func (o *learnOptions) run(ctx context.Context, e *env, args []string) error {
	path, file, err := logOf(args)
	if err != nil {
		return badInput(err)
	}
	if file == "" {
		return badInput(errors.New("say which shoot: its file or folder"))
	}
	job, err := e.shoot([]string{file})
	if err != nil {
		return err
	}
	reads, err := readsOf(ctx, path)
	if err != nil {
		return badInput(err)
	}
	p := e.progress("learning")
	l, err := job.Learn(ctx, reads, answer.LearnWork{Seed: o.seed, Progress: p.step})
	p.end()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return badInput(err)
	}
	if o.json {
		err = e.json(l)
	} else {
		o.print(e, l)
	}
	if err != nil || !o.write {
		return err
	}
	return o.keep(e, filepath.Dir(file), job.File.Here(), l.Lessons)
}

// readsOf takes the readings that stand out of the log.
func readsOf(ctx context.Context, path string) ([]answer.Read, error) {
	if _, err := os.Stat(path); errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	l, err := daylog.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	list, err := l.List(ctx, daylog.Filter{})
	reads, _ := ownkit.Reads(list)
	return reads, err
}

func (o *learnOptions) print(e *env, l *answer.Learned) {
	if l.Read == 0 {
		fmt.Fprintln(e.out, "Nothing has been read yet: halfstop log add POINT f/5.6.3 --setup NAME, "+
			"with --alone LIGHT where one light was on.")
	} else {
		readings := "1 reading"
		if l.Read > 1 {
			readings = fmt.Sprintf("%d readings", l.Read)
		}
		fmt.Fprintf(e.out, "%s: predictions are known to ± %.2f st, ± %.2f st before.\n", readings, l.After, l.Before)
	}
	if len(l.Factors) > 0 {
		t := table{head: []string{"", "against its figures", "±", "± before"}}
		for _, f := range l.Factors {
			t.row(f.Name, signed(f.Stops, 2)+" st", fmt.Sprintf("%.2f st", f.SD), fmt.Sprintf("%.2f st", f.Prior))
		}
		fmt.Fprintln(e.out)
		e.table(&t)
	}
	for _, d := range l.Doubts {
		fmt.Fprintf(e.out, "\n%s does not fit: %s st against all else that is known. It is left out.\n", d.Words,
			signed(d.Off, 1))
		for _, c := range d.Causes {
			fmt.Fprintf(e.out, "  %s (%s st), %.0f in 100\n", c.Words, signed(c.Stops, 1), 100*c.Share)
		}
	}
	for _, u := range l.Unused {
		fmt.Fprintf(e.out, "\nNot used: %s.\n", u)
	}
	if l.Next != "" {
		fmt.Fprintf(e.out, "\nRead next: %s. It would bring ± %.2f st to ± %.2f st.\n", l.Next, l.After,
			math.Max(0, l.After-l.NextGain))
	}
}

// keep writes the lessons of this shoot beside it, with those from elsewhere that stand in the
// same file.
func (o *learnOptions) keep(e *env, dir, place string, lessons []kit.Lesson) error {
	if len(lessons) == 0 {
		fmt.Fprintln(e.out, "There is nothing to keep.")
		return nil
	}
	files, err := store.Kits(dir)
	if err != nil {
		return badInput(err)
	}
	changes, err := ownkit.Keep(files, place, lessons)
	if err == nil {
		err = ownkit.Write(dir, changes)
	}
	if err != nil {
		return badInput(err)
	}
	fmt.Fprintf(e.out, "\n%s: %d lessons\n", filepath.Join(dir, "kit", ownkit.LearnedInto), len(lessons))
	if shoot.Untitled(place) {
		fmt.Fprintln(e.out, "The shoot has no title: what they say of its surfaces and of the lights of the "+
			"house holds for this room as it is drawn now, and nowhere else. "+
			"Give it a title to keep that as the room changes.")
	}
	return nil
}
