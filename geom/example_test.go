package geom_test

import (
	"fmt"

	"halfstop/geom"
)

func Example() {
	// A light two metres in front of a face and one above it, seen from the face.
	to := geom.V(0, -2, 1)
	fmt.Printf("%.2f m away, %v\n", to.Len(), to.Unit().Dot(geom.V(0, -1, 0)) > 0.89)
	// Output:
	// 2.24 m away, true
}
