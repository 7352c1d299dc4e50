package answer

import (
	"context"
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"halfstop/photo"
	"halfstop/shoot"
)

// TestHoldFrame: a first look comes first; where the time is over it is the answer and says so;
// whoever stops it gets no answer; without a prediction in time that is said.
func TestHoldFrame(t *testing.T) {
	const room = "../zoo/backdrop.yaml"
	src, err := os.ReadFile(room)
	if err != nil {
		t.Fatal(err)
	}
	file, doc, list := shoot.Parse(room, src, shoot.Options{})
	if file == nil {
		t.Fatal(list.Text())
	}
	job := &Job{File: file, Doc: doc}
	var coarse *FramePlan
	plan, err := job.FramePlan(t.Context(), 0, FrameWorkTest{Samples: 1, Seed: 1}, func(p *FramePlan) { coarse = p })
	if err != nil || coarse == nil {
		t.Fatal(err, coarse)
	}
	base := taken(t, job, false, true, 1)
	as := mistake{all: 2, white: base.Stage.White}
	rough := coarse.First(as.shot(t, base), photo.Exif{}, nil)
	if len(rough.Notes) == 0 || !strings.Contains(rough.Notes[0], "by a coarse prediction") ||
		!strings.Contains(rough.Notes[0], "st brighter than predicted") {
		t.Errorf("%v", rough.Notes)
	}
	if len(rough.Points) > 0 {
		t.Errorf("%v", rough.Notes)
	}
	firsts := 0
	ask := FrameAsk{Image: as.shot(t, base), Plan: plan, First: func(f *FrameTest) {
		firsts++
		if len(f.Lights) > 0 || !f.First || !strings.Contains(f.Notes[0], "st brighter than predicted") {
			t.Errorf("%+v", f)
		}
	}}
	got, _, err := job.HoldFrame(t.Context(), ask, time.Hour)
	if err != nil || got.First || len(got.Lights) == 0 || firsts != 1 {
		t.Errorf("%v %+v, %d first looks", err, got, firsts)
	}
	got, _, err = job.HoldFrame(t.Context(), ask, 0)
	if err != nil || !got.First || !strings.Contains(strings.Join(got.Notes, " "), "could not be told apart in 0 s") {
		t.Errorf("%v %+v", err, got)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if got, _, err := job.HoldFrame(ctx, ask, time.Hour); got != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("%v %+v", err, got)
	}
	ask.Plan = nil
	if got, _, err := job.HoldFrame(t.Context(), ask, 0); got != nil || err == nil ||
		!strings.Contains(err.Error(), "could not be predicted") {
		t.Errorf("%v %+v", err, got)
	}
}
