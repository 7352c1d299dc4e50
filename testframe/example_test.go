package testframe_test

import (
	"context"
	"fmt"

	"halfstop/testframe"
)

// ExampleFit explains a photograph of two lights, of which one did not fire.
func ExampleFit() {
	picture := func(of func(x int) float64) testframe.Image {
		m := testframe.Image{W: 64, H: 48}
		for i := range m.W * m.H {
			x, y := i%m.W, i/m.W
			v := of(x)
			if x > 20 && x < 30 && y > 10 && y < 40 { // somebody in a dark coat
				v *= 0.2
			}
			m.RGB = append(m.RGB, [3]float64{v, v, v})
		}
		return m
	}
	left := picture(func(x int) float64 { return 0.4 * float64(64-x) / 64 })
	right := picture(func(x int) float64 { return 0.4 * float64(x) / 64 })
	layers := []testframe.Layer{{Name: "key", Flash: true, SD: 0.2, Image: left},
		{Name: "fill", Flash: true, SD: 0.2, Image: right}}
	f, _ := testframe.Fit(context.Background(), &left, layers, testframe.Work{})
	for _, c := range f.Causes(layers) {
		fmt.Println(c.Light, c.Words)
	}
	// Output: fill did not fire
}
