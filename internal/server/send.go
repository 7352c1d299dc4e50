package server

import (
	"context"
	"fmt"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"

	"halfstop/answer"
	"halfstop/dmx"
	e131 "halfstop/internal/send"
)

// SendView is what goes to the networked heads of a setup, and whether it does now.
type SendView struct {
	Setup     string     `json:"setup"`
	Heads     []SendHead `json:"heads"`
	Unpatched []string   `json:"unpatched" doc:"continuous heads that are set by hand"`
	Problem   string     `json:"problem,omitempty" doc:"why nothing can be sent"`
	Sending   string     `json:"sending,omitempty" doc:"the setup that is being sent; absent: none"`
	Live      bool       `json:"live" doc:"for real heads; else its packets are marked as a preview"`
	Until     int64      `json:"until,omitempty" doc:"that it is armed, milliseconds since 1970"`
	Fault     string     `json:"fault,omitempty" doc:"of the network, now"`
	Left      string     `json:"left,omitempty" doc:"how the last sending ended, and what the heads have"`
}

// SendHead is one head.
type SendHead struct {
	Light    string `json:"light"`
	Words    string `json:"words" doc:"its setting, as the sheet has it"`
	Universe int    `json:"universe"`
	Address  int    `json:"address" doc:"of its first slot"`
	Slots    []int  `json:"slots"`
	Was      []int  `json:"was" doc:"as sent last; empty: not known, taken as dark"`
	Jump     int    `json:"jump" doc:"largest change of a slot, % of its range"`
}

// SendAsk arms the sending.
type SendAsk struct {
	Setup    string  `json:"setup"`
	To       string  `json:"to" doc:"IPv4 addresses, with commas; empty with multicast"`
	Minutes  float64 `json:"minutes" doc:"how long it stays armed"`
	Fade     float64 `json:"fade" doc:"seconds to get there"`
	End      string  `json:"end" words:"hold|release|fade"`
	Live     bool    `json:"live"`
	Multi    bool    `json:"multicast"`
	Only     bool    `json:"slots_only" doc:"claim these heads' slots only, by per-address priority"`
	Priority int     `json:"priority" doc:"0 to 200"`
	Limit    int     `json:"limit" doc:"largest change of a slot that is sent unasked, %"`
	Over     bool    `json:"over" doc:"who arms it has seen what goes over the limit"`
}

// sending is what the desk sends to networked heads: one look at a time.
type sending struct {
	mu    sync.Mutex
	view  SendView // the parts that tell of the sending
	stop  context.CancelFunc
	ended chan struct{}
	last  map[uint16][dmx.MaxSlots]byte
	// arming is held while one look takes the place of another.
	arming sync.Mutex
}

// sendOf works out what a setup's heads would get.
func (s *Server) sendOf(setup string) (SendView, *answer.Sending) {
	s.send.mu.Lock()
	v, last := s.send.view, s.send.last
	s.send.mu.Unlock()
	v.Setup, v.Heads, v.Unpatched = setup, []SendHead{}, []string{}
	m := s.book.snapshot()
	if m == nil {
		v.Problem = "the shoot file has errors: mend it first"
		return v, nil
	}
	at := -1
	for i := range m.job.File.Setups {
		if m.job.File.Setups[i].Name == setup {
			at = i
		}
	}
	if at < 0 {
		v.Problem = fmt.Sprintf("there is no setup called %q", setup)
		return v, nil
	}
	x, list, err := m.job.Send(at)
	if err == nil && x == nil {
		err = list.Err()
	}
	if err != nil {
		v.Problem = err.Error()
		return v, nil
	}
	v.Unpatched = append(v.Unpatched, x.Unpatched...)
	for _, h := range x.Heads {
		y := SendHead{Light: h.Light, Words: h.Words, Universe: int(h.Universe), Address: h.Address, Slots: []int{},
			Was: []int{}}
		was, known := last[h.Universe]
		for i, b := range h.Slots {
			y.Slots = append(y.Slots, int(b))
			if known {
				y.Was = append(y.Was, int(was[h.Address-1+i]))
			}
		}
		y.Jump = h.Jump(&was)
		v.Heads = append(v.Heads, y)
	}
	if len(v.Heads) == 0 {
		v.Problem = "no head of it is patched: give lights a patch and their heads channels (docs/send.md)"
	}
	return v, x
}

// arm begins to send; what is sent already ends first, and its look is where the fade begins.
func (s *Server) arm(a SendAsk) error {
	v, _ := s.sendOf(a.Setup)
	if v.Problem != "" {
		return refuse(http.StatusUnprocessableEntity, "%s", v.Problem)
	}
	o := e131.Options{Multicast: a.Multi, Source: "halfstop", CID: e131.ID(), Preview: !a.Live, PerSlot: a.Only,
		End: e131.End(a.End)}
	switch {
	case !(a.Minutes > 0 && a.Minutes <= 720):
		return refuse(http.StatusUnprocessableEntity, "armed for %g minutes: give up to 720", a.Minutes)
	case !(a.Fade >= 0 && a.Fade <= 60):
		return refuse(http.StatusUnprocessableEntity, "a fade of %g s: give 0 to 60", a.Fade)
	case a.Priority < 0 || a.Priority > dmx.MaxPriority:
		return refuse(http.StatusUnprocessableEntity, "priority %d: give 0 to %d", a.Priority, dmx.MaxPriority)
	case a.Limit < 0 || a.Limit > 100:
		return refuse(http.StatusUnprocessableEntity, "a limit of %d %%: give 0 to 100", a.Limit)
	}
	o.Fade, o.Priority = time.Duration(a.Fade*float64(time.Second)), uint8(a.Priority)
	for _, t := range strings.FieldsFunc(a.To, func(r rune) bool { return r == ',' || r == ' ' }) {
		ap, err := netip.ParseAddrPort(t)
		if ip, e := netip.ParseAddr(t); e == nil {
			ap, err = netip.AddrPortFrom(ip, dmx.Port), nil
		}
		if err != nil || !ap.Addr().Is4() {
			return refuse(http.StatusUnprocessableEntity, "%s: this is no IPv4 address, like 192.0.2.10", t)
		}
		o.To = append(o.To, ap)
	}
	s.send.arming.Lock()
	defer s.send.arming.Unlock()
	s.disarm()
	v, x := s.sendOf(a.Setup)
	if x == nil {
		return refuse(http.StatusConflict, "%s", v.Problem)
	}
	var over []string
	for _, h := range v.Heads {
		if h.Jump > a.Limit {
			over = append(over, fmt.Sprintf("%s by %d %%", h.Light, h.Jump))
		}
	}
	if len(over) > 0 && !a.Over {
		return refuse(http.StatusConflict, "over the limit of %d %%: %s. Tell whoever stands there, then say that it "+
			"is meant", a.Limit, strings.Join(over, ", "))
	}
	s.send.mu.Lock()
	o.From = s.send.last
	s.send.mu.Unlock()
	sender, err := e131.Open(o)
	if err != nil {
		return refuse(http.StatusUnprocessableEntity, "%v", err)
	}
	until := time.Now().Add(time.Duration(a.Minutes * float64(time.Minute)))
	ctx, stop := context.WithDeadline(context.Background(), until)
	ended := make(chan struct{})
	s.send.mu.Lock()
	s.send.stop, s.send.ended = stop, ended
	s.send.view = SendView{Sending: a.Setup, Live: a.Live, Until: until.UnixMilli()}
	s.send.mu.Unlock()
	go func() {
		defer close(ended)
		defer stop()
		err := sender.Run(ctx, e131.Look{Slots: x.Universes, Driven: x.Driven, Still: x.Still}, func(err error) {
			s.send.mu.Lock()
			defer s.send.mu.Unlock()
			if s.send.view.Fault = ""; err != nil {
				s.send.view.Fault = "the network does not take it: " + err.Error() + "; the heads keep what they have"
			}
		})
		left := map[e131.End]string{e131.Hold: "the heads keep the last look", e131.Release: "the heads are released",
			e131.Fade: "faded out, and released"}[o.End]
		if err != nil {
			left = "it ended: " + err.Error() + "; the heads keep what they have"
		}
		s.send.mu.Lock()
		defer s.send.mu.Unlock()
		s.send.last = sender.Last()
		s.send.view = SendView{Left: a.Setup + ": " + left}
		sender.Close()
	}()
	return nil
}

// disarm ends the sending as it was asked to end, and waits for that.
func (s *Server) disarm() {
	s.send.mu.Lock()
	stop, ended := s.send.stop, s.send.ended
	s.send.mu.Unlock()
	if stop != nil {
		stop()
		<-ended
	}
}

func (s *Server) getSend(w http.ResponseWriter, r *http.Request) error {
	v, _ := s.sendOf(r.FormValue("setup"))
	return give(w, v)
}

func (s *Server) postSend(r *http.Request, a SendAsk) (SendView, error) {
	if err := s.arm(a); err != nil {
		return SendView{}, err
	}
	v, _ := s.sendOf(a.Setup)
	return v, nil
}

// SendStop ends the sending.
type SendStop struct {
	Setup string `json:"setup" doc:"the one that is looked at"`
}

func (s *Server) postSendStop(r *http.Request, a SendStop) (SendView, error) {
	s.disarm()
	v, _ := s.sendOf(a.Setup)
	return v, nil
}
