package scan

import "fmt"

// A phone's scan in millimetres with y up, turned by 31°.
func ExampleFind() {
	r, err := Find(placed(room(1, 5, 4, 2.6, 0, 0), 31, 1000, true), Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s in %s, up %s, ceiling %.2f m\n", r.Shape(), r.Unit, r.Up, r.Ceiling)
	// Output: a rectangle in mm, up y+, ceiling 2.60 m
}
