package denoise

import (
	"math"
	"slices"
)

// A veil of haze depends on where a pixel is and how far its eye's way goes, and on little else: it is averaged in boxes of both, whatever the
// surfaces are (a bilateral grid: Chen, Paris and Durand 2007). Weights know neither light nor noise, so but for what is cut no light
// is lost, and layers add up.
const (
	veilSide  = 16.  // pixels of a box at one sample a pixel and veilFrame pixels along the diagonal
	veilFrame = 770. // 640 × 427
	veilLeast = 2    // pixels; smaller boxes than that would be many
	veilDepth = 0.25 // ln of the far side of a box over its near side
	veilNear  = 0.3  // what is nearer, in metres, counts as there
	veilMost  = 30   // times the mean round about that a pixel may have
	veilWhole = 300  // times the mean of the picture
)

// boxes is a grid over a picture: w × h × d corners, of which pixels lie between.
type boxes struct {
	side    float32
	w, h, d int
}

func newBoxes(s *Seen, samples int) *boxes {
	diagonal := math.Hypot(float64(s.W), float64(s.H))
	side := veilSide * math.Sqrt(diagonal/veilFrame) / math.Cbrt(float64(max(1, samples)))
	g := &boxes{side: float32(max(veilLeast, side))}
	deepest := float32(0)
	for _, z := range s.Depth {
		deepest = max(deepest, z)
	}
	g.w, g.h = int(float32(s.W)/g.side)+2, int(float32(s.H)/g.side)+2
	g.d = int(g.layer(deepest)) + 3 // the last for pixels that see no surface
	return g
}

// layer is how deep a pixel lies, in boxes.
func (g *boxes) layer(z float32) float32 {
	return float32(math.Log(float64(max(z, veilNear))/veilNear) / veilDepth)
}

// corners gives the eight corners round a pixel and their weights.
func (g *boxes) corners(s *Seen, x, y int, at *[8]int, weight *[8]float32) {
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
		weight[k] = part(fx, kx) * part(fy, ky) * part(fz, kz)
	}
}

func part(f float32, far int) float32 {
	if far == 1 {
		return f
	}
	return 1 - f
}

// veil averages one layer. What stands out too far is cut off, first against the whole picture, then against what is round about: a lamp's
// reflection that one path in a million finds would be a blot.
func (g *boxes) veil(s *Seen, c [][3]float32) [][3]float32 {
	mean := float32(0)
	for _, p := range c {
		mean += p[1] / float32(len(c))
	}
	c, _ = cut(c, func(int) float32 { return veilWhole * mean })
	out := g.average(s, c)
	if c, any := cut(c, func(i int) float32 { return veilMost * out[i][1] }); any {
		return g.average(s, c)
	}
	return out
}

// cut gives light with no more luminance than most says, and whether that is another.
func cut(c [][3]float32, most func(i int) float32) (out [][3]float32, any bool) {
	out = c
	for i, p := range c {
		if m := most(i); p[1] > m {
			if !any {
				out, any = slices.Clone(c), true
			}
			k := m / p[1]
			out[i] = [3]float32{k * p[0], k * p[1], k * p[2]}
		}
	}
	return
}

func (g *boxes) average(s *Seen, c [][3]float32) [][3]float32 {
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
	out := make([][3]float32, len(c))
	rows(s.H, func(y0, y1 int) {
		var at [8]int
		var weight [8]float32
		for y := y0; y < y1; y++ {
			for x := range s.W {
				g.corners(s, x, y, &at, &weight)
				var t [4]float32
				for k, i := range at {
					for b := range t {
						t[b] += weight[k] * sum[i][b]
					}
				}
				out[y*s.W+x] = [3]float32{t[0] / t[3], t[1] / t[3], t[2] / t[3]}
			}
		}
	})
	return out
}

// blur spreads the sums over the corners beside, along all three ways, but not to and from those that see no surface.
func (g *boxes) blur(sum [][4]float32) {
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
