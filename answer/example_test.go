package answer_test

import (
	"context"
	"fmt"

	"halfstop/answer"
	"halfstop/meter"
	"halfstop/shoot"
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
	job := &answer.Job{File: f, Doc: doc}
	m, _, err := job.Meter(context.Background(), 0, meter.Work{Seed: 1, Samples: 32})
	if err == nil {
		err = m.Compare(context.Background())
	}
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(m.Look[0].Words, m.Look[0].Met)
	// Output:
	// mark reads f/1 + 0.0 true
}
