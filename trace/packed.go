package trace

import "math"

// packed is a Band in 36 bytes: its largest number, and all as shares of that.
type packed struct {
	most float32
	q    [Bands]uint16
}

func (p *packed) get(b *Band) {
	k := p.most * (1.0 / 65535)
	for i := range b {
		b[i] = float32(p.q[i]) * k
	}
}

func (p *packed) set(b *Band) {
	m := maxBand(b)
	if !(m > 0 && m < math.MaxFloat32) {
		*p = packed{}
		return
	}
	p.most = m
	k := 65535 / m
	for i := range b {
		p.q[i] = uint16(max(0, b[i])*k + 0.5)
	}
}

// sharedExponent is three numbers in 4 bytes: 8 bits each, and 8 of the exponent of the largest.
// Their error is half a 128th of the largest at most, which averages out over the many pixels that
// airlight is averaged over. Source: Ward 1991, 'Real pixels'.
type sharedExponent uint32

func (p sharedExponent) get() (c [3]float32) {
	k := math.Float32frombits(uint32(p)>>24<<23) / 256
	for i := range c {
		c[i] = float32(uint32(p)>>(8*i)&255) * k
	}
	return
}

func shareExponent(c [3]float32) sharedExponent {
	m := max(c[0], c[1], c[2])
	if !(m > 1e-30 && m < 1e30) {
		return 0
	}
	// The exponent's power of two is over the largest, and twice it no more than that.
	e := math.Float32bits(m)>>23 + 1
	k := 256 / math.Float32frombits(e<<23)
	p := sharedExponent(e << 24)
	for i, v := range c {
		p |= sharedExponent(min(255, max(0, v)*k+0.5)) << (8 * i)
	}
	return p
}
