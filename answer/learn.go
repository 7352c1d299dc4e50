package answer

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/figure"
	"halfstop/kit"
	"halfstop/learn"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
)

// Read is one reading of the day as it was logged.
type Read struct {
	Setup, Point string
	FNumber      q.FNumber
	Alone        string            // the only light that was on; empty: all of the setup
	Dials        map[string]string // what lights were set to when it was read, where not as in the file
	// Stood is how lights stood, by name. One that is not in it: as in the file.
	Stood       map[string]Stance
	Date, Words string
}

// gave reports whether a lesson that was kept without a title is of this very reading: the shoot
// got its title, or its room was drawn otherwise, since it was kept.
func (r *Read) gave(l *kit.Lesson) bool {
	return shoot.Untitled(l.Place) && l.Date == r.Date && l.Words == r.Words
}

// Learned is what readings have taught, as `learn --json` prints it.
type Learned struct {
	Version  int             `json:"version"`
	Read     int             `json:"readings"`
	Factors  []LearnedFactor `json:"factors"` // most surely moved first
	Doubts   []LearnedDoubt  `json:"doubts"`
	Before   float64         `json:"uncertainty_before_stops"` // root mean square over all points of all setups
	After    float64         `json:"uncertainty_after_stops"`
	Next     string          `json:"read_next,omitempty"`
	NextGain float64         `json:"read_next_brings_stops"`
	Lessons  []kit.Lesson    `json:"-"`      // for the own kit
	Of       []int           `json:"-"`      // by lesson: number of its reading
	Unused   []string        `json:"unused"` // readings that teach nothing, and why
}

// LearnedFactor is one thing of the kit or the place.
type LearnedFactor struct {
	Name  string  `json:"what"`
	Stops float64 `json:"stops"` // more than the figures say
	SD    float64 `json:"sd_stops"`
	Prior float64 `json:"sd_before_stops"`
	Read  int     `json:"readings,omitempty"` // that had a say
	Date  string  `json:"date,omitempty"`     // of the newest of them, year-month-day
}

// LearnedDoubt is a reading that does not fit.
type LearnedDoubt struct {
	Words  string         `json:"reading"`
	Place  string         `json:"-"`
	Off    float64        `json:"off_stops"`
	Sigmas float64        `json:"standard_deviations"`
	Causes []LearnedCause `json:"causes"`
}

// LearnedCause is what would explain it.
type LearnedCause struct {
	Words string  `json:"cause"`
	Stops float64 `json:"stops"`
	Share float64 `json:"chance"`
}

// LearnWork says how to learn.
type LearnWork struct {
	Seed     uint64             // the same seed gives the same numbers
	Progress func(done, of int) // told as setups are metered, in hundredths of each; nil: nobody
}

// Learn holds readings against their predictions by the figures alone (lessons of this very place
// are made anew, those of others stand) and says what they teach.
func (j *Job) Learn(ctx context.Context, reads []Read, w LearnWork) (*Learned, error) {
	place := j.File.Here()
	bare := *j.File
	bare.Kit.Lessons = nil
	var other []kit.Lesson
	for _, l := range j.File.Kit.Lessons {
		if l.Place != place && !slices.ContainsFunc(reads, func(r Read) bool { return r.gave(&l) }) {
			other = append(other, l)
		}
	}
	whole := kit.Merge(kit.Catalogue(), bare.Kit)
	out := &Learned{Version: 1, Factors: []LearnedFactor{}, Doubts: []LearnedDoubt{}, Unused: []string{}}
	m := &lessons{job: &Job{File: &bare, Doc: j.Doc, Files: j.Files}, seed: w.Seed, done: map[string]*Metered{},
		told: w.Progress}
	for i := range reads {
		l, err := m.lesson(ctx, &reads[i], place)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			out.Unused = append(out.Unused, fmt.Sprintf("%s: %v", reads[i].Words, err))
			continue
		}
		out.Lessons, out.Of = append(out.Lessons, l), append(out.Of, i)
	}
	out.Read = len(out.Lessons)
	all := append(slices.Clone(out.Lessons), other...)
	var f kit.Factors
	var obs []learn.Observation
	for i := range all {
		obs = append(obs, whole.Observation(&f, &all[i]))
	}
	// Everything that is to be predicted, and every reading that could be taken next.
	m.coarse = true // those that were read are traced by now
	targets, candidates, names, err := m.all(ctx, &whole, &f, place)
	if err != nil {
		return nil, err
	}
	blind, err := learn.Learn(f.List, nil)
	if err != nil {
		return nil, err
	}
	known, err := learn.Learn(f.List, obs)
	if err != nil {
		return nil, err
	}
	out.Before, out.After = spread(blind, targets), spread(known, targets)
	for i, x := range known.Factors {
		if sd := known.SD(i); sd < x.Prior-0.005 || math.Abs(known.Mean[i]) >= 0.005 { // else nothing is seen of it
			l := LearnedFactor{Name: x.Key, Stops: known.Mean[i], SD: sd, Prior: x.Prior}
			for n := range obs {
				if !known.Left(n) && about(&obs[n], i) {
					l.Read, l.Date = l.Read+1, max(l.Date, all[n].Date)
				}
			}
			out.Factors = append(out.Factors, l)
		}
	}
	slices.SortStableFunc(out.Factors, func(a, b LearnedFactor) int {
		return int(math.Copysign(1, math.Abs(b.Stops)/b.SD-math.Abs(a.Stops)/a.SD))
	})
	for _, d := range known.Doubts {
		x := LearnedDoubt{Words: all[d.Index].Words, Place: all[d.Index].Place, Off: d.Off,
			Sigmas: d.Sigmas, Causes: []LearnedCause{}}
		for _, c := range d.Causes {
			x.Causes = append(x.Causes, LearnedCause{c.Words, c.Stops, c.Share})
		}
		out.Doubts = append(out.Doubts, x)
	}
	if n, gain := known.Next(candidates, targets, 0.1); n >= 0 && gain > 0.005 {
		out.Next, out.NextGain = names[n], gain
	}
	return out, nil
}

// about reports whether a factor has a part in an observation.
func about(o *learn.Observation, factor int) bool {
	return slices.ContainsFunc(o.Parts, func(p learn.Part) bool { return slices.Contains(p.Factors, factor) })
}

// spread is the root mean square of what is not known of some predictions, stops.
func spread(k *learn.Known, targets [][]learn.Part) float64 {
	if len(targets) == 0 {
		return 0
	}
	sum := 0.0
	for _, t := range targets {
		_, sd := k.Predict(t)
		sum += sd * sd
	}
	return math.Sqrt(sum / float64(len(targets)))
}

// lessons meters setups as they were when they were read, each once. Light is traced once a setup:
// other powers and levels weigh it anew.
type lessons struct {
	job    *Job
	seed   uint64
	done   map[string]*Metered
	meshes map[uint64]*figure.Mesh
	told   func(done, of int)
	traced int
	coarse bool // of what is traced now no reading tells: only what hangs on what is asked
}

// Standard errors of a setup's points, stops: of one that was read, and of one whose light only
// says how much of it is whose. A tenth is what a meter's own reading is good to.
const (
	readError   = 0.03
	coarseError = 0.1
)

// metered gives a setup with some dials changed.
func (m *lessons) metered(ctx context.Context, setup int, dials map[string]string,
	stood map[string]Stance) (*Metered, error) {
	f, id, moved := asRead(m.job.File, setup, dials, stood)
	id = fmt.Sprint(setup) + id
	if d, ok := m.done[id]; ok {
		return d, nil
	}
	job := &Job{File: f, Doc: m.job.Doc, Files: m.job.Files}
	if !moved {
		stood = nil
	}
	base := m.done[m.traceOf(setup, stood)]
	if base == nil && len(dials) > 0 {
		var err error
		if base, err = m.metered(ctx, setup, nil, stood); err != nil {
			return nil, err
		}
	}
	if base != nil {
		if d := m.weighed(job, setup, base); d != nil {
			m.done[id] = d
			return d, nil
		}
	}
	work := meter.Work{Seed: m.seed, Error: readError}
	if m.coarse {
		work.Error = coarseError
	}
	tell := func(share float64) {
		if m.told != nil {
			m.told(100*min(m.traced, len(f.Setups)-1)+int(100*share), 100*len(f.Setups))
		}
	}
	work.Progress = func(done, most int) { tell(float64(done) / float64(max(1, most))) }
	d, list, err := job.Meter(ctx, setup, work)
	if err == nil && d == nil {
		err = list.Err()
	}
	if err == nil {
		m.done[id] = d
		tell(1)
		m.traced++
	}
	return d, err
}

// traceOf names what is traced for a setup with its lights where they stood.
func (m *lessons) traceOf(setup int, stood map[string]Stance) string {
	_, id, _ := asRead(m.job.File, setup, nil, stood)
	return fmt.Sprint(setup) + id
}

// asRead is a shoot with some lights of a setup set otherwise or elsewhere, and a word that tells
// it from others.
func asRead(file *shoot.File, setup int, dials map[string]string, stood map[string]Stance) (f *shoot.File,
	id string, moved bool) {
	c := *file
	f = &c
	f.Setups = slices.Clone(f.Setups)
	s := &f.Setups[setup]
	s.Lights = slices.Clone(s.Lights)
	for i := range s.Lights {
		l := &s.Lights[i]
		called := l.Name
		if called == "" {
			called = l.Role
		}
		for name, dial := range dials {
			if !strings.EqualFold(name, called) {
				continue
			}
			id += "\x00" + called + "\x00" + dial
			if share, err := q.ParseShare(dial); err == nil && strings.HasSuffix(dial, "%") {
				l.Level, l.Power = &share, ""
			} else {
				l.Power, l.Level = dial, nil
			}
		}
		for name, was := range stood {
			now, ok := StanceOf(l)
			if !ok || !strings.EqualFold(name, called) {
				continue
			}
			if word := was.On.put(l); word != "" {
				id, moved = id+"\x00"+called+"\x00"+word, true
			}
			at := was.At
			if math.Hypot(math.Hypot(now.At[0]-at[0], now.At[1]-at[1]), now.At[2]-at[2]) > 0.005 {
				id += fmt.Sprintf("\x00%s\x00%.2f", called, at)
				l.At, l.Height, moved = []q.Metres{q.Metres(at[0]), q.Metres(at[1]), q.Metres(at[2])}, 0, true
			}
		}
	}
	return f, id, moved
}

// weighed is a setup with other powers and levels by the light that was traced before; nil where
// that does not serve: another layer, or a light that gives another amount at full.
func (m *lessons) weighed(job *Job, setup int, base *Metered) *Metered {
	s, _ := stage.Build(job.File, job.Doc, setup, stage.Options{Files: job.Files, Detail: figure.Shadow,
		Like: base.Stage, Mesh: m.mesh})
	if s == nil || len(s.Layers) != len(base.Stage.Layers) || len(s.Points) != len(base.Stage.Points) {
		return nil
	}
	for l := range s.Layers {
		if s.Layers[l].Name != base.Stage.Layers[l].Name ||
			math.Abs(s.Layers[l].Full()/base.Stage.Layers[l].Full()-1) > 1e-9 {
			return nil
		}
	}
	d := &Metered{Stage: s, Measured: base.Measured, Camera: meter.CameraOf(s), doc: job.Doc}
	d.Readings = meter.Weigh(s, d.Measured, d.Camera)
	d.Facts = meter.FactsOf(s, d.Camera, d.Readings)
	return d
}

// mesh builds or remembers a sitter.
func (m *lessons) mesh(p figure.Params) *figure.Mesh {
	k := p.Key()
	if m.meshes[k] == nil {
		if m.meshes == nil {
			m.meshes = map[uint64]*figure.Mesh{}
		}
		m.meshes[k] = figure.Build(p)
	}
	return m.meshes[k]
}

// lesson holds one reading against its prediction.
func (m *lessons) lesson(ctx context.Context, r *Read, place string) (l kit.Lesson, err error) {
	setup := slices.IndexFunc(m.job.File.Setups, func(s shoot.Setup) bool {
		return strings.EqualFold(s.Name,
			r.Setup)
	})
	if setup < 0 {
		if r.Setup != "" || len(m.job.File.Setups) != 1 {
			return l, fmt.Errorf("the shoot has no setup called %q", r.Setup)
		}
		setup = 0
	}
	d, err := m.metered(ctx, setup, r.Dials, r.Stood)
	if err != nil {
		return l, err
	}
	for i := range d.Readings {
		p := &d.Readings[i]
		if !strings.EqualFold(p.Name, r.Point) {
			continue
		}
		parts, whole := partsOf(d, p, r.Alone)
		if !(whole > 0) {
			return l, fmt.Errorf("no light is predicted there")
		}
		// The meter's f-number squared goes with the exposure, whatever its constant.
		predicted := float64(p.FNumber) * float64(p.FNumber) * whole
		read := float64(r.FNumber) * float64(r.FNumber)
		off := q.StopsOf(read / predicted)
		noise := q.Stops(math.Hypot(0.1, float64(p.Error)))
		return kit.Lesson{Date: r.Date, Place: place, Words: r.Words, Off: off, Noise: noise, Parts: parts}, nil
	}
	return l, fmt.Errorf("%s has no point called %q", m.job.File.Setups[setup].Name, r.Point)
}

// partsOf gives the lights of a reading, or of one light alone, as a lesson keeps them; whole is
// their share of the reading. Parts under a thousandth are left out.
func partsOf(d *Metered, p *meter.Reading, alone string) (parts []kit.LessonPart, whole float64) {
	for k := range p.Lights {
		l := &p.Lights[k]
		layer := &d.Stage.Layers[k]
		if alone != "" && !strings.EqualFold(alone, l.Name) && !strings.EqualFold(alone, layer.Role) {
			continue
		}
		whole += l.Share
		if l.Share < 1e-3 {
			continue
		}
		x := kit.LessonPart{Share: q.Share(l.Share)}
		if t := l.Direct + l.Bounced; t > 0 {
			x.Bounced = q.Share(l.Bounced / t)
		}
		if layer.Light >= 0 && d.Stage.Setup.Lights[layer.Light].Head != "" {
			w := &d.Stage.Setup.Lights[layer.Light]
			x.Head, x.Modifier, x.Grid, x.Gel = w.Head, w.Modifier, w.Grid, w.Gel
		} else {
			x.House = l.Name
		}
		parts = append(parts, x)
	}
	for i := range parts {
		parts[i].Share /= q.Share(max(whole, 1e-12))
	}
	return parts, whole
}

// all meters every setup as it stands: what is to be predicted, and every reading that could be
// taken, of all lights and of each alone.
func (m *lessons) all(ctx context.Context, k *kit.Kit, f *kit.Factors, place string) (targets,
	candidates [][]learn.Part, names []string, err error) {
	for i := range m.job.File.Setups {
		d, err := m.metered(ctx, i, nil, nil)
		if err != nil {
			return nil, nil, nil, err
		}
		for n := range d.Readings {
			p := &d.Readings[n]
			if p.Dark || p.FNumber <= 0 {
				continue
			}
			where := p.Name + " in " + d.Stage.Setup.Name
			parts, _ := partsOf(d, p, "")
			full := k.LearnParts(f, place, parts)
			targets = append(targets, full)
			candidates, names = append(candidates, full), append(names, where+", all lights")
			for _, l := range p.Lights {
				if l.Share > 0.02 && len(p.Lights) > 1 {
					one, _ := partsOf(d, p, l.Name)
					candidates = append(candidates, k.LearnParts(f, place, one))
					names = append(names, where+", "+l.Name+" alone")
				}
			}
		}
	}
	return targets, candidates, names, nil
}
