package server

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"halfstop/internal/ownkit"
	"halfstop/internal/store"
	"halfstop/shoot"
)

// kitFolder is the shoot's folder; empty: it lives in memory. turn is held.
func (b *book) kitFolder() string {
	if b.demo || b.file.Path == "" {
		return ""
	}
	return filepath.Dir(b.file.Path)
}

// kitFiles gives the files of own kit as they stand now. turn is held.
func (b *book) kitFiles() ([]shoot.KitFile, error) {
	dir := b.kitFolder()
	if dir == "" {
		return slices.Clone(b.file.Kit), nil
	}
	list, err := store.Kits(dir)
	if err != nil {
		return nil, err
	}
	own := filepath.Join(dir, "kit") + string(filepath.Separator)
	for _, k := range b.file.Kit { // of a shoot that was in memory
		if !strings.HasPrefix(k.Name, own) {
			list = append(list, k)
		}
	}
	return list, nil
}

// changeKit changes files of kit in one step of undo: on disk, each whole or not at all, or of a
// shoot in memory there. make is given the files as they stand. Turn is held while the disk works.
func (b *book) changeKit(name string, make func(files []shoot.KitFile) ([]ownkit.Change, error)) error {
	b.turn.Lock()
	defer b.turn.Unlock()
	files, err := b.kitFiles()
	if err != nil {
		return err
	}
	changes, err := make(files)
	if err != nil || len(changes) == 0 {
		return err
	}
	if err := b.putKit(changes); err != nil {
		return err
	}
	b.mu.Lock()
	b.numbered++
	b.steps = append(b.steps[:b.at:b.at], step{name, "", b.text, b.text, b.numbered, changes})
	b.at = len(b.steps)
	b.mu.Unlock()
	return b.retakeKit()
}

// retakeKit decodes the text with the kit as it stands now. turn is held.
func (b *book) retakeKit() error {
	own, err := b.kitFiles()
	if err != nil {
		return err
	}
	b.take(b.text, own)
	b.tell()
	b.spawn("telling of the kit", b.kitChanged)
	return nil
}

// putKit writes changes. turn is held.
func (b *book) putKit(changes []ownkit.Change) error {
	if dir := b.kitFolder(); dir != "" {
		return ownkit.Write(dir, changes)
	}
	own, held := slices.Clone(b.file.Kit), maps.Clone(b.held)
	if held == nil {
		held = map[string][]byte{}
	}
	for _, c := range changes {
		ext := filepath.Ext(c.Name)
		if ext != ".yaml" && ext != ".yml" {
			if had, ok := held["kit/"+c.Name]; ok && c.Before == nil && !bytes.Equal(had, c.After) {
				return fmt.Errorf("kit/%s is there already and is another file: rename the one to import", c.Name)
			}
			if c.After == nil {
				delete(held, "kit/"+c.Name)
			} else {
				held["kit/"+c.Name] = c.After
			}
			continue
		}
		own = slices.DeleteFunc(own, func(f shoot.KitFile) bool { return filepath.Base(f.Name) == c.Name })
		if c.After != nil {
			own = append(own, shoot.KitFile{Name: "kit/" + c.Name, Src: c.After})
		}
	}
	slices.SortFunc(own, func(x, y shoot.KitFile) int { return strings.Compare(x.Name, y.Name) })
	b.mu.Lock()
	b.file.Kit, b.held = own, held
	b.mu.Unlock()
	return nil
}

// moveKit takes changes of kit back (by under 0) or does them again. What another program wrote in
// the meantime stays where the two do not touch the same thing; else nothing is written. turn is
// held.
func (b *book) moveKit(changes []ownkit.Change, by int) error {
	files, err := b.kitFiles()
	if err != nil {
		return err
	}
	var back []ownkit.Change
	for _, c := range changes {
		was, to := c.After, c.Before
		if by > 0 {
			was, to = to, was
		}
		now := was // copies of makers' files are looked at by ownkit.Write
		for _, f := range files {
			if filepath.Base(f.Name) == c.Name {
				now = f.Src
			}
		}
		if bytes.Equal(now, was) {
			back = append(back, ownkit.Change{Name: c.Name, Before: now, After: to})
			continue
		}
		merged, ok := mergeTexts(filepath.Join("kit", c.Name), was, to, now)
		if !ok {
			return refuse(http.StatusConflict,
				"kit/%s was changed by another program where this step changed it, so it stays as it is; "+
					"mend it there", c.Name)
		}
		back = append(back, ownkit.Change{Name: c.Name, Before: now, After: merged})
	}
	slices.Reverse(back)
	return b.putKit(back)
}

// heldFiles fetches what a shoot in memory holds beside it, then what files finds.
func (b *book) heldFiles(files func(name string) ([]byte, error)) func(name string) ([]byte, error) {
	return func(name string) ([]byte, error) {
		b.mu.Lock()
		data, ok := b.held[filepath.ToSlash(name)]
		b.mu.Unlock()
		if ok {
			return data, nil
		}
		if files == nil {
			return nil, fs.ErrNotExist
		}
		return files(name)
	}
}

// saveKit writes the kit of a shoot that was in memory into its new folder; files that are there
// already stay. It gives the kit that is in no file. turn is held.
func (b *book) saveKit(dir string, own []shoot.KitFile) ([]shoot.KitFile, error) {
	changes := []ownkit.Change{}
	var bad error
	for name, data := range b.held {
		if !strings.HasPrefix(name, "kit/") { // a scan
			if _, err := os.Lstat(filepath.Join(dir, name)); errors.Is(err, fs.ErrNotExist) {
				bad = errors.Join(bad, store.WriteFile(filepath.Join(dir, name), data))
			}
			continue
		}
		changes = append(changes, ownkit.Change{Name: filepath.Base(name), After: data})
	}
	for _, f := range own {
		changes = append(changes, ownkit.Change{Name: filepath.Base(f.Name), After: f.Src})
	}
	var left []shoot.KitFile
	for _, c := range changes {
		if err := ownkit.Write(dir, []ownkit.Change{c}); err != nil {
			bad = errors.Join(bad, err)
			left = append(left, slices.DeleteFunc(slices.Clone(own), func(f shoot.KitFile) bool {
				return filepath.Base(f.Name) != c.Name
			})...)
		}
	}
	return left, bad
}
