package store

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

const nonblock = 0

var errLocked = windows.ERROR_LOCK_VIOLATION

// lockFile locks one byte far behind the end, so that others may read who holds it.
func lockFile(f *os.File) error {
	at := &windows.Overlapped{OffsetHigh: 0x7fffffff}
	err := windows.LockFileEx(windows.Handle(f.Fd()),
		windows.LOCKFILE_EXCLUSIVE_LOCK|windows.LOCKFILE_FAIL_IMMEDIATELY, 0, 1, 0, at)
	switch {
	case errors.Is(err, windows.ERROR_IO_PENDING):
		return errLocked
	case errors.Is(err, windows.ERROR_INVALID_FUNCTION), errors.Is(err, windows.ERROR_NOT_SUPPORTED):
		return ErrNoLocks
	}
	return err
}

func (l *Lock) leave() {
	l.f.Close()
	_ = os.Remove(l.path) // fails where the next one has it open: then it is his
}
