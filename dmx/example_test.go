package dmx_test

import (
	"fmt"

	"halfstop/dmx"
)

func Example() {
	p := dmx.Packet{Source: "halfstop", Priority: 100, Universe: 1, Slots: []byte{255, 128}}
	b, err := p.AppendTo(nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	back, err := dmx.Parse(b)
	fmt.Println(len(b), back.Universe, back.Slots, err)
	// Output:
	// 128 1 [255 128] <nil>
}
