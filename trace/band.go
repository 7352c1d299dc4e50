package trace

import "halfstop/spectrum"

// Bands is the number of spectral windows.
const Bands = spectrum.Bands

// Band holds one number for each spectral window.
type Band = spectrum.Band

// Grey returns a Band of one value.
func Grey(v float64) Band {
	var b Band
	for i := range b {
		b[i] = float32(v)
	}
	return b
}

func scaleBand(b *Band, k float32) {
	for i := range b {
		b[i] *= k
	}
}

func mulBand(dst, a *Band) {
	for i := range dst {
		dst[i] *= a[i]
	}
}

// addMul adds k·a·b to dst.
func addMul(dst, a, b *Band, k float32) {
	for i := range dst {
		dst[i] += k * a[i] * b[i]
	}
}

func maxBand(b *Band) float32 {
	m := b[0]
	for _, v := range b[1:] {
		m = max(m, v)
	}
	return m
}

func meanBand(b *Band) float32 {
	var s float32
	for _, v := range b {
		s += v
	}
	return s / Bands
}
