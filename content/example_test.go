package content_test

import (
	"fmt"

	"halfstop/content"
)

func Example() {
	var a, b content.Hash
	a.Text("key")
	a.Floats(1.2, 0.5)
	b.Text("key")
	b.Floats(1.2, 0.6)
	fmt.Println(a.Key() == a.Key(), a.Key() == b.Key())
	// Output:
	// true false
}
