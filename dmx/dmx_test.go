package dmx

import (
	"bytes"
	"encoding/binary"
	"math"
	"strings"
	"testing"
)

// TestLayers: lengths of a full packet. Figures: docs of ANSI E1.31 as carried by public
// implementations (638 octets; 0x726E, 0x7258, 0x720B).
func TestLayers(t *testing.T) {
	p := Packet{Universe: 7962, Priority: DefaultPriority, Source: "halfstop", Slots: make([]byte, MaxSlots)}
	b, err := p.AppendTo(nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(b) != 638 {
		t.Errorf("%d octets, want 638", len(b))
	}
	for _, c := range []struct{ off, want int }{{16, 29294}, {38, 29272}, {115, 29195}, {123, 513}, {0, 16},
		{2, 0}} {
		if got := int(binary.BigEndian.Uint16(b[c.off:])); got != c.want {
			t.Errorf("octets %d: %d, want %d", c.off, got, c.want)
		}
	}
	if got := Multicast(7962); got != [4]byte{239, 255, 31, 26} {
		t.Errorf("group %v", got) // the standard's worked example
	}
}

func TestRoundTrip(t *testing.T) {
	p := Packet{CID: [16]byte{1, 2, 3}, Source: "Späte Schicht", Priority: 150, Sync: 7, Sequence: 255,
		Preview: true, Terminated: true,
		Universe: 63999, Start: StartPriority, Slots: []byte{1, 2, 3}}
	b, err := p.AppendTo([]byte("x"))
	if err != nil {
		t.Fatal(err)
	}
	q, err := Parse(b[1:])
	if err != nil {
		t.Fatal(err)
	}
	if q.CID != p.CID || q.Source != p.Source || q.Priority != 150 || q.Sync != 7 || q.Sequence != 255 ||
		!q.Preview || !q.Terminated ||
		q.ForceSync || q.Universe != 63999 || q.Start != StartPriority || !bytes.Equal(q.Slots, p.Slots) {
		t.Errorf("%+v", q)
	}
	for _, bad := range []Packet{{Universe: 0}, {Universe: 64000}, {Universe: 1, Priority: 201}, {Universe: 1,
		Slots: make([]byte, 513)},
		{Universe: 1, Source: strings.Repeat("a", 64)}, {Universe: 1, Source: "a\x00b"}} {
		if _, err := bad.AppendTo(nil); err == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
}

func TestInOrder(t *testing.T) {
	for _, c := range []struct {
		last, next uint8
		want       bool
	}{{0, 1, true}, {255, 0, true}, {5, 5, false}, {5, 4, false}, {0, 255, false}, {100, 81, false}, {100, 80,
		true}, {10, 246, true}} {
		if got := InOrder(c.last, c.next); got != c.want {
			t.Errorf("%d after %d: %v", c.next, c.last, got)
		}
	}
}

func FuzzParse(f *testing.F) {
	b, _ := (&Packet{Universe: 1, Slots: []byte{9}}).AppendTo(nil)
	f.Add(b)
	f.Add(b[:len(b)-1])
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := Parse(b)
		if err != nil {
			return
		}
		c, err := p.AppendTo(nil)
		if err != nil {
			t.Fatal(err)
		}
		q, err := Parse(c)
		if err != nil || q.Universe != p.Universe || !bytes.Equal(q.Slots, p.Slots) {
			t.Fatalf("%v %+v %+v", err, p, q)
		}
	})
}

func TestWrite(t *testing.T) {
	rgb := Patch{Head: "tube", Universe: 1, Address: 511, Channels: []Channel{{Function: Red, Fine: true}}}
	var s [MaxSlots]byte
	if err := rgb.Write(Setting{Level: 0.5, Drives: map[Function]float64{Red: 1}}, &s); err != nil {
		t.Fatal(err)
	}
	if got := binary.BigEndian.Uint16(s[510:]); got != 32768 { // 65,535/2, rounded
		t.Errorf("16 bit half: %d", got)
	}
	head := Patch{Head: "panel", Universe: 1, Address: 10, CCTLow: 2700, CCTHigh: 6500,
		Channels: []Channel{{Function: Dimmer, Curve: Square}, {Function: CCT}, {Function: "strobe", Rest: 0},
			{Function: Red}, {Function: Green}}}
	before := s
	if err := head.Write(Setting{Level: 0.25, CCT: 4600, Drives: map[Function]float64{Red: 1}}, &s); err != nil {
		t.Fatal(err)
	}
	want := []byte{byte(math.Round(0.5 * 255)), 128, 0, 255, 0}
	if !bytes.Equal(s[9:14], want) {
		t.Errorf("%v, want %v", s[9:14], want)
	}
	before[9], before[10], before[12] = want[0], want[1], want[3]
	if before != s {
		t.Error("slots of others were touched")
	}
	for _, bad := range []Setting{{Level: 1.01}, {Level: math.NaN()}, {Level: 1,
		Drives: map[Function]float64{"strobe": 1}},
		{Level: 1, Drives: map[Function]float64{Blue: 1}}, {Level: 1, Drives: map[Function]float64{Red: 2}}} {
		was := s
		if err := head.Write(bad, &s); err == nil || was != s {
			t.Errorf("%+v: %v", bad, err)
		}
	}
}

func TestCheck(t *testing.T) {
	d := []Channel{{Function: Dimmer}}
	for _, bad := range []Patch{{Universe: 0, Address: 1, Channels: d}, {Universe: 1, Address: 0,
		Channels: d}, {Universe: 1, Address: 513, Channels: d},
		{Universe: 1, Address: 512, Channels: []Channel{{Function: Dimmer, Fine: true}}}, {Universe: 1, Address: 1},
		{Universe: 1, Address: 1, Channels: []Channel{{Function: Dimmer}, {Function: Dimmer}}},
		{Universe: 1, Address: 1, Channels: []Channel{{Function: CCT}}}, {Universe: 1, Address: 1,
			Channels: []Channel{{Function: Dimmer, Curve: "s"}}}} {
		if bad.Check() == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
	a, b := Overlap([]Patch{{Head: "a", Universe: 1, Address: 1, Channels: d}, {Head: "b", Universe: 2,
		Address: 1, Channels: d}, {Head: "c", Universe: 1, Address: 1, Channels: d}})
	if a != "a" || b != "c" {
		t.Errorf("%q and %q", a, b)
	}
}
