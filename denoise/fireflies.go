package denoise

import (
	"math"

	"halfstop/trace"
)

// The light of a firefly is spread so far, in pixels each way, that each pixel's part is small
// against what it has, but not without end; what would show is dropped. Of parts of 1.5, 2, 4 and
// 100 % on the demonstration at one to four samples the small ones had the least error, the large
// ones lost less light.
const (
	spreadArea   = 100  // pixels for each time that it is as bright as its neighbours
	spreadRadius = 32   // pixels each way
	spreadShare  = 0.01 // most that a pixel is given, as a share of what the neighbours have
)

// suppressFireflies evens out fireflies, pixels that owe their light to a rare path: over three
// times the second brightest of their neighbours, and with a standard error of more than a third by
// their own samples. A catchlight that every sample finds has a small one and stays. What is taken
// away goes to the pixels round about that see the same surface, in proportion to their albedo: it
// is light that they had a chance of, too. was is room for a number a pixel.
func (s *Features) suppressFireflies(l *Layer, was []float32) {
	for i, c := range l.C {
		was[i] = c[1]
	}
	var similar [(2*spreadRadius + 1) * (2*spreadRadius + 1)]int
	for y := range s.H {
		for x := range s.W {
			i := y*s.W + x
			second, at := s.second(was, x, y)
			unsure := !(l.Var[i] < was[i]*was[i]/9)
			if !(was[i] > 3*second && unsure && second > 0) {
				continue
			}
			k := second / was[i]
			over := l.C[i]
			for b := range over {
				l.C[i][b] *= k
				over[b] *= 1 - k
			}
			l.Var[i] = l.Var[at]
			reach := int(min(spreadRadius, math.Ceil(math.Sqrt(spreadArea*float64(was[i]/second))/2)))
			list, albedo := s.sameSurface(x, y, reach, similar[:0])
			if albedo == 0 {
				continue
			}
			if most := spreadShare * second / s.divisor(i) * albedo; over[1] > most {
				k := most / over[1]
				for b := range over {
					over[b] *= k
				}
			}
			for _, q := range list {
				u := s.divisor(q) / albedo
				for b, v := range over {
					l.C[q][b] += u * v
				}
				l.Var[q] += u * u * over[1] * over[1] // one firefly, give or take one
			}
		}
	}
}

// sameSurface lists the pixels in reach that see the same surface as one, with the sum of their
// albedos; none for a pixel that sees more than one.
func (s *Features) sameSurface(x, y, reach int, list []int) ([]int, float32) {
	i, albedo := y*s.W+x, float32(0)
	z, n := s.Depth[i], s.Normal[i]
	if s.ID != nil && (s.ID[i] == trace.MixedID || s.ID[i] == trace.MixedEmitterID) {
		return nil, 0
	}
	for qy := max(0, y-reach); qy <= min(s.H-1, y+reach); qy++ {
		for qx := max(0, x-reach); qx <= min(s.W-1, x+reach); qx++ {
			q := qy*s.W + qx
			if s.ID != nil && s.ID[q] != s.ID[i] {
				continue
			}
			if d := s.Depth[q] - z; d*d <= 0.01*z*z && dot(n, s.Normal[q]) >= 0.8 {
				list = append(list, q)
				albedo += s.divisor(q)
			}
		}
	}
	return list, albedo
}

// second gives the second brightest of the pixels round one, and which that is.
func (s *Features) second(lum []float32, x, y int) (second float32, at int) {
	first := float32(0)
	at = y*s.W + x
	brightest := at
	for qy := max(0, y-1); qy <= min(s.H-1, y+1); qy++ {
		for qx := max(0, x-1); qx <= min(s.W-1, x+1); qx++ {
			if qx == x && qy == y {
				continue
			}
			switch v := lum[qy*s.W+qx]; {
			case v > first:
				second, at = first, brightest
				first, brightest = v, qy*s.W+qx
			case v > second:
				second, at = v, qy*s.W+qx
			}
		}
	}
	return
}
