package figure

import "math"

// hash3 is a repeatable number in -1..1 for a lattice point.
func hash3(x, y, z int32) float64 {
	h := uint32(x)*0x8da6b343 ^ uint32(y)*0xd8163841 ^ uint32(z)*0xcb1ab31f
	h ^= h >> 13
	h *= 0x5bd1e995
	h ^= h >> 15
	return float64(h&0xffffff)/float64(0x7fffff) - 1
}

// noise is smooth value noise in about -1..1 with a lattice of one unit.
func noise(p vec) float64 {
	fx, fy, fz := math.Floor(p.X), math.Floor(p.Y), math.Floor(p.Z)
	x, y, z := p.X-fx, p.Y-fy, p.Z-fz
	x, y, z = x*x*x*(x*(x*6-15)+10), y*y*y*(y*(y*6-15)+10), z*z*z*(z*(z*6-15)+10)
	i, j, k := int32(fx), int32(fy), int32(fz)
	e := func(a, b int32) float64 { return lerp(hash3(i, a, b), hash3(i+1, a, b), x) }
	return lerp(lerp(e(j, k), e(j+1, k), y), lerp(e(j, k+1), e(j+1, k+1), y), z)
}

// stream is a repeatable run of numbers (splitmix64, Steele, Lea and Flood 2014).
type stream uint64

func (s *stream) next() uint64 {
	*s += 0x9e3779b97f4a7c15
	z := uint64(*s)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// float is in [0, 1).
func (s *stream) float() float64 { return float64(s.next()>>11) / (1 << 53) }

// below is a whole number in [0, n).
func (s *stream) below(n int) int { return int(s.next() % uint64(n)) }
