package main

import (
	"context"
	"errors"
	"fmt"
	"net/netip"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/dmx"
	"halfstop/internal/send"
)

func sendCommand(e *env) *cobra.Command {
	return command(e, words{use: "send [SHOOT]", most: 1, short: "the look's levels to networked heads, by E1.31",
		long: `send gives the continuous heads of a setup their levels and colours over the network (ANSI E1.31).
A head needs its channels in the kit (channels:) and its place in the shoot (patch:).

Without --arm it only says what would be sent. With --arm it sends for that time, fading there
first, and then leaves the last look as it is (--end hold), releases it (release) or fades to
darkness (fade). Strobe, haze and movement are never driven. Tell whoever stands by a light before
you send.`}, &sendOptions{})
}

type sendOptions struct {
	setup, to, end string
	multicast      bool
	arm, fade      time.Duration
	priority       int
	limit          int
	live, perSlot  bool
	json           bool
}

func (o *sendOptions) flags(f *pflag.FlagSet) {
	flagSetup(f, &o.setup)
	f.StringVar(&o.to, "to", "", "addresses to send to, like 192.0.2.10,192.0.2.11")
	f.BoolVar(&o.multicast, "multicast", false, "send to each universe's group instead")
	f.DurationVar(&o.arm, "arm", 0, "send for this time, like 10m; absent: only say what would be sent")
	f.DurationVar(&o.fade, "fade", 2*time.Second, "time to fade there; 0 is at once")
	f.IntVar(&o.limit, "limit", 50, "largest change of a level that is sent, % of its range; 100: any")
	f.StringVar(&o.end, "end", "hold", "what is left behind: hold, release or fade")
	f.IntVar(&o.priority, "priority", dmx.DefaultPriority, "0 to 200; the highest wins")
	f.BoolVar(&o.live, "live", false, "for real heads; else packets are marked as a preview")
	f.BoolVar(&o.perSlot, "slots-only", false, "claim only the slots of these heads, by per-address priority")
	flagJSON(f, &o.json)
}

func (o *sendOptions) options() (send.Options, error) {
	out := send.Options{Multicast: o.multicast, Source: "halfstop", Preview: !o.live, PerSlot: o.perSlot,
		Fade: o.fade, End: send.End(o.end)}
	if o.priority < 0 || o.priority > dmx.MaxPriority {
		return out, fmt.Errorf("--priority %d: give 0 to %d", o.priority, dmx.MaxPriority)
	}
	if o.limit < 0 || o.limit > 100 {
		return out, fmt.Errorf("--limit %d: give 0 to 100", o.limit)
	}
	out.Priority = uint8(o.priority)
	if o.arm < 0 || o.arm > 12*time.Hour {
		return out, fmt.Errorf("--arm %v: give a time up to 12 hours", o.arm)
	}
	for _, a := range strings.FieldsFunc(o.to, func(r rune) bool { return r == ',' || r == ' ' }) {
		ap, err := netip.ParseAddrPort(a)
		if err != nil {
			ip, err := netip.ParseAddr(a)
			if err != nil || !ip.Is4() {
				return out, fmt.Errorf("--to %s: this is no IPv4 address, like 192.0.2.10", a)
			}
			ap = netip.AddrPortFrom(ip, dmx.Port)
		}
		out.To = append(out.To, ap)
	}
	out.CID = send.ID()
	return out, nil
}

func (o *sendOptions) run(ctx context.Context, e *env, args []string) error {
	opt, err := o.options()
	if err != nil {
		return badInput(err)
	}
	job, setups, err := e.chosen(args, o.setup)
	if err != nil {
		return err
	}
	if len(setups) > 1 {
		return badInput(fmt.Errorf("the shoot has %d setups; add --setup NAME", len(setups)))
	}
	s, more, err := job.Send(setups[0])
	if err != nil {
		return badInput(err)
	}
	if s == nil {
		e.warn(more)
		return &exitError{code: exitInput}
	}
	if o.json {
		err = e.json(s)
	} else {
		o.print(e, s)
	}
	if err != nil || o.arm == 0 {
		return err
	}
	if len(s.Heads) == 0 {
		return badInput(errors.New("there is no head to send to: give lights a patch and their heads channels"))
	}
	// Nothing is known of what the heads have: they are taken to be dark.
	var dark [dmx.MaxSlots]byte
	var over []string
	for i := range s.Heads {
		if by := s.Heads[i].Jump(&dark); by > o.limit {
			over = append(over, fmt.Sprintf("%s by %d %%", s.Heads[i].Light, by))
		}
	}
	if len(over) > 0 {
		return badInput(fmt.Errorf("over the limit of %d %%, from dark: %s. Tell whoever stands there; --limit 100 "+
			"then sends it", o.limit, strings.Join(over, ", ")))
	}
	return o.transmit(ctx, e, opt, s)
}

func (o *sendOptions) print(e *env, s *answer.Sending) {
	t := table{head: []string{"light", "setting", "universe", "slots", "values"}}
	for _, h := range s.Heads {
		var v []string
		for _, b := range h.Slots {
			v = append(v, fmt.Sprint(b))
		}
		t.row(h.Light, h.Words, fmt.Sprint(h.Universe), fmt.Sprintf("%d to %d", h.Address,
			h.Address+len(h.Slots)-1), strings.Join(v, " "))
	}
	if len(s.Heads) > 0 {
		e.table(&t)
	}
	if len(s.Unpatched) > 0 {
		e.line(2, "not patched, set them by hand: "+strings.Join(s.Unpatched, ", "))
	}
	if len(s.Heads) == 0 {
		e.line(2, fmt.Sprintf("No light of %s listens to the network, so there is nothing to send; one that does "+
			"has channels in the kit and a patch in the shoot, like patch: {universe: 1, address: 21}.", s.Setup))
		return
	}
	if o.arm == 0 {
		e.line(2, "Nothing was sent; --arm 10m sends this for ten minutes.")
	}
}

// transmit sends for the armed time, or until Ctrl-C, and says what is left behind.
func (o *sendOptions) transmit(ctx context.Context, e *env, opt send.Options, s *answer.Sending) error {
	sender, err := send.Open(opt)
	if err != nil {
		return badInput(err)
	}
	defer sender.Close()
	patient.Store(true) // Ctrl-C ends it as --end says, which may take the fade's time; a second one ends it at once
	defer patient.Store(false)
	armed, stop := context.WithTimeout(ctx, o.arm)
	defer stop()
	kind := "preview packets"
	if o.live {
		kind = "live"
	}
	fmt.Fprintf(e.err, "sending %s for %v, %v to get there; Ctrl-C ends it\n", kind, o.arm, o.fade)
	holding(o.left(false, "nothing more is sent; heads as a rule keep what was sent last"))
	err = sender.Run(armed, send.Look{Slots: s.Universes, Driven: s.Driven, Still: s.Still}, func(err error) {
		if err != nil {
			fmt.Fprintf(e.err, "the network does not take it: %v; trying on\n", err)
		} else {
			fmt.Fprintln(e.err, "the network takes it again")
		}
	})
	if err != nil {
		return badInput(err)
	}
	left := map[string]string{"hold": "the last look is left as it is", "release": "the heads are released",
		"fade": "faded out and released"}[o.end]
	if ctx.Err() == nil {
		holding("")
		fmt.Fprintln(e.err, "ended: "+left)
		return nil
	}
	if o.end == "hold" && !arrived(sender.Last(), s.Universes) {
		left = "it was on its way: the heads are left as they were just then"
	}
	holding(o.left(true, left))
	return ctx.Err()
}

// left is what a stopped transmission leaves behind; done: it ended as it was asked to.
func (o *sendOptions) left(done bool, words string) string {
	if !o.live {
		return "heads do not follow preview packets, they are as they were"
	}
	if done && o.end == "hold" {
		return words + "; nothing more is sent"
	}
	return words
}

// arrived says that all that was asked for was sent.
func arrived(sent map[uint16][dmx.MaxSlots]byte, asked map[uint16]*[dmx.MaxSlots]byte) bool {
	for u, v := range asked {
		if got, ok := sent[u]; !ok || got != *v {
			return false
		}
	}
	return true
}
