package answer

import (
	"fmt"
	"math"
	"testing"

	"halfstop/diag"
	"halfstop/kit"
	"halfstop/shoot"
	"halfstop/spectrum"
)

const coloured = `
halfstop: 1
room: {size: [4, 5, 2.7]}
kit:
  heads:
    - name: tube
      like: rgb tube
      channels: [{does: dimmer, fine: true}, {does: red, fine: true}, {does: green, fine: true}, {does: blue, fine: true},
                 {does: white, fine: true}, {does: shutter, rest: 1}]
    - name: bare
      like: rgb tube
      channels: [{does: red, curve: square}, {does: green, curve: square}, {does: blue, curve: square},
                 {does: white, curve: square}]
setups:
  - name: One
    lights:
`

// TestColourSentIsTheColour reads what is sent as a head does, mixes its emitters so, and holds the
// light to the one that the pictures are computed with: chromaticity within Δu'v' 0.001 where
// channels have 16 bit, 0.004 (a match that nobody sees, from memory) with 8, level within a
// hundredth; the shutter rests.
func TestColourSentIsTheColour(t *testing.T) {
	for _, colour := range []string{"3200 K", "5600 K", "11000 K", "{rgb: \"#ff7814\"}", "{rgb: \"#285aff\"}"} {
		for _, head := range []string{"tube", "bare"} {
			for _, level := range []float64{1, 0.6, 0.13} {
				src := coloured + fmt.Sprintf("      - {role: accent, head: %s, at: [1.7, 3.1, 2.2], "+
					"aim: [2, 3.4, 1], colour: %s, level: %g %%, patch: {universe: 1, address: 21}}\n",
					head, colour, 100*level)
				f, doc, list := shoot.Parse("shoot.yaml", []byte(src), shoot.Options{})
				if list.Has(diag.Error) {
					t.Fatal(list.Text())
				}
				job := &Job{File: f, Doc: doc}
				s, list, err := job.Send(0)
				if err != nil || s == nil || len(s.Heads) != 1 {
					t.Fatal(err, list.Text(), s)
				}
				st, _ := job.Stage(0, 0)
				slots := s.Heads[0].Slots
				var at func(i int) float64
				top := 1.0
				if head == "tube" {
					at = func(i int) float64 { return float64(int(slots[2*i])<<8|int(slots[2*i+1])) / 65535 }
					top = at(0)
					if slots[10] != 255 || !s.Still[1][20+10] || s.Still[1][20] {
						t.Errorf("the shutter has %d, still %v", slots[10], s.Still[1][20:32])
					}
				} else {
					at = func(i int) float64 { return math.Pow(float64(slots[i-1])/255, 2) }
				}
				k := kit.Merge(kit.Catalogue(), f.Kit)
				h, _ := k.FindHead(head)
				d, _, ok := h.Primaries()
				if !ok || len(d.Primaries) != 4 {
					t.Fatal(d)
				}
				got := d.Output([]float64{top * at(1), top * at(2), top * at(3), top * at(4)})
				layer := st.Layers[len(st.Layers)-1]
				most := map[string]float64{"tube": 0.001, "bare": 0.004}[head]
				if head == "bare" && level < 0.5 {
					most = 0.012 // 8 bit of a small level: the coarseness of the head
				}
				if uv := spectrum.DeltaUVPrime(got.XY(), layer.Spectrum.XY()); uv > most {
					t.Errorf("%s of %s at %g: Δu'v' %.4f", colour, head, level, uv)
				}
				full := d.Output(layer.Source.Drives)
				if k := got.Y / full.Y; math.Abs(k-1) > map[string]float64{"tube": 0.01, "bare": 0.03}[head] {
					t.Errorf("%s of %s at %g: %.3f of its level", colour, head, level, k)
				}
			}
		}
	}
}
