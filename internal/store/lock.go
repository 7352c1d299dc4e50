package store

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
)

// Holder says who holds a lock.
type Holder struct {
	Address string    `json:"address"` // of its page: 'HOST:PORT' on its machine
	Run     string    `json:"run"`     // State.Run of its server
	Process int       `json:"process"`
	Machine string    `json:"machine"`
	Since   time.Time `json:"since"`
}

// Held says that another program holds a lock. Holder is empty where it has not said who it is.
type Held struct {
	Path   string
	Holder Holder
}

func (e *Held) Error() string { return fmt.Sprintf("%s: another program holds this lock", e.Path) }

// ErrNoLocks says that the file system of a lock knows no locks.
var ErrNoLocks = errors.New("this file system knows no locks")

// Lock is a lock of the operating system on a file of its own. It ends with the process, however
// that ends, and never by time: a process that is stopped keeps it.
type Lock struct {
	f    *os.File
	path string
}

// LockName gives the file that stands for the lock on a shoot file.
func LockName(path string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".lock")
}

// heldWait is how long a holder that was just begun is given to say who it is.
const heldWait = 2 * time.Second

// Acquire takes the lock at path or says who holds it (*Held); it does not wait for it. ErrNoLocks
// where there are none.
func Acquire(path string, who Holder) (*Lock, error) {
	until := time.Now().Add(heldWait)
	for {
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|nonblock, 0o644)
		if err != nil {
			return nil, plainly(path, err)
		}
		info, err := f.Stat()
		if err == nil && !info.Mode().IsRegular() {
			err = &NotPlain{path, kindOf(info.Mode())}
		}
		if err == nil {
			err = lockFile(f)
		}
		switch {
		case errors.Is(err, errLocked):
			held := &Held{Path: path}
			b, _ := io.ReadAll(io.LimitReader(f, 4096))
			f.Close()
			if json.Unmarshal(b, &held.Holder) != nil && time.Now().Before(until) {
				time.Sleep(20 * time.Millisecond)
				continue
			}
			return nil, held
		case err != nil:
			f.Close()
			return nil, err
		}
		// The holder before may have taken the file out between opening and locking.
		now, err := os.Stat(path)
		if err != nil || !os.SameFile(info, now) {
			f.Close()
			continue
		}
		l := &Lock{f, path}
		b, _ := json.Marshal(who)
		if err := f.Truncate(0); err == nil { // a full disk does not keep anyone from working
			_, _ = f.WriteAt(append(b, '\n'), 0)
		}
		return l, nil
	}
}

// Release lets go and takes the file out.
func (l *Lock) Release() {
	if l != nil {
		l.leave()
	}
}
