package denoise

import (
	"context"
	"math"

	"halfstop/trace"
)

const (
	featureRays = 16 // feature rays of an edge pixel
	// EdgeSamples is the number of samples a pixel from which on it knows its own coverage better.
	EdgeSamples = 4 * featureRays
	raiseLimit  = 3    // times its own light and that of most round about: a highlight beside a pixel is not its own
	textureEdge = 1.25 // ratio of neighbours' albedos from which on they are an edge
	keepError   = 0.05 // a pixel whose own light has a smaller relative error keeps it
)

// ReconstructEdges gives the pixels along edges the light of the surfaces they see, each by its
// coverage of the pixel. Coverage needs many feature rays and no light; the light of each surface
// is that of the pixels round about which see nothing else. A pixel that sees a surface which none
// of those does keeps its own light, and so does one whose light is known to keepError.
//
// layers are filtered light and are changed; airlight, where there is any, is added to them, each
// surface of an edge with its own. raw gives the luminance of a pixel of a layer before it was
// filtered, with its variance. tracer makes, for each goroutine, a function that fills its argument
// with the features that stratified rays of pixel x, y meet; nil: edges stay as they are. It ends
// with ctx's error, layers unchanged.
func ReconstructEdges(ctx context.Context, s *Features, layers [][][3]float32, airlight []*Airlight,
	raw func(l, i int) (lum, variance float32), tracer func() func(x, y int, out []trace.Feature)) error {
	// Pixels of edges by bands of rows, with the light of each in all layers: what is read must not
	// change while others read it.
	type band struct {
		pixels []int
		light  [][3]float32
	}
	bands := make([]band, s.H)
	if tracer != nil {
		rows(s.H, func(y0, y1 int) {
			features := tracer()
			rays := make([]trace.Feature, featureRays)
			var parts []part
			b := &bands[y0]
			for y := y0; y < y1; y++ {
				for x := range s.W {
					if s.edge(x, y) {
						b.pixels = append(b.pixels, y*s.W+x)
					}
				}
			}
			b.light = make([][3]float32, 0, len(b.pixels)*len(layers))
			found := b.pixels[:0]
			for _, i := range b.pixels {
				if ctx.Err() != nil {
					return
				}
				features(i%s.W, i/s.W, rays)
				if parts = s.coverage(i%s.W, i/s.W, rays, parts[:0]); parts == nil {
					continue
				}
				found = append(found, i)
				for l, c := range layers {
					light := s.reconstruct(c, parts, i, func() (lum, variance float32) { return raw(l, i) })
					if a := airlight[l]; a != nil {
						addTo(&light, s.spread(a, parts))
					}
					b.light = append(b.light, light)
				}
			}
			b.pixels = found
		})
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	for l, c := range layers {
		if airlight[l] != nil {
			airlight[l].addTo(c)
		}
	}
	for _, b := range bands {
		for k, i := range b.pixels {
			for l, c := range layers {
				c[i] = b.light[k*len(layers)+l]
			}
		}
	}
	return nil
}

func addTo(c *[3]float32, v [3]float32) {
	for b := range c {
		c[b] += v[b]
	}
}

// reconstruct is pixel i's light in a layer.
func (s *Features) reconstruct(c [][3]float32, parts []part, i int,
	raw func() (lum, variance float32)) [3]float32 {
	lum, variance := raw()
	if variance < keepError*keepError*lum*lum {
		return c[i]
	}
	limit := float32(math.MaxFloat32)
	if own := raiseLimit * max(c[i][1], lum); s.ID[i] != trace.MixedEmitterID && anyOver(c, parts, own) {
		limit = max(own, raiseLimit*median(c, parts))
	}
	return blend(c, parts, i, limit)
}

// anyOver reports whether a pixel of parts is brighter than limit.
func anyOver(c [][3]float32, parts []part, limit float32) bool {
	for _, p := range parts {
		if c[p.i][1] > limit {
			return true
		}
	}
	return false
}

// part is a pixel's share of another, each pixel once: how much of the other's area sees the same
// surface, and the same with the surfaces' albedos brought to one.
type part struct {
	i          int
	clear, lit float32
}

// spread adds up the airlight of other pixels by their shares of the area.
func (s *Features) spread(a *Airlight, parts []part) (sum [3]float32) {
	for _, p := range parts {
		for b, v := range a.At(p.i%s.W, p.i/s.W) {
			sum[b] += p.clear * v
		}
	}
	return
}

// blend adds up the light of the pixels that pixel self is made of; none counts for more than
// limit.
func blend(c [][3]float32, parts []part, self int, limit float32) (sum [3]float32) {
	k := float32(1)
	for _, p := range parts {
		if p.i == self && c[self][1] <= 0 { // it has found no light yet: its share goes to the others
			k = 1 / max(0.1, 1-p.clear)
		}
		w, q := p.lit, &c[p.i]
		if q[1] > limit {
			w *= limit / q[1]
		}
		sum[0] += w * q[0]
		sum[1] += w * q[1]
		sum[2] += w * q[2]
	}
	return [3]float32{k * sum[0], k * sum[1], k * sum[2]}
}

// median is the luminance that half of the area lies under.
func median(c [][3]float32, parts []part) float32 {
	m, below := float32(0), float32(0)
	for _, p := range parts { // few: a selection by counting
		below = 0
		for _, q := range parts {
			if c[q.i][1] < c[p.i][1] {
				below += q.clear
			}
		}
		if v := c[p.i][1]; below <= 0.5 && v > m {
			m = v
		}
	}
	return m
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
				// A texture finer than a pixel: one sample's albedo is not the pixel's.
				if a, b := s.divisor(i), s.divisor(j); max(a, b) > textureEdge*min(a, b) {
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

// search are the steps in which a feature ray looks for pixels that see its surface: at what
// distance, and whether they must look the same way. A thing thinner than a pixel has its own all
// along it, turned another way or some pixels off.
var search = []struct {
	from, to int
	anyWay   bool
}{{0, 1, false}, {1, 2, false}, {0, 2, true}, {3, searchReach, true}}

const searchReach = 5 // pixels

// coverage spreads a pixel's feature rays over the pixels round it that see the same surface. What
// no pixel sees stays with the pixel itself. Nil where nothing is found at all.
func (s *Features) coverage(x, y int, rays []trace.Feature, parts []part) []part {
	each, lost := 1/float32(len(rays)), float32(0)
	const side = 2*searchReach + 1
	var known [side * side]int16 // of the pixels round about: place in parts, plus one
	type share struct {
		dx, dy, j int
		w         float32
	}
	found := make([]share, 0, side*side)
	for k := range rays {
		g := &rays[k]
		sum := float32(0)
		found = found[:0]
		for _, step := range search {
			for dy := -step.to; dy <= step.to; dy++ {
				for dx := -step.to; dx <= step.to; dx++ {
					nx, ny := x+dx, y+dy
					if max(dx, -dx, dy, -dy) < step.from || nx < 0 || ny < 0 || nx >= s.W || ny >= s.H {
						continue
					}
					j := ny*s.W + nx
					if s.ID[j] != g.ID {
						continue
					}
					n := g.Normal
					if step.anyWay {
						n = s.Normal[j]
					}
					v := s.same(j, n, g.Depth) / float32(1+2*(dx*dx+dy*dy))
					if v > 0 {
						found = append(found, share{dx, dy, j, v})
						sum += v
					}
				}
			}
			if sum > 0 {
				break
			}
		}
		if sum == 0 {
			lost += each
			continue
		}
		for _, f := range found {
			at := &known[(f.dy+searchReach)*side+f.dx+searchReach]
			if *at == 0 {
				parts = append(parts, part{i: f.j})
				*at = int16(len(parts))
			}
			p, w := &parts[*at-1], f.w*each/sum
			p.clear += w
			p.lit += w * divisor(g.Albedo) / s.divisor(f.j)
		}
	}
	if len(parts) == 0 {
		return nil
	}
	if lost > 0 {
		if at := known[searchReach*side+searchReach]; at > 0 {
			parts[at-1].clear += lost
			parts[at-1].lit += lost
		} else {
			parts = append(parts, part{y*s.W + x, lost, lost})
		}
	}
	return parts
}
