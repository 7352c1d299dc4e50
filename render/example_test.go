package render_test

import (
	"fmt"

	"halfstop/meter"
	"halfstop/render"
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
	f, doc, _ := shoot.Parse("lamp.yaml", []byte(lamp), shoot.Options{})
	s, _ := stage.Build(f, doc, 0, stage.Options{})
	lens := render.LensOf(s, meter.CameraOf(s))
	fmt.Printf("%.0f mm lens focused at %.2f m\n", 1000/(1/lens.Image+1/lens.Focus), lens.Focus)
	// Output:
	// 50 mm lens focused at 2.24 m
}
