package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"sync/atomic"
	"time"
)

// Disk is what writing asks of the file system. Tests put one in its place that is full, or that
// loses what was not flushed. Reading goes to the system itself.
type Disk interface {
	OpenFile(name string, flag int, mode fs.FileMode) (File, error)
	Rename(from, to string) error
	// Swap makes two names change places in one step; an error where that cannot be done.
	Swap(a, b string) error
	Remove(name string) error
	// SyncDir flushes a folder: names that were made, changed or taken out in it reach the medium
	// with that.
	SyncDir(dir string) error
}

// File is a file open for writing.
type File interface {
	io.Writer
	io.Closer
	Name() string
	Sync() error
	Truncate(size int64) error
	Chmod(mode fs.FileMode) error
}

// OS is the machine's own file system.
var OS Disk = osDisk{}

type osDisk struct{}

func (osDisk) OpenFile(name string, flag int, mode fs.FileMode) (File, error) {
	f, err := os.OpenFile(name, flag, mode)
	if err != nil {
		return nil, err // not a File that holds a nil *os.File
	}
	return f, nil
}
func (osDisk) Rename(from, to string) error { return os.Rename(from, to) }
func (osDisk) Swap(a, b string) error       { return swap(a, b) }
func (osDisk) Remove(name string) error     { return os.Remove(name) }

// SyncDir: not every system lets a folder be flushed; that is no failure.
func (osDisk) SyncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return nil
	}
	_ = d.Sync()
	return d.Close()
}

// Replace writes data to path whole or not at all: a file beside it, flushed, renamed over, and the
// folder flushed. path must not be a symbolic link.
func Replace(d Disk, path string, data []byte, mode fs.FileMode) error {
	name, err := beside(d, path, data, mode)
	if err != nil {
		return err
	}
	defer pending.done(name)
	if err := d.Rename(name, path); err != nil {
		_ = d.Remove(name)
		return err
	}
	return d.SyncDir(filepath.Dir(path))
}

var temporary atomic.Uint64

// beside writes data into a new file in the folder of path, flushed, and gives its name; it is
// pending until the caller says that it is done. None is left where it fails.
func beside(d Disk, path string, data []byte, mode fs.FileMode) (name string, err error) {
	var f File
	for {
		name = tempName(path, strconv.Itoa(os.Getpid())+"-"+strconv.FormatUint(temporary.Add(1), 36))
		if err := pending.begin(name, filepath.Base(path)); err != nil {
			return "", err
		}
		if f, err = d.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600); !errors.Is(err, fs.ErrExist) {
			break
		}
		pending.done(name)
	}
	if err != nil {
		pending.done(name)
		return "", err
	}
	n, err := f.Write(data)
	if err == nil && n < len(data) {
		err = io.ErrShortWrite
	}
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		_ = d.Remove(name)
		pending.done(name)
		return "", err
	}
	return name, nil
}

func tempName(path, middle string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+"."+middle+".tmp")
}

// ClearStale takes out what a killed program left of writing path: '.NAME.….tmp' in its folder.
// Call it with the lock of path held.
func ClearStale(path string) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	clearStale(filepath.Dir(path), filepath.Base(path), time.Now().Add(time.Hour))
}

// kindOf says what a file is that is no plain file.
func kindOf(m fs.FileMode) string {
	switch {
	case m.IsDir():
		return "a folder"
	case m&fs.ModeNamedPipe != 0:
		return "a named pipe"
	case m&fs.ModeSocket != 0:
		return "a socket"
	case m&fs.ModeDevice != 0:
		return "a device"
	}
	return "a special file"
}

// NotPlain says that a path names something that is no plain file. Nothing was read of it.
type NotPlain struct{ Path, Kind string }

func (e *NotPlain) Error() string {
	fix := "give a plain file"
	if e.Kind == "a named pipe" {
		fix = "for piped text give -, standard input"
	}
	return fmt.Sprintf("%s: this is %s, not a plain file; %s", e.Path, e.Kind, fix)
}

// openPlain opens a plain file for reading; what is none is refused by its kind, before and after
// it is opened, and opening never waits.
func openPlain(path string) (*os.File, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, plainly(path, err)
	}
	if !info.Mode().IsRegular() {
		return nil, &NotPlain{path, kindOf(info.Mode())}
	}
	f, err := os.OpenFile(path, os.O_RDONLY|nonblock, 0)
	if err != nil {
		return nil, plainly(path, err)
	}
	if info, err = f.Stat(); err != nil || !info.Mode().IsRegular() { // another thing since
		f.Close()
		if err != nil {
			return nil, plainly(path, err)
		}
		return nil, &NotPlain{path, kindOf(info.Mode())}
	}
	return f, nil
}
