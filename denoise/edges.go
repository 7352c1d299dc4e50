package denoise

import (
	"context"
	"sync"

	"halfstop/trace"
)

const (
	featureRays = 16 // feature rays of an edge pixel
	// EdgeSamples is the number of samples a pixel from which on it knows its own coverage better.
	EdgeSamples = 4 * featureRays
	raiseLimit  = 3    // times its own light, to which a neighbour may raise a pixel: a highlight beside it is not its own
	keepError   = 0.05 // a pixel whose own light has a smaller relative error keeps it
)

// ReconstructEdges gives the pixels along edges the light of the surfaces they see, each by its
// coverage of the pixel. Coverage needs many feature rays and no light; the light of each surface
// is that of the pixels round about which see nothing else. A pixel that sees a surface which none
// of those does keeps its own light, and so does one whose light is known to keepError.
//
// layers are filtered light and are changed; airlight says which of them are airlight. raw gives
// the luminance of a pixel of a layer before it was filtered, with its variance; it is not asked of
// airlight. tracer makes, for each goroutine, a function that fills its argument with the features
// that stratified rays of pixel x, y meet. It ends with ctx's error, layers unchanged.
func ReconstructEdges(ctx context.Context, s *Features, layers [][][3]float32, airlight []bool,
	raw func(l, i int) (lum, variance float32), tracer func() func(x, y int, out []trace.Feature)) error {
	type edit struct {
		l, i int
		c    [3]float32
	}
	var edits []edit
	var mu sync.Mutex
	rows(s.H, func(y0, y1 int) {
		features := tracer()
		rays := make([]trace.Feature, featureRays)
		var mine []edit
		for y := y0; y < y1 && ctx.Err() == nil; y++ {
			for x := range s.W {
				if !s.edge(x, y) {
					continue
				}
				features(x, y, rays)
				var share, clear [25]float32
				if !s.coverage(x, y, rays, &share, &clear) {
					continue
				}
				i := y*s.W + x
				for l, c := range layers {
					if airlight[l] {
						mine = append(mine, edit{l, i, s.spread(c, x, y, &clear)})
						continue
					}
					lum, variance := raw(l, i)
					if variance < keepError*keepError*lum*lum {
						continue
					}
					t := s.spread(c, x, y, &share)
					if most := raiseLimit * max(c[i][1], lum); t[1] > most && s.ID[i] != trace.MixedEmitterID {
						k := most / t[1]
						for b := range t {
							t[b] *= k
						}
					}
					mine = append(mine, edit{l, i, t})
				}
			}
		}
		mu.Lock()
		edits = append(edits, mine...)
		mu.Unlock()
	})
	if ctx.Err() != nil {
		return ctx.Err()
	}
	for _, e := range edits {
		layers[e.l][e.i] = e.c
	}
	return nil
}

// spread adds up what the 5 × 5 pixels round one have, by their shares.
func (s *Features) spread(c [][3]float32, x, y int, share *[25]float32) (sum [3]float32) {
	for k, w := range share {
		if w == 0 {
			continue
		}
		q := &c[(y+k/5-2)*s.W+x+k%5-2]
		sum[0] += w * q[0]
		sum[1] += w * q[1]
		sum[2] += w * q[2]
	}
	return
}

// edge reports whether a pixel or one beside it sees something else.
func (s *Features) edge(x, y int) bool {
	i := y*s.W + x
	if s.ID[i] == trace.MixedID || s.ID[i] == trace.MixedEmitterID {
		return true
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if nx, ny := x+dx, y+dy; nx >= 0 && ny >= 0 && nx < s.W && ny < s.H {
				j := ny*s.W + nx
				if s.ID[j] != s.ID[i] || s.same(i, s.Normal[j], s.Depth[j]) == 0 {
					return true
				}
			}
		}
	}
	return false
}

// same is how much a surface of the same kind as pixel i's is like it, 0 to 1.
func (s *Features) same(i int, n [3]float32, z float32) float32 {
	w := float32(1)
	if z > 0 && s.Depth[i] > 0 {
		w = hat((s.Depth[i]-z)/(0.1*z), w)
		w = hat((1-dot(n, s.Normal[i]))*5, w)
	}
	return w
}

// coverage spreads a pixel's feature rays over the 5 × 5 pixels round it: those that see the same
// surface. share takes their albedo for the ray's, clear does not. It reports false where a ray
// sees what none of those pixels does.
func (s *Features) coverage(x, y int, rays []trace.Feature, share, clear *[25]float32) bool {
	each := 1 / float32(len(rays))
	for k := range rays {
		g := &rays[k]
		var w [25]float32
		sum := float32(0)
		for ring := 1; ring <= 2 && sum == 0; ring++ {
			for dy := -ring; dy <= ring; dy++ {
				for dx := -ring; dx <= ring; dx++ {
					nx, ny := x+dx, y+dy
					if nx < 0 || ny < 0 || nx >= s.W || ny >= s.H || s.ID[ny*s.W+nx] != g.ID {
						continue
					}
					v := s.same(ny*s.W+nx, g.Normal, g.Depth) / float32(1+2*(dx*dx+dy*dy))
					w[(dy+2)*5+dx+2] = v
					sum += v
				}
			}
		}
		if sum == 0 {
			return false
		}
		for j, v := range w {
			if v > 0 {
				v *= each / sum
				clear[j] += v
				share[j] += v * divisor(g.Albedo) / s.divisor((y+j/5-2)*s.W+x+j%5-2)
			}
		}
	}
	return true
}
