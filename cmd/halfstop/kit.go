package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/diag"
	"halfstop/internal/ownkit"
	"halfstop/internal/store"
	"halfstop/kit"
)

func kitCommand(e *env) *cobra.Command {
	c := &cobra.Command{Use: "kit", Short: "the kit at hand: list, search, add like, import"}
	c.AddCommand(
		command(e, words{use: "list [SHOOT]", most: 1,
			short: "everything in the kit: the generic catalogue and the shoot's own",
			long: `list prints heads, modifiers, grids, gels, panels, stands and what else is packed, own things
first, with how many there are, whose they are, the weight of one and where the figures come from.
Own kit stands in kit/*.yaml beside the shoot.`},
			&kitListOptions{}),
		command(e, words{use: "find TEXT...", least: 1, most: 100, short: "search the kit",
			long: `find understands words of kind, name, owner and quality, and figures with their unit: 'soft, 60
cm, under 1 kg', '60x90', 'flash over 400 Ws battery', 'stand carries 9 kg', 'boom', 'hire'. All of
it must hold.`}, &kitFindOptions{}),
		command(e, words{use: "add NAME", least: 1, most: 1,
			short: "put a thing of your own into kit/own.yaml, like one that is there",
			long: `add writes an entry into a file of own kit: --like names what it takes its figures from, of the
catalogue or your own. What you know of it better comes with --set, as in the file: --set
'weight=3.4 kg' --set have=2 --set owner=hire.

Ask the maker's sheet first: for a head what it gives at a distance with a modifier, --set
'gives={lux: 4000 lx, at: 2 m}' and --set 'rated with=softbox 60x90', or its guide number, --set
'guide number=58 m' and 'rated with'. With one of them a first reading lies within half a stop far
more often: see docs/accuracy.md.`}, &kitAddOptions{}),
		command(e, words{use: "import FILE...", least: 1, most: 1000,
			short: "files of makers and meters into the own kit",
			long: `import reads LM-63, EULUMDAT and TM-33 (a lamp's intensities), TM-27, CGATS and columns (spectra
of surfaces, gels and lamps) and GDTF (a fixture's light, emitters and channels), says of each what
was read, assumed and ignored, and prints the entries. With --write they go into a file of own kit,
and files that a head refers to are copied beside it. Nothing that a file names is fetched.`},
			&kitImportOptions{}))
	return c
}

// owned reads the kit of a shoot: what its own files say, and the whole.
func (e *env) owned(shoot string) (own, whole kit.Kit, err error) {
	switch info, err := os.Stat(shoot); {
	case shoot == "":
	case err == nil && info.IsDir() && !store.IsShoot(store.PlanOf(shoot)): // a folder of kit alone
		files, err := store.Kits(shoot)
		if err != nil {
			return own, whole, badInput(err)
		}
		for _, f := range files {
			k, list := kit.Decode(f.Name, f.Src)
			if err := e.fail(list); err != nil {
				return own, whole, err
			}
			own = kit.Merge(own, k)
		}
	default: // its plan may be wrong, or name what is only being added
		s, err := store.Read(shoot, e.in)
		if err != nil {
			return own, whole, badInput(err)
		}
		f, _, list := s.Parse()
		own = f.Kit
		for _, m := range list {
			if m.Severity == diag.Error && m.Pos.File != s.Name {
				return own, whole, e.fail(diag.List{m}) // a file of kit
			}
		}
	}
	return own, kit.Merge(kit.Catalogue(), own), nil
}

type kitListOptions struct{ json, own bool }

func (o *kitListOptions) flags(f *pflag.FlagSet) {
	flagJSON(f, &o.json)
	f.BoolVar(&o.own, "own", false, "only what stands in the shoot's own files")
}

func (o *kitListOptions) run(_ context.Context, e *env, args []string) error {
	own, k, err := e.owned(strings.Join(args, ""))
	if err != nil {
		return err
	}
	if o.json {
		return e.json(k)
	}
	list := k.Entries(own)
	if o.own {
		n := 0
		for n < len(list) && list[n].Own {
			n++
		}
		if list = list[:n]; n == 0 {
			fmt.Fprintln(e.out, "There is no own kit yet: halfstop kit add NAME --like THING, "+
				"halfstop kit import FILE, or kit/own.yaml by hand.")
			return nil
		}
	}
	e.entries(list)
	return nil
}

// entries prints things of the kit.
func (e *env) entries(list []kit.Entry) {
	t := table{head: []string{"", "name", "kind", "have", "whose", "kg each", "", "from"}}
	for i := range list {
		x := &list[i]
		have, kilos := "", ""
		if x.Have > 0 {
			have = strconv.Itoa(x.Have)
		}
		if x.Kilos > 0 {
			kilos = strconv.FormatFloat(x.Kilos, 'f', -1, 64)
		}
		whose := x.Owner
		if whose == "" && x.Own {
			whose = "own"
		}
		t.row(strings.TrimSuffix(x.List, "s"), x.Name, x.Kind, have, whose, kilos, x.Says, x.Source)
	}
	e.table(&t)
}

type kitFindOptions struct {
	shoot string
	json  bool
}

func (o *kitFindOptions) flags(f *pflag.FlagSet) {
	f.StringVar(&o.shoot, "shoot", "", "a shoot whose own kit is searched too")
	flagJSON(f, &o.json)
}

// foundKit is what `kit find --json` prints.
type foundKit struct {
	Version int         `json:"version"`
	Query   string      `json:"query"`
	Found   []kit.Entry `json:"found"`
	Alone   []string    `json:"alone,omitempty"` // where nothing was found: how many things each term fits by itself
}

func (o *kitFindOptions) run(_ context.Context, e *env, args []string) error {
	own, k, err := e.owned(o.shoot)
	if err != nil {
		return err
	}
	query := strings.Join(args, " ")
	found, alone := kit.Search(k.Entries(own), query)
	if o.json {
		err = e.json(foundKit{1, query, append([]kit.Entry{}, found...), alone})
	} else if len(found) > 0 {
		e.entries(found)
	} else {
		fmt.Fprintf(e.out, "Nothing fits all of it: %s.\n", strings.Join(alone, ", "))
	}
	if err == nil && len(found) == 0 {
		err = &exitError{code: exitFindings}
	}
	return err
}

// into says which file of kit is written to.
type into struct {
	shoot, file string
	write       bool
}

func (o *into) flags(f *pflag.FlagSet) {
	f.StringVar(&o.shoot, "shoot", ".", "the shoot, or its folder")
	f.StringVar(&o.file, "into", ownkit.Into, "file in the folder kit that is written to")
}

// folder is where kit/ lies.
func (o *into) folder() (string, error) {
	info, err := os.Stat(o.shoot)
	switch {
	case err != nil:
		return "", err
	case info.IsDir():
		return o.shoot, nil
	}
	return filepath.Dir(o.shoot), nil
}

// put adds entries to the file of kit and keeps files beside it; a kit that would not stand is not
// written.
func (o *into) put(e *env, entries []kit.Addition, files map[string][]byte) error {
	dir, err := o.folder()
	if err != nil {
		return badInput(err)
	}
	if err := ownkit.FileName(o.file); err != nil {
		return badInput(fmt.Errorf("--into %w", err))
	}
	have, err := store.Kits(dir)
	if err != nil {
		return badInput(err)
	}
	changes, err := ownkit.Put(have, o.file, entries, files)
	if err == nil {
		err = ownkit.Write(dir, changes)
	}
	if err != nil {
		return badInput(err)
	}
	path := filepath.Join(dir, "kit", o.file)
	for _, a := range entries {
		fmt.Fprintf(e.out, "%s: %s %q\n", path, strings.TrimSuffix(a.List, "s"), a.Name)
	}
	return nil
}

type kitAddOptions struct {
	into
	like string
	set  []string
}

func (o *kitAddOptions) flags(f *pflag.FlagSet) {
	o.into.flags(f)
	f.StringVar(&o.like, "like", "", "what it is like: a name of the catalogue or of your own kit")
	f.StringArrayVar(&o.set, "set", nil, "a setting of its own, KEY=VALUE as in the file; may be given again")
}

func (o *kitAddOptions) run(_ context.Context, e *env, args []string) error {
	own, k, err := e.owned(o.shoot)
	if err != nil {
		return err
	}
	if o.like == "" {
		return badInput(errors.New("name what it is like: --like 'softbox 60x90'; halfstop kit find TEXT finds one"))
	}
	list := ""
	for _, x := range k.Entries(own) {
		if strings.EqualFold(x.Name, o.like) && list == "" {
			list = x.List
		}
		if x.Own && strings.EqualFold(x.Name, args[0]) {
			return badInput(fmt.Errorf("%q is in the own kit already", x.Name))
		}
	}
	if list == "" {
		found, _ := kit.Search(k.Entries(own), o.like)
		var names []string
		for i := range min(6, len(found)) {
			names = append(names, found[i].Name)
		}
		hint := "halfstop kit list shows what there is"
		if len(names) > 0 {
			hint = "perhaps " + strings.Join(names, ", ")
		}
		return badInput(fmt.Errorf("nothing is called %q; %s", o.like, hint))
	}
	value := "{name: " + strconv.Quote(args[0]) + ", like: " + strconv.Quote(o.like)
	for _, s := range o.set {
		key, v, ok := strings.Cut(s, "=")
		if !ok || strings.TrimSpace(key) == "" || strings.TrimSpace(v) == "" {
			return badInput(fmt.Errorf("--set %s: write KEY=VALUE", s))
		}
		value += ", " + strings.TrimSpace(key) + ": " + strings.TrimSpace(v)
	}
	return o.put(e, []kit.Addition{{List: list, Name: args[0], Value: value + "}"}}, nil)
}

type kitImportOptions struct {
	into
	kit.ImportOptions
	json bool
}

func (o *kitImportOptions) flags(f *pflag.FlagSet) {
	o.into.flags(f)
	f.BoolVar(&o.write, "write", false, "write the entries into the file of kit")
	f.StringVar(&o.Name, "name", "", "what the entry is called, where the file's own name for it does not do")
	f.StringVar(&o.Head, "head", "", "the head whose light a spectrum is")
	f.StringVar(&o.Of, "of", "",
		"what a spectrum is of, where its file does not say: reflectance, transmittance, light")
	f.StringVar(&o.Mode, "mode", "", "the mode of a fixture whose channels are taken; its first when absent")
	f.IntVar(&o.LampSet, "lamp-set", 0, "which set of lamps of a luminaire is fitted; its first when absent")
	flagJSON(f, &o.json)
}

// imports is what `kit import --json` prints.
type imports struct {
	Version int           `json:"version"`
	Files   []*kit.Import `json:"files"`
}

func (o *kitImportOptions) run(_ context.Context, e *env, args []string) error {
	out := imports{Version: 1, Files: []*kit.Import{}}
	files := map[string][]byte{}
	var entries []kit.Addition
	if !slices.Contains([]string{"", "reflectance", "transmittance", "light"}, o.Of) {
		return badInput(fmt.Errorf("--of %q: reflectance, transmittance or light", o.Of))
	}
	for _, name := range args {
		src, err := store.ReadPart(name, mostImport+1)
		if err != nil {
			return badInput(err)
		}
		if len(src) > mostImport {
			return badInput(fmt.Errorf("%s: more than %d MiB; no file of kit is that large", name, mostImport>>20))
		}
		im, list := o.ImportOptions.Read(name, src)
		if err := e.fail(list); err != nil {
			return err // nothing is written where one of the files is refused
		}
		e.warn(list)
		out.Files = append(out.Files, im)
		entries = append(entries, im.Entries...)
		if im.Copies != "" {
			files[im.Copies] = src
		}
		if o.json {
			continue
		}
		fmt.Fprintf(e.out, "%s: %s\n", name, im.Format)
		for _, part := range []struct {
			word string
			says []string
		}{{"read", im.Read}, {"assumed", im.Assumed}, {"ignored", im.Ignored}} {
			for _, s := range part.says {
				e.line(10, fmt.Sprintf("  %-8s%s", part.word, s))
			}
		}
		if len(im.Modes) > 1 && o.Mode == "" {
			e.line(10, "  --mode picks another mode")
		}
		if len(im.LampSets) > 0 && o.LampSet == 0 {
			e.line(10, "  --lamp-set picks another set of lamps")
		}
		if !o.write {
			for _, a := range im.Entries {
				v := a.Value
				if len(v) > 600 {
					v = v[:600] + " …"
				}
				e.line(6, "  "+a.List+": "+v)
			}
		}
	}
	if o.json {
		if err := e.json(out); err != nil {
			return err
		}
	}
	if o.write {
		return o.put(e, entries, files)
	}
	if !o.json {
		fmt.Fprintln(e.out, "Nothing was written; --write puts it into kit/"+o.file+".")
	}
	return nil
}

// mostImport is the largest file of kit that is read, bytes.
const mostImport = 64 << 20
