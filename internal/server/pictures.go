package server

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"math"
	"net/http"
	"strconv"
	"sync"
	"time"

	"halfstop/answer"
	"halfstop/meter"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

// number reads a whole number of the query; 0 where it is absent.
func number(r *http.Request, name string, most int) (int, error) {
	t := r.FormValue(name)
	if t == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(t)
	if err != nil || n < 1 || n > most {
		return 0, refuse(http.StatusBadRequest, "%s=%s: give a whole number from 1 to %d", name, t, most)
	}
	return n, nil
}

// onceTime is how long a picture stays in work for a page that asked once.
const onceTime = 3 * time.Second

// watching holds a setup's picture in work for as long as someone wants it.
func (s *Server) watching(h *setupState, w, ht int) (leave func()) {
	if most := s.engine.side; most > 0 {
		w, ht = min(w, most), min(ht, most)
	}
	h.mu.Lock()
	h.wants++
	h.seen = time.Now()
	if h.size != [2]int{w, ht} && (w > 0 || ht > 0 || h.size == [2]int{}) {
		h.size = [2]int{w, ht}
	}
	h.mu.Unlock()
	if !s.engine.queue.has(fmt.Sprintf("film %d", h.index)) { // asking anew would stop one under way
		s.engine.requestPicture(h)
	}
	return func() {
		h.mu.Lock()
		h.wants--
		h.mu.Unlock()
	}
}

func (s *Server) getLayers(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	width, err := number(r, "w", mostSide)
	if err != nil {
		return err
	}
	height, err := number(r, "h", mostSide)
	if err != nil {
		return err
	}
	most, err := number(r, "samples", mostSamples)
	if err != nil {
		return err
	}
	st, v := s.engine.current(m, h)
	if st == nil {
		return &refusal{http.StatusUnprocessableEntity, Problem{Error: "the setup cannot be built as it is written",
			Messages: v.Messages}}
	}
	if st.View == nil {
		return refuse(http.StatusUnprocessableEntity, "the setup %s has no camera, so there is no picture",
			st.Setup.Name)
	}
	key, colours := pictureKey(st), st.Keys.Colours
	once, late := r.FormValue("once") != "", r.FormValue("late") != ""
	same := wireKey(key, colours)
	if once {
		if k := r.FormValue("key"); k != "" && k != same && !late {
			return give(w, LayersHead{End: "stale", Revision: m.rev, Key: same, Layers: []LayerHead{}})
		}
		time.AfterFunc(onceTime, s.watching(h, width, height))
	} else {
		same = ""
		defer s.watching(h, width, height)()
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	out := http.NewResponseController(w)
	line := func(head LayersHead, data []byte) error {
		b, err := encode(head)
		if err != nil {
			return err
		}
		_ = out.SetWriteDeadline(time.Now().Add(30 * time.Second))
		if _, err = w.Write(b); err != nil {
			return err
		}
		if _, err = w.Write(data); err != nil {
			return err
		}
		return out.Flush()
	}
	sent := -1
	if once {
		sent, _ = strconv.Atoi(r.FormValue("since"))
	}
	if once && late {
		h.mu.Lock()
		p, has := h.shown, r.FormValue("key")
		h.mu.Unlock()
		if p == nil || !p.fits(st, colours) || p.pass == sent && wireKey(p.key, p.colours) == has {
			return line(LayersHead{End: "none", Revision: m.rev, Key: has, Layers: []LayerHead{}}, nil)
		}
		return line(p.head(m, st, wireKey(p.key, p.colours)), p.data)
	}
	beat := time.NewTicker(20 * time.Second)
	defer beat.Stop()
	for {
		h.mu.Lock()
		p, news := h.shown, h.changed
		h.mu.Unlock()
		now := s.book.snapshot()
		if h.index >= len(now.job.File.Setups) {
			return line(LayersHead{End: "stale", Revision: now.rev, Layers: []LayerHead{}}, nil)
		}
		ns, _ := s.engine.current(now, h)
		if ns == nil || ns.View == nil || pictureKey(ns) != key || ns.Keys.Colours != colours {
			return line(LayersHead{End: "stale", Revision: now.rev, Layers: []LayerHead{}}, nil)
		}
		if p != nil && p.key == key && p.colours == colours && p.pass != sent {
			sent = p.pass
			head := p.head(now, ns, same)
			head.Last = p.last || most > 0 && p.samples >= most && p.final
			if err := line(head, p.data); err != nil || head.Last || once {
				return nil // who does not read is gone
			}
			continue
		}
		if once {
			return line(LayersHead{End: "none", Revision: now.rev, Key: same, Layers: []LayerHead{}}, nil)
		}
		select {
		case <-news:
		case <-r.Context().Done():
			return nil
		case <-s.done:
			return nil
		case <-beat.C:
			s.engine.requestPicture(h) // nothing came for long: make sure that it is in work
		}
	}
}

// head says what a picture's bytes are, for the settings of a stage.
func (p *encoded) head(m *model, s *stage.Stage, key string) LayersHead {
	cam := meter.CameraOf(s)
	head := LayersHead{Revision: m.rev, Pass: p.pass, Width: p.w, Height: p.h, Samples: p.samples, Bytes: len(p.data),
		Key: key, Exposure: exposureOf(s, &cam), Shutter: float64(cam.Shutter), Lit: cam.Lit(), Layers: []LayerHead{}}
	for l := range s.Layers {
		head.Layers = append(head.Layers, LayerHead{s.Layers[l].Name, s.Layers[l].Flash, s.Layers[l].K, p.scales[l],
			p.means[l]})
	}
	return head
}

func (s *Server) getFrame(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	width, err := number(r, "w", mostSide)
	if err != nil {
		return err
	}
	st, v := s.engine.current(m, h)
	if st == nil || st.View == nil {
		return &refusal{http.StatusUnprocessableEntity,
			Problem{Error: "there is no picture of this setup as it is written", Messages: v.Messages}}
	}
	key, colours := pictureKey(st), st.Keys.Colours
	leave := func() {}
	defer func() { leave() }()
	limit, late := time.After(frameTime), time.After(freshTime)
	earlier := false // whether the picture of an earlier change will do
	for waits := false; ; waits = true {
		h.mu.Lock()
		p, news := h.shown, h.changed
		h.mu.Unlock()
		if p != nil && (p.key == key && p.colours == colours || earlier && p.fits(st, colours)) {
			return s.sendFrame(w, r, p, m, st)
		}
		if !waits {
			leave = s.watching(h, width, 0)
		}
		select {
		case <-news:
		case <-late:
			earlier = true
		case <-limit:
			return refuse(http.StatusAccepted, "there is no picture yet")
		case <-r.Context().Done():
			return r.Context().Err()
		}
	}
}

// How long the developed picture is waited for: one of this very change, and any.
const (
	freshTime = 10 * time.Second
	frameTime = time.Minute
)

// sendFrame develops a picture and sends it; readers who ask at once are
// answered one after the other, the same picture developed once.
func (s *Server) sendFrame(w http.ResponseWriter, r *http.Request, p *encoded, m *model, st *stage.Stage) error {
	tag := fmt.Sprintf(`"%s.%d.%d"`, wireKey(p.key, p.colours), p.pass, m.rev)
	w.Header().Set("Content-Type", "image/png")
	if tagged(w, r, tag) {
		return nil
	}
	f := &s.frames
	f.mu.Lock()
	data := f.data
	if f.of != p || f.tag != tag {
		var b bytes.Buffer
		img := picture.Develop(p.composite(st), p.w, p.h, st.White, spectrum.SRGB, render.RenderingOf(st))
		if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, img); err != nil {
			f.mu.Unlock()
			return err
		}
		data = b.Bytes()
		f.of, f.tag, f.data = p, tag, data
	}
	f.mu.Unlock()
	send(w, http.StatusOK, data)
	return nil
}

// developed is the picture developed last.
type developed struct {
	mu   sync.Mutex
	of   *encoded
	tag  string
	data []byte
}

func (s *Server) getSpot(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	x, ex := strconv.ParseFloat(r.FormValue("x"), 64)
	y, ey := strconv.ParseFloat(r.FormValue("y"), 64)
	if ex != nil || ey != nil || !(x >= 0 && x <= 1 && y >= 0 && y <= 1) {
		return refuse(http.StatusBadRequest, "x and y: give shares of the picture from 0 to 1, from its top left")
	}
	st, v := s.engine.canonical(m, h)
	if st == nil || st.View == nil {
		return &refusal{http.StatusUnprocessableEntity,
			Problem{Error: "there is no picture of this setup as it is written", Messages: v.Messages}}
	}
	// As Project has it: x to the right, y down, over the sensor's size.
	lens := render.LensOf(st, meter.CameraOf(st))
	dir := lens.Axis.Mul(lens.Image).AddMul(lens.Right, (x-0.5)*lens.Width+lens.ShiftX).
		AddMul(lens.Up, (0.5-y)*lens.Height+lens.ShiftY).Unit()
	out := SpotView{Revision: m.rev, X: x, Y: y}
	at := lens.At.AddMul(dir, 100)
	if d, ok := st.Scene.FirstHit(lens.At, dir); ok {
		at = lens.At.AddMul(dir, d)
		a := at.Array()
		out.At, out.Metres = &a, d
	}
	sub := *st
	sub.Points = []stage.Point{{Name: "spot", Receptor: "spot", At: at,
		Seen: &trace.Receptor{Kind: trace.Spot, At: lens.At, Facing: dir, Angle: math.Pi / 180}}}
	ctx, stop := context.WithTimeout(r.Context(), 3*time.Second)
	defer stop()
	meas, err := meter.Measure(ctx, &sub, meter.Work{Seed: 1, Start: 8, Error: 0.05, Samples: 1 << 14})
	if err != nil {
		return err
	}
	x2 := &answer.Metered{Stage: &sub, Measured: meas, Camera: meter.CameraOf(&sub)}
	x2.Readings = meter.Weigh(&sub, meas, x2.Camera)
	out.Reading = x2.JSON().Points[0]
	return give(w, out)
}
