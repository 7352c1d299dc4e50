package scan

import (
	"math"
	"slices"
)

// side is one straight wall of an outline: the line n·p = d, n outward, between two places of it.
type side struct {
	n    [2]float64
	d    float64
	a, b [2]float64
	wall bool // upright pieces of the scan stand along it
}

const (
	bend   = 0.12 // m: a wall that leaves a straight line by no more is one wall
	nearby = 0.2  // m: a piece of wall so near to a side may belong to it
	gap    = 6    // cells: holes of the floor of twice as many are closed
	margin = gap + 2
	stands = 0.3 // share of a side's length, to 1 m of height, at which its wall counts as seen
)

// contour is the outer border of the largest connected part of a grid, anticlockwise, in metres;
// interior holes are closed.
func contour(grid []bool, nx, ny int) [][2]float64 {
	part, best, most := make([]int, len(grid)), 0, 0
	n := 0
	var stack []int
	for s := range grid {
		if !grid[s] || part[s] > 0 {
			continue
		}
		n++
		area := 0
		part[s], stack = n, append(stack[:0], s)
		for len(stack) > 0 {
			c := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			area++
			i, j := c%nx, c/nx
			for _, k := range [][2]int{{i - 1, j}, {i + 1, j}, {i, j - 1}, {i, j + 1}} {
				if t := k[1]*nx + k[0]; k[0] >= 0 && k[0] < nx && k[1] >= 0 && k[1] < ny && grid[t] && part[t] == 0 {
					part[t], stack = n, append(stack, t)
				}
			}
		}
		if area > most {
			best, most = n, area
		}
	}
	if most == 0 {
		return nil
	}
	is := func(i, j int) bool { return i >= 0 && i < nx && j >= 0 && j < ny && part[j*nx+i] == best }
	first := slices.Index(part, best) // its lowest row, the leftmost of it
	i0, j0 := first%nx, first/nx
	// Round the cells with the inside at the left: the border of a 4-connected part.
	dirs := [4][2]int{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}
	left := [4][2]int{{0, 0}, {-1, 0}, {-1, -1}, {0, -1}} // the cell ahead at the left of a corner
	i, j, d := i0, j0, 0
	var out [][2]float64
	for {
		out = append(out, [2]float64{float64(i) * floorCell, float64(j) * floorCell})
		i, j = i+dirs[d][0], j+dirs[d][1]
		l, r := left[d], left[(d+3)%4]
		switch {
		case !is(i+l[0], j+l[1]):
			d = (d + 1) % 4
		case is(i+r[0], j+r[1]):
			d = (d + 3) % 4
		}
		if i == i0 && j == j0 && d == 0 || len(out) > 4*len(grid) {
			return out
		}
	}
}

// straight keeps the corners of a closed line that it needs to stay within so many metres of it
// (Douglas and Peucker 1973).
func straight(p [][2]float64, within float64) [][2]float64 {
	far := func(from int, at [2]float64) int {
		best := from
		for i := range p {
			if dist(p[i], at) > dist(p[best], at) {
				best = i
			}
		}
		return best
	}
	a := far(0, p[0])
	b := far(0, p[a])
	a, b = min(a, b), max(a, b)
	keep := make([]bool, len(p))
	keep[a], keep[b] = true, true
	var split func(from, to int) // to may run past the end
	split = func(from, to int) {
		best, where := within, -1
		for k := from + 1; k < to; k++ {
			if d := away(p[k%len(p)], p[from%len(p)], p[to%len(p)]); d > best {
				best, where = d, k
			}
		}
		if where >= 0 {
			keep[where%len(p)] = true
			split(from, where)
			split(where, to)
		}
	}
	split(a, b)
	split(b, a+len(p))
	var out [][2]float64
	for i, k := range keep {
		if k {
			out = append(out, p[i])
		}
	}
	return out
}

func dist(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// away is the distance of a place to a straight stretch.
func away(p, a, b [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	k := min(1, max(0, ((p[0]-a[0])*dx+(p[1]-a[1])*dy)/max(1e-12, dx*dx+dy*dy)))
	return math.Hypot(p[0]-a[0]-k*dx, p[1]-a[1]-k*dy)
}

// piece is an upright piece of the scan seen from above.
type piece struct {
	at   [2]float64
	n    [2]float64
	area float64
}

func pieces(tris []tri) []piece {
	var out []piece
	for i := range tris {
		t := &tris[i]
		if math.Abs(t.n[2]) > 0.3 {
			continue
		}
		l := math.Hypot(t.n[0], t.n[1])
		out = append(out, piece{[2]float64{(t.p[0][0] + t.p[1][0] + t.p[2][0]) / 3,
			(t.p[0][1] + t.p[1][1] + t.p[2][1]) / 3}, [2]float64{t.n[0] / l, t.n[1] / l}, t.area})
	}
	return out
}

// along are the pieces that may belong to the wall from a to b: near to it and parallel to 20
// degrees.
func along(all []piece, a, b [2]float64) (out []piece, share float64) {
	l := dist(a, b)
	if l < 1e-9 {
		return nil, 0
	}
	n := [2]float64{(b[1] - a[1]) / l, -(b[0] - a[0]) / l}
	area := 0.0
	for _, w := range all {
		if math.Abs(w.n[0]*n[0]+w.n[1]*n[1]) > 0.94 && away(w.at, a, b) < nearby {
			out = append(out, w)
			area += w.area
		}
	}
	return out, area / l
}

// line finds the line of a wall: its direction is that of the room's walls where it is within 4
// degrees of it, else the mean of its pieces (Mardia 1972); its place the heaviest layer.
func line(all []piece, a, b [2]float64) side {
	l := dist(a, b)
	n := [2]float64{(b[1] - a[1]) / l, -(b[0] - a[0]) / l}
	s := side{a: a, b: b}
	mine, share := along(all, a, b)
	s.wall = share >= stands
	if s.wall {
		var re, im float64
		for _, w := range mine {
			off := math.Remainder(math.Atan2(w.n[1], w.n[0])-math.Atan2(n[1], n[0]), math.Pi)
			re, im = re+w.area*math.Cos(2*off), im+w.area*math.Sin(2*off)
		}
		off := math.Atan2(im, re) / 2
		n = [2]float64{n[0]*math.Cos(off) - n[1]*math.Sin(off), n[0]*math.Sin(off) + n[1]*math.Cos(off)}
	}
	for k := range 2 {
		if math.Abs(n[k]) > math.Cos(4*math.Pi/180) {
			n[k], n[1-k] = math.Copysign(1, n[k]), 0
		}
	}
	s.n, s.d = n, (n[0]*(a[0]+b[0])+n[1]*(a[1]+b[1]))/2
	if s.wall {
		h := layers{}
		for _, w := range mine {
			h.add(n[0]*w.at[0]+n[1]*w.at[1], w.area)
		}
		if d, _, ok := h.peak(s.d-nearby, s.d+nearby); ok {
			s.d = d
		}
	}
	return s
}

// meet is where two sides' lines cross; false where they are parallel to 10 degrees.
func meet(p, q side) (at [2]float64, ok bool) {
	det := p.n[0]*q.n[1] - p.n[1]*q.n[0]
	if math.Abs(det) < 0.17 {
		return at, false
	}
	return [2]float64{(p.d*q.n[1] - q.d*p.n[1]) / det, (p.n[0]*q.d - q.n[0]*p.d) / det}, true
}

// one reports whether two sides are the same wall.
func one(p, q side) bool {
	return p.n[0]*q.n[0]+p.n[1]*q.n[1] > 0.985 && math.Abs(p.d-q.d) < 0.08
}

// walls are the corners of the room whose floor fills the grid, anticlockwise; nil where it makes
// none. Stretches of the floor's border along which no wall stands are taken for floor that was
// not scanned, where the walls beside them go on.
func walls(grid []bool, nx, ny int, tris []tri) [][2]float64 {
	wide, tall := nx+2*margin, ny+2*margin
	padded := make([]bool, wide*tall)
	for j := range ny {
		copy(padded[(j+margin)*wide+margin:], grid[j*nx:(j+1)*nx])
	}
	border := contour(closed(padded, wide, tall, gap), wide, tall)
	for i := range border {
		border[i][0] -= margin * floorCell
		border[i][1] -= margin * floorCell
	}
	if len(border) < 4 {
		return nil
	}
	corners := straight(border, bend)
	all := pieces(tris)
	var s []side
	for i, a := range corners {
		if b := corners[(i+1)%len(corners)]; dist(a, b) > 1e-9 {
			s = append(s, line(all, a, b))
		}
	}
	s = bridge(s, all)
	// Neighbours that are one wall become one; what is no longer than a doorpost is left out.
	for changed := true; changed && len(s) > 4; {
		changed = false
		for i := range s {
			k := (i + 1) % len(s)
			short := i
			if dist(s[k].a, s[k].b) < dist(s[i].a, s[i].b) {
				short = k
			}
			if one(s[i], s[k]) || dist(s[short].a, s[short].b) < bend {
				s[i+k-short].a, s[i+k-short].b = s[i].a, s[k].b
				s = slices.Delete(s, short, short+1)
				changed = true
				break
			}
		}
	}
	var out [][2]float64
	for i := range s {
		p, q := s[(i+len(s)-1)%len(s)], s[i]
		if at, ok := meet(p, q); ok && dist(at, q.a) < 0.6 {
			out = append(out, at)
		} else { // parallel: a step between them, square to the first
			k := p.n[0]*q.a[0] + p.n[1]*q.a[1] - p.d
			e := q.n[0]*q.a[0] + q.n[1]*q.a[1] - q.d
			out = append(out, [2]float64{q.a[0] - k*p.n[0], q.a[1] - k*p.n[1]},
				[2]float64{q.a[0] - e*q.n[0], q.a[1] - e*q.n[1]})
		}
	}
	if len(out) < 4 || len(out) > 64 {
		return nil
	}
	return out
}

// bridge takes out stretches of the border without walls between two walls that go on behind them.
func bridge(s []side, all []piece) []side {
	for again := true; again; {
		again = false
		for i := range s {
			if !s[i].wall || s[(i+1)%len(s)].wall {
				continue
			}
			n := 1 // sides without a wall behind i
			for n < len(s) && !s[(i+n)%len(s)].wall {
				n++
			}
			k := (i + n) % len(s)
			if k == i || len(s)-(n-1) < 3 {
				continue
			}
			p, q := s[i], s[k]
			at, ok := meet(p, q)
			if one(p, q) {
				at, ok = q.a, true
			}
			behind := func(a, b [2]float64) bool {
				_, share := along(all, a, b)
				return dist(a, b) < 0.3 || share >= stands
			}
			if !ok || !behind(p.b, at) || !behind(at, q.a) {
				continue
			}
			s[i].b, s[k].a = at, at
			var kept []side
			for j := range s {
				if off := (j - i + len(s)) % len(s); off == 0 || off >= n {
					kept = append(kept, s[j])
				}
			}
			s, again = kept, true
			break
		}
	}
	return s
}
