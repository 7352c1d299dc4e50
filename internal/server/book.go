package server

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/store"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// Limits of the history.
const (
	mostSteps = 500
	mostUndo  = 16 << 20  // bytes of texts that steps hold, but the newest step is always kept
	mostText  = 4 << 20   // bytes of the text
	mostRead  = 256 << 20 // bytes of a photometric file or a mesh
	mostTaken = 256       // ids of changes that are remembered
	mostPast  = 1 << 20   // bytes of texts of earlier revisions: half a minute of a drag of a plan of 8 KiB
)

// errStale says that a change is based on an older revision than the text's.
var errStale = errors.New("the shoot was changed by another page in the meantime; look at it and do it again")

// step is one change of the text.
type step struct {
	name, merge   string
	before, after []byte
	number        int
}

// model is a text without errors, decoded. It is never changed.
type model struct {
	rev  int
	text []byte
	job  *answer.Job
	list diag.List
	born time.Time // when the change came
	last time.Time // when the one before came
}

// old is the text of a revision.
type old struct {
	rev  int
	text []byte
}

// book is the text of the shoot with its history, its draft and its place on disk.
type book struct {
	mu         sync.Mutex
	file       *store.Shoot // Src is what stands on disk, as far as is known; Path empty for the demonstration
	files      func(name string) ([]byte, error)
	demo       bool
	text       []byte
	rev        int
	list       diag.List // of the text
	good       *model
	steps      []step
	numbered   int // number of the newest step
	at         int // steps[:at] are done
	broken     bool
	theirs     []byte // unanswered text on disk
	foreign    bool
	trouble    string
	restored   bool
	journal    *journal
	taken      []string // ids of the last changes
	past       []old    // texts of the last revisions
	changed    func()   // told after every change, without the lock
	kitChanged func()   // told after files of kit were read again, without the lock
	saver      *time.Timer
	saveGap    time.Duration
}

// newBook opens a text. recovered is unsaved text of an earlier run, nil for none; conflict says that the file changed since.
func newBook(file *store.Shoot, files func(string) ([]byte, error), demo bool, j *journal) *book {
	b := &book{file: file, files: files, demo: demo, journal: j, saveGap: 250 * time.Millisecond, changed: func() {}, kitChanged: func() {}}
	b.take(bytes.Clone(file.Src))
	if j == nil {
		return b
	}
	found, base := j.found, j.base
	b.taken = slices.Clone(j.taken)
	if found == nil || bytes.Equal(found, file.Src) {
		return b
	}
	before := b.text
	b.restored = true
	b.steps, b.at, b.numbered = []step{{"changes of an earlier run", "", before, found, 1}}, 1, 1
	b.take(found)
	if demo || base == sum(file.Src) {
		return b
	}
	// The file changed while nobody ran: as in look.
	if merged, ok := mergeTexts(file.Name, j.disk, found, file.Src); ok && j.disk != nil {
		_ = j.saved(file.Src)
		b.add("from disk", "", merged)
		return b
	}
	b.theirs, b.foreign = bytes.Clone(file.Src), true
	return b
}

// absolute gives a path that names the file wherever it is said.
func absolute(path string) string {
	if p, err := filepath.Abs(path); err == nil {
		path = p
	}
	if p, err := filepath.EvalSymlinks(path); err == nil {
		path = p
	}
	return path
}

func sum(b []byte) string {
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:])
}

// take makes text the current one: decodes it and keeps the last good model where it has errors. The lock is held (or not yet needed).
func (b *book) take(text []byte) {
	b.rev++
	b.text = text
	b.past = append(b.past, old{b.rev, text})
	kept := 0
	for i := len(b.past) - 1; i >= 0; i-- {
		if kept += len(b.past[i].text); kept > mostPast && i < len(b.past)-1 {
			b.past = slices.Clone(b.past[i+1:])
			break
		}
	}
	s := store.Shoot{Name: b.file.Name, Src: text, Kit: b.file.Kit}
	f, doc, list := s.Parse()
	b.list = placed(doc, list)
	b.broken = list.Has(diag.Error) || len(f.Setups) == 0
	if b.broken && !list.Has(diag.Error) {
		b.list = append(b.list, diag.Message{Severity: diag.Error, Code: "shoot.no-setup", Text: "the shoot has no setup", Fix: "add one under setups:"})
	}
	if !b.broken {
		was := b.good
		b.good = &model{rev: b.rev, text: text, job: &answer.Job{File: f, Doc: doc, Files: b.files}, list: b.list, born: time.Now()}
		if was != nil {
			b.good.last = was.born
		}
	}
}

// snapshot gives the last good model; nil where there never was one.
func (b *book) snapshot() *model {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.good
}

// doc gives the text decoded. The lock is held.
func (b *book) doc() *yamltext.Doc {
	if b.good != nil && bytes.Equal(b.good.job.Doc.Source(), b.text) { // not where it is a draft, or of an older version and migrated
		return b.good.job.Doc
	}
	doc, _ := yamltext.Parse(b.file.Name, b.text)
	return doc
}

// change applies one change based on revision rev. make gets the text of that revision and gives the new one. What was changed since
// then is joined with it where the two do not touch the same thing, so that a place in a list means the entry that was seen there;
// else errStale. A change that was taken already, by its id, is not taken again: a page sends anew what it had no answer to.
func (b *book) change(rev int, id, name, merge string, make func(doc *yamltext.Doc) ([]byte, error)) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if id != "" && slices.Contains(b.taken, id) {
		return nil
	}
	if rev == b.rev {
		next, err := make(b.doc())
		if err != nil {
			return err
		}
		return b.enter(id, name, merge, next)
	}
	i := slices.IndexFunc(b.past, func(o old) bool { return o.rev == rev })
	if i < 0 {
		return errStale
	}
	doc, _ := yamltext.Parse(b.file.Name, b.past[i].text)
	ours, err := make(doc)
	if err != nil {
		return errStale // the newest text may have what it is about
	}
	next, ok := mergeTexts(b.file.Name, b.past[i].text, ours, b.text)
	if !ok {
		return errStale
	}
	return b.enter(id, name, merge, next)
}

// retype takes a whole text that was made from base. Where the text has changed since, the two changes are joined if they do not
// touch the same thing; else errStale.
func (b *book) retype(id, name, merge string, base, text []byte) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if id != "" && slices.Contains(b.taken, id) {
		return nil
	}
	next, ok := mergeTexts(b.file.Name, base, text, b.text)
	if !ok {
		return errStale
	}
	return b.enter(id, name, merge, next)
}

// enter makes a text current unless it is too long or the same. The lock is held.
func (b *book) enter(id, name, merge string, next []byte) error {
	if len(next) > mostText {
		return fmt.Errorf("the text would be %d KiB long; %d KiB is the most", len(next)>>10, mostText>>10)
	}
	if bytes.Equal(next, b.text) {
		return nil
	}
	if id != "" {
		b.taken = append(b.taken[max(0, len(b.taken)-mostTaken+1):], id)
	}
	b.add(name, merge, next)
	return nil
}

// add puts a change into history, journal and force.
func (b *book) add(name, merge string, next []byte) {
	if name == "" {
		name = "edit"
	}
	b.steps = b.steps[:b.at]
	if n := len(b.steps); merge != "" && n > 0 && b.steps[n-1].merge == merge {
		b.steps[n-1].after = next
	} else {
		b.numbered++
		b.steps = append(b.steps, step{name, merge, b.text, next, b.numbered})
	}
	first, kept := max(0, len(b.steps)-mostSteps), 0
	for i := len(b.steps) - 1; i >= first; i-- { // what a step starts from is what the one before ends with
		if kept += len(b.steps[i].after); kept > mostUndo && i < len(b.steps)-1 {
			first = i + 1
		}
	}
	if first > 0 {
		b.steps = slices.Clone(b.steps[first:])
	}
	b.at = len(b.steps)
	b.force(next)
}

// force makes a text current and keeps it.
func (b *book) force(text []byte) {
	b.take(text)
	if b.journal != nil {
		if err := b.journal.keep(text, b.taken); err != nil {
			b.trouble = fmt.Sprintf("changes cannot be kept against a crash: %v", err)
		}
	}
	b.later()
	go b.changed()
}

// undo takes the last change back; redo does it again.
func (b *book) undo(rev int) error { return b.move(rev, -1) }
func (b *book) redo(rev int) error { return b.move(rev, 1) }

func (b *book) move(rev, by int) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if rev != b.rev {
		return errStale
	}
	switch {
	case by < 0 && b.at > 0:
		b.at--
		if len(b.steps) > 0 {
			b.steps[b.at].merge = ""
		}
		b.force(b.steps[b.at].before)
	case by > 0 && b.at < len(b.steps):
		b.at++
		b.force(b.steps[b.at-1].after)
	case by < 0:
		return errors.New("there is nothing to undo")
	default:
		return errors.New("there is nothing to redo")
	}
	return nil
}

// later saves soon; several changes in a row are saved once. The lock is held.
func (b *book) later() {
	if b.demo || b.file.Path == "" || b.broken || b.foreign {
		return
	}
	if b.saver == nil {
		b.saver = time.AfterFunc(b.saveGap, func() { _ = b.save() })
	}
}

// save writes the last text without errors to the file now.
func (b *book) save() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.saver != nil {
		b.saver.Stop()
		b.saver = nil
	}
	if b.demo || b.file.Path == "" || b.broken || b.foreign || bytes.Equal(b.text, b.file.Src) {
		return nil
	}
	err := b.file.Write(b.text)
	switch {
	case errors.Is(err, store.ErrChanged):
		b.look()
	case err != nil:
		b.trouble = err.Error()
	default:
		b.trouble = ""
		if b.journal != nil {
			_ = b.journal.saved(b.text)
		}
	}
	go b.changed()
	return err
}

// saved reports whether the file holds the last good text. The lock is held.
func (b *book) saved() bool {
	return !b.demo && b.file.Path != "" && b.good != nil && bytes.Equal(b.good.text, b.file.Src) && !b.foreign
}

// look reads the file and deals with what another program wrote into it. The lock is held. It reports whether something changed.
func (b *book) look() bool {
	if b.demo || b.file.Path == "" {
		return false
	}
	now, err := readPlan(b.file.Path)
	if err != nil {
		t := fmt.Sprintf("the file cannot be read any more: %v; the text here is kept", err)
		was := b.trouble
		b.trouble = t
		return was != t
	}
	if bytes.Equal(now, b.file.Src) {
		if b.foreign && bytes.Equal(now, b.theirs) {
			return false
		}
		if b.foreign { // put back by the other program
			b.theirs, b.foreign = nil, false
			b.later()
			return true
		}
		return false
	}
	if b.foreign {
		if bytes.Equal(now, b.theirs) {
			return false
		}
		b.theirs = now
		return true
	}
	if bytes.Equal(b.text, b.file.Src) { // nothing of ours is unsaved: follow
		b.file.Src = now
		b.add("from disk", "", bytes.Clone(now))
		if b.journal != nil {
			_ = b.journal.saved(now)
		}
		return true
	}
	if bytes.Equal(now, b.text) {
		b.file.Src = now
		return true
	}
	if merged, ok := mergeTexts(b.file.Name, b.file.Src, b.text, now); ok {
		b.file.Src = now
		if b.journal != nil {
			_ = b.journal.saved(now)
		}
		b.add("from disk", "", merged)
		return true
	}
	b.theirs, b.foreign = now, true
	return true
}

func readPlan(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if info.Size() > mostText {
		return nil, fmt.Errorf("it is over %d MiB", mostText>>20)
	}
	return os.ReadFile(path)
}

// watch looks at the file until done is closed.
func (b *book) watch(done <-chan struct{}, every time.Duration) {
	var size int64
	var at time.Time
	kit := b.kitSeen()
	t := time.NewTicker(every)
	defer t.Stop()
	for {
		select {
		case <-done:
			return
		case <-t.C:
		}
		b.mu.Lock()
		path := b.file.Path
		b.mu.Unlock()
		if path == "" {
			continue
		}
		if b.lookKit(&kit) {
			b.changed()
			b.kitChanged()
		}
		if info, err := os.Stat(path); err == nil && info.Size() == size && info.ModTime().Equal(at) {
			continue
		} else if err == nil {
			size, at = info.Size(), info.ModTime()
		}
		b.mu.Lock()
		moved := b.look()
		b.mu.Unlock()
		if moved {
			b.changed()
		}
	}
}

// kitSeen says by names, sizes and times what files of kit stand beside the shoot.
func (b *book) kitSeen() string {
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

// lookKit reads the files of kit again where they are not as seen last, and decodes the text with them. It reports whether something changed.
// Kit that cannot be read leaves that of before in force and is told as a trouble.
func (b *book) lookKit(seen *string) bool {
	now := b.kitSeen()
	if now == *seen {
		return false
	}
	*seen = now
	b.mu.Lock()
	defer b.mu.Unlock()
	dir := filepath.Dir(b.file.Path)
	list, err := store.Kits(dir)
	if err != nil {
		b.trouble = fmt.Sprintf("the kit beside the shoot cannot be read: %v; that of before stays in force", err)
		return true
	}
	own := filepath.Join(dir, "kit") + string(filepath.Separator)
	for _, k := range b.file.Kit {
		if !strings.HasPrefix(k.Name, own) {
			list = append(list, k)
		}
	}
	if slices.EqualFunc(list, b.file.Kit, func(x, y shoot.KitFile) bool { return x.Name == y.Name && bytes.Equal(x.Src, y.Src) }) {
		return false
	}
	b.file.Kit = list
	b.take(b.text)
	return true
}

// settle answers a change on disk: theirs takes the file's text (ours stays in the history), ours writes over it, with a backup.
func (b *book) settle(rev int, theirs bool) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if rev != b.rev {
		return errStale
	}
	if !b.foreign {
		return errors.New("the file was not changed by another program")
	}
	if !theirs {
		if _, err := store.Backup(b.file.Path); err != nil {
			return err
		}
	}
	text := b.theirs
	b.file.Src, b.theirs, b.foreign = bytes.Clone(text), nil, false
	if theirs {
		b.add("take the file's text", "", bytes.Clone(text))
		if b.journal != nil {
			_ = b.journal.saved(text)
		}
	} else {
		b.later()
		go b.changed()
	}
	return nil
}

// saveAs puts the last good text into a new file and goes on with that.
func (b *book) saveAs(rev int, path string, open func(path string, base []byte) (*journal, error)) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if rev != b.rev {
		return errStale
	}
	if b.broken {
		return errors.New("the text has errors; mend them first, then save")
	}
	path = filepath.Clean(path)
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		path = filepath.Join(path, store.PlanName)
	} else if ext := strings.ToLower(filepath.Ext(path)); ext != ".yaml" && ext != ".yml" {
		if err := os.Mkdir(path, 0o755); err != nil {
			return fmt.Errorf("%s: a name that ends in .yaml is a file, any other a new folder; the folder cannot be made: %v", path, err)
		}
		path = filepath.Join(path, store.PlanName)
	}
	if _, err := os.Lstat(path); err == nil {
		return fmt.Errorf("%s is there already; give a new name", path)
	}
	if err := store.WriteFile(path, b.text); err != nil {
		return err
	}
	f, err := store.Read(path, nil)
	if err != nil {
		return err
	}
	f.Kit = append(f.Kit, b.file.Kit...)
	if b.journal != nil {
		b.journal.drop()
	}
	b.journal, _ = open(path, b.text)
	files := b.files
	b.file, b.demo = f, false
	b.files = func(name string) ([]byte, error) {
		data, err := f.ReadFile(name, mostRead)
		if err != nil && files != nil {
			return files(name)
		}
		return data, err
	}
	b.take(b.text)
	go b.changed()
	return nil
}

// close saves what can be saved and drops the journal where nothing in it is needed any more.
func (b *book) close() error {
	err := b.save()
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.journal == nil {
		return err
	}
	if b.demo || (bytes.Equal(b.text, b.file.Src) && !b.foreign) {
		b.journal.drop()
	} else {
		b.journal.close()
	}
	return err
}
