// Package content makes keys by content: one number for all the values that a result rests on, so
// that the result can be kept and found again. What is hashed is said value by value: nothing is
// found out by reflection, so a value left out is seen in the code.
//
// Two contents have the same key by chance once in 2^64 pairs; keys are for this process and are
// not written to files.
package content

import "math"

// Key is the hash of a content. The zero Key is that of nothing.
type Key uint64

// Hash gathers a content; its zero value is empty. The order of values counts.
type Hash struct{ h uint64 }

// Word adds 64 bits: multiplied by 2^64 over the golden ratio and folded, after Knuth, TAOCP 3,
// 6.4.
func (h *Hash) Word(v uint64) {
	x := (h.h ^ v + 0x632be59bd9b4e019) * 0x9e3779b97f4a7c15
	h.h = x ^ x>>29
}

// Keys adds other keys.
func (h *Hash) Keys(list ...Key) {
	h.Word(uint64(len(list)))
	for _, k := range list {
		h.Word(uint64(k))
	}
}

// Int adds a whole number.
func (h *Hash) Int(v int) { h.Word(uint64(v)) }

// Bool adds a truth.
func (h *Hash) Bool(v bool) {
	if v {
		h.Word(1)
	} else {
		h.Word(2)
	}
}

// Floats adds numbers, bit by bit but for −0, which is 0.
func (h *Hash) Floats(list ...float64) {
	for _, v := range list {
		h.Word(math.Float64bits(v + 0))
	}
}

// Floats32 adds a list of numbers with its length.
func (h *Hash) Floats32(list []float32) {
	h.Word(uint64(len(list)))
	for _, v := range list {
		h.Word(uint64(math.Float32bits(v)))
	}
}

// Triples adds a list of places or directions with its length. A scene has hundreds of thousands of
// them: four chains of pairs go side by side, since each step of one waits for the step before.
func (h *Hash) Triples(list [][3]float32) {
	h.Word(uint64(len(list)))
	var chains [4]Hash
	for len(list) >= 8 {
		for k := range chains {
			a, b := &list[2*k], &list[2*k+1]
			chains[k].Word(two(a[0], a[1]))
			chains[k].Word(two(a[2], b[0]))
			chains[k].Word(two(b[1], b[2]))
		}
		list = list[8:]
	}
	for k := range chains {
		h.Word(chains[k].h)
	}
	for _, v := range list {
		h.Word(two(v[0], v[1]))
		h.Word(uint64(math.Float32bits(v[2])))
	}
}

func two(a, b float32) uint64 { return uint64(math.Float32bits(a)) | uint64(math.Float32bits(b))<<32 }

// Text adds a text with its length.
func (h *Hash) Text(s string) {
	h.Word(uint64(len(s)))
	v, n := uint64(0), 0
	for i := range len(s) {
		v = v<<8 | uint64(s[i])
		if n++; n == 8 {
			h.Word(v)
			v, n = 0, 0
		}
	}
	if n > 0 {
		h.Word(v)
	}
}

// Key gives the key of what was added so far.
func (h *Hash) Key() Key { return Key(h.h) }
