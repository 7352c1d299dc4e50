package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"halfstop": func() { os.Exit(run()) }})
}

// TestScripts runs the program as a person does, in a folder of its own, and holds it to every line
// it prints. HALFSTOP_UPDATE=1 writes what it prints now into the scripts; look at the difference
// before it is committed.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata/script", RequireExplicitExec: true,
		UpdateScripts: os.Getenv("HALFSTOP_UPDATE") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv("XDG_CACHE_HOME", env.WorkDir)
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){"exits": exits, "stops": stops,
			"empty": empty, "old": old}})
}

// exits CODE COMMAND ... runs a command and holds it to its exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND ARGS...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	code := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var x *exec.ExitError
		if !errors.As(err, &x) {
			ts.Fatalf("%v", err)
		}
		code = x.ExitCode()
	}
	if code != want {
		ts.Fatalf("exit code %d, want %d", code, want)
	}
}

// promptly is how soon a command must end that was told to.
const promptly = 500 * time.Millisecond

// stops SIGNAL COMMAND ... lets a command work for 0.7 s, sends it the signal, and wants it to end
// promptly with code 130. A busy machine adds to the time, never takes from it: the best of three
// tries counts.
func stops(ts *testscript.TestScript, neg bool, args []string) {
	sig := map[string]os.Signal{"INT": os.Interrupt, "TERM": syscall.SIGTERM, "HUP": syscall.SIGHUP}[args[0]]
	var took []time.Duration
	for range 3 {
		var out, errs bytes.Buffer
		c := exec.Command(args[1], args[2:]...)
		c.Env = []string{"PATH=" + ts.Getenv("PATH"), "HOME=" + ts.Getenv("HOME")}
		c.Dir, c.Stdout, c.Stderr = ts.MkAbs("."), &out, &errs
		c.Path, c.Err = lookPath(ts, args[1]), nil
		ts.Check(c.Start())
		time.Sleep(700 * time.Millisecond)
		start := time.Now()
		ts.Check(c.Process.Signal(sig))
		err := c.Wait()
		took = append(took, time.Since(start))
		var x *exec.ExitError
		if !errors.As(err, &x) || x.ExitCode() != exitStopped {
			ts.Fatalf("ended with %v, want code %d; it said %s%s", err, exitStopped, out.String(), errs.String())
		}
		ts.Check(os.WriteFile(ts.MkAbs("stderr.txt"), errs.Bytes(), 0o644))
		if took[len(took)-1] <= promptly {
			return
		}
	}
	ts.Fatalf("took %v to stop, want %v", slices.Min(took), promptly)
}

// lookPath looks for a command where the script's PATH says.
func lookPath(ts *testscript.TestScript, name string) string {
	for _, dir := range filepath.SplitList(ts.Getenv("PATH")) {
		if path := filepath.Join(dir, name); exec.Command(path).Err == nil {
			return path
		}
	}
	ts.Fatalf("there is no %s on the PATH", name)
	return ""
}

// empty FOLDER wants nothing in it but what the script put there.
func empty(ts *testscript.TestScript, neg bool, args []string) {
	list, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	for _, e := range list {
		if !strings.HasSuffix(e.Name(), ".123.tmp") {
			ts.Fatalf("%s was left", filepath.Join(args[0], e.Name()))
		}
	}
}

// old FILE ... makes a file a day old.
func old(ts *testscript.TestScript, neg bool, args []string) {
	day := time.Now().Add(-24 * time.Hour)
	for _, a := range args {
		ts.Check(os.Chtimes(ts.MkAbs(a), day, day))
	}
}

// TestEveryCommandHasAScript: each command of the program is run by a script that holds what it
// prints.
func TestEveryCommandHasAScript(t *testing.T) {
	files, err := filepath.Glob("testdata/script/*.txtar")
	if err != nil {
		t.Fatal(err)
	}
	var all []byte
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, b...)
	}
	for _, c := range newRoot(newEnv(strings.NewReader(""), io.Discard, io.Discard)).Commands() {
		if !bytes.Contains(all, []byte("halfstop "+c.Name()+" ")) {
			t.Errorf("no script runs 'halfstop %s': add it to testdata/script", c.Name())
		}
	}
}
