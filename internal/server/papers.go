package server

import (
	"context"
	"fmt"
	"image"
	"net/http"
	"time"

	"halfstop/answer"
	"halfstop/meter"
	"halfstop/papers"
	"halfstop/render"
	"halfstop/sheet"
)

// PaperView is a paper that is made.
type PaperView struct {
	Revision int        `json:"revision"`
	Name     string     `json:"name"`
	Says     string     `json:"says"`
	Pages    int        `json:"pages" doc:"0: it has nothing to say, like change cards of a single setup"`
	Size     [2]float64 `json:"size_mm"`
	Notes    []string   `json:"notes"`
}

// madePaper is a paper that is kept until the shoot or the day is another.
type madePaper struct {
	doc  *sheet.Drawing
	view PaperView
}

// paperOf computes a paper of the query, or gives it as it was made.
func (s *Server) paperOf(r *http.Request) (*madePaper, error) {
	m, err := s.model()
	if err != nil {
		return nil, err
	}
	name, size := r.FormValue("name"), r.FormValue("paper")
	if size != "" && size != "a4" && size != "letter" {
		return nil, refuse(http.StatusBadRequest, "paper: write a4 or letter")
	}
	chosen, says := papers.All(), "every paper in one"
	if name != "book" {
		if name == "" {
			return nil, refuse(http.StatusBadRequest, "name: say which paper")
		}
		if chosen, err = papers.Find([]string{name}); err != nil {
			return nil, refuse(http.StatusNotFound, "%v", err)
		}
		name, says = chosen[0].Name, chosen[0].Says
	}
	h, _, err := s.history(r.Context(), m.job.File)
	if err != nil {
		return nil, err
	}
	late := int64(0)
	if h.late != nil {
		late = h.late.Seq
	}
	d := &s.day
	d.work.Lock()
	defer d.work.Unlock()
	if d.madeOf != m.rev || d.made == nil {
		d.made, d.madeOf = map[string]*madePaper{}, m.rev
	}
	key := fmt.Sprintf("%s %s %d", name, size, late)
	if p := d.made[key]; p != nil {
		return p, nil
	}
	p, err := s.makePaper(r.Context(), m, chosen, size == "letter",
		answer.DayWork{Seed: 1, Progress: s.known(m, h.from)})
	if err != nil {
		return nil, err
	}
	p.view.Revision, p.view.Name, p.view.Says = m.rev, name, says
	d.made[key] = p
	return p, nil
}

// errorOfPapers is how fine the readings on papers are, stops: as the command's.
const errorOfPapers = 0.1

func (s *Server) makePaper(ctx context.Context, m *model, chosen []papers.Paper, letter bool,
	w answer.DayWork) (*madePaper, error) {
	told := func(done, of int) {
		s.hub.send(Event{Kind: "progress", Revision: m.rev, Index: -1, What: "papers",
			Done: float64(done) / float64(max(1, of))})
	}
	g, list, err := papers.Gather(ctx, m.job, chosen, papers.Work{Letter: letter, Day: w,
		Printed: time.Now().Format("2006-01-02 15:04"), Made: papers.Short(s.opt.Version),
		Meter: func(int) meter.Work { return meter.Work{Seed: 1, Error: errorOfPapers} },
		Picture: func(ctx context.Context, i, long int) (image.Image, error) {
			return m.job.Predicted(ctx, i, render.Work{Samples: 12, Seed: 1}, long)
		},
		Step: func(_ string, done, of int) { told(done, of) }})
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return nil, &refusal{http.StatusUnprocessableEntity, Problem{Error: err.Error(),
			Messages: placed(m.job.Doc, list)}}
	}
	told(1, 1)
	p := &madePaper{doc: papers.Make(g, chosen...)}
	p.view.Notes = []string{}
	if p.doc != nil {
		p.view.Pages, p.view.Notes = p.doc.Pages(), some(p.doc.Notes())
		p.view.Size = p.doc.Size()
	}
	return p, nil
}

func (s *Server) getPaper(w http.ResponseWriter, r *http.Request) error {
	p, err := s.paperOf(r)
	if err != nil {
		return err
	}
	return give(w, p.view)
}

func (s *Server) getPaperFile(w http.ResponseWriter, r *http.Request) error {
	format, ok := sheet.FormatOf(r.FormValue("format"))
	if !ok {
		return refuse(http.StatusBadRequest, "format: write svg, png or pdf")
	}
	page, err := number(r, "page", 500)
	if err != nil {
		return err
	}
	p, err := s.paperOf(r)
	if err != nil {
		return err
	}
	page = max(1, page)
	if p.doc == nil || page > p.doc.Pages() {
		return refuse(http.StatusNotFound, "the paper has %d pages", p.view.Pages)
	}
	b, err := format.Write(p.doc, page, 150)
	if err != nil {
		return err
	}
	kind := map[string]string{"svg": "image/svg+xml", "png": "image/png", "pdf": "application/pdf"}[format.End]
	w.Header().Set("Content-Type", kind)
	if format.End == "pdf" {
		w.Header().Set("Content-Disposition", fmt.Sprintf("inline; filename=%q", p.view.Name+".pdf"))
	}
	send(w, http.StatusOK, b)
	return nil
}
