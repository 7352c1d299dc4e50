package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/internal/daylog"
	"halfstop/internal/ownkit"
	"halfstop/internal/store"
	"halfstop/quantity"
	"halfstop/shoot"
)

func logCommand(e *env) *cobra.Command {
	c := command(e, words{use: "log [SHOOT]", most: 1, short: "the log of the day: readings, ticks, settings, notes",
		long: `log lists what was logged of a shoot, in the order in which it was. The log is the file day.db
beside the shoot; the shoot itself is never touched. Without SHOOT it is that of the folder one is
in.

Nothing is ever changed or deleted: a mistake is reversed (log undo) or replaced (log add
--replaces).`}, &logOptions{})
	for _, s := range []struct {
		words words
		entry func(args []string) (daylog.Entry, error)
	}{
		{words{use: "add POINT VALUE [SHOOT]", least: 2, most: 3, short: `log a reading: log add "key side" f/5.6.3`,
			long: `log add logs a reading of a point. VALUE is an f-number with tenths, as a meter shows it (f/5.6.3)
or as the shoot file has it (f/5.6 + 0.3), or another measure with its unit: 320 lx, 2.5 lx·s,
5600 K, 12 cd/m2.`}, logReading},
		{words{use: "begin TASK [SHOOT]", least: 1, most: 2, short: "log that a task is under way"},
			func(a []string) (daylog.Entry, error) { return daylog.Entry{Kind: daylog.Begun, Subject: a[0]}, nil }},
		{words{use: "tick TASK [SHOOT]", least: 1, most: 2, short: "log that a task is done"},
			func(a []string) (daylog.Entry, error) { return daylog.Entry{Kind: daylog.Tick, Subject: a[0]}, nil }},
		{words{use: "set LIGHT SETTING [SHOOT]", least: 2, most: 3,
			short: `log what a light was set to: log set key "1/8 + 0.3"`},
			func(a []string) (daylog.Entry, error) {
				return daylog.Entry{Kind: daylog.Dial, Subject: a[0], Text: a[1]}, nil
			}},
		{words{use: "note TEXT [SHOOT]", least: 1, most: 2, short: "log a note"},
			func(a []string) (daylog.Entry, error) { return daylog.Entry{Kind: daylog.Note, Text: a[0]}, nil }},
		{words{use: "late MINUTES [SHOOT]", least: 1, most: 2,
			short: "log how far behind the plan the day is; ahead: a number under 0"}, logLate},
		{words{use: "undo NUMBER [SHOOT]", least: 1, most: 2, short: "log that an entry does not hold"}, logUndo},
	} {
		c.AddCommand(command(e, s.words, &logAddOptions{entry: s.entry, own: s.words.least}))
	}
	return c
}

// logged is what `log --json` prints.
type logged struct {
	Version int            `json:"version"`
	Log     string         `json:"log"`
	Entries []daylog.Entry `json:"entries"`
}

type logOptions struct {
	json, csv, all, setAside bool
	setup                    string
}

func (o *logOptions) flags(f *pflag.FlagSet) {
	flagJSON(f, &o.json)
	f.BoolVar(&o.csv, "csv", false, "print CSV (columns: docs/log.md)")
	f.BoolVar(&o.all, "all", false, "also what was reversed, and the reversals")
	f.BoolVar(&o.setAside, "set-aside", false, "put a log that cannot be used aside under another name")
	flagSetup(f, &o.setup)
}

func (o *logOptions) run(ctx context.Context, e *env, args []string) error {
	path, _, err := logOf(args)
	if err != nil {
		return badInput(err)
	}
	if o.json && o.csv {
		return badInput(errors.New("--json and --csv: give one of them"))
	}
	list := []daylog.Entry{}
	if _, err := os.Lstat(path); err == nil { // looking at a log that is not there makes none
		l, err := daylog.Open(ctx, path)
		var bad *daylog.Unusable
		if errors.As(err, &bad) && o.setAside {
			to, err := daylog.SetAside(path)
			if err == nil {
				fmt.Fprintf(e.out, "%s stands as %s now; the next entry begins a new log\n", path, to)
			}
			return badInput(err)
		}
		if err != nil {
			return badInput(err)
		}
		defer l.Close()
		if list, err = l.List(ctx, daylog.Filter{Setup: o.setup, All: o.all}); err != nil {
			return badInput(err)
		}
	}
	switch {
	case o.setAside:
		return badInput(fmt.Errorf("%s: there is nothing to set aside", path))
	case o.json:
		return e.json(logged{1, path, list})
	case o.csv:
		return daylog.WriteCSV(e.out, list)
	case len(list) == 0:
		fmt.Fprintln(e.out, "nothing is logged")
		return nil
	}
	day := ""
	t := &table{head: []string{"no.", "time", "kind", "what"}}
	for _, x := range list {
		at := x.At.Local()
		if d := at.Format("Monday 2 January 2006"); d != day {
			e.logTable(day, t)
			day = d
		}
		t.row(strconv.FormatInt(x.Seq, 10), at.Format("15:04:05"), string(x.Kind), said(&x))
	}
	e.logTable(day, t)
	return nil
}

// logTable prints the entries of one day and empties the table.
func (e *env) logTable(day string, t *table) {
	if len(t.rows) > 0 {
		fmt.Fprintln(e.out, day)
		e.table(t)
		t.rows = nil
	}
}

// said is an entry in words.
func said(x *daylog.Entry) string {
	var parts []string
	if x.Setup != "" {
		parts = append(parts, x.Setup+":")
	}
	if x.Subject != "" {
		parts = append(parts, x.Subject)
	}
	switch v := x.Value; {
	case v == nil:
	case x.Unit == "f":
		parts = append(parts, quantity.FNumber(*v).Meter())
	case x.Kind == daylog.Late && *v < 0:
		parts = append(parts, fmt.Sprintf("%g min ahead of the plan", -*v))
	case x.Kind == daylog.Late:
		parts = append(parts, fmt.Sprintf("%g min behind the plan", *v))
	default:
		parts = append(parts, strings.TrimSpace(fmt.Sprintf("%g %s", *v, x.Unit)))
	}
	if x.Reverses != 0 {
		parts = append(parts, fmt.Sprintf("no. %d does not hold", x.Reverses)+map[bool]string{true: ":"}[x.Text != ""])
	}
	if x.Text != "" {
		parts = append(parts, strings.ReplaceAll(x.Text, "\n", " / "))
	}
	if x.Who != "" {
		parts = append(parts, "("+x.Who+")")
	}
	if !x.Stands {
		parts = append(parts, fmt.Sprintf("[reversed by no. %d]", x.By))
	}
	return strings.Join(parts, " ")
}

type logAddOptions struct {
	entry          func(args []string) (daylog.Entry, error)
	own            int // arguments before SHOOT
	setup, who, at string
	note, alone    string
	replaces       int64
}

func (o *logAddOptions) flags(f *pflag.FlagSet) {
	flagSetup(f, &o.setup)
	f.Lookup("setup").Usage = "the setup that it is of"
	f.StringVar(&o.who, "who", "", "who says so")
	f.StringVar(&o.at, "at", "", "when it was: hh:mm or hh:mm:ss of today; absent: now")
	f.StringVar(&o.note, "note", "", "a remark to it")
	f.StringVar(&o.alone, "alone", "", "the only light that was on when it was read")
	f.Int64Var(&o.replaces, "replaces", 0, "number of the entry that it stands for, which is reversed")
}

func (o *logAddOptions) run(ctx context.Context, e *env, args []string) error {
	x, err := o.entry(args[:o.own])
	if err != nil {
		return badInput(err)
	}
	path, file, err := logOf(args[o.own:])
	if err != nil {
		return badInput(err)
	}
	x.Setup, x.Who = o.setup, o.who
	if o.note != "" {
		x.Text = strings.TrimSpace(x.Text + " " + o.note)
	}
	if o.alone != "" && x.Kind != daylog.Reading {
		return badInput(errors.New("--alone is for readings"))
	}
	if x.Kind == daylog.Reading {
		x.Detail = ownkit.Detail(o.alone, setupNow(file, o.setup))
	}
	if x.Said, err = clockToday(o.at, time.Now()); err != nil {
		return badInput(err)
	}
	host, _ := os.Hostname()
	x.Client = "command-" + unnamed.ReplaceAllString(host, "-")
	x.Client = x.Client[:min(len(x.Client), 64)]
	l, err := daylog.Open(ctx, path)
	if err != nil {
		return badInput(err)
	}
	defer l.Close()
	holding("whether the entry is kept shows 'halfstop log'")
	if o.replaces != 0 {
		x, err = l.Correct(ctx, o.replaces, x, "replaced")
	} else {
		x, err = l.AddNext(ctx, x)
	}
	if err != nil {
		return badInput(err)
	}
	holding(fmt.Sprintf("entry no. %d is kept", x.Seq))
	fmt.Fprintf(e.out, "no. %d: %s %s\n", x.Seq, x.Kind, said(&x))
	if w := strange(file, &x); w != "" {
		fmt.Fprintf(e.err, "halfstop: %s; it is logged all the same\n", w)
	}
	return nil
}

// unnamed is what a client's name may not have.
var unnamed = regexp.MustCompile(`[^A-Za-z0-9._-]`)

// logOf finds the log of a shoot, and the shoot file. The shoot need not be whole, nor be there.
func logOf(args []string) (path, file string, err error) {
	given := "."
	if len(args) > 0 {
		given = args[0]
	}
	if given == "-" {
		return "", "", errors.New("standard input has no folder for a log; give a shoot file or its folder")
	}
	file = store.PlanOf(given)
	dir := filepath.Dir(file)
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return "", "", fmt.Errorf("%s: there is no such file or folder", given)
	}
	path = filepath.Join(dir, daylog.Name)
	_, noFile := os.Stat(file)
	if _, noLog := os.Lstat(path); noFile != nil && noLog != nil {
		return "", "", fmt.Errorf("%s: here is neither a shoot nor a log; give a shoot file or its folder", given)
	}
	return path, file, nil
}

// strange says what of an entry the plan does not know; empty where all is known, or the plan
// cannot be read.
func strange(file string, x *daylog.Entry) string {
	s, err := store.Read(file, nil)
	if err != nil {
		return ""
	}
	f, _, _ := s.Parse()
	if f == nil || len(f.Setups) == 0 {
		return ""
	}
	setup, point, light := false, false, false
	for _, name := range shoot.AnatomicalNames() {
		point = point || name == x.Subject
	}
	for i := range f.Setups {
		setup = setup || f.Setups[i].Name == x.Setup
		for _, p := range f.Setups[i].Points {
			point = point || p.Name == x.Subject
		}
		for _, l := range f.Setups[i].Lights {
			light = light || l.Name == x.Subject || l.Name == "" && l.Role == x.Subject
		}
	}
	switch {
	case x.Setup != "" && !setup:
		return fmt.Sprintf("the plan has no setup called %q", x.Setup)
	case x.Kind == daylog.Reading && !point:
		return fmt.Sprintf("the plan has no point called %q", x.Subject)
	case x.Kind == daylog.Dial && !light:
		return fmt.Sprintf("the plan has no light called %q", x.Subject)
	}
	return ""
}

// setupNow is the setup that a reading is of, as the file has it; nil: it says nothing.
func setupNow(file, name string) *shoot.Setup {
	s, err := store.Read(file, nil)
	if err != nil {
		return nil
	}
	f, _, _ := s.Parse()
	if f == nil {
		return nil
	}
	for i := range f.Setups {
		if strings.EqualFold(f.Setups[i].Name, name) || name == "" && len(f.Setups) == 1 {
			return &f.Setups[i]
		}
	}
	return nil
}

// clockToday reads a time of day.
func clockToday(text string, now time.Time) (time.Time, error) {
	if text == "" {
		return now, nil
	}
	for _, form := range []string{"15:04", "15:04:05"} {
		if t, err := time.Parse(form, text); err == nil {
			return time.Date(now.Year(), now.Month(), now.Day(), t.Hour(), t.Minute(), t.Second(), 0,
				now.Location()), nil
		}
	}
	return now, fmt.Errorf("--at %q: write it like 14:05 or 14:05:30", text)
}

var (
	withUnit  = regexp.MustCompile(`^([0-9.eE+-]+) *(lx·s|lx\.s|lxs|lx|lux|cd/m2|cd/m²|K)$`)
	unitNames = map[string]string{"lx.s": "lx·s", "lxs": "lx·s", "lux": "lx", "cd/m2": "cd/m²"}
)

// logReading reads POINT and VALUE.
func logReading(args []string) (x daylog.Entry, err error) {
	x = daylog.Entry{Kind: daylog.Reading, Subject: args[0]}
	text := strings.TrimSpace(args[1])
	if m := withUnit.FindStringSubmatch(text); m != nil {
		v, err := strconv.ParseFloat(m[1], 64)
		if err != nil {
			return x, fmt.Errorf("%q is not a number", m[1])
		}
		x.Value, x.Unit = &v, m[2]
		if u := unitNames[m[2]]; u != "" {
			x.Unit = u
		}
		return x, nil
	}
	n, err := ownkit.MeterReading(text)
	if err != nil {
		return x, fmt.Errorf("%w; another measure has its unit behind it: 320 lx, 5600 K", err)
	}
	v := float64(n)
	x.Value, x.Unit = &v, "f"
	return x, nil
}

func logLate(args []string) (daylog.Entry, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(args[0]), "min")), 64)
	if err != nil {
		return daylog.Entry{}, fmt.Errorf("%q: give minutes, like 10", args[0])
	}
	return daylog.Entry{Kind: daylog.Late, Value: &v, Unit: "min"}, nil
}

func logUndo(args []string) (daylog.Entry, error) {
	n, err := strconv.ParseInt(strings.TrimPrefix(args[0], "no."), 10, 64)
	if err != nil || n < 1 {
		return daylog.Entry{}, fmt.Errorf("%q: give the number of an entry, as 'halfstop log' shows it", args[0])
	}
	return daylog.Entry{Kind: daylog.Reversal, Reverses: n}, nil
}
