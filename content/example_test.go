package content_test

import (
	"fmt"

	"halfstop/content"
)

func Example() {
	key := func(name string, at ...float64) content.Key {
		var h content.Hash
		h.Text(name)
		h.Floats(at...)
		return h.Key()
	}
	first := key("key", 1.2, 0.5)
	fmt.Println(first == key("key", 1.2, 0.5), first == key("key", 1.2, 0.6))
	// Output:
	// true false
}
