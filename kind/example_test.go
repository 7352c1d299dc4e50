package kind_test

import (
	"fmt"

	"halfstop/kind"
)

func Example() {
	m, ok := kind.FindModifier("softbox")
	fmt.Println(ok, m.Shape)
	// Output:
	// true rectangle
}
