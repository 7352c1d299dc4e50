package shoot_test

import (
	"fmt"

	"halfstop/shoot"
)

// A mistake is told with its place, what was meant and what to write.
func ExampleParse() {
	src := "halfstop: 1\nsetups:\n  - name: Aisle\n    haze: {visibility: 20 m, densty: light}\n"
	_, _, list := shoot.Parse("shoot.yaml", []byte(src), shoot.Options{})
	fmt.Print(list.Text())
	// Output:
	// shoot.yaml:4:30: unknown setting "densty" of the haze
	//   4 |     haze: {visibility: 20 m, densty: light}
	//     |                              ^^^^^^
	//   settings here: visibility, density, extinction, albedo, forward
	//   fix: write "density"
}
