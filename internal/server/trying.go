package server

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"math"
	"net/http"
	"sync"
	"time"

	"halfstop/answer"
	"halfstop/content"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/meter"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
	"halfstop/yamltext"
)

// What a tried change may cost. A small picture is there
// to tell two plans apart, not to judge skin by.
const (
	trialSide    = 200 // pixels of the long side where none is asked
	trialMost    = 480
	trialSamples = 4
	trialTime    = 900 * time.Millisecond // of readings
	trialError   = 0.05
	trialWait    = 40 * time.Second
	coarseSide   = 64  // pixels of a picture that only has to be there at once, of one sample
	trialFilms   = 10  // kept
	trialShots   = 200 // kept, as PNG
)

// trials keeps small pictures: the films by what light they hold, the pictures by the whole setup.
type trials struct {
	mu    sync.Mutex
	films []trialFilm
	shots []trialShot
	count int // numbers the tasks
}

type trialFilm struct {
	key, colours content.Key
	w, h         int
	framed       *render.Frame
	full         []float64
}

type trialShot struct {
	key  content.Key
	data []byte
}

// tried reads a request and gives the shoot as it would be.
func (s *Server) tried(w http.ResponseWriter, r *http.Request) (*model, *model, *setupState, *TryAsk, error) {
	m, h, err := s.setup(r)
	if err != nil {
		return nil, nil, nil, nil, err
	}
	var a TryAsk
	if err := take(w, r, &a); err != nil {
		return nil, nil, nil, nil, err
	}
	if a.Revision != m.rev {
		return nil, nil, nil, nil, errStale
	}
	if len(a.Edits) > 1000 || a.Side != 0 && (a.Side < 16 || a.Side > trialMost) {
		return nil, nil, nil, nil, refuse(http.StatusBadRequest, "give at most 1000 edits and a side of 16 to %d",
			trialMost)
	}
	if len(a.Edits) == 0 {
		return m, m, h, &a, nil
	}
	s.book.mu.Lock()
	file := *s.book.file
	s.book.mu.Unlock()
	before := m.job.Doc
	if !bytes.Equal(before.Source(), m.text) { // of an older version and migrated
		before, _ = yamltext.Parse(file.Name, m.text)
	}
	text, err := edited(before, m.text, a.Edits)
	if err != nil {
		return nil, nil, nil, nil, err
	}
	f, doc, list := shoot.Parse(file.Name, text, shoot.Options{Kit: file.Kit, Doc: before.Edited(text)})
	if list.Has(diag.Error) || h.index >= len(f.Setups) {
		return nil, nil, nil, nil,
			&refusal{http.StatusUnprocessableEntity, Problem{Error: "with this change the shoot would have errors",
				Messages: list}}
	}
	s.book.mu.Lock()
	job := s.book.timed(&answer.Job{File: f, Doc: doc, Files: m.job.Files})
	s.book.mu.Unlock()
	return m, &model{rev: m.rev, text: text, job: job, list: list, born: time.Now()}, h, &a, nil
}

// queued runs work in the queue and waits for it. Work
// that something more urgent stops is begun again.
func (s *Server) queued(ctx context.Context, rank int, work func(ctx context.Context) error) error {
	e := s.engine
	e.trials.mu.Lock()
	e.trials.count++
	key := fmt.Sprintf("trial %d", e.trials.count)
	e.trials.mu.Unlock()
	done := make(chan error, 1)
	e.queue.put(&task{key: key, rank: rank, run: func(c context.Context) bool {
		if ctx.Err() != nil {
			done <- ctx.Err()
			return false
		}
		both, stop := context.WithCancel(c)
		defer stop()
		defer context.AfterFunc(ctx, stop)()
		failed := true
		defer func() {
			if failed { // a fault: the queue tells of it
				done <- refuse(http.StatusInternalServerError,
					"this could not be computed; the terminal has the details")
			}
		}()
		err := work(both)
		failed = false
		if err != nil && c.Err() != nil && ctx.Err() == nil {
			return true
		}
		done <- err
		return false
	}})
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
		if ctx.Err() == context.DeadlineExceeded {
			return refuse(http.StatusAccepted, "there is more urgent work; ask again")
		}
		return ctx.Err()
	case <-s.done:
		return refuse(http.StatusServiceUnavailable, "the program ends")
	}
}

// postTry says what a change would do to the setup's lights and readings.
func (s *Server) postTry(w http.ResponseWriter, r *http.Request) error {
	_, t, h, _, err := s.tried(w, r)
	if err != nil {
		return err
	}
	h.mu.Lock()
	like := h.stage
	h.mu.Unlock()
	st, list := s.engine.stageOf(t, h.index, figure.Shadow, like)
	out := TryView{View: viewOf(t, h.index, st, list, nil)}
	if st == nil {
		return give(w, out)
	}
	ctx, stop := context.WithTimeout(r.Context(), trialWait)
	defer stop()
	err = s.queued(ctx, rankWeigh, func(ctx context.Context) error {
		h.mu.Lock()
		old, full, word, asked := h.measured, h.full, h.word, h.asked
		same := old != nil && h.of.Keys.Light() == st.Keys.Light()
		h.mu.Unlock()
		if same { // only settings and colours: what is measured stands
			out.Readings = readingsOf(t, h.index, st, rescaled(old, full, fullOf(st)), word, asked)
			return nil
		}
		meas, err := timed(ctx, st, meter.Work{Seed: 1, Start: 8, Error: trialError}, trialTime)
		if err == nil {
			out.Readings = readingsOf(t, h.index, st, meas, "first", trialError)
		}
		return err
	})
	if err != nil {
		return err
	}
	return give(w, out)
}

// postTryPicture gives a small picture of the setup with a change.
func (s *Server) postTryPicture(w http.ResponseWriter, r *http.Request) error {
	_, t, h, a, err := s.tried(w, r)
	if err != nil {
		return err
	}
	if t.job.File.Setups[h.index].Camera == nil {
		return refuse(http.StatusUnprocessableEntity, "the setup %s has no camera, so there is no picture",
			t.job.File.Setups[h.index].Name)
	}
	side := a.Side
	if side == 0 {
		side = trialSide
	}
	e := s.engine
	st, list := e.stageOf(t, h.index, figure.Shadow, nil)
	if st == nil || st.View == nil {
		return &refusal{http.StatusUnprocessableEntity,
			Problem{Error: "there is no picture of this setup as it would be", Messages: list}}
	}
	key := shotKey(st, side)
	data := e.trials.shot(key)
	if data == nil && a.Coarse {
		side = min(side, coarseSide)
		key = shotKey(st, side)
		data = e.trials.shot(key)
	}
	if data == nil {
		rank, samples, cells := rankTrial, trialSamples, float64(draftCells)
		if a.Coarse {
			rank, samples, cells = rankDraft, firstSamples[1], handCells
		}
		ctx, stop := context.WithTimeout(r.Context(), trialWait)
		defer stop()
		err := s.queued(ctx, rank, func(ctx context.Context) error {
			if data = e.trials.shot(key); data != nil { // asked for twice
				return nil
			}
			data, err = e.trial(ctx, st, side, samples, cells)
			if err == nil {
				e.trials.keep(trialShot{key, data})
			}
			return err
		})
		if err != nil {
			return err
		}
	}
	w.Header().Set("Content-Type", "image/png")
	_, _ = w.Write(data) // who does not read is gone
	return nil
}

// trial computes a small picture without grain, of so many samples a pixel and so many times the
// cells of a picture to judge. Light that is there already is only weighed anew.
func (e *engine) trial(ctx context.Context, s *stage.Stage, side, samples int, cells float64) ([]byte, error) {
	cam, full, key := meter.CameraOf(s), fullOf(s), pictureKey(s)
	shape := float64(s.View.Format.Width / s.View.Format.Height)
	w, h := side, max(8, int(math.Round(float64(side)/shape)))
	if shape < 1 {
		w, h = max(8, int(math.Round(float64(side)*shape))), side
	}
	colours := s.Keys.Colours
	f := e.trials.film(key, colours, w, h)
	switch {
	case f == nil:
		film := trace.NewFilm(w, h, len(s.Layers), render.LensOf(s, cam))
		film.CacheCell = render.CacheCellSize(s, 0) * cells
		if err := s.Scene.Expose(ctx, film, samples, 1, nil, nil); err != nil {
			return nil, err
		}
		f = &trialFilm{key, colours, w, h, &render.Frame{Stage: s, Film: film, Mix: render.MixOf(s, cam, -1),
			Samples: film.Samples}, full}
	case f.colours != colours:
		f = &trialFilm{key, colours, w, h, &render.Frame{Stage: s, Film: f.framed.Film, Mix: render.MixOf(s, cam, -1),
			Samples: f.framed.Samples}, f.full}
	default:
		f = &trialFilm{key, colours, w, h, f.framed.Reweighed(s, render.MixOf(s, cam, -1)), f.full}
	}
	if !f.framed.Denoised() {
		if err := f.framed.Denoise(ctx); err != nil {
			return nil, err
		}
		e.trials.hold(*f, e.memory/8)
	}
	for l := range full {
		f.framed.Mix.Weight[l] *= full[l] / f.full[l]
	}
	var b bytes.Buffer
	img := picture.Develop(f.framed.Linear(-1), w, h, s.White, spectrum.SRGB, render.RenderingOf(s))
	err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, img)
	return b.Bytes(), err
}

func (t *trials) shot(key content.Key) []byte {
	t.mu.Lock()
	defer t.mu.Unlock()
	for _, s := range t.shots {
		if s.key == key {
			return s.data
		}
	}
	return nil
}

func (t *trials) keep(s trialShot) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.shots = append(t.shots, s)
	if len(t.shots) > trialShots {
		t.shots = append([]trialShot(nil), t.shots[len(t.shots)-trialShots:]...)
	}
}

// film finds light of this shape, best in these colours.
func (t *trials) film(key, colours content.Key, w, h int) *trialFilm {
	t.mu.Lock()
	defer t.mu.Unlock()
	var any *trialFilm
	for i := range t.films {
		if f := &t.films[i]; f.key == key && f.w == w && f.h == h && (any == nil || f.colours == colours) {
			any = f
		}
	}
	if any == nil {
		return nil
	}
	c := *any
	return &c
}

// hold keeps light, of many plans only what fits into the memory, the newest always.
func (t *trials) hold(f trialFilm, memory int64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.films = append(t.films, f)
	total, first := int64(0), len(t.films)
	for i := len(t.films) - 1; i >= 0; i-- {
		total += filmBytes(t.films[i].framed.Stage.Scene, t.films[i].w, t.films[i].h)
		if i < len(t.films)-1 && (total > memory || len(t.films)-i > trialFilms) {
			break
		}
		first = i
	}
	t.films = append([]trialFilm(nil), t.films[first:]...)
}
