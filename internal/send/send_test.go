package send

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"halfstop/dmx"
)

// receiver listens on loopback as a head does.
func receiver(t *testing.T) (*net.UDPConn, netip.AddrPort) {
	t.Helper()
	c, err := net.ListenUDP("udp4", &net.UDPAddr{IP: net.IPv4(127, 0, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	return c, c.LocalAddr().(*net.UDPAddr).AddrPort()
}

func look(v byte) Look {
	l := Look{Slots: map[uint16]*[dmx.MaxSlots]byte{3: {}}, Driven: map[uint16]*[dmx.MaxSlots]bool{3: {}}}
	l.Slots[3][9], l.Driven[3][9] = v, true
	return l
}

// sent runs a sender on a clock of the test's own (testing/synctest), so that no load of the
// machine changes what it sends, and gives its packets with their times from the start.
func sent(t *testing.T, o Options, l Look, most time.Duration) (out []dmx.Packet, at []time.Duration) {
	t.Helper()
	o.To = []netip.AddrPort{netip.MustParseAddrPort("127.0.0.1:9")}
	s, err := Open(o)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	synctest.Test(t, func(t *testing.T) {
		begin := time.Now()
		s.write = func(b []byte, _ netip.AddrPort) error {
			p, err := dmx.Parse(b)
			if err != nil {
				t.Fatal(err)
			}
			p.Slots = append([]byte(nil), p.Slots...)
			out, at = append(out, p), append(at, time.Since(begin))
			return nil
		}
		ctx, stop := context.WithTimeout(t.Context(), most)
		defer stop()
		if err := s.Run(ctx, l, nil); err != nil {
			t.Fatal(err)
		}
	})
	return out, at
}

// TestFadeHoldsAndEnds: a look is faded to from what the heads had, step by step and never past it,
// kept alive at least every second and never over 44 times a second (E1.31), and left as it is;
// sequence numbers rise; only our slot is claimed.
func TestFadeHoldsAndEnds(t *testing.T) {
	from := map[uint16][dmx.MaxSlots]byte{3: {9: 40}}
	packets, at := sent(t, Options{Source: "halfstop", Priority: 120, Preview: true, PerSlot: true,
		Fade: 200 * time.Millisecond, End: Hold, From: from}, look(200), 10*time.Second)
	var levels []byte
	var times []time.Duration
	last := -1
	for i, p := range packets {
		if last >= 0 && !dmx.InOrder(uint8(last), p.Sequence) {
			t.Errorf("sequence %d after %d", p.Sequence, last)
		}
		last = int(p.Sequence)
		if p.Universe != 3 || p.Priority != 120 || !p.Preview || p.Terminated || len(p.Slots) != dmx.MaxSlots {
			t.Fatalf("%+v", p)
		}
		switch p.Start {
		case dmx.StartLevels:
			levels, times = append(levels, p.Slots[9]), append(times, at[i])
		case dmx.StartPriority:
			if p.Slots[9] != 120 || p.Slots[8] != 0 || p.Slots[10] != 0 {
				t.Fatalf("priorities %v", p.Slots[7:12])
			}
		}
	}
	n := len(levels)
	if n < 8+repeats+9 || levels[0] != 40 || levels[n-1] != 200 {
		t.Fatalf("levels %v", levels)
	}
	for i := 1; i < n; i++ {
		if levels[i] < levels[i-1] {
			t.Errorf("the fade goes back: %v", levels)
		}
		if d := times[i] - times[i-1]; d < time.Second/44 || d > time.Second {
			t.Errorf("%v between two packets", d)
		}
	}
}

// TestStoppedFade: a fade that is stopped leaves the heads where they were just then, never at the
// look that was asked.
func TestStoppedFade(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	for range 40 { // which of two ready channels is taken is chance
		s, err := Open(Options{To: []netip.AddrPort{netip.MustParseAddrPort("127.0.0.1:9")}, Fade: time.Minute,
			End: Hold})
		if err != nil {
			t.Fatal(err)
		}
		s.write = func([]byte, netip.AddrPort) error { return nil }
		if err := s.Run(ctx, look(200), nil); err != nil {
			t.Fatal(err)
		}
		if v := s.Last()[3][9]; v > 1 {
			t.Fatalf("a fade of a minute, stopped as it began, is at %d of 200", v)
		}
		s.Close()
	}
}

// TestEnds: released streams say so three times with the look they had; a fade ends dark.
func TestEnds(t *testing.T) {
	for _, c := range []struct {
		end  End
		want byte
	}{{Release, 77}, {Fade, 0}} {
		packets, _ := sent(t, Options{Priority: 100, End: c.end, Fade: 50 * time.Millisecond}, look(77), time.Second)
		ended := 0
		for _, p := range packets {
			if p.Terminated {
				ended++
				if p.Slots[9] != c.want {
					t.Errorf("%s ends at %d, want %d", c.end, p.Slots[9], c.want)
				}
			}
		}
		if ended != repeats {
			t.Errorf("%s: %d packets end the stream, want %d", c.end, ended, repeats)
		}
	}
	if _, err := Open(Options{End: Hold}); err == nil {
		t.Error("a sender without an address was opened")
	}
}

// TestWire: packets really go out by UDP, and arrive as they were.
func TestWire(t *testing.T) {
	c, to := receiver(t)
	s, err := Open(Options{To: []netip.AddrPort{to}, Priority: 100, End: Release})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	done := make(chan error, 1)
	go func() { done <- s.Run(ctx, look(77), nil) }()
	b := make([]byte, 2048)
	for ended := false; !ended; {
		_ = c.SetReadDeadline(time.Now().Add(time.Minute)) // only what never comes takes that long
		n, err := c.Read(b)
		if err != nil {
			t.Fatal(err)
		}
		p, err := dmx.Parse(b[:n])
		if err != nil || p.Slots[9] != 77 {
			t.Fatalf("%+v %v", p, err)
		}
		ended = p.Terminated
		stop()
	}
	if err := <-done; err != nil {
		t.Error(err)
	}
}

// TestStillSlots: a strobe, a shutter, haze have their value from the first packet to the last: a
// value that fades there would flash on its way. Light fades beside them, and goes dark at the end.
func TestStillSlots(t *testing.T) {
	l := look(200)
	l.Slots[3][10], l.Driven[3][10] = 255, true // an open shutter
	l.Still = map[uint16]*[dmx.MaxSlots]bool{3: {10: true}}
	packets, _ := sent(t, Options{Priority: 100, End: Fade, Fade: 200 * time.Millisecond}, l, time.Second)
	for i, p := range packets {
		if p.Slots[10] != 255 {
			t.Fatalf("packet %d of %d has the shutter at %d", i, len(packets), p.Slots[10])
		}
	}
	if last := packets[len(packets)-1]; last.Slots[9] != 0 || !last.Terminated {
		t.Errorf("ends at %d", last.Slots[9])
	}
}

// TestLinkLost: while the network does not take packets it is said once, sending goes on, and once
// it is back that is said and the look is sent as before: at no time anything darker.
func TestLinkLost(t *testing.T) {
	s, err := Open(Options{To: []netip.AddrPort{netip.MustParseAddrPort("127.0.0.1:9")}, Priority: 100, End: Hold})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	synctest.Test(t, func(t *testing.T) {
		begin := time.Now()
		after := 0
		s.write = func(b []byte, _ netip.AddrPort) error {
			p, err := dmx.Parse(b)
			if err != nil || p.Slots[9] != 77 || p.Terminated {
				t.Errorf("%+v %v", p, err)
			}
			switch d := time.Since(begin); {
			case d > 2*time.Second && d < 6*time.Second:
				return errors.New("network is unreachable")
			case d >= 6*time.Second:
				after++
			}
			return nil
		}
		var said []string
		ctx, stop := context.WithTimeout(t.Context(), 10*time.Second)
		defer stop()
		if err := s.Run(ctx, look(77), func(err error) { said = append(said, fmt.Sprint(err)) }); err != nil {
			t.Error(err)
		}
		if got := strings.Join(said, ", "); got != "network is unreachable, <nil>" || after < 4 {
			t.Errorf("said %q, %d packets after it", got, after)
		}
	})
}
