package main

import (
	"fmt"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"halfstop/kit"
)

func kitCommand(e *env) *cobra.Command {
	c := &cobra.Command{Use: "kit", Short: "the kit at hand"}
	var asJSON bool
	list := &cobra.Command{
		Use:   "list [SHOOT]",
		Short: "heads, modifiers, grids, gels, panels and stands: the generic catalogue and the shoot's own",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			own := kit.Kit{}
			if len(args) > 0 {
				job, _, err := e.load(args)
				if err != nil {
					return err
				}
				own = job.File.Kit
			}
			k := kit.Merge(kit.Catalogue(), own)
			if asJSON {
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
		},
	}
	list.Flags().BoolVar(&asJSON, "json", false, "print JSON (shapes: docs/json.md)")
	c.AddCommand(list)
	return c
}
