package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"

	"halfstop/shoot"
)

// ErrChanged says that the plan on disk is no longer the text that was read, so that writing would
// lose someone's work.
var ErrChanged = errors.New("the file was changed by another program since it was read; nothing was written")

// keptBackups is how many backups of a plan stay; older ones are deleted.
const keptBackups = 10

// Write replaces the plan by src, atomically, with a backup of the old text before the first change
// made through s.
//
// The file's mode is kept; a plan that is a symbolic link stays one, and what it points at is
// replaced. ErrChanged where the file is no longer what was read, also where another program wrote
// it in the same instant: then its text stands. On any error the old file stands as it was. Check:
// TestWrite*.
func (s *Shoot) Write(src []byte) error {
	if s.Path == "" {
		return errors.New("a shoot from standard input cannot be written back")
	}
	now, err := readLimited(s.Path)
	if err != nil {
		return err
	}
	if !bytes.Equal(now, s.Src) {
		return fmt.Errorf("%s: %w", s.Name, ErrChanged)
	}
	if bytes.Equal(src, s.Src) {
		return nil
	}
	if !s.backedUp {
		if _, err := backup(s.on(), s.Path); err != nil {
			return err
		}
		s.backedUp = true
	}
	if err := writeFile(s.on(), s.Path, src, s.Src); err != nil {
		return err
	}
	s.Src = bytes.Clone(src)
	return nil
}

// WriteBack makes a plan that is gone anew, with its folder. fs.ErrExist where there is one again.
func (s *Shoot) WriteBack(src []byte) error {
	if _, err := os.Lstat(s.Path); err == nil {
		return fmt.Errorf("%s: %w", s.Path, fs.ErrExist)
	}
	if err := os.MkdirAll(s.Dir, 0o755); err != nil {
		return plainly(s.Dir, err)
	}
	if err := writeFile(s.on(), s.Path, src, nil); err != nil {
		return err
	}
	s.Src = bytes.Clone(src)
	return nil
}

// Wrote takes over what a copy of s learned of the disk by writing.
func (s *Shoot) Wrote(copy *Shoot) { s.Src, s.backedUp = copy.Src, copy.backedUp }

func (s *Shoot) on() Disk {
	if s.Disk == nil {
		return OS
	}
	return s.Disk
}

// Migrate brings the plan on disk to the current version of the format; the old text is kept as a
// backup. from is the version found; from == shoot.Current means that nothing was to be done.
func (s *Shoot) Migrate() (from int, err error) {
	out, from, err := shoot.Migrate(s.Name, s.Src)
	if err != nil || from == shoot.Current {
		return from, err
	}
	s.backedUp = false
	return from, s.Write(out)
}

// WriteFile writes data to path atomically: a temporary file in the same folder, flushed to disk,
// then renamed over. A file that is there keeps its mode; a new one gets 0644. A symbolic link is
// followed to the file it stands for.
func WriteFile(path string, data []byte) error { return writeFile(OS, path, data, nil) }

var written atomic.Int64

// Written is how many files WriteFile has put in their place since the process began.
func Written() int { return int(written.Load()) }

// writeFile is WriteFile on a disk. Where old is given the file replaced must hold it: else it is
// put back, and the error is ErrChanged.
func writeFile(d Disk, path string, data, old []byte) error {
	target, mode := path, fs.FileMode(0o644)
	if real, err := filepath.EvalSymlinks(path); err == nil {
		target = real
	} else if _, lerr := os.Lstat(path); lerr == nil {
		return fmt.Errorf("%s: the link leads nowhere", path)
	}
	if info, err := os.Stat(target); err == nil {
		if !info.Mode().IsRegular() {
			return &NotPlain{path, kindOf(info.Mode())}
		}
		mode = info.Mode().Perm()
	}
	name, err := beside(d, target, data, mode)
	if err != nil {
		return plainly(path, err)
	}
	defer pending.done(name)
	// Swapped names show what was replaced, so that it is known to be what was read. Where there is
	// no swap that is taken for granted.
	swapped := old != nil && d.Swap(name, target) == nil
	if !swapped {
		if err := d.Rename(name, target); err != nil {
			_ = d.Remove(name)
			return plainly(path, err)
		}
	} else if was, err := readLimited(name); err == nil && !bytes.Equal(was, old) {
		if err := d.Swap(name, target); err != nil {
			return plainly(path, err)
		}
		_ = d.Remove(name)
		return fmt.Errorf("%s: %w", path, ErrChanged)
	}
	written.Add(1)
	if err := d.SyncDir(filepath.Dir(target)); err != nil {
		return plainly(path, err)
	}
	if swapped {
		_ = d.Remove(name)
	}
	return nil
}

// Backup copies path to 'NAME.1.bak', 'NAME.2.bak', … beside it, one number over the highest there,
// and gives its path. The ten newest stay. It never writes through a link or over a file.
func Backup(path string) (string, error) { return backup(OS, path) }

func backup(d Disk, path string) (string, error) {
	data, err := readLimited(path)
	if err != nil {
		return "", err
	}
	mode := fs.FileMode(0o600)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	dir, base := filepath.Dir(path), filepath.Base(path)
	numbers, err := backups(dir, base)
	if err != nil {
		return "", err
	}
	next := 1
	if len(numbers) > 0 {
		next = numbers[len(numbers)-1] + 1
	}
	name := filepath.Join(dir, backupName(base, next))
	f, err := d.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
	if err != nil {
		return "", plainly(name, err)
	}
	_, err = f.Write(data)
	err = errors.Join(err, f.Sync(), f.Close())
	if err != nil {
		_ = d.Remove(name)
		return "", plainly(name, err)
	}
	for len(numbers) >= keptBackups {
		_ = d.Remove(filepath.Join(dir, backupName(base, numbers[0])))
		numbers = numbers[1:]
	}
	return name, nil
}

func backupName(base string, n int) string { return base + "." + strconv.Itoa(n) + ".bak" }

func backups(dir, base string) ([]int, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, plainly(dir, err)
	}
	var numbers []int
	for _, e := range entries {
		middle, ok := strings.CutPrefix(e.Name(), base+".")
		if !ok {
			continue
		}
		if n, err := strconv.Atoi(strings.TrimSuffix(middle, ".bak")); err == nil && n > 0 &&
			strings.HasSuffix(middle, ".bak") {
			numbers = append(numbers, n)
		}
	}
	slices.Sort(numbers)
	return numbers, nil
}
