package server

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"halfstop/internal/store"
	"halfstop/internal/store/storetest"
	"halfstop/yamltext"
)

// crash ends a server as a kill does, but in this process: nothing is saved, and the system takes
// its locks back.
func (c *client) crash() {
	c.t.Helper()
	c.s.book.turn.Lock() // what is being answered is answered
	c.s.book.mu.Lock()
	c.s.book.closed = true
	if c.s.book.saver != nil {
		c.s.book.saver.Stop()
	}
	for _, l := range c.s.book.locks {
		l.Release()
	}
	c.s.book.locks, c.s.book.journal = nil, nil
	c.s.book.demo = true // whatever still runs saves nothing
	c.s.book.mu.Unlock()
	c.s.book.turn.Unlock()
	c.stop()
}

func (c *client) text() string {
	c.t.Helper()
	return ask[TextView](c, 200, "GET", "/api/text", nil).Text
}

func (c *client) retype(text string) State {
	c.t.Helper()
	return ask[State](c, 200, "PUT", "/api/text", TextChange{Revision: c.state().Revision, Text: text})
}

// has reports whether a state tells of a trouble.
func (s State) has(c TroubleCode) bool {
	return slices.ContainsFunc(s.Troubles, func(t Trouble) bool { return t.Code == c })
}

// TestJournalAfterFailedWrite: the disk of the journals fills up and has room again. What is not
// kept is said to be in memory only, until it is kept; and the text after half a line is not lost
// with it.
func TestJournalAfterFailedWrite(t *testing.T) {
	for name, heal := range map[string]func(c *client) string{
		"by the next change": func(c *client) string { return c.retype(small + "oops: [2\n").Keeping.Memory },
		"by itself": func(c *client) string {
			until(c.t, "it is kept by itself", func() bool { return c.state().Keeping.Memory == "" })
			return ""
		},
	} {
		shoot, journals, disk := onDisk(t, small), t.TempDir(), storetest.NewFull()
		c := start(t, Options{Shoot: shoot, Journals: journals, Disk: disk})
		if st := c.retype(small + "oops: [0\n"); st.Keeping.Memory != "" || st.Keeping.Reason != "draft" {
			t.Fatalf("%+v", st.Keeping)
		}
		disk.Room(100) // half a line
		st := c.retype(small + "oops: [1\n")
		if !strings.HasPrefix(st.Keeping.Memory, "kept in memory only, because the disk is full") ||
			!st.has(TroubleMemory) || st.Trouble == "" {
			t.Errorf("%s: the answer to a change that was not kept: %+v %q", name, st.Keeping, st.Trouble)
		}
		disk.Room(1 << 30)
		if m := heal(c); m != "" {
			t.Errorf("%s: %s", name, m)
		}
		if st := c.state(); st.has(TroubleMemory) || st.Trouble != "" {
			t.Errorf("%s: the trouble is over and is still told: %+v", name, st.Troubles)
		}
		want := c.text()
		c.crash()
		again, _ := store.Read(shoot.Path, nil)
		if c = start(t, Options{Shoot: again, Journals: journals}); c.text() != want {
			t.Errorf("%s: after a kill there is %q, was %q", name, c.text(), want)
		}
		c.stop()
	}
}

// TestJournalFullAtRenewal: a journal that is too long and cannot be written anew goes on as it is.
func TestJournalFullAtRenewal(t *testing.T) {
	disk := storetest.NewFull()
	path := filepath.Join(t.TempDir(), "a.journal")
	j, _, err := openJournal(disk, path, "/x", "", []byte("a"), false)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(j.keep([]byte("one"), []string{"1"}), j.sync()); err != nil {
		t.Fatal(err)
	}
	disk.Room(10)
	j.size = mostJournal + 1
	if err := j.keep([]byte("two"), []string{"1", "2"}); err == nil {
		t.Error("a full disk kept it")
	}
	disk.Room(1 << 30)
	if err := j.keep([]byte("three"), []string{"1", "2", "3"}); err != nil {
		t.Error(err)
	}
	j.close()
	k, _, err := openJournal(disk, path, "/x", "", []byte("a"), false)
	if err != nil || string(k.found) != "three" || len(k.taken) != 3 {
		t.Errorf("%v %q %v", err, k.found, k.taken)
	}
}

// TestTwoStarts: of two programs that open a shoot in the same instant one lives, and the other
// says where, also where each has a cache folder of its own.
func TestTwoStarts(t *testing.T) {
	rounds := 4
	if os.Getenv("HALFSTOP_LONG") != "" {
		rounds = 40
	}
	for n := range rounds {
		shoot, journals := onDisk(t, small), []string{t.TempDir(), t.TempDir()}
		if n%2 == 0 {
			journals[1] = journals[0]
		}
		var both [2]process
		var wg sync.WaitGroup
		for i := range both {
			wg.Go(func() { both[i] = serving(t, shoot.Path, journals[i]) })
		}
		wg.Wait()
		live := 0
		for _, p := range both {
			if p.s.Address != "" {
				live++
				continue
			}
			_ = p.cmd.Wait()
			if said := p.errs.String(); !strings.Contains(said, "open already: http://") {
				t.Errorf("round %d: the second says %q", n, said)
			}
		}
		for _, p := range both {
			p.kill()
		}
		if live != 1 {
			t.Fatalf("round %d: %d of two live", n, live)
		}
	}
}

// TestNoCacheFolder: without a folder for journals what is unsaved stands beside the shoot, which
// is said; and it is found again when there is one.
func TestNoCacheFolder(t *testing.T) {
	for _, later := range []string{"", t.TempDir()} {
		shoot := onDisk(t, small)
		c := start(t, Options{Shoot: shoot, Reason: "$HOME is not defined"})
		st := c.state()
		if !st.has(TroubleBeside) || st.Trouble != "" || !strings.Contains(st.Troubles[0].Text, "$HOME") ||
			filepath.Dir(st.Keeping.Where) != filepath.Dir(absolute(shoot.Path)) {
			t.Fatalf("%+v %+v", st.Troubles, st.Keeping)
		}
		draft := small + "oops: [\n"
		c.retype(draft)
		c.crash()
		again, _ := store.Read(shoot.Path, nil)
		c = start(t, Options{Shoot: again, Journals: later})
		if c.text() != draft {
			t.Errorf("later in %q: %q", later, c.text())
		}
		c.retype(small)
		c.stop()
		// Glob gives . and .. on some systems
		if left, _ := filepath.Glob(filepath.Dir(shoot.Path) + "/.*"); len(left) > 2 {
			t.Errorf("left behind: %v", left)
		}
	}
	// A folder that cannot be made.
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if st := start(t, Options{Shoot: onDisk(t, small), Journals: filepath.Join(file,
		"x")}).state(); !st.has(TroubleBeside) {
		t.Errorf("%+v", st.Troubles)
	}
}

// TestShootGone: a shoot that is deleted or moved while it is open.
func TestShootGone(t *testing.T) {
	for name, how := range map[string]func(path string) error{
		"deleted": os.Remove,
		"moved":   func(path string) error { return os.Rename(path, path+".elsewhere") },
		"folder moved": func(path string) error {
			return os.Rename(filepath.Dir(path),
				filepath.Dir(path)+"-elsewhere")
		},
	} {
		shoot, journals := onDisk(t, small), t.TempDir()
		c := start(t, Options{Shoot: shoot, Journals: journals})
		if err := how(shoot.Path); err != nil {
			t.Fatal(err)
		}
		st := c.edit("date", "", Edit{Set: "shoot.date", Value: "2026-03-14"})
		until(t, name+" is told", func() bool { st = c.state(); return st.Keeping.Reason == "gone" })
		if st.Keeping.Word != "unsaved" || st.Saved || !st.has(TroubleGone) || st.Trouble == "" {
			t.Errorf("%s: %+v", name, st)
		}
		st = c.edit("title", "", Edit{Set: "shoot.title", Value: "Alone"})
		want := c.text()
		ask[Problem](c, 422, "POST", "/api/disk", DiskAnswer{st.Revision, "theirs"})
		// The end says where the text is.
		done := c.end()
		if done == nil || !strings.Contains(done.Error(), "halfstop open") ||
			!strings.Contains(done.Error(), st.Keeping.Where) {
			t.Errorf("%s: the end says %v", name, done)
		}
		// It is found by its folder and by its name.
		again := Unsaved(journals, filepath.Dir(shoot.Path))
		if again == nil || Unsaved(journals, shoot.Path) == nil ||
			Unsaved(journals, filepath.Dir(shoot.Path)+"/other.yaml") != nil {
			t.Fatalf("%s: what was kept is not found: %v", name, again)
		}
		c = start(t, Options{Shoot: again, Journals: journals})
		st = c.state()
		if c.text() != want || st.Keeping.Reason != "gone" || !st.Restored || st.Title != "Alone" {
			t.Fatalf("%s: %+v\n%s", name, st, c.text())
		}
		st = ask[State](c, 200, "POST", "/api/disk", DiskAnswer{st.Revision, "ours"})
		if c.disk() != want || st.Keeping.Word != "saved" || len(st.Troubles) != 0 {
			t.Errorf("%s: written back: %+v", name, st)
		}
		c.stop()
		if left, _ := filepath.Glob(journals + "/*"); len(left) != 0 {
			t.Errorf("%s: a clean end leaves %v", name, left)
		}
	}
}

// TestComesBack: a file that was away for a while is followed again, and its trouble ends.
func TestComesBack(t *testing.T) {
	shoot := onDisk(t, small)
	c := start(t, Options{Shoot: shoot, Journals: t.TempDir()})
	away := shoot.Path + "~"
	if err := os.Rename(shoot.Path, away); err != nil {
		t.Fatal(err)
	}
	c.edit("date", "", Edit{Set: "shoot.date", Value: "2026-03-14"})
	until(t, "it is gone", func() bool { return c.state().Keeping.Reason == "gone" })
	if err := os.Rename(away, shoot.Path); err != nil {
		t.Fatal(err)
	}
	until(t, "it is saved", func() bool { return c.state().Keeping.Word == "saved" })
	if st := c.state(); len(st.Troubles) != 0 || c.disk() != c.text() || !strings.Contains(c.disk(), "2026-03-14") {
		t.Errorf("%+v\n%s", st.Troubles, c.disk())
	}
}

// TestShootDiskFull: saving is tried again by itself until it holds, and is told as long as it does
// not.
func TestShootDiskFull(t *testing.T) {
	shoot, disk := onDisk(t, small), storetest.NewFull()
	shoot.Disk = disk
	c := start(t, Options{Shoot: shoot, Journals: t.TempDir()})
	disk.Room(20)
	c.edit("date", "", Edit{Set: "shoot.date", Value: "2026-03-14"})
	until(t, "it is told", func() bool { return c.state().Keeping.Reason == "failed" })
	if st := c.state(); st.Keeping.Word != "unsaved" || !strings.Contains(st.Keeping.Why, "the disk is full") ||
		st.Saved || st.Keeping.Memory != "" || c.disk() != small {
		t.Errorf("%+v", st.Keeping)
	}
	disk.Room(1 << 30)
	until(t, "it is saved by itself", func() bool { return c.state().Keeping.Word == "saved" })
	if st := c.state(); len(st.Troubles) != 0 || c.disk() != c.text() {
		t.Errorf("%+v", st.Troubles)
	}
	if left, _ := filepath.Glob(filepath.Dir(shoot.Path) + "/.*.tmp"); len(left) != 0 {
		t.Error(left)
	}
}

// TestSaveAsTakesNoJournal: a shoot saved under the name of one that is gone does not take its
// unsaved changes for its own, and does not lose them.
func TestSaveAsTakesNoJournal(t *testing.T) {
	gone, journals := onDisk(t, small), t.TempDir()
	c := start(t, Options{Shoot: gone, Journals: journals})
	theirs := small + "oops: [of the one before\n"
	c.retype(theirs)
	c.crash()
	if err := os.Remove(gone.Path); err != nil {
		t.Fatal(err)
	}
	c = start(t, Options{Shoot: onDisk(t, strings.Replace(small, "Bench", "Other", 1)), Journals: journals})
	st := ask[State](c, 200, "POST", "/api/save", SaveAs{c.state().Revision, gone.Path})
	want := c.text()
	if !st.has(TroubleSetAside) {
		t.Errorf("%+v", st.Troubles)
	}
	c.crash()
	again, err := store.Read(gone.Path, nil)
	if err != nil {
		t.Fatal(err)
	}
	c = start(t, Options{Shoot: again, Journals: journals})
	if st := c.state(); c.text() != want || st.Title != "Other" || st.Restored || st.Draft {
		t.Errorf("%+v\n%s", st, c.text())
	}
	old, _ := filepath.Glob(journals + "/*.old")
	if len(old) != 1 {
		t.Fatal(old)
	}
	if b, _ := os.ReadFile(old[0]); !strings.Contains(string(b), "of the one before") {
		t.Error("the unsaved changes of the one before are lost")
	}
	// A save that fails leaves no empty folder.
	dir := filepath.Join(t.TempDir(), "new")
	c.s.opt.Disk, c.s.book.file.Disk = nil, storetest.NewFull()
	c.s.book.file.Disk.(*storetest.Full).Room(1)
	ask[Problem](c, 422, "POST", "/api/save", SaveAs{c.state().Revision, dir})
	if _, err := os.Stat(dir); err == nil {
		t.Error("an empty folder is left behind")
	}
}

// TestPowerLoss drops what was not flushed, or any part of it, at random instants: the last
// answered change is there.
func TestPowerLoss(t *testing.T) {
	rounds := 60
	if os.Getenv("HALFSTOP_LONG") != "" {
		rounds = 1000
	}
	for seed := range rounds {
		rng := rand.New(rand.NewPCG(uint64(seed), 1))
		dir := t.TempDir()
		path, journals := filepath.Join(dir, "shoot.yaml"), filepath.Join(dir, "journals")
		if err := errors.Join(os.Mkdir(journals, 0o755), os.WriteFile(path, []byte(small), 0o644)); err != nil {
			t.Fatal(err)
		}
		disk := storetest.NewLosing(dir)
		answered := small
		for life := range 3 {
			s, err := store.Read(path, nil)
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			s.Disk = disk
			j, _, err := openJournal(disk, journalIn(journals, path), path, "", s.Src, false)
			if err != nil {
				t.Fatal(err)
			}
			b := newBook(s, nil, false, keeper{journal: j})
			b.saveGap = time.Hour
			if string(b.text) != answered {
				t.Fatalf("seed %d, life %d: after power was lost there is\n%s\nlast answered was\n%s", seed, life,
					b.text, answered)
			}
			for n := range rng.IntN(6) {
				next := fmt.Sprintf("%s# %d %d\n", small, life, n)
				if rng.IntN(4) == 0 {
					next += "oops: [\n"
				}
				if err := b.change(b.rev, fmt.Sprint(life, n), "type", "",
					func(*yamltext.Doc) ([]byte, error) { return []byte(next), nil }); err != nil {
					t.Fatal(err)
				}
				answered = next
				if rng.IntN(3) == 0 {
					if err := b.save(); err != nil {
						t.Fatal(err)
					}
				}
			}
			if b.saver != nil {
				b.saver.Stop()
			}
			if err := disk.PowerLoss(rng); err != nil {
				t.Fatal(err)
			}
		}
	}
}

// TestKilledAtRandom kills a server at random instants while it is changed and saves: what it
// answered is there, or a change that was under way.
func TestKilledAtRandom(t *testing.T) {
	rounds := 6
	if os.Getenv("HALFSTOP_LONG") != "" {
		rounds = 250
	}
	shoot, journals := onDisk(t, small), t.TempDir()
	rng := rand.New(rand.NewPCG(4, 2))
	answered, sent := small, small
	for n := range rounds {
		p := serving(t, shoot.Path, journals, "HALFSTOP_TEST_SAVE=5ms")
		if p.s.Address == "" {
			t.Fatalf("kill %d: it does not start: %s", n, p.errs)
		}
		text, rev := "", 0
		if st, err := p.try(); err == nil {
			rev = st.Revision
		}
		if text = p.client.text(); text != answered && text != sent {
			t.Fatalf("kill %d: there is\n%s\nanswered was\n%s\nsent was\n%s", n, text, answered, sent)
		}
		answered, sent = text, text
		ctx, stop := context.WithTimeout(context.Background(), time.Duration(rng.IntN(250))*time.Millisecond)
		context.AfterFunc(ctx, func() { _ = p.cmd.Process.Kill() })
		for k := 0; ; k++ {
			sent = fmt.Sprintf("%s# %d %d\n", small, n, k)
			st, err := p.try(TextChange{Revision: rev, ID: fmt.Sprintf("%d-%d", n, k), Text: sent})
			if err != nil {
				break
			}
			answered, rev = sent, st.Revision
		}
		stop()
		p.kill()
	}
}

// TestJournalKnowsTheFile: after another program's text was joined with ours the journal knows what
// the file held, so that the next change elsewhere can be joined too after a kill.
func TestJournalKnowsTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.journal")
	j, _, err := openJournal(store.OS, path, "/x", "", []byte("a"), false)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(j.keep([]byte("ours"), nil), j.saved([]byte("theirs")),
		j.keep([]byte("both"), nil)); err != nil {
		t.Fatal(err)
	}
	j.close()
	k, _, err := openJournal(store.OS, path, "/x", "", []byte("theirs"), false)
	if err != nil || string(k.found) != "both" || string(k.was) != "theirs" || k.base != sum([]byte("theirs")) {
		t.Errorf("%v %q %q", err, k.found, k.was)
	}
	k.close()
}
