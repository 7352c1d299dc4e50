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
	// Heads with the same lamp need the same: one table for them.
	var names []string
	rows := map[string][][]string{}
	for _, x := range m.Ways {
		if rows[x.Head] == nil {
			names = append(names, x.Head)
		}
		rows[x.Head] = append(rows[x.Head], matchRow(&x))
	}
	same := map[string][]string{}
	for _, n := range names {
		key := fmt.Sprint(rows[n])
		same[key] = append(same[key], n)
	}
	for _, n := range names {
		heads := same[fmt.Sprint(rows[n])]
		if heads[0] != n {
			continue
		}
		e.line(2, strings.Join(heads, ", "))
		e.table(&table{head: []string{"  colour", "skin", "white", "lost", "set or put on"}, rows: rows[n]})
		fmt.Fprintln(e.out)
	}
	for _, n := range m.Notes {
		e.line(2, "note: "+n)
	}
	return nil
}

// matchRow is one way to make a colour, in the columns of its table.
func matchRow(x *ways.MatchWay) []string {
	var parts []string
	for _, d := range x.Drives {
		if d.Share >= 0.0005 {
			parts = append(parts, fmt.Sprintf("%s %.3g %%", d.Name, d.Share*100))
		}
	}
	parts = append(parts, x.GelsSaid()...)
	if len(parts) == 0 {
		parts = []string{"nothing"}
	}
	if !x.InGamut && x.Nearest != "" {
		parts = append(parts, "which is as near as it comes")
	}
	return []string{"  " + strings.TrimSuffix(strings.TrimPrefix(ways.ColourFar(x.DeltaUV), "the "), " to the eye"),
		seenBy(x.Skin), seenBy(x.Wall), fmt.Sprintf("%.1f st", math.Abs(math.Round(float64(x.Loss)*10)/10)),
		strings.Join(parts, ", ")}
}
