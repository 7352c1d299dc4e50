package floor

import (
	"context"
	"math"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/ownkit"
	"halfstop/internal/share"
)

// plain is a room with one light, traced in a moment.
const plain = `
halfstop: 1
room: {size: [6, 5, 3], surfaces: {all: {diffuse: 0.2}}}
setups:
  - name: Only
    lights: [{name: key, head: rgb panel 300, at: [2.5, 2.5], height: 1.5 m, aim: [1, 2.5, 1.5], level: 50 %}]
    points: [{name: mark, at: [1, 2.5, 1.5], facing: key}]
    look: [{point: mark, reads: f/4}]
`

// TestReadingsStay: a phone's reading goes into the log with where the plan had the lights then.
// The key is moved a metre away after it: sent again after a lost answer it is the same entry;
// what it teaches is what it taught before; the phone says that it is old. A reading of an older
// log, which says nothing of that, still stands.
func TestReadingsStay(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	var job atomic.Pointer[answer.Job]
	var rev atomic.Int64
	job.Store(parse(t, plain))
	f := New(Options{Shoot: func() (*answer.Job, int) { return job.Load(), int(rev.Load()) },
		Dir: func() string { return dir }, Clock: time.Now, FrameBudget: time.Hour,
		Devices: func() []share.Device { return []share.Device{ann} },
		Fault:   func(what string, v any) { t.Errorf("%s: %v", what, v) }})
	t.Cleanup(f.Close)
	v := until(t, f, "predictions", func(v *View) bool { return ready(v, 0) && point(v, "mark").F > 0 })
	const on = "Only"
	// It reads half a stop over the prediction.
	high := point(&v, "mark").F * math.Exp2(0.25)
	e := Entry{Number: 1, Kind: "reading", Setup: on, Subject: "mark", Value: &high, Unit: "f",
		Alone: "key", Said: time.Now().UnixMilli()}
	send := func() {
		t.Helper()
		if out, err := f.Say(ctx, ann, Entries{Sent: time.Now().UnixMilli(), Entries: []Entry{e}}); err != nil ||
			out.Upto != 1 || len(out.Refused) > 0 {
			t.Fatalf("%+v %v", out, err)
		}
	}
	send()
	off := func() float64 {
		t.Helper()
		l, err := f.open(ctx)
		if err != nil {
			t.Fatal(err)
		}
		list, err := l.List(ctx, daylog.Filter{All: true})
		if err != nil || len(list) != 1 {
			t.Fatalf("%d entries, %v", len(list), err)
		}
		reads, _ := ownkit.Reads(list)
		out, err := job.Load().Learn(ctx, reads, answer.LearnWork{Seed: 1})
		if err != nil || len(out.Lessons) != 1 {
			t.Fatalf("%+v %v", out, err)
		}
		return float64(out.Lessons[0].Off)
	}
	was := off()
	blind := point(&v, "mark").SD // by the figures alone
	until(t, f, "the reading", func(v *View) bool { return ready(v, 1) })
	job.Store(parse(t, strings.Replace(plain, "at: [2.5, 2.5]", "at: [3.6, 2.5]", 1)))
	rev.Store(1)
	f.Changed()
	send()
	if is := off(); math.Abs(is-was) > 0.03 { // two traces of an error of 3 % each have the same seed
		t.Errorf("it lay %+.2f st over the prediction, and %+.2f once the light was moved", was, is)
	}
	v = until(t, f, "the reading, held against where the key stood", func(v *View) bool {
		p := point(v, "mark")
		return ready(v, 1) && len(p.Readings) == 1 && p.Readings[0].Old && p.SD > 0 && p.SD < blind/2
	})
	if len(v.Troubles) > 0 {
		t.Errorf("%v", v.Troubles)
	}
	// An older log: the same reading without its places.
	old := daylog.Entry{Seq: 1, Kind: daylog.Reading, Setup: on, Subject: "mark", Value: &high, Unit: "f",
		Stands: true, At: time.Now(), Detail: own{Alone: "key"}.detail()}
	if reads, _ := ownkit.Reads([]daylog.Entry{old}); len(reads) != 1 || reads[0].Alone != "key" ||
		reads[0].Stood != nil {
		t.Errorf("%+v", reads)
	}
}
