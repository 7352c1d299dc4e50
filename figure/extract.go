package figure

import (
	"math"
	"runtime"

	"halfstop/parallel"
)

// field is a signed distance in millimetres.
type field func(vec) float64

// surf is one extracted piece, still in millimetres.
type surf struct {
	pos, nrm, tan []vec
	tone          []float32
	tri           [][3]int32
}

// axis lays grid planes from a to b; step(x) is the spacing wanted at x, so that the face can be
// fine and the back coarse.
func axis(a, b float64, step func(float64) float64) []float64 {
	xs := []float64{a}
	for x := a; x < b; {
		x += step(x)
		xs = append(xs, x)
	}
	for len(xs)%4 != 1 {
		xs = append(xs, xs[len(xs)-1]+step(b))
	}
	return xs
}

// drain lets who fills a channel come to an end when its reader does not: where it panicked.
func drain(c <-chan int) {
	for range c {
	}
}

// extract runs surface nets on a rectilinear grid. Blocks whose centre is farther from the surface
// than slack times their half diagonal are never sampled. Vertices are then walked on to the
// surface and take the field's own gradient as normal.
func extract(f field, xs, ys, zs []float64, slack float64) *surf {
	nx, ny, nz := len(xs), len(ys), len(zs)
	val := make([]float32, nx*ny*nz)
	big := float32(1e9)
	for i := range val {
		val[i] = big
	}
	id := func(i, j, k int) int { return (k*ny+j)*nx + i }
	const B = 4
	bx, by, bz := (nx-1)/B, (ny-1)/B, (nz-1)/B
	live := make([]bool, bx*by*bz)
	var wg parallel.Group
	nw := runtime.GOMAXPROCS(0)
	// 1: find live blocks, in super-blocks of 4 x 4 x 4
	half := func(i0, i1 int, a []float64) (float64, float64) { return (a[i0] + a[i1]) / 2, (a[i1] - a[i0]) / 2 }
	test := func(i0, i1, j0, j1, k0, k1 int) bool {
		x, hx := half(i0, i1, xs)
		y, hy := half(j0, j1, ys)
		z, hz := half(k0, k1, zs)
		return math.Abs(f(vec{x, y, z})) < slack*math.Sqrt(hx*hx+hy*hy+hz*hz)
	}
	const S = 4
	jobs := make(chan int, 64)
	for w := 0; w < nw; w++ {
		wg.Go(func() {
			defer drain(jobs)
			for K := range jobs {
				for J := 0; J < by; J += S {
					for I := 0; I < bx; I += S {
						i1, j1, k1 := min(I+S, bx), min(J+S, by), min(K+S, bz)
						if !test(I*B, i1*B, J*B, j1*B, K*B, k1*B) {
							continue
						}
						for k := K; k < k1; k++ {
							for j := J; j < j1; j++ {
								for i := I; i < i1; i++ {
									live[(k*by+j)*bx+i] = test(i*B, i*B+B, j*B, j*B+B, k*B, k*B+B)
								}
							}
						}
					}
				}
			}
		})
	}
	for K := 0; K < bz; K += S {
		jobs <- K
	}
	close(jobs)
	wg.Wait()
	// 2: sample the corners of live blocks; a plane k belongs to one worker
	ks := make(chan int, 64)
	for w := 0; w < nw; w++ {
		wg.Go(func() {
			defer drain(ks)
			for k := range ks {
				for _, kb := range []int{k/B - 1, k / B} {
					if kb < 0 || kb >= bz || (kb == k/B-1 && k%B != 0) {
						continue
					}
					for jb := 0; jb < by; jb++ {
						for ib := 0; ib < bx; ib++ {
							if !live[(kb*by+jb)*bx+ib] {
								continue
							}
							for j := jb * B; j <= jb*B+B; j++ {
								for i := ib * B; i <= ib*B+B; i++ {
									if n := id(i, j, k); val[n] == big {
										val[n] = float32(f(vec{xs[i], ys[j], zs[k]}))
									}
								}
							}
						}
					}
				}
			}
		})
	}
	for k := 0; k < nz; k++ {
		ks <- k
	}
	close(ks)
	wg.Wait()
	// 3: one vertex per cell that the surface crosses
	s := &surf{}
	vert := make(map[int]int32, 1<<16)
	edges := [12][2]int{{0, 1}, {2, 3}, {4, 5}, {6, 7}, {0, 2}, {1, 3}, {4, 6}, {5, 7}, {0, 4}, {1, 5}, {2, 6}, {3, 7}}
	cells := make([][3]int, 0, 1<<16)
	for kb := 0; kb < bz; kb++ {
		for jb := 0; jb < by; jb++ {
			for ib := 0; ib < bx; ib++ {
				if !live[(kb*by+jb)*bx+ib] {
					continue
				}
				for k := kb * B; k < kb*B+B; k++ {
					for j := jb * B; j < jb*B+B; j++ {
						for i := ib * B; i < ib*B+B; i++ {
							var c [8]float64
							in := 0
							for q := 0; q < 8; q++ {
								c[q] = float64(val[id(i+q&1, j+q>>1&1, k+q>>2)])
								if c[q] < 0 {
									in++
								}
							}
							if in == 0 || in == 8 {
								continue
							}
							var sum vec
							n := 0.0
							for _, e := range edges {
								a, b := c[e[0]], c[e[1]]
								if (a < 0) == (b < 0) {
									continue
								}
								t := a / (a - b)
								pa := vec{xs[i+e[0]&1], ys[j+e[0]>>1&1], zs[k+e[0]>>2]}
								pb := vec{xs[i+e[1]&1], ys[j+e[1]>>1&1], zs[k+e[1]>>2]}
								sum = sum.add(pa.lerp(pb, t))
								n++
							}
							vert[id(i, j, k)] = int32(len(s.pos))
							s.pos = append(s.pos, sum.mul(1/n))
							cells = append(cells, [3]int{i, j, k})
						}
					}
				}
			}
		}
	}
	// 4: quads across every crossed edge
	quad := func(a, b, c, d int, flip bool) {
		A, o1 := vert[a]
		Bv, o2 := vert[b]
		C, o3 := vert[c]
		D, o4 := vert[d]
		if !(o1 && o2 && o3 && o4) {
			return
		}
		if flip {
			A, Bv, C, D = D, C, Bv, A
		}
		if s.pos[A].sub(s.pos[C]).len() < s.pos[Bv].sub(s.pos[D]).len() {
			s.tri = append(s.tri, [3]int32{A, Bv, C}, [3]int32{A, C, D})
		} else {
			s.tri = append(s.tri, [3]int32{A, Bv, D}, [3]int32{Bv, C, D})
		}
	}
	for _, q := range cells {
		i, j, k := q[0], q[1], q[2]
		v0 := val[id(i, j, k)] < 0
		if j > 0 && k > 0 {
			if v1 := val[id(i+1, j, k)] < 0; v0 != v1 {
				quad(id(i, j-1, k-1), id(i, j, k-1), id(i, j, k), id(i, j-1, k), v1)
			}
		}
		if i > 0 && k > 0 {
			if v1 := val[id(i, j+1, k)] < 0; v0 != v1 {
				quad(id(i-1, j, k-1), id(i-1, j, k), id(i, j, k), id(i, j, k-1), v1)
			}
		}
		if i > 0 && j > 0 {
			if v1 := val[id(i, j, k+1)] < 0; v0 != v1 {
				quad(id(i-1, j-1, k), id(i, j-1, k), id(i, j, k), id(i-1, j, k), v1)
			}
		}
	}
	// 5: walk on to the surface, take normals
	s.nrm = make([]vec, len(s.pos))
	s.tone = make([]float32, len(s.pos))
	s.tan = make([]vec, len(s.pos))
	chunk := (len(s.pos) + nw*8 - 1) / (nw * 8)
	for a := 0; a < len(s.pos); a += max(chunk, 1) {
		wg.Go(func() {
			for i := a; i < min(a+max(chunk, 1), len(s.pos)); i++ {
				q := cells[i]
				cell := min(xs[q[0]+1]-xs[q[0]], min(ys[q[1]+1]-ys[q[1]], zs[q[2]+1]-zs[q[2]]))
				lim, eps := 0.6*cell, max(0.35, 0.12*cell)
				g, d := gradient4(f, s.pos[i], eps)
				l2 := g.dot(g)
				if l2 > 0.05 {
					s.pos[i] = s.pos[i].sub(g.mul(clamp(d/l2, -lim, lim)))
				}
				s.nrm[i] = gradient(f, s.pos[i], eps).unit()
			}
		})
	}
	wg.Wait()
	s.mendNormals()
	return s
}

// mendNormals takes the normal from the triangles where the field's gradient points the wrong way:
// at edges thinner than a cell.
func (s *surf) mendNormals() {
	sum := make([]vec, len(s.pos))
	for _, t := range s.tri {
		a := s.pos[t[0]]
		n := s.pos[t[1]].sub(a).cross(s.pos[t[2]].sub(a))
		for _, k := range t {
			sum[k] = sum[k].add(n)
		}
	}
	for i, n := range sum {
		if n.dot(n) > 0 && n.dot(s.nrm[i]) < 0.05*n.len() {
			s.nrm[i] = n.unit()
		}
	}
}

// gradient4 is the four-point tetrahedral rule; the mean of the four samples stands for the value.
func gradient4(f field, p vec, e float64) (vec, float64) {
	a := f(vec{p.X + e, p.Y - e, p.Z - e})
	b := f(vec{p.X - e, p.Y - e, p.Z + e})
	c := f(vec{p.X - e, p.Y + e, p.Z - e})
	d := f(vec{p.X + e, p.Y + e, p.Z + e})
	return vec{a - b - c + d, -a - b + c + d, -a + b - c + d}.mul(1 / (4 * e)), (a + b + c + d) / 4
}

func gradient(f field, p vec, e float64) vec {
	g, _ := gradient4(f, p, e)
	return g
}

// sym mirrors an axis that starts at 0.
func sym(a []float64) []float64 {
	var r []float64
	for i := len(a) - 1; i > 0; i-- {
		r = append(r, -a[i])
	}
	return append(r, a...)
}
