package daylight_test

import (
	"fmt"
	"time"

	"halfstop/daylight"
)

func Example() {
	at := time.Date(2026, 6, 21, 12, 0, 0, 0, time.UTC)
	altitude, _ := daylight.Sun(at, 51.48, 0)
	fmt.Printf("midsummer noon at 51.5° north: %.0f° high\n", altitude)
	// Output:
	// midsummer noon at 51.5° north: 62° high
}
