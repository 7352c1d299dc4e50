package main

import (
	"context"
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/kit"
)

func kitCommand(e *env) *cobra.Command {
	c := &cobra.Command{Use: "kit", Short: "the kit at hand"}
	c.AddCommand(command(e, words{use: "list [SHOOT]", most: 1,
		short: "heads, modifiers, grids, gels, panels and stands: the generic catalogue and the shoot's own"},
		&kitListOptions{}))
	return c
}

type kitListOptions struct{ json bool }

func (o *kitListOptions) flags(f *pflag.FlagSet) { flagJSON(f, &o.json) }

func (o *kitListOptions) run(_ context.Context, e *env, args []string) error {
	own := kit.Kit{}
	if len(args) > 0 {
		job, _, err := e.load(args)
		if err != nil {
			return err
		}
		own = job.File.Kit
	}
	k := kit.Merge(kit.Catalogue(), own)
	if o.json {
		return e.json(k)
	}
	t := tabwriter.NewWriter(e.out, 2, 8, 2, ' ', 0)
	for _, h := range k.Heads {
		fmt.Fprintf(t, "head\t%s\t%s\t%s\n", h.Name, h.Kind, h.Source)
	}
	for _, m := range k.Modifiers {
		fmt.Fprintf(t, "modifier\t%s\t%s\t%s\n", m.Name, m.Kind, m.Source)
	}
	for _, g := range k.Grids {
		fmt.Fprintf(t, "grid\t%s\t%s\t%s\n", g.Name, g.Kind, g.Source)
	}
	for _, g := range k.GelNames() {
		fmt.Fprintf(t, "gel\t%s\t\t\n", g)
	}
	for _, p := range k.Panels {
		fmt.Fprintf(t, "panel\t%s\t%s\t%s\n", p.Name, p.Kind, p.Source)
	}
	for _, s := range k.Stands {
		fmt.Fprintf(t, "stand\t%s\t%s\t%s\n", s.Name, s.Kind, s.Source)
	}
	return t.Flush()
}
