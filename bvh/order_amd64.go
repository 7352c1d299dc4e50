package bvh

import "math"

// Floats above zero sort as their bits do, and a float below zero has bits that are a negative
// integer. With a bound above zero latest is right for any others, and earliest is right, or
// negative where the answer is. amd64 has a conditional move for integers; the built-in min of
// floats takes it five instructions, to be exact about zeros and NaN.

// bound is a distance above zero as latest and earliest take it.
type bound = int32

func boundOf(t float32) bound { return int32(math.Float32bits(t)) }

// latest returns the bits of the largest of four numbers.
func latest(a, b, c float32, t bound) int32 {
	return max(max(int32(math.Float32bits(a)), int32(math.Float32bits(b))), max(int32(math.Float32bits(c)), t))
}

// earliest returns the bits of the smallest of four numbers, or a negative number if any is below
// zero.
func earliest(a, b, c float32, t bound) int32 {
	return min(min(int32(math.Float32bits(a)), int32(math.Float32bits(b))), min(int32(math.Float32bits(c)), t))
}
