package denoise

import "math"

// Seen is what each pixel sees, w·h long each, row by row.
type Seen struct {
	W, H   int
	Albedo []float32    // 0 to 1; 0 where no surface is
	Normal [][3]float32 // unit, or shorter where it varies within the pixel
	Depth  []float32    // metres; 0 where no surface is
}

// taps of the 5 × 5 neighbourhood but its middle, with the cubic spline's weights.
type tap struct {
	dx, dy int
	h      float32
}

var taps = func() (out [24]tap) {
	k := [5]float32{1. / 16, 4. / 16, 6. / 16, 4. / 16, 1. / 16}
	n := 0
	for y := -2; y <= 2; y++ {
		for x := -2; x <= 2; x++ {
			if x != 0 || y != 0 {
				out[n] = tap{x, y, k[y+2] * k[x+2]}
				n++
			}
		}
	}
	return
}()

const middle = 36. / 256

// likeness fills out (24 a pixel) with how alike the surfaces at the taps of a step are, 0 to 255, for rows y0 to y1.
func (s *Seen) likeness(step, y0, y1 int, out []uint8) {
	for y := y0; y < y1; y++ {
		for x := range s.W {
			i := y*s.W + x
			o := out[24*i : 24*i+24]
			n, z, a := s.Normal[i], s.Depth[i], s.Albedo[i]
			ln := dot(n, n)
			zx, zy := s.slope(i, x, s.W, 1), s.slope(i, y, s.H, s.W)
			for k := range taps {
				t := &taps[k]
				qx, qy := x+t.dx*step, y+t.dy*step
				if qx < 0 || qy < 0 || qx >= s.W || qy >= s.H {
					o[k] = 0
					continue
				}
				q := qy*s.W + qx
				w := float32(1)
				if zq := s.Depth[q]; z > 0 && zq > 0 {
					want := z + zx*float32(t.dx*step) + zy*float32(t.dy*step)
					w = bell((zq-want)/(0.02*z+0.5*abs(want-z)), w)
					m := s.Normal[q]
					if lm := dot(m, m); ln > 0.01 && lm > 0.01 {
						c := dot(n, m) / float32(math.Sqrt(float64(ln*lm)))
						w = bell((1-c)*normalScale, w)
					}
				} else if z != zq {
					w = 0
				}
				w = bell((s.Albedo[q]-a)/(0.02+0.15*max(a, s.Albedo[q])), w)
				o[k] = uint8(w*255 + 0.5)
			}
		}
	}
}

// normalScale: normals that differ by 1/normalScale in cosine (about 18°) no longer count.
const normalScale = 20

// slope is how depth changes for one pixel along a row or column: the smaller of both sides' differences, so that an edge is no slope.
func (s *Seen) slope(i, at, of, stride int) float32 {
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

// bell is w times a smooth hat: 1 at x = 0, 0 from x = ±1 on.
func bell(x, w float32) float32 {
	x = 1 - x*x
	if !(x > 0) {
		return 0
	}
	return w * x * x
}

func dot(a, b [3]float32) float32 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

func abs(x float32) float32 { return max(x, -x) }
