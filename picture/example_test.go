package picture_test

import (
	"fmt"

	"halfstop/picture"
	"halfstop/spectrum"
)

func Example() {
	grey := spectrum.SRGB.XYZ([3]float64{0.18, 0.18, 0.18})
	img := picture.Develop([]spectrum.XYZ{grey, {}}, 2, 1, spectrum.WhiteD65, spectrum.SRGB, picture.Plain())
	fmt.Println(img.NRGBAAt(0, 0).R, img.NRGBAAt(1, 0).R)
	// Output:
	// 118 0
}
