package trace_test

import (
	"context"
	"fmt"

	"halfstop/geom"
	"halfstop/trace"
)

func Example() {
	// A point lamp of 100 cd, two metres over a receptor that faces it: 100 / 2² = 25 lx.
	sc := trace.New()
	sc.AddEmitter(trace.Point(0, geom.V(0, 0, 2), geom.V(0, 0, -1), 100, nil, 0, nil, 0))
	if err := sc.Prepare(); err != nil {
		fmt.Println(err)
		return
	}
	up := trace.Receptor{Kind: trace.Flat, Facing: geom.V(0, 0, 1)}
	out, err := sc.Measure(context.Background(), []trace.Receptor{up}, trace.MeasureOptions{Seed: 1, Most: 16})
	fmt.Printf("%.1f lx %v\n", out[0].Direct[0][8], err)
	// Output:
	// 25.0 lx <nil>
}
