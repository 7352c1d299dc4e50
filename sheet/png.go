package sheet

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/vector"
)

// PNG rasterises one page, counted from 1, at dpi dots an inch (clamped to 36 to 600). The caller
// encodes it. A page number out of range gives the first.
func (d *Drawing) PNG(pageNo int, dpi float64) image.Image {
	if pageNo < 1 || pageNo > len(d.pages) {
		pageNo = 1
	}
	if !(dpi >= 36) {
		dpi = 36
	}
	dpi = math.Min(dpi, 600)
	g := d.pages[pageNo-1]
	k := dpi / 25.4
	m := image.NewRGBA(image.Rect(0, 0, int(math.Round(g.w*k)), int(math.Round(g.h*k))))
	draw.Draw(m, m.Bounds(), image.White, image.Point{}, draw.Src)
	p := painter{m: m, k: k}
	for _, it := range g.items {
		switch {
		case it.img != nil:
			r := image.Rect(int(math.Round(it.box.x0*k)), int(math.Round(it.box.y0*k)), int(math.Round(it.box.x1*k)),
				int(math.Round(it.box.y1*k)))
			xdraw.CatmullRom.Scale(m, r, it.img, it.img.Bounds(), draw.Src, nil)
		case it.text != "":
			p.text(it)
		default:
			p.path(it)
		}
	}
	return m
}

type painter struct {
	m *image.RGBA
	k float64 // dots a millimetre
	r vector.Rasterizer
}

func (p *painter) text(it item) {
	c := cutOf(it.weight)
	glyphs, _ := c.run(it.text)
	var subs []sub
	for _, o := range glyphs {
		for _, s := range c.outline(o.g) {
			subs = append(subs, sub{it.glyphPoints(s.pts, float64(o.x)), true})
		}
	}
	if it.halo > 0 {
		p.path(item{subs: subs, stroke: white, width: 2 * it.halo})
	}
	p.path(item{subs: subs, fill: it.fill})
}

func (p *painter) path(it item) {
	if it.fill.on {
		p.fill(it.subs, it.fill)
	}
	if it.stroke.on && it.width > 0 {
		for _, s := range it.subs {
			for _, run := range dashes(s, it.dash) {
				p.fill(outlineStroke(run, it.width/2, it.square), it.stroke)
			}
		}
	}
}

// fill paints the polygons together, in the smallest raster that holds them.
func (p *painter) fill(subs []sub, c ink) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, s := range subs {
		for _, q := range s.pts {
			x0, y0, x1, y1 = math.Min(x0, q.x), math.Min(y0, q.y), math.Max(x1, q.x), math.Max(y1, q.y)
		}
	}
	if !(x1 >= x0) {
		return
	}
	b := image.Rect(int(math.Floor(x0*p.k))-1, int(math.Floor(y0*p.k))-1, int(math.Ceil(x1*p.k))+1,
		int(math.Ceil(y1*p.k))+1)
	clip := b.Intersect(p.m.Bounds())
	if clip.Empty() {
		return
	}
	p.r.Reset(b.Dx(), b.Dy())
	for _, s := range subs {
		for i, q := range s.pts {
			x, y := float32(q.x*p.k-float64(b.Min.X)), float32(q.y*p.k-float64(b.Min.Y))
			if i == 0 {
				p.r.MoveTo(x, y)
			} else {
				p.r.LineTo(x, y)
			}
		}
		p.r.ClosePath()
	}
	src := image.NewUniform(color.RGBA{c.r, c.g, c.b, 255})
	p.r.Draw(p.m, b, src, image.Point{})
}

// dashes cuts a run into its dashes; without a pattern the run itself.
func dashes(s sub, pattern []float64) []sub {
	total := 0.0
	for _, v := range pattern {
		total += v
	}
	if total <= 1e-6 {
		return []sub{s}
	}
	pts := s.pts
	if s.closed {
		pts = append(append([]xy(nil), pts...), pts[0])
	}
	var out []sub
	i, left := 0, pattern[0]
	var cur []xy
	if len(pts) > 0 {
		cur = []xy{pts[0]}
	}
	for n := 1; n < len(pts); n++ {
		a, b := pts[n-1], pts[n]
		l := b.sub(a).len()
		done := 0.0
		for l-done > left {
			done += left
			q := a.lerp(b, done/l)
			if i%2 == 0 {
				out = append(out, sub{append(cur, q), false})
			}
			cur = []xy{q}
			i++
			left = pattern[i%len(pattern)]
		}
		left -= l - done
		if i%2 == 0 {
			cur = append(cur, b)
		} else {
			cur = []xy{b}
		}
	}
	if i%2 == 0 && len(cur) > 1 {
		out = append(out, sub{cur, false})
	}
	return out
}

// outlineStroke returns the polygons that a stroke of half width h covers.
func outlineStroke(s sub, h float64, square bool) []sub {
	pts := dedupe(s.pts, s.closed)
	n := len(pts)
	if n == 0 {
		return nil
	}
	if n == 1 {
		if square {
			return nil
		}
		return []sub{{circle(pts[0], h), true}}
	}
	if s.closed && n > 2 {
		rev := make([]xy, n)
		for i, p := range pts {
			rev[n-1-i] = p
		}
		return []sub{{offsetSide(pts, h, true, square), true}, {offsetSide(rev, h, true, square), true}}
	}
	rev := make([]xy, n)
	for i, p := range pts {
		rev[n-1-i] = p
	}
	poly := offsetSide(pts, h, false, square)
	if !square {
		poly = append(poly, capArc(pts[n-1], pts[n-1].sub(pts[n-2]).unit(), h)...)
	}
	poly = append(poly, offsetSide(rev, h, false, square)...)
	if !square {
		poly = append(poly, capArc(pts[0], pts[0].sub(pts[1]).unit(), h)...)
	}
	return []sub{{poly, true}}
}

// offsetSide returns the points at distance h to the left of a line.
func offsetSide(pts []xy, h float64, closed, square bool) []xy {
	n := len(pts)
	var out []xy
	for i, p := range pts {
		var in, ex xy
		switch {
		case closed:
			in, ex = p.sub(pts[(i+n-1)%n]).unit(), pts[(i+1)%n].sub(p).unit()
		case i == 0:
			ex = pts[1].sub(p).unit()
			in = ex
		case i == n-1:
			in = p.sub(pts[i-1]).unit()
			ex = in
		default:
			in, ex = p.sub(pts[i-1]).unit(), pts[i+1].sub(p).unit()
		}
		a, b := xy{in.y, -in.x}, xy{ex.y, -ex.x}
		cos := in.x*ex.x + in.y*ex.y
		turn := in.x*ex.y - in.y*ex.x
		mid := a.add(b)
		switch {
		case cos > 0.85 || (square && cos > -0.9):
			k := h * 2 / (mid.x*mid.x + mid.y*mid.y)
			out = append(out, p.add(mid.mul(k)))
		case turn > 0: // outer side of the bend
			a0 := math.Atan2(a.y, a.x)
			d := math.Atan2(turn, cos)
			for j := 0; j <= 6; j++ {
				t := a0 + d*float64(j)/6
				out = append(out, xy{p.x + h*math.Cos(t), p.y + h*math.Sin(t)})
			}
		default:
			out = append(out, p.add(a.mul(h)), p.add(b.mul(h)))
		}
	}
	return out
}

// capArc is the half circle at the end of a stroke running in direction d.
func capArc(p, d xy, h float64) []xy {
	a0 := math.Atan2(-d.x, d.y)
	var out []xy
	for j := 1; j < 8; j++ {
		t := a0 + math.Pi*float64(j)/8
		out = append(out, xy{p.x + h*math.Cos(t), p.y + h*math.Sin(t)})
	}
	return out
}

func dedupe(pts []xy, closed bool) []xy {
	var out []xy
	for _, p := range pts {
		if len(out) == 0 || p.sub(out[len(out)-1]).len() > 1e-6 {
			out = append(out, p)
		}
	}
	for closed && len(out) > 1 && out[0].sub(out[len(out)-1]).len() <= 1e-6 {
		out = out[:len(out)-1]
	}
	return out
}
