package bvh_test

import (
	"fmt"
	"math"

	"halfstop/bvh"
)

func Example() {
	floor := bvh.Build([][3]float32{{0, 0, 0}, {4, 0, 0}, {0, 4, 0}}, [][3]uint32{{0, 1, 2}})
	down := bvh.Ray{O: [3]float32{1, 1, 2.5}, D: [3]float32{0, 0, -1}, TMax: float32(math.Inf(1))}
	hit := floor.Closest(&down)
	fmt.Println(hit.T, hit.Prim)
	// Output:
	// 2.5 0
}
