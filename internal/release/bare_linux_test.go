package main

import (
	"bufio"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestBareMachine starts the program where there is nothing else: no Go, no browser, no HOME, no
// shell, no library, no time zones, not even a folder for temporary files. It works all the same.
func TestBareMachine(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("=== NOT ROOT: AN EMPTY FOLDER CANNOT BE MADE THE ROOT; START ON A BARE MACHINE NOT TRIED ===")
	}
	program, err := build("../..", runtime.GOOS, runtime.GOARCH)
	if err != nil {
		t.Fatal(err)
	}
	root := t.TempDir()
	if err := os.WriteFile(filepath.Join(root, "halfstop"), program, 0o755); err != nil {
		t.Fatal(err)
	}
	command := func(args ...string) *exec.Cmd {
		c := exec.Command("/halfstop", args...)
		c.Path, c.Err = "/halfstop", nil
		c.Env, c.Dir = []string{}, "/"
		c.SysProcAttr = &syscall.SysProcAttr{Chroot: root}
		return c
	}
	for _, args := range [][]string{{"--version"}, {"check"}, {"meter", "--samples", "32"}, {"new", "/first"},
		{"meter", "/first", "--samples", "32"},
		{"plan", "/first", "-o", "/plan.pdf", "--samples", "32"}, {"frame", "/first", "-o", "/frame.jpg", "--size",
			"32x48", "--samples", "1"}} {
		if out, err := command(args...).CombinedOutput(); err != nil {
			t.Errorf("halfstop %s: %v\n%s", strings.Join(args, " "), err, out)
		}
	}
	for _, made := range []string{"first/shoot.yaml", "plan.pdf", "frame.jpg"} {
		if info, err := os.Stat(filepath.Join(root, made)); err != nil || info.Size() == 0 {
			t.Errorf("%s was not made: %v", made, err)
		}
	}
	// The workbench says where it is, answers, and ends when it is told to.
	c := command("open", "/first")
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var errs strings.Builder
	c.Stderr = &errs
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	timer := time.AfterFunc(time.Minute, func() { c.Process.Kill() })
	defer timer.Stop()
	lines := bufio.NewScanner(out)
	if !lines.Scan() {
		t.Fatalf("no address: %s", errs.String())
	}
	res, err := http.Get(strings.TrimSpace(lines.Text()))
	if err != nil || res.StatusCode != http.StatusOK {
		t.Errorf("%s: %v %v", lines.Text(), res, err)
	}
	if err := c.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := c.Wait(); err != nil {
		t.Errorf("told to end: %v, it said %s", err, errs.String())
	}
	if !strings.Contains(errs.String(), "the browser was not opened") {
		t.Errorf("nothing is said of the browser that is not there: %q", errs.String())
	}
}
