package material_test

import (
	"fmt"

	"halfstop/material"
	"halfstop/spectrum"
)

// What a full orange sheet does to a flash: less than its name promises for 5,600 K.
func Example() {
	g, err := material.FindGel("full orange")
	if err != nil {
		fmt.Println(err)
		return
	}
	flash := spectrum.White(5600)
	kelvin, _, _ := spectrum.CCTOhno2013(g.On(flash).XY())
	fmt.Printf("%.0f K, %.1f stops\n", kelvin, g.StopsOn(flash))
	// Output: 2968 K, 0.8 stops
}
