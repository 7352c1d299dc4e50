package ways

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"halfstop/balance"
	"halfstop/diag"
	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

// make applies a change to a copy, checks it against the room, traces what changed and poses the
// problem.
func (f *finder) make(ctx context.Context, c *change) (*rig, balance.Problem, error) {
	file, set := f.copy()
	if c.apply != nil {
		c.apply(set)
	}
	if c.room != nil {
		c.room(&file.Room)
	}
	if !c.traced() || c.on != nil {
		on := f.base
		if c.on != nil {
			on = c.on
		}
		s := *on.stage
		s.Setup = set
		if c.white > 0 {
			x := spectrum.White(float64(c.white)).XYZ()
			s.White = spectrum.XYZ{X: x.X / x.Y, Y: 1, Z: x.Z / x.Y}
		}
		r := newRig(&s, on.measured)
		p := f.pose(r)
		if c.tune != nil {
			c.tune(r, &p)
		}
		return r, p, nil
	}
	s := c.built
	if s == nil {
		var err error
		if s, err = f.build(file); err != nil {
			return nil, balance.Problem{}, err
		}
	}
	w := f.work.Meter
	w.Progress = nil
	if !c.whole {
		w.Error, w.Samples, w.Threads = screeningError, min(w.Samples, 1<<14), 1 // see tried
	}
	some := !c.whole && !c.everything
	if some {
		w.Rest = func(point int, seen bool) float64 { return f.rest(s, w.Layers, point, seen) }
		w.Layers = []int{}
		for l := range s.Layers {
			if slices.Contains(c.layers, s.Layers[l].Name) || layerOf(f.base.stage, s.Layers[l].Name) < 0 {
				w.Layers = append(w.Layers, l)
			}
		}
	}
	m, err := meter.Measure(ctx, f.turned(s, c), w)
	if err != nil {
		return nil, balance.Problem{}, err
	}
	if some {
		f.merge(s, m, w.Layers)
	}
	r := newRig(s, m)
	p := f.pose(r)
	if c.tune != nil {
		c.tune(r, &p)
	}
	return r, p, nil
}

// misfit says why a changed setup cannot be.
type misfit struct{ diag.Message }

func (m misfit) Error() string { return m.Text }

// build builds a changed setup and holds it against the room and the frame. An error says what it
// finds that the setup as it is does not have, or has less of; what cannot stand is one in any
// case.
func (f *finder) build(file *shoot.File) (*stage.Stage, error) {
	job := &Shoot{File: file, Doc: f.job.Doc, Files: f.job.Files}
	s, list := job.stageOf(f.setup, stage.Options{Mesh: f.mesh, Like: f.base.stage})
	for _, m := range list {
		if m.Severity > diag.Finding {
			continue
		}
		if m.Severity == diag.Finding && !slices.Contains(impossible, m.Code) {
			what, how := findingOf(m)
			if was, ok := f.found[what]; ok && how <= was+0.5 {
				continue
			}
		}
		return nil, misfit{m}
	}
	if s == nil {
		return nil, fmt.Errorf("it cannot be built")
	}
	f.trim(s)
	if len(s.Points) != len(f.base.stage.Points) {
		return nil, fmt.Errorf("points of the look are lost")
	}
	return s, nil
}

// numbers finds the figures in a message.
var numbers = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// findingOf returns what a finding is about, without its figures, and the first figure that it
// gives after a colon: how deep something stands in the frame, how far through the ceiling.
func findingOf(m diag.Message) (what string, how float64) {
	what, more, _ := strings.Cut(m.Text, ":")
	how, _ = strconv.ParseFloat(numbers.FindString(more), 64)
	return m.Code + " " + numbers.ReplaceAllString(what, ""), how
}

// pose poses a changed setup. The uncertainty of each target is taken from the base.
func (f *finder) pose(r *rig) balance.Problem {
	p, _, _ := r.problem()
	for i := range p.Targets {
		if i < len(f.now.Problem.Targets) {
			p.Targets[i].Sigma = f.now.Problem.Targets[i].Sigma
		}
	}
	return p
}

func layerOf(s *stage.Stage, name string) int {
	return slices.IndexFunc(s.Layers, func(l stage.Layer) bool { return l.Name == name })
}

// merge copies the layers that were not traced from the base.
func (f *finder) merge(s *stage.Stage, m *meter.Measured, traced []int) {
	fill := func(to, from *trace.Transport) {
		if to == nil || from == nil {
			return
		}
		to.Before = nil // of the layers traced only
		for l := range s.Layers {
			b := layerOf(f.base.stage, s.Layers[l].Name)
			if b < 0 || slices.Contains(traced, l) {
				continue
			}
			to.Direct[l], to.Bounced[l] = from.Direct[b], from.Bounced[b]
			if to.Airlight != nil && from.Airlight != nil {
				to.Airlight[l] = from.Airlight[b]
			}
			for k := range trace.Reps {
				to.Parts[k][l], to.DirectParts[k][l] = from.Parts[k][b], from.DirectParts[k][b]
			}
		}
	}
	for i := range s.Points {
		fill(m.Incident[i], f.base.measured.Incident[i])
		fill(m.Seen[i], f.base.measured.Seen[i])
	}
}

// turned is a changed stage for a trace, its lights at the settings that they will come to, about:
// the error asked is one of the mixture of them. They are those of the screening where there was
// one, else those of the base as balanced, with another head giving what the one before gave.
func (f *finder) turned(s *stage.Stage, c *change) *stage.Stage {
	cam := meter.CameraOf(s)
	during := func(ly *stage.Layer) float64 {
		if ly.Flash {
			return cam.Lit()
		}
		return float64(cam.Shutter)
	}
	own := *s
	own.Layers = slices.Clone(s.Layers)
	for l := range own.Layers {
		ly := &own.Layers[l]
		if ly.Light < 0 || ly.Source == nil || !(ly.K > 0) {
			continue
		}
		if l < len(c.levels) {
			ly.K = c.levels[l]
			continue
		}
		b := layerOf(f.base.stage, ly.Name)
		if b < 0 || f.base.stage.Layers[b].Source == nil || f.now.Solution.Lights[b].Off {
			continue
		}
		was := &f.base.stage.Layers[b]
		gave := f.now.Solution.Lights[b].Level.Times() * was.Source.AxialFull * during(was)
		ly.K = min(1, gave/(ly.Source.AxialFull*during(ly)))
	}
	return &own
}

// rest is the light at a point, seen or by a meter, of the base's lights that are not traced anew,
// at the setup's shutter.
func (f *finder) rest(s *stage.Stage, traced []int, point int, seen bool) (sum float64) {
	base, cam := f.base.stage, meter.CameraOf(f.base.stage)
	t := f.base.measured.Incident[point]
	if seen {
		t = f.base.measured.Seen[point]
	}
	if t == nil {
		return 0
	}
	for b := range base.Layers {
		ly := &base.Layers[b]
		if l := layerOf(s, ly.Name); l < 0 || slices.Contains(traced, l) {
			continue
		}
		during := float64(cam.Shutter)
		if ly.Flash {
			during = cam.Lit()
		}
		band := t.Total(b)
		k := ly.K
		if ly.Light >= 0 && ly.Source != nil {
			k = f.now.Solution.Lights[b].Level.Times() * pickNumber(!f.now.Solution.Lights[b].Off)
		}
		sum += k * during * ly.Fold.Apply(&band)[1]
	}
	return sum
}
