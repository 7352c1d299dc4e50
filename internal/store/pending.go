package store

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// pending are the temporary files that WriteFile has in hand.
var pending = temporaries{names: map[string]bool{}}

type temporaries struct {
	mu        sync.Mutex
	names     map[string]bool
	abandoned bool
}

var errAbandoned = errors.New("the program is ending; nothing was written")

// stale is the age from which a temporary file was left by a process that was killed: no write
// takes as long.
const stale = 10 * time.Minute

// begin notes that name, a temporary file of a file called base beside it, is about to be made, and
// clears stale ones of that file.
func (t *temporaries) begin(name, base string) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.abandoned {
		return errAbandoned
	}
	clearStale(filepath.Dir(name), base, time.Now().Add(-stale))
	t.names[name] = true
	return nil
}

func (t *temporaries) done(name string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.names, name)
}

// clearStale removes what WriteFile left for base before a time, when its process was killed.
// Errors are let be: the next write tries again.
func clearStale(dir, base string, before time.Time) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), "."+base+".") || !strings.HasSuffix(e.Name(), ".tmp") {
			continue
		}
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() && info.ModTime().Before(before) {
			os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}

// Abandon ends all writing: temporary files are removed and WriteFile refuses from now on. It is
// for a process that is about to exit without waiting for its work.
func Abandon() {
	pending.mu.Lock()
	defer pending.mu.Unlock()
	pending.abandoned = true
	for name := range pending.names {
		os.Remove(name)
	}
}

// IsShoot reports that path is a plain file that holds a shoot: its text has the key 'halfstop' at
// the start of a line. It reads at most the first 64 KiB.
func IsShoot(path string) bool {
	info, err := os.Stat(path)
	if err != nil || !info.Mode().IsRegular() {
		return false
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, 64<<10))
	return err == nil && (bytes.HasPrefix(b, []byte("halfstop:")) || bytes.Contains(b, []byte("\nhalfstop:")))
}
