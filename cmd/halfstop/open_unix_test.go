//go:build unix

package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// TestOpenEndsSaved: the workbench that is ended by a signal right after a change has saved it, and
// leaves nothing behind.
func TestOpenEndsSaved(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, sig := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP} {
		dir, cache := t.TempDir(), t.TempDir()
		shoot := filepath.Join(dir, "shoot.yaml")
		if err := os.WriteFile(shoot, []byte(labShoot), 0o644); err != nil {
			t.Fatal(err)
		}
		cmd := &exec.Cmd{Path: exe, Args: []string{"halfstop", "open", "--no-browser", shoot},
			Env: append(os.Environ(), "XDG_CACHE_HOME="+cache, "HOME="+cache)}
		var errs bytes.Buffer
		cmd.Stderr = &errs
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		address, err := bufio.NewReader(out).ReadString('\n')
		if err != nil {
			t.Fatalf("%v: %s", err, errs.String())
		}
		body, _ := json.Marshal(map[string]any{"revision": 1, "text": labShoot + "# the last change\n"})
		q, _ := http.NewRequest("PUT", strings.TrimSpace(address)+"api/text", bytes.NewReader(body))
		q.Header.Set("Content-Type", "application/json")
		res, err := http.DefaultClient.Do(q)
		if err != nil || res.StatusCode != 200 {
			t.Fatal(err, res)
		}
		res.Body.Close()
		if err := cmd.Process.Signal(sig); err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait()
		if code := cmd.ProcessState.ExitCode(); code != exitOK && code != exitStopped {
			t.Errorf("%v: exit %d, %s", sig, code, errs.String())
		}
		if b, _ := os.ReadFile(shoot); !strings.HasSuffix(string(b), "# the last change\n") {
			t.Errorf("%v: the last change is not in the file", sig)
		}
		left, _ := os.ReadDir(dir)
		for _, e := range left {
			if n := e.Name(); n != "shoot.yaml" && !strings.HasSuffix(n, ".bak") {
				t.Errorf("%v leaves %s", sig, n)
			}
		}
		if left, _ := filepath.Glob(cache + "/halfstop/*"); len(left) > 0 {
			t.Errorf("%v leaves %v", sig, left)
		}
	}
}

// TestOpenOutlivesItsReader: a pipe or a terminal that what is said
// went to may go; the workbench stays, and is saved at its end.
func TestOpenOutlivesItsReader(t *testing.T) {
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	shoot := filepath.Join(dir, "shoot.yaml")
	if err := os.WriteFile(shoot, []byte(labShoot), 0o644); err != nil {
		t.Fatal(err)
	}
	in, out, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	cmd := &exec.Cmd{Path: exe, Args: []string{"halfstop", "open", "--no-browser", shoot}, Stdout: out, Stderr: out,
		Env: append(os.Environ(), "XDG_CACHE_HOME="+t.TempDir())}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Process.Kill()
	out.Close()
	address, err := bufio.NewReader(in).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	in.Close()
	if err := os.Remove(shoot); err != nil { // something to say
		t.Fatal(err)
	}
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(50 * time.Millisecond) {
		res, err := http.Get(strings.TrimSpace(address) + "api/state")
		if err != nil {
			t.Fatalf("the workbench ended with its reader: %v", err)
		}
		b, _ := io.ReadAll(res.Body)
		res.Body.Close()
		if bytes.Contains(b, []byte(`"file.gone"`)) {
			break
		}
		if time.Now().After(end) {
			t.Fatal("nothing was said")
		}
	}
	time.Sleep(100 * time.Millisecond) // it has said it by now
	if res, err := http.Get(strings.TrimSpace(address) + "api/state"); err != nil {
		t.Errorf("the workbench ended with its reader: %v", err)
	} else {
		res.Body.Close()
	}
}
