package ways_test

import (
	"context"
	"fmt"

	"halfstop/meter"
	"halfstop/shoot"
	"halfstop/stage"
	"halfstop/ways"
)

// lamp is a bare point of 100 cd two metres from a mark, in the open.
const lamp = `halfstop: 1
setups:
  - name: Lamp
    camera: {at: [0, 1, 0], aim: [2, 0, 0], aperture: f/1, shutter: 1/50 s, iso: 500}
    lights: [{name: lamp, emitter: {shape: point, intensity: 100 cd}, at: [0, 0, 0], aim: [2, 0, 0]}]
    points: [{name: mark, at: [2, 0, 0], facing: x-}]
    look: [{point: mark, reads: f/1}]
`

func Example() {
	f, doc, _ := shoot.Parse("lamp.yaml", []byte(lamp), shoot.Options{})
	s, _ := stage.Build(f, doc, 0, stage.Options{})
	m, err := meter.Measure(context.Background(), s, meter.Work{Seed: 1, Samples: 32})
	if err != nil {
		fmt.Println(err)
		return
	}
	b, err := ways.Balance(context.Background(), s, m)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(b.Missed(), b.Targets()[0].Words)
	// Output:
	// 0 mark reads f/1 + 0.0
}
