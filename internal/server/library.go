package server

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/library"
	"halfstop/internal/records"
	"halfstop/internal/store"
	"halfstop/meter"
	"halfstop/picture"
	"halfstop/record"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/yamltext"
)

// LibraryView is what was found in a folder of shoots and records.
type LibraryView struct {
	Folder  string       `json:"folder" doc:"that is looked through, with all that is below it; empty: none yet"`
	Problem string       `json:"problem" doc:"why there is nothing to show; empty: there is"`
	Said    []string     `json:"understood" doc:"the question as it was understood"`
	All     int          `json:"setups" doc:"in the folder"`
	Exact   int          `json:"exact" doc:"hits for which all of the question holds; they come first"`
	Hits    []LibraryHit `json:"hits"`
	Facets  []Facet      `json:"facets"`
	Skipped []string     `json:"skipped" doc:"files that could not be read, each with why"`
}

// LibraryHit is one setup of the library.
type LibraryHit struct {
	File     string   `json:"file" doc:"below the folder"`
	Setup    string   `json:"setup"`
	Shoot    string   `json:"shoot"`
	Date     string   `json:"date"`
	Recorded bool     `json:"recorded" doc:"a record: it can be lit again"`
	Picture  bool     `json:"picture" doc:"there is one, see /api/library/picture"`
	Lights   int      `json:"lights"`
	Pattern  string   `json:"pattern"`
	Ratio    float64  `json:"ratio" doc:"lit side over shadow side, to one; 0: not known"`
	Level    float64  `json:"level_stops" doc:"mean, to mid-grey; 0: not known"`
	Ceiling  float64  `json:"ceiling_m" doc:"0: open"`
	Area     float64  `json:"area_m2"`
	Lens     float64  `json:"lens_mm"`
	Kit      []string `json:"kit"`
	Haze     bool     `json:"haze"`
	Lacks    []string `json:"lacks" doc:"of the question, what does not hold"`
}

// Facet is a property by which setups can be picked.
type Facet struct {
	Name string     `json:"name"`
	Bins []FacetBin `json:"bins"`
}

// FacetBin is one value of a facet.
type FacetBin struct {
	Value string `json:"value"`
	Count int    `json:"count"`
	On    bool   `json:"on" doc:"picked"`
}

// SetupRef names a setup: of the library, or of the shoot that is open.
type SetupRef struct {
	File  string `json:"file" doc:"below the library's folder; empty: the shoot that is open"`
	Setup string `json:"setup"`
}

// CompareAsk holds two setups against each other.
type CompareAsk struct {
	A   SetupRef `json:"a"`
	B   SetupRef `json:"b"`
	Why string   `json:"why,omitempty" words:"softer|brighter|warmer" doc:"also which change made B so"`
}

// RelightAsk asks for a record in the room of the shoot that is open.
type RelightAsk struct {
	File string `json:"file" doc:"of the record, below the library's folder"`
}

// RelightView is a record lit again in the room of the shoot that is open. Nothing is changed yet.
type RelightView struct {
	ID       int          `json:"id" doc:"of its picture, see /api/library/relit"`
	Revision int          `json:"revision" doc:"of the shoot whose room it is for"`
	Name     string       `json:"name" doc:"of the new setup"`
	Value    string       `json:"value" doc:"to be appended to 'setups' by /api/edit"`
	Nobody   string       `json:"nobody" doc:"why nobody fits; empty: it fits"`
	Old      bool         `json:"old_picture" doc:"the record has one"`
	New      bool         `json:"new_picture"`
	Relit    record.Relit `json:"relit"`
}

// shelf is the library's share of the server.
type shelf struct {
	mu   sync.Mutex
	lib  *library.Library
	root string

	work  sync.Mutex // one comparison or relighting at a time
	relit struct {
		mu  sync.Mutex
		id  int
		png []byte
	}
}

// mostHits is how many setups a page is shown.
const mostHits = 120

// libraryRoot is the folder that is looked through where none was named: that of the shoot, of a
// record that of the shoot that it is of; empty for the demonstration.
func (s *Server) libraryRoot() string {
	if s.opt.Library != "" {
		return s.opt.Library
	}
	s.book.mu.Lock()
	path, demo := s.book.file.Path, s.book.demo
	s.book.mu.Unlock()
	if path == "" || demo {
		return ""
	}
	dir := filepath.Dir(absolute(path))
	if records.Is(dir) && filepath.Base(filepath.Dir(dir)) == "records" {
		return filepath.Dir(filepath.Dir(dir))
	}
	return dir
}

// library opens the index of a folder; empty is the one that is open, or the shoot's.
func (s *Server) library(ctx context.Context, folder string) (*library.Library, string, error) {
	h := &s.shelf
	h.mu.Lock()
	defer h.mu.Unlock()
	if folder == "" {
		folder = cmp.Or(h.root, s.libraryRoot())
	}
	if folder == "" {
		return nil, "", nil
	}
	if !filepath.IsAbs(folder) {
		return nil, "", refuse(http.StatusBadRequest, "%s: give the folder's whole name, from the root", folder)
	}
	if h.lib != nil && h.root == folder {
		return h.lib, folder, nil
	}
	at := s.opt.Cache
	if at == "" {
		cache, err := os.UserCacheDir()
		if err != nil {
			cache = os.TempDir()
		}
		at = filepath.Join(cache, "halfstop")
	}
	l, err := library.Open(ctx, folder, at)
	if err != nil {
		return nil, folder, err
	}
	if h.lib != nil {
		h.lib.Close()
	}
	h.lib, h.root = l, folder
	return l, folder, nil
}

func (s *Server) closeLibrary() {
	s.shelf.mu.Lock()
	defer s.shelf.mu.Unlock()
	if s.shelf.lib != nil {
		s.shelf.lib.Close()
		s.shelf.lib = nil
	}
}

func (s *Server) getLibrary(w http.ResponseWriter, r *http.Request) error {
	v := &LibraryView{Said: []string{}, Hits: []LibraryHit{}, Facets: []Facet{}, Skipped: []string{}}
	ctx := r.Context()
	l, folder, err := s.library(ctx, r.FormValue("folder"))
	v.Folder = folder
	switch {
	case err != nil:
		v.Problem = err.Error()
		return give(w, v)
	case l == nil:
		v.Problem = "the demonstration has no folder: name one that holds shoots and records"
		return give(w, v)
	}
	fresh, err := l.Refresh(ctx, func(done, of int) { s.working("library", done, of) })
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		v.Problem = err.Error()
		return give(w, v)
	}
	v.Skipped = append(v.Skipped, fresh.Skipped...)
	var picks []library.Pick
	for _, p := range r.Form["pick"] {
		facet, value, _ := strings.Cut(p, "=")
		picks = append(picks, library.Pick{Facet: facet, Value: value})
	}
	found := &library.Found{Said: []string{}}
	if like := r.FormValue("like"); like != "" {
		x, err := l.Find(ctx, like, r.FormValue("setup"))
		if err != nil {
			return refuse(http.StatusNotFound, "%v", err)
		}
		if found.Hits, err = l.Near(ctx, x, mostHits); err != nil {
			return err
		}
		found.All, found.Exact = len(found.Hits)+1, len(found.Hits)
		found.Said = []string{"by look, nearest first: " + x.Setup}
	} else if found, err = l.Search(ctx, r.FormValue("q"), mostHits, picks...); err != nil {
		return err
	}
	v.Said, v.All, v.Exact = some(found.Said), found.All, found.Exact
	for i := range found.Hits {
		h := &found.Hits[i]
		x := &h.Facts
		v.Hits = append(v.Hits, LibraryHit{File: h.File, Setup: x.Setup, Shoot: x.Title, Date: x.Date,
			Recorded: x.Recorded, Picture: x.Picture != "", Lights: x.Lights, Pattern: x.Pattern, Ratio: x.Ratio,
			Level: x.Level, Ceiling: x.Ceiling, Area: x.Area, Lens: x.Lens, Kit: some(x.Kit), Haze: x.Haze,
			Lacks: some(h.Lacks)})
	}
	for _, name := range []string{"ratio", "pattern", "lights", "kit", "room", "hour"} {
		f := Facet{Name: name, Bins: []FacetBin{}}
		for _, b := range found.Facets[name] {
			f.Bins = append(f.Bins, FacetBin{b.Value, b.Count,
				slices.Contains(picks, library.Pick{Facet: name, Value: b.Value})})
		}
		if len(f.Bins) > 0 {
			v.Facets = append(v.Facets, f)
		}
	}
	return give(w, v)
}

// working tells the pages how far long work is.
func (s *Server) working(what string, done, of int) {
	s.hub.send(Event{Kind: "progress", Index: -1, What: what, Done: float64(done) / float64(max(1, of))})
}

// shelved gives the full name of a file that the library knows, and the setup's facts.
func (s *Server) shelved(ctx context.Context, ref SetupRef) (string, *library.Facts, error) {
	l, root, err := s.library(ctx, "")
	if err != nil {
		return "", nil, err
	}
	if l == nil {
		return "", nil, refuse(http.StatusNotFound, "there is no library open")
	}
	x, err := l.Find(ctx, ref.File, ref.Setup)
	if err != nil {
		return "", nil, refuse(http.StatusNotFound, "%v", err)
	}
	return filepath.Join(root, filepath.FromSlash(ref.File)), x, nil
}

func (s *Server) getLibraryPicture(w http.ResponseWriter, r *http.Request) error {
	path, x, err := s.shelved(r.Context(), SetupRef{File: r.FormValue("file")})
	if err != nil {
		return err
	}
	if x.Picture == "" {
		return refuse(http.StatusNotFound, "%s has no picture", r.FormValue("file"))
	}
	data, err := (&records.Folder{Dir: filepath.Dir(path)}).Read(x.Picture)
	if err != nil {
		return err
	}
	if kind := http.DetectContentType(data); kind != "image/png" {
		return refuse(http.StatusUnprocessableEntity, "%s is no PNG picture", x.Picture)
	}
	w.Header().Set("Content-Type", "image/png")
	send(w, http.StatusOK, data)
	return nil
}

// compared is one of two setups that are held against each other.
type compared struct {
	record *record.Record
	side   record.Side
}

// side reads a record, or meters a setup of a shoot.
func (s *Server) side(ctx context.Context, ref SetupRef) (c compared, err error) {
	var job *answer.Job
	if ref.File == "" {
		m, err := s.model()
		if err != nil {
			return c, err
		}
		job = m.job
	} else {
		path, _, err := s.shelved(ctx, ref)
		if err != nil {
			return c, err
		}
		if records.Is(path) {
			f, err := records.Open(path)
			if err != nil {
				return c, err
			}
			job, list, err := f.Job(records.DialledName)
			if job == nil {
				return c, errors.Join(err, list.Err())
			}
			return compared{f.Record, record.Side{Job: job}}, nil
		}
		file, err := store.Read(path, nil)
		if err != nil {
			return c, err
		}
		f, doc, list := file.Parse()
		if list.Has(diag.Error) {
			return c, list.Err()
		}
		job = &answer.Job{File: f, Doc: doc, Files: func(name string) ([]byte, error) {
			return file.ReadFile(name, mostRead)
		}}
	}
	setups, err := job.Setups(ref.Setup)
	if err != nil {
		return c, refuse(http.StatusNotFound, "%v", err)
	}
	made, list, err := record.Make(ctx, job, setups[0], record.Work{Meter: meter.Work{Seed: 1, Error: 0.03,
		Samples: 1 << 14}})
	if err == nil && made == nil {
		err = list.Err()
	}
	if err != nil {
		return c, err
	}
	return compared{made.Record, record.Side{Job: job, Setup: setups[0]}}, nil
}

func (s *Server) postCompare(w http.ResponseWriter, r *http.Request) error {
	var x CompareAsk
	if err := take(w, r, &x); err != nil {
		return err
	}
	switch x.Why {
	case "", "softer", "brighter", "warmer":
	default:
		return refuse(http.StatusBadRequest, "why: ask softer, brighter or warmer")
	}
	ctx := r.Context()
	s.shelf.work.Lock()
	defer s.shelf.work.Unlock()
	a, err := s.side(ctx, x.A)
	if err != nil {
		return err
	}
	b, err := s.side(ctx, x.B)
	if err != nil {
		return err
	}
	c := record.Compare(a.record, b.record)
	if x.Why != "" {
		c.Why, err = record.Explain(ctx, a.side, b.side, x.Why, meter.Work{Seed: 1, Error: 0.04, Samples: 1 << 12},
			func(done, of int) { s.working("compare", done, of) })
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			return err
		}
	}
	return give(w, c)
}

func (s *Server) postRelight(r *http.Request, x RelightAsk) (RelightView, error) {
	ctx := r.Context()
	path, _, err := s.shelved(ctx, SetupRef{File: x.File})
	if err != nil {
		return RelightView{}, err
	}
	if !records.Is(path) {
		return RelightView{}, refuse(http.StatusUnprocessableEntity,
			"%s is no record: only one can be lit again", x.File)
	}
	m, err := s.model()
	if err != nil {
		return RelightView{}, err
	}
	s.shelf.work.Lock()
	defer s.shelf.work.Unlock()
	f, err := records.Open(path)
	if err != nil {
		return RelightView{}, err
	}
	job, list, err := f.Job(records.DialledName)
	if job == nil {
		return RelightView{}, errors.Join(err, list.Err())
	}
	s.book.mu.Lock()
	kits := s.book.file.Kit
	s.book.mu.Unlock()
	again, list, err := record.Relight(ctx, record.RelightWork{Record: f.Record, Job: job, Room: m.job, Kits: kits,
		Scale: 1, Meter: meter.Work{Seed: 1, Error: 0.03, Samples: 1 << 13,
			Progress: func(done, of int) { s.working("relight", done, of) }}})
	if ctx.Err() != nil {
		return RelightView{}, ctx.Err()
	}
	v := &RelightView{Revision: m.rev}
	if errors.Is(err, record.ErrNobodyFits) && again != nil {
		v.Nobody, err = err.Error(), nil
	}
	if err == nil && again == nil {
		err = list.Err()
	}
	if err != nil {
		return RelightView{}, err
	}
	v.Relit = *again
	if v.Name, v.Value, err = asSetup(m, again); err != nil {
		return RelightView{}, err
	}
	if err := s.relitPictures(ctx, v, f, path); err != nil {
		return RelightView{}, err
	}
	return *v, nil
}

// asSetup gives the new setup under a name that the shoot has not yet, as it is appended to it.
func asSetup(m *model, again *record.Relit) (name, value string, err error) {
	name = again.Setup
	for n := 1; slices.ContainsFunc(m.job.File.Setups, func(x shoot.Setup) bool {
		return strings.EqualFold(x.Name, name)
	}); n++ {
		if name = again.Setup + " again"; n > 1 {
			name = fmt.Sprintf("%s again %d", again.Setup, n)
		}
	}
	doc, _ := yamltext.Parse("relit.yaml", again.Text)
	text, err := doc.Set("setups[0].name", yamltext.Quote(name, true))
	if err != nil {
		return "", "", err
	}
	doc, _ = yamltext.Parse("relit.yaml", text)
	return name, doc.Find("setups[0]").Write(), nil
}

// relitPictures exposes the new picture and holds its regions against the kept one's.
func (s *Server) relitPictures(ctx context.Context, v *RelightView, f *records.Folder, path string) error {
	if f.Record.Layers == nil {
		return nil
	}
	was, err := unpacked(filepath.Dir(path))
	if err != nil {
		v.Relit.Notes = append(v.Relit.Notes, "there is no old picture to show: "+err.Error())
		return nil
	}
	v.Old = true
	w, h := was.Film.W, was.Film.H
	for w > 480 || h > 480 {
		w, h = w/2, h/2
	}
	now, list, err := v.Relit.Job.Frame(ctx, 0, answer.FrameWork{MostBytes: s.engine.memory,
		Work: render.Work{Width: w,
			Height: h, Samples: min(16, s.engine.most), Seed: 1,
			Progress: func(done, of int) { s.working("relight", done, of) }}})
	if err == nil && now != nil {
		err = now.Denoise(ctx)
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil || now == nil {
		v.Relit.Notes = append(v.Relit.Notes, fmt.Sprintf("there is no new picture: %v",
			errors.Join(err, list.Err())))
		return nil
	}
	v.Relit.Regions = record.Regions(was, now, v.Relit.Mirrored)
	png, err := picture.PNG(picture.Flat(picture.Render(now.Linear(-1), w, h, now.Stage.White, spectrum.SRGB,
		render.RenderingOf(now.Stage))), spectrum.SRGB)
	if err != nil {
		return err
	}
	k := &s.shelf.relit
	k.mu.Lock()
	defer k.mu.Unlock()
	k.id++
	v.ID, k.png, v.New = k.id, png, true
	return nil
}

func (s *Server) getRelit(w http.ResponseWriter, r *http.Request) error {
	id, err := number(r, "id", 1<<30)
	if err != nil {
		return err
	}
	k := &s.shelf.relit
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.png == nil || id != k.id {
		return refuse(http.StatusNotFound, "that picture is no longer kept")
	}
	w.Header().Set("Content-Type", "image/png")
	send(w, http.StatusOK, k.png)
	return nil
}
