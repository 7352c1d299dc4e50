//go:build !amd64

package bvh

import "math"

// bound is a distance above zero as latest and earliest take it.
type bound = float32

func boundOf(t float32) bound { return t }

// latest returns the bits of the largest of four numbers, the last of which is above zero. arm64
// has an instruction for each max.
func latest(a, b, c float32, t bound) int32 {
	return int32(math.Float32bits(max(max(a, b), max(c, t))))
}

// earliest returns the bits of the smallest of four numbers, or a negative number if any is below
// zero.
func earliest(a, b, c float32, t bound) int32 {
	return int32(math.Float32bits(min(min(a, b), min(c, t))))
}
