package server

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"runtime/debug"
	"slices"
	"sync"
	"time"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/ownkit"
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

// errStale says that a change is based on an older revision than the text's (optimistic concurrency
// control: the revision is the generation that a change must name).
var errStale = errors.New("the shoot was changed by another page in the meantime; look at it and do it again")

// step is one change of the text.
type step struct {
	name, merge   string
	before, after []byte
	number        int
	kit           []ownkit.Change // files of kit that it changed
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
//
// Three locks, taken in this order. writing: reading and writing the shoot file, which may take as
// long as the disk likes. turn: one change of the text at a time, with the decoding and joining
// that it takes, all of bounded size; who holds it may read what only changes under it. mu: the
// fields, for moments only.
type book struct {
	writing sync.Mutex
	turn    sync.Mutex

	mu         sync.Mutex
	file       *store.Shoot // Src is what stands on disk, as far as is known; Path empty for the demonstration
	files      func(name string) ([]byte, error)
	held       map[string][]byte // of a shoot in memory: files of makers in its kit, as 'kit/lamp.ies'
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
	gone       bool // there is no file any more
	woe        troubles
	restored   bool
	closed     bool
	journal    *journal
	locks      []*store.Lock
	taken      []string          // ids of the last changes
	hours      map[string]string // by name of a setup: the hour it is looked at, where not its own
	past       []old             // texts of the last revisions
	changed    func()            // told after every change, without a lock
	kitChanged func()            // told after files of kit were read again, without a lock
	log        func(format string, args ...any)
	faulted    func(what string, v any, stack []byte)
	saver      *time.Timer
	saveGap    time.Duration
	wait       time.Duration // until a save that failed is tried again
}

// newBook opens a text. Where the journal has unsaved text of an earlier run that is joined with
// the file's. gone: there is no file, and the journal's text is all there is.
func newBook(file *store.Shoot, files func(name string) ([]byte, error), demo bool, k keeper) *book {
	j := k.journal
	b := &book{file: file, files: files, demo: demo, journal: j, locks: k.locks, saveGap: saveGap, woe: troubles{},
		hours:   map[string]string{},
		changed: func() {}, kitChanged: func() {},
		log: func(string, ...any) {}, faulted: func(what string, v any, _ []byte) { panic(fmt.Sprint(what, ": ", v)) }}
	b.files = b.heldFiles(files)
	for _, t := range k.troubles {
		b.woe.set(t.Code, "%s", t.Text)
	}
	var found []byte
	if j != nil {
		found = j.found
		b.taken = slices.Clone(j.taken)
	}
	if file.Src == nil && !demo { // see store.Missing
		if found == nil && j != nil {
			found = j.was
		}
		if j != nil {
			file.Src = bytes.Clone(j.was)
		}
		b.take(bytes.Clone(found), file.Kit)
		b.restored = true
		b.fileGone() // told by whoever has a log
		return b
	}
	b.take(bytes.Clone(file.Src), file.Kit)
	if found == nil {
		return b
	}
	if bytes.Equal(found, file.Src) {
		_ = j.saved(found) // the note of it was lost
		return b
	}
	if sum(found) == j.base && !demo {
		// Nothing of ours was unsaved: the file is followed, as in seen.
		b.steps, b.at, b.numbered = []step{{"from disk", "", found, b.text, 1, nil}}, 1, 1
		_ = errors.Join(j.saved(file.Src), j.keep(b.text, b.taken))
		return b
	}
	before := b.text
	b.restored = true
	b.steps, b.at, b.numbered = []step{{"changes of an earlier run", "", before, found, 1, nil}}, 1, 1
	b.take(found, file.Kit)
	if demo || j.base == sum(file.Src) {
		return b
	}
	// The file changed while nobody ran: as in seen.
	if merged, ok := mergeTexts(file.Name, j.was, found, file.Src); ok && j.was != nil {
		_ = j.saved(file.Src)
		b.add("from disk", "", merged)
		return b
	}
	b.theirs, b.foreign = bytes.Clone(file.Src), true
	return b
}

// spawn does something beside the rest; a fault in it is told.
func (b *book) spawn(what string, do func()) {
	go func() {
		defer b.guard(what)
		do()
	}()
}

// guard catches a fault of the goroutine that it is deferred in.
func (b *book) guard(what string) {
	if v := recover(); v != nil {
		b.faulted(what, v, debug.Stack())
	}
}

// tell says to all that something changed.
func (b *book) tell() { b.spawn("telling of a change", b.changed) }

// absolute gives a path that names the file wherever it is said, also where it is gone, and its
// folder with it.
func absolute(path string) string {
	if p, err := filepath.Abs(path); err == nil {
		path = p
	}
	rest := ""
	for dir := path; ; dir = filepath.Dir(dir) {
		if p, err := filepath.EvalSymlinks(dir); err == nil {
			return filepath.Join(p, rest)
		}
		if dir == filepath.Dir(dir) {
			return path
		}
		rest = filepath.Join(filepath.Base(dir), rest)
	}
}

func sum(b []byte) string {
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:])
}

// take makes text the current one: decodes it with kit and keeps the last good model where it has
// errors. turn is held (or not yet needed).
func (b *book) take(text []byte, own []shoot.KitFile) {
	opts := shoot.Options{Kit: own}
	if b.good != nil { // an edit in place has parsed the text already
		opts.Doc = b.good.job.Doc.Edited(text)
		b.good.job.Doc.Forget()
	}
	f, doc, list := shoot.Parse(b.file.Name, text, opts)
	list = placed(doc, list)
	broken := list.Has(diag.Error) || len(f.Setups) == 0
	if broken && !list.Has(diag.Error) {
		list = append(list, diag.Message{Severity: diag.Error, Code: "shoot.no-setup", Text: "the shoot has no setup",
			Fix: "add one under setups:"})
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.rev++
	b.text, b.list, b.broken, b.file.Kit = text, list, broken, own
	b.past = append(b.past, old{b.rev, text})
	kept := 0
	for i := len(b.past) - 1; i >= 0; i-- {
		if kept += len(b.past[i].text); kept > mostPast && i < len(b.past)-1 {
			b.past = slices.Clone(b.past[i+1:])
			break
		}
	}
	if !broken {
		was := b.good
		b.good = &model{rev: b.rev, text: text, job: b.timed(&answer.Job{File: f, Doc: doc, Files: b.files}),
			list: list,
			born: time.Now()}
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

// doc gives the text decoded. turn is held.
func (b *book) doc() *yamltext.Doc {
	// not where it is a draft, or of an older version and migrated
	if b.good != nil && bytes.Equal(b.good.job.Doc.Source(), b.text) {
		return b.good.job.Doc
	}
	doc, _ := yamltext.Parse(b.file.Name, b.text)
	return doc
}

// change applies one change based on revision rev. make gets the text of that revision and gives
// the new one. What was changed since then is joined with it where the two do not touch the same
// thing, so that a place in a list means the entry that was seen there; else errStale. A change
// that was taken already, by its id, is not taken again: a page sends anew what it had no answer
// to.
func (b *book) change(rev int, id, name, merge string, make func(doc *yamltext.Doc) ([]byte, error)) error {
	err := b.changeNow(rev, id, name, merge, make)
	if err == nil {
		b.awaitDurable()
	}
	return err
}

func (b *book) changeNow(rev int, id, name, merge string, make func(doc *yamltext.Doc) ([]byte, error)) error {
	b.turn.Lock()
	defer b.turn.Unlock()
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

// retype takes a whole text that was made from base. Where the text has changed since, the two
// changes are joined if they do not touch the same thing; else errStale.
func (b *book) retype(c TextChange, name string) error {
	err := b.retypeNow(c, name)
	if err == nil {
		b.awaitDurable()
	}
	return err
}

func (b *book) retypeNow(c TextChange, name string) error {
	b.turn.Lock()
	defer b.turn.Unlock()
	if c.ID != "" && slices.Contains(b.taken, c.ID) {
		return nil
	}
	base, text := []byte(*c.Base), []byte(c.Text)
	next, ok := mergeTexts(b.file.Name, base, text, b.text)
	if !ok && !c.Mine {
		return errStale
	}
	if !ok {
		next = overTexts(b.file.Name, base, text, b.text)
	}
	return b.enter(c.ID, name, c.Merge, next)
}

// enter makes a text current unless it is too long or the same. turn is held.
func (b *book) enter(id, name, merge string, next []byte) error {
	if len(next) > mostText {
		return refuse(http.StatusUnprocessableEntity, "the text would be %d KiB long; %d KiB is the most",
			len(next)>>10, mostText>>10)
	}
	if bytes.Equal(next, b.text) {
		return nil
	}
	if id != "" {
		b.taken = append(slices.Clone(b.taken[max(0, len(b.taken)-mostTaken+1):]), id)
	}
	b.add(name, merge, next)
	return nil
}

// add puts a change into history, journal and force. turn is held.
func (b *book) add(name, merge string, next []byte) {
	if name == "" {
		name = "edit"
	}
	b.mu.Lock()
	b.steps = b.steps[:b.at]
	if n := len(b.steps); merge != "" && n > 0 && b.steps[n-1].merge == merge {
		b.steps[n-1].after, b.steps[n-1].name = next, name // called by what it ended with
	} else {
		b.numbered++
		b.steps = append(b.steps, step{name, merge, b.text, next, b.numbered, nil})
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
	b.mu.Unlock()
	b.force(next)
}

// force makes a text current and keeps it. turn is held.
func (b *book) force(text []byte) {
	b.take(text, b.file.Kit)
	b.writeJournal(text)
	b.mu.Lock()
	b.scheduleSave()
	b.mu.Unlock()
	b.tell()
}

// undo takes the last change back; redo does it again.
func (b *book) undo(rev int) error { return b.move(rev, -1) }
func (b *book) redo(rev int) error { return b.move(rev, 1) }

func (b *book) move(rev, by int) error {
	err := b.moveNow(rev, by)
	if err == nil {
		b.awaitDurable()
	}
	return err
}

func (b *book) moveNow(rev, by int) error {
	b.turn.Lock()
	defer b.turn.Unlock()
	b.mu.Lock()
	var err error
	var s step
	switch {
	case rev != b.rev:
		err = errStale
	case by < 0 && b.at > 0:
		s = b.steps[b.at-1]
	case by > 0 && b.at < len(b.steps):
		s = b.steps[b.at]
	case by < 0:
		err = refuse(http.StatusUnprocessableEntity, "there is nothing to undo")
	default:
		err = refuse(http.StatusUnprocessableEntity, "there is nothing to redo")
	}
	b.mu.Unlock()
	if err != nil {
		return err
	}
	if s.kit != nil {
		err = b.moveKit(s.kit, by)
	}
	b.mu.Lock()
	var refused *refusal
	if errors.As(err, &refused) { // the step is left out, else none before it could be taken back either
		i := b.at + min(by, 0)
		b.steps = slices.Delete(slices.Clone(b.steps), i, i+1)
		b.at = i
	} else if err == nil {
		if b.at += by; by < 0 {
			b.steps[b.at].merge = ""
		}
	}
	b.mu.Unlock()
	switch {
	case err != nil:
		return err
	case s.kit != nil:
		return b.retakeKit()
	case by < 0:
		b.force(s.before)
	default:
		b.force(s.after)
	}
	return nil
}
