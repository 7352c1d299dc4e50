package yamltext_test

import (
	"fmt"

	"halfstop/yamltext"
)

// A setting is changed where it stands; comments and every other byte stay.
func ExampleDoc_Set() {
	doc, _ := yamltext.Parse("shoot.yaml", []byte("lights:\n  - {role: key, power: 1/8}   # by the window\n"))
	out, err := doc.Set("lights[key].power", "1/4 - 0.3")
	fmt.Print(string(out), err)
	// Output:
	// lights:
	//   - {role: key, power: 1/4 - 0.3}   # by the window
	// <nil>
}
