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
