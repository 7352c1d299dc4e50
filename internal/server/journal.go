package server

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// journal keeps every text that the shoot had since it was last saved, so that a killed process loses nothing. One file for each
// shoot in the user's cache folder; lines of JSON: a header, then texts and marks of saving. A line cut short by a kill is passed
// over.
type journal struct {
	path  string
	head  journalHead
	f     *os.File
	size  int64
	last  []byte
	base  string // sum of the text on disk when the last save was noted
	disk  []byte // that text; nil where it is not known
	found []byte // the last text of an earlier run; nil for none
	taken []string
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
	Saved string   `json:"saved,omitempty"`
	Taken []string `json:"taken,omitempty"` // ids of the changes that made the text
}

// mostJournal is the size at which the journal is written anew with its last text only.
const mostJournal = 16 << 20

// errOpen says that another running halfstop has the shoot open.
type errOpen struct{ address string }

func (e *errOpen) Error() string {
	return fmt.Sprintf("this shoot is open already: http://%s/ shows it", e.address)
}

// openJournal opens the journal of a file, reading what an earlier run left. dir is the folder for journals.
//
// *errOpen where the server that writes it still answers.
func openJournal(dir, file, address string, disk []byte) (*journal, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	key := file
	if key == "" {
		key = "demonstration"
	}
	j := &journal{path: filepath.Join(dir, sum([]byte(key))[:24]+".journal"), head: journalHead{Version: 1, File: file, Address: address, Base: sum(disk)}, base: sum(disk), disk: disk}
	old, err := os.Open(j.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return nil, err
	default:
		head := j.read(old)
		old.Close()
		if head.Address != "" && head.Address != address && answers(head.Address) {
			return nil, &errOpen{head.Address}
		}
	}
	return j, j.renew()
}

// read takes in an earlier journal.
func (j *journal) read(r io.Reader) (head journalHead) {
	in := bufio.NewReaderSize(io.LimitReader(r, 4*mostJournal), 1<<16)
	first := true
	for {
		line, err := in.ReadBytes('\n')
		if err != nil {
			return head // an unfinished line is not read
		}
		if first {
			if json.Unmarshal(line, &head) != nil || head.Version != 1 || head.File != j.head.File {
				return journalHead{}
			}
			j.base, j.disk, first = head.Base, known(head.Disk, head.Base), false
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
			j.base, j.disk = l.Saved, known(string(j.found), l.Saved)
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

// renew writes the journal anew: header and last text, by a file beside it renamed over.
func (j *journal) renew() error {
	if j.f != nil {
		j.f.Close()
		j.f = nil
	}
	if j.last == nil {
		j.last = j.found
	}
	var buf bytes.Buffer
	h := j.head
	h.Base, h.Disk = j.base, string(j.disk)
	enc := json.NewEncoder(&buf)
	_ = enc.Encode(h)
	if j.last != nil {
		t := string(j.last)
		_ = enc.Encode(journalLine{Text: &t, Taken: j.taken})
	}
	tmp := j.path + ".new"
	f, err := os.OpenFile(tmp, os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(buf.Bytes())
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(tmp, j.path)
	}
	if err != nil {
		return err
	}
	j.size = int64(buf.Len())
	j.f, err = os.OpenFile(j.path, os.O_WRONLY|os.O_APPEND, 0o600)
	return err
}

func (j *journal) line(l journalLine) error {
	if j.f == nil {
		return errors.New("the journal is closed")
	}
	b, err := json.Marshal(l)
	if err != nil {
		return err
	}
	n, err := j.f.Write(append(b, '\n'))
	j.size += int64(n)
	return err
}

// keep notes a text and the id of the change that made it, the last of taken. It is with the system when keep returns: a killed process does not lose it.
func (j *journal) keep(text []byte, taken []string) error {
	j.last = text
	l := journalLine{}
	if n := len(taken); n > 0 && !slices.Contains(j.taken, taken[n-1]) {
		l.Taken = taken[n-1:]
		j.taken = append(j.taken[max(0, len(j.taken)-mostTaken+1):], taken[n-1])
	}
	if j.size > mostJournal {
		return j.renew()
	}
	t := string(text)
	l.Text = &t
	return j.line(l)
}

// saved notes that the file holds text now.
func (j *journal) saved(text []byte) error {
	j.base, j.disk = sum(text), bytes.Clone(text)
	return j.line(journalLine{Saved: j.base})
}

// drop deletes the journal; close leaves it.
func (j *journal) drop() {
	j.close()
	os.Remove(j.path)
}

func (j *journal) close() {
	if j.f != nil {
		j.f.Sync()
		j.f.Close()
		j.f = nil
	}
}

// answers reports whether a halfstop server answers at an address of this machine.
func answers(address string) bool {
	if a, err := netip.ParseAddrPort(address); err != nil || !a.Addr().IsLoopback() {
		return false // nothing is asked of any other machine, whatever the journal says
	}
	c := &http.Client{Timeout: 500 * time.Millisecond, Transport: &http.Transport{Proxy: nil, DisableKeepAlives: true}}
	r, err := c.Get("http://" + address + "/api/state")
	if err != nil {
		return false
	}
	defer r.Body.Close()
	var s State
	return r.StatusCode == http.StatusOK && json.NewDecoder(io.LimitReader(r.Body, 1<<22)).Decode(&s) == nil && s.Revision > 0
}
