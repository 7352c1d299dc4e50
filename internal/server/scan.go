package server

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"mime"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"

	"halfstop/internal/store"
	"halfstop/mesh"
	"halfstop/scan"
	"halfstop/stage"
)

// ScanAsk says what is known of a scan; what is not said is found.
type ScanAsk struct {
	Unit        string       `json:"unit,omitempty" doc:"of the file: m, cm, mm, ft or in"`
	Up          string       `json:"up,omitempty" doc:"which way is up in the file: x+, x-, y+, y-, z+ or z-"`
	Turn        *int         `json:"turn,omitempty" doc:"0, 90, 180 or 270 degrees anticlockwise from above; absent: as it lies best on the room's outline"`
	Cut         [][6]float64 `json:"cut" doc:"boxes whose content is taken away: low corner and high corner, metres"`
	Part        string       `json:"part" doc:"the surface of known reflectance: floor, walls or ceiling"`
	Reflectance float64      `json:"reflectance" doc:"its reflectance, over 0, at most 0.95"`
}

// ScanView is a scan that is held in memory, and what was found in it.
type ScanView struct {
	Name   string       `json:"name" doc:"of its file"`
	Format string       `json:"format"`
	Size   [3]float64   `json:"size" doc:"of all that is in the file, in its own unit"`
	Ask    ScanAsk      `json:"ask" doc:"as it was asked"`
	Found  *scan.Found  `json:"found" doc:"null: see why"`
	Why    string       `json:"why" doc:"why no room was found; empty: one was"`
	Seen   [][3]float64 `json:"seen" doc:"what stands in the room, from above: rows of 5 cm, each x and y of its low end and its length, metres"`
	Turn   int          `json:"turn" doc:"the quarter turn that it has, degrees"`
	Off    *float64     `json:"off" doc:"by how much its outline is off the one by tape at most, metres; null: there is none"`
	Twin   bool         `json:"twin" doc:"turned by half it lies on the outline by tape as well: which way round it is must be looked at"`
}

// ScanPut asks to write a scan into the shoot.
type ScanPut struct {
	Keep bool `json:"keep" doc:"true: the room stays as it is by tape, only what stands in it is added"`
}

// heldScan is the scan that a page brought.
type heldScan struct {
	name string
	mesh *mesh.Mesh
	room *scan.Room // nil: see view.Why
	view ScanView
}

// mostCuts are taken at a time.
const mostCuts = 50

func (s *Server) postScan(w http.ResponseWriter, r *http.Request) error {
	if t, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || t != "application/octet-stream" {
		return refuse(http.StatusUnsupportedMediaType,
			"send the file's bytes with Content-Type: application/octet-stream")
	}
	name := fileName(r.FormValue("name"), "scan")
	h := &s.scout
	h.work.Lock() // before its bytes are taken: what waits takes no memory
	defer h.work.Unlock()
	src, err := upload(w, r, name, mesh.MostBytes, photoTime)
	if err != nil {
		return err
	}
	src, files, err := parted(name, src, r.Form["with"])
	if err != nil {
		return err
	}
	m, err := mesh.Reader{Files: files}.Parse(name, src)
	if err != nil {
		return refuse(http.StatusUnprocessableEntity, "%v", err)
	}
	x := s.findScan(name, m, ScanAsk{Cut: [][6]float64{}, Part: scan.Assumed.Part,
		Reflectance: scan.Assumed.Reflectance})
	h.hold(x)
	return give(w, x.view)
}

// parted parts a scan's bytes from those of the files that came with it, NAME:BYTES each, in turn
// after it. A file is known by its last name alone: who drops several says nothing of folders.
func parted(name string, src []byte, with []string) ([]byte, func(string, int64) ([]byte, error), error) {
	files, rest := map[string][]byte{}, src
	for i := len(with) - 1; i >= 0; i-- {
		at := strings.LastIndexByte(with[i], ':')
		n, err := strconv.Atoi(with[i][at+1:])
		if at < 1 || err != nil || n < 0 || n > len(rest) {
			return nil, nil, refuse(http.StatusBadRequest, "with: write NAME:BYTES of each file that follows the scan")
		}
		files[strings.ToLower(path.Base(with[i][:at]))] = rest[len(rest)-n:]
		rest = rest[:len(rest)-n]
	}
	return rest, func(at string, most int64) ([]byte, error) {
		b, ok := files[strings.ToLower(path.Base(at))]
		switch {
		case !ok:
			return nil, fmt.Errorf("%s did not come with %s: drop or choose all its files together, or export one "+
				"file (GLB)", path.Base(at), name)
		case int64(len(b)) > most:
			return nil, fmt.Errorf("%s has %d MiB; %d are read at most", path.Base(at), len(b)>>20, most>>20)
		}
		return b, nil
	}, nil
}

// hold keeps a scan in the place of the last one; nil lets it go.
func (h *scouting) hold(x *heldScan) {
	h.mu.Lock()
	h.scan = x
	h.mu.Unlock()
}

// scanHeld is the scan that is held.
func (h *scouting) scanHeld() (*heldScan, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.scan == nil {
		return nil, refuse(http.StatusNotFound, "no scan is held any more: choose it again")
	}
	return h.scan, nil
}

// tape is the outline of the shoot's room; nil: there is none.
func (s *Server) tape() (corners [][2]float64) {
	m := s.book.snapshot()
	if m == nil || !m.job.Doc.Has("room.size") && !m.job.Doc.Has("room.outline") {
		return nil
	}
	list, _ := stage.Outline(&m.job.File.Room)
	for _, c := range list {
		corners = append(corners, [2]float64{c.X, c.Y})
	}
	return corners
}

// findScan finds the room in a mesh.
func (s *Server) findScan(name string, m *mesh.Mesh, a ScanAsk) *heldScan {
	x := &heldScan{name: name, mesh: m}
	x.view = ScanView{Name: name, Format: m.Format, Size: m.Size(), Ask: a, Seen: [][3]float64{}}
	opt := scan.Options{Unit: a.Unit, Up: a.Up, Cut: a.Cut}
	if a.Turn != nil {
		opt.Turn = *a.Turn
	}
	r, err := scan.Find(m, opt)
	tape := s.tape()
	if err == nil && len(tape) > 2 {
		off := r.Fit(tape)
		best := 0
		if a.Turn == nil {
			for q := range off {
				if off[q] < off[best]-0.02 { // what is no better than a tape reads is no reason to turn it
					best = q
				}
			}
		}
		x.view.Off = &off[best]
		x.view.Twin = off[best] < 0.15 && math.Abs(off[best]-off[(best+2)%4]) < 0.05
		if best > 0 {
			opt.Turn = 90 * best
			r, err = scan.Find(m, opt)
		}
	}
	x.view.Turn = opt.Turn
	if err != nil {
		x.view.Why = err.Error()
		return x
	}
	x.room = r
	f := r.Found(scan.Known{Part: a.Part, Reflectance: a.Reflectance})
	x.view.Found, x.view.Seen = &f, some(r.Seen())
	return x
}

func (s *Server) postScanFind(r *http.Request, a ScanAsk) (ScanView, error) {
	if err := (scan.Known{Part: a.Part, Reflectance: a.Reflectance}).Check(); err != nil {
		return ScanView{}, refuse(http.StatusBadRequest, "%v", err)
	}
	if len(a.Cut) > mostCuts {
		return ScanView{}, refuse(http.StatusBadRequest, "%d boxes; %d are taken at a time", len(a.Cut), mostCuts)
	}
	if a.Turn != nil && (*a.Turn%90 != 0 || *a.Turn < 0 || *a.Turn > 270) {
		return ScanView{}, refuse(http.StatusBadRequest, "%v", scan.ErrTurn)
	}
	a.Cut = some(a.Cut)
	h := &s.scout
	h.work.Lock()
	defer h.work.Unlock()
	old, err := h.scanHeld()
	if err != nil {
		return ScanView{}, err
	}
	x := s.findScan(old.name, old.mesh, a)
	h.hold(x)
	return x.view, nil
}

func (s *Server) postScanDrop(w http.ResponseWriter, r *http.Request) error {
	s.scout.hold(nil)
	return s.getScout(w, r)
}

func (s *Server) postScanPut(r *http.Request, a ScanPut) (Take, error) {
	h := &s.scout
	h.work.Lock()
	defer h.work.Unlock()
	x, err := h.scanHeld()
	if err != nil {
		return Take{}, err
	}
	m, err := s.model()
	if err != nil {
		return Take{}, err
	}
	f := x.view.Found
	switch {
	case x.room == nil:
		return Take{}, refuse(http.StatusUnprocessableEntity, "%s: %s", x.name, x.view.Why)
	case !f.UnitSure || !f.UpSure:
		return Take{}, refuse(http.StatusUnprocessableEntity,
			"%s: its unit (%s) and which way is up (%s) are a guess: say them first", x.name, f.Unit, f.Up)
	}
	tape := s.tape()
	known := scan.Known{Part: x.view.Ask.Part, Reflectance: x.view.Ask.Reflectance}
	if a.Keep && (len(tape) < 3 || x.room.Things == nil) {
		return Take{}, refuse(http.StatusUnprocessableEntity,
			"there is no room by tape, or nothing stands in the scan's")
	}
	file := ""
	if x.room.Things != nil {
		if file, err = s.book.putScan(x.room.Things.PLY(scan.Comment)); err != nil {
			return Take{}, err
		}
	}
	lines := x.room.Lines(known, file)
	if a.Keep {
		at := [2]float64{math.Inf(1), math.Inf(1)}
		for _, p := range tape {
			at = [2]float64{min(at[0], p[0]), min(at[1], p[1])}
		}
		lines = []scan.Line{x.room.Thing(known, file, at)}
	}
	t := Take{"the room from " + x.name, []Edit{}}
	if !a.Keep && m.job.Doc.Has("room.size") {
		t.Edits = append(t.Edits, Edit{Delete: "room.size"})
	}
	old := -1 // what an earlier scan put in
	for i := range m.job.File.Room.Objects {
		if o := &m.job.File.Room.Objects[i]; o.Name == "scan" && o.Mesh != "" {
			old = i
		}
	}
	for _, l := range lines {
		switch path := fmt.Sprintf("%s[%d]", l.Path, old); {
		case l.Append && old >= 0:
			t.Edits = append(t.Edits, Edit{Set: path, Value: l.Value})
		case l.Append:
			t.Edits = append(t.Edits, Edit{Append: l.Path, Value: l.Value})
		default:
			t.Edits = append(t.Edits, Edit{Set: l.Path, Value: l.Value})
		}
	}
	return t, nil
}

// putScan writes the mesh of a scan beside the shoot, under the first of scan.ply, scan-2.ply
// and so on that is not there yet or holds the same; of a shoot in memory it is held there.
func (b *book) putScan(data []byte) (name string, err error) {
	b.turn.Lock()
	defer b.turn.Unlock()
	dir := b.kitFolder()
	for n := 1; n < 1000; n++ {
		if name = "scan.ply"; n > 1 {
			name = fmt.Sprintf("scan-%d.ply", n)
		}
		had, err := b.files(name)
		switch _, lerr := os.Lstat(filepath.Join(dir, name)); {
		case err == nil && bytes.Equal(had, data):
			return name, nil
		case err == nil || dir != "" && !errors.Is(lerr, fs.ErrNotExist):
			continue
		}
		if dir != "" {
			return name, store.WriteFile(filepath.Join(dir, name), data)
		}
		b.mu.Lock()
		if b.held == nil {
			b.held = map[string][]byte{}
		}
		b.held[name] = data
		b.mu.Unlock()
		return name, nil
	}
	return "", refuse(http.StatusConflict, "there are too many scans beside the shoot: take some away")
}
