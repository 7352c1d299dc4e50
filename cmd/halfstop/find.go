package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/internal/library"
)

type findOptions struct {
	in, like    string
	most        int
	stale, json bool
}

func findCommand(e *env) *cobra.Command {
	return command(e, words{use: "find [WORDS]", most: 1, short: "find setups in a folder of shoots and records",
		long: `find looks through all shoots and records below a folder: words of names, lights, kit, place and look,
numbers of lights, and bounds on ceiling, area, ratio, lens, level, time:

  halfstop find 'low key one light ceiling < 2.4 m red practical' --in shoots

What holds in all comes first, best first; else the nearest, each with what it lacks. --like FILE
finds what looks most like a setup, by ratio, level and pattern. The index is kept with this
machine's caches and brought up to date first; the folders are only read.`}, &findOptions{})
}

func (o *findOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.in, "in", ".", "folder to look through, with all that is below it")
	f.StringVar(&o.like, "like", "", "a shoot or record below the folder: find what looks like it, not words")
	f.IntVar(&o.most, "most", 20, "setups to show at most")
	f.BoolVar(&o.stale, "as-indexed", false, "search the index as it is, without looking for changes")
	flagJSON(f, &o.json)
}

func (o *findOptions) run(ctx context.Context, e *env, args []string) error {
	if len(args) == 0 && o.like == "" {
		return badInput(errors.New("say what to find: halfstop find 'two lights split', or --like FILE"))
	}
	if o.most < 1 || o.most > 1000 {
		return badInput(fmt.Errorf("--most %d: give 1 to 1000", o.most))
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = os.TempDir()
	}
	l, err := library.Open(ctx, o.in, filepath.Join(cache, "halfstop"))
	if err != nil {
		return badInput(err)
	}
	defer l.Close()
	if !o.stale {
		p := e.progress("reading " + o.in)
		fresh, err := l.Refresh(ctx, p.step)
		p.end()
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			return badInput(err)
		}
		for _, s := range fresh.Skipped {
			fmt.Fprintln(e.err, s)
		}
	}
	var found *library.Found
	if o.like != "" {
		found, err = o.near(ctx, l)
	} else {
		found, err = l.Search(ctx, args[0], o.most)
	}
	if err != nil {
		return badInput(err)
	}
	if o.json {
		return e.json(found)
	}
	o.print(e, found)
	if len(found.Hits) == 0 {
		return &exitError{code: exitFindings}
	}
	return nil
}

// near finds what looks like --like.
func (o *findOptions) near(ctx context.Context, l *library.Library) (*library.Found, error) {
	file, err := filepath.Abs(o.like)
	if err != nil {
		return nil, err
	}
	root, err := filepath.Abs(o.in)
	if err != nil {
		return nil, err
	}
	rel, err := filepath.Rel(root, file)
	if err != nil {
		return nil, err
	}
	rel = filepath.ToSlash(rel)
	var like *library.Facts
	for _, name := range []string{rel, rel + "/record.yaml", rel + "/shoot.yaml"} {
		if like, err = l.Find(ctx, name, ""); err == nil {
			break
		}
	}
	if err != nil {
		return nil, fmt.Errorf("--like %s: there is no setup of it below %s", o.like, o.in)
	}
	hits, err := l.Near(ctx, like, o.most)
	return &library.Found{Version: 1, Said: []string{"like " + like.Setup}, Hits: hits, All: len(hits)}, err
}

func (o *findOptions) print(e *env, f *library.Found) {
	if f.Exact == 0 && o.like == "" && len(f.Hits) > 0 {
		fmt.Fprintf(e.out, "Nothing has all of it (%s); the nearest of %d:\n", strings.Join(f.Said, ", "), f.All)
	}
	t := table{head: []string{"setup", "lights", "ratio", "pattern", "ceiling", "where", ""}}
	for i := range f.Hits {
		h := &f.Hits[i]
		x := &h.Facts
		ratio, ceiling, lacks := "", "", ""
		if x.Ratio > 0 {
			ratio = fmt.Sprintf("%.1f:1", x.Ratio)
		}
		if x.Ceiling > 0 {
			ceiling = fmt.Sprintf("%.2f m", x.Ceiling)
		}
		if len(h.Lacks) > 0 {
			lacks = "not: " + strings.Join(h.Lacks, ", ")
		}
		t.row(x.Setup, fmt.Sprint(x.Lights), ratio, x.Pattern, ceiling, h.File, lacks)
	}
	if len(f.Hits) > 0 {
		e.table(&t)
	} else {
		fmt.Fprintf(e.out, "nothing in %d setups\n", f.All)
	}
	var names []string
	for name := range f.Facets {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		var parts []string
		for _, b := range f.Facets[name] {
			parts = append(parts, fmt.Sprintf("%s (%d)", b.Value, b.Count))
		}
		fmt.Fprint(e.out, wrap(name+": "+strings.Join(parts, ", "), e.columns, 2))
	}
}
