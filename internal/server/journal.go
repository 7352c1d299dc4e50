package server

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"

	"halfstop/internal/store"
)

// journal is a write-ahead log: it keeps every text that the shoot had since it was last saved, so
// that a killed process loses nothing. One file for each shoot; lines of JSON: a header, then texts
// and marks of saving. A line that was cut short is passed over.
//
// keep, saved and renew are called one at a time; sync from anywhere.
type journal struct {
	path string
	disk store.Disk
	head journalHead

	last  []byte
	base  string   // sum of the text on disk when the last save was noted
	was   []byte   // that text; nil where it is not known
	found []byte   // the last text of an earlier run; nil for none
	taken []string // ids of changes that are in it
	cut   bool     // the earlier run's last line was cut short

	mu   sync.Mutex // what follows
	f    store.File
	size int64 // of whole lines
	// what stands behind size, or whether anything does, is not
	// known: it is written anew before it is written on
	spoiled bool
	written uint64
	synced  uint64

	flush sync.Mutex // one flush at a time: who waits for it mostly finds his own done
}

type journalHead struct {
	Version int    `json:"halfstop_journal"`
	File    string `json:"file"`    // absolute; empty for the demonstration
	Address string `json:"address"` // of the server that writes it
	Base    string `json:"base"`    // sum of the file as read
	Disk    string `json:"disk"`    // the file as read: what changes elsewhere are joined by
}

type journalLine struct {
	Text  *string  `json:"text,omitempty"`
	Saved string   `json:"saved,omitempty"` // sum of what the file holds now
	Disk  *string  `json:"disk,omitempty"`  // that text, where it is not the last Text
	Taken []string `json:"taken,omitempty"` // ids of the changes that made the text
}

// mostJournal is the size at which the journal is written anew with its last text only.
const mostJournal = 16 << 20

// openJournal opens the journal at path of a file, absolute, reading what an earlier run left; disk
// is the file's text. The caller holds its lock. anew sets what an earlier run left aside, under a
// name that set gives.
func openJournal(on store.Disk, path, file, address string, disk []byte, anew bool) (j *journal, set string,
	err error) {
	j = &journal{path: path, disk: on, head: journalHead{Version: 1, File: file, Address: address, Base: sum(disk)},
		base: sum(disk), was: disk}
	store.ClearStale(path)
	b, err := store.ReadPart(path, 4*mostJournal)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return nil, "", err
	default:
		j.read(bytes.NewReader(b))
		if j.found == nil || !anew {
			break
		}
		for n := 1; ; n++ {
			set = fmt.Sprintf("%s.%d.old", path, n)
			if _, err := os.Lstat(set); errors.Is(err, fs.ErrNotExist) {
				break
			}
		}
		if err := on.Rename(path, set); err != nil {
			return nil, "", err
		}
		j.found, j.taken, j.cut, j.base, j.was = nil, nil, false, sum(disk), disk
	}
	return j, set, j.renew()
}

// read takes in an earlier journal.
func (j *journal) read(r io.Reader) (head journalHead) {
	in := bufio.NewReaderSize(r, 1<<16)
	first := true
	for {
		line, err := in.ReadBytes('\n')
		if err != nil {
			j.cut = len(line) > 0 && !first
			return head // an unfinished line is not read
		}
		if first {
			if json.Unmarshal(line, &head) != nil || head.Version != 1 || head.File != j.head.File {
				return journalHead{}
			}
			j.base, j.was, first = head.Base, known(head.Disk, head.Base), false
			continue
		}
		var l journalLine
		if json.Unmarshal(line, &l) != nil {
			continue
		}
		if l.Text != nil {
			j.found = []byte(*l.Text)
			j.taken = append(j.taken, l.Taken...)
			j.taken = j.taken[max(0, len(j.taken)-mostTaken):]
		}
		if l.Saved != "" {
			held := string(j.found)
			if l.Disk != nil {
				held = *l.Disk
			}
			j.base, j.was = l.Saved, known(held, l.Saved)
		}
	}
}

// known gives a text if it is the one of a sum.
func known(text, of string) []byte {
	if sum([]byte(text)) == of {
		return []byte(text)
	}
	return nil
}

// renew writes the journal anew: header and last text, by a file beside it renamed over. Where that
// fails the one before stands.
func (j *journal) renew() error {
	if j.last == nil {
		j.last = j.found
	}
	var buf bytes.Buffer
	h := j.head
	h.Base, h.Disk = j.base, string(j.was)
	enc := json.NewEncoder(&buf)
	_ = enc.Encode(h)
	if j.last != nil {
		t := string(j.last)
		_ = enc.Encode(journalLine{Text: &t, Taken: j.taken})
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	if err := store.Replace(j.disk, j.path, buf.Bytes(), 0o600); err != nil {
		return err
	}
	f, err := j.disk.OpenFile(j.path, os.O_WRONLY|os.O_APPEND, 0o600)
	if err != nil {
		j.spoiled = true
		return err
	}
	if j.f != nil {
		j.f.Close()
	}
	j.f, j.size, j.spoiled = f, int64(buf.Len()), false
	j.written++
	j.synced = j.written
	return nil
}

// line adds a line. One that does not fit is taken out again, so that the next does not stand
// behind half of it.
func (j *journal) line(l journalLine) error {
	b, err := json.Marshal(l)
	if err != nil {
		return err
	}
	j.mu.Lock()
	defer j.mu.Unlock()
	b = append(b, '\n')
	n, err := j.f.Write(b)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	if err != nil {
		if n > 0 && j.f.Truncate(j.size) != nil {
			j.spoiled = true
		}
		return err
	}
	j.size += int64(n)
	j.written++
	return nil
}

// keep notes a text and the ids of the changes that made it. It is with the system when keep
// returns: a killed process does not lose it; sync waits until a machine without power does not
// either.
func (j *journal) keep(text []byte, taken []string) error {
	j.mu.Lock()
	anew := j.spoiled || j.size > mostJournal || j.f == nil
	j.mu.Unlock()
	var fresh []string
	for _, id := range taken {
		if !slices.Contains(j.taken, id) {
			fresh = append(fresh, id)
		}
	}
	before, ids := j.last, j.taken
	j.last, j.taken = text, append(slices.Clone(j.taken), fresh...)
	j.taken = j.taken[max(0, len(j.taken)-mostTaken):]
	var err error
	if anew {
		err = j.renew()
	} else {
		t := string(text)
		err = j.line(journalLine{Text: &t, Taken: fresh})
	}
	if err != nil {
		j.last, j.taken = before, ids
	}
	return err
}

// saved notes that the file holds text now.
func (j *journal) saved(text []byte) error {
	j.base, j.was = sum(text), bytes.Clone(text)
	j.mu.Lock()
	anew := j.spoiled || j.f == nil
	j.mu.Unlock()
	if anew {
		return j.renew()
	}
	l := journalLine{Saved: j.base}
	if !bytes.Equal(text, j.last) {
		t := string(text)
		l.Disk = &t
	}
	err := j.line(l)
	if err != nil {
		j.mu.Lock()
		j.spoiled = true // the next text is written with what the file holds
		j.mu.Unlock()
	}
	return err
}

// sync waits until what was kept before is on the medium (group commit: those who wait at once
// share one flush).
func (j *journal) sync() error {
	j.mu.Lock()
	want := j.written
	j.mu.Unlock()
	j.flush.Lock()
	defer j.flush.Unlock()
	j.mu.Lock()
	f, upto, done := j.f, j.written, j.synced >= want
	j.mu.Unlock()
	if done || f == nil {
		return nil
	}
	err := f.Sync()
	j.mu.Lock()
	defer j.mu.Unlock()
	switch {
	case j.f != f: // written anew meanwhile, and flushed with that
		return nil
	case err != nil:
		j.spoiled = true // what the system did with what it could not write is not known
		return err
	}
	j.synced = max(j.synced, upto)
	return nil
}

// adopt takes in what a run without a folder for journals left beside the shoot.
func (j *journal) adopt(beside string) {
	b, err := store.ReadPart(beside, 4*mostJournal)
	if err != nil || j.found != nil {
		return
	}
	k := &journal{head: j.head}
	if k.read(bytes.NewReader(b)); k.found == nil {
		return
	}
	j.found, j.base, j.was, j.taken, j.last = k.found, k.base, k.was, k.taken, k.found
	if j.renew() == nil {
		_ = j.disk.Remove(beside)
	}
}

// drop deletes the journal; close leaves it.
func (j *journal) drop() {
	j.close()
	_ = j.disk.Remove(j.path)
}

func (j *journal) close() {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.f != nil {
		_ = j.f.Sync()
		j.f.Close()
		j.f = nil
	}
}

// journalIn gives the name of a file's journal in a folder of journals; file is absolute, empty for
// the demonstration.
func journalIn(dir, file string) string {
	if file == "" {
		file = "demonstration"
	}
	return filepath.Join(dir, sum([]byte(file))[:24]+".journal")
}

// journalBeside gives the name of a file's journal where there is no folder of journals.
func journalBeside(file string) string {
	return filepath.Join(filepath.Dir(file), "."+filepath.Base(file)+".journal")
}

// Unsaved finds what an earlier run kept of a shoot whose file is gone. path is what the person
// gave: the file or its folder; journals as in Options. nil where nothing was kept.
func Unsaved(journals, path string) *store.Shoot {
	for _, plan := range []string{store.PlanOf(path), filepath.Join(path, store.PlanName), path} {
		file := absolute(plan)
		names := []string{journalBeside(file)}
		if journals != "" {
			names = append(names, journalIn(journals, file))
		}
		for _, name := range names {
			b, err := store.ReadPart(name, 4*mostJournal)
			if err != nil {
				continue
			}
			j := &journal{head: journalHead{File: file}}
			if j.read(bytes.NewReader(b)).Version == 1 && (j.found != nil || len(j.was) > 0) {
				return store.Missing(plan)
			}
		}
	}
	return nil
}
