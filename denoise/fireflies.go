package denoise

import "halfstop/trace"

const (
	// What a level of the pyramid may add to the light of a place, as a share of it: a soft bump of
	// so little is not seen beside the grain that denoising leaves.
	gainShare = 0.03
	// What one pixel may bring over its neighbours, as a share of all the layer's light. A
	// single path that carries more says nothing of the level yet: with more samples its pixel's
	// mean falls under the bound, and its light is let in.
	pixelShare = 0.25
	finestCell = 8 // pixels of a cell of the finest level
)

// suppressFireflies evens out fireflies, pixels that owe their light to a rare path: over three
// times the second brightest of their neighbours, and with a standard error of more than a third by
// their own samples. A catchlight that every sample finds has a small one and stays, and so does a
// pixel that sees a lamp. What is taken away goes to the pixels round about in proportion to the
// light they have, as a gain that is smooth over the picture: the sum of the light stays, and edges
// and textures do as well. was is room for a number a pixel.
func (s *Features) suppressFireflies(l *Layer, was []float32) {
	for i, c := range l.C {
		was[i] = c[1]
	}
	var rare []excess
	for y := range s.H {
		for x := range s.W {
			i := y*s.W + x
			second, at := s.second(was, x, y)
			unsure := !(l.Var[i] < was[i]*was[i]/9)
			if !(was[i] > 3*second && unsure && second > 0) || s.seesEmitter(i) {
				continue
			}
			k := second / was[i]
			over := l.C[i]
			for b := range over {
				l.C[i][b] *= k
				over[b] *= 1 - k
			}
			l.Var[i] = l.Var[at]
			rare = append(rare, excess{i, over})
		}
	}
	spread(s.W, s.H, l.C, rare, s.seesEmitter)
}

// excess is light that pixel i is to give to those round about.
type excess struct {
	i int
	c [3]float32
}

func (s *Features) seesEmitter(i int) bool { return s.ID != nil && trace.HasEmitter(s.ID[i]) }

// gainPyramid spreads light over a picture in proportion to what is there. Each level is a grid
// of corners twice as far apart as those of the level before, and each corner gives no more than
// gainShare of the light round about; the rest goes to the level above, and what the topmost
// gets it gives. Light comes down by the weights by which it went up, so that nothing is lost.
type gainPyramid struct{ levels []gainLevel }

type gainLevel struct {
	w, h int
	over [][3]float32 // light to spread, then the gain: what is added for each unit of luminance
	has  []float32    // luminance that is there
}

func newGainPyramid(w, h int) *gainPyramid {
	p := &gainPyramid{}
	for w, h = w/finestCell+2, h/finestCell+2; ; w, h = w/2+1, h/2+1 {
		p.levels = append(p.levels, gainLevel{w, h, make([][3]float32, w*h), make([]float32, w*h)})
		if w <= 3 && h <= 3 {
			return p
		}
	}
}

// pixelCorners gives the corners of the finest level round a pixel and their weights.
func (p *gainPyramid) pixelCorners(x, y int) ([4]int, [4]float32) {
	g := &p.levels[0]
	ix, iy := x/finestCell, y/finestCell
	return g.corners(ix, iy, (float32(x%finestCell)+0.5)/finestCell, (float32(y%finestCell)+0.5)/finestCell)
}

// corners gives the four corners round a place in a cell and their bilinear weights.
func (g *gainLevel) corners(ix, iy int, fx, fy float32) (at [4]int, weight [4]float32) {
	i := iy*g.w + ix
	return [4]int{i, i + 1, i + g.w, i + g.w + 1},
		[4]float32{(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy}
}

// above gives the same for a corner of the level below g.
func (g *gainLevel) above(x, y int) ([4]int, [4]float32) {
	ix, iy := min(x/2, g.w-2), min(y/2, g.h-2)
	return g.corners(ix, iy, float32(x-2*ix)/2, float32(y-2*iy)/2)
}

// spread adds light to a picture, but for the pixels that are to stay as they are.
func spread(w, h int, c [][3]float32, over []excess, stays func(i int) bool) {
	if len(over) == 0 {
		return
	}
	p, total := newGainPyramid(w, h), 0.0
	g := &p.levels[0]
	for i := range w * h {
		if stays(i) {
			continue
		}
		total += float64(c[i][1])
		at, weight := p.pixelCorners(i%w, i/w)
		for k, j := range at {
			g.has[j] += weight[k] * c[i][1]
		}
	}
	for _, o := range over {
		give := float32(1)
		if most := float32(pixelShare * total); o.c[1] > most {
			give = most / o.c[1]
		}
		at, weight := p.pixelCorners(o.i%w, o.i/w)
		for k, j := range at {
			for b, v := range o.c {
				g.over[j][b] += weight[k] * give * v
			}
		}
	}
	for k := range p.levels {
		p.rise(k)
	}
	for k := len(p.levels) - 2; k >= 0; k-- {
		g, up := &p.levels[k], &p.levels[k+1]
		for i := range g.over {
			at, weight := up.above(i%g.w, i/g.w)
			for k, j := range at {
				for b, v := range up.over[j] {
					g.over[i][b] += weight[k] * v
				}
			}
		}
	}
	for i := range w * h {
		if stays(i) {
			continue
		}
		at, weight := p.pixelCorners(i%w, i/w)
		lum := c[i][1]
		for k, j := range at {
			for b, v := range g.over[j] {
				c[i][b] += lum * weight[k] * v
			}
		}
	}
}

// rise turns what each corner of a level may give into its gain and hands the rest on.
func (p *gainPyramid) rise(level int) {
	g := &p.levels[level]
	last := level == len(p.levels)-1
	for i, c := range g.over {
		give := float32(0) // share of it that is given here
		switch {
		case g.has[i] <= 0:
		case last || c[1] <= gainShare*g.has[i]:
			give = 1
		default:
			give = gainShare * g.has[i] / c[1]
		}
		for b, v := range c {
			g.over[i][b] = 0
			if give > 0 {
				g.over[i][b] = give * v / g.has[i]
			}
		}
		if last {
			continue
		}
		up := &p.levels[level+1]
		at, weight := up.above(i%g.w, i/g.w)
		for k, j := range at {
			up.has[j] += weight[k] * g.has[i]
			for b, v := range c {
				up.over[j][b] += weight[k] * (1 - give) * v
			}
		}
	}
}

// second gives the second brightest of the pixels round one that see no emitter, and which that is:
// beside a lamp's own pixels any firefly is dark.
func (s *Features) second(lum []float32, x, y int) (second float32, at int) {
	first := float32(0)
	at = y*s.W + x
	brightest := at
	for qy := max(0, y-1); qy <= min(s.H-1, y+1); qy++ {
		for qx := max(0, x-1); qx <= min(s.W-1, x+1); qx++ {
			if qx == x && qy == y || s.seesEmitter(qy*s.W+qx) {
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
