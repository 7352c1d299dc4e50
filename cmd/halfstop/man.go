package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/internal/store"
)

// manCommand writes the manual pages; a release packs them. It is not listed.
func manCommand(e *env) *cobra.Command {
	o := &manOptions{}
	c := command(e, words{use: "man FOLDER", least: 1, most: 1, short: "write the manual pages"}, o)
	c.Hidden = true
	o.root = c.Root
	return c
}

type manOptions struct{ root func() *cobra.Command }

func (o *manOptions) flags(*pflag.FlagSet) {}

func (o *manOptions) run(_ context.Context, e *env, args []string) error {
	if err := os.MkdirAll(args[0], 0o755); err != nil {
		return badInput(err)
	}
	var walk func(c *cobra.Command) error
	walk = func(c *cobra.Command) error {
		name := strings.ReplaceAll(c.CommandPath(), " ", "-") + ".1"
		if err := store.WriteFile(filepath.Join(args[0], name), manPage(c)); err != nil {
			return badInput(err)
		}
		for _, sub := range c.Commands() {
			if sub.IsAvailableCommand() {
				if err := walk(sub); err != nil {
					return err
				}
			}
		}
		return nil
	}
	return walk(o.root())
}

// manPage is the manual page of a command, in the man macros of roff.
func manPage(c *cobra.Command) []byte {
	var b strings.Builder
	f := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	f(`.TH %q 1 "" "halfstop" "halfstop manual"`, strings.ToUpper(strings.ReplaceAll(c.CommandPath(), " ", "-")))
	f(".SH NAME\n%s \\- %s", roff(strings.ReplaceAll(c.CommandPath(), " ", "-")), roff(c.Short))
	f(".SH SYNOPSIS\n.B %s", roff(c.UseLine()))
	f(".SH DESCRIPTION")
	text := c.Long
	if text == "" {
		text = c.Short
	}
	for _, p := range strings.Split(text, "\n\n") {
		if strings.HasPrefix(p, "  ") {
			f(".PP\n.nf\n%s\n.fi", roff(p))
		} else {
			f(".PP\n%s", roff(p))
		}
	}
	if c.HasAvailableLocalFlags() {
		f(".SH OPTIONS")
		c.LocalFlags().VisitAll(func(x *pflag.Flag) {
			if x.Hidden {
				return
			}
			name, usage := "--"+x.Name, x.Usage
			if x.Shorthand != "" {
				name = "-" + x.Shorthand + ", " + name
			}
			if x.Value.Type() != "bool" && x.DefValue != "" && x.DefValue != "0" && x.DefValue != "0s" {
				usage += fmt.Sprintf(" (default %s)", x.DefValue)
			}
			f(".TP\n.B %s\n%s", roff(name), roff(usage))
		})
	}
	var also []string
	if c.HasParent() {
		also = append(also, c.Parent().CommandPath())
	}
	for _, sub := range c.Commands() {
		if sub.IsAvailableCommand() {
			also = append(also, sub.CommandPath())
		}
	}
	if len(also) > 0 {
		f(".SH SEE ALSO")
		for i, a := range also {
			sep := ","
			if i == len(also)-1 {
				sep = ""
			}
			f(".BR %s (1)%s", roff(strings.ReplaceAll(a, " ", "-")), sep)
		}
	}
	return []byte(b.String())
}

// roff writes text so that no character of it is a request.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(s)
	lines := strings.Split(s, "\n")
	for i, l := range lines {
		if strings.HasPrefix(l, ".") || strings.HasPrefix(l, "'") {
			lines[i] = `\&` + l
		}
	}
	return strings.Join(lines, "\n")
}
