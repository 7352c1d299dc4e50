package quantity_test

import (
	"fmt"

	q "halfstop/quantity"
)

// A meter shows the engraved whole stop and tenths.
func ExampleFNumber_Tenths() {
	whole, tenth := q.FNumber(4.29).Tenths()
	fmt.Println(whole, tenth, q.MustParseFNumber("f/5.6 - 0.3"))
	// Output: 4 2 f/4 + 0.7
}

// A shutter time finds its nearest engraved setting and the exact rest.
func ExampleSeconds_Engraved() {
	text, _, over := q.Seconds(1.0 / 128).Engraved()
	fmt.Printf("%s %+.3f st\n", text, float64(over))
	// Output: 1/125 s -0.034 st
}
