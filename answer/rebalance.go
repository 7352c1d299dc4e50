package answer

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"halfstop/day"
	"halfstop/kit"
	"halfstop/learn"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/ways"
)

// Floor is a shoot on its day: setups are metered once by the figures alone; each reading then
// corrects kit and room, and settings are found again, without tracing. Its methods are not for
// several goroutines at once.
type Floor struct {
	lessons
	place string
	other []kit.Lesson
	kit   kit.Kit
}

// NewFloor begins a day with a shoot.
func (j *Job) NewFloor(seed uint64) *Floor {
	f := &Floor{place: j.File.Here()}
	bare := *j.File
	bare.Kit.Lessons = nil
	for _, l := range j.File.Kit.Lessons {
		if l.Place != f.place {
			f.other = append(f.other, l)
		}
	}
	f.kit = kit.Merge(kit.Catalogue(), bare.Kit)
	f.lessons = lessons{job: &Job{File: &bare, Doc: j.Doc, Files: j.Files}, seed: seed, done: map[string]*Metered{}}
	return f
}

// Ready reports whether a setup is metered, as the plan has it.
func (f *Floor) Ready(setup int) bool { return f.done[fmt.Sprint(setup)] != nil }

// TraceOf names what must be traced before a reading teaches: one name for all whose lights stood
// at the same places. moved: some of them stand elsewhere now. ok is false where the shoot has no
// such setup.
func (f *Floor) TraceOf(r *Read) (id string, setup int, moved, ok bool) {
	setup = f.setupOf(r)
	if setup < 0 {
		return "", setup, false, false
	}
	_, id, moved = asRead(f.job.File, setup, nil, r.Stood)
	return fmt.Sprint(setup) + id, setup, moved, true
}

func (f *Floor) setupOf(r *Read) int {
	return slices.IndexFunc(f.job.File.Setups, func(s shoot.Setup) bool { return strings.EqualFold(s.Name, r.Setup) })
}

// Trace meters a setup by the figures alone, with its lights where they stood (nil: as the plan has
// them): seconds of work, which changes nothing here and may run beside all else. threads 0: all.
func (f *Floor) Trace(ctx context.Context, setup int, stood map[string]Stance, threads int) (*Metered, error) {
	file, _, _ := asRead(f.job.File, setup, nil, stood)
	job := &Job{File: file, Doc: f.job.Doc, Files: f.job.Files}
	d, list, err := job.Meter(ctx, setup, meter.Work{Seed: f.seed, Error: 0.03, Threads: threads})
	if err == nil && d == nil {
		err = list.Err()
	}
	return d, err
}

// Take keeps what Trace gave.
func (f *Floor) Take(setup int, stood map[string]Stance, d *Metered) {
	f.done[f.traceOf(setup, stood)] = d
}

// Rebalanced is what readings say of a setup as it is dialled, and what to dial instead.
type Rebalanced struct {
	Points []Repoint
	Dials  []Redial // lights of the setup, those to be changed first
	Misses []string // wishes that the dials cannot meet, and why
	Wishes []Rewish
	// The reading to take next, by what it would bring the uncertainty down, stops; empty: none
	// would tell much. Alone is the only light to be on; empty: all.
	NextPoint, NextAlone string
	Gain                 float64
	Unused               []string       // readings that teach nothing, and why
	Doubts               []LearnedDoubt // readings that do not fit
	Facts                []LearnedFactor
	Levels               []Relevel
}

// Relevel is what one light gives against the plan's figures: as it is dialled, and as readings
// have it.
type Relevel struct {
	Light string
	Stops q.Stops // against the plan, dial and lessons together
	SD    q.Stops
}

// Repoint is one point: f-numbers with the light as it is dialled now, and after all proposed
// dials.
type Repoint struct {
	Name   string
	Plan   q.FNumber // by the figures alone, as dialled
	Now    q.FNumber // corrected by the readings; 0: dark
	After  q.FNumber
	SD     q.Stops // of Now
	Lights []Relight
}

// Relight is a light's share of a point's reading now, 0 to 1, and its colour.
type Relight struct {
	Name  string
	Share float64
	XYZ   [3]float64
}

// Redial is one light's dial.
type Redial struct {
	Light   string
	Was     string // as it is dialled
	Now     string // as proposed
	Stops   q.Stops
	Changed bool
	Fixed   bool // the house's, or locked
}

// Rewish is one wish of the look.
type Rewish struct {
	Words   string
	Point   string
	Off     q.Stops // with the dials as they are
	OffThen q.Stops // with the proposed ones
	Met     bool    // then
	Reason  string
}

// floorWithin is how near a wish is to be met where its tolerance is not written, stops: what a
// meter shows.
const floorWithin = 0.05

// Rebalance holds all readings of the day against the figures, corrects the setup as it is dialled
// by what they teach, and finds the dials again. A reading whose setup is not metered yet, with its
// lights where they stood, teaches nothing.
func (f *Floor) Rebalance(ctx context.Context, setup int, reads []Read, dials map[string]string) (*Rebalanced,
	error) {
	d, err := f.metered(ctx, setup, dials, nil)
	if err != nil {
		return nil, err
	}
	out := &Rebalanced{}
	factors, obs := f.observed(ctx, reads, out)
	candidates, names := f.toRead(d, factors)
	// What the parts of this setup are made of must be numbered before it is learned.
	parts := make([][]learn.Part, len(d.Stage.Layers))
	for l := range d.Stage.Layers {
		if p, ok := partOf(d, l); ok {
			p.Share, p.Bounced = 1, 1
			parts[l] = f.kit.LearnParts(factors, f.place, []kit.LessonPart{p})
		}
	}
	known, err := learn.Learn(factors.List, obs)
	if err != nil {
		return nil, err
	}
	for _, x := range known.Doubts {
		doubt := LearnedDoubt{Words: obs[x.Index].Words, Off: x.Off, Sigmas: x.Sigmas, Causes: []LearnedCause{}}
		for _, c := range x.Causes {
			doubt.Causes = append(doubt.Causes, LearnedCause{c.Words, c.Stops, c.Share})
		}
		out.Doubts = append(out.Doubts, doubt)
	}
	for i, x := range known.Factors {
		if sd := known.SD(i); sd < 0.9*x.Prior {
			out.Facts = append(out.Facts, LearnedFactor{Name: x.Key, Stops: known.Mean[i], SD: sd, Prior: x.Prior})
		}
	}
	st := *d.Stage
	st.Layers = slices.Clone(st.Layers)
	// With a meter in the hand a tenth is seen: a wish without a tolerance of its own gets that.
	own := *st.Setup
	own.Look = slices.Clone(own.Look)
	for i := range own.Look {
		if own.Look[i].Within.Value == 0 {
			own.Look[i].Within = shoot.Tolerance{Value: floorWithin, Unit: "st"}
		}
	}
	st.Setup = &own
	direct, bounced := make([]float64, len(parts)), make([]float64, len(parts))
	for l := range parts {
		direct[l], bounced[l] = 1, 1
		if len(parts[l]) == 1 {
			whole, _ := known.Predict(parts[l])
			straight, sd := known.Predict([]learn.Part{without(parts[l][0], factors.List, "surfaces ")})
			direct[l], bounced[l] = math.Exp2(straight), math.Exp2(whole)
			st.Layers[l].Uncertainty = q.Stops(sd)
		}
	}
	plan := f.Stage(setup)
	for l := range st.Layers {
		x := Relevel{Light: st.Layers[l].Name, SD: st.Layers[l].Uncertainty, Stops: q.StopsOf(direct[l])}
		if plan != nil && l < len(plan.Layers) && plan.Layers[l].Full()*plan.Layers[l].K > 0 {
			x.Stops += q.StopsOf(max(1e-6, d.Stage.Layers[l].Full()*d.Stage.Layers[l].K/
				(plan.Layers[l].Full()*plan.Layers[l].K)))
		}
		out.Levels = append(out.Levels, x)
	}
	now := d.Measured.Corrected(direct, bounced)
	rs := meter.Weigh(&st, now, d.Camera)
	b, err := ways.Balance(ctx, &st, now)
	if err != nil {
		return nil, err
	}
	as, err := ways.AsFound(ctx, &st, now)
	if err != nil {
		return nil, err
	}
	out.collect(d, rs, b, as)
	for i := range out.Points {
		if p := f.partsAt(d, &d.Readings[i], "", factors); len(p) > 0 {
			_, sd := known.Predict(p)
			out.Points[i].SD = q.Stops(sd)
		}
	}
	if n, gain := known.Next(candidates, f.wished(ctx, setup, d, dials, out.Dials, factors), 0.1); n >= 0 &&
		gain > 0.01 {
		out.NextPoint, out.NextAlone, out.Gain = names[n][0], names[n][1], gain
	}
	return out, nil
}

// observed turns the readings of metered setups into observations.
func (f *Floor) observed(ctx context.Context, reads []Read, out *Rebalanced) (*kit.Factors, []learn.Observation) {
	var factors kit.Factors
	var obs []learn.Observation
	for i := range f.other {
		if slices.ContainsFunc(reads, func(r Read) bool { return r.gave(&f.other[i]) }) {
			continue
		}
		obs = append(obs, f.kit.Observation(&factors, &f.other[i]))
	}
	for i := range reads {
		if id, _, _, ok := f.TraceOf(&reads[i]); ok && f.done[id] == nil {
			continue
		}
		l, err := f.lesson(ctx, &reads[i], f.place)
		if err != nil {
			out.Unused = append(out.Unused, fmt.Sprintf("%s: %v", reads[i].Words, err))
			continue
		}
		obs = append(obs, f.kit.Observation(&factors, &l))
	}
	return &factors, obs
}

// without is a part that does not go with the factors of a kind.
func without(p learn.Part, list []learn.Factor, kind string) learn.Part {
	out := learn.Part{Exposure: p.Exposure}
	for i, n := range p.Factors {
		if !strings.HasPrefix(list[n].Key, kind) {
			out.Factors, out.Gain = append(out.Factors, n), append(out.Gain, p.Gain[i])
		}
	}
	return out
}

// partOf says what a layer is made of: a head with what is on it, or a light of the house.
func partOf(d *Metered, l int) (p kit.LessonPart, ok bool) {
	layer := &d.Stage.Layers[l]
	if layer.Light >= 0 && d.Stage.Setup.Lights[layer.Light].Head != "" {
		w := &d.Stage.Setup.Lights[layer.Light]
		return kit.LessonPart{Head: w.Head, Modifier: w.Modifier, Grid: w.Grid, Gel: w.Gel}, true
	}
	return kit.LessonPart{House: layer.Name}, layer.Name != ""
}

func (f *Floor) partsAt(d *Metered, p *meter.Reading, alone string, factors *kit.Factors) []learn.Part {
	if p.Dark || p.FNumber <= 0 {
		return nil
	}
	parts, _ := partsOf(d, p, alone)
	return f.kit.LearnParts(factors, f.place, parts)
}

// leastAsked is the least f-number that is asked for: the keypad of the floor begins there.
const leastAsked = 1

// toRead lists what could be read in a setup as it is dialled.
func (f *Floor) toRead(d *Metered, factors *kit.Factors) (candidates [][]learn.Part, names [][2]string) {
	for n := range d.Readings {
		p := &d.Readings[n]
		full := f.partsAt(d, p, "", factors)
		if full == nil {
			continue
		}
		if p.FNumber >= leastAsked {
			candidates, names = append(candidates, full), append(names, [2]string{p.Name, ""})
		}
		for _, l := range p.Lights {
			reads := float64(p.FNumber) * math.Sqrt(l.Share)
			if l.Share > 0.02 && len(p.Lights) > 1 && reads >= leastAsked {
				candidates = append(candidates, f.partsAt(d, p, l.Name, factors))
				names = append(names, [2]string{p.Name, l.Name})
			}
		}
	}
	return candidates, names
}

// wished lists what the look speaks of, as it will be lit with the dials that are proposed: a light
// that is brought up by three stops has more of a say there than in what is read now.
func (f *Floor) wished(ctx context.Context, setup int, d *Metered, dials map[string]string, to []Redial,
	factors *kit.Factors) (targets [][]learn.Part) {
	then := maps.Clone(dials)
	if then == nil {
		then = map[string]string{}
	}
	for _, x := range to {
		if x.Changed && x.Now != "off" && x.Light != "camera" {
			then[x.Light] = x.Now
		}
	}
	if after, err := f.metered(ctx, setup, then, nil); err == nil {
		d = after
	}
	wished := map[string]bool{}
	for _, w := range d.Stage.Setup.Look {
		for _, p := range []string{w.Point, w.Above, w.Below} {
			wished[strings.ToLower(p)] = true
		}
	}
	for n := range d.Readings {
		if p := f.partsAt(d, &d.Readings[n], "", factors); p != nil && wished[strings.ToLower(d.Readings[n].Name)] {
			targets = append(targets, p)
		}
	}
	return targets
}

// collect puts readings and balance into what is shown.
func (r *Rebalanced) collect(d *Metered, now []meter.Reading, b, as *ways.Balanced) {
	for i := range now {
		p := Repoint{Name: now[i].Name, Plan: d.Readings[i].FNumber, Now: now[i].FNumber, After: b.After[i].FNumber}
		for _, l := range now[i].Lights {
			p.Lights = append(p.Lights, Relight{l.Name, l.Share, [3]float64{l.XYZ.X, l.XYZ.Y, l.XYZ.Z}})
		}
		slices.SortStableFunc(p.Lights, func(a, b Relight) int {
			return int(math.Copysign(1, b.Share-a.Share))
		})
		r.Points = append(r.Points, p)
	}
	for l, x := range b.Lights() {
		// A change under a tenth is no change: no meter shows it and few dials have it.
		by := b.Solution.Lights[l].Level - b.Problem.Lights[l].Level
		changed := !x.Fixed && x.Was != x.Now && (math.Abs(float64(by)) > 0.099 || x.Option != "" || x.Now == "off")
		r.Dials = append(r.Dials, Redial{Light: x.Name, Was: x.Was, Now: x.Now, Stops: by, Changed: changed,
			Fixed: x.Fixed})
	}
	if a := &b.Problem.Camera; b.Solution.Aperture != a.Aperture || b.Solution.ISO != a.ISO ||
		b.Solution.Shutter != a.Shutter {
		say := func(n q.FNumber, t q.Seconds, iso q.ISO) string {
			return fmt.Sprintf("%v, %v, ISO %.0f", n, t, float64(iso))
		}
		r.Dials = append(r.Dials, Redial{Light: "camera", Was: say(a.Aperture, a.Shutter, a.ISO),
			Now: say(b.Solution.Aperture, b.Solution.Shutter, b.Solution.ISO), Changed: true})
	}
	before := as.Targets()
	for i, t := range b.Targets() {
		w := Rewish{Words: t.Words, Point: t.Point, OffThen: t.Residual, Met: t.Met, Reason: t.Reason}
		if i < len(before) {
			w.Off = before[i].Residual
		}
		r.Wishes = append(r.Wishes, w)
		if !t.Met {
			r.Misses = append(r.Misses, strings.TrimSuffix(t.Words+": "+t.Off+", "+t.Reason, ", "))
		}
	}
}

// Stage is a setup as the plan has it, where it is metered; else nil.
func (f *Floor) Stage(setup int) *stage.Stage {
	if d := f.done[fmt.Sprint(setup)]; d != nil {
		return d.Stage
	}
	return nil
}

// TaskIDs lists every task that the day of the shoot may have.
func (j *Job) TaskIDs() []string {
	k := kit.Merge(kit.Catalogue(), j.File.Kit)
	p, _ := day.FromShoot(j.File, &k)
	return p.IDs()
}
