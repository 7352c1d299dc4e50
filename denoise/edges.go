package denoise

import (
	"context"
	"sync"

	"halfstop/trace"
)

const (
	glimpses = 16 // rays that find out what an edge pixel sees
	// Known is the number of samples from which on a pixel knows its own edges better.
	Known   = 4 * glimpses
	shine   = 3    // times its own light, by which what stands beside a pixel may raise it: a highlight beside it is not its own
	certain = 0.05 // a pixel whose own light has a smaller relative error keeps it
)

// Edges gives the pixels along edges the light of what they see, each thing by the share of the pixel that it fills. Shares need many rays
// and no light; the light of each thing is that of the pixels round about which see nothing else. A pixel that sees a thing which none of
// those does keeps its own light, and so does one whose light is certain.
//
// layers are filtered light and are changed; veil says which are veils. own gives the luminance of a pixel of a layer before it was filtered, with its
// variance; it is not asked of veils. look makes, for each goroutine, a function that fills its argument with what well spread rays of pixel x, y meet.
func Edges(ctx context.Context, s *Seen, layers [][][3]float32, veil []bool, own func(l, i int) (lum, variance float32), look func() func(x, y int, out []trace.Feature)) error {
	type edit struct {
		l, i int
		c    [3]float32
	}
	var edits []edit
	var mu sync.Mutex
	rows(s.H, func(y0, y1 int) {
		at := look()
		seen := make([]trace.Feature, glimpses)
		var mine []edit
		for y := y0; y < y1 && ctx.Err() == nil; y++ {
			for x := range s.W {
				if !s.edge(x, y) {
					continue
				}
				at(x, y, seen)
				var share, clear [25]float32
				if !s.shares(x, y, seen, &share, &clear) {
					continue
				}
				i := y*s.W + x
				for l, c := range layers {
					if veil[l] {
						mine = append(mine, edit{l, i, s.spread(c, x, y, &clear)})
						continue
					}
					lum, variance := own(l, i)
					if variance < certain*certain*lum*lum {
						continue
					}
					t := s.spread(c, x, y, &share)
					if most := shine * max(c[i][1], lum); t[1] > most && s.Kind[i] != trace.MixedEmitterID {
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
func (s *Seen) spread(c [][3]float32, x, y int, share *[25]float32) (sum [3]float32) {
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
func (s *Seen) edge(x, y int) bool {
	i := y*s.W + x
	if s.Kind[i] == trace.MixedID || s.Kind[i] == trace.MixedEmitterID {
		return true
	}
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if nx, ny := x+dx, y+dy; nx >= 0 && ny >= 0 && nx < s.W && ny < s.H {
				j := ny*s.W + nx
				if s.Kind[j] != s.Kind[i] || s.same(i, s.Normal[j], s.Depth[j]) == 0 {
					return true
				}
			}
		}
	}
	return false
}

// same is how much a surface of the same kind as pixel i's is like it, 0 to 1.
func (s *Seen) same(i int, n [3]float32, z float32) float32 {
	w := float32(1)
	if z > 0 && s.Depth[i] > 0 {
		w = bell((s.Depth[i]-z)/(0.1*z), w)
		w = bell((1-dot(n, s.Normal[i]))*5, w)
	}
	return w
}

// shares spreads a pixel's glimpses over the 5 × 5 pixels round it: those that see the same. share takes their albedo for the glimpse's, veil
// does not. It reports false where a glimpse sees what none of those pixels does.
func (s *Seen) shares(x, y int, seen []trace.Feature, share, veil *[25]float32) bool {
	each := 1 / float32(len(seen))
	for k := range seen {
		g := &seen[k]
		var w [25]float32
		sum := float32(0)
		for ring := 1; ring <= 2 && sum == 0; ring++ {
			for dy := -ring; dy <= ring; dy++ {
				for dx := -ring; dx <= ring; dx++ {
					nx, ny := x+dx, y+dy
					if nx < 0 || ny < 0 || nx >= s.W || ny >= s.H || s.Kind[ny*s.W+nx] != g.ID {
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
				veil[j] += v
				share[j] += v * divisor(g.Albedo) / s.divisor((y+j/5-2)*s.W+x+j%5-2)
			}
		}
	}
	return true
}
