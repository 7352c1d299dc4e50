package server

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"syscall"
)

// TroubleCode names what is the matter with keeping the shoot. The set is closed: pages go by the
// code, people by the sentence.
type TroubleCode string

// The troubles, gravest first.
const (
	TroubleMemory     TroubleCode = "journal.memory-only" // changes are in memory only
	TroubleGone       TroubleCode = "file.gone"           // deleted or renamed by another program
	TroubleUnreadable TroubleCode = "file.unreadable"     // there, but not to be read
	TroubleUnwritten  TroubleCode = "file.unwritten"      // saving failed; it is tried again
	TroubleKit        TroubleCode = "kit.unreadable"      // kit beside the shoot; that of before stays in force
	TroubleLock       TroubleCode = "lock.none"           // two programs at once would not be noticed
	// a note: where the journal is kept, because the usual folder cannot be used
	TroubleBeside   TroubleCode = "journal.beside"
	TroubleCut      TroubleCode = "journal.cut-short" // a note: the last change of an earlier run may be missing
	TroubleSetAside TroubleCode = "journal.set-aside" // a note: unsaved text of an earlier shoot of this name
)

// troubleCodes is the closed set in its order.
var troubleCodes = []TroubleCode{TroubleMemory, TroubleGone, TroubleUnreadable, TroubleUnwritten, TroubleKit,
	TroubleLock, TroubleBeside, TroubleCut, TroubleSetAside}

// note reports whether a code is worth knowing only: work is kept as it should be.
func (c TroubleCode) note() bool {
	return slices.Index(troubleCodes, c) >= slices.Index(troubleCodes, TroubleLock)
}

// Trouble is one thing that is the matter.
type Trouble struct {
	Code TroubleCode `json:"code" words:"journal.memory-only|file.gone|file.unreadable|file.unwritten|kit.unreadable|lock.none|journal.beside|journal.cut-short|journal.set-aside"`
	Text string      `json:"text" doc:"a sentence: what, why, what to do"`
	Note bool        `json:"note,omitempty" doc:"worth knowing only: nothing keeps work from being kept"`
}

// troubles are what is the matter now.
type troubles map[TroubleCode]string

// set notes a trouble; it reports whether that is news.
func (t troubles) set(c TroubleCode, format string, args ...any) bool {
	text := fmt.Sprintf(format, args...)
	if t[c] == text {
		return false
	}
	t[c] = text
	return true
}

// clear takes one out that is over; it reports whether there was one.
func (t troubles) clear(c TroubleCode) bool {
	_, was := t[c]
	delete(t, c)
	return was
}

func (t troubles) list() []Trouble {
	out := []Trouble{}
	for _, c := range troubleCodes {
		if text, ok := t[c]; ok {
			out = append(out, Trouble{c, text, c.note()})
		}
	}
	return out
}

// text gives those that are no mere notes in one sentence after the other; empty for none.
func (t troubles) text() string {
	var all []string
	for _, x := range t.list() {
		if !x.Note {
			all = append(all, x.Text)
		}
	}
	return strings.Join(all, "; ")
}

// reason gives the cause of a system error in plain words, without the name of a system call.
func reason(err error) string {
	var p *fs.PathError
	switch {
	case errors.Is(err, syscall.ENOSPC):
		return "the disk is full"
	case errors.Is(err, fs.ErrPermission):
		return "writing is not allowed there"
	case errors.As(err, &p):
		return p.Err.Error()
	}
	return err.Error()
}

// Keeping says whether what is on the page is on disk. It is always true, up to the half second in
// which a change by another program is noticed.
type Keeping struct {
	Word   string `json:"word" words:"saved|saving|unsaved|differs" doc:"saved: the file holds this text; saving: it will in a moment; unsaved: see why; differs: another program wrote the file, and both texts are kept until someone says which (disk of the state)"`
	Why    string `json:"why" doc:"unsaved: a sentence; else empty"`
	Reason string `json:"reason" words:"none|demonstration|draft|gone|failed" doc:"demonstration: it lives in memory; draft: the text has errors, the file keeps the last one without; gone: there is no file; failed: it cannot be written or read"`
	Memory string `json:"memory" doc:"'kept in memory only, because …' where this text is neither in the file nor in the journal, so that a crash would lose it; else empty"`
	Where  string `json:"journal" doc:"the file that keeps unsaved changes against a crash; empty: none"`
}

// keeping: see Keeping. The lock is held.
func (b *book) keeping() Keeping {
	k := Keeping{Reason: "none"}
	if b.journal != nil {
		k.Where = b.journal.path
	}
	onDisk := !b.demo && !b.gone && !b.foreign && string(b.text) == string(b.file.Src)
	failed := b.woe[TroubleUnwritten]
	if failed == "" {
		failed = b.woe[TroubleUnreadable]
	}
	unsaved := func(reason, why string) { k.Word, k.Reason, k.Why = "unsaved", reason, why }
	switch {
	case b.demo:
		unsaved("demonstration", "the demonstration lives in memory until it is saved under a name")
	case b.foreign:
		k.Word = "differs"
	case b.gone:
		unsaved("gone", b.woe[TroubleGone])
	case failed != "":
		unsaved("failed", failed)
	case onDisk:
		k.Word = "saved"
	case b.broken:
		unsaved("draft", "the text has errors; the file keeps the last text without")
	default:
		k.Word = "saving"
	}
	if !onDisk || failed != "" {
		k.Memory = b.woe[TroubleMemory]
	}
	return k
}
