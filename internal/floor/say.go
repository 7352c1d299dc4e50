package floor

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"halfstop/internal/daylog"
	"halfstop/internal/ownkit"
	"halfstop/internal/share"
)

// Bounds of what one request may say.
const (
	mostEntries = 200
	mostWhy     = 200 // characters
)

// own is what the detail of an entry says that only the floor knows.
type own struct {
	Alone string `json:"alone,omitempty"`
	Floor string `json:"floor,omitempty"` // 'call', 'take', 'plan', 'seen', 'frame', 'camera', 'mark', 'refused'
	Light string `json:"light,omitempty"` // take: the light …
	Was   string `json:"was,omitempty"`   // … as it was set …
	Want  string `json:"want,omitempty"`  // … and is to be set
	Now   string `json:"now,omitempty"`   // plan: from this time of day on, hh:mm
	Plan  int64  `json:"plan,omitempty"`  // seen: the plan
	Sum   string `json:"sum,omitempty"`   // frame: of its bytes
	// camera: seconds that its clock is behind
	Seconds int `json:"seconds,omitempty"`
	// mark: where the frame lies against the plan, shares of its width and height
	X float64 `json:"x,omitempty"`
	Y float64 `json:"y,omitempty"`
}

func ownOf(e *daylog.Entry) (o own) {
	if len(e.Detail) > 0 {
		_ = json.Unmarshal(e.Detail, &o)
	}
	return o
}

func (o own) detail() json.RawMessage {
	if o == (own{}) {
		return nil
	}
	b, _ := json.Marshal(o)
	return b
}

// Say puts a phone's entries into the log, in their order; when it returns they are on the medium.
// What can never be taken (a reversal of what is not there) is logged as a note that says so, so
// that the phone's numbers go on and nothing it holds is stuck behind it.
func (f *Floor) Say(ctx context.Context, d share.Device, in Entries) (Taken, error) {
	out := Taken{Refused: []Refuse{}}
	if len(in.Entries) > mostEntries {
		return out, &share.Refusal{Status: 400, Code: "not-understood",
			Text: fmt.Sprintf("%d entries at once are the most", mostEntries)}
	}
	l, err := f.open(ctx)
	if err != nil {
		return out, &share.Refusal{Status: 503, Code: "log", Text: f.plain(err)}
	}
	offset := time.Now().UnixMilli() - in.Sent
	if in.Sent <= 0 {
		offset = 0
	}
	for i := range in.Entries {
		e := &in.Entries[i]
		x, err := f.entry(ctx, l, d, e)
		x.OffsetMS = offset
		if err == nil {
			_, err = l.Add(ctx, x)
		}
		var bad *daylog.Invalid
		var gap *daylog.Gap
		var other *daylog.Conflict
		if errors.As(err, &other) && x.Kind == daylog.Reading && ownOf(&other.Have).Alone == e.Alone {
			x.Detail = other.Have.Detail // it came before: where its lights stood then is what counts
			_, err = l.Add(ctx, x)
		}
		switch {
		case err == nil:
		case errors.As(err, &bad):
			if e.Number < 1 {
				return out, &share.Refusal{Status: 422, Code: "not-understood", Text: bad.Error()}
			}
			why := fmt.Sprintf("%s of %s could not be taken: %s", kindWord(e.Kind), short(e.Subject), bad.What)
			n := daylog.Entry{Client: x.Client, Number: e.Number, Kind: daylog.Note, Text: why, Who: d.Name,
				Said:     x.Said,
				OffsetMS: offset, Detail: own{Floor: "refused"}.detail()}
			if n.Said.UTC().Year() < 1971 || n.Said.UTC().Year() > 9000 {
				n.Said, n.OffsetMS = time.Now(), 0
			}
			if _, err := l.Add(ctx, n); err != nil && !errors.As(err, &other) {
				return out, f.refused(err)
			}
			out.Refused = append(out.Refused, Refuse{e.Number, bad.What})
		case errors.As(err, &other):
			// The number is taken by another entry: of this one's refusal, where it was sent
			// before.
			if ownOf(&other.Have).Floor != "refused" {
				return out, &share.Refusal{Status: 409, Code: "number", Text: err.Error()}
			}
		case errors.As(err, &gap):
			return out, &share.Refusal{Status: 409, Code: "gap", Text: fmt.Sprintf("entry %d is not there yet",
				gap.Want)}
		default:
			return out, f.refused(err)
		}
		out.Upto = e.Number
	}
	f.Changed()
	return out, nil
}

func (f *Floor) refused(err error) error {
	return &share.Refusal{Status: 503, Code: "log", Text: f.plain(err)}
}

func kindWord(k string) string {
	if slices.Contains([]string{"reading", "tick", "dial", "note", "late", "reversal"}, k) {
		return "a " + k
	}
	return "an entry"
}

func short(s string) string {
	r := []rune(s)
	return string(r[:min(len(r), 60)])
}

// entry turns what a phone says into an entry of the log.
func (f *Floor) entry(ctx context.Context, l *daylog.Log, d share.Device, e *Entry) (daylog.Entry, error) {
	x := daylog.Entry{Client: client(d), Number: e.Number, Kind: daylog.Kind(e.Kind), Setup: e.Setup,
		Subject: e.Subject,
		Value:   e.Value, Unit: e.Unit, Text: e.Text, Who: d.Name, Said: time.UnixMilli(e.Said)}
	switch x.Kind {
	case daylog.Reading:
		x.Detail = f.stands(e)
	case daylog.Note:
		if e.Call {
			x.Detail = own{Floor: "call"}.detail()
		}
	case daylog.Reversal:
		x.Reverses = e.Seq
		if e.Undo == 0 {
			break
		}
		list, err := l.List(ctx, daylog.Filter{All: true})
		if err != nil {
			return x, err
		}
		for i := range list {
			if list[i].Client == x.Client && list[i].Number == e.Undo {
				x.Reverses = list[i].Seq
			}
		}
		if x.Reverses == 0 {
			return x, &daylog.Invalid{What: fmt.Sprintf("there is no entry %d of this phone", e.Undo)}
		}
	case daylog.Frame:
		return x, &daylog.Invalid{What: "frames come from the watched folder"}
	}
	return x, nil
}

// stands is what goes with a reading: the light that was on alone, and where the plan has the
// lights of the setup as it is taken up, so that it is held against that when they are moved later.
func (f *Floor) stands(e *Entry) json.RawMessage {
	if job, _ := f.opt.Shoot(); job != nil {
		for i := range job.File.Setups {
			if s := &job.File.Setups[i]; s.Name == e.Setup {
				return ownkit.Detail(e.Alone, s)
			}
		}
	}
	return ownkit.Detail(e.Alone, nil)
}

// desk adds an entry of the program's own.
func (f *Floor) add(ctx context.Context, x daylog.Entry, d share.Device) (daylog.Entry, error) {
	l, err := f.open(ctx)
	if err != nil {
		return x, f.refused(err)
	}
	x.Client, x.Who, x.Said = "floor-"+d.ID, d.Name, time.Now()
	x, err = l.AddNext(ctx, x)
	var bad *daylog.Invalid
	if err != nil && !errors.As(err, &bad) {
		return x, f.refused(err)
	}
	f.Changed()
	return x, err
}

// Accept takes dials of the proposal that is shown: each becomes the setting wanted of its light.
func (f *Floor) Accept(ctx context.Context, d share.Device, a Accept) error {
	f.mu.Lock()
	p, setup := f.known.view.Proposal, ""
	if v := &f.known.view; v.Setup >= 0 {
		setup = v.Setups[v.Setup].Name
	}
	f.mu.Unlock()
	if p == nil || p.ID != a.ID || p.Old {
		return &share.Refusal{Status: 409, Code: "stale",
			Text: "another reading came meanwhile, and the proposal is another now: look at it again"}
	}
	if len(a.Lights) == 0 {
		return &share.Refusal{Status: 422, Code: "not-understood", Text: "say which lights"}
	}
	for _, name := range a.Lights {
		at := slices.IndexFunc(p.Dials, func(x Redial) bool { return x.Light == name })
		if at < 0 {
			return &share.Refusal{Status: 422, Code: "not-understood",
				Text: "the proposal does not change " + short(name)}
		}
		x := p.Dials[at]
		if _, err := f.add(ctx, daylog.Entry{Kind: daylog.Note, Setup: setup,
			Text:   fmt.Sprintf("%s to %s, was %s", x.Light, x.Now, x.Was),
			Detail: own{Floor: "take", Light: x.Light, Was: x.Was, Want: x.Now}.detail()}, d); err != nil {
			return err
		}
	}
	return nil
}

// Replan plans the rest of the day from now on.
func (f *Floor) Replan(ctx context.Context, d share.Device, r Replan) error {
	if len([]rune(r.Why)) > mostWhy {
		return &share.Refusal{Status: 422, Code: "not-understood",
			Text: fmt.Sprintf("the reason has over %d characters", mostWhy)}
	}
	now := f.opt.Clock().Format("15:04")
	text := "the day planned again from " + now
	if r.Why != "" {
		text += ": " + r.Why
	}
	_, err := f.add(ctx, daylog.Entry{Kind: daylog.Note, Text: text, Detail: own{Floor: "plan",
		Now: now}.detail()}, d)
	return err
}

// Ack says that a device has seen a plan.
func (f *Floor) Ack(ctx context.Context, d share.Device, a Ack) error {
	f.mu.Lock()
	number, entries := f.known.view.Plan.Number, f.known.entries
	f.mu.Unlock()
	if a.Plan != number {
		return &share.Refusal{Status: 409, Code: "stale", Text: "there is a newer plan: look at that"}
	}
	for i := range entries {
		if o := ownOf(&entries[i]); o.Floor == "seen" && o.Plan == number && entries[i].Client == "floor-"+d.ID {
			return nil
		}
	}
	_, err := f.add(ctx, daylog.Entry{Kind: daylog.Note, Text: "has seen the plan", Detail: own{Floor: "seen",
		Plan: number}.detail()}, d)
	return err
}

// seen says which of the paired devices have seen a plan.
func (f *Floor) seen(entries []daylog.Entry, number int64) (yes, no []string) {
	yes, no = []string{}, []string{}
	if f.opt.Devices == nil {
		return yes, no
	}
	did := map[string]bool{}
	for i := range entries {
		if o := ownOf(&entries[i]); o.Floor == "seen" && o.Plan == number {
			did[entries[i].Client] = true
		}
	}
	for _, d := range f.opt.Devices() {
		if did["floor-"+d.ID] {
			yes = append(yes, d.Name)
		} else {
			no = append(no, d.Name)
		}
	}
	return yes, no
}
