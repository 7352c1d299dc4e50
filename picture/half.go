package picture

import "math"

// halfOf rounds a number to a half float (IEEE 754 binary16) of which bits of the mantissa, 1 to
// 10, are kept. What is too large becomes the largest number, what is no number 0. Zero has no
// sign.
func halfOf(v float32, bits int) uint16 {
	const largest = 65504
	b := math.Float32bits(v)
	sign := uint16(b >> 16 & 0x8000)
	a := math.Abs(float64(v))
	if !(a > 0) {
		return 0
	}
	// The step between numbers kept: 2^-bits of the power of two under a, not under 2^-24.
	_, e := math.Frexp(a) // a = f·2^e, f from a half to 1
	step := math.Ldexp(1, max(e-1-bits, -24))
	a = min(math.RoundToEven(a/step)*step, largest)
	f, e := math.Frexp(a)
	switch {
	case a == 0:
		return 0
	case e-1 < -14: // subnormal: in steps of 2^-24
		return sign | uint16(math.Round(math.Ldexp(a, 24)))
	}
	return sign | uint16(e-1+15)<<10 | uint16(math.Round((2*f-1)*1024))&0x3ff
}

// ofHalf reads a half float.
func ofHalf(h uint16) float32 {
	e, m := int(h>>10&31), float64(h&0x3ff)
	v := math.Ldexp(1+m/1024, e-15)
	switch e {
	case 0:
		v = math.Ldexp(m, -24)
	case 31:
		v = math.Inf(1)
		if m != 0 {
			v = math.NaN()
		}
	}
	if h&0x8000 != 0 {
		v = -v
	}
	return float32(v)
}
