package server

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"halfstop/internal/store"
	"halfstop/shoot"
)

// Saving is debounced: several changes in a row are saved once. One that failed is tried again with
// exponential back-off.
const (
	saveGap  = 250 * time.Millisecond // from a change to its saving
	mostWait = 30 * time.Second
	lookGap  = 250 * time.Millisecond
	readGap  = 5 * time.Second // a file whose size and time stay is read all the same
)

// writeJournal puts the text into the journal. turn is held.
func (b *book) writeJournal(text []byte) {
	if b.journal == nil {
		return
	}
	err := b.journal.keep(text, b.taken)
	b.mu.Lock()
	defer b.mu.Unlock()
	b.memory(err)
}

// memory notes whether the text is in memory only. mu is held.
func (b *book) memory(err error) {
	if err != nil {
		if b.woe.set(TroubleMemory, "kept in memory only, because %s (%s)", reason(err), b.journal.path) {
			b.log("%s", b.woe[TroubleMemory])
		}
	} else if b.woe.clear(TroubleMemory) {
		b.log("changes are kept against a crash again")
	}
}

// awaitDurable waits until what was changed so far is on the medium, or is said to be in memory
// only. No lock is held.
func (b *book) awaitDurable() {
	b.mu.Lock()
	j := b.journal
	b.mu.Unlock()
	if j == nil {
		return
	}
	if err := j.sync(); err != nil {
		b.mu.Lock()
		defer b.mu.Unlock()
		if b.journal == j {
			b.memory(err)
		}
	}
}

// retryJournal tries again to put the text into the journal where the last try failed.
func (b *book) retryJournal() bool {
	b.turn.Lock()
	defer b.turn.Unlock()
	b.mu.Lock()
	_, failed := b.woe[TroubleMemory]
	text := b.text
	failed = failed && b.journal != nil
	b.mu.Unlock()
	if !failed {
		return false
	}
	b.writeJournal(text)
	if b.journal.sync() != nil {
		return false
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.woe[TroubleMemory] == ""
}

// scheduleSave saves soon, debounced: several changes in a row are saved once. mu is held.
func (b *book) scheduleSave() {
	if b.demo || b.file.Path == "" || b.broken || b.foreign || b.gone || b.closed {
		return
	}
	if b.saver == nil {
		b.saver = time.AfterFunc(max(b.saveGap, b.wait), func() {
			defer b.guard("saving")
			_ = b.save()
		})
	}
}

// save writes the last text without errors to the file now. Where that fails it is tried again by
// itself.
func (b *book) save() error {
	b.writing.Lock()
	defer b.writing.Unlock()
	b.mu.Lock()
	if b.saver != nil {
		b.saver.Stop()
		b.saver = nil
	}
	if b.demo || b.file.Path == "" || b.broken || b.foreign || b.gone || bytes.Equal(b.text, b.file.Src) {
		over := !b.broken && bytes.Equal(b.text, b.file.Src) && b.woe.clear(TroubleUnwritten) // undone
		b.mu.Unlock()
		if over {
			b.tell()
		}
		return nil
	}
	text, file := b.text, *b.file
	b.mu.Unlock()
	err := file.Write(text)
	if errors.Is(err, store.ErrChanged) || errors.Is(err, fs.ErrNotExist) {
		b.readDisk()
		b.tell()
		return err
	}
	b.turn.Lock()
	defer b.turn.Unlock()
	if err == nil && b.journal != nil {
		_ = b.journal.saved(text) // not noted: the next start finds the text in both
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.file.Wrote(&file)
	if err != nil {
		b.wait = min(mostWait, max(2*b.wait, b.saveGap))
		if b.woe.set(TroubleUnwritten,
			"the file cannot be saved: %s; it is tried again by itself, and the text is kept here", reason(err)) {
			b.log("%s", b.woe[TroubleUnwritten])
		}
		b.scheduleSave()
	} else {
		b.wait = 0
		b.woe.clear(TroubleUnreadable)
		if b.woe.clear(TroubleUnwritten) {
			b.log("%s is saved again", b.file.Name)
		}
		b.scheduleSave() // what came meanwhile
	}
	b.spawn("telling of a save", b.changed)
	return err
}

// saved reports whether the file holds the last text without errors. mu is held.
func (b *book) saved() bool {
	return !b.demo && b.file.Path != "" && b.good != nil && bytes.Equal(b.good.text, b.file.Src) && !b.foreign &&
		!b.gone && b.woe[TroubleUnwritten] == "" && b.woe[TroubleUnreadable] == ""
}

// readDisk reads the file and deals with what another program did to
// it. writing is held. It reports whether something changed.
func (b *book) readDisk() bool {
	b.mu.Lock()
	path, demo := b.file.Path, b.demo
	b.mu.Unlock()
	if demo || path == "" {
		return false
	}
	now, err := store.ReadPlan(path)
	b.turn.Lock()
	defer b.turn.Unlock()
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return b.fileGone()
	case err != nil:
		b.mu.Lock()
		defer b.mu.Unlock()
		return b.woe.set(TroubleUnreadable, "the file cannot be read any more: %v; the text here is kept", err)
	}
	b.mu.Lock()
	over := b.woe.clear(TroubleUnreadable)
	if b.gone {
		b.gone, over = false, true
		b.woe.clear(TroubleGone)
	}
	b.mu.Unlock()
	return b.fileRead(now) || over
}

// fileGone notes that the file is gone, and puts the text where it is found again. turn is held.
func (b *book) fileGone() bool {
	b.mu.Lock()
	text, was := b.text, b.gone
	b.gone = true
	b.theirs, b.foreign = nil, false
	where := "it can be written back, or saved under another name"
	if b.journal != nil {
		where += ", and stays in the journal until then"
	}
	news := b.woe.set(TroubleGone,
		"%s is gone: deleted, moved or renamed by another program. The text is kept here; %s", b.file.Path, where)
	b.woe.clear(TroubleUnwritten)
	b.woe.clear(TroubleUnreadable)
	if news {
		b.log("%s", b.woe[TroubleGone])
	}
	b.mu.Unlock()
	if !was {
		b.writeJournal(text)
	}
	return news || !was
}

// fileRead deals with what stands in the file now. turn is held.
func (b *book) fileRead(now []byte) bool {
	b.mu.Lock()
	text, src, theirs, foreign, name := b.text, b.file.Src, b.theirs, b.foreign, b.file.Name
	b.mu.Unlock()
	stands := func(with []byte) { // the file is known to hold this
		b.mu.Lock()
		b.file.Src, b.theirs, b.foreign = bytes.Clone(with), nil, false
		b.mu.Unlock()
	}
	save := func() {
		b.mu.Lock()
		b.scheduleSave()
		b.mu.Unlock()
	}
	switch {
	case bytes.Equal(now, src):
		if foreign { // put back by the other program
			stands(now)
		}
		save()
		return foreign
	case foreign && bytes.Equal(now, theirs):
		return false
	case bytes.Equal(now, text):
		stands(now)
		if b.journal != nil {
			_ = b.journal.saved(now)
		}
		return true
	case !foreign && bytes.Equal(text, src): // nothing of ours is unsaved: follow
		stands(now)
		if b.journal != nil {
			_ = b.journal.saved(now)
		}
		b.add("from disk", "", bytes.Clone(now))
		return true
	}
	if !foreign {
		if merged, ok := mergeTexts(name, src, text, now); ok {
			stands(now)
			if b.journal != nil {
				_ = b.journal.saved(now)
			}
			b.add("from disk", "", merged)
			return true
		}
	}
	b.mu.Lock()
	b.theirs, b.foreign = now, true
	b.mu.Unlock()
	return true
}

// watch looks at the file until done is closed. kit is what of it was seen when the program began,
// so that what comes before the first round is not missed.
func (b *book) watch(done <-chan struct{}, every time.Duration, kit string) {
	w := watched{}
	t := time.NewTicker(every)
	defer t.Stop()
	for {
		select {
		case <-done:
			return
		case <-t.C:
		}
		b.poll(&w, &kit)
	}
}

// watched is what was seen of the file last.
type watched struct {
	info fs.FileInfo
	read time.Time // when it was last read whole
	wait time.Duration
	next time.Time // when a journal that failed is tried again
}

// poll does one round of watching. A fault in it is told, and the next round comes.
func (b *book) poll(w *watched, kit *string) {
	defer b.guard("watching the file")
	if now := time.Now(); now.After(w.next) {
		if b.retryJournal() {
			w.wait = 0
			b.changed()
		} else {
			w.wait = min(mostWait, max(2*w.wait, b.saveGap))
		}
		b.mu.Lock()
		if b.woe[TroubleMemory] == "" {
			w.wait = 0
		}
		b.mu.Unlock()
		w.next = now.Add(w.wait)
	}
	b.mu.Lock()
	path := b.file.Path
	b.mu.Unlock()
	if path == "" {
		return
	}
	if b.reloadKit(kit) {
		b.changed()
		b.kitChanged()
	}
	// A time is good to the system's tick only: what was written a moment ago is read again.
	info, err := os.Stat(path)
	same := err == nil && w.info != nil && os.SameFile(info, w.info) && info.Size() == w.info.Size() &&
		info.ModTime().Equal(w.info.ModTime())
	if same && time.Since(info.ModTime()).Abs() > 2*time.Second && time.Since(w.read) < readGap {
		return
	}
	w.info, w.read = info, time.Now()
	b.writing.Lock()
	moved := b.readDisk()
	b.writing.Unlock()
	if moved {
		b.changed()
	}
}

// kitSignature says by names, sizes and times what files of kit stand beside the shoot.
func (b *book) kitSignature() string {
	b.mu.Lock()
	path := b.file.Path
	b.mu.Unlock()
	if path == "" {
		return ""
	}
	seen := path
	entries, _ := os.ReadDir(filepath.Join(filepath.Dir(path), "kit"))
	for _, e := range entries {
		if info, err := e.Info(); err == nil {
			seen += fmt.Sprintf("\n%s %d %d", e.Name(), info.Size(), info.ModTime().UnixNano())
		}
	}
	return seen
}

// reloadKit reads the files of kit again where they are not as seen last, and decodes the text with
// them. It reports whether something changed. Kit that cannot be read leaves that of before in
// force and is told as a trouble.
func (b *book) reloadKit(seen *string) bool {
	now := b.kitSignature()
	if now == *seen {
		return false
	}
	*seen = now
	b.mu.Lock()
	dir := filepath.Dir(b.file.Path)
	b.mu.Unlock()
	list, err := store.Kits(dir)
	b.turn.Lock()
	defer b.turn.Unlock()
	b.mu.Lock()
	text, kit := b.text, b.file.Kit
	if err != nil {
		defer b.mu.Unlock()
		return b.woe.set(TroubleKit, "the kit beside the shoot cannot be read: %v; that of before stays in force", err)
	}
	over := b.woe.clear(TroubleKit)
	b.mu.Unlock()
	own := filepath.Join(dir, "kit") + string(filepath.Separator)
	for _, k := range kit {
		if !strings.HasPrefix(k.Name, own) {
			list = append(list, k)
		}
	}
	if slices.EqualFunc(list, kit, func(x, y shoot.KitFile) bool {
		return x.Name == y.Name &&
			bytes.Equal(x.Src, y.Src)
	}) {
		return over
	}
	b.take(text, list)
	return true
}

// resolveConflict answers a change on disk: theirs takes the file's text (ours stays in the
// history), ours writes over it, with a backup. Where the file is gone ours writes it back.
func (b *book) resolveConflict(rev int, theirs bool) error {
	b.writing.Lock()
	defer b.writing.Unlock()
	b.mu.Lock()
	stale, gone, foreign, broken, text, good, file, their := rev != b.rev, b.gone, b.foreign, b.broken, b.text,
		b.good, *b.file, b.theirs
	b.mu.Unlock()
	switch {
	case stale:
		return errStale
	case gone && theirs:
		return refuse(http.StatusUnprocessableEntity, "the file is gone: there is nothing to take")
	case gone:
		if broken && good == nil {
			return refuse(http.StatusUnprocessableEntity,
				"the text has errors, and there was none without; mend them first, then write it back")
		}
		if broken {
			text = good.text
		}
		if err := file.WriteBack(text); err != nil && !errors.Is(err, fs.ErrExist) {
			return err
		} else if err == nil {
			b.turn.Lock()
			b.mu.Lock()
			b.file.Wrote(&file)
			b.mu.Unlock()
			if b.journal != nil {
				_ = b.journal.saved(text)
			}
			b.turn.Unlock()
		}
		b.readDisk()
		b.tell()
		return nil
	case !foreign:
		return refuse(http.StatusUnprocessableEntity, "the file was not changed by another program")
	}
	if !theirs {
		if _, err := store.Backup(file.Path); err != nil {
			return err
		}
	}
	b.turn.Lock()
	defer b.turn.Unlock()
	b.mu.Lock()
	b.file.Src, b.theirs, b.foreign = bytes.Clone(their), nil, false
	if !theirs {
		b.scheduleSave()
	}
	b.mu.Unlock()
	if b.journal != nil {
		_ = b.journal.saved(their)
	}
	if theirs {
		b.add("take the file's text", "", bytes.Clone(their))
	} else {
		b.tell()
	}
	return nil
}

// saveAs puts the last good text into a new file and goes on with that. open takes the new file's
// locks and opens its journal, which is to be begun anew: what a shoot of that name left that is
// gone is not this one's.
func (b *book) saveAs(rev int, path string, open func(path string, base []byte) (keeper, error)) error {
	b.writing.Lock()
	defer b.writing.Unlock()
	b.mu.Lock()
	stale, broken, text, kit := rev != b.rev, b.broken, b.text, b.file.Kit
	b.mu.Unlock()
	if stale {
		return errStale
	}
	if broken {
		return refuse(http.StatusUnprocessableEntity, "the text has errors; mend them first, then save")
	}
	path = filepath.Clean(path)
	made := ""
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		path = filepath.Join(path, store.PlanName)
	} else if ext := strings.ToLower(filepath.Ext(path)); ext != ".yaml" && ext != ".yml" {
		if err := os.Mkdir(path, 0o755); err != nil {
			return fmt.Errorf(
				"%s: a name that ends in .yaml is a file, any other a new folder; the folder cannot be made: %s",
				path, reason(err))
		}
		made = path
		path = filepath.Join(path, store.PlanName)
	}
	undone := func(err error) error {
		if made != "" {
			_ = os.Remove(made) // only where it is empty
		}
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already; give a new name", path)
	}
	k, err := open(path, text)
	if err != nil {
		return undone(err)
	}
	f := store.Missing(path)
	f.Disk = b.file.Disk
	if err := f.WriteBack(text); err != nil {
		if k.journal != nil {
			k.journal.drop()
		}
		k.release()
		return undone(err)
	}
	own, err := store.Kits(f.Dir)
	if err != nil {
		k.troubles = append(k.troubles, Trouble{Code: TroubleKit,
			Text: fmt.Sprintf("the kit beside the shoot cannot be read: %v", err)})
	}
	b.turn.Lock()
	defer b.turn.Unlock()
	if b.kitFolder() == "" {
		left, bad := b.saveKit(f.Dir, kit)
		now, err := store.Kits(f.Dir)
		if bad = errors.Join(bad, err); bad != nil {
			k.troubles = append(k.troubles, Trouble{Code: TroubleKit,
				Text: fmt.Sprintf("part of the kit is not saved with the shoot: %v", bad)})
		}
		own, kit = now, left
	}
	b.mu.Lock()
	old, files := keeper{journal: b.journal, locks: b.locks}, b.files
	b.locks = k.locks
	b.journal, b.file, b.demo, b.gone, b.foreign, b.theirs, b.wait = k.journal, f, false, false, false, nil, 0
	b.woe = map[TroubleCode]string{}
	for _, t := range k.troubles {
		b.woe.set(t.Code, "%s", t.Text)
	}
	b.files = func(name string) ([]byte, error) {
		data, err := f.ReadFile(name, mostRead)
		if err != nil && files != nil {
			return files(name)
		}
		return data, err
	}
	now := b.text
	b.mu.Unlock()
	if old.journal != nil {
		old.journal.drop()
	}
	old.release()
	b.take(now, append(own, kit...))
	b.writeJournal(now)
	b.mu.Lock()
	b.scheduleSave() // what was changed while it was written
	b.mu.Unlock()
	b.tell()
	return nil
}

// close saves what can be saved and drops the journal where nothing in it is needed any more.
func (b *book) close() error {
	err := b.save()
	// joined with what another program wrote, or left for someone to say
	for n := 0; n < 3 && errors.Is(err, store.ErrChanged); n++ {
		err = b.save()
	}
	b.writing.Lock()
	defer b.writing.Unlock()
	b.turn.Lock()
	defer b.turn.Unlock()
	b.mu.Lock()
	b.closed = true
	if b.saver != nil {
		b.saver.Stop()
		b.saver = nil
	}
	text, j := b.text, b.journal
	k := keeper{locks: b.locks}
	defer k.release()
	whole := b.demo || bytes.Equal(text, b.file.Src) && !b.foreign && !b.gone
	b.mu.Unlock()
	if j == nil {
		return err
	}
	if whole {
		j.drop()
		return err
	}
	b.writeJournal(text)
	j.close()
	b.mu.Lock()
	defer b.mu.Unlock()
	if why := b.keeping().Why; b.gone || err != nil {
		if b.gone {
			why = "it is gone"
		}
		err = fmt.Errorf("%s is not saved: %s. The text is kept in %s and is there when the shoot is opened again: "+
			"halfstop open %s", b.file.Name, why, j.path, b.file.Path)
	}
	return err
}
