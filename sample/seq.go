package sample

import "math/bits"

// Seq is one repeatable sequence: that of one pixel or receptor under one seed. The zero Seq is a
// sequence like any other.
type Seq struct{ key uint64 }

// New returns the sequence of a stream under a seed. Different (seed, stream) give unrelated
// sequences.
func New(seed, stream uint64) Seq {
	return Seq{mix(mix(seed+golden) ^ stream*0xd1342543de82ef95)}
}

// Rep returns the r-th independent randomisation of the sequence: each is as well spread, and their
// means scatter independently, which is what a standard error needs (Owen 1997). Check:
// TestRepeatsCoverTruth.
func (s Seq) Rep(r int) Seq { return Seq{mix(s.key ^ mix(uint64(r)*golden+0x5851f42d4c957f2d))} }

// Point2 returns the point of sample index in the pair of dimensions dim, both numbers inside (0,
// 1).
//
// Over the indices, from 0 on, the points of one dim are a Sobol (0,2)-sequence in base 2 under
// Owen scrambling: any aligned run of 2^m indices puts one point into each of the 2^m equal boxes
// of every shape. Different dims are shuffled and scrambled independently, so any number of them
// may be used. Source: Burley 2020, 'Practical Hash-based Owen Scrambling', JCGT 9(4). Check:
// TestElementaryIntervals.
func (s Seq) Point2(index uint32, dim int) (u, v float64) {
	a := mix(s.key + uint64(dim)*golden)
	i := bits.Reverse32(permute(bits.Reverse32(index), uint32(a)))
	x := bits.Reverse32(permute(i, uint32(a>>32)))
	y := bits.Reverse32(permute(pascal(i), uint32(a*golden>>32)))
	return unit(x), unit(y)
}

// Screen2 returns the point of sample k of pixel x, y in the pair of dimensions dim, both numbers
// inside (0, 1). Over the samples of one pixel the points are spread as those of Point2; over the
// pixels of any square of 2^m that is aligned to 2^m, those of one sample are as well. What is
// averaged over neighbours, by a filter or by an eye, has less noise so. Each point is the digital
// sum of one that the pixels share out among them in Morton's order and one that the samples do,
// both Owen-scrambled Sobol points as in Point2. Source of the order: Ahmed and Wonka 2020,
// 'Screen-space blue-noise diffusion'. Check: TestScreen.
func (s Seq) Screen2(x, y int, k uint32, dim int) (u, v float64) {
	a := mix(s.key + uint64(dim)*golden)
	b := mix(a + golden)
	i := bits.Reverse32(permute(bits.Reverse32(spread(uint32(x))|spread(uint32(y))<<1), uint32(a)))
	j := bits.Reverse32(permute(bits.Reverse32(k), uint32(b)))
	p := permute(i, uint32(a>>32)) ^ permute(j, uint32(b>>32))
	q := permute(pascal(i), uint32(a*golden>>32)) ^ permute(pascal(j), uint32(b*golden>>32))
	return unit(bits.Reverse32(p)), unit(bits.Reverse32(q))
}

// spread moves bit n of the lower 16 to bit 2n.
func spread(x uint32) uint32 {
	x &= 0xffff
	x = (x | x<<8) & 0x00ff00ff
	x = (x | x<<4) & 0x0f0f0f0f
	x = (x | x<<2) & 0x33333333
	return (x | x<<1) & 0x55555555
}

// Float returns one number inside (0, 1), the first of Point2's pair, well spread over the indices.
func (s Seq) Float(index uint32, dim int) float64 {
	a := mix(s.key + uint64(dim)*golden)
	i := bits.Reverse32(permute(bits.Reverse32(index), uint32(a)))
	return unit(bits.Reverse32(permute(i, uint32(a>>32))))
}

// Noise returns one number inside (0, 1), independent of all others: for decisions deep in a path,
// and for tests of randomness.
func (s Seq) Noise(index uint32, dim int) float64 {
	return unit(uint32(mix(mix(s.key^0x94d049bb133111eb+uint64(dim)*golden)+uint64(index)*golden) >> 32))
}

const golden = 0x9e3779b97f4a7c15

// mix scrambles 64 bits so that each bit of the answer depends on each of the argument. Source:
// Steele, Lea and Flood 2014 (SplitMix), constants by Stafford (variant 13); from memory.
func mix(x uint64) uint64 {
	x ^= x >> 30
	x *= 0xbf58476d1ce4e5b9
	x ^= x >> 27
	x *= 0x94d049bb133111eb
	return x ^ x>>31
}

// permute is an Owen scramble of a number with its bits reversed: each bit is flipped or not by a
// hash of the bits below it. Source: Laine and Karras 2011, with the constants of Vegdahl 2021;
// from memory. Check: TestPermuteNests.
func permute(x, seed uint32) uint32 {
	x ^= x * 0x3d20adea
	x += seed
	x *= seed>>16 | 1
	x ^= x * 0x05526c56
	x ^= x * 0x53a22864
	return x
}

// pascal multiplies by Pascal's triangle modulo 2, which gives the second dimension of Sobol's
// sequence, bits reversed. The matrix is a power in Kronecker's sense, so five steps do it. Check:
// TestPascal, against Sobol's direction numbers.
func pascal(x uint32) uint32 {
	x ^= x >> 16
	x ^= x & 0xff00ff00 >> 8
	x ^= x & 0xf0f0f0f0 >> 4
	x ^= x & 0xcccccccc >> 2
	x ^= x & 0xaaaaaaaa >> 1
	return x
}

func unit(x uint32) float64 { return (float64(x) + 0.5) * (1.0 / (1 << 32)) }
