package sample_test

import (
	"fmt"

	"halfstop/sample"
)

func Example() {
	// The mean of x² over the unit interval is 1/3.
	s := sample.New(1, 0)
	sum := 0.0
	for i := range uint32(1024) {
		x := s.Float(i, 0)
		sum += x * x / 1024
	}
	fmt.Printf("%.3f\n", sum)
	// Output:
	// 0.333
}
