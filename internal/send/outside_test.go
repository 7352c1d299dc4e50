package send

import (
	"bufio"
	"context"
	"encoding/hex"
	"encoding/json"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"halfstop/dmx"
)

// heard is a packet as others read it.
type heard struct {
	Universe, Priority, Sequence, Start int
	Preview, Terminated                 bool
	Source, CID                         string
	Slots                               []byte
}

// outside is a stream that both outsiders are given: a fade over 9 slots of which one is 16 bit, a
// head that is still, two universes, per-address priorities, and the end of the stream.
func outside() (Options, Look) {
	l := Look{Slots: map[uint16]*[dmx.MaxSlots]byte{}, Driven: map[uint16]*[dmx.MaxSlots]bool{},
		Still: map[uint16]*[dmx.MaxSlots]bool{}}
	for n, u := range []uint16{1, 7962} {
		l.Slots[u], l.Driven[u], l.Still[u] = &[dmx.MaxSlots]byte{}, &[dmx.MaxSlots]bool{}, &[dmx.MaxSlots]bool{}
		for i := range 9 {
			at := 20 + i + 483*n // to the last slot of the second universe
			l.Slots[u][at], l.Driven[u][at] = byte(255-29*i-n), true
		}
		l.Still[u][24+483*n] = true
	}
	return Options{Source: "halfstop é", CID: ID(), Priority: 150, PerSlot: true, Fade: 150 * time.Millisecond,
		End: Release}, l
}

// judge holds what an outsider heard to what was asked: levels, priority, sequence, end. start says
// that it tells the start code; without, only levels are expected.
func judge(t *testing.T, got []heard, l Look, start bool) {
	t.Helper()
	id := ID()
	for u, want := range l.Slots {
		last, ended, levels, priorities := -1, 0, 0, 0
		var at *heard
		for i := range got {
			p := &got[i]
			if p.Universe != int(u) {
				continue
			}
			if p.Priority != 150 || !strings.HasPrefix(p.Source, "halfstop") || p.Preview ||
				p.CID != hex.EncodeToString(id[:]) || len(p.Slots) != dmx.MaxSlots {
				t.Fatalf("%+v", *p)
			}
			if start && last >= 0 && p.Sequence != (last+1)%256 {
				t.Errorf("universe %d: sequence %d after %d", u, p.Sequence, last)
			}
			last = p.Sequence
			if p.Start == int(dmx.StartPriority) {
				priorities++
				for k, v := range p.Slots {
					if (v == 150) != l.Driven[u][k] || v != 0 && v != 150 {
						t.Fatalf("universe %d: priority %d of slot %d", u, v, k+1)
					}
				}
				continue
			}
			levels++
			for k, v := range p.Slots { // never past what is asked, never back
				if v > want[k] || at != nil && v < at.Slots[k] || l.Still[u][k] && v != want[k] {
					t.Fatalf("universe %d, slot %d: %d on the way to %d", u, k+1, v, want[k])
				}
			}
			at = p
			if p.Terminated {
				ended++
			} else if ended > 0 {
				t.Errorf("universe %d goes on after its end", u)
			}
		}
		if levels < 5 || ended != 3 || start && priorities < 5 {
			t.Fatalf("universe %d: %d levels, %d priorities, %d ends of %d packets", u, levels, priorities, ended,
				len(got))
		}
		if string(at.Slots) != string(want[:]) {
			t.Errorf("universe %d ends at %v, want %v", u, at.Slots, want)
		}
	}
}

// TestAgainstAReceiver: an independent receiver (the npm package sacn) takes a stream over UDP on
// loopback: levels, priority, sequence, the stream's end. It knows no per-address priorities, which
// are of another start code, and refuses them.
func TestAgainstAReceiver(t *testing.T) {
	modules, err := filepath.Abs("../../web/node_modules")
	if err != nil {
		t.Fatal(err)
	}
	node, err := exec.LookPath("node")
	if _, no := os.Stat(filepath.Join(modules, "sacn")); err != nil || no != nil {
		if _, err := os.Stat(modules); err == nil && os.Getenv("CI") != "" {
			t.Fatal("the npm package sacn is missing: npm ci in web")
		}
		t.Skip("=== NO node OR NO npm PACKAGE sacn: E1.31 IS NOT TAKEN BY AN INDEPENDENT RECEIVER ===")
	}
	o, l := outside()
	c := exec.CommandContext(t.Context(), node, "testdata/receive.cjs", modules, "1", "7962")
	c.Stderr = os.Stderr
	in, _ := c.StdinPipe()
	out, err := c.StdoutPipe()
	if err == nil {
		err = c.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	defer func() { in.Close(); _ = c.Wait() }()
	lines := bufio.NewScanner(out)
	type line struct {
		Port, Universe, Priority, Sequence, Options int
		Source, CID, Refused, Disorder              string
		Slots                                       []byte
	}
	next := func() (x line) {
		if !lines.Scan() {
			t.Fatal("the receiver ended: ", lines.Err())
		}
		if err := json.Unmarshal(lines.Bytes(), &x); err != nil {
			t.Fatal(err)
		}
		return x
	}
	o.To = []netip.AddrPort{netip.AddrPortFrom(netip.MustParseAddr("127.0.0.1"), uint16(next().Port))}
	s, err := Open(o)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ctx, stop := context.WithTimeout(t.Context(), 1200*time.Millisecond) // fifty packets: a tenth is asked for
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- s.Run(ctx, l, nil) }()
	var got []heard
	refused := 0
	for ends := 0; ends < 6; {
		x := next()
		switch {
		case x.Disorder != "":
			t.Fatal(x.Disorder)
		case x.Refused != "":
			refused++
			continue
		}
		h := heard{Universe: x.Universe, Priority: x.Priority, Sequence: x.Sequence, Source: x.Source, CID: x.CID,
			Preview: x.Options&0x80 != 0, Terminated: x.Options&0x40 != 0, Slots: x.Slots}
		if h.Terminated {
			ends++
		}
		got = append(got, h)
	}
	if err := <-ended; err != nil {
		t.Error(err)
	}
	judge(t, got, l, false)
	if refused < 10 {
		t.Errorf("%d packets of another start code", refused)
	}
}

// TestAgainstAnAnalyser: an independent decoder (tshark) reads a whole stream as it left by UDP:
// levels, priority, sequence, the stream's end, per-address priorities.
func TestAgainstAnAnalyser(t *testing.T) {
	if _, err := exec.LookPath("tshark"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("tshark is missing: apt-get install tshark")
		}
		t.Skip("=== NO tshark: E1.31 IS NOT READ BY AN INDEPENDENT DECODER ===")
	}
	o, l := outside()
	c, to := receiver(t)
	o.To = []netip.AddrPort{to}
	s, err := Open(o)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ctx, stop := context.WithTimeout(t.Context(), 1200*time.Millisecond) // fifty packets: a tenth is asked for
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- s.Run(ctx, l, nil) }()
	path := filepath.Join(t.TempDir(), "stream.pcap")
	if err := os.WriteFile(path, pcap(datagrams(t, c)...), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := <-ended; err != nil {
		t.Error(err)
	}
	x := exec.Command("tshark", "-r", path, "--enable-heuristic", "acn", "-o", "acn.dmx_enable:TRUE", "-o",
		"acn.dmx_display_line_format:20 per line", "-T", "json", "--no-duplicate-keys")
	out, err := x.Output()
	if err != nil {
		t.Fatal(err)
	}
	judge(t, decoded(t, out), l, true)
}

// datagrams reads a stream until both of its universes have ended.
func datagrams(t *testing.T, c *net.UDPConn) (out [][]byte) {
	t.Helper()
	b := make([]byte, 2048)
	for ends := 0; ends < 2*repeats; {
		_ = c.SetReadDeadline(time.Now().Add(time.Minute)) // only what never comes takes that long
		n, err := c.Read(b)
		if err != nil {
			t.Fatal(err)
		}
		if b[112]&0x40 != 0 { // the option that ends a stream
			ends++
		}
		out = append(out, slices.Clone(b[:n]))
	}
	return out
}

// decoded reads what tshark prints of a capture.
func decoded(t *testing.T, out []byte) (got []heard) {
	t.Helper()
	type pdu = map[string]json.RawMessage
	text := func(in pdu, key string) (s string) {
		if json.Unmarshal(in[key], &s) != nil {
			t.Fatalf("no %s in %s", key, out)
		}
		return s
	}
	number := func(in pdu, key string) int {
		n, err := strconv.Atoi(text(in, key))
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	inner := func(in pdu, key string) (p pdu) {
		if err := json.Unmarshal(in[key], &p); err != nil {
			t.Fatalf("no %s in %s", key, out)
		}
		return p
	}
	var list []struct {
		Source struct{ Layers struct{ ACN pdu } } `json:"_source"`
	}
	if err := json.Unmarshal(out, &list); err != nil {
		t.Fatal(err)
	}
	for i := range list {
		root := inner(list[i].Source.Layers.ACN, "acn.pdu")
		frame := inner(root, "acn.pdu")
		data, options := inner(frame, "acn.pdu"), inner(frame, "acn.dmx.options_tree")
		h := heard{Universe: number(frame, "acn.dmx.universe"), Priority: number(frame, "acn.dmx.priority"),
			Sequence: number(frame, "acn.dmx.seq_number"), Start: number(data, "acn.dmx.start_code2"),
			Preview: text(options, "acn.dmx.option_p") == "1", Terminated: text(options, "acn.dmx.option_s") == "1",
			Source: text(frame, "acn.dmx.source_name"),
			CID:    strings.ReplaceAll(text(root, "acn.cid"), "-", "")}
		var lines []string
		if err := json.Unmarshal(data["acn.dmx.data"], &lines); err != nil {
			t.Fatal(err)
		}
		for _, l := range lines[1:] { // '001-020: FF .. A | ..'
			_, values, _ := strings.Cut(l, ":")
			for _, v := range strings.Fields(strings.ReplaceAll(values, "|", "")) {
				n, err := strconv.ParseUint(strings.ReplaceAll(v, "..", "0"), 16, 8)
				if err != nil {
					t.Fatalf("%q: %v", l, err)
				}
				h.Slots = append(h.Slots, byte(n))
			}
		}
		got = append(got, h)
	}
	return got
}

// pcap wraps UDP payloads for 127.0.0.1:5568 into a capture file of raw IPv4.
func pcap(payloads ...[]byte) []byte {
	le := func(v uint32) []byte { return []byte{byte(v), byte(v >> 8), byte(v >> 16), byte(v >> 24)} }
	out := append(le(0xa1b2c3d4), 2, 0, 4, 0)
	out = append(out, make([]byte, 8)...)
	out = append(append(out, le(65535)...), le(101)...) // raw IP
	for _, payload := range payloads {
		n := len(payload)
		udp := append([]byte{0x40, 0, 0x15, 0xC0, byte((n + 8) >> 8), byte(n + 8), 0, 0}, payload...)
		ip := append([]byte{0x45, 0, byte((n + 28) >> 8), byte(n + 28), 0, 0, 0, 0, 64, 17, 0, 0, 127, 0, 0, 1, 127,
			0, 0, 1}, udp...)
		out = append(append(append(append(out, le(0)...), le(0)...), le(uint32(len(ip)))...), le(uint32(len(ip)))...)
		out = append(out, ip...)
	}
	return out
}
