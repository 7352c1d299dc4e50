package server

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"

	"halfstop/diag"
	"halfstop/internal/ownkit"
	"halfstop/kit"
	"halfstop/shoot"
)

// ImportView is what a file of a maker or a meter says. Nothing is written yet.
type ImportView struct {
	ID      int            `json:"id" doc:"for /api/kit/take"`
	File    string         `json:"file"`
	Format  string         `json:"format"`
	Entries []ImportEntry  `json:"entries"`
	Copies  string         `json:"copies" doc:"the name under which the file itself will be kept beside the kit; empty: it will not"`
	Read    []string       `json:"read"`
	Assumed []string       `json:"assumed"`
	Ignored []string       `json:"ignored"`
	Notes   []diag.Message `json:"notes" doc:"what is odd in it, with places"`
	Modes   []string       `json:"modes" doc:"of a fixture that has several"`
	Mode    string         `json:"mode" doc:"the one whose channels are taken"`

	LampSets []string `json:"lamp_sets" doc:"of a luminaire whose file has several"`
	LampSet  int      `json:"lamp_set" doc:"the one that is fitted, from 1; 0: it has but one"`
}

// ImportEntry is one entry that it becomes.
type ImportEntry struct {
	List  string `json:"list"`
	Name  string `json:"name"`
	Value string `json:"value" doc:"as YAML text, the first 600 bytes"`
}

// TakeAsk takes files that were read into the own kit, all or none.
type TakeAsk struct {
	IDs []int `json:"ids"`
}

// Bounds on files that were read and wait to be taken.
const (
	mostImport  = 64 << 20 // bytes of one file
	mostWaiting = 16       // files that wait to be taken; the oldest go
	uploadTime  = 2 * time.Minute
)

// inbox holds files that were read and wait to be taken.
type inbox struct {
	mu   sync.Mutex
	last int
	list []waiting
}

type waiting struct {
	id  int
	im  *kit.Import
	src []byte // where the file itself is kept
}

func (s *Server) postKitImport(w http.ResponseWriter, r *http.Request) error {
	name := fileName(r.FormValue("name"), "file")
	if r.FormValue("name") == "" {
		return refuse(http.StatusBadRequest, "name: say what the file is called")
	}
	src, err := upload(w, r, name, mostImport, uploadTime)
	switch {
	case err != nil:
		return err
	case len(src) == 0:
		return refuse(http.StatusUnprocessableEntity, "%s is empty", name)
	}
	set, err := strconv.Atoi(cmp.Or(r.FormValue("lamp_set"), "0"))
	if err != nil || set < 0 {
		return refuse(http.StatusBadRequest, "lamp_set: a number from 1")
	}
	im, list := kit.ImportOptions{Name: r.FormValue("as"), Head: r.FormValue("head"), Mode: r.FormValue("mode"),
		Of: r.FormValue("of"), LampSet: set}.Read(name, src)
	if len(list) == 1 && list[0].Code == kit.CodeOfWhat { // the page asks what it is of
		im, list = &kit.Import{File: name, Format: "spectrum", Ignored: []string{list[0].Text}}, nil
	}
	if im == nil || list.Has(diag.Error) {
		err := list.Err()
		if err == nil {
			err = fmt.Errorf("%s: nothing in it is of use for the kit", name)
		}
		return refuse(http.StatusUnprocessableEntity, "%v", err)
	}
	v := ImportView{File: im.File, Format: im.Format, Entries: []ImportEntry{}, Copies: im.Copies,
		Read:    some(im.Read),
		Assumed: some(im.Assumed), Ignored: some(im.Ignored), Notes: some([]diag.Message(list)),
		Modes: some(im.Modes), Mode: im.Mode, LampSets: some(im.LampSets), LampSet: im.LampSet}
	for _, a := range im.Entries {
		v.Entries = append(v.Entries, ImportEntry{a.List, a.Name, a.Value[:min(len(a.Value), 600)]})
	}
	if im.Copies == "" {
		src = nil
	}
	b := &s.inbox
	b.mu.Lock()
	b.last++
	v.ID = b.last
	b.list = append(b.list, waiting{b.last, im, src})
	b.list = slices.Clone(b.list[max(0, len(b.list)-mostWaiting):])
	b.mu.Unlock()
	return give(w, v)
}

func (s *Server) postKitTake(r *http.Request, x TakeAsk) (State, error) {
	var entries []kit.Addition
	copies := map[string][]byte{}
	s.inbox.mu.Lock()
	for _, id := range x.IDs {
		i := slices.IndexFunc(s.inbox.list, func(f waiting) bool { return f.id == id })
		if i < 0 {
			s.inbox.mu.Unlock()
			return State{}, refuse(http.StatusNotFound, "file %d was read too long ago: choose it again", id)
		}
		f := s.inbox.list[i]
		entries = append(entries, f.im.Entries...)
		if f.im.Copies != "" {
			copies[f.im.Copies] = f.src
		}
	}
	s.inbox.mu.Unlock()
	if len(entries) == 0 {
		return State{}, refuse(http.StatusUnprocessableEntity, "there is nothing to take")
	}
	_, own, whole := s.kits()
	for _, a := range entries {
		if e, err := entryOf(&whole, own, a.List, a.Name); err == nil && e.Own {
			return State{}, refuse(http.StatusUnprocessableEntity,
				"the own kit has %q already among its %s: give the file's entry another name, or take the old one out",
				a.Name, a.List)
		}
	}
	name := "import " + entries[0].Name
	if n := len(x.IDs); n > 1 {
		name = fmt.Sprintf("import %d files", n)
	}
	err := s.book.changeKit(name, func(files []shoot.KitFile) ([]ownkit.Change, error) {
		return ownkit.Put(files, ownkit.Into, entries, copies)
	})
	if err != nil {
		return State{}, kitRefusal(err)
	}
	s.inbox.mu.Lock()
	s.inbox.list = slices.DeleteFunc(s.inbox.list, func(f waiting) bool { return slices.Contains(x.IDs, f.id) })
	s.inbox.mu.Unlock()
	return s.state(), nil
}
