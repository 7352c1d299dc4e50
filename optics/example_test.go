package optics_test

import (
	"fmt"

	"halfstop/optics"
)

func Example() {
	// 10 lx·s on a flat receptor at ISO 100 (ISO 2720, C = 250): N² = 10 × 100 / 250.
	fmt.Println(optics.Reading(10, 100, 250).Meter())
	near, far := optics.Sharp(0.085, 2.8, 30e-6, 2)
	fmt.Printf("85 mm at f/2.8 focused at 2 m: sharp from %.2f to %.2f m\n", float64(near), float64(far))
	// Output:
	// f/2 + 0.0
	// 85 mm at f/2.8 focused at 2 m: sharp from 1.96 to 2.05 m
}
