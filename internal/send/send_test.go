package send

import (
	"context"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
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

// TestAgainstAnAnalyser: an independent decoder (tshark) reads universe, priority, sequence and
// slots.
func TestAgainstAnAnalyser(t *testing.T) {
	if _, err := exec.LookPath("tshark"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("tshark is missing: apt-get install tshark")
		}
		t.Skip("=== NO tshark: E1.31 IS NOT READ BY AN INDEPENDENT DECODER ===")
	}
	p := dmx.Packet{Universe: 7962, Priority: 150, Sequence: 41, Source: "halfstop", Terminated: true,
		Slots: make([]byte, dmx.MaxSlots)}
	p.Slots[0], p.Slots[511] = 11, 99
	b, err := p.AppendTo(nil)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "p.pcap")
	if err := os.WriteFile(path, pcap(b), 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("tshark", "-r", path, "--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE",
		"-V").CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, want := range []string{"halfstop", "Universe: 7962", "Priority: 150", "Seq No: 41",
		"Stream Terminated: True"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
}

// pcap wraps a UDP payload for 127.0.0.1:5568 into a capture file of raw IPv4.
func pcap(payload []byte) []byte {
	n := len(payload)
	udp := append([]byte{0x40, 0, 0x15, 0xC0, byte((n + 8) >> 8), byte(n + 8), 0, 0}, payload...)
	ip := append([]byte{0x45, 0, byte((n + 28) >> 8), byte(n + 28), 0, 0, 0, 0, 64, 17, 0, 0, 127, 0, 0, 1, 127,
		0, 0, 1}, udp...)
	le := func(v uint32) []byte { return []byte{byte(v), byte(v >> 8), byte(v >> 16), byte(v >> 24)} }
	out := append(le(0xa1b2c3d4), 2, 0, 4, 0)
	out = append(out, make([]byte, 8)...)
	out = append(append(out, le(65535)...), le(101)...) // raw IP
	out = append(append(append(append(out, le(0)...), le(0)...), le(uint32(len(ip)))...), le(uint32(len(ip)))...)
	return append(out, ip...)
}
