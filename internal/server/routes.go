package server

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"os"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"

	"halfstop/diag"
	"halfstop/internal/store"
	"halfstop/yamltext"
)

// route is one line of the API. What it takes and gives stand here for openapi.yaml; in and out are
// zero values of the shapes.
type route struct {
	method, path string
	says         string
	query        []param
	in, out      any
	kind         string // of the answer where it is no JSON
	do           func(s *Server, w http.ResponseWriter, r *http.Request) error
}

type param struct{ name, kind, says string }

// change is a route that takes an In as JSON and gives an Out.
func change[In, Out any](method, path, says string, do func(*Server, *http.Request, In) (Out, error)) route {
	var in In
	var out Out
	return route{method, path, says, nil, in, out, "", func(s *Server, w http.ResponseWriter, r *http.Request) error {
		var x In
		if err := take(w, r, &x); err != nil {
			return err
		}
		v, err := do(s, r, x)
		if err != nil {
			return err
		}
		return give(w, v)
	}}
}

// routes is the API.
var routes = slices.Concat(libraryRoutes, scoutRoutes, kitRoutes, []route{
	{"GET", "/api/state", "what every page must know of the shoot", nil, nil, State{}, "", (*Server).getState},
	{"GET", "/api/setup/{i}", "everything to draw one setup with", nil, nil, SetupView{}, "", (*Server).getSetup},
	{"GET", "/api/setup/{i}/readings",
		"what the meter would say; 202 with a Problem while there is nothing yet",
		[]param{
			{"wait", "integer", "1: wait up to ten seconds for readings of the newest text"},
			{"word", "string", "fine: wait for settled ones"},
		}, nil, ReadingsView{}, "", (*Server).getReadings},
	{"GET", "/api/setup/{i}/layers",
		"the picture light by light, pass after pass: LayersHead as one line of JSON, then its bytes, and again",
		[]param{
			{"w", "integer", "width in pixels"},
			{"h", "integer", "height, where no width is given"},
			{"samples", "integer", "end after a pass with so many samples a pixel"},
			{"once", "integer",
				"1: answer at once with the newest pass or with none; the picture is in work for three seconds " +
					"more. The event 'layers' tells when to ask again"},
			{"since", "integer", "with once: the pass that is there already"},
			{"key", "string", "with once: as the last answer had it; where it is another now the answer is 'stale'"},
			{"late", "integer",
				"with once: 1: the newest pass may be of an earlier change, while things are dragged; key and " +
					"since of the answer name it"},
		}, nil, nil, "application/octet-stream", (*Server).getLayers},
	{"GET", "/api/setup/{i}/gpu",
		"the scene for the page's own graphics processor: the length of GPUHead in four bytes, GPUHead, its sections",
		[]param{
			{"w", "integer", "width of the picture in pixels"},
			{"still", "string", "instead of all, what a hand can move, where the rest still has this key"},
			{"node", "integer", "with still: the number of its first node"},
			{"triangle", "integer", "with still: and of its first triangle"},
		}, nil, nil, "application/octet-stream", (*Server).getGPU},
	{"GET", "/api/setup/{i}/frame.png",
		"the developed picture, the best there is; where none of the newest change comes within ten seconds, " +
			"that of an earlier one",
		[]param{
			{"w", "integer", "width in pixels, where no picture is there yet"},
		}, nil, nil, "image/png", (*Server).getFrame},
	{"GET", "/api/setup/{i}/spot",
		"the reading of one spot of the picture",
		[]param{
			{"x", "number", "0 to 1 from the left"},
			{"y", "number", "0 to 1 from the top"},
		}, nil, SpotView{}, "", (*Server).getSpot},
	{"GET", "/api/setup/{i}/fields",
		"the light over a plane through the place, level or upright, layer by layer, to draw contours of any " +
			"mix from; waits up to a minute",
		[]param{
			{"z", "number", "height of a level plane, metres; absent: of the sitter's face, or 1.5"},
			{"y", "number", "instead: the y that an upright plane stands at, metres"},
			{"meter", "string",
				"turned: a flat meter turned to each light, straight light only; camera: a dome towards the " +
					"camera, with what walls give back"},
		}, nil, FieldsView{}, "", (*Server).getFields},
	{"POST", "/api/setup/{i}/hour",
		"look at the setup at another hour, in all pages: sky and sun are of that hour in readings, picture, " +
			"checks and ways; the file stays as it is",
		nil, HourAsk{}, State{}, "", (*Server).postHour},
	{"POST", "/api/setup/{i}/balance",
		"settings for the look; nothing is changed: send the edits to /api/edit",
		nil, BalanceAsk{}, BalanceView{}, "", (*Server).postBalance},
	{"GET", "/api/setup/{i}/ways",
		"ways out of what the balanced look misses; a change of the shoot ends the search with 409",
		[]param{
			{"point", "string", "only what is missed at this point"},
		}, nil, WaysView{}, "", (*Server).getWays},
	{"POST", "/api/setup/{i}/try",
		"what a change would do to lights and readings; nothing is changed",
		nil, TryAsk{}, TryView{}, "", (*Server).postTry},
	{"POST", "/api/setup/{i}/try.png",
		"a small picture of the setup with a change, without grain; it waits behind more urgent work",
		nil, TryAsk{}, nil, "image/png", (*Server).postTryPicture},
	{"GET", "/api/day",
		"the plan of the day, what has happened of it, and how it goes",
		[]param{
			{"now", "integer", "seconds after midnight: tell also how it goes then"},
			{"quick", "integer", "1: without the kit list and what to give up first"},
		}, nil, DayView{}, "", (*Server).getDay},
	change("POST", "/api/day", "put something that happened into the log of the day", (*Server).postDay),
	{"GET", "/api/papers",
		"how many pages a paper has; it is computed where that is needed (event 'progress', what 'papers')",
		[]param{
			{"name", "string", "of the paper; 'book' for all in one"},
			{"paper", "string", "a4 or letter"},
		}, nil, PaperView{}, "", (*Server).getPaper},
	{"GET", "/api/papers/file",
		"a paper as a file: image/svg+xml, image/png or application/pdf",
		[]param{
			{"name", "string", "of the paper; 'book' for all in one"},
			{"paper", "string", "a4 or letter"},
			{"format", "string", "svg, png or pdf"},
			{"page", "integer", "from 1; a PDF has them all"},
		}, nil, nil, "application/octet-stream", (*Server).getPaperFile},
	{"GET", "/api/kit", "what can be put into a setup", nil, nil, KitView{}, "", (*Server).getKit},
	{"GET", "/api/form",
		"what every setting of the file is; forms are made from it",
		nil, nil, FormView{}, "", (*Server).getForm},
	{"GET", "/api/tree", "what the text says, value by value", nil, nil, TreeView{}, "", (*Server).getTree},
	{"GET", "/api/chart",
		"a chart of colours of light, and what a head can make on it",
		[]param{
			{"head", "string", "a head of the kit"},
		}, nil, ChartView{}, "", (*Server).getChart},
	{"GET", "/api/colour",
		"one colour asked of a head, and what comes",
		[]param{
			{"head", "string", "a head of the kit; none: any colour"},
			{"u", "number", "CIE 1976"},
			{"v", "number", ""},
			{"kelvin", "number", "instead: a temperature"},
			{"duv", "number", "and its distance from the Planckian locus, green positive"},
		}, nil, ColourView{}, "", (*Server).getColour},
	{"GET", "/api/text", "the text of the shoot file, draft or not", nil, nil, TextView{}, "", (*Server).getText},
	{"GET", "/api/setup/{i}/place",
		"what a place can be furnished and painted with, surfaces as the setup shows them",
		nil, nil, PlaceView{}, "", (*Server).getPlace},
	{"GET", "/api/demonstration",
		"the text of the demonstration, for a folder that holds no shoot yet",
		nil, nil, TextView{}, "", (*Server).getExample},
	change("POST", "/api/begin", "a first shoot from four answers; nothing is changed: send its text to /api/text",
		(*Server).postBegin),
	change("PUT", "/api/text", "replace the text; one with errors is kept as a draft", (*Server).putText),
	change("POST", "/api/edit", "change settings in place, all or none; comments stay", (*Server).postEdit),
	change("POST", "/api/undo", "take the last change back", (*Server).postUndo),
	change("POST", "/api/redo", "do it again", (*Server).postRedo),
	change("POST", "/api/disk", "settle a change that another program made to the file", (*Server).postDisk),
	change("POST", "/api/save", "save under a new name and go on with that", (*Server).postSave),
	{"GET", "/api/share", "how the floor is shared with phones", nil, nil, ShareView{}, "", (*Server).getShare},
	change("POST", "/api/share", "share the floor with phones on the local network, or stop that",
		(*Server).postShare),
	change("POST", "/api/share/code", "a code that pairs one phone", (*Server).postCode),
	change("POST", "/api/share/frames", "watch a folder for test frames", (*Server).postFrames),
	change("POST", "/api/share/revoke", "take a phone out, at once", (*Server).postRevoke),
	{"GET", "/api/send", "what the networked heads of a setup would get",
		[]param{{"setup", "string", "its name"}}, nil, SendView{}, "", (*Server).getSend},
	change("POST", "/api/send", "send it for a stated time", (*Server).postSend),
	change("POST", "/api/send/stop", "end the sending", (*Server).postSendStop),
	{"GET", "/api/events",
		"server-sent events; data is an Event",
		[]param{{"changes", "integer", "1: readings and setups come whole once, then as differences"}},
		nil, Event{}, "text/event-stream", (*Server).getEvents},
})

// refusal is an error with a status.
type refusal struct {
	status int
	p      Problem
}

func (r *refusal) Error() string { return r.p.Error }

func refuse(status int, format string, args ...any) error {
	return &refusal{status, Problem{Error: fmt.Sprintf(format, args...)}}
}

// Policy is the Content-Security-Policy of every answer.
const Policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' blob: " +
	"data:; font-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; " +
	"form-action 'none'; frame-ancestors 'none'"

// Handler serves the API and the page.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	for _, r := range routes {
		mux.HandleFunc(r.method+" "+r.path, func(w http.ResponseWriter, req *http.Request) { s.serve(w, req, r.do) })
	}
	s.onFloor(mux)
	mux.HandleFunc("/api/", func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, refuse(http.StatusNotFound, "there is no %s %s", r.Method, r.URL.Path))
	})
	mux.Handle("/", s.page())
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, refuse(http.StatusForbidden, "this request comes from another site; nothing was done"))
	}))
	inner := cross.Handler(mux)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", Policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Embedder-Policy", "require-corp")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		if !s.hosts[strings.ToLower(r.Host)] {
			s.fail(w, refuse(http.StatusMisdirectedRequest, "this server answers to %s only", s.Address))
			return
		}
		if site := r.Header.Get("Sec-Fetch-Site"); strings.HasPrefix(r.URL.Path, "/api/") &&
			(site == "cross-site" || site == "same-site") {
			s.fail(w, refuse(http.StatusForbidden, "this request comes from another site; nothing was done"))
			return
		}
		if o := r.Header.Get("Origin"); o != "" && !s.hosts[strings.ToLower(strings.TrimPrefix(o, "http://"))] {
			s.fail(w, refuse(http.StatusForbidden, "this request comes from another site; nothing was done"))
			return
		}
		s.cut(w, r)
		inner.ServeHTTP(squeezing(w, r), r)
	})
}

// bodyTime is how long the body of a request may take, as for its headers.
const bodyTime = 10 * time.Second

// cut ends a request whose body does not come, whatever route it is for.
func (s *Server) cut(w http.ResponseWriter, r *http.Request) {
	if r.ContentLength != 0 {
		_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.bodyTime))
	}
}

// serve runs one route; a fault in it is told, and the server lives on.
func (s *Server) serve(w http.ResponseWriter, r *http.Request,
	do func(*Server, http.ResponseWriter, *http.Request) error) {
	w.Header().Set("Cache-Control", "no-store")
	defer func() {
		if v := recover(); v != nil {
			if v == http.ErrAbortHandler {
				panic(v)
			}
			s.hub.log("internal fault at %s %s: %v\n%s", r.Method, r.URL.Path, v, debug.Stack())
			said, _, _ := strings.Cut(fmt.Sprint(v), "\n")
			s.fail(w, refuse(http.StatusInternalServerError,
				"internal fault: %s. This is a mistake in halfstop, not in your file; nothing was lost", said))
		}
	}()
	if err := do(s, w, r); err != nil {
		s.fail(w, err)
	}
}

func (s *Server) fail(w http.ResponseWriter, err error) {
	var x *refusal
	switch {
	case errors.As(err, &x):
	case errors.Is(err, errStale):
		st := s.state()
		x = &refusal{http.StatusConflict, Problem{Error: err.Error(), State: &st}}
	case errors.Is(err, context.Canceled):
		return
	default:
		x = &refusal{http.StatusUnprocessableEntity, Problem{Error: err.Error()}}
	}
	if x.p.Code == "" {
		x.p.Code = codeOf(x.status)
	}
	write(w, x.status, x.p)
}

// codeOf names a refusal by its status.
func codeOf(status int) ProblemCode {
	switch status {
	case http.StatusAccepted, http.StatusServiceUnavailable:
		return ProblemNotYet
	case http.StatusNotFound:
		return ProblemNotThere
	case http.StatusConflict:
		return ProblemStale
	case http.StatusRequestEntityTooLarge:
		return ProblemTooLarge
	case http.StatusForbidden, http.StatusMisdirectedRequest:
		return ProblemForbidden
	case http.StatusUnprocessableEntity:
		return ProblemImpossible
	case http.StatusInternalServerError:
		return ProblemFault
	}
	return ProblemNotUnderstood
}

// take reads the body of a change.
func take(w http.ResponseWriter, r *http.Request, into any) error {
	if t, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || t != "application/json" {
		return refuse(http.StatusUnsupportedMediaType, "send JSON with Content-Type: application/json")
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, 2*mostText))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			return refuse(http.StatusRequestEntityTooLarge, "the request is over %d MiB", 2*mostText>>20)
		}
		if errors.Is(err, os.ErrDeadlineExceeded) {
			return refuse(http.StatusRequestTimeout, "the request did not come whole in time")
		}
		return refuse(http.StatusBadRequest, "the request is not understood: %v", err)
	}
	if _, err := d.Token(); err != io.EOF {
		return refuse(http.StatusBadRequest, "the request has something after its end")
	}
	_ = http.NewResponseController(w).SetReadDeadline(time.Time{}) // see cut
	return nil
}

// state describes the shoot.
func (s *Server) state() State {
	pages := s.hub.pages()
	b := s.book
	b.mu.Lock()
	v := State{Revision: b.rev, File: b.file.Name, Demo: b.demo, Saved: b.saved(), Draft: b.broken,
		Messages: some([]diag.Message(b.list)), Trouble: b.woe.text(), Troubles: b.woe.list(), Keeping: b.keeping(),
		Restored: b.restored && (b.at > 0 || b.gone), Setups: []SetupName{}, Pages: pages, Version: s.opt.Version,
		Run: s.run}
	if len(bytes.TrimSpace(b.text)) == 0 {
		v.Begin = s.opt.Begin
	}
	if b.at > 0 {
		v.Undo, v.Step = b.steps[b.at-1].name, b.steps[b.at-1].number
	}
	if b.at < len(b.steps) {
		v.Redo = b.steps[b.at].name
	}
	g, foreign, theirs := b.good, b.foreign, store.Shoot{Name: b.file.Name, Src: b.theirs, Kit: b.file.Kit}
	b.mu.Unlock()
	if g != nil {
		f := g.job.File
		v.Good, v.Title = g.rev, f.Shoot.Title
		for i := range f.Setups {
			v.Setups = append(v.Setups, SetupName{f.Setups[i].Name, f.Setups[i].Priority, f.Setups[i].At})
		}
		v.House = HouseView{Meter: g.job.ConstantsOf(), Ratio: f.House.Ratio, Lengths: f.House.Lengths}
	}
	if foreign {
		_, _, list := theirs.Parse()
		v.Disk = &DiskState{Text: string(theirs.Src), Messages: some([]diag.Message(list))}
	}
	return v
}

func (s *Server) getState(w http.ResponseWriter, r *http.Request) error { return give(w, s.state()) }

// model gives the last good model, or says that there is none.
func (s *Server) model() (*model, error) {
	if m := s.book.snapshot(); m != nil {
		return m, nil
	}
	return nil, refuse(http.StatusNotFound,
		"the shoot file has errors, so there is nothing to show yet: mend it under Edit or Text")
}

// setup finds what a path names.
func (s *Server) setup(r *http.Request) (*model, *setupState, error) {
	m, err := s.model()
	if err != nil {
		return nil, nil, err
	}
	i, err := strconv.Atoi(r.PathValue("i"))
	if err != nil || i < 0 || i >= len(m.job.File.Setups) {
		return nil, nil, refuse(http.StatusNotFound, "there is no setup number %s; there are %d, counted from 0",
			r.PathValue("i"), len(m.job.File.Setups))
	}
	return m, s.engine.setup(i), nil
}

func (s *Server) getSetup(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	_, v := s.engine.current(m, h)
	s.engine.look(h, m)
	return give(w, v)
}

func (s *Server) getReadings(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	if st, v := s.engine.current(m, h); st == nil {
		return &refusal{http.StatusUnprocessableEntity, Problem{Error: "the setup cannot be built as it is written",
			Messages: v.Messages}}
	}
	s.engine.look(h, m)
	limit := time.After(10 * time.Second)
	for {
		h.mu.Lock()
		v, news := h.readings, h.changed
		h.mu.Unlock()
		enough := v != nil && v.Revision >= m.rev && (r.FormValue("word") != "fine" || v.Word == "fine")
		if v != nil && (enough || r.FormValue("wait") == "" && r.FormValue("word") == "") {
			return give(w, v)
		}
		if r.FormValue("wait") == "" && r.FormValue("word") == "" {
			return refuse(http.StatusAccepted, "there are no readings yet")
		}
		select {
		case <-news:
		case <-limit:
			if v != nil {
				return give(w, v)
			}
			return refuse(http.StatusAccepted, "there are no readings yet")
		case <-r.Context().Done():
			return r.Context().Err()
		}
	}
}

func (s *Server) getKit(w http.ResponseWriter, r *http.Request) error {
	return giveTagged(w, r, kitView(s.book.snapshot()))
}

func (s *Server) getExample(w http.ResponseWriter, r *http.Request) error {
	if len(s.opt.Example) == 0 {
		return refuse(http.StatusNotFound, "there is no demonstration here")
	}
	return give(w, TextView{Text: string(s.opt.Example)})
}

func (s *Server) getText(w http.ResponseWriter, r *http.Request) error {
	s.book.mu.Lock()
	v := TextView{Revision: s.book.rev, Text: string(s.book.text)}
	s.book.mu.Unlock()
	return give(w, v)
}

func (s *Server) putText(r *http.Request, c TextChange) (State, error) {
	name := c.Name
	if name == "" {
		name = "typing"
	}
	var err error
	if c.Base != nil {
		err = s.book.retype(c, name)
	} else {
		err = s.book.change(c.Revision, c.ID, name, c.Merge, whole([]byte(c.Text)))
	}
	if err != nil {
		return State{}, err
	}
	return s.state(), nil
}

// whole is a change that replaces the text.
func whole(text []byte) func(*yamltext.Doc) ([]byte, error) {
	return func(*yamltext.Doc) ([]byte, error) { return text, nil }
}

func (s *Server) postEdit(r *http.Request, c Change) (State, error) {
	if len(c.Edits) == 0 || len(c.Edits) > mostEdits {
		return State{}, refuse(http.StatusBadRequest, "give 1 to %d edits", mostEdits)
	}
	return s.after(s.book.change(c.Revision, c.ID, c.Name, c.Merge,
		func(doc *yamltext.Doc) ([]byte, error) { return edited(doc, doc.Source(), c.Edits) }))
}

func (s *Server) postUndo(_ *http.Request, c Step) (State, error) {
	return s.after(s.book.undo(c.Revision))
}

func (s *Server) postRedo(_ *http.Request, c Step) (State, error) {
	return s.after(s.book.redo(c.Revision))
}

// after is the state that a change leaves, unless it failed.
func (s *Server) after(err error) (State, error) {
	if err != nil {
		return State{}, err
	}
	return s.state(), nil
}

func (s *Server) postDisk(r *http.Request, c DiskAnswer) (State, error) {
	if c.Take != "theirs" && c.Take != "ours" {
		return State{}, refuse(http.StatusBadRequest, "take: write theirs or ours")
	}
	return s.after(s.book.resolveConflict(c.Revision, c.Take == "theirs"))
}

func (s *Server) postSave(r *http.Request, c SaveAs) (State, error) {
	if strings.TrimSpace(c.Path) == "" || strings.ContainsRune(c.Path, 0) {
		return State{}, refuse(http.StatusBadRequest, "path: give the name of a new file or folder")
	}
	anew := func(path string, base []byte) (keeper, error) { return s.place(path, base, true) }
	return s.after(s.book.saveAs(c.Revision, c.Path, anew))
}

func (s *Server) getEvents(w http.ResponseWriter, r *http.Request) error {
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	c := s.hub.join()
	defer s.hub.leave(c)
	beat := time.NewTicker(15 * time.Second)
	defer beat.Stop()
	tell := func(format string, args ...any) bool {
		_ = out.SetWriteDeadline(time.Now().Add(30 * time.Second))
		_, err := fmt.Fprintf(w, format, args...)
		return err == nil && out.Flush() == nil
	}
	short, last := r.FormValue("changes") == "1", map[int]sent{}
	first, _ := json.Marshal(Event{Kind: "state", Revision: s.state().Revision, Index: -1})
	if !tell("retry: 1000\nevent: state\ndata: %s\n\n", first) {
		return nil
	}
	for {
		select {
		case e, ok := <-c:
			if !ok {
				return nil
			}
			if short {
				e = delta(e, last)
			}
			b, err := json.Marshal(e)
			if err != nil {
				continue
			}
			if !tell("event: %s\ndata: %s\n\n", e.Kind, b) {
				return nil
			}
		case <-beat.C:
			if !tell(": still here\n\n") {
				return nil
			}
		case <-s.done:
			return nil
		case <-r.Context().Done():
			return nil
		}
	}
}
