//go:build unix

package bvh

import (
	"syscall"
	"time"
)

// Where processor time is known it is measured by: the clock on the wall says little on a shared
// machine.
func init() {
	spent = func() time.Duration {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			panic(err)
		}
		return time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
}
