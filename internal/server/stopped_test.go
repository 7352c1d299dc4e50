//go:build unix

package server

import (
	"errors"
	"strings"
	"syscall"
	"testing"
	"time"

	"halfstop/internal/store"
)

// TestStoppedKeepsLock: a process that is stopped (Ctrl-Z) keeps its shoot, however long; who comes
// second is told who has it. When it goes on its page is joined, and when it is gone the shoot is
// free.
func TestStoppedKeepsLock(t *testing.T) {
	shoot, journals := onDisk(t, small), t.TempDir()
	p := serving(t, shoot.Path, journals)
	defer p.kill()
	if p.s.Address == "" {
		t.Fatal(p.errs)
	}
	second := func() (*AlreadyOpen, error) {
		again, err := store.Read(shoot.Path, nil)
		if err != nil {
			t.Fatal(err)
		}
		s, err := New(Options{Shoot: again, Listen: "127.0.0.1:0", Journals: journals})
		if err == nil {
			s.Close()
		}
		var open *AlreadyOpen
		errors.As(err, &open)
		return open, err
	}
	if open, err := second(); open == nil || !open.Answers || open.Address != p.s.Address {
		t.Errorf("while it runs: %v", err)
	}
	if err := p.cmd.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	time.Sleep(50 * time.Millisecond)
	open, err := second()
	if open == nil || open.Answers || open.Process != p.cmd.Process.Pid ||
		!strings.Contains(err.Error(), "does not answer") {
		t.Errorf("while it is stopped: %v", err)
	}
	if err := p.cmd.Process.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	if open, err := second(); open == nil || !open.Answers {
		t.Errorf("when it goes on: %v", err)
	}
	p.kill()
	if _, err := second(); err != nil {
		t.Errorf("when it is gone: %v", err)
	}
}
