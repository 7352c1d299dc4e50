package server

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfstop/internal/store"
	"halfstop/yamltext"
)

// desk is a shoot on disk with whoever works on it.
type desk struct {
	t        *testing.T
	path     string
	journals string
	away     string // where it was moved to
	b        *book
	n        int
	log      []string // what was done, for a failure to be understood
}

func (d *desk) open() {
	s, err := store.Read(d.path, nil)
	if errors.Is(err, fs.ErrNotExist) {
		if s = Unsaved(d.journals, filepath.Dir(d.path)); s == nil {
			d.fail("the file is gone and nothing was kept of it")
		}
	} else if err != nil {
		d.t.Fatal(err)
	}
	j, _, err := openJournal(store.OS, journalIn(d.journals, absolute(d.path)), absolute(d.path), "", s.Src, false)
	if err != nil {
		d.t.Fatal(err)
	}
	d.b = newBook(s, nil, false, keeper{journal: j})
	d.b.saveGap = time.Hour
}

// crash leaves the book as a kill does.
func (d *desk) crash() {
	d.b.mu.Lock()
	defer d.b.mu.Unlock()
	d.b.closed = true
	if d.b.saver != nil {
		d.b.saver.Stop()
	}
}

func (d *desk) fail(format string, args ...any) {
	d.t.Helper()
	file, err := os.ReadFile(d.path)
	d.t.Fatalf("%s\n%s\nfile (%v): %q\ntext: %q\nkept: %+v", strings.Join(d.log, "\n"), fmt.Sprintf(format, args...),
		err, file, d.b.text, d.b.keeping())
}

// rest does what the watcher and the timer do in time, and holds what is said of the file to the
// file.
func (d *desk) rest() {
	b := d.b
	for range 3 {
		b.writing.Lock()
		b.readDisk()
		b.writing.Unlock()
		_ = b.save()
	}
	file, err := os.ReadFile(d.path)
	there := err == nil
	k := b.keeping()
	same := there && bytes.Equal(file, b.text)
	ok := false
	switch k.Word {
	case "saved":
		ok = same
	case "differs":
		ok = there && bytes.Equal(file, b.theirs) && !same
	case "unsaved":
		switch k.Reason {
		case "gone":
			ok = !there
		case "draft":
			ok = there && !same && b.broken && bytes.Equal(file, b.file.Src)
		}
	}
	if !ok || k.Memory != "" || b.saved() && b.good != nil && !bytes.Equal(b.good.text, file) {
		d.fail("what is said of the file is not so")
	}
}

// mark adds a remark of its own to a text, at its head or its end, so that it can be found again.
func (d *desk) mark(text []byte, who string, head bool) []byte {
	d.n++
	m := fmt.Sprintf("# %s %d.\n", who, d.n)
	if head {
		return append([]byte(m), text...)
	}
	return append(bytes.Clone(text), m...)
}

// TestInterleavings does changes, drafts, undo, writes of other programs, deletions, renames,
// answers and kills in any order: what is said of the file is so whenever things come to rest; what
// was answered is there after a kill; and what another program wrote is in the text, in the
// question, or was undone by someone.
func TestInterleavings(t *testing.T) {
	rounds := 60
	if os.Getenv("HALFSTOP_LONG") != "" {
		rounds = 2500
	}
	for seed := range rounds {
		rng := rand.New(rand.NewPCG(uint64(seed), 12))
		dir := t.TempDir()
		d := &desk{t: t, path: filepath.Join(dir, "shoot", "shoot.yaml"), journals: filepath.Join(dir, "journals"),
			log: []string{fmt.Sprint("seed ", seed)}}
		if err := errors.Join(os.MkdirAll(filepath.Dir(d.path), 0o755), os.Mkdir(d.journals, 0o755),
			os.WriteFile(d.path, []byte(small), 0o644)); err != nil {
			t.Fatal(err)
		}
		d.open()
		for range 25 {
			b := d.b
			did := func(format string, args ...any) { d.log = append(d.log, fmt.Sprintf(format, args...)) }
			switch op := rng.IntN(14); op {
			case 0, 1, 2, 3: // a change, at times a draft
				next := d.mark(b.text, "ours", rng.IntN(2) == 0)
				if rng.IntN(5) == 0 {
					next = append(next, "oops: [\n"...)
				} else {
					next = bytes.ReplaceAll(next, []byte("oops: [\n"), nil)
				}
				did("change %d", d.n)
				if err := b.change(b.rev, fmt.Sprint("id-", d.n), "type", "",
					func(*yamltext.Doc) ([]byte, error) { return next, nil }); err != nil {
					d.fail("%v", err)
				}
				if !bytes.Equal(b.text, next) {
					d.fail("the text is not what was typed")
				}
			case 4:
				did("undo: %v", b.undo(b.rev))
			case 5:
				did("redo: %v", b.redo(b.rev))
			case 6, 7: // another program
				file, err := os.ReadFile(d.path)
				if err != nil {
					continue
				}
				next := d.mark(file, "theirs", rng.IntN(2) == 0)
				m := fmt.Sprintf("# theirs %d.", d.n)
				did("another program writes %d", d.n)
				if rng.IntN(2) == 0 {
					err = os.WriteFile(d.path, next, 0o644)
				} else {
					err = errors.Join(os.WriteFile(d.path+"~", next, 0o644), os.Rename(d.path+"~", d.path))
				}
				if err != nil {
					t.Fatal(err)
				}
				if rng.IntN(2) == 0 {
					_ = b.save() // ours in the same moment
				}
				d.rest()
				if !bytes.Contains(b.text, []byte(m)) && !bytes.Contains(b.theirs, []byte(m)) {
					d.fail("%s is nowhere", m)
				}
			case 8:
				did("delete: %v", os.Remove(d.path))
			case 9:
				if d.away == "" {
					did("move away: %v", os.Rename(d.path, d.path+".away"))
					d.away = d.path + ".away"
				} else {
					did("move back: %v", os.Rename(d.away, d.path))
					d.away = ""
				}
			case 10:
				take := rng.IntN(2) == 0
				did("settle, theirs %v: %v", take, b.resolveConflict(b.rev, take))
			case 11:
				did("save: %v", b.save())
			default:
				down := rng.IntN(3) == 0
				before, foreign, broken := b.text, b.foreign, b.broken
				file, err := os.ReadFile(d.path)
				seen := err == nil && (bytes.Equal(file, b.file.Src) || bytes.Equal(file, b.theirs))
				did("kill")
				d.crash()
				written := false
				if down && err == nil {
					written = true
					if err := os.WriteFile(d.path, d.mark(file, "theirs", rng.IntN(2) == 0), 0o644); err != nil {
						t.Fatal(err)
					}
					did("another program writes %d while nobody runs", d.n)
				}
				d.open()
				if !written && seen && !foreign && !bytes.Equal(d.b.text, before) {
					d.fail("after the kill the text is another; before: %q", before)
				}
				if !broken && !bytes.Equal(d.b.text, before) {
					for line := range bytes.Lines(before) {
						if bytes.HasPrefix(line, []byte("# ours")) && !bytes.Contains(d.b.text, line) &&
							!bytes.Contains(file, line) && len(d.b.steps) == 0 {
							d.fail("after the kill %q is nowhere", line)
						}
					}
				}
			}
			if rng.IntN(2) == 0 {
				d.rest()
			}
		}
		d.rest()
		d.crash()
	}
}
