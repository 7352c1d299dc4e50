package trace

import (
	"errors"
	"math"
	"slices"

	"halfstop/geom"
)

// distinct sorts and drops what lies closer than a tenth of a millimetre to its neighbour.
func distinct(a []float64) []float64 {
	slices.Sort(a)
	out := a[:1]
	for _, x := range a[1:] {
		if x-out[len(out)-1] > 1e-4 {
			out = append(out, x)
		}
	}
	return out
}

// newell returns the unit normal of a polygon by the right-hand rule.
func newell(p []geom.Vec) geom.Vec {
	var n geom.Vec
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		n = n.Add(geom.V((a.Y-b.Y)*(a.Z+b.Z), (a.Z-b.Z)*(a.X+b.X), (a.X-b.X)*(a.Y+b.Y)))
	}
	return n.Unit()
}

// ErrPolygon is returned for a polygon that has no area or crosses itself.
var ErrPolygon = errors.New("polygon has no area or crosses itself")

// Triangulate cuts a simple polygon into triangles by ears; indices keep the polygon's sense.
func Triangulate(p []geom.Vec) ([][3]int, error) {
	if len(p) < 3 {
		return nil, ErrPolygon
	}
	n := newell(p)
	if n.Len2() == 0 {
		return nil, ErrPolygon
	}
	f := geom.FrameOf(n)
	type pt struct{ x, y float64 }
	q := make([]pt, len(p))
	for i, a := range p {
		d := a.Sub(p[0])
		q[i] = pt{d.Dot(f.S), d.Dot(f.T)}
	}
	cross := func(a, b, c pt) float64 { return (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x) }
	left := make([]int, len(p))
	for i := range left {
		left[i] = i
	}
	var out [][3]int
	for len(left) > 3 {
		cut := -1
		for i := range left {
			ia, ib, ic := left[(i+len(left)-1)%len(left)], left[i], left[(i+1)%len(left)]
			a, b, c := q[ia], q[ib], q[ic]
			if cross(a, b, c) <= 0 {
				if cross(a, b, c) == 0 && len(left) > 3 { // a corner on a straight line: an ear of no area
					cut = i
					break
				}
				continue
			}
			ear := true
			for _, j := range left {
				if j == ia || j == ib || j == ic {
					continue
				}
				if cross(a, b, q[j]) >= 0 && cross(b, c, q[j]) >= 0 && cross(c, a, q[j]) >= 0 {
					ear = false
					break
				}
			}
			if ear {
				cut = i
				break
			}
		}
		if cut < 0 {
			return nil, ErrPolygon
		}
		ia, ib, ic := left[(cut+len(left)-1)%len(left)], left[cut], left[(cut+1)%len(left)]
		out = append(out, [3]int{ia, ib, ic})
		left = slices.Delete(left, cut, cut+1)
	}
	return append(out, [3]int{left[0], left[1], left[2]}), nil
}

// icosphere returns a unit sphere of 20·4^n triangles, fronts outward.
func icosphere(n int) ([]geom.Vec, [][3]uint32) {
	g := (1 + math.Sqrt(5)) / 2
	p := []geom.Vec{{X: -1, Y: g}, {X: 1, Y: g}, {X: -1, Y: -g}, {X: 1, Y: -g}, {Y: -1, Z: g}, {Y: 1, Z: g},
		{Y: -1, Z: -g},
		{Y: 1, Z: -g}, {X: g, Z: -1}, {X: g, Z: 1}, {X: -g, Z: -1}, {X: -g, Z: 1}}
	for i := range p {
		p[i] = p[i].Unit()
	}
	t := [][3]uint32{{0, 11, 5}, {0, 5, 1}, {0, 1, 7}, {0, 7, 10}, {0, 10, 11}, {1, 5, 9}, {5, 11, 4}, {11, 10, 2},
		{10, 7, 6},
		{7, 1, 8}, {3, 9, 4}, {3, 4, 2}, {3, 2, 6}, {3, 6, 8}, {3, 8, 9}, {4, 9, 5}, {2, 4, 11}, {6, 2, 10},
		{8, 6, 7}, {9, 8, 1}}
	for range n {
		mid := map[[2]uint32]uint32{}
		half := func(a, b uint32) uint32 {
			k := [2]uint32{min(a, b), max(a, b)}
			if m, ok := mid[k]; ok {
				return m
			}
			p = append(p, p[a].Add(p[b]).Unit())
			mid[k] = uint32(len(p) - 1)
			return mid[k]
		}
		var next [][3]uint32
		for _, q := range t {
			a, b, c := half(q[0], q[1]), half(q[1], q[2]), half(q[2], q[0])
			next = append(next, [3]uint32{q[0], a, c}, [3]uint32{q[1], b, a}, [3]uint32{q[2], c, b}, [3]uint32{a, b, c})
		}
		t = next
	}
	return p, t
}
