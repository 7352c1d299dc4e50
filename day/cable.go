package day

import (
	"container/heap"
	"math"

	"halfstop/shoot"
)

// cableCell is the grid of cable paths, metres.
const cableCell = 0.1

// clearance is how far a cable stays off furniture, metres.
const clearance = 0.05

// floor is a grid of where a cable may lie.
type floor struct {
	x0, y0 float64
	w, h   int
	shut   []bool
}

// newFloor marks the floor of a room: inside its outline, off what stands on it. ok is false where
// the room has no outline.
func newFloor(f *shoot.File, s *shoot.Setup) (*floor, bool) {
	corners, _ := f.Room.Corners()
	if len(corners) < 3 {
		return nil, false
	}
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, c := range corners {
		x0, x1 = min(x0, float64(c[0])), max(x1, float64(c[0]))
		y0, y1 = min(y0, float64(c[1])), max(y1, float64(c[1]))
	}
	g := &floor{x0: x0, y0: y0, w: int((x1-x0)/cableCell) + 1, h: int((y1-y0)/cableCell) + 1}
	if g.w*g.h > 4_000_000 {
		return nil, false
	}
	g.shut = make([]bool, g.w*g.h)
	for j := range g.h {
		for i := range g.w {
			x, y := g.at(i, j)
			in := false
			for a, b := 0, len(corners)-1; a < len(corners); b, a = a, a+1 {
				xa, ya, xb, yb := float64(corners[a][0]), float64(corners[a][1]), float64(corners[b][0]),
					float64(corners[b][1])
				if (ya > y) != (yb > y) && x < (xb-xa)*(y-ya)/(yb-ya)+xa {
					in = !in
				}
			}
			g.shut[j*g.w+i] = !in
		}
	}
	for _, list := range [][]shoot.Object{f.Room.Objects, s.Objects} {
		for k := range list {
			b := list[k].Box
			if b == nil || len(b.At) > 2 && b.At[2] > 0.02 || b.Inside {
				continue // it hangs, or stands on something that stands
			}
			g.block(float64(b.At[0]), float64(b.At[1]), float64(b.Size[0]), float64(b.Size[1]))
		}
	}
	return g, true
}

func (g *floor) at(i, j int) (x, y float64) {
	return g.x0 + (float64(i)+0.5)*cableCell, g.y0 + (float64(j)+0.5)*cableCell
}

func (g *floor) index(x, y float64) (i, j int) {
	return min(g.w-1, max(0, int((x-g.x0)/cableCell))), min(g.h-1, max(0, int((y-g.y0)/cableCell)))
}

func (g *floor) block(x, y, w, d float64) {
	for j := range g.h {
		for i := range g.w {
			if cx, cy := g.at(i, j); cx > x-clearance && cx < x+w+clearance && cy > y-clearance &&
				cy < y+d+clearance {
				g.shut[j*g.w+i] = true
			}
		}
	}
}

type node struct {
	cell int
	dist float64
}

type frontier []node

func (f frontier) Len() int           { return len(f) }
func (f frontier) Less(a, b int) bool { return f[a].dist < f[b].dist }
func (f frontier) Swap(a, b int)      { f[a], f[b] = f[b], f[a] }
func (f *frontier) Push(x any)        { *f = append(*f, x.(node)) }
func (f *frontier) Pop() any {
	o := *f
	n := o[len(o)-1]
	*f = o[:len(o)-1]
	return n
}

// path is the length of the shortest way over the floor between two places, metres, and its
// corners; false where none leads there. Dijkstra 1959 on cells of 10 cm, by sides, diagonals and
// knight's moves, so at most 3 % too long. Both ends may lie against furniture.
func (g *floor) path(ax, ay, bx, by float64) (length float64, way [][2]float64, ok bool) {
	si, sj := g.index(ax, ay)
	ti, tj := g.index(bx, by)
	start, goal := sj*g.w+si, tj*g.w+ti
	open := func(c int) bool {
		if !g.shut[c] {
			return true
		}
		// Within 30 cm of an end a cable may go behind what stands there.
		x, y := g.at(c%g.w, c/g.w)
		return math.Hypot(x-ax, y-ay) < 0.3 || math.Hypot(x-bx, y-by) < 0.3
	}
	dist := make(map[int]float64)
	from := make(map[int]int)
	q := &frontier{{start, 0}}
	dist[start] = 0
	for q.Len() > 0 {
		n := heap.Pop(q).(node)
		if n.dist > dist[n.cell] {
			continue
		}
		if n.cell == goal {
			for c := goal; ; c = from[c] {
				x, y := g.at(c%g.w, c/g.w)
				way = append(way, [2]float64{x, y})
				if c == start {
					break
				}
			}
			return n.dist, way, true
		}
		i, j := n.cell%g.w, n.cell/g.w
		for di := -2; di <= 2; di++ {
			for dj := -2; dj <= 2; dj++ {
				if di == 0 && dj == 0 || di%2 == 0 && dj%2 == 0 {
					continue
				}
				a, b := i+di, j+dj
				if a < 0 || b < 0 || a >= g.w || b >= g.h {
					continue
				}
				c := b*g.w + a
				if !open(c) || (di*di == 4 || dj*dj == 4) && !open((j+dj/2)*g.w+i+di/2) {
					continue
				}
				d := n.dist + cableCell*math.Hypot(float64(di), float64(dj))
				if old, seen := dist[c]; !seen || d < old {
					dist[c], from[c] = d, n.cell
					heap.Push(q, node{c, d})
				}
			}
		}
	}
	return 0, nil, false
}

// width is the clear width of the widest way between two places, metres: twice the distance to the
// nearest thing at its narrowest. false where none leads there.
func (g *floor) width(ax, ay, bx, by float64) (float64, bool) {
	d := g.clearance()
	si, sj := g.index(ax, ay)
	ti, tj := g.index(bx, by)
	start, goal := sj*g.w+si, tj*g.w+ti
	best := make([]float64, len(g.shut))
	// Widest path (maximum capacity path, Pollack 1960), by Dijkstra's algorithm with the sign
	// turned.
	q := &frontier{{start, -1e9}}
	best[start] = 1e9
	free := func(c int) float64 {
		// At both ends a person stands: what is right beside them does not count.
		x, y := g.at(c%g.w, c/g.w)
		if math.Hypot(x-ax, y-ay) < 0.6 || math.Hypot(x-bx, y-by) < 0.6 {
			return 1e9
		}
		return d[c]
	}
	for q.Len() > 0 {
		n := heap.Pop(q).(node)
		if -n.dist < best[n.cell] {
			continue
		}
		if n.cell == goal {
			return 2 * min(-n.dist, 50), -n.dist > 0
		}
		i, j := n.cell%g.w, n.cell/g.w
		for _, s := range [8][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}} {
			a, b := i+s[0], j+s[1]
			if a < 0 || b < 0 || a >= g.w || b >= g.h {
				continue
			}
			c := b*g.w + a
			if w := min(-n.dist, free(c)); w > best[c] {
				best[c] = w
				heap.Push(q, node{c, -w})
			}
		}
	}
	return 0, false
}

// clearance is the distance of each cell to what is nearest, metres: two passes of a chamfer of 5,
// 7 and 11 (Borgefors 1986), within 2 %.
func (g *floor) clearance() []float64 {
	const far = 1e9
	d := make([]float64, len(g.shut))
	for i := range d {
		if !g.shut[i] {
			d[i] = far
		}
	}
	masks := [][3]float64{{-1, 0, 5}, {0, -1, 5}, {-1, -1, 7}, {1, -1, 7}, {-2, -1, 11}, {-1, -2, 11},
		{1, -2, 11}, {2, -1, 11}}
	pass := func(sign int) {
		for k := range d {
			c := k
			if sign < 0 {
				c = len(d) - 1 - k
			}
			i, j := c%g.w, c/g.w
			for _, m := range masks {
				a, b := i+sign*int(m[0]), j+sign*int(m[1])
				v := far
				if a < 0 || b < 0 || a >= g.w || b >= g.h {
					v = 0 // beyond the grid is wall
				} else {
					v = d[b*g.w+a]
				}
				d[c] = min(d[c], v+m[2]*cableCell/5)
			}
		}
	}
	pass(1)
	pass(-1)
	return d
}

// cross reports whether two ways over the floor cross away from their ends.
func cross(a, b [][2]float64) bool {
	side := func(p, q, r [2]float64) float64 { return (q[0]-p[0])*(r[1]-p[1]) - (q[1]-p[1])*(r[0]-p[0]) }
	for i := 3; i+3 < len(a); i++ {
		for j := 3; j+3 < len(b); j++ {
			p, q, r, s := a[i], a[i+1], b[j], b[j+1]
			if side(p, q, r)*side(p, q, s) <= 0 && side(r, s, p)*side(r, s, q) <= 0 &&
				math.Hypot(p[0]-r[0], p[1]-r[1]) < 4*cableCell {
				return true
			}
		}
	}
	return false
}
