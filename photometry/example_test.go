package photometry_test

import (
	"fmt"

	"halfstop/photometry"
)

func Example() {
	// A small flat lamp: intensity falls with the cosine; all it gives is π times that on its axis.
	w := photometry.Rotational([]float64{100, 86.6, 50, 0, 0, 0, 0})
	fmt.Printf("%.0f cd on the axis\n", w.Axial())
	// Output:
	// 100 cd on the axis
}
