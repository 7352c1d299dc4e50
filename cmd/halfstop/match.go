package main

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/ways"
)

func matchCommand(e *env) *cobra.Command {
	return command(e, words{use: "match COLOUR [SHOOT]", least: 1, most: 2, short: "make a light colour with the kit",
		long: `match says how to make a light colour with the heads of the shoot: the drives of a head that
mixes, or a stack of at most two gels on one that does not. COLOUR is a light of the shoot
(practicals.sign, key), 'x=0.31 y=0.33', "u'=0.20 v'=0.47", '5600 K', '5600 K +0.003 Duv',
'#c08040', the name of a lamp, or a spectrum file (TM-27 .spdx, CGATS .sp).

For each: how far it is off, how it differs on skin and on a white wall (equal chromaticity is not
equal rendering), and the stops lost.`}, &matchOptions{})
}

type matchOptions struct {
	setup     string
	json, all bool
}

// seenBy says a difference of two colours beside each other, ΔE2000, in words: under 1 nobody sees
// it, from 2 on at a glance, from 5 on without looking for it (common practice, no source).
func seenBy(d float64) string {
	switch {
	case d < 1:
		return "same"
	case d < 2:
		return "hardly seen"
	case d < 5:
		return "seen"
	}
	return "plainly seen"
}

func (o *matchOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.setup, "setup", "", "name of the setup whose lights are meant; the first when absent")
	flagJSON(f, &o.json)
	f.BoolVar(&o.all, "all", false, "all heads of the generic catalogue, not only those of the shoot")
}

func (o *matchOptions) run(ctx context.Context, e *env, args []string) error {
	job, setups, err := e.chosen(args[1:], o.setup)
	if err != nil {
		return err
	}
	w := ways.MatchWork{Setup: setups[0], AllKit: o.all}
	switch strings.ToLower(filepath.Ext(args[0])) {
	case ".spdx", ".sp", ".xml", ".txt", ".cgats":
		info, err := os.Stat(args[0])
		if err != nil {
			return badInput(fmt.Errorf("%s: there is no such file", args[0]))
		}
		if info.IsDir() || info.Size() > mostFile {
			return badInput(fmt.Errorf("%s: this is no spectrum file", args[0]))
		}
		if w.File, err = os.ReadFile(args[0]); err != nil {
			return badInput(fmt.Errorf("%s: the file cannot be read", args[0]))
		}
	}
	m, err := job.Shoot().Match(ctx, args[0], w)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return badInput(err)
	}
	if o.json {
		return e.json(m.JSON())
	}
	fmt.Fprintf(e.out, "%s   xy %.4f, %.4f", m.Asked, m.XY.X, m.XY.Y)
	if m.Kelvin > 0 {
		fmt.Fprintf(e.out, " · %.0f K, Duv %s", m.Kelvin, signed(m.Duv, 4))
	}
	fmt.Fprint(e.out, "\n\n")
	t := table{head: []string{"head", "colour", "skin", "white", "lost", "set or put on"}}
	// Heads with the same lamp need the same: one line for them.
	var rows []string
	heads := map[string][]string{}
	for _, x := range m.Ways {
		var parts []string
		for _, d := range x.Drives {
			parts = append(parts, fmt.Sprintf("%s %.1f %%", d.Name, d.Share*100))
		}
		parts = append(parts, x.Gels...)
		if len(parts) == 0 {
			parts = []string{"nothing"}
		}
		if !x.InGamut && x.Nearest != "" {
			parts = append(parts, "which is as near as it comes")
		}
		row := strings.Join([]string{strings.TrimSuffix(strings.TrimPrefix(ways.ColourFar(x.DeltaUV), "the "),
			" to the eye"), seenBy(x.Skin), seenBy(x.Wall),
			fmt.Sprintf("%.1f st", math.Abs(math.Round(float64(x.Loss)*10)/10)), strings.Join(parts, ", ")}, "\t")
		if len(heads[row]) == 0 {
			rows = append(rows, row)
		}
		heads[row] = append(heads[row], x.Head)
	}
	for _, row := range rows {
		t.row(append([]string{strings.Join(heads[row], ", ")}, strings.Split(row, "\t")...)...)
	}
	e.table(&t)
	for _, n := range m.Notes {
		fmt.Fprintln(e.out, "note: "+n)
	}
	return nil
}
