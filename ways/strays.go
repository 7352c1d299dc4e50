package ways

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"halfstop/balance"
	"halfstop/spectrum"
	"halfstop/stage"
)

// strays returns the lights that pull the colour at a target's point away from the one wanted.
func (b *Balanced) strays(i int) (out []Cause) {
	t := &b.Problem.Targets[i]
	if t.Kind != balance.Colour || t.To >= 0 {
		return b.tooMuch(t.Point, 0)
	}
	r := &b.After[t.Point]
	off := func(c spectrum.XY) float64 {
		u, v := c.UVPrime()
		return math.Hypot(u-t.UV[0], v-t.UV[1])
	}
	mixed := off(r.XY)
	for l := range r.Lights {
		sh := &r.Lights[l]
		if sh.Share < 0.1 || off(sh.XYZ.XY()) <= mixed {
			continue
		}
		ly := &b.Stage.Layers[l]
		c := Cause{Kind: Spill, Light: l,
			Words: fmt.Sprintf("%s makes %.0f %% of the light on %s and is of another colour",
				ly.Name, 100*sh.Share, b.pointName(t.Point))}
		switch {
		case ly.Kind == stage.Daylight:
			c.Kind, c.Words = NoDimmer, c.Words+": a gel on the pane, or a blind"
		case ly.Light < 0:
			c.Kind, c.Words = NoDimmer, c.Words+": off if that may be, or a faster shutter"
		case b.Problem.Lights[l].For != nil && !slices.Contains(b.Problem.Lights[l].For, t.Point):
			c.Words += ": it spills there; a grid, a flag, or further off"
		default:
			c.Kind, c.Words = OtherLight, c.Words+": gel it"
		}
		out = append(out, c)
	}
	slices.SortStableFunc(out, func(x, y Cause) int {
		return -cmp.Compare(r.Lights[x.Light].Share,
			r.Lights[y.Light].Share)
	})
	return out
}
