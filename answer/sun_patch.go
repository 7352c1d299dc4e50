package answer

import (
	"fmt"
	"math"
	"strings"

	"halfstop/geom"
	"halfstop/stage"
)

// PatchOn is where a patch of sun lies in the room: on the floor (corners x, y) or on a wall, which
// counts from 1 (corners along it from its first corner, and up). Metres. What stands in the sun's
// way is not counted.
type PatchOn struct {
	Wall    int // 0: the floor
	Corners [][2]float64
}

// lies puts a window's patch onto the floor and the walls of its room; without walls it is that on
// the floor. Check: TestSunPatchOnWall.
func lies(g *stage.Glazing, sun geom.Vec, corners []geom.Vec, ceiling float64) (out []PatchOn) {
	flat := func(at []geom.Vec) (p [][2]float64) {
		for _, c := range at {
			p = append(p, [2]float64{c.X, c.Y})
		}
		return p
	}
	floor := flat(g.Patch(sun))
	if len(corners) < 3 {
		return []PatchOn{{0, floor}}
	}
	if p := clipped(flat(corners), floor); len(p) > 0 {
		out = append(out, PatchOn{0, p})
	}
	for n := 1; n <= len(corners); n++ {
		a, dir, l, in, ok := stage.Wall(corners, n)
		down := -sun.Dot(in)
		if !ok || down > -1e-6 { // light does not come to it from inside
			continue
		}
		var on [][2]float64
		for _, c := range g.Corners() {
			t := a.Sub(c).Dot(in) / down
			q := c.AddMul(sun, -t)
			if t > 1e-6 {
				on = append(on, [2]float64{q.Sub(a).Dot(dir), q.Z})
			}
		}
		top := ceiling
		if top <= 0 {
			top = 100
		}
		if p := clipped([][2]float64{{0, 0}, {l, 0}, {l, top}, {0, top}}, on); len(on) == 4 && len(p) > 0 {
			out = append(out, PatchOn{n, p})
		}
	}
	return out
}

// clipped is the part of an outline inside a convex one (Sutherland and Hodgman 1974); nil where it
// is less than a square centimetre.
func clipped(outline, convex [][2]float64) [][2]float64 {
	if len(convex) < 3 {
		return nil
	}
	turn := 1.0
	if area(convex) < 0 {
		turn = -1
	}
	for i, a := range convex {
		b := convex[(i+1)%len(convex)]
		side := func(p [2]float64) float64 {
			return turn * ((b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0]))
		}
		var kept [][2]float64
		for k, p := range outline {
			q := outline[(k+1)%len(outline)]
			sp, sq := side(p), side(q)
			if sp >= 0 {
				kept = append(kept, p)
			}
			if (sp >= 0) != (sq >= 0) {
				t := sp / (sp - sq)
				kept = append(kept, [2]float64{p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1])})
			}
		}
		outline = kept
	}
	if math.Abs(area(outline)) < 1e-4 {
		return nil
	}
	return outline
}

// area of an outline, over 0 anticlockwise.
func area(p [][2]float64) (sum float64) {
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += (a[0]*b[1] - b[0]*a[1]) / 2
	}
	return sum
}

// Where says in words where a patch lies.
func (p *SunPatch) Where() string {
	var out []string
	for _, on := range p.Lies {
		lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		for _, c := range on.Corners {
			for k := range 2 {
				lo[k], hi[k] = math.Min(lo[k], c[k]), math.Max(hi[k], c[k])
			}
		}
		if on.Wall == 0 {
			out = append(out, fmt.Sprintf("on the floor x %.1f to %.1f m, y %.1f to %.1f m", lo[0], hi[0],
				lo[1], hi[1]))
		} else {
			out = append(out, fmt.Sprintf("on wall %d %.1f to %.1f m along, %.1f to %.1f m up", on.Wall, lo[0],
				hi[0], lo[1], hi[1]))
		}
	}
	return strings.Join(out, "; ")
}
