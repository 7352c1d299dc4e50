package denoise

import (
	"math"

	"halfstop/trace"
)

// Features are the feature buffers (G-buffer) that guide the filter, W·H long each, row by row from
// the top left.
type Features struct {
	W, H   int
	Albedo []float32    // 0 to 1; 0 where no surface is
	Normal [][3]float32 // unit, or shorter where it varies within the pixel
	Depth  []float32    // metres; 0 where no surface is
	// names the surface; trace.MixedID where there is more
	// than one, trace.MixedEmitterID where an emitter
	ID []uint32
	// is among them: then no neighbour's light counts. nil: not known
}

// tap is a neighbour, in steps, with its weight.
type tap struct {
	dx, dy int
	h      float32
}

// near are the 5 × 5 pixels but the middle, with the cubic spline's weights; far the 3 × 3, with
// the linear one's.
var near = spline([]float32{1. / 16, 4. / 16, 6. / 16, 4. / 16, 1. / 16})
var far = spline([]float32{1. / 4, 2. / 4, 1. / 4})

func spline(k []float32) (out []tap) {
	r := len(k) / 2
	for y := -r; y <= r; y++ {
		for x := -r; x <= r; x++ {
			if x != 0 || y != 0 {
				out = append(out, tap{x, y, k[y+r] * k[x+r]})
			}
		}
	}
	return
}

// at gives the taps of a level and the weight of the middle.
func at(level int) (taps []tap, middle float32) {
	if level == 0 {
		return near, 36. / 256
	}
	return far, 4. / 16
}

// edgeStoppingWeights fills out (as many a pixel as there are taps) with the edge-stopping weights
// of features at the taps of a step, 0 to 255, for rows y0 to y1: by ID, depth against the plane
// through the pixel, normal and, where the ID is not sure, albedo.
func (s *Features) edgeStoppingWeights(taps []tap, step, y0, y1 int, out []uint8) {
	nt := len(taps)
	for y := y0; y < y1; y++ {
		for x := range s.W {
			i := y*s.W + x
			o := out[nt*i : nt*i+nt]
			n, z, a := s.Normal[i], s.Depth[i], s.Albedo[i]
			ln := dot(n, n)
			zx, zy := s.slope(i, x, s.W, 1), s.slope(i, y, s.H, s.W)
			jitter := abs(zx) + abs(zy) // a ray meets its pixel anywhere
			for k := range taps {
				t := &taps[k]
				qx, qy := x+t.dx*step, y+t.dy*step
				if qx < 0 || qy < 0 || qx >= s.W || qy >= s.H {
					o[k] = 0
					continue
				}
				q := qy*s.W + qx
				if s.ID != nil && (s.ID[q] != s.ID[i] || s.ID[i] == trace.MixedEmitterID) {
					o[k] = 0
					continue
				}
				w := float32(1)
				if s.ID == nil || s.ID[i] == trace.MixedID {
					// What is not known to be the same thing must be as bright. What is may have
					// any texture: its light is compared without it.
					b := s.Albedo[q]
					w = hat((b-a)/(0.02+0.15*max(a, b)), 1)
				}
				if w == 0 {
					o[k] = 0
					continue
				}
				if zq := s.Depth[q]; z > 0 && zq > 0 {
					want := z + zx*float32(t.dx*step) + zy*float32(t.dy*step)
					w = hat((zq-want)/(0.02*z+0.5*abs(want-z)+jitter), w)
					m := s.Normal[q]
					if lm := dot(m, m); w > 0 && ln > 0.01 && lm > 0.01 {
						c := dot(n, m) / float32(math.Sqrt(float64(ln*lm)))
						w = hat((1-c)*normalScale, w)
					}
				} else if z != zq {
					w = 0
				}
				o[k] = uint8(w*255 + 0.5)
			}
		}
	}
}

// normalScale: normals that differ by 1/normalScale in cosine (about 18°) no longer count.
const normalScale = 20

// slope is how depth changes for one pixel along a row or column: the smaller of both sides'
// differences, so that an edge is no slope.
func (s *Features) slope(i, at, of, stride int) float32 {
	z := s.Depth[i]
	best := float32(math.MaxFloat32)
	if at > 0 && s.Depth[i-stride] > 0 {
		best = z - s.Depth[i-stride]
	}
	if at < of-1 && s.Depth[i+stride] > 0 {
		if d := s.Depth[i+stride] - z; abs(d) < abs(best) {
			best = d
		}
	}
	if best == math.MaxFloat32 {
		return 0
	}
	return best
}

// hat is w times (1 − x²)² (Tukey's biweight): 1 at x = 0, 0 from x = ±1 on.
func hat(x, w float32) float32 {
	x = 1 - x*x
	if !(x > 0) {
		return 0
	}
	return w * x * x
}

func dot(a, b [3]float32) float32 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func abs(x float32) float32 { return max(x, -x) }
