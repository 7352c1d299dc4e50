package server

import (
	"errors"
	"sync"

	"halfstop/content"
	"halfstop/figure"
	"halfstop/internal/records"
	"halfstop/record"
	"halfstop/render"
	"halfstop/stage"
)

// keptLayers is the picture of a record that is open: the layers as they were kept, light by light.
type keptLayers struct {
	dir   string // of the record; empty: what is open is none
	once  sync.Once
	frame *render.Frame
}

// read unpacks the layers once; nil where there are none that can be used.
func (k *keptLayers) read(log func(format string, args ...any)) *render.Frame {
	if k.dir == "" {
		return nil
	}
	k.once.Do(func() {
		var err error
		if k.frame, err = unpacked(k.dir); err != nil {
			log("the kept layers of %s are not used: %v", k.dir, err)
		}
	})
	return k.frame
}

// unpacked is the picture of a record from its layers.
func unpacked(dir string) (*render.Frame, error) {
	f, err := records.Open(dir)
	if err != nil {
		return nil, err
	}
	if f.Record.Layers == nil {
		return nil, errors.New("the record has none")
	}
	job, list, err := f.Job(records.DialledName)
	if err != nil {
		return nil, err
	}
	if job == nil {
		return nil, list.Err()
	}
	s, list := job.Stage(0, figure.Shadow)
	if s == nil {
		return nil, list.Err()
	}
	data, err := f.Read(f.Record.Layers.File)
	if err != nil {
		return nil, err
	}
	return f.Record.Layers.Unpack(data, s)
}

// showKept shows the kept picture of a record where the setup is still the one recorded but for
// its settings; false where it must be exposed. Nothing is traced for it. Check: TestKeptPicture.
func (e *engine) showKept(h *setupState, m *model, s *stage.Stage, key content.Key) bool {
	if e.kept.dir == "" || len(m.job.File.Setups) != 1 {
		return false
	}
	h.mu.Lock()
	p := h.shown
	h.mu.Unlock()
	if p != nil && p.kept && p.key == key && p.colours == s.Keys.Colours {
		return true
	}
	f := e.kept.read(e.hub.log)
	if f == nil {
		return false
	}
	now, err := record.Remix(f, s)
	if err != nil {
		return false // more than a setting is another
	}
	full := fullOf(s)
	n := f.Film.W * f.Film.H * 6
	p = &encoded{key: key, colours: s.Keys.Colours, rev: m.rev, w: f.Film.W, h: f.Film.H, samples: max(1, f.Samples),
		pass: 1, final: true, last: true, kept: true, film: &film{key: key, full: full, scene: s.Scene, draft: -1},
		full: full, scales: make([]float64, len(s.Layers)), means: make([][3]float64, len(s.Layers)),
		data: make([]byte, len(s.Layers)*n)}
	for l := range s.Layers {
		p.folds, p.names = append(p.folds, s.Layers[l].Fold), append(p.names, s.Layers[l].Name)
		px := now.Unit(l)
		p.scales[l] = block(px, p.data[l*n:(l+1)*n])
		for _, c := range px {
			for b, v := range c {
				p.means[l][b] += float64(v) / p.scales[l] / float64(len(px))
			}
		}
	}
	h.mu.Lock()
	if h.shown != nil {
		p.pass = h.shown.pass + 1
	}
	h.film, h.shown = nil, p
	h.broadcast()
	h.mu.Unlock()
	e.prune(h)
	e.hub.send(Event{Kind: "layers", Revision: m.rev, Index: h.index, Samples: p.samples})
	return true
}
