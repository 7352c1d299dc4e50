package kit

import (
	"fmt"
	"math"

	"halfstop/learn"
	q "halfstop/quantity"
)

// Lesson is one reading that was held against its prediction. The prediction is that of the figures
// alone, without any lesson.
type Lesson struct {
	Date  string       `yaml:"date" doc:"when it was read, year-month-day" like:"2026-03-14"`
	Place string       `yaml:"place" doc:"the shoot it is from"`
	Words string       `yaml:"words" doc:"what was read" like:"key at the face"`
	Off   q.Stops      `yaml:"off" need:"true" doc:"how far it lay over the prediction" least:"-12" most:"12" like:"+0.3 st"`
	Noise q.Stops      `yaml:"noise" over:"0" most:"3" doc:"one standard deviation of the reading itself; absent: 0.1 st"`
	Parts []LessonPart `yaml:"parts" need:"true" doc:"the lights that made it, as predicted"`
}

// LessonPart is one light's part of a reading.
type LessonPart struct {
	Share    q.Share  `yaml:"share" need:"true" doc:"of the predicted reading" over:"0" most:"1"`
	Bounced  q.Share  `yaml:"bounced" doc:"of this light's own part: by way of walls and things" least:"0" most:"1"`
	Head     string   `yaml:"head" names:"heads"`
	Modifier string   `yaml:"modifier" names:"modifiers"`
	Grid     string   `yaml:"grid" names:"grids"`
	Gel      []string `yaml:"gel" names:"gels"`
	House    string   `yaml:"house" doc:"instead of a head: a practical or window of the place"`
}

// Priors of what has no figure of its own, one standard deviation in stops: common practice, no
// source.
const (
	gelError     = 0.15
	houseError   = 0.5
	surfaceError = 0.3
	readNoise    = 0.1
)

// taught is what the lessons of a kit come to.
type taught struct {
	known *learn.Known
	index map[string]int
	reads []int // by factor: how many lessons are about it
}

// Learned is what readings have taught of one thing, by its kind and name as in Factors.Of: how
// many stops it lies over its figures, how surely, and by how many readings; false for nothing.
func (k *Kit) Learned(kind, name string) (stops, sd float64, readings int, ok bool) {
	if k.taught == nil {
		return 0, 0, 0, false
	}
	i, ok := k.taught.index[kind+" "+key(name)]
	if !ok {
		return 0, 0, 0, false
	}
	return k.taught.known.Mean[i], k.taught.known.SD(i), k.taught.reads[i], true
}

// SurfaceError is one standard deviation of what a room gives back against what its surfaces say,
// before anything was read in it, stops (common practice, no source).
const SurfaceError = surfaceError

// Factors numbers the things that lessons are about.
type Factors struct {
	List  []learn.Factor
	index map[string]int
}

// Of gives the number of a thing, with its prior where it is new.
func (f *Factors) Of(kind, name string, prior float64) int {
	id := kind + " " + key(name)
	if i, ok := f.index[id]; ok {
		return i
	}
	if f.index == nil {
		f.index = map[string]int{}
	}
	f.index[id] = len(f.List)
	f.List = append(f.List, learn.Factor{Key: id, Prior: prior})
	return len(f.List) - 1
}

// LearnParts turns the parts of a lesson into those of an observation: the head, what is on it,
// and the room by the bounced share. place keeps the rooms apart.
func (k *Kit) LearnParts(f *Factors, place string, parts []LessonPart) []learn.Part {
	out := make([]learn.Part, 0, len(parts))
	for i := range parts {
		p := &parts[i]
		l := learn.Part{Exposure: float64(p.Share)}
		add := func(kind, name string, prior, gain float64) {
			if gain > 0 {
				l.Factors, l.Gain = append(l.Factors, f.Of(kind, name, prior)), append(l.Gain, gain)
			}
		}
		if p.House != "" {
			add("house", place+": "+p.House, houseError, 1)
		}
		for _, h := range k.mounted(p.Head, p.Modifier, p.Grid, p.Gel) {
			add(h.kind, h.name, h.prior, 1)
		}
		add("surfaces", place, surfaceError, float64(p.Bounced))
		out = append(out, l)
	}
	return out
}

type mounted struct {
	kind, name string
	prior      float64
}

// mounted lists a head and what is on it with their priors; what the kit does not know has none.
func (k *Kit) mounted(head, modifier, grid string, gels []string) (out []mounted) {
	if h, ok := k.FindHead(head); ok {
		out = append(out, mounted{"head", h.Name, float64(h.Uncertainty)})
	}
	if m, ok := k.FindModifier(modifier); ok && key(modifier) != "bare" && modifier != "" {
		out = append(out, mounted{"modifier", m.Name, float64(m.Uncertainty)})
	}
	if g, ok := k.FindGrid(grid); ok && grid != "" {
		out = append(out, mounted{"grid", g.Name, float64(g.Uncertainty)})
	}
	for _, g := range gels {
		out = append(out, mounted{"gel", g, gelError})
	}
	return out
}

// Observation turns a lesson into what learn takes.
func (k *Kit) Observation(f *Factors, l *Lesson) learn.Observation {
	noise := float64(l.Noise)
	if noise == 0 {
		noise = readNoise
	}
	place := l.Place
	if place == "" { // older versions named no place for a shoot without a title: it is like no other
		place = "an unnamed place, " + l.Date
	}
	o := learn.Observation{Parts: k.LearnParts(f, place, l.Parts), Noise: noise, Words: l.Words}
	sum := 0.0
	for _, p := range o.Parts {
		sum += p.Exposure
	}
	o.Read = sum * math.Exp2(float64(l.Off))
	return o
}

// teach finds what the lessons come to; nil where there are none that can be used.
func (k *Kit) teach() *taught {
	if len(k.Lessons) == 0 {
		return nil
	}
	var f Factors
	var obs []learn.Observation
	for i := range k.Lessons {
		if o := k.Observation(&f, &k.Lessons[i]); o.Read > 0 {
			obs = append(obs, o)
		}
	}
	known, err := learn.Learn(f.List, obs)
	if err != nil {
		return nil
	}
	t := &taught{known, f.index, make([]int, len(f.List))}
	for i := range obs {
		if known.Left(i) {
			continue
		}
		seen := map[int]bool{}
		for _, p := range obs[i].Parts {
			for _, x := range p.Factors {
				if !seen[x] {
					seen[x], t.reads[x] = true, t.reads[x]+1
				}
			}
		}
	}
	return t
}

// apply corrects a head with what is on it by what readings have taught, and narrows its
// uncertainty. A pair that has a reading of its own under `reads` is left: that is nearer.
func (k *Kit) apply(h Head, w Want, p *pair) {
	if k.taught == nil || p.sd <= readingSD {
		return
	}
	l := learn.Part{Exposure: 1}
	rest := p.sd * p.sd // what no lesson is about
	for _, m := range k.mounted(h.Name, w.Modifier, w.Grid, w.Gels) {
		if i, ok := k.taught.index[m.kind+" "+key(m.name)]; ok {
			l.Factors, l.Gain = append(l.Factors, i), append(l.Gain, 1)
			rest -= m.prior * m.prior
		}
	}
	if len(l.Factors) == 0 {
		return
	}
	for _, i := range l.Factors {
		p.reads = max(p.reads, k.taught.reads[i])
	}
	shift, sd := k.taught.known.Predict([]learn.Part{l})
	p.axial *= math.Exp2(shift)
	p.sd = math.Sqrt(max(0, rest) + sd*sd)
	p.why = append(p.why, fmt.Sprintf("learned from readings: %s, now known to %.2f st", signed(shift), p.sd))
}
