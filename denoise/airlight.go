package denoise

import (
	"math"
)

// Airlight depends on where a pixel is and how long its view ray is, and on little else: it is
// averaged in the cells of a bilateral grid of both (Chen, Paris and Durand 2007), whatever the
// surfaces are. Weights know neither light nor noise, so layers add up, and the grid is made
// bistochastic (Barron, Adams, Shih and Hernández 2015), so that the sum of the light stays.
const (
	cellPixels   = 16.  // pixels of a cell at one sample a pixel and cellFrame pixels along the diagonal
	cellFrame    = 770. // 640 × 427
	leastCell    = 2    // pixels; smaller cells than that would be many
	cellLogDepth = 0.25 // ln of the far side of a cell over its near side
	nearest      = 0.3  // what is nearer, in metres, counts as there
	clampLocal   = 30   // times the mean round about that a pixel may have
	clampPicture = 300  // times the mean of the picture
)

// bilateralGrid is a grid over a picture and its depths: w × h × d corners, between which pixels
// lie.
type bilateralGrid struct {
	side    float32
	w, h, d int
	scale   []float32 // of each corner, before the blur and after it; 0 where no pixel is near
}

// balances is how often scales are bettered: the light's sum is then right to a few thousandths.
const balances = 5

func newBilateralGrid(s *Features, samples int) *bilateralGrid {
	diagonal := math.Hypot(float64(s.W), float64(s.H))
	side := cellPixels * math.Sqrt(diagonal/cellFrame) / math.Cbrt(float64(max(1, samples)))
	g := &bilateralGrid{side: float32(max(leastCell, side))}
	deepest := float32(0)
	for _, z := range s.Depth {
		deepest = max(deepest, z)
	}
	g.w, g.h = int(float32(s.W)/g.side)+2, int(float32(s.H)/g.side)+2
	g.d = int(g.layer(deepest)) + 3 // the last for pixels that see no surface
	return g
}

// balance finds the scales: with mass, the pixels at each corner, they make the blur's sums over
// rows and columns both those masses.
func (g *bilateralGrid) balance(s *Features) {
	mass := make([]float32, g.w*g.h*g.d)
	var at [8]int
	var weight [8]float32
	for y := range s.H {
		for x := range s.W {
			g.corners(s, x, y, &at, &weight)
			for k, i := range at {
				mass[i] += weight[k]
			}
		}
	}
	g.scale = make([]float32, len(mass))
	near := make([][3]float32, len(mass))
	for i, m := range mass {
		if m > 0 {
			g.scale[i] = 1
		}
	}
	for range balances {
		for i, n := range g.scale {
			near[i] = [3]float32{n}
		}
		g.blur(near)
		for i, m := range mass {
			if m > 0 {
				g.scale[i] = float32(math.Sqrt(float64(g.scale[i] * m / near[i][0])))
			}
		}
	}
	for i, m := range mass {
		if m > 0 {
			g.scale[i] /= m
		}
	}
}

// layer is how deep a pixel lies, in cells.
func (g *bilateralGrid) layer(z float32) float32 {
	return float32(math.Log(float64(max(z, nearest))/nearest) / cellLogDepth)
}

// corners gives the eight corners round a pixel and their weights.
func (g *bilateralGrid) corners(s *Features, x, y int, at *[8]int, weight *[8]float32) {
	fx, fy := (float32(x)+0.5)/g.side, (float32(y)+0.5)/g.side
	fz := float32(g.d - 1)
	if z := s.Depth[y*s.W+x]; z > 0 {
		fz = g.layer(z)
	}
	ix, iy, iz := int(fx), int(fy), min(int(fz), g.d-2)
	fx, fy, fz = fx-float32(ix), fy-float32(iy), fz-float32(iz)
	for k := range at {
		kx, ky, kz := k&1, k>>1&1, k>>2
		at[k] = ((iz+kz)*g.h+iy+ky)*g.w + ix + kx
		weight[k] = lerpWeight(fx, kx) * lerpWeight(fy, ky) * lerpWeight(fz, kz)
	}
}

func lerpWeight(f float32, far int) float32 {
	if far == 1 {
		return f
	}
	return 1 - f
}

// Airlight is a layer's airlight averaged over cells.
type Airlight struct {
	s    *Features
	grid *bilateralGrid
	sum  [][3]float32
}

// At returns it at pixel x, y.
func (a *Airlight) At(x, y int) (c [3]float32) {
	var at [8]int
	var weight [8]float32
	a.grid.corners(a.s, x, y, &at, &weight)
	for k, i := range at {
		for b := range c {
			c[b] += weight[k] * a.sum[i][b]
		}
	}
	return
}

// addTo adds it to a picture.
func (a *Airlight) addTo(c [][3]float32) {
	rows(a.s.H, func(y0, y1 int) {
		for i := y0 * a.s.W; i < y1*a.s.W; i++ {
			for b, v := range a.At(i%a.s.W, i/a.s.W) {
				c[i][b] += v
			}
		}
	})
}

// filter averages one layer, which it changes. What stands out too far is taken away, first against
// the whole picture, then against what is round about, and spread over the picture: a lamp's
// reflection that one path in a million finds would be a blot.
func (g *bilateralGrid) filter(s *Features, c [][3]float32) *Airlight {
	mean := float32(0)
	for _, p := range c {
		mean += p[1] / float32(len(c))
	}
	clampLuminance(s, c, func(int) float32 { return clampPicture * mean })
	out := g.average(s, c)
	if clampLuminance(s, c, func(i int) float32 { return clampLocal * out.At(i%s.W, i/s.W)[1] }) {
		return g.average(s, c)
	}
	return out
}

// clampLuminance lets airlight have no more luminance than most says, spreads what is over, and
// reports whether anything was.
func clampLuminance(s *Features, c [][3]float32, most func(i int) float32) bool {
	var rare []excess
	for i, p := range c {
		if m := most(i); p[1] > m {
			k := m / p[1]
			c[i] = [3]float32{k * p[0], k * p[1], k * p[2]}
			rare = append(rare, excess{i, [3]float32{p[0] - c[i][0], p[1] - c[i][1], p[2] - c[i][2]}})
		}
	}
	spread(s.W, s.H, c, rare, func(int) bool { return false })
	return len(rare) > 0
}

func (g *bilateralGrid) average(s *Features, c [][3]float32) *Airlight {
	sum := make([][3]float32, g.w*g.h*g.d)
	var at [8]int
	var weight [8]float32
	for y := range s.H {
		for x := range s.W {
			g.corners(s, x, y, &at, &weight)
			p := &c[y*s.W+x]
			for k, i := range at {
				q, u := &sum[i], weight[k]
				q[0] += u * p[0]
				q[1] += u * p[1]
				q[2] += u * p[2]
			}
		}
	}
	g.scaled(sum)
	g.blur(sum)
	g.scaled(sum)
	return &Airlight{s, g, sum}
}

func (g *bilateralGrid) scaled(sum [][3]float32) {
	for i, k := range g.scale {
		for b := range sum[i] {
			sum[i][b] *= k
		}
	}
}

// blur spreads the sums by the binomial 1 2 1 along all three axes, but not to and from those that
// see no surface.
func (g *bilateralGrid) blur(sum [][3]float32) {
	for axis, step := range [3]int{1, g.w, g.w * g.h} {
		was := append([][3]float32(nil), sum...)
		for i := range sum {
			at, of := i%g.w, g.w
			switch axis {
			case 1:
				at, of = i/g.w%g.h, g.h
			case 2:
				at, of = i/(g.w*g.h), g.d-1
			}
			for b := range sum[i] {
				v := 2 * was[i][b]
				if at > 0 && at < of {
					v += was[i-step][b]
				}
				if at < of-1 {
					v += was[i+step][b]
				}
				sum[i][b] = v
			}
		}
	}
}
