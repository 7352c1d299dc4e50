package day_test

import (
	"fmt"

	"halfstop/day"
)

func Example() {
	s, ok := day.Seconds("17:30")
	fmt.Println(ok, day.Clock(s+45*60))
	// Output:
	// true 18:15
}
