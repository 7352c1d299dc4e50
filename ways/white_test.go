package ways

import (
	"math"
	"strings"
	"testing"

	"halfstop/meter"
)

// Where the white balance is free it follows the light at the key side: a tungsten key gives its
// 3,200 K within the 50 K it is set to, and once set there is nothing left to change. Without
// `white balance: true` it stays.
func TestBalanceWhite(t *testing.T) {
	const src = `halfstop: 1
setups:
  - name: a
    camera: {at: [4, 2], height: 1.5 m, aim: [1.5, 2, 1.4], white balance: 5600 K}
    lights:
      - {role: key, emitter: {shape: disc, size: 0.4 m, intensity: 900 cd}, at: [2.5, 0.8, 2], aim: [1.5, 2, 1.4], colour: 3200 K}
    sitter: {at: [1.5, 2]}
    may: {white balance: true}
    look:
      - {point: face key side, reads: f/2}
`
	work := meter.Work{Seed: 1, Error: 0.05}
	j := jobOf(t, src)
	b := balanced(t, j, work)
	k, ok := b.WhiteBalance()
	if !ok || math.Abs(k-3200) > 50 {
		t.Fatalf("white balance %g, %v; the light is of 3200 K", k, ok)
	}
	text, err := j.Doc.SetAll(b.Edits())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), "white balance: 3200 K") {
		t.Errorf("not written:\n%s", text)
	}
	if k, ok := balanced(t, jobOf(t, string(text)), work).WhiteBalance(); ok {
		t.Errorf("set once, it wants %g K again", k)
	}
	if k, ok := balanced(t, jobOf(t, strings.Replace(src, "    may: {white balance: true}\n", "", 1)),
		work).WhiteBalance(); ok {
		t.Errorf("not free, and still %g K", k)
	}
}
