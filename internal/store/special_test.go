//go:build unix

package store

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// within fails where f takes longer than it may: a read of a pipe without a writer never ends.
func within(t *testing.T, what string, f func()) {
	t.Helper()
	done := make(chan bool)
	go func() { f(); close(done) }()
	select {
	case <-done:
	case <-time.After(3 * time.Second):
		t.Fatalf("%s does not come to an end", what)
	}
}

// TestSpecialFiles: what is no plain file is refused by its kind, before anything is read of it.
func TestSpecialFiles(t *testing.T) {
	dir := folder(t, map[string]string{"a/shoot.yaml": plan})
	pipe := filepath.Join(dir, "pipe")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Skip(err)
	}
	link := filepath.Join(dir, "link.yaml")
	zero := filepath.Join(dir, "zero.yaml")
	for name, to := range map[string]string{link: pipe, zero: "/dev/zero"} {
		if err := os.Symlink(to, name); err != nil {
			t.Fatal(err)
		}
	}
	for path, kind := range map[string]string{pipe: "a named pipe", link: "a named pipe", zero: "a device",
		"/dev/zero": "a device"} {
		within(t, path, func() {
			_, err := Read(path, nil)
			var n *NotPlain
			if !errors.As(err, &n) || n.Kind != kind {
				t.Errorf("%s: %v, want %s", path, err, kind)
			}
		})
	}
	within(t, "writing over a pipe", func() {
		if err := WriteFile(pipe, []byte("x")); err == nil {
			t.Error("written into a pipe")
		}
	})
	s, err := Read(filepath.Join(dir, "a"), nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(filepath.Join(s.Dir, "cloth.obj"), 0o600); err != nil {
		t.Fatal(err)
	}
	within(t, "a mesh that is a pipe", func() {
		if _, err := s.ReadFile("cloth.obj", 100); err == nil {
			t.Error("read")
		}
	})
	// One that takes the place of the plan while it is open.
	if err := errors.Join(os.Remove(s.Path), syscall.Mkfifo(s.Path, 0o600)); err != nil {
		t.Fatal(err)
	}
	within(t, "a plan that became a pipe", func() {
		var n *NotPlain
		if err := s.Write([]byte("x")); !errors.As(err, &n) {
			t.Error(err)
		}
	})
}

// TestKitStaysInside: kit is read from the shoot's folder only, plain files only.
func TestKitStaysInside(t *testing.T) {
	for name, make := range map[string]func(dir string) error{
		"leads out": func(dir string) error {
			return os.Symlink(filepath.Join(dir, "secret.yaml"), filepath.Join(dir, "shoot", "kit", "a.yaml"))
		},
		"a named pipe": func(dir string) error {
			return syscall.Mkfifo(filepath.Join(dir, "shoot", "kit", "a.yaml"),
				0o600)
		},
		"a device": func(dir string) error {
			return os.Symlink("/dev/zero",
				filepath.Join(dir, "shoot", "kit", "a.yaml"))
		},
		"leads out of": func(dir string) error {
			return errors.Join(os.Remove(filepath.Join(dir, "shoot", "kit")),
				os.Mkdir(filepath.Join(dir, "else"), 0o755), os.Symlink("../else", filepath.Join(dir, "shoot", "kit")))
		},
	} {
		dir := folder(t, map[string]string{"shoot/shoot.yaml": plan, "secret.yaml": "heads: []\n"})
		if err := os.MkdirAll(filepath.Join(dir, "shoot", "kit"), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := make(dir); err != nil {
			t.Skip(err)
		}
		within(t, name, func() {
			s, err := Read(filepath.Join(dir, "shoot"), nil)
			if err == nil || len(s.Kit) > 0 {
				t.Errorf("%s: %v %v", name, err, s.Kit)
			} else if name == "leads out" && !strings.Contains(err.Error(), "put a copy") {
				t.Errorf("%s: %v", name, err)
			}
		})
	}
	// A link that stays inside is followed.
	dir := folder(t, map[string]string{"shoot.yaml": plan, "own.yaml": "heads: []\n", "kit/b.yaml": "heads: []\n"})
	if err := os.Symlink("../own.yaml", filepath.Join(dir, "kit", "a.yaml")); err != nil {
		t.Fatal(err)
	}
	if s, err := Read(dir, nil); err != nil || len(s.Kit) != 2 {
		t.Error(err)
	}
}
