package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"mime"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"halfstop/internal/records"
	"halfstop/internal/store"
)

// Options say what to serve.
type Options struct {
	Shoot *store.Shoot                      // as read; for the demonstration without Path
	Files func(name string) ([]byte, error) // photometric files and meshes that the shoot names
	Demo  bool                              // the shoot lives in memory
	// a folder without a shoot: the page asks for one and
	// saves it there; with an empty shoot in memory
	Begin string
	// text of the demonstration, for who would rather look at that; nil: none
	Example  []byte
	Listen   string     // 'HOST:PORT' of this machine; port 0: any free one
	Page     fs.FS      // index.html at its root; nil: the API alone
	Journals string     // folder for journals; empty: beside the shoot
	Reason   string     // why there is no folder for journals; told on the page
	Disk     store.Disk // for the journal; nil: store.OS
	Memory   int64      // bytes for pictures; 0: 1 GiB
	Samples  int        // samples a pixel that pictures are brought to; 0: 128. Tests of the page have few
	Side     int        // most pixels of a picture's long side; 0: what is asked for. Tests of the page have few
	Fine     float64    // standard error of fine readings, stops; 0: 0.03. Tests of the page have more
	Version  string
	Log      io.Writer // faults and troubles; nil: nowhere
	// told before each piece of rendering, as 'film 0': a test makes one fail here; nil: nothing
	Before func(task string)
	Clock  func() time.Time // the floor's clock; nil: time.Now
	Frames string           // a folder to watch for test frames; empty: none
	// folder of shoots and records that the library looks through; empty: the shoot's own
	Library string
	Cache   string // folder for the library's index; empty: this machine's
}

// Server serves one shoot.
type Server struct {
	Address string // 'HOST:PORT' as opened

	bodyTime time.Duration

	opt     Options
	net     net.Listener
	book    *book
	hub     *hub
	engine  *engine
	hosts   map[string]bool // names that a request may ask for
	done    chan struct{}
	stop    context.CancelFunc
	ways    sync.Mutex
	frames  developed
	day     dayBook
	share   sharing
	send    sending
	shelf   shelf
	inbox   inbox
	lessons lessonShelf
	scout   scouting
	run     string // tells this run from another at the same address
}

// New opens the address and the shoot. Close or Serve must follow.
//
// Errors: an address that is not of this machine (there is no other way in), a port that is taken,
// a shoot that another halfstop has open.
func New(o Options) (*Server, error) {
	if o.Memory <= 0 {
		o.Memory = 1 << 30
	}
	if o.Samples <= 0 {
		o.Samples = mostSamples
	}
	if o.Fine <= 0 {
		o.Fine = fineError
	}
	host, port, err := net.SplitHostPort(o.Listen)
	if err != nil {
		return nil, fmt.Errorf("%s: write an address like 127.0.0.1:8437", o.Listen)
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	ip, err := netip.ParseAddr(host)
	if err != nil || !ip.IsLoopback() {
		return nil, fmt.Errorf("%s: only addresses of this machine itself are served: 127.0.0.1 or [::1]", o.Listen)
	}
	l, err := net.Listen("tcp", net.JoinHostPort(host, port))
	if err != nil {
		if errors.Is(err, syscall.EADDRINUSE) {
			return nil,
				fmt.Errorf(
					"%s: another program uses this port; give another with --listen 127.0.0.1:PORT, or leave "+
						"--listen out", o.Listen)
		}
		return nil, fmt.Errorf("%s cannot be opened: %v", o.Listen, err)
	}
	s := &Server{Address: l.Addr().String(), bodyTime: bodyTime, opt: o, net: l, hub: newHub(o.Log),
		hosts: map[string]bool{}, done: make(chan struct{}), run: strconv.FormatInt(time.Now().UnixNano(), 36)}
	_, p, _ := net.SplitHostPort(s.Address)
	for _, h := range []string{"127.0.0.1", "localhost", "[::1]", host} {
		s.hosts[strings.ToLower(net.JoinHostPort(strings.Trim(h, "[]"), p))] = true
	}
	file := ""
	if !o.Demo {
		file = o.Shoot.Path
	}
	k, err := s.place(file, o.Shoot.Src, false)
	var open *AlreadyOpen
	switch {
	case errors.As(err, &open) && o.Demo:
		k.troubles = []Trouble{{Code: TroubleMemory,
			Text: "kept in memory only, because another demonstration is open"}}
	case err != nil:
		l.Close()
		return nil, err
	}
	s.book = newBook(o.Shoot, o.Files, o.Demo, k)
	s.book.log, s.book.faulted = s.hub.log, s.hub.fault
	for _, t := range s.book.woe.list() {
		s.hub.log("%s", t.Text)
	}
	s.engine = newEngine(s.book, s.hub, o)
	if dir := filepath.Dir(o.Shoot.Path); o.Shoot.Path != "" && records.Is(dir) {
		s.engine.kept.dir = dir
	}
	s.book.changed = func() {
		s.book.mu.Lock()
		rev := s.book.rev
		s.book.mu.Unlock()
		s.hub.send(Event{Kind: "state", Revision: rev, Index: -1})
		s.engine.textChanged()
	}
	s.book.kitChanged = func() {
		s.hub.send(Event{Kind: "state", Revision: s.state().Revision, Index: -1, What: "kit"})
	}
	ctx, stop := context.WithCancel(context.Background())
	s.stop = stop
	go s.engine.queue.work(ctx)
	go s.book.watch(s.done, lookGap, s.book.kitSignature())
	s.book.mu.Lock()
	s.book.scheduleSave() // what was restored and is good goes to the file
	s.book.mu.Unlock()
	// The first thing a page will ask for.
	if m := s.book.snapshot(); m != nil {
		h := s.engine.setup(0)
		s.engine.requestReadings(h)
	}
	return s, nil
}

// AlreadyOpen says that another halfstop has the shoot open.
type AlreadyOpen struct {
	store.Holder
	Answers bool // its page can be used instead
}

func (e *AlreadyOpen) Error() string {
	if e.Answers {
		return fmt.Sprintf("this shoot is open already: http://%s/ shows it", e.Address)
	}
	who := "a program that does not say which it is"
	if e.Process > 0 {
		who = fmt.Sprintf("process %d on %s, since %s", e.Process, e.Machine, e.Since.Local().Format("2 Jan 15:04"))
	}
	return fmt.Sprintf(
		"this shoot is open in another halfstop (%s), which does not answer: it may be stopped, or belong to "+
			"another machine. Let it go on or end it, then open the shoot again", who)
}

// answerTime is how long a server that holds a lock is given to answer.
const answerTime = 3 * time.Second

// keeper is what keeps a shoot: its locks, and its journal, nil where none can be kept; the
// troubles say why.
type keeper struct {
	journal  *journal
	locks    []*store.Lock
	troubles []Trouble
}

func (k *keeper) release() {
	for _, l := range k.locks {
		l.Release()
	}
	k.locks = nil
}

// place takes the locks of a shoot and opens its journal; file is "" for the demonstration. anew:
// what an earlier run left under this name is set aside.
//
// *AlreadyOpen where another halfstop has the shoot open.
func (s *Server) place(file string, disk []byte, anew bool) (k keeper, err error) {
	machine, _ := os.Hostname()
	who := store.Holder{Address: s.Address, Run: s.run, Process: os.Getpid(), Machine: machine,
		Since: time.Now().Round(time.Second)}
	defer func() {
		if err != nil {
			k.release()
		}
	}()
	note := func(c TroubleCode, format string, args ...any) {
		k.troubles = append(k.troubles, Trouble{Code: c, Text: fmt.Sprintf(format, args...)})
	}
	lock := func(path string) error {
		l, err := store.Acquire(path, who)
		var held *store.Held
		switch {
		case errors.As(err, &held):
			h := held.Holder
			return &AlreadyOpen{h, h.Machine == machine && answers(h.Address, h.Run)}
		case errors.Is(err, store.ErrNoLocks):
			note(TroubleLock, "the file system of %s knows no locks: do not open this shoot twice", filepath.Dir(path))
			return nil
		case err != nil:
			return err
		}
		k.locks = append(k.locks, l)
		return nil
	}
	on := s.opt.Disk
	if on == nil {
		on = store.OS
	}
	var open *AlreadyOpen
	if file != "" {
		file = absolute(file)
		if err := lock(store.LockName(file)); errors.As(err, &open) {
			return k, err
		}
		store.ClearStale(file)
	}
	why := s.opt.Reason
	var j *journal
	set := ""
	if dir := s.opt.Journals; dir != "" {
		err := os.MkdirAll(dir, 0o700)
		name := journalIn(dir, file)
		if err == nil {
			if err = lock(strings.TrimSuffix(name, ".journal") + ".lock"); errors.As(err, &open) {
				return k, err
			}
		}
		if err == nil {
			j, set, err = openJournal(on, name, file, s.Address, disk, anew)
		}
		if err != nil {
			j, why = nil, reason(err)
		}
	}
	beside := ""
	if file != "" {
		beside = journalBeside(file)
	}
	switch {
	case j != nil && beside != "":
		j.adopt(beside)
	case j == nil && beside != "":
		if j, set, err = openJournal(on, beside, file, s.Address, disk, anew); err != nil {
			j = nil
			if why == "" {
				why = reason(err)
			}
			note(TroubleMemory, "kept in memory only, because no journal can be written: %s", why)
		} else if why != "" {
			note(TroubleBeside,
				"the folder for journals cannot be used (%s): what is not saved yet is kept beside the shoot, in %s",
				why, beside)
		}
	case j == nil && why != "":
		note(TroubleMemory, "kept in memory only, because no journal can be written: %s", why)
	}
	if set != "" {
		note(TroubleSetAside,
			"an earlier shoot of this name, which is gone, had unsaved changes: they are kept in %s", set)
	}
	if j != nil && j.cut {
		note(TroubleCut, "the last change of the earlier run was not written whole, and is lost; all before it is here")
	}
	k.journal = j
	return k, nil
}

// answers reports whether the halfstop server of a run answers at an address of this machine.
func answers(address, run string) bool {
	if a, err := netip.ParseAddrPort(address); err != nil || !a.Addr().IsLoopback() {
		return false // nothing is asked of any other machine, whatever the lock says
	}
	c := &http.Client{Timeout: answerTime, Transport: &http.Transport{Proxy: nil, DisableKeepAlives: true}}
	r, err := c.Get("http://" + address + "/api/state")
	if err != nil {
		return false
	}
	defer r.Body.Close()
	var s State
	return r.StatusCode == http.StatusOK && json.NewDecoder(io.LimitReader(r.Body, 16<<20)).Decode(&s) == nil &&
		s.Run == run
}

// Serve answers until ctx ends, then saves and closes. The error is what kept the text from being
// saved, or the server from answering.
func (s *Server) Serve(ctx context.Context) error {
	h := &http.Server{Handler: s.Handler(), ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute,
		MaxHeaderBytes: 64 << 10}
	failed := make(chan error, 1)
	go func() { failed <- h.Serve(s.net) }()
	var err error
	select {
	case <-ctx.Done():
	case err = <-failed:
	}
	end := s.Close()
	c, stop := context.WithTimeout(context.Background(), 2*time.Second)
	defer stop()
	if h.Shutdown(c) != nil {
		h.Close()
	}
	return errors.Join(err, end)
}

// Close ends rendering, saves, and lets go of the journal where nothing in it is needed.
func (s *Server) Close() error {
	select {
	case <-s.done:
		return nil
	default:
	}
	close(s.done)
	s.disarm()
	s.closeFloor()
	s.stop()
	s.closeLibrary()
	s.net.Close()
	return s.book.close()
}

// page serves the built page.
func (s *Server) page() http.Handler { return s.files(s.opt.Page) }

// files serves a page: index.html at its root, names with a hash under assets.
func (s *Server) files(page fs.FS) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			s.fail(w, refuse(http.StatusMethodNotAllowed, "%s is not done here", r.Method))
			return
		}
		name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
		if name == "" || name == "." {
			name = "index.html"
		}
		if page == nil {
			s.fail(w, refuse(http.StatusNotFound, "this build has no page; the API is at /api/state"))
			return
		}
		b, err := fs.ReadFile(page, name)
		if err != nil {
			s.fail(w, refuse(http.StatusNotFound, "there is no %s", r.URL.Path))
			return
		}
		h := w.Header()
		// Names under assets carry a hash of what is in them.
		if strings.HasPrefix(name, "assets/") {
			h.Set("Cache-Control", "public, max-age=31536000, immutable")
		} else {
			h.Set("Cache-Control", "no-cache")
		}
		if t := typeOf(name); t != "" {
			h.Set("Content-Type", t)
		}
		if !tagged(w, r, tagOf(b)) {
			send(w, http.StatusOK, b)
		}
	})
}

// typeOf gives the media type by the name's end, not by what the machine happens to have
// registered.
func typeOf(name string) string {
	switch path.Ext(name) {
	case ".html":
		return "text/html; charset=utf-8"
	case ".js", ".mjs":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".wasm":
		return "application/wasm"
	case ".woff2":
		return "font/woff2"
	case ".svg":
		return "image/svg+xml"
	case ".png":
		return "image/png"
	case ".json", ".webmanifest":
		return "application/json"
	case ".txt":
		return "text/plain; charset=utf-8"
	}
	return mime.TypeByExtension(path.Ext(name))
}
