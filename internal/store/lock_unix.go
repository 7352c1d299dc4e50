//go:build unix

package store

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// nonblock keeps opening a named pipe from waiting for its other end.
const nonblock = unix.O_NONBLOCK

var errLocked = unix.EWOULDBLOCK

func lockFile(f *os.File) error {
	for {
		err := unix.Flock(int(f.Fd()), unix.LOCK_EX|unix.LOCK_NB)
		switch {
		case errors.Is(err, unix.EINTR):
			continue
		case errors.Is(err, unix.ENOLCK), errors.Is(err, unix.ENOTSUP), errors.Is(err, unix.ENOSYS), errors.Is(err,
			unix.EINVAL):
			return ErrNoLocks
		}
		return err
	}
}

func (l *Lock) leave() {
	_ = os.Remove(l.path) // while it is still held: who opened it before sees that it is gone
	l.f.Close()
}
