package ownkit

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"halfstop/internal/store"
	"halfstop/kit"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// Change is one file of the folder kit before and after; nil: it is not there.
type Change struct {
	Name          string // without a folder
	Before, After []byte
}

// Into is the file that new entries go into where none is named.
const Into = "own.yaml"

// FileName reports what is wrong with the name of a file of kit; nil: nothing.
func FileName(name string) error {
	if ext := filepath.Ext(name); filepath.Base(name) != name || strings.HasPrefix(name, ".") ||
		ext != ".yaml" && ext != ".yml" {
		return fmt.Errorf("%s: write the name of a .yaml file in the folder kit, without a path", name)
	}
	return nil
}

// textOf gives the text of a file of kit by its name without folder; nil: there is none.
func textOf(files []shoot.KitFile, name string) []byte {
	for _, f := range files {
		if filepath.Base(f.Name) == name {
			return append([]byte{}, f.Src...)
		}
	}
	return nil
}

// Put adds entries to the file into and keeps copies of files, by name, beside it. An error where
// the kit would not stand with them; nothing is written here.
func Put(files []shoot.KitFile, into string, entries []kit.Addition, copies map[string][]byte) ([]Change, error) {
	if err := FileName(into); err != nil {
		return nil, err
	}
	before := textOf(files, into)
	src, err := added(into, before, entries)
	if err != nil {
		return nil, err
	}
	if err := stands(files, into, src); err != nil {
		return nil, err
	}
	var out []Change
	for name, data := range copies {
		if filepath.Base(name) != name || strings.HasPrefix(name, ".") {
			return nil, fmt.Errorf("%s: this is no name of a file in the folder kit", name)
		}
		out = append(out, Change{name, nil, data})
	}
	slices.SortFunc(out, func(a, b Change) int { return strings.Compare(a.Name, b.Name) })
	return append(out, Change{into, before, src}), nil
}

// added gives a text of kit with more entries.
func added(name string, src []byte, entries []kit.Addition) ([]byte, error) {
	for _, a := range entries {
		doc, list := yamltext.Parse(filepath.Join("kit", name), src)
		if err := list.Err(); err != nil {
			return nil, err
		}
		if doc.Find(a.List) == nil { // a list of its own lines
			if len(src) > 0 && src[len(src)-1] != '\n' {
				src = append(src, '\n')
			}
			src = fmt.Appendf(src, "%s:\n  - %s\n", a.List, a.Value)
			continue
		}
		var err error
		if src, err = doc.Append(a.List, a.Value); err != nil {
			return nil, err
		}
	}
	return src, nil
}

// stands reports why a file of kit would not be accepted with this text.
func stands(files []shoot.KitFile, name string, src []byte) error {
	own, list := kit.Decode(filepath.Join("kit", name), src)
	if err := list.Err(); err != nil {
		return fmt.Errorf("it would not be read back, so nothing was written: %w", err)
	}
	var others kit.Kit
	for _, f := range files {
		if filepath.Base(f.Name) != name {
			k, _ := kit.Decode(f.Name, f.Src)
			others = kit.Merge(others, k)
		}
	}
	whole := kit.Merge(kit.Catalogue(), kit.Merge(others, own))
	for _, p := range whole.CheckOwn(own) {
		return fmt.Errorf("%s %q: %w (nothing was written)", strings.TrimSuffix(p.List, "s"), p.Name, p)
	}
	return nil
}

// Place is where an own entry is written.
type Place struct {
	File string // without a folder
	Path string // in it: 'heads[2]'
	Line int
	Node *yamltext.Node
}

// Find gives the place of an entry; false: no file has it. The first file that has it is in force.
func Find(files []shoot.KitFile, list, name string) (Place, bool) {
	for _, f := range files {
		doc, _ := yamltext.Parse(f.Name, f.Src)
		if p, ok := InDoc(doc, list, name); ok {
			p.File = filepath.Base(f.Name)
			return p, true
		}
	}
	return Place{}, false
}

// InDoc gives the place of an entry in a text, whose lists stand below the path list.
func InDoc(doc *yamltext.Doc, list, name string) (Place, bool) {
	if doc == nil || doc.Root == nil {
		return Place{}, false
	}
	n := doc.Find(list)
	if n == nil {
		return Place{}, false
	}
	for i, x := range n.Items {
		path := fmt.Sprintf("%s[%d]", list, i)
		if v := doc.Find(path + ".name"); v != nil && same(v.Text, name) {
			return Place{"", path, x.Pos.Line, x}, true
		}
	}
	return Place{}, false
}

// same compares names as the kit does.
func same(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), " "), strings.Join(strings.Fields(b), " "))
}

// Set changes settings of an entry by their keys; an empty value takes one out. An entry that no
// file has yet is begun in the file into: what it does not say is as in the catalogue.
func Set(files []shoot.KitFile, into, list, name string, edits []yamltext.Edit) ([]Change, error) {
	at, ok := Find(files, list, name)
	if !ok {
		if err := FileName(into); err != nil {
			return nil, err
		}
		value := "{name: " + yamltext.Quote(name, true) + "}"
		before := textOf(files, into)
		src, err := added(into, before, []kit.Addition{{List: list, Name: name, Value: value}})
		if err != nil {
			return nil, err
		}
		doc, _ := yamltext.Parse(filepath.Join("kit", into), src)
		if at, ok = InDoc(doc, list, name); !ok {
			return nil, fmt.Errorf("kit/%s: the entry %q cannot be begun there", into, name)
		}
		src, err = SetIn(doc, at.Path, edits)
		if err != nil {
			return nil, err
		}
		if err := stands(files, into, src); err != nil {
			return nil, err
		}
		return []Change{{into, before, src}}, nil
	}
	before := textOf(files, at.File)
	doc, _ := yamltext.Parse(filepath.Join("kit", at.File), before)
	src, err := SetIn(doc, at.Path, edits)
	if err != nil {
		return nil, err
	}
	if err := stands(files, at.File, src); err != nil {
		return nil, err
	}
	return []Change{{at.File, before, src}}, nil
}

// SetIn gives a text with settings of the entry at path changed; an empty value takes one out.
func SetIn(doc *yamltext.Doc, path string, edits []yamltext.Edit) ([]byte, error) {
	src := doc.Source()
	for _, e := range edits {
		at := path + "." + e.Path
		var err error
		switch {
		case e.Value != "":
			src, err = doc.Set(at, e.Value)
		case doc.Find(at) != nil:
			src, err = doc.Delete(at)
		}
		if err != nil {
			return nil, err
		}
		doc, _ = yamltext.Parse(doc.Name, src)
	}
	return src, nil
}

// Remove takes an own entry out.
func Remove(files []shoot.KitFile, list, name string) ([]Change, error) {
	at, ok := Find(files, list, name)
	if !ok {
		return nil, fmt.Errorf("no file in the folder kit has %q under %s", name, list)
	}
	before := textOf(files, at.File)
	doc, _ := yamltext.Parse(filepath.Join("kit", at.File), before)
	src, err := doc.Delete(at.Path)
	if err != nil {
		return nil, err
	}
	if err := stands(files, at.File, src); err != nil {
		return nil, err
	}
	return []Change{{at.File, before, src}}, nil
}

// Write puts changes into the folder kit in dir, each file whole or not at all; where one cannot be
// written those before it are put back. A file that is not as Before says is an error:
// store.ErrChanged, or that another file has the name. Nothing outside dir is written, not even by
// a link.
func Write(dir string, changes []Change) error {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	for _, c := range changes {
		was, err := root.ReadFile(filepath.Join("kit", c.Name))
		switch at := filepath.Join(dir, "kit", c.Name); {
		case errors.Is(err, fs.ErrNotExist):
			was = nil
		case err != nil:
			return fmt.Errorf("%s: %w; nothing was written", at, err)
		case c.Before == nil && !bytes.Equal(was, c.After):
			return fmt.Errorf("%s is there already and is another file: rename the one to import", at)
		case c.Before == nil:
			continue
		}
		if !bytes.Equal(was, c.Before) {
			return fmt.Errorf("%s: %w", filepath.Join(dir, "kit", c.Name), store.ErrChanged)
		}
	}
	if err := root.Mkdir("kit", 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	for i, c := range changes {
		if err := put(dir, c.Name, c.After); err != nil {
			for _, d := range changes[:i] {
				err = errors.Join(err, put(dir, d.Name, d.Before))
			}
			return err
		}
	}
	return nil
}

func put(dir, name string, text []byte) error {
	path := filepath.Join(dir, "kit", name)
	if text != nil {
		return store.WriteFile(path, text)
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}
