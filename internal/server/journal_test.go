package server

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfstop/internal/store"
)

type ctxT = context.Context

// TestMain serves a shoot when the test below starts this program as a server to be killed.
func TestMain(m *testing.M) {
	if path := os.Getenv("HALFSTOP_TEST_SERVE"); path != "" {
		s, err := store.Read(path, nil)
		if err != nil {
			panic(err)
		}
		srv, err := New(Options{Shoot: s, Listen: "127.0.0.1:0", Journals: os.Getenv("HALFSTOP_TEST_JOURNALS")})
		if err != nil {
			os.Stderr.WriteString(err.Error() + "\n")
			os.Exit(7)
		}
		srv.book.saveGap = time.Hour // killed before anything is saved
		if gap, err := time.ParseDuration(os.Getenv("HALFSTOP_TEST_SAVE")); err == nil {
			srv.book.saveGap = gap
		}
		os.Stdout.WriteString(srv.Address + "\n")
		_ = srv.Serve(context.Background())
		return
	}
	os.Exit(m.Run())
}

// process is a server of its own process.
type process struct {
	*client
	cmd  *exec.Cmd
	errs *bytes.Buffer
}

// serving starts one; address is empty where it did not come up.
func serving(t *testing.T, path, journals string, env ...string) process {
	t.Helper()
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	p := process{cmd: exec.Command(exe), errs: &bytes.Buffer{}}
	p.cmd.Env = append(append(os.Environ(), "HALFSTOP_TEST_SERVE="+path, "HALFSTOP_TEST_JOURNALS="+journals), env...)
	p.cmd.Stderr = p.errs
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	buf := make([]byte, 100)
	n, _ := out.Read(buf)
	p.client = &client{t: t, s: &Server{Address: strings.TrimSpace(string(buf[:n]))}}
	return p
}

// kill ends it as a power button does.
func (p process) kill() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
}

// killed starts a server of its own process, has it changed, and kills it.
func killed(t *testing.T, path, journals string, change func(c *client)) {
	t.Helper()
	p := serving(t, path, journals)
	defer p.kill()
	if p.s.Address == "" {
		p.kill()
		t.Fatal(p.errs.String())
	}
	change(p.client)
}

func TestKilledLosesNothing(t *testing.T) {
	shoot, journals := onDisk(t, small), t.TempDir()
	draft := small + "oops: [\n"
	killed(t, shoot.Path, journals, func(c *client) {
		c.edit("move", "d", Edit{Set: "setups[0].lights[0].at", Value: "[1.9, 2.5]"})
		ask[State](c, 200, "PUT", "/api/text", TextChange{Revision: c.state().Revision, Text: draft})
	})
	if b, _ := os.ReadFile(shoot.Path); string(b) != small {
		t.Fatal("the file was touched")
	}
	again, _ := store.Read(shoot.Path, nil)
	c := start(t, Options{Shoot: again, Journals: journals})
	st := c.state()
	if x := ask[TextView](c, 200, "GET", "/api/text", nil); x.Text != draft || !st.Restored || !st.Draft ||
		st.Disk != nil {
		t.Fatalf("after the kill: %+v\n%s", st, x.Text)
	}
	// Undo takes the whole of the earlier run back.
	st = ask[State](c, 200, "POST", "/api/undo", Step{st.Revision})
	if x := ask[TextView](c, 200, "GET", "/api/text", nil); x.Text != small || st.Draft {
		t.Errorf("undone: %s", x.Text)
	}
	c.stop()
	if left, _ := filepath.Glob(journals + "/*"); len(left) != 0 {
		t.Errorf("a clean end leaves %v", left)
	}
}

func TestKilledThenChangedElsewhere(t *testing.T) {
	shoot, journals := onDisk(t, small), t.TempDir()
	killed(t, shoot.Path, journals, func(c *client) { c.edit("title", "", Edit{Set: "shoot.title", Value: "Ours"}) })
	theirs := strings.Replace(small, "Bench", "Theirs", 1)
	if err := os.WriteFile(shoot.Path, []byte(theirs), 0o644); err != nil {
		t.Fatal(err)
	}
	again, _ := store.Read(shoot.Path, nil)
	c := start(t, Options{Shoot: again, Journals: journals})
	st := c.state()
	if st.Disk == nil || st.Disk.Text != theirs || st.Title != "Ours" || st.Saved {
		t.Fatalf("%+v", st)
	}
	if c.disk() != theirs {
		t.Fatal("the other program's text was written over without a question")
	}
	st = ask[State](c, 200, "POST", "/api/disk", DiskAnswer{st.Revision, "ours"})
	until(t, "ours is in the file", func() bool { return strings.Contains(c.disk(), "Ours") && c.state().Saved })
	if kept, _ := filepath.Glob(filepath.Dir(shoot.Path) + "/*.bak"); len(kept) == 0 {
		t.Error("theirs was not kept as a backup")
	}
}

func TestJournalCutShort(t *testing.T) {
	dir := t.TempDir()
	path := journalIn(dir, "/x/shoot.yaml")
	j, _, err := openJournal(store.OS, path, "/x/shoot.yaml", "127.0.0.1:1", []byte("a"), false)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"one", "two"} {
		if err := j.keep([]byte(text), nil); err != nil {
			t.Fatal(err)
		}
	}
	j.close()
	f, err := os.OpenFile(j.path, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	f.WriteString(`{"text":"thr`)
	f.Close()
	k, _, err := openJournal(store.OS, path, "/x/shoot.yaml", "127.0.0.1:2", []byte("a"), false)
	if err != nil || string(k.found) != "two" || k.base != sum([]byte("a")) {
		t.Errorf("%v %q", err, k.found)
	}
	k.close()
	// It survives being opened again without a change.
	k, _, err = openJournal(store.OS, path, "/x/shoot.yaml", "127.0.0.1:3", []byte("a"), false)
	if err != nil || string(k.found) != "two" {
		t.Errorf("%v %q", err, k.found)
	}
	k.drop()
}

func FuzzJournal(f *testing.F) {
	f.Add([]byte(`{"halfstop_journal":1,"file":"/x","address":"127.0.0.1:1","base":"b"}` + "\n" + `{"text":"one"}` +
		"\n" + `{"saved":"c"}` + "\n"))
	f.Add([]byte("{}\n"))
	f.Add([]byte("\n\n\x00"))
	f.Fuzz(func(t *testing.T, b []byte) {
		j := &journal{head: journalHead{File: "/x"}}
		j.read(bytes.NewReader(b))
	})
}

func TestOpenTwice(t *testing.T) {
	shoot, journals := onDisk(t, small), t.TempDir()
	c := start(t, Options{Shoot: shoot, Journals: journals})
	again, _ := store.Read(shoot.Path, nil)
	s, err := New(Options{Shoot: again, Listen: "127.0.0.1:0", Journals: journals})
	var open *AlreadyOpen
	if err == nil {
		s.Close()
	}
	if !errors.As(err, &open) || open.Address != c.s.Address || !open.Answers {
		t.Errorf("opened a second time: %v", err)
	}
}

func TestChangeOnDisk(t *testing.T) {
	c := start(t, Options{Shoot: onDisk(t, small)})
	in := c.events()
	path := c.s.book.file.Path
	// Nothing of ours is unsaved: it is followed, and can be undone.
	if err := os.WriteFile(path, []byte(strings.Replace(small, "Bench", "Elsewhere", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	await(t, in, "the change is told", func(e Event) bool { return e.Kind == "state" && e.Revision == 2 })
	st := c.state()
	if st.Title != "Elsewhere" || !st.Saved || st.Undo != "from disk" || st.Disk != nil {
		t.Fatalf("%+v", st)
	}
	// A draft of ours is unsaved: both are kept until someone says which.
	draft := small + "oops: [\n"
	st = ask[State](c, 200, "PUT", "/api/text", TextChange{Revision: st.Revision, Text: draft})
	other := strings.Replace(small, "Bench", "Again", 1)
	if err := os.WriteFile(path, []byte(other), 0o644); err != nil {
		t.Fatal(err)
	}
	until(t, "the question is put", func() bool { st = c.state(); return st.Disk != nil })
	if x := ask[TextView](c, 200, "GET", "/api/text", nil); x.Text != draft || st.Disk.Text != other {
		t.Errorf("%+v", st.Disk)
	}
	st = ask[State](c, 200, "POST", "/api/disk", DiskAnswer{st.Revision, "theirs"})
	if st.Title != "Again" || st.Disk != nil || !st.Saved {
		t.Errorf("%+v", st)
	}
	// Ours is still in the history.
	ask[State](c, 200, "POST", "/api/undo", Step{st.Revision})
	if x := ask[TextView](c, 200, "GET", "/api/text", nil); x.Text != draft {
		t.Error("undo does not bring ours back")
	}
}
