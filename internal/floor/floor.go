package floor

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/share"
	"halfstop/internal/watch"
)

// Options say what a Floor is of.
type Options struct {
	// Shoot gives the last good shoot and its generation; nil where there is none yet.
	Shoot func() (*answer.Job, int)
	// Dir is the shoot's folder, where the log is; "": a folder that goes with the Floor.
	Dir    func() string
	Frames string // a folder to watch for test frames; "": none
	// FrameBudget is the most time for one of them; 0: answer.FrameBudget.
	FrameBudget time.Duration
	Devices     func() []share.Device // paired ones; nil: none
	Clock       func() time.Time      // nil: time.Now
	Fault       func(what string, v any)
}

// Floor is one day on the floor.
type Floor struct {
	opt   Options
	run   string
	wake  chan struct{}
	end   chan struct{}
	ended chan struct{}
	temp  string

	logMu sync.Mutex
	log   *daylog.Log
	at    string // its path, or where it was last looked for

	mu      sync.Mutex
	known   known
	changed chan struct{} // closed and made anew when version counts up
	version int64

	folder   *watch.Folder // of test frames; nil: none is watched
	folderNo string        // why it cannot be read
	shots    []*shot       // as they came
	holding  *shot         // that is being held against its prediction; nil: none …
	// … and what ends that
	stopHolding context.CancelFunc
	held        atomic.Int32 // % of that work
}

// known is what the work goroutine has made of plan and log. It is replaced as a whole.
type known struct {
	view    View
	entries []daylog.Entry
	work    string
}

// New begins. Close must follow.
func New(o Options) *Floor {
	if o.Clock == nil {
		o.Clock = time.Now
	}
	f := &Floor{opt: o, run: strconv.FormatInt(time.Now().UnixNano(), 36), wake: make(chan struct{}, 1),
		end: make(chan struct{}), ended: make(chan struct{}), changed: make(chan struct{})}
	f.known.view = View{Setups: []Setup{}, Setup: -1, Tasks: []Task{}, Dials: []Dial{}, Points: []Point{},
		Changes: []Change{},
		Calls:   []Call{}, Frames: []Frame{}, Cautions: []string{}, Troubles: []string{},
		Plan: Plan{People: []string{}, Seen: []string{}, Unseen: []string{}}, Computing: "the plan of the day"}
	if o.Frames != "" {
		f.folder = watch.New(o.Frames)
	}
	go f.work()
	return f
}

// Close ends the work and lets go of the log.
func (f *Floor) Close() {
	select {
	case <-f.end:
		return
	default:
	}
	close(f.end)
	<-f.ended
	f.logMu.Lock()
	defer f.logMu.Unlock()
	if f.log != nil {
		f.log.Close()
		f.log = nil
	}
	if f.temp != "" {
		os.RemoveAll(f.temp)
	}
}

// open gives the log of the shoot's folder, where it can be had.
func (f *Floor) open(ctx context.Context) (*daylog.Log, error) {
	f.logMu.Lock()
	defer f.logMu.Unlock()
	dir := f.opt.Dir()
	if dir == "" {
		if f.temp == "" {
			t, err := os.MkdirTemp("", "halfstop-day")
			if err != nil {
				return nil, err
			}
			f.temp = t
		}
		dir = f.temp
	}
	path := filepath.Join(dir, daylog.Name)
	if f.log != nil && f.at == path {
		return f.log, nil
	}
	if f.log != nil { // the shoot was saved elsewhere
		f.log.Close()
		f.log = nil
	}
	f.at = path
	l, err := daylog.Open(ctx, path)
	if err != nil {
		return nil, err
	}
	f.log = l
	return l, nil
}

// plain is an error of the log for phones: without its folder, since they read nothing of the
// machine.
func (f *Floor) plain(err error) string {
	f.logMu.Lock()
	defer f.logMu.Unlock()
	if f.at == "" {
		return err.Error()
	}
	s := strings.ReplaceAll(err.Error(), f.at, daylog.Name)
	if more, ok := strings.CutPrefix(s, filepath.Dir(f.at)+":"); ok {
		return "the shoot's folder:" + more
	}
	return s
}

// Changed tells that the shoot or the devices are others now.
func (f *Floor) Changed() {
	select {
	case f.wake <- struct{}{}:
	default:
	}
}

// said counts what is shown up, and wakes who waits for it.
func (f *Floor) said() {
	f.version++
	close(f.changed)
	f.changed = make(chan struct{})
}

// View gives what a device shows.
func (f *Floor) View(ctx context.Context, d share.Device) View {
	f.mu.Lock()
	k := f.known
	v := k.view
	v.Version = f.version
	f.mu.Unlock()
	now := f.opt.Clock()
	v.Run, v.Now, v.Clock = f.run, now.UnixMilli(), clockOf(now)
	v.Me = Me{ID: d.ID, Name: d.Name, Role: string(d.Role), Next: 1}
	v.Computing = k.work
	if l, err := f.open(ctx); err == nil {
		if n, err := l.Next(ctx, client(d)); err == nil {
			v.Me.Next = n
		}
	}
	points := make([]Point, len(v.Points))
	for i, p := range v.Points {
		list := make([]Reading, len(p.Readings))
		for n, r := range p.Readings {
			r.Mine = r.Who == d.Name
			list[n] = r
		}
		p.Readings = list
		points[i] = p
	}
	v.Points = points
	v.Plan.Seen, v.Plan.Unseen = f.seen(k.entries, v.Plan.Number)
	return v
}

// Wait waits until there is something newer than a version of a run, or the time is over.
func (f *Floor) Wait(ctx context.Context, d share.Device, run string, since int64, most time.Duration) error {
	f.mu.Lock()
	changed, newer := f.changed, run != f.run || f.version != since
	f.mu.Unlock()
	if newer {
		return nil
	}
	t := time.NewTimer(most)
	defer t.Stop()
	select {
	case <-changed:
	case <-t.C:
	case <-d.Gone():
		return &share.Refusal{Status: 401, Code: "unpaired", Text: "this phone was taken out"}
	case <-f.end:
		return errors.New("the program ends")
	case <-ctx.Done():
		return ctx.Err()
	}
	return nil
}

// client names a device in the log.
func client(d share.Device) string { return "phone-" + d.ID }

// clockOf is the time of day in seconds.
func clockOf(t time.Time) int {
	h, m, s := t.Clock()
	return h*3600 + m*60 + s
}

// recovered makes an error of a fault in the work, which lives on.
func (f *Floor) recovered(what string) {
	if v := recover(); v != nil && f.opt.Fault != nil {
		f.opt.Fault(what, fmt.Sprint(v))
	}
}
