package testframe

import "math"

// stack is the pictures of lights with the values of one pixel side by side, which is how sums over
// pixels go through them.
type stack struct {
	w, h, n int
	v       [3][]float64 // by channel; n values a pixel
}

// stacked stacks layers with their gels.
func stacked(layers []Layer) *stack {
	s := &stack{w: layers[0].W, h: layers[0].H, n: len(layers)}
	for c := range s.v {
		s.v[c] = make([]float64, s.w*s.h*s.n)
		for l := range layers {
			for i, p := range layers[l].RGB {
				s.v[c][i*s.n+l] = p[c]
			}
		}
	}
	return s
}

// of is what each light gives at a pixel, in a channel.
func (s *stack) of(c, pixel int) []float64 { return s.v[c][pixel*s.n : (pixel+1)*s.n] }

// moved draws the pictures anew at a shifted place, as the method of that name of an image.
func (s *stack) moved(by Shift) *stack {
	out := &stack{w: s.w, h: s.h, n: s.n}
	for c := range out.v {
		out.v[c] = make([]float64, len(s.v[c]))
	}
	for y := range s.h {
		for x := range s.w {
			for _, q := range between(s.w, s.h, x, y, by) {
				for c := range 3 {
					to, from := out.of(c, y*s.w+x), s.of(c, q.pixel)
					for l := range to {
						to[l] += q.share * from[l]
					}
				}
			}
		}
	}
	return out
}

// tap is a pixel with its share in a value between pixels.
type tap struct {
	pixel int
	share float64
}

// between is where a pixel of a shifted picture lies in the one that was not: its four neighbours;
// where there is nothing of it, the nearest.
func between(w, h, x, y int, s Shift) (out [4]tap) {
	sn, cs := math.Sincos(s.Roll * math.Pi / 180)
	u, v := float64(x)+0.5-float64(w)/2, float64(y)+0.5-float64(h)/2
	px := cs*u + sn*v + float64(w)/2 - s.X*float64(w) - 0.5
	py := -sn*u + cs*v + float64(h)/2 - s.Y*float64(h) - 0.5
	i, j := math.Floor(px), math.Floor(py)
	fx, fy := px-i, py-j
	for k, q := range [4][3]float64{{0, 0, (1 - fx) * (1 - fy)}, {1, 0, fx * (1 - fy)},
		{0, 1, (1 - fx) * fy}, {1, 1, fx * fy}} {
		a, b := int(min(float64(w-1), max(0, i+q[0]))), int(min(float64(h-1), max(0, j+q[1])))
		out[k] = tap{b*w + a, q[2]}
	}
	return out
}

// bright marks where the prediction clips, with the pixels beside: a lamp that is a hundred times
// brighter than all else tells nothing but where it is.
func (s *stack) bright() []bool {
	w, h := s.w, s.h
	over := make([]bool, w*h)
	for i := range over {
		var sum [3]float64
		for c := range sum {
			for _, v := range s.of(c, i) {
				sum[c] += v
			}
		}
		over[i] = max(sum[0], sum[1], sum[2]) > 1.5*clip
	}
	out := make([]bool, w*h)
	for y := range h {
		for x := range w {
			for j := max(0, y-1); j <= min(h-1, y+1); j++ {
				for i := max(0, x-1); i <= min(w-1, x+1); i++ {
					out[y*w+x] = out[y*w+x] || over[j*w+i]
				}
			}
		}
	}
	return out
}

// problem is the least-squares problem of one placing.
type problem struct {
	gram [][]float64
	rhs  []float64
	all  float64 // Σ weight·observed²
	n    float64
}

// pose builds the normal equations of the lights' weights.
func pose(photo *weighed, s *stack, bright []bool, at []int, gain [3]float64, step int) problem {
	n := s.n
	p := problem{gram: make([][]float64, n), rhs: make([]float64, n)}
	for i := range p.gram {
		p.gram[i] = make([]float64, n)
	}
	for k := 0; k < len(at); k += step {
		i := at[k]
		if i < 0 || bright[i] {
			continue
		}
		o, wt := photo.RGB[k], photo.wt[k]
		if max(o[0], o[1], o[2]) > clip { // it is as bright as that, or brighter
			o, wt = [3]float64{clip, clip, clip}, clippedWeight
		}
		for c := range 3 {
			v := s.of(c, i)
			g := wt * gain[c]
			p.all += wt * o[c] * o[c]
			p.n++
			for a, va := range v {
				p.rhs[a] += g * va * o[c]
				va *= g * gain[c]
				row := p.gram[a][:a+1]
				for b, vb := range v[:a+1] {
					row[b] += va * vb
				}
			}
		}
	}
	for a := range n {
		for b := range a {
			p.gram[b][a] = p.gram[a][b]
		}
	}
	return p
}

// whitened finds the gains of the channels that fit best, together with the weights.
func whitened(photo *weighed, s *stack, bright []bool, at []int, layers []Layer, g [3]float64) [3]float64 {
	for range 4 {
		p := pose(photo, s, bright, at, g, 3)
		w, _ := p.solve(layers)
		var oo, op [3]float64
		for k := 0; k < len(at); k += 3 {
			o := photo.RGB[k]
			if at[k] < 0 || bright[at[k]] || max(o[0], o[1], o[2]) > clip {
				continue
			}
			wt := photo.wt[k]
			for c := range 3 {
				v := 0.0
				for l, x := range s.of(c, at[k]) {
					v += w[l] * x
				}
				op[c] += wt * o[c] * v
				oo[c] += wt * v * v
			}
		}
		for c := range g {
			if oo[c] > 0 && op[c] > 0 {
				g[c] = op[c] / oo[c]
			}
		}
		y := 0.2126*g[0] + 0.7152*g[1] + 0.0722*g[2]
		for c := range g {
			g[c] /= y
		}
	}
	return g
}
