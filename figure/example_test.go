package figure_test

import (
	"fmt"

	"halfstop/figure"
)

func Example() {
	p := figure.Woman()
	p.Detail = figure.Shadow
	m := figure.Build(p)
	top := m.Bounds().Hi.Z
	fmt.Printf("%.1f m tall, with a face: %v\n", top, m.Landmarks["face"].At.Z > 0.8*top)
	// Output:
	// 1.6 m tall, with a face: true
}
