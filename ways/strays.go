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
	if t.Kind == balance.Warmth {
		if c, ok := b.ownLamp(i); ok {
			return []Cause{c}
		}
	}
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
			Words: fmt.Sprintf("%s %.0f %% of the light on %s, of another colour", makes(ly.Name), 100*sh.Share,
				b.pointName(t.Point))}
		switch {
		case ly.Kind == stage.Daylight:
			c.Kind, c.Remedy = NoDimmer, "a gel on the pane, or a blind"
		case ly.Light < 0 && fixed(b.Stage, l):
			c.Kind, c.Words, c.Remedy = NoDimmer, c.Words+", and may not be switched off", "a faster shutter"
		case ly.Light < 0:
			c.Kind, c.Remedy = NoDimmer, "off if that may be, or a faster shutter"
		case b.Problem.Lights[l].For != nil && !slices.Contains(b.Problem.Lights[l].For, t.Point):
			c.Words += ", and spills there"
			c.Remedy = "a grid, a flag, or further off"
		default:
			c.Kind, c.Remedy = OtherLight, "gel it"
		}
		out = append(out, c)
	}
	slices.SortStableFunc(out, func(x, y Cause) int {
		return -cmp.Compare(r.Lights[x.Light].Share,
			r.Lights[y.Light].Share)
	})
	if c, ok := b.diluted(i); ok && len(out) > 0 {
		out = append([]Cause{c}, out...)
	}
	return out
}

// ownLamp is the cause of a lamp of the place that is too warm or too cool for the camera's white
// at the point that it lights most: the white is wrong for it, not the lamp.
func (b *Balanced) ownLamp(i int) (c Cause, ok bool) {
	t, o := &b.Problem.Targets[i], &b.Solution.Targets[i]
	l := b.strongest(t.Point)
	if l < 0 || b.Stage.Layers[l].Kind != stage.Practical {
		return c, false
	}
	k, _, ok := spectrum.CCTOhno2013(b.After[t.Point].XY)
	white, _, known := spectrum.CCTOhno2013(b.Stage.White.XY())
	if !ok || !known {
		return c, false
	}
	to := 1e6 / (1e6/white + o.Predicted - (t.Lo+t.Hi)/2)
	if !(to > 1500 && to < 12000) {
		return c, false
	}
	return Cause{Kind: WhiteOff, Light: l, Words: fmt.Sprintf("%s is lit by %s, at %.0f K under a white of %.0f K",
		b.pointName(t.Point), b.Stage.Layers[l].Name, math.Round(k/50)*50, math.Round(white/50)*50),
		Remedy: fmt.Sprintf("the white at about %.0f K, with the flash gelled to it", math.Round(to/100)*100)}, true
}

// purer is what makes more of the light at a point that of one light, which must gain so many stops
// on the others there.
func (b *Balanced) purer(own int, gain float64) string {
	name, p := b.Stage.Layers[own].Name, &b.Problem.Lights[own]
	up := float64(p.Levels.Max - b.Solution.Lights[own].Level)
	less := fmt.Sprintf("keep the others off it, by %.1f st", gain)
	switch {
	case b.Stage.Layers[own].Light < 0 || p.Lock || len(p.Levels.List) < 2:
		return less
	case up < 0.05:
		return less + fmt.Sprintf(" (%s is at full)", name)
	case up < gain-0.05:
		return fmt.Sprintf("%.1f st more of %s is all it has, and the others off it by %.1f st", up, name, gain-up)
	}
	return fmt.Sprintf("%.1f st more of %s, or the others off it by as much", gain, name)
}

// diluted says how much of the light at a colour wish's point may be of another colour, and how
// much is: the chromaticity of a mixture lies between those of its parts (Grassmann), so the light
// that is nearest to the colour must stand so many stops over all the others there. ok is false
// where that light alone is there, or none is.
func (b *Balanced) diluted(i int) (c Cause, ok bool) {
	t := &b.Problem.Targets[i]
	r := &b.After[t.Point]
	off := func(xyz spectrum.XYZ) float64 {
		u, v := xyz.XY().UVPrime()
		return math.Hypot(u-t.UV[0], v-t.UV[1])
	}
	own, best := -1, math.Inf(1)
	for l := range r.Lights {
		if sh := &r.Lights[l]; sh.Share >= 0.02 {
			if d := off(sh.XYZ); d < best {
				own, best = l, d
			}
		}
	}
	if own < 0 {
		return c, false
	}
	var pure, rest spectrum.XYZ // by their shares of the exposure there
	add := func(to *spectrum.XYZ, x spectrum.XYZ, by float64) {
		to.X, to.Y, to.Z = to.X+by*x.X, to.Y+by*x.Y, to.Z+by*x.Z
	}
	for l := range r.Lights {
		sh := &r.Lights[l]
		if !(sh.XYZ.Y > 0) {
			continue
		}
		if l == own {
			add(&pure, sh.XYZ, sh.Share/sh.XYZ.Y)
		} else {
			add(&rest, sh.XYZ, sh.Share/sh.XYZ.Y)
		}
	}
	if rest.Y < 0.02 {
		return c, false
	}
	name, within := b.Stage.Layers[own].Name, t.Tolerance()
	point := b.pointName(t.Point)
	now := 100 * rest.Y / (pure.Y + rest.Y)
	if best > within {
		alone := r.Lights[own].XYZ.XY()
		u, v := alone.UVPrime()
		how, _ := colourOff([2]float64{u, v}, t.UV, b.Stage.White.XY())
		return Cause{Kind: Diluted, Light: own, Words: fmt.Sprintf("%s by itself is %s at %s, where %.0f %% is other "+
			"light", name, how, point, now), Remedy: "another gel or head (halfstop match lists them)"}, true
	}
	// The share of the rest at which the mixture is just within, by bisection: it is monotone.
	low, high := 0.0, 1.0
	for range 40 {
		mid := (low + high) / 2
		mixed := pure
		add(&mixed, rest, mid)
		if off(mixed) > within {
			high = mid
		} else {
			low = mid
		}
	}
	least := math.Log2(1 / max(low, 1e-4))
	if least < 0.1 {
		return c, false
	}
	may := 100 * low * rest.Y / (pure.Y + low*rest.Y)
	return Cause{Kind: Diluted, Light: own, Words: fmt.Sprintf("%.0f %% of the light at %s is of another colour, and "+
		"for this one it may be %.0f %%", now, point, may),
		Remedy: b.purer(own, least)}, true
}
