package kit_test

import (
	"fmt"

	"halfstop/kit"
)

// A battery head in a box with own readings laid over the catalogue.
func Example() {
	own, list := kit.Decode("kit/mine.yaml", []byte(`
heads:
  - name: mine
    like: battery head 500
    reads: {f-number: f/11 + 0.3, iso: 100, from: 2 m, power: 1/1, modifier: softbox 60x90}
`))
	if len(list) > 0 {
		fmt.Print(list.Text())
	}
	k := kit.Merge(kit.Catalogue(), own)
	s, err := k.Resolve(kit.Want{Head: "mine", Modifier: "softbox 60x90", Grid: "egg crate 40", Power: "1/8"})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s %v x %v at %s, %.0f cd·s, ± %.1f st\n", s.Shape, s.Width, s.Height, s.Dialled, s.Axial, float64(s.Uncertainty))
	for _, why := range s.Why {
		fmt.Println(why)
	}
	// Output: rectangle 0.6 m x 0.9 m at 1/8, 125 cd·s, ± 0.5 st 500 Ws at 50 lm/W: level: common
	// practice, no source, within 0.2 st of [S29]; weight and pops: trade figures, from memory
	// softbox 60x90: -2.5 st against the standard reflector, two cloths, -2 to -3 [S8], common
	// practice egg crate 40: -1.0 st at 2 m, nothing beyond 40 deg from the axis, -0.25 to -3 by
	// cell and distance [S9]; 1 to 2 [S10]; -1 used own reading f/11 + 0.3 at ISO 100 from 2 m with
	// softbox 60x90, set to 1/1, without the grid: -0.4 st against what the figures say softbox
	// 60x90: +5 mired by its cloth
}
