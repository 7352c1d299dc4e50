// Package storetest holds disks for tests: one that fills up, and one that loses what was not
// flushed when its power goes.
//
// It must not be used outside tests.
package storetest

import (
	"bytes"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"syscall"

	"halfstop/internal/store"
)

// Full is the machine's disk with room for so many more bytes; a write that does not fit is cut
// short and fails with ENOSPC, as write(2) has it.
type Full struct {
	store.Disk
	mu   sync.Mutex
	room int
}

// NewFull gives a disk without bounds; Room sets them.
func NewFull() *Full { return &Full{Disk: store.OS, room: 1 << 40} }

// Room says how many more bytes may be written.
func (d *Full) Room(n int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.room = n
}

// OpenFile as of store.Disk.
func (d *Full) OpenFile(name string, flag int, mode fs.FileMode) (store.File, error) {
	f, err := d.Disk.OpenFile(name, flag, mode)
	if err != nil {
		return nil, err
	}
	return &fullFile{f, d}, nil
}

type fullFile struct {
	store.File
	d *Full
}

func (f *fullFile) Write(b []byte) (int, error) {
	f.d.mu.Lock()
	fits := min(len(b), f.d.room)
	f.d.room -= fits
	f.d.mu.Unlock()
	n, err := f.File.Write(b[:fits])
	if err == nil && n < len(b) {
		err = &fs.PathError{Op: "write", Path: f.Name(), Err: syscall.ENOSPC}
	}
	return n, err
}

// Losing is the machine's disk with a memory of what was flushed. What is in a file is sure with
// its Sync, what names stand in a folder with SyncDir (POSIX.1-2017 fsync; that a name needs its
// folder flushed is from fsync(2) of Linux).
type Losing struct {
	mu    sync.Mutex
	dir   string
	names map[string]*node // as they stand
	sure  map[string]*node // as they would stand after power is lost and nothing of what is pending was written
}

// node is a file under whatever name.
type node struct{ now, sure []byte }

// NewLosing takes in everything under dir, as flushed.
func NewLosing(dir string) *Losing {
	d := &Losing{dir: dir, names: map[string]*node{}, sure: map[string]*node{}}
	d.takeIn()
	return d
}

func (d *Losing) takeIn() {
	clear(d.names)
	clear(d.sure)
	_ = filepath.WalkDir(d.dir, func(name string, e fs.DirEntry, err error) error {
		if err == nil && e.Type().IsRegular() {
			b, _ := os.ReadFile(name)
			n := &node{b, bytes.Clone(b)}
			d.names[name], d.sure[name] = n, n
		}
		return nil
	})
}

// Foreign notes what another program wrote, as flushed.
func (d *Losing) Foreign(name string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	b, err := os.ReadFile(name)
	if err != nil {
		delete(d.names, name)
		delete(d.sure, name)
		return
	}
	n := &node{b, bytes.Clone(b)}
	d.names[name], d.sure[name] = n, n
}

// PowerLoss leaves the folder as a machine would find it: of what was not flushed each name and a
// beginning of each file's rest may have reached the medium or not, as rng says.
func (d *Losing) PowerLoss(rng *rand.Rand) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	var all []string
	for n := range d.names {
		all = append(all, n)
	}
	for n := range d.sure {
		if d.names[n] == nil {
			all = append(all, n)
		}
	}
	slices.Sort(all)
	for _, name := range all {
		n := d.sure[name]
		if now := d.names[name]; now != n && rng.IntN(2) == 0 {
			n = now
		}
		if n == nil {
			if err := os.Remove(name); err != nil && !os.IsNotExist(err) {
				return err
			}
			continue
		}
		b := n.sure
		if rest, ok := bytes.CutPrefix(n.now, n.sure); ok {
			b = slices.Concat(n.sure, rest[:rng.IntN(len(rest)+1)])
		}
		if err := os.WriteFile(name, b, 0o600); err != nil {
			return err
		}
	}
	d.takeIn()
	return nil
}

// OpenFile as of store.Disk.
func (d *Losing) OpenFile(name string, flag int, mode fs.FileMode) (store.File, error) {
	f, err := store.OS.OpenFile(name, flag, mode)
	if err != nil {
		return nil, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	n := d.names[name]
	if n == nil {
		n = &node{}
		d.names[name] = n
	}
	if flag&os.O_TRUNC != 0 {
		n.now = nil
	}
	return &losingFile{f, d, n}, nil
}

// Rename as of store.Disk.
func (d *Losing) Rename(from, to string) error {
	if err := store.OS.Rename(from, to); err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	n := d.names[from]
	if n == nil { // a name that was made behind this disk's back
		b, _ := os.ReadFile(to)
		n = &node{now: b, sure: bytes.Clone(b)}
	}
	d.names[to] = n
	delete(d.names, from)
	return nil
}

// Swap as of store.Disk.
func (d *Losing) Swap(a, b string) error {
	if err := store.OS.Swap(a, b); err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.names[a], d.names[b] = d.names[b], d.names[a]
	return nil
}

// Remove as of store.Disk.
func (d *Losing) Remove(name string) error {
	if err := store.OS.Remove(name); err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.names, name)
	return nil
}

// SyncDir as of store.Disk.
func (d *Losing) SyncDir(dir string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	here := func(name string) bool {
		return filepath.Dir(name) == filepath.Clean(dir) && strings.HasPrefix(name, d.dir)
	}
	for n := range d.sure {
		if here(n) {
			delete(d.sure, n)
		}
	}
	for n, v := range d.names {
		if here(n) {
			d.sure[n] = v
		}
	}
	return nil
}

type losingFile struct {
	store.File
	d *Losing
	n *node
}

func (f *losingFile) Write(b []byte) (int, error) {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	k, err := f.File.Write(b) // to the end: all writers here append or begin anew
	f.n.now = append(f.n.now, b[:k]...)
	return k, err
}

func (f *losingFile) Sync() error {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	f.n.sure = bytes.Clone(f.n.now)
	return nil
}

func (f *losingFile) Truncate(size int64) error {
	f.d.mu.Lock()
	defer f.d.mu.Unlock()
	if int64(len(f.n.now)) > size {
		f.n.now = f.n.now[:size]
	}
	return f.File.Truncate(size)
}
