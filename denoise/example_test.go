package denoise_test

import (
	"context"
	"fmt"

	"halfstop/denoise"
)

func Example() {
	// One wall, every pixel of it lit alike but for the grain: the filter takes the grain.
	const w, h = 16, 16
	f := &denoise.Features{W: w, H: h, Albedo: make([]float32, w*h), Normal: make([][3]float32, w*h),
		Depth: make([]float32, w*h), ID: make([]uint32, w*h)}
	for i := range w * h {
		f.Albedo[i], f.Normal[i], f.Depth[i], f.ID[i] = 0.5, [3]float32{0, 0, 1}, 2, 1
	}
	grainy := func(_ int, l *denoise.Layer) {
		for i := range l.C {
			v := float32(0.97 + 0.06*float64((i*7919)%2))
			l.C[i], l.Var[i] = [3]float32{v, v, v}, 0.0009
		}
	}
	out, _, err := denoise.Filter(context.Background(), f, 16, 1, grainy)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f\n", out[0][w*h/2][1])
	// Output:
	// 1.0
}
