package denoise

import (
	"math"
)

// Airlight depends on where a pixel is and how long its view ray is, and on little else: it is
// averaged in the cells of a bilateral grid of both (Chen, Paris and Durand 2007), whatever the
// surfaces are. Weights know neither light nor noise, so but for what is clamped no light is lost,
// and layers add up.
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
}

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
	sum  [][4]float32
}

// At returns it at pixel x, y.
func (a *Airlight) At(x, y int) (c [3]float32) {
	var at [8]int
	var weight [8]float32
	a.grid.corners(a.s, x, y, &at, &weight)
	var t [4]float32
	for k, i := range at {
		for b := range t {
			t[b] += weight[k] * a.sum[i][b]
		}
	}
	return [3]float32{t[0] / t[3], t[1] / t[3], t[2] / t[3]}
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

// filter averages one layer, which it changes. What stands out too far is clamped, first against
// the whole picture, then against what is round about: a lamp's reflection that one path in a
// million finds would be a blot.
func (g *bilateralGrid) filter(s *Features, c [][3]float32) *Airlight {
	mean := float32(0)
	for _, p := range c {
		mean += p[1] / float32(len(c))
	}
	clampLuminance(c, func(int) float32 { return clampPicture * mean })
	out := g.average(s, c)
	if clampLuminance(c, func(i int) float32 { return clampLocal * out.At(i%s.W, i/s.W)[1] }) {
		return g.average(s, c)
	}
	return out
}

// clampLuminance lets light have no more luminance than most says, and reports whether any was
// clamped.
func clampLuminance(c [][3]float32, most func(i int) float32) (any bool) {
	for i, p := range c {
		if m := most(i); p[1] > m {
			any = true
			k := m / p[1]
			c[i] = [3]float32{k * p[0], k * p[1], k * p[2]}
		}
	}
	return
}

func (g *bilateralGrid) average(s *Features, c [][3]float32) *Airlight {
	sum := make([][4]float32, g.w*g.h*g.d)
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
				q[3] += u
			}
		}
	}
	g.blur(sum)
	return &Airlight{s, g, sum}
}

// blur spreads the sums by the binomial 1 2 1 along all three axes, but not to and from those that
// see no surface.
func (g *bilateralGrid) blur(sum [][4]float32) {
	for axis, step := range [3]int{1, g.w, g.w * g.h} {
		was := append([][4]float32(nil), sum...)
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
