package scan

import "math"

// floorCell is the side of a cell of the floor, metres; mostCells are drawn at most.
const (
	floorCell = 0.05
	mostCells = 4_000_000
)

// outline is the room's outline by its floor and the walls along it, anticlockwise, its lowest x
// and y at 0 or near it; the rectangle w × d where the floor says nothing. seen is the share of its
// floor that the scan covers.
func outline(tris []tri, w, d float64) (corners [][2]float64, seen float64) {
	nx, ny := max(1, int(math.Ceil(w/floorCell))), max(1, int(math.Ceil(d/floorCell)))
	rectangle := [][2]float64{{0, 0}, {w, 0}, {w, d}, {0, d}}
	if nx*ny > mostCells {
		return rectangle, 0
	}
	// Whatever stands on the floor covers it too: everything below the top of a table counts. For
	// the outline what hangs or lies higher counts as well: it is in the room.
	low, grid := make([]bool, nx*ny), make([]bool, nx*ny)
	for i := range tris {
		t := &tris[i]
		if math.Abs(t.n[2]) < 0.5 {
			continue
		}
		fill(grid, nx, ny, t)
		if t.p[0][2] <= 1 || t.p[1][2] <= 1 || t.p[2][2] <= 1 {
			fill(low, nx, ny, t)
		}
	}
	low = closed(low, nx, ny, gap)
	if corners = walls(grid, nx, ny, tris); corners == nil {
		corners = rectangle
	}
	n := 0
	for _, v := range low {
		if v {
			n++
		}
	}
	return corners, min(1, float64(n)*floorCell*floorCell/max(1e-9, area(corners)))
}

// area of an outline, square metres.
func area(outline [][2]float64) (sum float64) {
	for a, b := 0, len(outline)-1; a < len(outline); b, a = a, a+1 {
		sum += (outline[b][0]*outline[a][1] - outline[a][0]*outline[b][1]) / 2
	}
	return math.Abs(sum)
}

// fill marks the cells under a triangle.
func fill(grid []bool, nx, ny int, t *tri) {
	x0, x1 := min(t.p[0][0], t.p[1][0], t.p[2][0]), max(t.p[0][0], t.p[1][0], t.p[2][0])
	y0, y1 := min(t.p[0][1], t.p[1][1], t.p[2][1]), max(t.p[0][1], t.p[1][1], t.p[2][1])
	i0, i1 := max(0, int(x0/floorCell)), min(nx-1, int(x1/floorCell))
	j0, j1 := max(0, int(y0/floorCell)), min(ny-1, int(y1/floorCell))
	side := func(a, b [3]float64, x, y float64) float64 { return (b[0]-a[0])*(y-a[1]) - (b[1]-a[1])*(x-a[0]) }
	for j := j0; j <= j1; j++ {
		for i := i0; i <= i1; i++ {
			x, y := (float64(i)+0.5)*floorCell, (float64(j)+0.5)*floorCell
			a, b, c := side(t.p[0], t.p[1], x, y), side(t.p[1], t.p[2], x, y), side(t.p[2], t.p[0], x, y)
			small := x1-x0 < 2*floorCell && y1-y0 < 2*floorCell
			if small || a >= 0 && b >= 0 && c >= 0 || a <= 0 && b <= 0 && c <= 0 {
				grid[j*nx+i] = true
			}
		}
	}
}

// closed closes gaps of up to 2n cells: dilation, then erosion, by squares (mathematical
// morphology, Serra 1982).
func closed(grid []bool, nx, ny, n int) []bool {
	grow := func(g []bool, v bool) []bool {
		out := make([]bool, len(g))
		for pass := range 2 {
			src := g
			if pass == 1 {
				src = append([]bool(nil), out...)
			}
			for j := range ny {
				for i := range nx {
					hit := false
					for k := -n; k <= n && !hit; k++ {
						a, b := i+k, j
						if pass == 1 {
							a, b = i, j+k
						}
						if a >= 0 && a < nx && b >= 0 && b < ny {
							hit = src[b*nx+a] == v
						}
					}
					out[j*nx+i] = hit == v
				}
			}
		}
		return out
	}
	return grow(grow(grid, true), false)
}

const skin = 0.07 // m: what lies so near to a wall, the floor or the ceiling belongs to it

// inside is what stands in the room: everything but the shell.
func inside(tris []tri, r *Room) []tri {
	var out []tri
	for i := range tris {
		t := &tris[i]
		shell := true
		in := false
		for k := range 3 {
			p := t.p[k]
			e := edge(r.Outline, p[0], p[1])
			near := p[2] < skin || r.Ceiling > 0 && p[2] > r.Ceiling-skin || math.Abs(e) < skin
			shell = shell && near
			in = in || e > skin && p[2] > skin && (r.Ceiling <= 0 || p[2] < r.Ceiling)
		}
		if !shell && in {
			out = append(out, *t)
		}
	}
	return out
}

// edge is the distance of a place to the outline, metres, positive inside.
func edge(outline [][2]float64, x, y float64) float64 {
	best, in := math.Inf(1), false
	for a, b := 0, len(outline)-1; a < len(outline); b, a = a, a+1 {
		xa, ya, xb, yb := outline[a][0], outline[a][1], outline[b][0], outline[b][1]
		if (ya > y) != (yb > y) && x < (xb-xa)*(y-ya)/(yb-ya)+xa {
			in = !in
		}
		dx, dy := xb-xa, yb-ya
		k := min(1, max(0, ((x-xa)*dx+(y-ya)*dy)/max(1e-12, dx*dx+dy*dy)))
		best = min(best, math.Hypot(x-xa-k*dx, y-ya-k*dy))
	}
	if in {
		return best
	}
	return -best
}

// cut takes away what lies wholly inside a box.
func cut(tris []tri, boxes [][6]float64) []tri {
	if len(boxes) == 0 {
		return tris
	}
	var out []tri
	for i := range tris {
		gone := false
		for _, b := range boxes {
			all := true
			for k := range 3 {
				for c := range 3 {
					all = all && tris[i].p[k][c] >= b[c] && tris[i].p[k][c] <= b[c+3]
				}
			}
			gone = gone || all
		}
		if !gone {
			out = append(out, tris[i])
		}
	}
	return out
}

// colours are the mean colours of the shell and of what stands in it, by area; nil where the scan
// has none.
func colours(tris []tri, r *Room) map[string][3]float64 {
	sum, area := map[string][3]float64{}, map[string]float64{}
	for i := range tris {
		t := &tris[i]
		if t.bare {
			continue
		}
		x, y := (t.p[0][0]+t.p[1][0]+t.p[2][0])/3, (t.p[0][1]+t.p[1][1]+t.p[2][1])/3
		z := (t.p[0][2] + t.p[1][2] + t.p[2][2]) / 3
		part := ""
		switch {
		case math.Abs(t.n[2]) > 0.9 && z < skin:
			part = "floor"
		case math.Abs(t.n[2]) > 0.9 && r.Ceiling > 0 && z > r.Ceiling-skin:
			part = "ceiling"
		case math.Abs(t.n[2]) < 0.2 && math.Abs(edge(r.Outline, x, y)) < skin:
			part = "walls"
		case z > skin && (r.Ceiling <= 0 || z < r.Ceiling-skin) && edge(r.Outline, x, y) > skin:
			part = "things"
		default:
			continue
		}
		s := sum[part]
		for c := range 3 {
			s[c] += t.colour[c] * t.area
		}
		sum[part] = s
		area[part] += t.area
	}
	for part, s := range sum {
		for c := range 3 {
			s[c] /= area[part]
		}
		sum[part] = s
	}
	if len(sum) == 0 {
		return nil
	}
	return sum
}
