package ways

import (
	"math"
	"slices"

	"halfstop/balance"
	"halfstop/spectrum"
)

// reachShare is the least share of the light at a point that a light must be able to give, the
// others at their lowest, for its colour to count there.
const reachShare = 0.05

// reach widens each colour wish that no light here can meet, whatever is set, to the nearest that
// can be had, and says so in its aim: what cannot be had pulls nothing else about. The colours that
// can be had are the convex hull of those of all lights and options at the point (Grassmann;
// u'v' keeps straight lines): a bound, as all lights are taken to mix freely.
func (r *rig) reach(p *balance.Problem, aims []aim) {
	white := r.stage.White.XY()
	for i := range p.Targets {
		t := &p.Targets[i]
		if t.Kind != balance.Colour || t.To >= 0 {
			continue
		}
		var list [][2]float64
		var own []float64
		rest := 0.0 // all lights at their lowest
		for l := range p.Lights {
			light := &p.Lights[l]
			for k := range light.Options {
				if k != light.Option && len(light.MayOption) == 0 || t.Point >= len(light.Options[k].At) {
					continue
				}
				top := float64(light.Level)
				if light.Levels.Max > light.Level {
					top = float64(light.Levels.Max)
				}
				c, t := &light.Options[k].At[t.Point], float64(p.Camera.Shutter)
				flash, burns := c.FlashLight, c.ContinuousLight
				if !(flash[1]+burns[1] > 0) { // a spot
					flash, burns = c.FlashXYZ, c.ContinuousXYZ
				}
				xyz := spectrum.XYZ{X: flash[0] + t*burns[0], Y: flash[1] + t*burns[1], Z: flash[2] + t*burns[2]}
				y := xyz.Y * math.Exp2(top)
				if !(y > 0) || light.Off {
					continue
				}
				u, v := xyz.XY().UVPrime()
				list, own = append(list, [2]float64{u, v}), append(own, y)
				if k == light.Option {
					low := float64(light.Level)
					if light.Levels.Max > light.Levels.Min {
						low = float64(light.Levels.Min)
					}
					rest += xyz.Y * math.Exp2(low)
				}
			}
		}
		n := 0
		for k := range list {
			if own[k] >= reachShare*rest {
				list[n] = list[k]
				n++
			}
		}
		at, off := nearestIn(list[:n], t.UV)
		if usual := t.Tolerance(); n > 0 && off > usual {
			t.Within = off + usual
			if words, seen := colourOff(at, t.UV, white); seen {
				aims[i].nearest = words
			}
		}
	}
}

// nearestIn returns the point of the convex hull of list that is nearest to p, and how far it is:
// 0 where p lies inside.
func nearestIn(list [][2]float64, p [2]float64) (at [2]float64, off float64) {
	off = math.Inf(1)
	for i, a := range list {
		for _, b := range list[i:] {
			d := [2]float64{b[0] - a[0], b[1] - a[1]}
			s := 0.0
			if l := d[0]*d[0] + d[1]*d[1]; l > 0 {
				s = min(1, max(0, ((p[0]-a[0])*d[0]+(p[1]-a[1])*d[1])/l))
			}
			q := [2]float64{a[0] + s*d[0], a[1] + s*d[1]}
			if x := math.Hypot(q[0]-p[0], q[1]-p[1]); x < off {
				at, off = q, x
			}
		}
	}
	// Inside: the points lie all round p, with no gap of half a turn.
	var angles []float64
	for _, a := range list {
		angles = append(angles, math.Atan2(a[1]-p[1], a[0]-p[0]))
	}
	slices.Sort(angles)
	gap := 0.0
	for i := range angles {
		next := angles[0] + 2*math.Pi
		if i+1 < len(angles) {
			next = angles[i+1]
		}
		gap = max(gap, next-angles[i])
	}
	if len(list) > 2 && gap < math.Pi {
		return p, 0
	}
	return at, off
}
