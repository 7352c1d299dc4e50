package server

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"time"

	"halfstop/content"
	"halfstop/figure"
	"halfstop/render"
	"halfstop/stage"
)

// FieldsView is the light over a plane through the place, layer by layer at full setting (k = 1)
// and for a second of continuous light. Cell (i, j) has its middle at x + i·dx along x and y + j·dy
// along y, or up where the plane is upright; stops run along x first.
type FieldsView struct {
	Revision int         `json:"revision"`
	Index    int         `json:"index"`
	Meter    string      `json:"meter" words:"turned|camera"`
	Constant float64     `json:"constant" doc:"meter constant C that goes with it: flat for turned, dome for camera"`
	Upright  bool        `json:"upright" doc:"the plane stands along x from the floor to the ceiling; else it lies level"`
	At       float64     `json:"at" doc:"height of a level plane, y of an upright one, metres"`
	X        float64     `json:"x"`
	Y        float64     `json:"y"`
	DX       float64     `json:"dx"`
	DY       float64     `json:"dy"`
	NX       int         `json:"nx" doc:"0: there is no ground to cover"`
	NY       int         `json:"ny"`
	Layers   []FieldsOne `json:"layers" doc:"as the layers of the readings"`
}

// FieldsOne is one layer's light over the place.
type FieldsOne struct {
	Name  string `json:"name"`
	Stops []int  `json:"stops" doc:"hundredths of a stop against 1 lx (continuous, one second) or 1 lx·s (flash); -32768: nothing"`
}

// dark stands for no light at all.
const dark = math.MinInt16

// fields is what is kept of one.
type fields struct {
	key  content.Key
	view *FieldsView
}

// fieldsKept is how many of a setup's are kept, for another height or meter and back.
const fieldsKept = 4

func (s *Server) getFields(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	st, v := s.engine.current(m, h)
	if st == nil {
		return &refusal{http.StatusUnprocessableEntity, Problem{Error: "the setup cannot be built as it is written",
			Messages: v.Messages}}
	}
	plane, err := planeOf(r, m, v)
	if err != nil {
		return err
	}
	kind := render.DomeToCamera
	switch r.FormValue("meter") {
	case "", "camera":
	case "turned":
		kind = render.TurnedToLight
	default:
		return refuse(http.StatusBadRequest, "meter: write turned or camera")
	}
	key := fieldsKey(st, plane, kind)
	find := func() (*FieldsView, chan struct{}) {
		h.mu.Lock()
		defer h.mu.Unlock()
		for _, f := range h.fields {
			if f.key == key {
				return f.view, nil
			}
		}
		return nil, h.changed
	}
	have, news := find()
	if have == nil {
		t := &task{key: fmt.Sprintf("fields %d %x", h.index, key), rank: rankFields,
			run: func(ctx context.Context) bool { return s.engine.measureFields(ctx, m, h, plane, kind, key) }}
		s.engine.queue.put(t)
		defer s.engine.queue.drop(t)
	}
	limit := time.After(time.Minute)
	for have == nil {
		select {
		case <-news:
		case <-limit:
			return refuse(http.StatusServiceUnavailable,
				"the contours are not there yet: the machine is busy with readings and pictures")
		case <-r.Context().Done():
			return r.Context().Err()
		}
		have, news = find()
	}
	out := *have
	out.Revision = m.rev
	return give(w, &out)
}

// planeOf reads which plane is meant: level at a height (the sitter's face, where none is given),
// or upright at a y.
func planeOf(r *http.Request, m *model, v *SetupView) (render.Plane, error) {
	number := func(key string, lo, hi float64) (float64, error) {
		x, err := strconv.ParseFloat(r.FormValue(key), 64)
		if err != nil || !(x >= lo && x <= hi) {
			return 0, refuse(http.StatusBadRequest, "%s: give metres from %g to %g", key, lo, hi)
		}
		return math.Round(x*100) / 100, nil
	}
	if r.FormValue("y") != "" {
		y, err := number("y", -1000, 1000)
		_, top := stage.Outline(&m.job.File.Room)
		if top <= 0 {
			top = 3
		}
		return render.Plane{Upright: true, At: y, Top: top}, err
	}
	if r.FormValue("z") != "" {
		z, err := number("z", 0, 30)
		return render.Plane{At: z}, err
	}
	if v.Sitter != nil {
		if face, ok := v.Sitter.Landmarks["face"]; ok {
			return render.Plane{At: math.Round(face[2]*100) / 100}, nil
		}
	}
	return render.Plane{At: 1.5}, nil
}

// measureFields measures the light over the place and keeps it.
func (e *engine) measureFields(ctx context.Context, m *model, h *setupState, plane render.Plane,
	kind render.MapReceptor,
	key content.Key) (again bool) {
	v := &FieldsView{Revision: m.rev, Index: h.index, Meter: "camera", Constant: m.job.File.House.DomeC,
		Upright: plane.Upright, At: plane.At, Layers: []FieldsOne{}}
	if kind == render.TurnedToLight {
		v.Meter, v.Constant = "turned", m.job.File.House.FlatC
	}
	st, _ := stage.Build(m.job.File, m.job.Doc, h.index, stage.Options{Files: m.job.Files, Detail: figure.Shadow,
		Empty: true, Mesh: e.mesh})
	if st != nil {
		corners, _ := stage.Outline(&m.job.File.Room)
		p, err := render.MapIlluminance(ctx, st, corners, plane, kind, 1)
		if ctx.Err() != nil {
			return true
		}
		if err == nil && p != nil {
			v.X, v.Y, v.DX, v.DY, v.NX, v.NY = p.X0, p.Y0, p.DX, p.DY, p.NX, p.NY
			for l := range p.Layers {
				one := FieldsOne{Name: st.Layers[l].Name, Stops: make([]int, len(p.Layers[l]))}
				for i, x := range p.Layers[l] {
					one.Stops[i] = dark
					if s := math.Round(100 * math.Log2(x)); s > dark && s < -dark {
						one.Stops[i] = int(s)
					}
				}
				v.Layers = append(v.Layers, one)
			}
		}
	}
	h.mu.Lock()
	h.fields = append(h.fields, &fields{key, v})
	if n := len(h.fields) - fieldsKept; n > 0 {
		h.fields = h.fields[n:]
	}
	h.broadcast()
	h.mu.Unlock()
	return false
}
