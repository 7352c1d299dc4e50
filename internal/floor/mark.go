package floor

import (
	"context"
	"fmt"
	"time"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/share"
)

// Mark says where a point lies in a test frame, where the match with the prediction failed. The
// frame is placed by it, and so are those of its setup that were taken later: the place is tracked
// from frame to frame, and each is matched near to it.
func (f *Floor) Mark(ctx context.Context, d share.Device, m Mark) error {
	no := func(status int, text string) error {
		return &share.Refusal{Status: status, Code: "not-understood", Text: text}
	}
	if !(m.X >= 0 && m.X <= 1 && m.Y >= 0 && m.Y <= 1) {
		return no(422, "a point lies in the frame: x and y are from 0 to 1")
	}
	var x, y float64
	var setup string
	found := false
	f.mu.Lock()
	for _, s := range f.shots {
		if s.id != m.Frame || s.test == nil {
			continue
		}
		for _, p := range s.test.Points {
			if p.Name == m.Point { // where the plan has it, and so how the frame lies
				x, y, found = m.X-(p.X-s.test.Shift[0]), m.Y-(p.Y-s.test.Shift[1]), true
				setup = s.setup
			}
		}
	}
	f.mu.Unlock()
	if !found {
		return no(404, "there is no such frame with that point in it")
	}
	_, err := f.add(ctx, daylog.Entry{Kind: daylog.Note, Setup: setup,
		Text:   fmt.Sprintf("%s is marked in a test frame", m.Point),
		Detail: own{Floor: "mark", Sum: m.Frame, X: x, Y: y}.detail()}, d)
	return err
}

// marks finds the marks of frames among entries.
type marks struct {
	rev     int
	shots   []*shot
	entries []daylog.Entry
}

// of is the entry of the mark that a frame is placed by: its own, else the last one of an earlier
// frame of its setup; nil: none.
func (m *marks) of(frame *daylog.Entry) *daylog.Entry {
	var last *daylog.Entry
	sum := ownOf(frame).Sum
	for i := len(m.entries) - 1; i >= 0; i-- {
		e := &m.entries[i]
		o := ownOf(e)
		if o.Floor != "mark" || e.Setup != frame.Setup {
			continue
		}
		if o.Sum == sum {
			return e
		}
		if last == nil && m.at(o.Sum).Before(m.at(sum)) {
			last = e
		}
	}
	return last
}

// at is when a frame was taken, by what is known of the camera's clock by now; of a frame that is
// not in memory any more, the beginning of time.
func (m *marks) at(sum string) time.Time {
	behind, _, known := cameraBehind(m.shots, m.entries)
	for _, s := range m.shots {
		if s.id == sum {
			return s.when(behind, known)
		}
	}
	return time.Time{}
}

// restOn names what a frame's test rests on: the plan's revision, and the mark that places it.
func (m *marks) restOn(frame *daylog.Entry) string {
	if e := m.of(frame); e != nil {
		return fmt.Sprint(m.rev, " ", e.Seq)
	}
	return fmt.Sprint(m.rev)
}

// placing is the mark that places a frame; nil: there is none, or the frame that it was made in is
// not in memory any more.
func (m *marks) placing(frame *daylog.Entry) *answer.FrameMark {
	e := m.of(frame)
	if e == nil {
		return nil
	}
	o := ownOf(e)
	at := &answer.FrameMark{Shift: [2]float64{o.X, o.Y}}
	if o.Sum == ownOf(frame).Sum {
		return at
	}
	for _, s := range m.shots {
		if s.id == o.Sum && s.img != nil {
			at.In = s.img
			return at
		}
	}
	return nil
}
