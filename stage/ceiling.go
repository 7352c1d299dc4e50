package stage

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"halfstop/diag"
	"halfstop/geom"
	q "halfstop/quantity"
	"halfstop/shoot"
)

// CeilingAt gives the height of the ceiling over a place on the plan, metres; 0: under the open
// sky.
func CeilingAt(r *shoot.Room, x, y float64) float64 {
	return float64(r.CeilingAt(q.Metres(x), q.Metres(y)))
}

// CeilingPart is a piece of the ceiling: two level sides along y at X0 and X1, between a lower and
// an upper edge (trapezoid). Lo and Hi are y at X0 and at X1.
type CeilingPart struct {
	X0, X1 float64
	Lo, Hi [2]float64
	Z      float64 // metres over the floor
	Zone   int     // number of the zone; -1: the rest of the room
	Hole   bool    // a window in the ceiling
}

// polygon is an outline that the ceiling is cut by.
type polygon struct {
	c    [][2]float64
	z    float64
	zone int // -1: the room, -2: a window
}

// CeilingParts cuts the ceiling of a room with zones into trapezoids between the upright lines
// through all corners and crossings (de Berg et al. 2008, trapezoidal decomposition). Where zones
// overlap the lowest counts; what lies outside the outline is left out. Check: TestCeilingParts.
func CeilingParts(r *shoot.Room) []CeilingPart {
	corners, base := Outline(r)
	if len(corners) < 3 || base <= 0 {
		return nil
	}
	room := polygon{zone: -1, z: base}
	for _, c := range corners {
		room.c = append(room.c, [2]float64{c.X, c.Y})
	}
	all := []polygon{room}
	for i := range r.Ceilings {
		z := polygon{zone: i, z: float64(r.Ceilings[i].Height)}
		for _, c := range r.Ceilings[i].Corners() {
			z.c = append(z.c, [2]float64{float64(c[0]), float64(c[1])})
		}
		all = append(all, z)
	}
	for i := range r.Windows {
		if w := &r.Windows[i]; w.InCeiling {
			x, y, dx, dy := float64(w.At[0]), float64(w.At[1]), float64(w.Size[0]), float64(w.Size[1])
			all = append(all, polygon{zone: -2, c: [][2]float64{{x, y}, {x + dx, y}, {x + dx, y + dy}, {x, y + dy}}})
		}
	}
	xs := cuts(all)
	var out []CeilingPart
	for i := 1; i < len(xs); i++ {
		out = append(out, slab(all, xs[i-1], xs[i])...)
	}
	return out
}

const sameLine = 1e-7 // metres: corners nearer than this lie on one line

// cuts gives x of all corners and of all crossings of edges, rising.
func cuts(all []polygon) []float64 {
	var xs []float64
	type edge struct{ a, b [2]float64 }
	var edges []edge
	for _, p := range all {
		for i, a := range p.c {
			xs = append(xs, a[0])
			edges = append(edges, edge{a, p.c[(i+1)%len(p.c)]})
		}
	}
	for i, e := range edges {
		ex, ey := e.b[0]-e.a[0], e.b[1]-e.a[1]
		for _, f := range edges[:i] {
			fx, fy := f.b[0]-f.a[0], f.b[1]-f.a[1]
			d := ex*fy - ey*fx
			if math.Abs(d) < 1e-12 {
				continue
			}
			t := ((f.a[0]-e.a[0])*fy - (f.a[1]-e.a[1])*fx) / d
			u := ((f.a[0]-e.a[0])*ey - (f.a[1]-e.a[1])*ex) / d
			if t > 0 && t < 1 && u > 0 && u < 1 {
				xs = append(xs, e.a[0]+t*ex)
			}
		}
	}
	slices.Sort(xs)
	return slices.CompactFunc(xs, func(a, b float64) bool { return math.Abs(b-a) < sameLine })
}

// slab gives the pieces between two neighbouring lines.
func slab(all []polygon, x0, x1 float64) (out []CeilingPart) {
	type crossing struct {
		y   [2]float64
		mid float64
		of  int
	}
	var list []crossing
	xm := (x0 + x1) / 2
	for k, p := range all {
		for i, a := range p.c {
			b := p.c[(i+1)%len(p.c)]
			if (a[0] > xm) == (b[0] > xm) {
				continue
			}
			y := func(x float64) float64 {
				t := min(1, max(0, (x-a[0])/(b[0]-a[0])))
				return a[1] + t*(b[1]-a[1])
			}
			list = append(list, crossing{[2]float64{y(x0), y(x1)}, y(xm), k})
		}
	}
	slices.SortStableFunc(list, func(a, b crossing) int { return cmp.Compare(a.mid, b.mid) })
	in := make([]bool, len(all))
	for i := 0; i+1 < len(list); i++ {
		in[list[i].of] = !in[list[i].of]
		if !in[0] || list[i+1].mid-list[i].mid < sameLine {
			continue
		}
		part := CeilingPart{X0: x0, X1: x1, Lo: list[i].y, Hi: list[i+1].y, Z: all[0].z, Zone: -1}
		for k := 1; k < len(all); k++ {
			switch {
			case !in[k]:
			case all[k].zone == -2:
				part.Hole = true
			case part.Zone < 0 || all[k].z < part.Z:
				part.Z, part.Zone = all[k].z, all[k].zone
			}
		}
		out = append(out, part)
	}
	return out
}

// stretch is a part of a wall with one ceiling over it, measured from the wall's first corner.
type stretch struct{ from, to, height float64 }

// wallTop gives how high a wall goes, and its stretches where ceilings of more than one height meet
// it; none where it has one height.
func (s *Stage) wallTop(a, dir geom.Vec, length, base float64) (top float64, low []stretch) {
	r := &s.Shoot.Room
	if len(r.Ceilings) == 0 || base <= 0 {
		return base, nil
	}
	ts := []float64{0, length}
	for i := range r.Ceilings {
		c := r.Ceilings[i].Corners()
		for k := range c {
			p := geom.V(float64(c[k][0]), float64(c[k][1]), 0)
			e := geom.V(float64(c[(k+1)%len(c)][0]), float64(c[(k+1)%len(c)][1]), 0).Sub(p)
			ts = append(ts, p.Sub(a).Dot(dir))
			if d := dir.X*e.Y - dir.Y*e.X; math.Abs(d) > 1e-12 {
				ap := p.Sub(a)
				ts = append(ts, (ap.X*e.Y-ap.Y*e.X)/d)
			}
		}
	}
	ts = slices.DeleteFunc(ts, func(t float64) bool { return t < 0 || t > length })
	slices.Sort(ts)
	const inside = 1e-5
	for i := 1; i < len(ts); i++ {
		if ts[i]-ts[i-1] < sameLine {
			continue
		}
		m := a.AddMul(dir, (ts[i]+ts[i-1])/2).AddMul(geom.V(-dir.Y, dir.X, 0), inside)
		h := CeilingAt(r, m.X, m.Y)
		if n := len(low); n > 0 && low[n-1].height == h {
			low[n-1].to = ts[i]
		} else {
			low = append(low, stretch{ts[i-1], ts[i], h})
		}
		top = max(top, h)
	}
	return top, low
}

// sameEdge reports whether two edges of one slab are the same.
func sameEdge(a, b [2]float64) bool { return math.Abs(a[0]-b[0]) < 1e-6 && math.Abs(a[1]-b[1]) < 1e-6 }

// ceilings builds a ceiling of more than one height: its pieces, and the upright sides between
// them, which look to the higher one.
func (s *Stage) ceilings() {
	r := &s.Shoot.Room
	own := s.shell("ceiling", "all")
	mats := make([]int, len(r.Ceilings))
	for i := range mats {
		mats[i] = own
		if w := r.Ceilings[i].Surface; w != nil {
			mats[i] = s.material(*w, nil, fmt.Sprintf("room.ceilings[%d].surface", i))
		}
	}
	parts := CeilingParts(r)
	mat := func(zone int) int {
		if zone < 0 {
			return own
		}
		return mats[zone]
	}
	side := func(a, b [2]float64, p, x *CeilingPart) { // upright between two pieces
		if p.Z == x.Z || math.Hypot(b[0]-a[0], b[1]-a[1]) < sameLine {
			return
		}
		low, high := p, x
		if p.Z > x.Z {
			low, high = x, p
		}
		of := low.Zone // what hangs down, or else what is sunk in
		if of < 0 {
			of = high.Zone
		}
		c := geom.V((a[0]+b[0])/2, (a[1]+b[1])/2, (low.Z+high.Z)/2)
		n := geom.V(b[1]-a[1], a[0]-b[0], 0).Unit()
		to := geom.V((high.X0+high.X1)/2, (high.Lo[0]+high.Lo[1]+high.Hi[0]+high.Hi[1])/4, c.Z)
		if to.Sub(c).Dot(n) < 0 {
			n = n.Neg()
		}
		s.Scene.AddQuad(c, geom.UprightFrame(n), math.Hypot(b[0]-a[0], b[1]-a[1]), high.Z-low.Z, mat(of))
	}
	for i := range parts {
		p := &parts[i]
		if !p.Hole {
			face := []geom.Vec{geom.V(p.X0, p.Lo[0], p.Z)} // clockwise from above: front down
			if p.Hi[0]-p.Lo[0] > sameLine {
				face = append(face, geom.V(p.X0, p.Hi[0], p.Z))
			}
			face = append(face, geom.V(p.X1, p.Hi[1], p.Z))
			if p.Hi[1]-p.Lo[1] > sameLine {
				face = append(face, geom.V(p.X1, p.Lo[1], p.Z))
			}
			if err := s.Scene.AddPolygon(face, mat(p.Zone)); err != nil {
				s.problem(diag.Error, "stage.outline", "room.ceilings", "measure again",
					"the ceiling cannot be built: %v",
					err)
				return
			}
		}
		for j := range parts {
			x := &parts[j]
			switch {
			case j > i && x.X0 == p.X0 && (sameEdge(p.Hi, x.Lo) || sameEdge(x.Hi, p.Lo)): // one over the other
				lo := x.Lo
				if sameEdge(x.Hi, p.Lo) {
					lo = p.Lo
				}
				side([2]float64{p.X0, lo[0]}, [2]float64{p.X1, lo[1]}, p, x)
			case x.X0 == p.X1: // side by side
				lo, hi := max(p.Lo[1], x.Lo[0]), min(p.Hi[1], x.Hi[0])
				if hi-lo > sameLine {
					side([2]float64{p.X1, lo}, [2]float64{p.X1, hi}, p, x)
				}
			}
		}
	}
}
