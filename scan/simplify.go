package scan

import (
	"math"

	"halfstop/mesh"
)

// simplify makes a mesh of at most so many triangles and says by how much a corner was moved at
// most, metres: all corners of a cell of a grid become one, at the place that lies best on the
// planes of the triangles that meet there (quadric clustering, Lindstrom 2000; quadrics, Garland
// and Heckbert 1997). The grid is the finest that does.
func simplify(tris []tri, most int) (*mesh.Mesh, float64) {
	c := clusterOf(tris)
	lo, hi := 0.001, 0.001
	for c.count(hi) > most && hi <= 2 {
		lo, hi = hi, hi*2
	}
	for i := 0; i < 4 && lo < hi; i++ {
		if mid := (lo + hi) / 2; c.count(mid) <= most {
			hi = mid
		} else {
			lo = mid
		}
	}
	return c.mesh(hi)
}

// quadric is the sum of squared distances to planes: the upper triangle of a symmetric matrix, a
// vector, and the mean of the corners for where it is flat.
type quadric struct {
	a    [6]float64
	b    [3]float64
	mean [3]float64
	n    float64
}

// clusters puts the corners of triangles into the cells of grids.
type clusters struct {
	tris    []tri
	corners [][3]uint32  // of each triangle, in at
	at      [][3]float64 // corners of the mesh that are used, in the order of their first use
	cell    []uint32     // of each of them; cells count in the order of their first use
	cells   [][3]int32
	table   []uint32 // 1 + the number of a cell, by a hash of its place
}

func clusterOf(tris []tri) *clusters {
	c := &clusters{tris: tris, corners: make([][3]uint32, len(tris))}
	last := uint32(0)
	for i := range tris {
		last = max(last, tris[i].v[0], tris[i].v[1], tris[i].v[2])
	}
	number := make([]uint32, last+1) // 1 + the place in at
	for i := range tris {
		for k, v := range tris[i].v {
			if number[v] == 0 {
				c.at = append(c.at, tris[i].p[k])
				number[v] = uint32(len(c.at))
			}
			c.corners[i][k] = number[v] - 1
		}
	}
	size := 1
	for size < 2*len(c.at) {
		size *= 2
	}
	c.cell, c.table = make([]uint32, len(c.at)), make([]uint32, size)
	return c
}

// grid puts the corners into cells of a size.
func (c *clusters) grid(size float64) {
	clear(c.table)
	c.cells = c.cells[:0]
	mask := uint64(len(c.table) - 1)
	for i, p := range c.at {
		key := [3]int32{int32(math.Floor(p[0] / size)), int32(math.Floor(p[1] / size)), int32(math.Floor(p[2] / size))}
		h := uint64(14695981039346656037) // FNV-1a over the words
		for _, v := range key {
			h = (h ^ uint64(uint32(v))) * 1099511628211
		}
		at := (h ^ h>>29) & mask
		for ; c.table[at] != 0 && c.cells[c.table[at]-1] != key; at = (at + 1) & mask {
		}
		if c.table[at] == 0 {
			c.cells = append(c.cells, key)
			c.table[at] = uint32(len(c.cells))
		}
		c.cell[i] = c.table[at] - 1
	}
}

// of gives the cells of a triangle's corners, and whether it is a triangle still.
func (c *clusters) of(i int) (cells [3]uint32, stays bool) {
	for k, v := range c.corners[i] {
		cells[k] = c.cell[v]
	}
	return cells, cells[0] != cells[1] && cells[1] != cells[2] && cells[0] != cells[2]
}

// count is how many triangles a grid leaves.
func (c *clusters) count(size float64) (n int) {
	c.grid(size)
	for i := range c.corners {
		if _, stays := c.of(i); stays {
			n++
		}
	}
	return n
}

// mesh is what a grid leaves, and by how much a corner was moved at most.
func (c *clusters) mesh(size float64) (*mesh.Mesh, float64) {
	c.grid(size)
	quadrics := make([]quadric, len(c.cells))
	for i := range c.tris {
		t := &c.tris[i]
		d := t.n[0]*t.p[0][0] + t.n[1]*t.p[0][1] + t.n[2]*t.p[0][2]
		cells, _ := c.of(i)
		for k, cell := range cells {
			q := &quadrics[cell]
			w := t.area
			n := t.n
			for c, v := range [6]float64{n[0] * n[0], n[0] * n[1], n[0] * n[2], n[1] * n[1], n[1] * n[2],
				n[2] * n[2]} {
				q.a[c] += w * v
			}
			for c := range 3 {
				q.b[c] += w * d * n[c]
				q.mean[c] += t.p[k][c]
			}
			q.n++
		}
	}
	m := &mesh.Mesh{Format: "scan"}
	place := make([][3]float64, len(quadrics))
	for i := range quadrics {
		q := &quadrics[i]
		for c := range 3 {
			q.mean[c] /= q.n
		}
		place[i] = q.best(size)
		m.Pos = append(m.Pos, [3]float32{float32(place[i][0]), float32(place[i][1]), float32(place[i][2])})
	}
	moved := 0.0
	for i, p := range c.at {
		to := place[c.cell[i]]
		moved = max(moved, math.Sqrt(sq(to[0]-p[0])+sq(to[1]-p[1])+sq(to[2]-p[2])))
	}
	for i := range c.corners {
		if cells, stays := c.of(i); stays {
			m.Tris = append(m.Tris, cells)
		}
	}
	return m, moved
}

func sq(x float64) float64 { return x * x }

// best is the place of least squared distance to the planes, held near the mean of the corners by
// a small weight (Tikhonov) so that flat and straight places stay where they are; never outside
// the cell's reach.
func (q *quadric) best(size float64) [3]float64 {
	trace := q.a[0] + q.a[3] + q.a[5]
	k := 1e-3*trace + 1e-12
	a := [3][3]float64{{q.a[0] + k, q.a[1], q.a[2]}, {q.a[1], q.a[3] + k, q.a[4]}, {q.a[2], q.a[4], q.a[5] + k}}
	var b [3]float64
	for c := range 3 {
		b[c] = q.b[c] + k*q.mean[c]
	}
	det := a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) +
		a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	if !(math.Abs(det) > 1e-30) {
		return q.mean
	}
	var p [3]float64
	for c := range 3 {
		m := a
		for r := range 3 {
			m[r][c] = b[r]
		}
		p[c] = (m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
			m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])) / det
	}
	if d := math.Sqrt(sq(p[0]-q.mean[0]) + sq(p[1]-q.mean[1]) + sq(p[2]-q.mean[2])); !(d < size) {
		return q.mean
	}
	return p
}
