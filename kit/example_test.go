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
	fmt.Printf("%s %v x %v at %s, %.0f cd·s, ± %.1f st\n", s.Shape, s.Width, s.Height, s.Dialled, s.Axial,
		float64(s.Uncertainty))
	fmt.Println(len(s.Why), "lines say where the figures come from, the last:", s.Why[len(s.Why)-1])
	// Output:
	// rectangle 0.6 m x 0.9 m at 1/8, 125 cd·s, ± 0.5 st
	// 5 lines say where the figures come from, the last: softbox 60x90: +5 mired by its cloth
}
