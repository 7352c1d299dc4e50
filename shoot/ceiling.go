package shoot

import (
	"fmt"
	"math"

	q "halfstop/quantity"
)

// Corners gives the outline of the zone on the plan.
func (z *CeilingZone) Corners() [][2]q.Metres {
	if len(z.Outline) > 0 {
		return z.Outline
	}
	x, y, w, d := z.At[0], z.At[1], z.Size[0], z.Size[1]
	return [][2]q.Metres{{x, y}, {x + w, y}, {x + w, y + d}, {x, y + d}}
}

// CeilingAt gives the height of the ceiling over a place on the plan; 0: under the open sky.
func (r *Room) CeilingAt(x, y q.Metres) q.Metres {
	_, base := r.Corners()
	low := q.Metres(math.Inf(1))
	for i := range r.Ceilings {
		if z := &r.Ceilings[i]; z.Height < low && within(z.Corners(), x, y) {
			low = z.Height
		}
	}
	if math.IsInf(float64(low), 1) || base <= 0 {
		return base
	}
	return low
}

// within reports whether a place lies inside a polygon, either way round.
func within(c [][2]q.Metres, x, y q.Metres) bool {
	in := false
	for i := range c {
		a, b := c[i], c[(i+1)%len(c)]
		if (a[1] > y) != (b[1] > y) && x < (b[0]-a[0])*(y-a[1])/(b[1]-a[1])+a[0] {
			in = !in
		}
	}
	return in
}

// ceilingOver gives the lowest ceiling over a stretch of a wall, looked at every centimetre or so
// just inside it; false where the room has one height.
func (r *Room) ceilingOver(corners [][2]q.Metres, wall int, from, width q.Metres) (q.Metres, bool) {
	if len(r.Ceilings) == 0 || wall < 1 || wall > len(corners) || !(width > 0) {
		return 0, false
	}
	a, b := corners[wall-1], corners[wall%len(corners)]
	l := q.Metres(wallLength(corners, wall))
	if !(l > 0) {
		return 0, false
	}
	u := [2]q.Metres{(b[0] - a[0]) / l, (b[1] - a[1]) / l}
	const in = 1e-4
	low := q.Metres(math.Inf(1))
	n := int(min(2000, max(4, float64(width)/0.01)))
	for i := range n {
		t := from + width*(q.Metres(i)+0.5)/q.Metres(n)
		low = min(low, r.CeilingAt(a[0]+u[0]*t-u[1]*in, a[1]+u[1]*t+u[0]*in))
	}
	return low, true
}

// ceilings holds zones to their room.
func (c *checker) ceilings(r *Room, corners [][2]q.Metres) {
	seen := names{}
	for i := range r.Ceilings {
		z, path := &r.Ceilings[i], fmt.Sprintf("room.ceilings[%d]", i)
		c.unique(seen, "a part of the ceiling", z.Name, path)
		c.exactly(path, "a part of the ceiling", false, "outline", "size")
		if c.failed(path) {
			continue
		}
		if c.doc.Has(path+".outline") && c.doc.Has(path+".at") {
			c.say(path+".at", "shoot.one-of", "delete it", "an outline says itself where it is")
			continue
		}
		if c.said(path + ".outline") {
			if len(z.Outline) < 3 || len(z.Outline) > 200 {
				c.say(path+".outline", "shoot.outline", "give 3 to 200 corners",
					"a part of the ceiling needs 3 to 200 corners; here are %d", len(z.Outline))
				continue
			}
			if crossesItself(z.Outline) {
				c.say(path+".outline", "shoot.outline", "list the corners in order round it",
					"the outline crosses or touches itself")
				continue
			}
		}
		_, base := r.Corners()
		switch {
		case len(corners) < 3 || base <= 0:
			if !c.failed("room.outline") && !c.failed("room.size") {
				c.say(path, "shoot.no-room", "add the room's size, or outline and ceiling",
					"a part of the ceiling needs a room with a ceiling")
			}
			continue
		case !overlaps(corners, z.Corners()):
			c.say(path, "shoot.ceiling", "measure again from the room's first corner",
				"this part of the ceiling lies outside the room")
		}
	}
	if len(r.Ceilings) == 0 {
		return
	}
	for i := range r.Windows {
		w, path := &r.Windows[i], fmt.Sprintf("room.windows[%d]", i)
		if !w.InCeiling || c.failed(path) {
			continue
		}
		h := r.CeilingAt(w.At[0]+w.Size[0]/2, w.At[1]+w.Size[1]/2)
		const n = 24
		for k := range n * n {
			x := w.At[0] + w.Size[0]*(q.Metres(k%n)+0.5)/n
			if r.CeilingAt(x, w.At[1]+w.Size[1]*(q.Metres(k/n)+0.5)/n) != h {
				m := c.say(path, "shoot.window", "move it, or make it smaller",
					"a window in the ceiling lies under one height; this one spans two")
				c.also(m, "room.ceilings", "the heights are set here")
				break
			}
		}
	}
}

// crossesItself reports whether a closed outline is no simple polygon.
func crossesItself(p [][2]q.Metres) bool {
	n := len(p)
	for i := range p {
		if wallLength(p, i+1) < 1e-3 {
			return true
		}
		for j := i + 1; j < n; j++ {
			if j == i+1 || i == 0 && j == n-1 {
				if folds(p, i, j) {
					return true
				}
				continue
			}
			if crosses(p[i], p[(i+1)%n], p[j], p[(j+1)%n]) {
				return true
			}
		}
	}
	return false
}

// overlaps reports whether two polygons share ground, by a grid over the second: a zone narrower
// than a fiftieth of itself inside the room is taken for outside.
func overlaps(room, zone [][2]q.Metres) bool {
	lo, hi := zone[0], zone[0]
	for _, c := range zone {
		lo = [2]q.Metres{min(lo[0], c[0]), min(lo[1], c[1])}
		hi = [2]q.Metres{max(hi[0], c[0]), max(hi[1], c[1])}
	}
	const n = 50
	for k := range n * n {
		x := lo[0] + (hi[0]-lo[0])*(q.Metres(k%n)+0.5)/n
		y := lo[1] + (hi[1]-lo[1])*(q.Metres(k/n)+0.5)/n
		if within(zone, x, y) && within(room, x, y) {
			return true
		}
	}
	return false
}
