package balance

import "math"

// log2 is the binary logarithm of a positive, normal x, within 1e-10: a search takes millions of
// them. The mantissa is brought to [√½, √2) and log m = 2·artanh((m−1)/(m+1)) summed to the 13th
// power. Check: TestLog2.
func log2(x float64) float64 {
	const root2, toLog2 = 0x6a09e667f3bcd, 2 / math.Ln2
	bits := math.Float64bits(x)
	e := int64(bits>>52) - 1023
	frac := bits & (1<<52 - 1)
	if frac >= root2 {
		e++
		frac |= 1022 << 52
	} else {
		frac |= 1023 << 52
	}
	m := math.Float64frombits(frac)
	y := (m - 1) / (m + 1)
	z := y * y
	return float64(e) + toLog2*y*(1+z*(1./3+z*(1./5+z*(1./7+z*(1./9+z*(1./11+z*(1./13)))))))
}
