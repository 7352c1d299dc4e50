package floor

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"slices"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/ownkit"
	"halfstop/internal/share"
)

// planSamples are those of a predicted picture, a pixel.
const planSamples = 16

// tested is a frame that was held against its prediction beside the work.
type tested struct {
	shot  *shot
	setup int
	rev   int
	key   string // what it rests on
	plan  *answer.FramePlan
	test  *answer.FrameTest
	err   error
}

// testFrame holds a frame against its prediction, beside the work: the lights as they were dialled
// when it was taken, and as the readings have them.
func (w *worker) testFrame(ctx context.Context, s *shot, setup int, entries []daylog.Entry) {
	if w.testing {
		if w.stopPredict != nil && w.predicting != setup { // a photograph goes before one that may come
			w.stopPredict()
		}
		return
	}
	w.testing = true
	job, plan, rev := w.job, w.plans[setup], w.rev
	stops, sd := map[string]float64{}, map[string]float64{}
	var by *answer.FrameMark
	key := ""
	if e := frameEntry(entries, s.id); e != nil {
		m := marks{w.rev, w.f.shotList(), entries}
		by, key = m.placing(e), m.restOn(e)
	}
	if e := frameEntry(entries, s.id); e != nil && w.floor.Ready(setup) {
		var before []daylog.Entry
		for i := range entries {
			if entries[i].Kind != daylog.Dial || !entries[i].At.After(e.At) {
				before = append(before, entries[i])
			}
		}
		dials, _ := dialled(before, e.Setup)
		list, _ := ownkit.Reads(entries)
		if r, err := w.floor.Rebalance(ctx, setup, list, dials); err == nil {
			for _, x := range r.Levels {
				stops[x.Light], sd[x.Light] = float64(x.Stops), float64(x.SD)
			}
		}
	}
	ctx, stop := context.WithCancel(ctx)
	w.f.mu.Lock()
	if s.stopped != "" && s.key != key { // it rests on something else now
		s.stopped = ""
	}
	w.f.holding, w.f.stopHolding = s, stop
	w.f.mu.Unlock()
	w.f.held.Store(0)
	name := w.job.File.Setups[setup].Name
	go func() {
		x := tested{shot: s, setup: setup, rev: rev, key: key, plan: plan,
			err: fmt.Errorf("a fault of the program; its terminal has the details")}
		defer func() { stop(); w.frameDone <- x }()
		defer w.f.recovered("holding a frame against its prediction")
		ask := answer.FrameAsk{Setup: setup, Image: s.img, Exif: s.exif, Mark: by, Plan: plan,
			Work: answer.FrameWorkTest{Samples: planSamples, Seed: 1,
				Step: func(done, of int) { w.f.held.Store(int32(100 * done / max(1, of))) }},
			As: func(p *answer.FramePlan) *answer.FramePlan { return p.Adjusted(stops, sd) },
			First: func(t *answer.FrameTest) {
				w.f.mu.Lock()
				defer w.f.mu.Unlock()
				s.tell(name, key, t)
				w.f.Changed()
			}}
		budget := w.f.opt.FrameBudget
		if budget == 0 {
			budget = answer.FrameBudget
		}
		var made *answer.FramePlan
		if x.test, made, x.err = job.HoldFrame(ctx, ask, budget); made != nil {
			x.plan = made
		}
	}()
}

// predict computes the picture of a setup that no frame came of yet, so that the first is told at
// once; it reports whether it began.
func (w *worker) predict(ctx context.Context, setup int) bool {
	if w.testing || setup < 0 || w.f.Watched() == "" || w.plans[setup] != nil || w.unseen[setup] != nil {
		return false
	}
	w.testing = true
	job, rev := w.job, w.rev
	ctx, w.stopPredict = context.WithCancel(ctx)
	w.predicting = setup
	stop := w.stopPredict
	go func() {
		x := tested{setup: setup, rev: rev, err: fmt.Errorf("a fault of the program; its terminal has the details")}
		defer func() { stop(); w.frameDone <- x }()
		defer w.f.recovered("predicting a picture")
		x.plan, x.err = job.FramePlan(ctx, setup, answer.FrameWorkTest{Samples: planSamples, Seed: 1}, nil)
		if x.plan == nil && ctx.Err() != nil {
			x.err = ctx.Err()
		}
	}()
	return true
}

// tell takes in what a frame says; f.mu is held.
func (s *shot) tell(setup, key string, t *answer.FrameTest) {
	s.setup, s.key, s.test, s.none, s.ended = setup, key, t, "", !t.First
	_, predicted, difference := t.Pictures()
	s.images, s.pictures = map[string][]byte{"photo": s.jpeg}, s.pictures+1
	for name, img := range map[string]image.Image{"predicted": predicted, "difference": difference} {
		var out bytes.Buffer
		if png.Encode(&out, grown(img)) == nil {
			s.images[name] = out.Bytes()
		}
	}
}

// frameTaken takes in what testFrame found. Where it found nothing a first look stands.
func (w *worker) frameTaken(x tested) {
	w.testing, w.stopPredict = false, nil
	if x.rev != w.rev {
		return
	}
	if x.plan != nil {
		w.plans[x.setup] = x.plan
	}
	name := w.job.File.Setups[x.setup].Name
	if x.shot == nil {
		if !errors.Is(x.err, context.Canceled) { // else it is done another time
			w.unseen[x.setup] = x.err
		}
		if x.plan != nil {
			w.f.goOn(name)
		}
		return
	}
	w.f.mu.Lock()
	defer w.f.mu.Unlock()
	w.f.holding, w.f.stopHolding = nil, nil
	s := x.shot
	switch {
	case x.err == nil:
		s.tell(name, x.key, x.test)
	case s.stopped == "":
		s.setup, s.key, s.test, s.none = name, x.key, nil, x.err.Error()
	case s.setup != name || s.key != x.key: // before its first look
		s.setup, s.key, s.test, s.none = name, x.key, nil, "stopped by "+s.stopped
	}
	s.ended = true
}

// goOn takes up the frames of a setup that ended by themselves before its picture was there.
func (f *Floor) goOn(setup string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, s := range f.shots {
		if s.setup == setup && s.stopped == "" && (s.test == nil || s.test.First) {
			s.ended = false
		}
	}
}

// StopFrame ends the work on a test frame, whose first look stands, or goes on with it.
func (f *Floor) StopFrame(_ context.Context, d share.Device, a StopFrame) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	i := slices.IndexFunc(f.shots, func(s *shot) bool { return s.id == a.Frame })
	if i < 0 {
		return &share.Refusal{Status: 404, Code: "not-found", Text: "that frame is not here any more"}
	}
	s := f.shots[i]
	if s.stopped, s.ended = "", s.ended && (s.test == nil || !s.test.First); !a.On {
		s.stopped, s.ended = d.Name, true
		if f.holding == s {
			f.stopHolding()
		}
	} else if s.test == nil {
		s.ended = false
	}
	f.Changed()
	return nil
}
