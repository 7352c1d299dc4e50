package balance_test

import (
	"context"
	"fmt"

	"halfstop/balance"
)

func Example() {
	// One light that gives 160 lx·s at full; f/4 at ISO 100 needs 40 (C = 250).
	p := balance.Problem{
		Points: []balance.Point{{Name: "face"}},
		Lights: []balance.Light{{Name: "key", Levels: balance.Scale{Min: -6, Step: 0.1},
			Options: []balance.Option{{At: []balance.Contribution{{Flash: 160}}}}}},
		Camera:  balance.Camera{Aperture: 4, Shutter: 1.0 / 125, ISO: 100},
		Targets: []balance.Target{balance.ReadsAt(0, 4)},
	}
	sol, err := balance.Solve(context.Background(), p)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f st, met: %v\n", float64(sol.Lights[0].Level), sol.Targets[0].Met)
	// Output:
	// -2.0 st, met: true
}
