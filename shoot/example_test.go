package shoot_test

import (
	"fmt"

	"halfstop/shoot"
)

// A mistake is told with its place, what was meant and what to write.
func ExampleParse() {
	src := "halfstop: 1\nsetups:\n  - name: Aisle\n    camra: {at: [1, 2, 1.5]}\n"
	_, _, list := shoot.Parse("shoot.yaml", []byte(src), shoot.Options{})
	fmt.Print(list.Text())
	// Output:
	// shoot.yaml:4:5: unknown setting "camra" of a setup
	//   4 |     camra: {at: [1, 2, 1.5]}
	//     |     ^^^^^
	//   settings here: name, priority, time, camera, picture, cover, sitter, lights, openings, off, dim, panels, objects, haze, points, look, may, day, every, notes
	//   fix: write "camera"
}
