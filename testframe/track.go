package testframe

import "math"

// Alike is from which correlation one photograph counts as of the same view as another; under it
// nothing is tracked. Frames of one setup with a light off stay over 0.7, those of another camera
// place under 0.3 (measured on the zoo).
const Alike = 0.5

// Between finds how far a photograph lies from an earlier one of one size, by normalized
// cross-correlation of what is left of the logarithm of their light without its local mean (Lewis
// 1995), and the correlation there. Roll is not looked for: it is 0.
func Between(from, to *Image) (s Shift, correlation float64) {
	a, b := detail(from), detail(to)
	w, h := from.W, from.H
	furthestX, furthestY := int(furthest*float64(w)), int(furthest*float64(h))
	at := [2]int{}
	correlation = -1
	value := map[[2]int]float64{}
	of := func(dx, dy int) float64 {
		k := [2]int{dx, dy}
		if v, ok := value[k]; ok {
			return v
		}
		var ab, aa, bb float64
		for y := max(0, dy); y < min(h, h+dy); y++ {
			for x := max(0, dx); x < min(w, w+dx); x++ {
				p, q := a[(y-dy)*w+x-dx], b[y*w+x]
				ab += p * q
				aa += p * p
				bb += q * q
			}
		}
		value[k] = ab / math.Sqrt(max(1e-12, aa*bb))
		return value[k]
	}
	for dy := -furthestY; dy <= furthestY; dy++ {
		for dx := -furthestX; dx <= furthestX; dx++ {
			if v := of(dx, dy); v > correlation {
				at, correlation = [2]int{dx, dy}, v
			}
		}
	}
	// Between pixels, by a parabola through the neighbours.
	peak := func(lo, hi float64) float64 {
		d := lo + hi - 2*correlation
		if d >= 0 {
			return 0
		}
		return max(-0.5, min(0.5, (lo-hi)/(2*d)))
	}
	x := float64(at[0]) + peak(of(at[0]-1, at[1]), of(at[0]+1, at[1]))
	y := float64(at[1]) + peak(of(at[0], at[1]-1), of(at[0], at[1]+1))
	return Shift{X: x / float64(w), Y: y / float64(h)}, correlation
}

// detail is the logarithm of an image's light without its mean in a square about each pixel: what
// stays when lights are brighter or darker.
func detail(m *Image) []float64 {
	const r = 4
	v := make([]float64, len(m.RGB))
	for i, p := range m.RGB {
		v[i] = math.Log2(0.005 + min(clip, 0.2126*p[0]+0.7152*p[1]+0.0722*p[2]))
	}
	out := make([]float64, len(v))
	for y := range m.H {
		for x := range m.W {
			sum, n := 0.0, 0.0
			for j := max(0, y-r); j <= min(m.H-1, y+r); j++ {
				for i := max(0, x-r); i <= min(m.W-1, x+r); i++ {
					sum += v[j*m.W+i]
					n++
				}
			}
			out[y*m.W+x] = v[y*m.W+x] - sum/n
		}
	}
	return out
}
