package server

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"mime"
	"net"
	"net/http"
	"net/netip"
	"path"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"halfstop/internal/store"
)

// Options say what to serve.
type Options struct {
	Shoot    *store.Shoot                      // as read; for the demonstration without Path
	Files    func(name string) ([]byte, error) // photometric files and meshes that the shoot names
	Demo     bool                              // the shoot lives in memory
	Listen   string                            // 'HOST:PORT' of this machine; port 0: any free one
	Page     fs.FS                             // index.html at its root; nil: the API alone
	Journals string                            // folder for journals; empty: none, a killed process loses what was not saved
	Memory   int64                             // bytes for pictures; 0: 1 GiB
	Version  string
	Log      io.Writer         // faults and troubles; nil: nowhere
	Before   func(task string) // told before each piece of rendering, as 'film 0': a test makes one fail here; nil: nothing
}

// Server serves one shoot.
type Server struct {
	Address string // 'HOST:PORT' as opened

	opt    Options
	net    net.Listener
	book   *book
	hub    *hub
	engine *engine
	hosts  map[string]bool // names that a request may ask for
	done   chan struct{}
	stop   context.CancelFunc
	ways   sync.Mutex
	run    string // tells this run from another at the same address
}

// New opens the address and the shoot. Close or Serve must follow.
//
// Errors: an address that is not of this machine (there is no other way in), a port that is taken, a shoot that another halfstop has open.
func New(o Options) (*Server, error) {
	if o.Memory <= 0 {
		o.Memory = 1 << 30
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
			return nil, fmt.Errorf("%s: another program uses this port; give another with --listen 127.0.0.1:PORT, or leave --listen out", o.Listen)
		}
		return nil, fmt.Errorf("%s cannot be opened: %v", o.Listen, err)
	}
	s := &Server{Address: l.Addr().String(), opt: o, net: l, hub: newHub(o.Log), hosts: map[string]bool{}, done: make(chan struct{}), run: strconv.FormatInt(time.Now().UnixNano(), 36)}
	_, p, _ := net.SplitHostPort(s.Address)
	for _, h := range []string{"127.0.0.1", "localhost", "[::1]", host} {
		s.hosts[strings.ToLower(net.JoinHostPort(strings.Trim(h, "[]"), p))] = true
	}
	file := ""
	if !o.Demo {
		file = o.Shoot.Path
	}
	j, err := s.openJournal(file, o.Shoot.Src)
	var open *errOpen
	switch {
	case errors.As(err, &open) && o.Demo:
		j = nil // two demonstrations side by side: the second keeps none
	case errors.As(err, &open):
		l.Close()
		return nil, err
	case err != nil:
		s.hub.log("no journal can be kept, so a crash loses what was not saved: %v", err)
		j = nil
	}
	s.book = newBook(o.Shoot, o.Files, o.Demo, j)
	s.engine = newEngine(s.book, s.hub, o.Memory, o.Before)
	s.book.changed = func() {
		s.book.mu.Lock()
		rev := s.book.rev
		s.book.mu.Unlock()
		s.hub.send(Event{Kind: "state", Revision: rev, Index: -1})
		s.engine.moved()
	}
	s.book.kitChanged = func() {
		s.hub.send(Event{Kind: "state", Revision: s.state().Revision, Index: -1, What: "kit"})
	}
	ctx, stop := context.WithCancel(context.Background())
	s.stop = stop
	go s.engine.queue.work(ctx)
	go s.book.watch(s.done, 500*time.Millisecond)
	s.book.mu.Lock()
	s.book.later() // what was restored and is good goes to the file
	s.book.mu.Unlock()
	// The first thing a page will ask for.
	if m := s.book.snapshot(); m != nil {
		h := s.engine.setup(0)
		s.engine.want(h)
	}
	return s, nil
}

func (s *Server) openJournal(file string, disk []byte) (*journal, error) {
	if s.opt.Journals == "" {
		return nil, nil
	}
	if file != "" {
		file = absolute(file)
	}
	return openJournal(s.opt.Journals, file, s.Address, disk)
}

// Serve answers until ctx ends, then saves and closes. The error is what kept the text from being saved, or the server from answering.
func (s *Server) Serve(ctx context.Context) error {
	h := &http.Server{Handler: s.Handler(), ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10}
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
	s.stop()
	s.net.Close()
	return s.book.close()
}

// page serves the built page.
func (s *Server) page() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			s.fail(w, refuse(http.StatusMethodNotAllowed, "%s is not done here", r.Method))
			return
		}
		name := strings.TrimPrefix(path.Clean(r.URL.Path), "/")
		if name == "" || name == "." {
			name = "index.html"
		}
		if s.opt.Page == nil {
			s.fail(w, refuse(http.StatusNotFound, "this build has no page; the API is at /api/state"))
			return
		}
		b, err := fs.ReadFile(s.opt.Page, name)
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
		if r.Method == http.MethodHead {
			return
		}
		_, _ = w.Write(b)
	})
}

// typeOf gives the media type by the name's end, not by what the machine happens to have registered.
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
