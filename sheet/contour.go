package sheet

import "math"

// contours returns the lines of constant level through the field (isolines), in the room's metres.
//
// The method is marching squares with linear interpolation along the edges. A saddle is decided by
// the mean of its corners, and cells with a NaN corner are left out. Source: Lorensen and Cline
// 1987 (the plane case). Check: TestContourOfPointSource.
func (f *Field) contours(level float64) []sub {
	at := func(i, j int) float64 { return f.Stops[j*f.NX+i] }
	// The number of an edge is that of its lower left node and its direction: 2·node along x,
	// 2·node+1 along y.
	cross := func(i, j, dir int) (xy, int) {
		a := at(i, j)
		i2, j2 := i+1-dir, j+dir
		b := at(i2, j2)
		t := (level - a) / (b - a)
		if math.IsNaN(t) || t < 0 || t > 1 {
			t = 0.5 // one end is −Inf
		}
		p := xy{f.X0 + f.DX*(float64(i)+t*float64(i2-i)), f.Y0 + f.DY*(float64(j)+t*float64(j2-j))}
		return p, 2*(j*f.NX+i) + dir
	}
	points := map[int]xy{}
	next := map[int][]int{}
	join := func(e, g [3]int) {
		p, a := cross(e[0], e[1], e[2])
		q, b := cross(g[0], g[1], g[2])
		points[a], points[b] = p, q
		next[a] = append(next[a], b)
		next[b] = append(next[b], a)
	}
	var order []int
	for j := 0; j+1 < f.NY; j++ {
		for i := 0; i+1 < f.NX; i++ {
			v := [4]float64{at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)}
			c := 0
			bad := false
			for n, s := range v {
				if math.IsNaN(s) {
					bad = true
				}
				if s >= level {
					c |= 1 << n
				}
			}
			if bad || c == 0 || c == 15 {
				continue
			}
			south, east, north, west := [3]int{i, j, 0}, [3]int{i + 1, j, 1}, [3]int{i, j + 1, 0}, [3]int{i, j, 1}
			switch c {
			case 1, 14:
				join(west, south)
			case 2, 13:
				join(south, east)
			case 4, 11:
				join(east, north)
			case 8, 7:
				join(north, west)
			case 3, 12:
				join(west, east)
			case 6, 9:
				join(south, north)
			case 5, 10:
				high := (v[0]+v[1]+v[2]+v[3])/4 >= level
				if (c == 5) == high {
					join(south, east)
					join(north, west)
				} else {
					join(west, south)
					join(east, north)
				}
			}
			for _, e := range [][3]int{south, east, north, west} {
				id := 2*(e[1]*f.NX+e[0]) + e[2]
				if _, ok := points[id]; ok {
					order = append(order, id)
				}
			}
		}
	}

	// Chain the pieces: open lines from their ends first, then the loops.
	used := map[[2]int]bool{}
	key := func(a, b int) [2]int {
		if a > b {
			a, b = b, a
		}
		return [2]int{a, b}
	}
	var out []sub
	walk := func(start int) {
		ids := []int{start}
		for {
			at := ids[len(ids)-1]
			found := false
			for _, n := range next[at] {
				if !used[key(at, n)] {
					used[key(at, n)] = true
					ids = append(ids, n)
					found = true
					break
				}
			}
			if !found {
				break
			}
		}
		if len(ids) < 2 {
			return
		}
		closed := ids[0] == ids[len(ids)-1]
		if closed {
			ids = ids[:len(ids)-1]
		}
		pts := make([]xy, len(ids))
		for i, id := range ids {
			pts[i] = points[id]
		}
		out = append(out, sub{pts, closed})
	}
	for _, id := range order {
		if len(next[id]) == 1 {
			walk(id)
		}
	}
	for _, id := range order {
		walk(id)
	}
	return out
}

// calmed returns the field after one pass of the 3×3 binomial filter. Nodes without a value stay so
// and do not spread.
func (f *Field) calmed() *Field {
	g := *f
	g.Stops = make([]float64, len(f.Stops))
	for j := 0; j < f.NY; j++ {
		for i := 0; i < f.NX; i++ {
			mid := f.Stops[j*f.NX+i]
			g.Stops[j*f.NX+i] = mid
			if math.IsNaN(mid) || math.IsInf(mid, 0) {
				continue
			}
			sum, weight := 0.0, 0.0
			for dj := -1; dj <= 1; dj++ {
				for di := -1; di <= 1; di++ {
					if i+di < 0 || i+di >= f.NX || j+dj < 0 || j+dj >= f.NY {
						continue
					}
					s := f.Stops[(j+dj)*f.NX+i+di]
					if math.IsNaN(s) || math.IsInf(s, 0) {
						continue
					}
					w := float64((2 - abs(di)) * (2 - abs(dj)))
					sum += w * s
					weight += w
				}
			}
			// A border node has a one-sided neighbourhood, which would bend a slope: it keeps its
			// value.
			if weight == 16 {
				g.Stops[j*f.NX+i] = sum / weight
			}
		}
	}
	return &g
}

// at returns the level at a point by bilinear interpolation; NaN outside.
func (f *Field) at(x, y float64) float64 {
	u, v := (x-f.X0)/f.DX, (y-f.Y0)/f.DY
	i, j := int(math.Floor(u)), int(math.Floor(v))
	if u < 0 || v < 0 || i+1 >= f.NX || j+1 >= f.NY {
		return math.NaN()
	}
	u -= float64(i)
	v -= float64(j)
	s := func(i, j int) float64 { return f.Stops[j*f.NX+i] }
	return (s(i, j)*(1-u)+s(i+1, j)*u)*(1-v) + (s(i, j+1)*(1-u)+s(i+1, j+1)*u)*v
}

// top returns the highest finite level.
func (f *Field) top() float64 {
	t := math.Inf(-1)
	for _, s := range f.Stops {
		if s > t && !math.IsInf(s, 0) {
			t = s
		}
	}
	return t
}

// rounded applies two steps of corner cutting (Chaikin 1974). The ends of an open line stay.
func rounded(s sub) sub {
	for range 2 {
		n := len(s.pts)
		if n < 3 {
			return s
		}
		var out []xy
		if !s.closed {
			out = append(out, s.pts[0])
		}
		last := n
		if !s.closed {
			last = n - 1
		}
		for i := 0; i < last; i++ {
			a, b := s.pts[i], s.pts[(i+1)%n]
			out = append(out, a.lerp(b, 0.25), a.lerp(b, 0.75))
		}
		if !s.closed {
			out = append(out, s.pts[n-1])
		}
		s = sub{out, s.closed}
	}
	return s
}

// thinned drops points within tol of the line through their neighbours (Douglas and Peucker 1973).
func thinned(s sub, tol float64) sub {
	n := len(s.pts)
	if n < 3 {
		return s
	}
	pts := s.pts
	if s.closed {
		pts = append(append([]xy(nil), pts...), pts[0])
	}
	keep := make([]bool, len(pts))
	keep[0], keep[len(pts)-1] = true, true
	stack := [][2]int{{0, len(pts) - 1}}
	for len(stack) > 0 {
		r := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		far, at := tol, -1
		for i := r[0] + 1; i < r[1]; i++ {
			if d := distanceTo(pts[i], pts[r[0]], pts[r[1]]); d > far {
				far, at = d, i
			}
		}
		if at >= 0 {
			keep[at] = true
			stack = append(stack, [2]int{r[0], at}, [2]int{at, r[1]})
		}
	}
	var out []xy
	for i, k := range keep {
		if k && !(s.closed && i == len(pts)-1) {
			out = append(out, pts[i])
		}
	}
	return sub{out, s.closed}
}

// distanceTo is the distance of p from the segment a–b.
func distanceTo(p, a, b xy) float64 {
	d := b.sub(a)
	l2 := d.x*d.x + d.y*d.y
	if l2 == 0 {
		return p.sub(a).len()
	}
	t := ((p.x-a.x)*d.x + (p.y-a.y)*d.y) / l2
	t = math.Max(0, math.Min(1, t))
	return p.sub(a.lerp(b, t)).len()
}

func abs(i int) int {
	if i < 0 {
		return -i
	}
	return i
}
