package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/internal/store"
	"halfstop/mesh"
	"halfstop/scan"
)

func scanCommand(e *env) *cobra.Command {
	return command(e, words{use: "scan FILE", least: 1, most: 1, short: "a phone's scan to a room",
		long: `scan reads a scan (OBJ, GLB, glTF, PLY, STL), finds its unit, which way is up, floor, ceiling and
walls, turns it into the room's frame and says what it found and how sure it is. What stands in
the room is taken off the walls, made light enough to compute with, and the most by which a corner
was moved is said.

With -o FOLDER it writes scan.ply there and, where there is no shoot.yaml yet, one with the room;
else it prints the room's lines to paste. Look at the plan before you trust it.`}, &scanOptions{})
}

type scanOptions struct {
	out, unit, up string
	cut           []string
	known         string
	turn, most    int
	force, json   bool
}

func (o *scanOptions) flags(f *pflag.FlagSet) {
	f.StringVarP(&o.out, "out", "o", "", "folder to write the room into")
	f.StringVar(&o.unit, "unit", "", "unit of the file: m, cm, mm, ft or in; found when absent")
	f.StringVar(&o.up, "up", "", "which way is up in the file: x+, x-, y+, y-, z+ or z-; found when absent")
	f.StringArrayVar(&o.cut, "cut", nil,
		"take away what lies in this box of the room, x,y,z,x,y,z in metres; may be given again")
	f.StringVar(&o.known, "known", "ceiling=0.8",
		"a surface of known reflectance, by which the scan's colours are set: floor, walls or ceiling")
	f.IntVar(&o.turn, "turn", 0, "turn the room by 90, 180 or 270 degrees more, anticlockwise from above")
	f.IntVar(&o.most, "triangles", 60000, "most triangles to keep of what stands in the room")
	flagForce(f, &o.force)
	flagJSON(f, &o.json)
}

func (o *scanOptions) run(ctx context.Context, e *env, args []string) error {
	opt := scan.Options{Unit: o.unit, Up: o.up, Turn: o.turn, Most: o.most}
	for _, c := range o.cut {
		box, err := numbers(c, 6)
		if err != nil {
			return badInput(fmt.Errorf("--cut %s: write six numbers, x,y,z of the low corner and of the high one", c))
		}
		opt.Cut = append(opt.Cut, [6]float64(box))
	}
	part, value, ok := strings.Cut(o.known, "=")
	share, err := strconv.ParseFloat(value, 64)
	known := scan.Known{Part: part, Reflectance: share}
	if !ok || err != nil || known.Check() != nil {
		return badInput(fmt.Errorf(
			"--known %s: write floor=, walls= or ceiling= and a reflectance over 0, at most 0.95", o.known))
	}
	if o.most < 100 {
		return badInput(fmt.Errorf("--triangles %d: at least 100", o.most))
	}
	src, err := readMesh(args[0])
	if err != nil {
		return badInput(err)
	}
	p := e.progress("reading the scan")
	m, err := mesh.Reader{Files: beside(args[0])}.Parse(args[0], src)
	var r *scan.Room
	if err == nil {
		r, err = scan.Find(m, opt)
	}
	p.end()
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.Is(err, scan.ErrUnit):
		return badInput(fmt.Errorf("%s: %w: --unit", args[0], err))
	case errors.Is(err, scan.ErrFloor):
		return badInput(fmt.Errorf("%s: %w: --up", args[0], err))
	case err != nil:
		return badInput(err)
	}
	if o.json {
		if err := e.json(r.Found(known)); err != nil {
			return err
		}
	} else {
		o.print(e, r, known)
	}
	if err := o.write(e, r, known); err != nil || o.json {
		return err
	}
	e.line(2, o.next(r))
	return nil
}

// readMesh reads a file that is one, no larger than a mesh may be.
func readMesh(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, err
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s: this is no plain file", path)
	case info.Size() > mesh.MostBytes:
		return nil, fmt.Errorf("%s: it has %d MiB; %d MiB are read at most: simplify it first", path,
			info.Size()>>20, mesh.MostBytes>>20)
	}
	return os.ReadFile(path)
}

// beside gives files of the folder that a mesh lies in, which its own lines name: never one
// outside, not by a link either.
func beside(path string) func(name string, most int64) ([]byte, error) {
	return func(name string, most int64) ([]byte, error) { return store.ReadBeside(path, name, most) }
}

func numbers(s string, n int) ([]float64, error) {
	parts := strings.Split(s, ",")
	if len(parts) != n {
		return nil, errors.New("count")
	}
	out := make([]float64, n)
	for i, p := range parts {
		x, err := strconv.ParseFloat(strings.TrimSpace(p), 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, errors.New("number")
		}
		out[i] = x
	}
	return out, nil
}

func sure(ok bool) string {
	if ok {
		return "sure"
	}
	return "a guess: say it if it is wrong"
}

func (o *scanOptions) print(e *env, r *scan.Room, known scan.Known) {
	w, d := 0.0, 0.0
	for _, p := range r.Outline {
		w, d = max(w, p[0]), max(d, p[1])
	}
	e.line(2, fmt.Sprintf("A room of %.2f × %.2f m, %s, %.2f m high.", w, d, r.Shape(), r.Ceiling))
	e.line(2, fmt.Sprintf("unit %s (%s), up %s (%s), turned by %.1f° so that the longer walls run along x",
		r.Unit, sure(r.UnitSure),
		r.Up, sure(r.UpSure), r.Turned))
	e.line(2, fmt.Sprintf("%d triangles; the scan covers %.0f %% of the floor", r.Triangles, 100*r.FloorSeen))
	if r.Things != nil {
		e.line(2, fmt.Sprintf("what stands in it: %d triangles of %d, no corner moved by more than %.0f mm",
			len(r.Things.Tris),
			r.ThingsBefore, 1000*r.Error))
	} else {
		e.line(2, "nothing stands in it")
	}
	if s := r.Surfaces(known); len(s) > 0 {
		line := fmt.Sprintf("surfaces, assuming that the %s has a reflectance of %.0f %% (--known):", known.Part,
			100*known.Reflectance)
		for _, part := range []string{"floor", "walls", "ceiling", "things"} {
			if s[part] != "" {
				line += fmt.Sprintf(" %s %s,", part, s[part])
			}
		}
		e.line(2, strings.TrimSuffix(line, ","))
	} else {
		e.line(2, "the scan has no colours: say what walls, floor and ceiling are")
	}
	for _, l := range r.Left {
		e.line(2, "left out: "+l)
	}
	if r.FloorSeen < 0.8 {
		e.line(2, "Much of the floor is missing in the scan: hold the outline against a tape.")
	}
}

// next is what to do now.
func (o *scanOptions) next(r *scan.Room) string {
	switch {
	case !r.UnitSure || !r.UpSure:
		return "Next: say what is a guess (--unit, --up), and scan again with -o FOLDER."
	case o.out == "":
		return "Next: hold these figures against a tape, then write the room with -o FOLDER. --cut takes out who " +
			"stood in it."
	}
	return "Next: halfstop open " + o.out + ": put in doors, windows and lamps, then hold the plan against a tape."
}

// roomText is the room as lines of a shoot file.
func roomText(r *scan.Room, known scan.Known) string {
	var b strings.Builder
	b.WriteString("room:\n")
	last := ""
	for _, l := range r.Lines(known, "scan.ply") {
		path := strings.Split(strings.TrimPrefix(l.Path, "room."), ".")
		switch {
		case l.Append:
			fmt.Fprintf(&b, "  %s:\n    - %s\n", path[0], l.Value)
		case len(path) == 2:
			if last != path[0] {
				fmt.Fprintf(&b, "  %s:\n", path[0])
			}
			fmt.Fprintf(&b, "    %s: %s\n", path[1], l.Value)
		default:
			fmt.Fprintf(&b, "  %s: %s\n", path[0], l.Value)
		}
		last = path[0]
	}
	return b.String()
}

func (o *scanOptions) write(e *env, r *scan.Room, known scan.Known) error {
	if o.out == "" {
		return nil
	}
	if err := os.MkdirAll(o.out, 0o755); err != nil {
		return badInput(err)
	}
	if r.Things != nil {
		path := filepath.Join(o.out, "scan.ply")
		if _, err := os.Lstat(path); err == nil && !o.force {
			return badInput(fmt.Errorf("%s is there already; --force writes over it", path))
		}
		if err := store.WriteFile(path,
			r.Things.PLY(scan.Comment)); err != nil {
			return badInput(err)
		}
		fmt.Fprintln(e.out, path)
	}
	plan := filepath.Join(o.out, "shoot.yaml")
	if _, err := os.Lstat(plan); !errors.Is(err, fs.ErrNotExist) {
		fmt.Fprintf(e.out, "%s is there already and is left as it is. The room's lines:\n\n%s", plan,
			roomText(r, known))
		return nil
	}
	mx, my := 0.0, 0.0
	for _, p := range r.Outline {
		mx, my = max(mx, p[0]), max(my, p[1])
	}
	text := "halfstop: 1\n" + roomText(r, known) + fmt.Sprintf("setups:\n  - name: Begin here\n    points:\n"+
		"      - {name: middle, at: [%.2f, %.2f, 1.5], facing: up}\n", mx/2, my/2)
	if err := store.WriteFile(plan, []byte(text)); err != nil {
		return badInput(err)
	}
	fmt.Fprintln(e.out, plan)
	return nil
}
