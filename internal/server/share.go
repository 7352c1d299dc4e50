package server

import (
	"context"
	"encoding/base64"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"halfstop/answer"
	"halfstop/internal/floor"
	"halfstop/internal/share"
	"halfstop/internal/store"
)

// ShareView is what the desk knows of sharing.
type ShareView struct {
	On          bool         `json:"on"`
	Plain       bool         `json:"plain" doc:"without TLS"`
	Lacks       string       `json:"lacks,omitempty" doc:"what that lacks"`
	URL         string       `json:"url,omitempty"`
	Fingerprint string       `json:"fingerprint,omitempty" doc:"SHA-256 of the certificate, as browsers show it"`
	Addresses   []string     `json:"addresses" doc:"of this machine, to choose from"`
	Devices     []DeviceView `json:"devices"`
	Frames      string       `json:"frames" doc:"the folder that is watched for test frames; empty: none"`
}

// DeviceView is a paired device.
type DeviceView struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Role string `json:"role" words:"look|crew|lead"`
	Seen int64  `json:"seen" doc:"when it asked last, milliseconds since 1970"`
}

// ShareSet switches sharing.
type ShareSet struct {
	On      bool   `json:"on"`
	Plain   bool   `json:"plain,omitempty"`
	Address string `json:"address,omitempty" doc:"'ADDRESS' or 'ADDRESS:PORT'; absent: the first of the local network"`
}

// CodeAsk asks for a pairing code.
type CodeAsk struct {
	Role string `json:"role" words:"look|crew|lead"`
	Name string `json:"name,omitempty" doc:"proposed to who pairs"`
}

// CodeView is a code that holds once.
type CodeView struct {
	Code  string `json:"code"`
	URL   string `json:"url"`
	QR    string `json:"qr" doc:"the address as a QR code: a PNG as a data URL"`
	Until int64  `json:"until" doc:"milliseconds since 1970"`
}

// FramesAsk says which folder to watch for test frames.
type FramesAsk struct {
	Folder string `json:"folder" doc:"a full path on this machine; empty: none"`
}

// RevokeAsk takes a device out.
type RevokeAsk struct {
	ID string `json:"id"`
}

// sharing is the floor and the door to it.
type sharing struct {
	mu    sync.Mutex
	floor *floor.Floor
	door  *share.Door
	ended chan struct{}
}

// deskDevice is the device that the desk itself is to the floor.
var deskDevice = share.Device{ID: "desk", Name: "desk", Role: share.Lead}

// theFloor gives the day on the floor; it begins with the first question for it.
func (s *Server) theFloor() *floor.Floor {
	s.share.mu.Lock()
	defer s.share.mu.Unlock()
	if s.share.floor == nil {
		s.share.floor = floor.New(floor.Options{
			Shoot: func() (*answer.Job, int) {
				if m := s.book.snapshot(); m != nil {
					return m.job, m.rev
				}
				return nil, 0
			},
			Dir: func() string {
				s.book.mu.Lock()
				defer s.book.mu.Unlock()
				if s.book.file.Path == "" {
					return ""
				}
				return filepath.Dir(store.PlanOf(s.book.file.Path))
			},
			Devices: func() []share.Device {
				s.share.mu.Lock()
				defer s.share.mu.Unlock()
				if s.share.door == nil {
					return nil
				}
				return s.share.door.Devices()
			},
			Clock:  s.opt.Clock,
			Frames: s.opt.Frames,
			Fault:  func(what string, v any) { s.hub.fault(what, v, nil) },
		})
	}
	return s.share.floor
}

// Share opens the floor to the network.
func (s *Server) Share(o ShareSet) error {
	on, err := share.Choose(o.Address)
	if err != nil {
		return err
	}
	f := s.theFloor()
	s.share.mu.Lock()
	defer s.share.mu.Unlock()
	if s.share.door != nil {
		if s.share.door.Plain() == o.Plain {
			return nil
		}
		s.stopSharing()
	}
	keep := ""
	if s.opt.Journals != "" {
		keep = strings.TrimSuffix(journalIn(s.opt.Journals, s.shootFile()), ".journal") + ".share"
	}
	d, err := share.Open(share.Options{On: on, Plain: o.Plain, Keep: keep, Log: s.opt.Log})
	if err != nil {
		return err
	}
	ended := make(chan struct{})
	s.share.door, s.share.ended = d, ended
	go func() {
		defer close(ended)
		if err := d.Serve(context.Background(), f.Routes(), s.floorPage("/")); err != nil {
			s.hub.log("sharing ended: %v", err)
		}
	}()
	return nil
}

// shootFile is the plan's full name; "" for the demonstration.
func (s *Server) shootFile() string {
	s.book.mu.Lock()
	defer s.book.mu.Unlock()
	if s.opt.Demo && s.book.file.Path == "" {
		return ""
	}
	return absolute(s.book.file.Path)
}

// stopSharing closes the door; the caller has the lock.
func (s *Server) stopSharing() {
	if d := s.share.door; d != nil {
		d.Close()
		select {
		case <-s.share.ended:
		case <-time.After(5 * time.Second):
		}
		s.share.door = nil
	}
}

// closeFloor ends sharing and the work of the floor.
func (s *Server) closeFloor() {
	s.share.mu.Lock()
	s.stopSharing()
	f := s.share.floor
	s.share.mu.Unlock()
	if f != nil {
		f.Close()
	}
}

// ShareState says how the floor is shared.
func (s *Server) ShareState() ShareView {
	v := ShareView{Addresses: []string{}, Devices: []DeviceView{}}
	s.share.mu.Lock()
	defer s.share.mu.Unlock()
	if s.share.floor != nil {
		v.Frames = s.share.floor.Watched()
	}
	for _, a := range share.Addresses() {
		v.Addresses = append(v.Addresses, a.String())
	}
	d := s.share.door
	if d == nil {
		return v
	}
	v.On, v.Plain, v.URL, v.Fingerprint = true, d.Plain(), d.URL(), d.Fingerprint()
	if v.Plain {
		v.Lacks = share.Lacks
	}
	for _, x := range d.Devices() {
		v.Devices = append(v.Devices, DeviceView{x.ID, x.Name, string(x.Role), x.Seen.UnixMilli()})
	}
	return v
}

// NewCode makes a code for one more device.
func (s *Server) NewCode(a CodeAsk) (CodeView, error) {
	s.share.mu.Lock()
	d := s.share.door
	s.share.mu.Unlock()
	if d == nil {
		return CodeView{}, fmt.Errorf("the floor is not shared; switch that on first")
	}
	c, err := d.NewCode(share.Role(a.Role), a.Name)
	if err != nil {
		return CodeView{}, err
	}
	url := d.PairURL(c)
	png, err := share.QR(url, 260)
	if err != nil {
		return CodeView{}, err
	}
	return CodeView{c.Code, url, "data:image/png;base64," + base64.StdEncoding.EncodeToString(png),
		c.Until.UnixMilli()}, nil
}

func (s *Server) getShare(w http.ResponseWriter, r *http.Request) error {
	return give(w, s.ShareState())
}

func (s *Server) postShare(r *http.Request, o ShareSet) (ShareView, error) {
	if o.On {
		if err := s.Share(o); err != nil {
			return ShareView{}, err
		}
	} else {
		s.share.mu.Lock()
		s.stopSharing()
		s.share.mu.Unlock()
	}
	return s.ShareState(), nil
}

func (s *Server) postCode(r *http.Request, a CodeAsk) (CodeView, error) {
	v, err := s.NewCode(a)
	if err != nil {
		return CodeView{}, err
	}
	return v, nil
}

// postFrames says which folder to watch: of the desk only, a phone names no path.
func (s *Server) postFrames(r *http.Request, a FramesAsk) (ShareView, error) {
	if a.Folder != "" {
		if info, err := os.Stat(a.Folder); err != nil || !info.IsDir() || !filepath.IsAbs(a.Folder) {
			return ShareView{}, refuse(http.StatusUnprocessableEntity,
				"%s: there is no such folder; give its full path", a.Folder)
		}
	}
	s.theFloor().Watch(a.Folder)
	return s.ShareState(), nil
}

func (s *Server) postRevoke(r *http.Request, a RevokeAsk) (ShareView, error) {
	s.share.mu.Lock()
	d := s.share.door
	s.share.mu.Unlock()
	if d == nil {
		return ShareView{}, refuse(http.StatusNotFound, "the floor is not shared")
	}
	if err := d.Revoke(a.ID); err != nil {
		return ShareView{}, refuse(http.StatusNotFound, "%v", err)
	}
	s.theFloor().Changed()
	return s.ShareState(), nil
}

// onFloor serves the floor to the desk itself: what phones find under /api stands under
// /api/floor here, and the desk is its lead.
func (s *Server) onFloor(mux *http.ServeMux) {
	for _, r := range (*floor.Floor)(nil).Routes() {
		path := "/api/floor" + strings.TrimPrefix(strings.TrimPrefix(r.Path, "/api"), "/floor")
		mux.HandleFunc(r.Method+" "+path, func(w http.ResponseWriter, req *http.Request) {
			s.serve(w, req, func(_ *Server, w http.ResponseWriter, req *http.Request) error {
				for _, mine := range s.theFloor().Routes() {
					if mine.Method == r.Method && mine.Path == r.Path {
						if err := mine.Do(w, req, deskDevice); err != nil {
							share.Fail(w, err)
						}
					}
				}
				return nil
			})
		})
	}
	mux.Handle("GET /floor/", s.floorPage("/floor/"))
}

// floorPage serves the page of the floor below a path.
func (s *Server) floorPage(at string) http.Handler {
	if s.opt.Page == nil {
		return http.NotFoundHandler()
	}
	sub, err := fs.Sub(s.opt.Page, "floor")
	if err != nil {
		return http.NotFoundHandler()
	}
	return http.StripPrefix(strings.TrimSuffix(at, "/"), s.files(sub))
}
