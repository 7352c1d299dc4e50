package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/store"
	"halfstop/kit"
	q "halfstop/quantity"
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
	l, err := job.Learn(ctx, reads, o.seed)
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
	return o.keep(e, filepath.Dir(file), l.Lessons)
}

// readsOf takes the readings that stand out of the log, each with the dials that were logged
// before it.
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
	if err != nil {
		return nil, err
	}
	var out []answer.Read
	dials := map[string]map[string]string{}
	for i := range list {
		x := &list[i]
		if !x.Stands {
			continue
		}
		switch {
		case x.Kind == daylog.Dial:
			if dials[x.Setup] == nil {
				dials[x.Setup] = map[string]string{}
			}
			dials[x.Setup][x.Subject] = x.Text
		case x.Kind == daylog.Reading && x.Unit == "f" && x.Value != nil:
			r := answer.Read{Setup: x.Setup, Point: x.Subject, FNumber: q.FNumber(*x.Value),
				Date: x.At.Format("2006-01-02"),
				Words: fmt.Sprintf("no. %d, %s at %s", x.Seq, answer.FText(q.FNumber(*x.Value)),
					x.Subject), Dials: map[string]string{}}
			var detail struct {
				Alone string `json:"alone"`
			}
			if json.Unmarshal(x.Detail, &detail) == nil && detail.Alone != "" {
				r.Alone = detail.Alone
				r.Words += ", " + r.Alone + " alone"
			}
			for light, d := range dials[x.Setup] {
				r.Dials[light] = d
			}
			out = append(out, r)
		}
	}
	return out, nil
}

func (o *learnOptions) print(e *env, l *answer.Learned) {
	if l.Read == 0 {
		fmt.Fprintln(e.out, "Nothing has been read yet: halfstop log add POINT f/5.6.3 --setup NAME, "+
			"with --alone LIGHT where one light was on.")
	} else {
		fmt.Fprintf(e.out, "%d readings: predictions are known to ± %.2f st, ± %.2f st before.\n", l.Read,
			l.After, l.Before)
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
		fmt.Fprintf(e.out, "\n%s does not fit: %s st against all the others. It is left out.\n", d.Words,
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
func (o *learnOptions) keep(e *env, dir string, lessons []kit.Lesson) error {
	path := filepath.Join(dir, "kit", "learned.yaml")
	var b strings.Builder
	b.WriteString("# What readings have taught; written by 'halfstop learn --write'. " +
		"Take a lesson back by deleting it.\nlessons:\n")
	if old, err := os.ReadFile(path); err == nil {
		k, list := kit.Decode(path, old)
		if err := list.Err(); err != nil {
			return badInput(err)
		}
		for _, l := range k.Lessons {
			if len(lessons) == 0 || l.Place != lessons[0].Place {
				lessons = append(lessons, l)
			}
		}
	}
	for i := range lessons {
		writeLesson(&b, &lessons[i])
	}
	if len(lessons) == 0 {
		fmt.Fprintln(e.out, "There is nothing to keep.")
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return badInput(err)
	}
	if err := store.WriteFile(path, []byte(b.String())); err != nil {
		return badInput(err)
	}
	fmt.Fprintf(e.out, "\n%s: %d lessons\n", path, len(lessons))
	return nil
}

func writeLesson(b *strings.Builder, l *kit.Lesson) {
	fmt.Fprintf(b, "  - {date: %s, place: %s, words: %s, off: %s, noise: %s,\n     parts: [",
		strconv.Quote(l.Date), strconv.Quote(l.Place),
		strconv.Quote(l.Words), quoted(l.Off), quoted(l.Noise))
	for i, p := range l.Parts {
		if i > 0 {
			b.WriteString(",\n       ")
		}
		fmt.Fprintf(b, "{share: %.4f, bounced: %.3f", float64(p.Share), float64(p.Bounced))
		for _, f := range [][2]string{{"head", p.Head}, {"modifier", p.Modifier}, {"grid", p.Grid},
			{"house", p.House}} {
			if f[1] != "" {
				fmt.Fprintf(b, ", %s: %s", f[0], strconv.Quote(f[1]))
			}
		}
		for n, g := range p.Gel {
			if n == 0 {
				b.WriteString(", gel: [")
			} else {
				b.WriteString(", ")
			}
			b.WriteString(strconv.Quote(g))
			if n == len(p.Gel)-1 {
				b.WriteString("]")
			}
		}
		b.WriteString("}")
	}
	b.WriteString("]}\n")
}

// quoted writes stops to a thousandth.
func quoted(s q.Stops) string {
	return strconv.Quote(q.Stops(math.Round(float64(s)*1000) / 1000).String())
}
