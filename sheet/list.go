package sheet

import (
	"image"
	"math"
)

// xy is a point on the paper: millimetres from the top left corner, y down.
type xy struct{ x, y float64 }

func (a xy) add(b xy) xy             { return xy{a.x + b.x, a.y + b.y} }
func (a xy) sub(b xy) xy             { return xy{a.x - b.x, a.y - b.y} }
func (a xy) mul(k float64) xy        { return xy{a.x * k, a.y * k} }
func (a xy) len() float64            { return math.Hypot(a.x, a.y) }
func (a xy) lerp(b xy, t float64) xy { return xy{a.x + (b.x-a.x)*t, a.y + (b.y-a.y)*t} }

func (a xy) unit() xy {
	l := a.len()
	if l == 0 {
		return a
	}
	return a.mul(1 / l)
}

// rect is a box on the paper.
type rect struct{ x0, y0, x1, y1 float64 }

func (r rect) w() float64 { return r.x1 - r.x0 }
func (r rect) h() float64 { return r.y1 - r.y0 }
func (r rect) mid() xy    { return xy{(r.x0 + r.x1) / 2, (r.y0 + r.y1) / 2} }
func (r rect) grow(d float64) rect {
	return rect{r.x0 - d, r.y0 - d, r.x1 + d, r.y1 + d}
}
func (r rect) overlaps(o rect) bool {
	return r.x0 < o.x1 && o.x0 < r.x1 && r.y0 < o.y1 && o.y0 < r.y1
}
func (r rect) inside(o rect) bool {
	return r.x0 >= o.x0 && r.y0 >= o.y0 && r.x1 <= o.x1 && r.y1 <= o.y1
}
func (r rect) has(p xy) bool { return p.x >= r.x0 && p.x <= r.x1 && p.y >= r.y0 && p.y <= r.y1 }
func (r rect) poly() []xy {
	return []xy{{r.x0, r.y0}, {r.x1, r.y0}, {r.x1, r.y1}, {r.x0, r.y1}}
}

// ink is an opaque sRGB-encoded colour. noInk paints nothing.
type ink struct {
	r, g, b uint8
	on      bool
}

func grey(v uint8) ink { return ink{v, v, v, true} }

var (
	noInk  = ink{}
	black  = grey(0)
	white  = grey(255)
	inkSub = grey(0x44) // captions
	inkDim = grey(0x55) // dimension and place lines
	inkObj = grey(0x8a) // furniture
	hair   = grey(0xbb) // rules of tables
)

// Millimetres in one point and in one CSS pixel.
const (
	pt = 25.4 / 72
	px = 25.4 / 96
)

// sub is one subpath, closed or open.
type sub struct {
	pts    []xy
	closed bool
}

// item is one element of a page: a path, a line of text or a picture.
type item struct {
	// path
	subs   []sub
	fill   ink
	stroke ink
	width  float64
	dash   []float64
	square bool // butt ends and mitred corners instead of round

	// text: the origin is the left end of its baseline
	text   string
	at     xy
	size   float64 // mm
	weight int     // 400, 500, 600
	turned bool    // reading bottom to top
	halo   float64 // white rim, mm

	// picture
	img image.Image
	box rect
}

// page is a display list.
type page struct {
	w, h  float64
	items []item
}

func (g *page) add(i item) {
	i.text = legible(i.text)
	g.items = append(g.items, i)
}

func (g *page) line(w float64, c ink, pts ...xy) {
	g.add(item{subs: []sub{{pts, false}}, stroke: c, width: w})
}

func (g *page) dashed(w float64, c ink, dash []float64, pts ...xy) {
	g.add(item{subs: []sub{{pts, false}}, stroke: c, width: w, dash: dash})
}

func (g *page) polygon(fill, stroke ink, w float64, pts []xy) {
	g.add(item{subs: []sub{{pts, true}}, fill: fill, stroke: stroke, width: w})
}

func (g *page) rule(w float64, c ink, a, b xy) {
	g.add(item{subs: []sub{{[]xy{a, b}, false}}, stroke: c, width: w, square: true})
}

func (g *page) frame(w float64, c ink, r rect) {
	g.add(item{subs: []sub{{r.poly(), true}}, stroke: c, width: w, square: true})
}

// face is how a run of text looks.
type face struct {
	size   float64 // points
	weight int
	ink    ink
}

// put writes s with its left end of the baseline at p.
func (g *page) put(p xy, f face, s string) float64 {
	s = legible(s)
	if s == "" {
		return 0
	}
	g.add(item{text: s, at: p, size: f.size * pt, weight: f.weight, fill: f.ink})
	return f.width(s)
}

func (g *page) putRight(p xy, f face, s string) {
	g.put(xy{p.x - f.width(s), p.y}, f, s)
}

func (g *page) putMid(p xy, f face, s string) {
	g.put(xy{p.x - f.width(s)/2, p.y}, f, s)
}

// circle as a closed polygon fine enough for print.
func circle(c xy, r float64) []xy { return ellipse(c, r, r, 0) }

func ellipse(c xy, rx, ry, turn float64) []xy {
	n := int(math.Ceil(12 + 10*math.Sqrt(math.Max(rx, ry))))
	if n > 160 {
		n = 160
	}
	cs, sn := math.Cos(turn), math.Sin(turn)
	pts := make([]xy, n)
	for i := range pts {
		a := 2 * math.Pi * float64(i) / float64(n)
		x, y := rx*math.Cos(a), ry*math.Sin(a)
		pts[i] = xy{c.x + x*cs - y*sn, c.y + x*sn + y*cs}
	}
	return pts
}
