package dmx

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// Port is the UDP port of E1.31.
const Port = 5568

// MaxSlots is the most slots of one universe.
const MaxSlots = 512

// The ranges that E1.31 gives.
const (
	MinUniverse     = 1
	MaxUniverse     = 63999
	MaxPriority     = 200
	DefaultPriority = 100
)

// Start codes of a data packet.
const (
	StartLevels   byte = 0x00 // levels of the slots
	StartPriority byte = 0xDD // a priority for each slot, 1 to 200; 0: that slot is not driven
)

// Options of the framing layer.
const (
	optPreview    = 0x80
	optTerminated = 0x40
	optForceSync  = 0x20
)

// Offsets of an E1.31 data packet, octets from the start; all numbers are big-endian.
const (
	offRootLength    = 16
	offRootVector    = 18
	offCID           = 22
	offFrameLength   = 38
	offFrameVector   = 40
	offSource        = 44
	offPriority      = 108
	offSync          = 109
	offSequence      = 111
	offOptions       = 112
	offUniverse      = 113
	offDMPLength     = 115
	offDMPVector     = 117
	offAddressType   = 118
	offFirst         = 119
	offIncrement     = 121
	offCount         = 123
	offStart         = 125
	offSlots         = 126
	sourceLength     = 64
	flags            = 0x7000
	rootData         = 4
	frameData        = 2
	dmpSetProperty   = 2
	addressTypeOctet = 0xA1
)

var acnID = [12]byte{'A', 'S', 'C', '-', 'E', '1', '.', '1', '7'}

// Packet is one E1.31 data packet.
//
// Source: ANSI E1.31, data packet; the offsets stand in docs/send.md.
type Packet struct {
	CID        [16]byte // the sender, a UUID that stays the same
	Source     string   // its name in words, UTF-8, at most 63 octets
	Priority   uint8    // 0 to 200; the highest one wins
	Sync       uint16   // universe of synchronization; 0: none
	Sequence   uint8    // rises by one a packet of one universe, wraps
	Preview    bool     // not for live output: for visualisers
	Terminated bool     // the sender stops this universe
	ForceSync  bool
	Universe   uint16
	Start      byte   // StartLevels or StartPriority
	Slots      []byte // 0 to 512
}

// Errors of AppendTo and Parse.
var (
	ErrNotE131  = errors.New("no E1.31 data packet")
	ErrTooShort = errors.New("the packet ends early")
)

// Check reports what of p E1.31 does not allow.
func (p *Packet) Check() error {
	switch {
	case p.Universe < MinUniverse || p.Universe > MaxUniverse:
		return fmt.Errorf("universe %d: E1.31 has %d to %d", p.Universe, MinUniverse, MaxUniverse)
	case p.Priority > MaxPriority:
		return fmt.Errorf("priority %d: E1.31 has 0 to %d", p.Priority, MaxPriority)
	case len(p.Slots) > MaxSlots:
		return fmt.Errorf("%d slots: a universe has %d", len(p.Slots), MaxSlots)
	case len(p.Source) >= sourceLength:
		return fmt.Errorf("the source's name has %d octets, at most %d", len(p.Source), sourceLength-1)
	case !utf8.ValidString(p.Source) || strings.ContainsRune(p.Source, 0):
		return errors.New("the source's name is no UTF-8 text without NUL")
	}
	return nil
}

// AppendTo appends p's octets to dst: 126 and one a slot.
func (p *Packet) AppendTo(dst []byte) ([]byte, error) {
	if err := p.Check(); err != nil {
		return dst, err
	}
	at := len(dst)
	n := offSlots + len(p.Slots)
	dst = append(dst, make([]byte, n)...)
	b := dst[at:]
	put := func(off int, v int) { binary.BigEndian.PutUint16(b[off:], uint16(v)) }
	put(0, 0x0010)
	copy(b[4:], acnID[:])
	// Each layer's length runs from its own first octet to the packet's end.
	put(offRootLength, flags|(n-offRootLength))
	binary.BigEndian.PutUint32(b[offRootVector:], rootData)
	copy(b[offCID:], p.CID[:])
	put(offFrameLength, flags|(n-offFrameLength))
	binary.BigEndian.PutUint32(b[offFrameVector:], frameData)
	copy(b[offSource:offSource+sourceLength], p.Source)
	b[offPriority] = p.Priority
	put(offSync, int(p.Sync))
	b[offSequence] = p.Sequence
	for _, o := range []struct {
		on  bool
		bit byte
	}{{p.Preview, optPreview}, {p.Terminated, optTerminated}, {p.ForceSync, optForceSync}} {
		if o.on {
			b[offOptions] |= o.bit
		}
	}
	put(offUniverse, int(p.Universe))
	put(offDMPLength, flags|(n-offDMPLength))
	b[offDMPVector], b[offAddressType] = dmpSetProperty, addressTypeOctet
	put(offIncrement, 1)
	put(offCount, 1+len(p.Slots))
	b[offStart] = p.Start
	copy(b[offSlots:], p.Slots)
	return dst, nil
}

// Parse reads one data packet. Slots share b's memory.
//
// It refuses what is no E1.31 data packet (ErrNotE131) and what is cut short (ErrTooShort). Octets
// after the stated length are left.
func Parse(b []byte) (Packet, error) {
	var p Packet
	if len(b) < offSlots {
		return p, ErrTooShort
	}
	u16 := func(off int) int { return int(binary.BigEndian.Uint16(b[off:])) }
	if u16(0) != 0x0010 || !bytes.Equal(b[4:16], acnID[:]) ||
		binary.BigEndian.Uint32(b[offRootVector:]) != rootData ||
		binary.BigEndian.Uint32(b[offFrameVector:]) != frameData ||
		b[offDMPVector] != dmpSetProperty || b[offAddressType] != addressTypeOctet ||
		u16(offFirst) != 0 || u16(offIncrement) != 1 {
		return p, ErrNotE131
	}
	n := u16(offCount) - 1
	if n < 0 || n > MaxSlots {
		return p, ErrNotE131
	}
	end := offSlots + n
	for _, off := range []int{offRootLength, offFrameLength, offDMPLength} {
		if v := u16(off); v&0xF000 != flags || v&0x0FFF != end-off {
			return p, ErrNotE131
		}
	}
	if len(b) < end {
		return p, ErrTooShort
	}
	copy(p.CID[:], b[offCID:])
	name, _, _ := bytes.Cut(b[offSource:offSource+sourceLength], []byte{0})
	p.Source = string(name)
	p.Priority, p.Sequence = b[offPriority], b[offSequence]
	p.Sync, p.Universe = uint16(u16(offSync)), uint16(u16(offUniverse))
	o := b[offOptions]
	p.Preview, p.Terminated, p.ForceSync = o&optPreview != 0, o&optTerminated != 0, o&optForceSync != 0
	p.Start, p.Slots = b[offStart], b[offSlots:end]
	return p, p.Check()
}

// Multicast gives the IPv4 group of a universe: 239.255 and the universe's two octets.
func Multicast(universe uint16) [4]byte {
	return [4]byte{239, 255, byte(universe >> 8), byte(universe)}
}

// InOrder reports whether a packet with sequence number next may follow one with last: E1.31 drops
// one that lies 0 to 19 behind and takes any other.
func InOrder(last, next uint8) bool {
	d := int(int8(next - last))
	return d > 0 || d <= -20
}
