package stage_test

import (
	"fmt"

	"halfstop/shoot"
	"halfstop/stage"
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
	f, doc, list := shoot.Parse("lamp.yaml", []byte(lamp), shoot.Options{})
	s, more := stage.Build(f, doc, 0, stage.Options{})
	fmt.Println(len(list)+len(more), s.Layers[0].Name, s.Points[0].Name)
	// Output:
	// 0 lamp mark
}
