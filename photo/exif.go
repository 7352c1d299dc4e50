package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"strings"
)

// Exif is what a photograph says of its exposure. Zero: not said.
type Exif struct {
	FNumber     float64
	Shutter     float64 // s
	ISO         float64
	Bias        float64 // exposure compensation, stops
	FocalMM     float64
	Focal35MM   float64 // equivalent on full frame
	Orientation int     // 1 to 8; 0: not said
	Taken       string  // 'YYYY:MM:DD hh:mm:ss', local
	Offset      string  // of that time to UTC, like '+01:00'
	AutoWhite   bool    // white balance was automatic
	HasWhite    bool    // … or that is said at all
	HasGPS      bool
	Model       string // not kept: only to tell that a camera is said
	Wide        bool   // the colours are said not to be sRGB's

	apexTime, apexStop, output float64
}

// settle fills in what is said in another way: APEX values, and a sensitivity too large for its
// field (EXIF 2.3, 4.6.5).
func (x *Exif) settle() {
	if !(x.Shutter > 0) && x.apexTime != 0 && math.Abs(x.apexTime) < 32 {
		x.Shutter = math.Exp2(-x.apexTime)
	}
	if !(x.FNumber > 0) && x.apexStop > 0 && x.apexStop < 32 {
		x.FNumber = math.Exp2(x.apexStop / 2)
	}
	if x.ISO == 65535 || !(x.ISO > 0) {
		x.ISO = x.output
	}
}

// Complete reports whether luminance can be worked out.
func (x *Exif) Complete() bool { return x.FNumber > 0 && x.Shutter > 0 && x.ISO > 0 }

// Missing lists what is needed and not said.
func (x *Exif) Missing() string {
	var out []string
	for _, m := range []struct {
		v    float64
		word string
	}{{x.FNumber, "aperture"}, {x.Shutter, "shutter time"}, {x.ISO, "sensitivity"}} {
		if !(m.v > 0) {
			out = append(out, m.word)
		}
	}
	return strings.Join(out, ", ")
}

// ErrNoExif says that a file has no exposure data.
var ErrNoExif = errors.New("no EXIF data in it")

// The tags that are read: TIFF 6.0 and EXIF 2.3 (CIPA DC-008), 4.6.
const (
	tagModel       = 0x0110
	tagProfile     = 0x8773 // ICC, in a TIFF
	tagApexTime    = 0x9201
	tagApexStop    = 0x9202
	tagOutput      = 0x8831 // standard output sensitivity
	tagIndex       = 0x8832 // recommended exposure index
	tagColour      = 0xA001 // colour space
	tagOrientation = 0x0112
	tagExposure    = 0x829A
	tagFNumber     = 0x829D
	tagExifIFD     = 0x8769
	tagGPSIFD      = 0x8825
	tagISO         = 0x8827
	tagTaken       = 0x9003
	tagOffset      = 0x9011
	tagBias        = 0x9204
	tagFocal       = 0x920A
	tagWhite       = 0xA403
	tagFocal35     = 0xA405
)

// ReadExif finds the exposure data of a JPEG, TIFF or PNG file, or of a raw container.
// Lengths and offsets are held to the
// file; a loop of directories ends. The error says what is wrong and where.
func ReadExif(b []byte) (*Exif, error) {
	switch {
	case bytes.HasPrefix(b, []byte{0xFF, 0xD8}):
		t, err := app1(b)
		if err != nil {
			return nil, err
		}
		return readTIFF(t)
	case likeTIFF(b):
		return readTIFF(b)
	case bytes.HasPrefix(b, pngHead):
		if t := pngChunk(b, "eXIf"); len(t) > 0 {
			return readTIFF(t)
		}
	}
	return nil, ErrNoExif
}

// likeTIFF reports whether a file begins as TIFF does, or as those raw containers that only have
// another number after the byte order.
func likeTIFF(b []byte) bool {
	if len(b) < 8 {
		return false
	}
	for _, h := range []string{"II*\x00", "MM\x00*", "IIRO", "IIRS", "MMOR", "IIU\x00"} {
		if string(b[:4]) == h {
			return true
		}
	}
	return false
}

var pngHead = []byte("\x89PNG\r\n\x1a\n")

// pngChunk is what the first chunk of a kind holds (PNG 3rd edition, 5.3); nil: there is none.
func pngChunk(b []byte, kind string) []byte {
	for at := len(pngHead); at+12 <= len(b); {
		n := uint64(binary.BigEndian.Uint32(b[at:]))
		if n > uint64(len(b)-at-12) {
			return nil
		}
		if string(b[at+4:at+8]) == kind {
			return b[at+8 : at+8+int(n)]
		}
		at += 12 + int(n)
	}
	return nil
}

// app1 finds the EXIF segment of a JPEG.
func app1(b []byte) ([]byte, error) {
	for at := 2; at+4 <= len(b); {
		if b[at] != 0xFF {
			return nil, fmt.Errorf("no marker at byte %d", at)
		}
		kind := b[at+1]
		if kind == 0xFF { // fill
			at++
			continue
		}
		if kind == 0xDA || kind == 0xD9 {
			break // the picture itself
		}
		n := int(binary.BigEndian.Uint16(b[at+2:]))
		if n < 2 || at+2+n > len(b) {
			return nil, fmt.Errorf("the segment at byte %d is cut short", at)
		}
		if seg := b[at+4 : at+2+n]; kind == 0xE1 && bytes.HasPrefix(seg, []byte("Exif\x00\x00")) {
			return seg[6:], nil
		}
		at += 2 + n
	}
	return nil, ErrNoExif
}

type tiff struct {
	b    []byte
	o    binary.ByteOrder
	x    Exif
	seen map[uint32]bool
}

func newTIFF(b []byte) *tiff {
	t := &tiff{b: b, o: binary.LittleEndian, seen: map[uint32]bool{}}
	if b[0] == 'M' {
		t.o = binary.BigEndian
	}
	return t
}

func readTIFF(b []byte) (*Exif, error) {
	if len(b) < 8 {
		return nil, errors.New("the EXIF data are cut short")
	}
	t := newTIFF(b)
	if err := t.dir(t.o.Uint32(b[4:])); err != nil {
		return nil, err
	}
	t.x.settle()
	return &t.x, nil
}

// dir reads one directory and those it points to.
func (t *tiff) dir(at uint32) error {
	if t.seen[at] || len(t.seen) > 8 {
		return nil
	}
	t.seen[at] = true
	if uint64(at)+2 > uint64(len(t.b)) {
		return fmt.Errorf("an EXIF directory at byte %d, past the end", at)
	}
	n := int(t.o.Uint16(t.b[at:]))
	for i := range n {
		e := uint64(at) + 2 + 12*uint64(i)
		if e+12 > uint64(len(t.b)) {
			return fmt.Errorf("the EXIF directory at byte %d is cut short", at)
		}
		if err := t.entry(t.b[e : e+12]); err != nil {
			return err
		}
	}
	return nil
}

func (t *tiff) entry(e []byte) error {
	tag, kind, count := t.o.Uint16(e), t.o.Uint16(e[2:]), t.o.Uint32(e[4:])
	switch tag {
	case tagExifIFD, tagGPSIFD:
		t.x.HasGPS = t.x.HasGPS || tag == tagGPSIFD
		if tag == tagExifIFD {
			return t.dir(t.o.Uint32(e[8:]))
		}
	case tagModel:
		t.x.Model = "said"
	case tagTaken:
		t.x.Taken = t.text(kind, count, e)
	case tagOffset:
		t.x.Offset = t.text(kind, count, e)
	case tagOrientation, tagISO, tagExposure, tagFNumber, tagBias, tagFocal, tagWhite, tagFocal35,
		tagApexTime, tagApexStop, tagOutput, tagIndex, tagColour:
		v, ok := t.number(kind, e)
		if !ok {
			return nil // one value that cannot be read is one that is not said
		}
		switch tag {
		case tagOrientation:
			t.x.Orientation = int(v)
		case tagISO:
			t.x.ISO = v
		case tagExposure:
			t.x.Shutter = v
		case tagFNumber:
			t.x.FNumber = v
		case tagBias:
			t.x.Bias = v
		case tagApexTime:
			t.x.apexTime = v
		case tagApexStop:
			t.x.apexStop = v
		case tagOutput, tagIndex:
			t.x.output = v
		case tagColour:
			t.x.Wide = v == 65535
		case tagFocal:
			t.x.FocalMM = v
		case tagFocal35:
			t.x.Focal35MM = v
		case tagWhite:
			t.x.AutoWhite, t.x.HasWhite = v == 0, true
		}
	}
	return nil
}

// number reads a SHORT, LONG, RATIONAL or SRATIONAL; false for anything else, and for no number.
func (t *tiff) number(kind uint16, e []byte) (float64, bool) {
	switch kind {
	case 3:
		return float64(t.o.Uint16(e[8:])), true
	case 4:
		return float64(t.o.Uint32(e[8:])), true
	case 5, 10:
		at := uint64(t.o.Uint32(e[8:]))
		if at+8 > uint64(len(t.b)) {
			return 0, false
		}
		a, b := t.o.Uint32(t.b[at:]), t.o.Uint32(t.b[at+4:])
		v := float64(a) / float64(b)
		if kind == 10 {
			v = float64(int32(a)) / float64(int32(b))
		}
		return v, !math.IsNaN(v) && !math.IsInf(v, 0)
	}
	return 0, false
}

func (t *tiff) text(kind uint16, count uint32, e []byte) string {
	at, n := uint64(t.o.Uint32(e[8:])), uint64(count)
	if kind != 2 || n > 64 {
		return ""
	}
	s := e[8:]
	if n > 4 {
		if at+n > uint64(len(t.b)) {
			return ""
		}
		s = t.b[at:]
	}
	s = s[:min(n, uint64(len(s)))]
	out := strings.TrimRight(string(s), "\x00 ")
	return strings.Map(func(r rune) rune {
		if r < 0x20 || r > 0x7e {
			return -1
		}
		return r
	}, out)
}
