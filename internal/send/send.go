package send

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"math"
	"net"
	"net/netip"
	"os"
	"slices"
	"time"

	"halfstop/dmx"
)

// The times of E1.31: at most 44 packets a second of a universe, and one at least every 0.8 to 1 s
// while nothing changes.
const (
	frameTime = 25 * time.Millisecond // 40 a second while it fades
	keepAlive = 900 * time.Millisecond
	repeats   = 3 // of the last look, before only keep-alive, and of the stream's end
)

// End says what happens to the heads when sending stops.
type End string

// The ends. Hold sends nothing more: receivers notice after 2.5 s and, as a rule, keep the last
// look. Release ends the stream as the standard has it. Fade goes to darkness in the fade time and
// then releases.
const (
	Hold    End = "hold"
	Release End = "release"
	Fade    End = "fade"
)

// Options of a Sender.
type Options struct {
	To        []netip.AddrPort // unicast; empty with Multicast
	Multicast bool
	Source    string // name of this sender
	CID       [16]byte
	Priority  uint8
	Preview   bool          // not for live output
	PerSlot   bool          // also send per-address priorities: only our slots are claimed
	Fade      time.Duration // from what was sent last to what is asked; 0: at once
	End       End
	// From is what the heads have, as far as is known: the fade begins there. Absent: dark.
	From map[uint16][dmx.MaxSlots]byte
}

// ID is this machine's number as a sender, which stays the same (a UUID of version 8, RFC 9562).
func ID() (id [16]byte) {
	host, _ := os.Hostname()
	sum := sha256.Sum256([]byte("halfstop sender " + host))
	copy(id[:], sum[:16])
	id[6], id[8] = id[6]&0x0f|0x80, id[8]&0x3f|0x80
	return id
}

// Look is what is to be given: slots by universe, which of them belong to our heads, and which of
// those are still: a strobe or a shutter that fades would flash on its way, so they have their
// value at once and keep it.
type Look struct {
	Slots  map[uint16]*[dmx.MaxSlots]byte
	Driven map[uint16]*[dmx.MaxSlots]bool
	Still  map[uint16]*[dmx.MaxSlots]bool // absent: none
}

// dark is a universe of the look without light.
func (l Look) dark(u uint16) (out [dmx.MaxSlots]byte) {
	for i := range out {
		if still := l.Still[u]; still != nil && still[i] {
			out[i] = l.Slots[u][i]
		}
	}
	return out
}

// Sender sends one look until it is told another.
type Sender struct {
	opt  Options
	conn *net.UDPConn
	// write puts one packet on the way.
	write func(b []byte, to netip.AddrPort) error
	seq   map[uint16]uint8
	now   map[uint16]*[dmx.MaxSlots]byte // as sent last
}

// Open makes a sender. It sends nothing yet.
func Open(o Options) (*Sender, error) {
	switch {
	case len(o.To) == 0 && !o.Multicast:
		return nil, errors.New("no address to send to: give one, or choose multicast")
	case o.Priority > dmx.MaxPriority:
		return nil, fmt.Errorf("priority %d: E1.31 has 0 to %d", o.Priority, dmx.MaxPriority)
	case o.Fade < 0 || o.Fade > time.Minute:
		return nil, fmt.Errorf("a fade of %v: from 0 to a minute", o.Fade)
	case !slices.Contains([]End{Hold, Release, Fade}, o.End):
		return nil, fmt.Errorf("an end %q: hold, release or fade", o.End)
	}
	c, err := net.ListenUDP("udp4", nil)
	if err != nil {
		return nil, err
	}
	s := &Sender{opt: o, conn: c, seq: map[uint16]uint8{}, now: map[uint16]*[dmx.MaxSlots]byte{}}
	s.write = func(b []byte, to netip.AddrPort) error {
		_, err := c.WriteToUDPAddrPort(b, to)
		return err
	}
	for u, v := range o.From {
		s.now[u] = &v
	}
	return s, nil
}

// Last is what was sent last, by universe. It is called once Run is over.
func (s *Sender) Last() map[uint16][dmx.MaxSlots]byte {
	out := map[uint16][dmx.MaxSlots]byte{}
	for u, v := range s.now {
		out[u] = *v
	}
	return out
}

// Close closes the socket; heads keep what they have.
func (s *Sender) Close() error { return s.conn.Close() }

// Run fades to a look and keeps it until ctx ends, then ends as Options.End says. report, where
// not nil, is told of each fault once it begins, and nil once it is over: a fault does not end the
// sending.
func (s *Sender) Run(ctx context.Context, l Look, report func(error)) error {
	if report == nil {
		report = func(error) {}
	}
	var trouble error
	send := func(slots func(u uint16) [dmx.MaxSlots]byte) {
		err := s.all(l, slots, false)
		if (err == nil) != (trouble == nil) {
			report(err)
		}
		trouble = err
	}
	s.fade(ctx, l, send, func(u uint16) [dmx.MaxSlots]byte { return *l.Slots[u] })
	left := repeats
	t := time.NewTimer(0)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return s.end(l, send)
		case <-t.C:
			if ctx.Err() != nil { // both are ready: a fade that was stopped goes no further
				return s.end(l, send)
			}
			send(func(u uint16) [dmx.MaxSlots]byte { return *l.Slots[u] })
			if left--; left > 0 {
				t.Reset(frameTime)
			} else {
				t.Reset(keepAlive)
			}
		}
	}
}

// fade goes from what was sent last to what is asked in the fade time.
func (s *Sender) fade(ctx context.Context, l Look, send func(func(u uint16) [dmx.MaxSlots]byte),
	to func(u uint16) [dmx.MaxSlots]byte) {
	from := map[uint16][dmx.MaxSlots]byte{}
	for u := range l.Slots {
		if s.now[u] != nil {
			from[u] = *s.now[u]
		}
	}
	start := time.Now()
	tick := time.NewTicker(frameTime)
	defer tick.Stop()
	for s.opt.Fade > 0 {
		k := float64(time.Since(start)) / float64(s.opt.Fade)
		if k >= 1 {
			return
		}
		send(func(u uint16) (out [dmx.MaxSlots]byte) {
			a, b := from[u], to(u)
			for i := range out {
				if still := l.Still[u]; still != nil && still[i] {
					out[i] = b[i]
					continue
				}
				out[i] = byte(math.Round(float64(a[i]) + k*(float64(b[i])-float64(a[i]))))
			}
			return out
		})
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// end leaves the look, releases it, or fades and releases.
func (s *Sender) end(l Look, send func(func(u uint16) [dmx.MaxSlots]byte)) error {
	last := func(u uint16) [dmx.MaxSlots]byte { return *s.now[u] }
	switch s.opt.End {
	case Hold:
		return nil
	case Fade:
		s.fade(context.Background(), l, send, l.dark)
		send(l.dark)
	}
	for range repeats {
		if err := s.all(l, last, true); err != nil {
			return err
		}
		time.Sleep(frameTime)
	}
	return nil
}

// all sends every universe once; ended: with the bit that ends the stream.
func (s *Sender) all(l Look, slots func(u uint16) [dmx.MaxSlots]byte, ended bool) error {
	var first error
	for _, u := range l.universes() {
		v := slots(u)
		s.now[u] = &v
		packets := []dmx.Packet{{Start: dmx.StartLevels, Slots: v[:]}}
		if s.opt.PerSlot && !ended {
			p := make([]byte, dmx.MaxSlots)
			for i, ours := range l.Driven[u] {
				if ours {
					p[i] = max(1, s.opt.Priority)
				}
			}
			packets = append(packets, dmx.Packet{Start: dmx.StartPriority, Slots: p})
		}
		for _, p := range packets {
			p.CID, p.Source, p.Priority, p.Universe = s.opt.CID, s.opt.Source, s.opt.Priority, u
			p.Preview, p.Terminated, p.Sequence = s.opt.Preview, ended, s.seq[u]
			s.seq[u]++
			b, err := p.AppendTo(nil)
			if err != nil {
				return err
			}
			to := s.opt.To
			if s.opt.Multicast {
				to = []netip.AddrPort{netip.AddrPortFrom(netip.AddrFrom4(dmx.Multicast(u)), dmx.Port)}
			}
			for _, a := range to {
				if err := s.write(b, a); err != nil && first == nil {
					first = err
				}
			}
		}
	}
	return first
}

func (l Look) universes() []uint16 {
	var out []uint16
	for u := range l.Slots {
		out = append(out, u)
	}
	slices.Sort(out)
	return out
}
