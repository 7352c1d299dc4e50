package store

import (
	"errors"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

func TestLock(t *testing.T) {
	path := LockName(filepath.Join(t.TempDir(), PlanName))
	me := Holder{Address: "127.0.0.1:1", Run: "r", Process: 7, Machine: "m", Since: time.Unix(1, 0).UTC()}
	l, err := Acquire(path, me)
	if errors.Is(err, ErrNoLocks) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	var held *Held
	if _, err := Acquire(path, Holder{}); !errors.As(err, &held) || held.Holder != me {
		t.Errorf("a second one: %v %+v", err, held)
	}
	l.Release()
	if _, err := os.Stat(path); !os.IsNotExist(err) {
		t.Error("the file of the lock stays behind")
	}
	// Many at the same instant, again and again: never two.
	var in, most atomic.Int32
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			for range 40 {
				l, err := Acquire(path, me)
				if err != nil {
					continue
				}
				if n := in.Add(1); n > 1 {
					most.Store(n)
				}
				time.Sleep(100 * time.Microsecond)
				in.Add(-1)
				l.Release()
			}
		})
	}
	all.Wait()
	if most.Load() > 1 {
		t.Errorf("%d held the lock at once", most.Load())
	}
}

// meddling is a disk on which another program writes in the same instant as we do.
type meddling struct {
	Disk
	before func()
}

func (m *meddling) Swap(from, to string) error {
	if f := m.before; f != nil {
		m.before = nil
		f()
	}
	return m.Disk.Swap(from, to)
}

// TestWriteInTheSameInstant: a text that another program writes after ours was compared and before
// it is replaced is not lost.
func TestWriteInTheSameInstant(t *testing.T) {
	for name, how := range map[string]func(path, text string) error{
		"in place": func(path, text string) error { return os.WriteFile(path, []byte(text), 0o640) },
		"renamed over": func(path, text string) error {
			return errors.Join(os.WriteFile(path+"~", []byte(text), 0o640), os.Rename(path+"~", path))
		},
	} {
		dir := folder(t, map[string]string{"shoot.yaml": plan})
		if err := swap(dir, dir); errors.Is(err, errors.ErrUnsupported) {
			t.Skip("names cannot change places here")
		}
		s, _ := Read(dir, nil)
		other := plan + "# someone else\n"
		s.Disk = &meddling{OS, func() {
			if err := how(s.Path, other); err != nil {
				t.Error(err)
			}
		}}
		if err := s.Write([]byte(plan + "# ours\n")); !errors.Is(err, ErrChanged) {
			t.Errorf("%s: %v", name, err)
		}
		if got, _ := os.ReadFile(s.Path); string(got) != other {
			t.Errorf("%s: %q", name, got)
		}
		if left, _ := filepath.Glob(filepath.Join(dir, ".*tmp")); len(left) > 0 {
			t.Error(left)
		}
	}
}

func TestClearStale(t *testing.T) {
	dir := folder(t, map[string]string{"shoot.yaml": plan, ".shoot.yaml.12-1.tmp": "x", ".other.yaml.12-1.tmp": "x",
		".shoot.yaml.lock": ""})
	ClearStale(filepath.Join(dir, PlanName))
	left, _ := os.ReadDir(dir)
	if len(left) != 3 {
		t.Error(left)
	}
}
