package picture

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"sort"
	"strings"
)

// mostPixels bounds what is read: a picture of 16384 × 16384 is refused.
const mostPixels = 1 << 26

// ReadEXR reads the plates of a scanline OpenEXR file: channels R, G, B and NAME.R, NAME.G, NAME.B
// of halves or floats, not compressed, ZIPS or ZIP. Other channels are left out; a channel that is
// missing is 0. The error says what is wrong, and nothing is read past the data.
// Source: OpenEXR file layout, openexr.com. Check: TestHalfEXR, FuzzReadEXR.
func ReadEXR(data []byte) (w, h int, plates []Plate, err error) {
	r := &exrReader{data: data}
	if err := r.header(); err != nil {
		return 0, 0, nil, fmt.Errorf("the OpenEXR file cannot be read: %w", err)
	}
	if err := r.pixels(); err != nil {
		return 0, 0, nil, fmt.Errorf("the OpenEXR file cannot be read: %w", err)
	}
	return r.w, r.h, r.plates, nil
}

type exrReader struct {
	data     []byte
	at       int
	w, h     int
	packing  byte
	channels []struct {
		kind  uint32
		plate int // -1: left out
		part  int
	}
	plates []Plate
}

var errShort = errors.New("it ends too early")

func (r *exrReader) take(n int) ([]byte, error) {
	if n < 0 || n > len(r.data)-r.at {
		return nil, errShort
	}
	b := r.data[r.at : r.at+n]
	r.at += n
	return b, nil
}

func (r *exrReader) text() (string, error) {
	n := bytes.IndexByte(r.data[r.at:], 0)
	if n < 0 || n > 255 {
		return "", errShort
	}
	b, _ := r.take(n + 1)
	return string(b[:n]), nil
}

func (r *exrReader) word() (uint32, error) {
	b, err := r.take(4)
	if err != nil {
		return 0, err
	}
	return binary.LittleEndian.Uint32(b), nil
}

func (r *exrReader) header() error {
	magic, err := r.word()
	if err != nil || magic != exrMagic {
		return errors.New("it is none")
	}
	version, err := r.word()
	if err != nil {
		return err
	}
	if version&0xff != 2 || version&^0x4ff != 0 {
		return errors.New("it has tiles, depths or parts, which are not read here")
	}
	var list, window []byte
	packing := []byte{0xff}
	for {
		name, err := r.text()
		if err != nil {
			return err
		}
		if name == "" {
			break
		}
		if _, err := r.text(); err != nil {
			return err
		}
		n, err := r.word()
		if err != nil {
			return err
		}
		value, err := r.take(int(n))
		if err != nil {
			return err
		}
		switch name {
		case "channels":
			list = value
		case "dataWindow":
			window = value
		case "compression":
			packing = value
		}
	}
	if len(window) != 16 || len(packing) != 1 {
		return errors.New("its header is not whole")
	}
	side := func(i int) int { return int(int32(binary.LittleEndian.Uint32(window[4*i:]))) }
	r.w, r.h, r.packing = side(2)-side(0)+1, side(3)-side(1)+1, packing[0]
	if side(1) != 0 {
		return errors.New("its first line is not number 0")
	}
	if r.w <= 0 || r.h <= 0 || r.w > 1<<15 || r.h > 1<<15 || r.w*r.h > mostPixels {
		return fmt.Errorf("its size, %d × %d, is out of bounds", r.w, r.h)
	}
	if r.packing != exrNone && r.packing != exrZIPS && r.packing != exrZIP {
		return fmt.Errorf("its compression, number %d, is not read here", r.packing)
	}
	return r.names(list)
}

// names reads the list of channels.
func (r *exrReader) names(list []byte) error {
	plates := map[string]int{}
	c := &exrReader{data: list}
	for {
		name, err := c.text()
		if err != nil {
			return err
		}
		if name == "" {
			break
		}
		value, err := c.take(16)
		if err != nil {
			return err
		}
		kind := binary.LittleEndian.Uint32(value)
		if kind != exrHalf && kind != exrFloat || value[8] != 1 || value[12] != 1 {
			return fmt.Errorf("its channel %q is of a type that is not read here", name)
		}
		plate, part := "", strings.Index("RGB", name)
		if i := strings.LastIndexByte(name, '.'); i >= 0 {
			plate, part = name[:i], strings.Index("RGB", name[i+1:])
			if len(name) != i+2 {
				part = -1
			}
		} else if len(name) != 1 {
			part = -1
		}
		k := -1
		if part >= 0 {
			if have, ok := plates[plate]; ok {
				k = have
			} else {
				k = len(plates)
				plates[plate] = k
			}
		}
		r.channels = append(r.channels, struct {
			kind  uint32
			plate int
			part  int
		}{kind, k, part})
	}
	if len(plates) == 0 || len(plates)*r.w*r.h > mostPixels {
		return fmt.Errorf("it has %d layers of %d × %d, which is out of bounds", len(plates), r.w, r.h)
	}
	// A file of this size holds its lines: what is not there is not made room for.
	if least := len(r.channels) * r.w * r.h / 2000; len(r.data) < least {
		return errShort
	}
	r.plates = make([]Plate, len(plates))
	for name, k := range plates {
		r.plates[k] = Plate{Name: name, RGB: make([][3]float32, r.w*r.h)}
	}
	return nil
}

func (r *exrReader) pixels() error {
	lines := 1
	if r.packing == exrZIP {
		lines = 16
	}
	line := 0
	for _, c := range r.channels {
		line += r.w * 2 * int(c.kind)
	}
	blocks := (r.h + lines - 1) / lines
	offsets, err := r.take(8 * blocks)
	if err != nil {
		return err
	}
	for k := range blocks {
		at := binary.LittleEndian.Uint64(offsets[8*k:])
		if at > uint64(len(r.data)) {
			return errShort
		}
		r.at = int(at)
		y, err := r.word()
		if err != nil {
			return err
		}
		n, err := r.word()
		if err != nil {
			return err
		}
		packed, err := r.take(int(n))
		if err != nil {
			return err
		}
		if int64(y) >= int64(r.h) {
			return fmt.Errorf("line %d is none of it", y)
		}
		have := min(lines, r.h-int(y))
		raw := packed
		if len(packed) != have*line {
			if raw, err = unzips(packed, have*line); err != nil {
				return err
			}
		}
		r.lines(raw, int(y), have)
	}
	sort.SliceStable(r.plates, func(i, j int) bool { return r.plates[i].Name < r.plates[j].Name })
	return nil
}

// lines takes the numbers of some lines apart.
func (r *exrReader) lines(raw []byte, y0, n int) {
	for y := y0; y < y0+n; y++ {
		for _, c := range r.channels {
			for x := range r.w {
				var v float32
				if c.kind == exrHalf {
					v = ofHalf(binary.LittleEndian.Uint16(raw))
				} else {
					v = math.Float32frombits(binary.LittleEndian.Uint32(raw))
				}
				raw = raw[2*c.kind:]
				if c.plate >= 0 {
					r.plates[c.plate].RGB[y*r.w+x][c.part] = v
				}
			}
		}
	}
}

// unzips is the reverse of zips.
func unzips(data []byte, size int) ([]byte, error) {
	z, err := zlib.NewReader(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("lines are damaged: %w", err)
	}
	split := make([]byte, size)
	if _, err := io.ReadFull(z, split); err != nil {
		return nil, fmt.Errorf("lines are damaged: %w", err)
	}
	// The checksum is read with the end.
	if n, err := z.Read(make([]byte, 1)); n != 0 || err != io.EOF {
		return nil, errors.New("lines are damaged: they are longer than they should be, or their checksum is wrong")
	}
	for i := 1; i < size; i++ {
		split[i] += split[i-1] - 128
	}
	raw, half := make([]byte, size), (size+1)/2
	for i := range raw {
		raw[i] = split[i/2+(i%2)*half]
	}
	return raw, nil
}
