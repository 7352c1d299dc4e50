package sheet

import (
	"encoding/binary"
	"sort"
)

// subset returns the typeface as a TrueType file in which only the glyphs of the letters in used
// have an outline. Glyph indices and metrics do not change, so a layout made with the whole file
// stays valid.
//
// Source: OpenType specification 1.9, chapters 'glyf', 'loca' and 'Calculating checksums'. Check:
// TestSubsetKeepsOutlines.
func (c *cut) subset(used map[rune]bool) []byte {
	tables := readTables(c.raw)
	loca, glyf := tables["loca"], tables["glyf"]
	long := binary.BigEndian.Uint16(tables["head"][50:]) == 1
	n := int(binary.BigEndian.Uint16(tables["maxp"][4:]))
	offset := func(i int) int {
		if long {
			return int(binary.BigEndian.Uint32(loca[4*i:]))
		}
		return 2 * int(binary.BigEndian.Uint16(loca[2*i:]))
	}

	// Keep the wanted glyphs and the components of composites.
	keep := map[int]bool{0: true}
	var want func(i int)
	want = func(i int) {
		if i >= n || (i != 0 && keep[i]) {
			return
		}
		keep[i] = true
		data := glyf[offset(i):offset(i+1)]
		if len(data) > 10 && int16(binary.BigEndian.Uint16(data)) < 0 {
			for _, part := range components(data) {
				want(part)
			}
		}
	}
	want(0)
	for r := range used {
		want(int(c.glyph(r)))
	}

	// Write the kept outlines one after another; the others get no length.
	var out []byte
	newLoca := make([]byte, 4*(n+1))
	for i := 0; i < n; i++ {
		binary.BigEndian.PutUint32(newLoca[4*i:], uint32(len(out)))
		if keep[i] {
			out = append(out, glyf[offset(i):offset(i+1)]...)
			for len(out)%4 != 0 {
				out = append(out, 0)
			}
		}
	}
	binary.BigEndian.PutUint32(newLoca[4*n:], uint32(len(out)))
	head := append([]byte(nil), tables["head"]...)
	binary.BigEndian.PutUint16(head[50:], 1)
	binary.BigEndian.PutUint32(head[8:], 0)
	tables["head"], tables["loca"], tables["glyf"] = head, newLoca, out
	return writeTables(tables)
}

// components returns the glyphs of which a composite is made.
func components(data []byte) []int {
	var out []int
	p := 10
	for p+4 <= len(data) {
		flags := binary.BigEndian.Uint16(data[p:])
		out = append(out, int(binary.BigEndian.Uint16(data[p+2:])))
		p += 4
		if flags&1 != 0 {
			p += 4
		} else {
			p += 2
		}
		switch {
		case flags&0x08 != 0:
			p += 2
		case flags&0x40 != 0:
			p += 4
		case flags&0x80 != 0:
			p += 8
		}
		if flags&0x20 == 0 {
			break
		}
	}
	return out
}

func readTables(b []byte) map[string][]byte {
	n := int(binary.BigEndian.Uint16(b[4:]))
	t := make(map[string][]byte, n)
	for i := 0; i < n; i++ {
		r := b[12+16*i:]
		off, l := binary.BigEndian.Uint32(r[8:]), binary.BigEndian.Uint32(r[12:])
		t[string(r[:4])] = b[off : off+l]
	}
	return t
}

func writeTables(t map[string][]byte) []byte {
	var names []string
	for k := range t {
		names = append(names, k)
	}
	sort.Strings(names)
	n := len(names)
	pow, log := 1, 0
	for pow*2 <= n {
		pow *= 2
		log++
	}
	out := make([]byte, 12+16*n)
	binary.BigEndian.PutUint32(out, 0x00010000)
	binary.BigEndian.PutUint16(out[4:], uint16(n))
	binary.BigEndian.PutUint16(out[6:], uint16(pow*16))
	binary.BigEndian.PutUint16(out[8:], uint16(log))
	binary.BigEndian.PutUint16(out[10:], uint16(n*16-pow*16))
	headAt := 0
	for i, k := range names {
		r := out[12+16*i:]
		copy(r, k)
		binary.BigEndian.PutUint32(r[4:], checksum(t[k]))
		binary.BigEndian.PutUint32(r[8:], uint32(len(out)))
		binary.BigEndian.PutUint32(r[12:], uint32(len(t[k])))
		if k == "head" {
			headAt = len(out)
		}
		out = append(out, t[k]...)
		for len(out)%4 != 0 {
			out = append(out, 0)
		}
	}
	binary.BigEndian.PutUint32(out[headAt+8:], 0xB1B0AFBA-checksum(out))
	return out
}

func checksum(b []byte) uint32 {
	var s uint32
	for i := 0; i < len(b); i += 4 {
		var w [4]byte
		copy(w[:], b[i:])
		s += binary.BigEndian.Uint32(w[:])
	}
	return s
}
