package scout

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sync"

	"halfstop/photo"
	"halfstop/spectrum"
)

// Light is a colour of light that a place offers: a lamp, a sign, a window, or what one lights.
type Light struct {
	Words     string     `json:"words" doc:"'2900 K, like incandescent', 'red'"`
	UV        [2]float64 `json:"uv" doc:"CIE 1976, as that of a spot"`
	SD        float64    `json:"uv_sd"`
	X         float64    `json:"x" doc:"where it is brightest, per cent from the left"`
	Y         float64    `json:"y" doc:"per cent from the top"`
	Luminance *float64   `json:"luminance,omitempty" doc:"there, cd/m²"`
	Share     float64    `json:"share" doc:"of the picture's bright parts"`
}

// sameLight is the distance in u'v' within which two bright parts are of one light: a step between
// neighbouring whites of tubes is about 0.015, of one lamp on two walls about 0.01.
const sameLight = 0.02

type cluster struct {
	u, v, weight, best, x, y float64
	shines                   bool
}

// Lights finds the colours of light in a photograph, the strongest first, six at most. Bright parts
// that are not clipped are gathered by chromaticity (leader clustering, then two passes to the
// means). Of these count what shines: what stands three times over what lies round it, or is at the
// edge of something clipped. Beside them stands the strongest white of surfaces, in whose colour
// theirs is too. hidden is the share of the picture whose colour is lost because it is clipped.
// Check: TestLights.
func Lights(p *Photo, a Ask) (list []Light, hidden float64, err error) {
	if err := a.check(); err != nil {
		return nil, 0, err
	}
	f := p.frame(&a)
	cells, lost := p.cells()
	peak := make([]float64, 0, len(cells))
	for _, c := range cells {
		if c.n > 0 {
			peak = append(peak, c.peak())
		}
	}
	if len(peak) == 0 {
		return nil, lost, nil
	}
	slices.Sort(peak)
	// A lamp stands three times over the middle of the picture, or is of its brightest twentieth.
	least := min(peak[len(peak)*19/20], max(0.3, 3*peak[len(peak)/2]))
	var bright []cell
	total := 0.0
	for _, c := range cells {
		if c.n == 0 || c.peak() < least {
			continue
		}
		if xy, ok := f.xy(c.rgb); ok {
			c.u, c.v = xy.UVPrime()
			bright = append(bright, c)
			total += c.weight
		}
	}
	surfaces := false
	for _, k := range gather(bright) {
		if k.weight < 0.02*total || len(list) == 6 {
			continue
		}
		c, sd, words := spectrum.XYOfUVPrime(k.u, k.v), f.sd, ""
		if !k.shines {
			kelvin, duv, ok := spectrum.CCTOhno2013(c)
			if surfaces || !ok || math.Abs(duv) > 0.02 || kelvin < 1800 || kelvin > 20000 {
				continue
			}
			surfaces, sd, words = true, max(sd, surfaceError), ", by what it lights"
		}
		l := Light{Words: wordsOf(c, f.said) + words, UV: [2]float64{k.u, k.v}, SD: sd, X: k.x, Y: k.y,
			Share: k.weight / total}
		if p.Exif.Complete() {
			m := p.Mean(k.x, k.y)
			lum, _ := photo.Luminance(&p.Exif, m.Y())
			l.Luminance = &lum
		}
		// One lamp on many things comes in many paler and deeper tints of one hue.
		if k.shines && slices.ContainsFunc(list, func(o Light) bool { return o.Words == l.Words }) {
			continue
		}
		list = append(list, l)
	}
	return list, lost, nil
}

// surfaceError is how far the colour of usual walls and ceilings puts that of their light off, one
// standard deviation in u'v': whites and creams (common practice, no source).
const surfaceError = 0.012

// cell is the mean of pixels that are not clipped in one square of a grid 80 wide.
type cell struct {
	rgb    [3]float64
	n      float64 // pixels that are not clipped
	lost   float64 // and that are
	weight float64 // its highest channel by n
	x, y   float64 // per cent
	u, v   float64
	shines bool
}

func (c *cell) peak() float64 { return max(c.rgb[0], c.rgb[1], c.rgb[2]) }

// cells is the grid, row by row; lost is the share of pixels that are clipped.
func (p *Photo) cells() (out []cell, lost float64) {
	side := max(1, p.w/80)
	wide := (p.w + side - 1) / side
	for y0 := 0; y0 < p.h; y0 += side {
		for x0 := 0; x0 < p.w; x0 += side {
			var c cell
			for y := y0; y < min(p.h, y0+side); y++ {
				for _, v := range p.pix[y*p.w+x0 : y*p.w+min(p.w, x0+side)] {
					if v[3] > 0 {
						c.lost++
						continue
					}
					for k := range 3 {
						c.rgb[k] += float64(v[k]) * unit
					}
					c.n++
				}
			}
			for k := range 3 {
				c.rgb[k] /= max(1, c.n)
			}
			c.weight, lost = c.n*c.peak(), lost+c.lost
			c.x = 100 * (float64(x0) + float64(side)/2) / float64(p.w)
			c.y = 100 * (float64(y0) + float64(side)/2) / float64(p.h)
			out = append(out, c)
		}
	}
	for i := range out {
		out[i].shines = shines(out, i, wide)
	}
	return out, lost / float64(len(p.pix))
}

// shines reports whether a cell is at the edge of something clipped and near that itself, or stands
// three times over half of what lies five cells round it.
func shines(grid []cell, i, wide int) bool {
	c := &grid[i]
	if c.n == 0 {
		return false
	}
	x, y, high := i%wide, i/wide, len(grid)/wide
	under, round := 0, 0
	for dy := -5; dy <= 5; dy++ {
		for dx := -5; dx <= 5; dx++ {
			u, v := x+dx, y+dy
			if u < 0 || v < 0 || u >= wide || v >= high {
				continue
			}
			o := &grid[v*wide+u]
			switch {
			case max(dx, -dx, dy, -dy) <= 1 && o.lost > 0 && c.peak() > 0.8:
				return true
			case max(dx, -dx, dy, -dy) == 5:
				round++
				if o.lost == 0 && 3*o.peak() < c.peak() {
					under++
				}
			}
		}
	}
	return 2*under > round
}

func gather(bright []cell) (out []cluster) {
	slices.SortFunc(bright, func(a, b cell) int { return cmp.Compare(b.weight, a.weight) })
	for _, c := range bright {
		if near(out, &c, sameLight) < 0 && len(out) < 40 {
			out = append(out, cluster{u: c.u, v: c.v})
		}
	}
	for range 3 {
		next := make([]cluster, len(out))
		for _, c := range bright {
			i := near(out, &c, 2*sameLight)
			if i < 0 {
				continue
			}
			k := &next[i]
			k.u += c.weight * c.u
			k.v += c.weight * c.v
			k.weight += c.weight
			k.shines = k.shines || c.shines
			if c.weight > k.best {
				k.best, k.x, k.y = c.weight, c.x, c.y
			}
		}
		out = out[:0]
		for _, k := range next {
			if k.weight > 0 {
				k.u, k.v = k.u/k.weight, k.v/k.weight
				out = append(out, k)
			}
		}
	}
	slices.SortFunc(out, func(a, b cluster) int { return cmp.Compare(b.weight, a.weight) })
	return out
}

// near is the nearest cluster within far; -1: none.
func near(list []cluster, c *cell, far float64) int {
	best := -1
	for i := range list {
		if d := math.Hypot(list[i].u-c.u, list[i].v-c.v); d < far {
			best, far = i, d
		}
	}
	return best
}

// lamps are the lights that have a name and one colour.
var lamps = sync.OnceValue(func() (out []struct {
	name string
	xy   spectrum.XY
}) {
	for _, n := range spectrum.Names() {
		if c, err := spectrum.Lamp(n); err == nil {
			out = append(out, struct {
				name string
				xy   spectrum.XY
			}{n, c.XY()})
		}
	}
	return out
})

// wordsOf names a colour of light: its temperature, a tint off the locus, or a hue, and the named
// lamp it is like. said: the white of the picture is known, so temperatures mean something.
func wordsOf(c spectrum.XY, said bool) string {
	k, duv, ok := spectrum.CCTOhno2013(c)
	words := ""
	switch {
	case ok && math.Abs(duv) < 0.02 && k < 25000 && said:
		words = fmt.Sprintf("%.0f K", math.Round(k/50)*50)
		if math.Abs(duv) >= 0.006 {
			words += fmt.Sprintf(", %s (Duv %+.3f)", map[bool]string{true: "green", false: "magenta"}[duv > 0], duv)
		}
	case ok && math.Abs(duv) < 0.02 && !said:
		switch {
		case k < 5200:
			words = "warmer than the picture’s white"
		case k > 8500:
			words = "colder than the picture’s white"
		default:
			words = "the picture’s white"
		}
	default:
		words = spectrum.HueOf(c)
	}
	if !said {
		return words
	}
	like, far := "", 0.01
	for _, l := range lamps() {
		if d := spectrum.DeltaUVPrime(l.xy, c); d < far {
			like, far = l.name, d
		}
	}
	if like != "" {
		words += ", like " + like
	}
	return words
}

// Tint is a chromaticity, CIE 1976, as linear sRGB of luminance 1. Values may lie outside 0 to 1.
func Tint(uv [2]float64) [3]float64 {
	return spectrum.SRGB.Linear(spectrum.XYOfUVPrime(uv[0], uv[1]).XYZ(1))
}
