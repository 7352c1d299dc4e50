package spectrum_test

import (
	"fmt"

	"halfstop/spectrum"
)

// A red wall under tungsten: read the wall through the sixteen windows once, fold it with any lamp
// afterwards.
func Example() {
	wall := spectrum.ReflectanceOfSRGB(0.7, 0.1, 0.1)
	t := wall.Windows()
	lamp, err := spectrum.Lamp("tungsten 3200")
	if err != nil {
		fmt.Println(err)
		return
	}
	fold := spectrum.FoldCIE(lamp)
	lux := 100.0
	fmt.Printf("the wall sends back the colour of %.1f lx out of %.0f lx\n", fold.XYZ(&t).Y*lux, lux)
	// Output: the wall sends back the colour of 14.5 lx out of 100 lx
}

// How to drive a three-colour head to the colour of a sign.
func ExampleDrives_Solve() {
	var head spectrum.Drives
	for name, lumens := range map[string]float64{"led red": 300, "led green": 700, "led blue": 90} {
		light, err := spectrum.Lamp(name)
		if err != nil {
			fmt.Println(err)
			return
		}
		head.Primaries = append(head.Primaries, spectrum.Primary{Name: name, Light: light, Flux: lumens})
	}
	sign, _ := spectrum.Lamp("neon pink")
	_, reached, inGamut := head.Solve(sign.XY())
	fmt.Println(inGamut, spectrum.DeltaUVPrime(reached, sign.XY()) < 1e-4)
	// Output: true true
}
