package sheet

import (
	"math"
	"sort"
)

const (
	dimSize  = 7.5 // points
	dimTick  = 0.8 // mm, half the tick
	dimLevel = 3.3 // mm, one line of figures
)

// mark is one place on a chain of dimensions, millimetres along it.
type mark struct {
	at   float64
	real float64 // the same, metres
	name string  // written under the line
}

// chain is a chain of dimensions. Its figures are staggered where the parts are short.
type chain struct {
	marks  []mark
	figs   []fig
	levels int // lines of lettering under the dimension line
}

type fig struct {
	text   string
	at     float64 // middle, mm along
	half   float64
	level  int // 0: above the line, 1…: below it
	tie    float64
	isName bool
}

// newChain merges marks that coincide and finds a line for every figure. Figures that fit between
// their ticks stand above the dimension line; the others stand below it, with a leader to their
// part.
func newChain(marks []mark, r ruler) chain {
	var c chain
	for _, m := range marks {
		if n := len(c.marks); n > 0 && m.real-c.marks[n-1].real < 0.005 {
			if m.name != "" {
				if c.marks[n-1].name != "" {
					c.marks[n-1].name += ", " + m.name
				} else {
					c.marks[n-1].name = m.name
				}
			}
			continue
		}
		c.marks = append(c.marks, m)
	}
	f := face{dimSize, 400, black}
	nf := face{6.4, 400, inkSub}
	var under []fig
	for i := range c.marks {
		c.marks[i].name = nf.clip(c.marks[i].name, 30)
	}
	for i := 0; i+1 < len(c.marks); i++ {
		a, b := c.marks[i], c.marks[i+1]
		t := r.length(b.real - a.real)
		w := f.width(t) / 2
		g := fig{text: t, at: (a.at + b.at) / 2, half: w, tie: (a.at + b.at) / 2}
		if 2*w+0.8 <= b.at-a.at {
			c.figs = append(c.figs, g)
		} else {
			under = append(under, g)
		}
	}
	for _, m := range c.marks {
		if m.name != "" {
			under = append(under, fig{text: m.name, at: m.at, half: nf.width(m.name) / 2, tie: m.at, isName: true})
		}
	}
	if len(under) == 0 {
		return c
	}
	sort.SliceStable(under, func(i, j int) bool { return under[i].tie < under[j].tie })
	lo, hi := c.marks[0].at-4, c.marks[len(c.marks)-1].at+4
	for c.levels = 1; c.levels < 8; c.levels++ {
		if spread(under, c.levels, lo, hi) {
			break
		}
	}
	c.figs = append(c.figs, under...)
	return c
}

// spread puts the figures on n lines in turn and moves them apart on each, as near to their parts
// as they fit. It reports whether they fit between lo and hi without moving far.
func spread(figs []fig, n int, lo, hi float64) bool {
	const air = 1.2
	fits := true
	for level := 0; level < n; level++ {
		var row []*fig
		for i := level; i < len(figs); i += n {
			figs[i].level = level + 1
			figs[i].at = figs[i].tie
			row = append(row, &figs[i])
		}
		// Push right from the left end, then left from the right end, then average; a few passes
		// converge.
		for pass := 0; pass < 60; pass++ {
			for i := 0; i+1 < len(row); i++ {
				if d := row[i].at + row[i].half + air - (row[i+1].at - row[i+1].half); d > 0 {
					row[i].at -= d / 2
					row[i+1].at += d / 2
				}
			}
			for i, g := range row {
				if g.at-g.half < lo && i == 0 {
					g.at = lo + g.half
				}
				if g.at+g.half > hi && i == len(row)-1 {
					g.at = hi - g.half
				}
			}
		}
		end := math.Inf(-1)
		for _, g := range row {
			if g.at-g.half < end+0.3 || g.at-g.half < lo-0.5 || g.at+g.half > hi+0.5 || math.Abs(g.at-g.tie) > 9 {
				fits = false
			}
			// Never overlapping, even where they do not fit.
			g.at = math.Max(g.at, end+0.6+g.half)
			end = g.at + g.half
		}
	}
	return fits
}

// depth is how far the chain extends outwards from the side of the room, mm.
func (c chain) depth() float64 {
	if len(c.marks) < 2 {
		return 0
	}
	return 4.2 + float64(c.levels)*dimLevel
}

// drawAcross draws the chain under y with its zero at x.
func (c chain) drawAcross(g *page, x, y float64) []rect { return c.draw(g, xy{x, y}, false) }

// drawUp draws the chain to the right of x, counting upwards from y.
func (c chain) drawUp(g *page, x, y float64) []rect { return c.draw(g, xy{x, y}, true) }

func (c chain) draw(g *page, o xy, up bool) []rect {
	if len(c.marks) < 2 {
		return nil
	}
	at := func(along, out float64) xy {
		if up {
			return xy{o.x + out, o.y - along}
		}
		return xy{o.x + along, o.y + out}
	}
	const line = 3.6
	g.line(0.6*px, inkDim, at(c.marks[0].at-1.2, line), at(c.marks[len(c.marks)-1].at+1.2, line))
	for _, m := range c.marks {
		g.line(0.6*px, inkDim, at(m.at, line-1.4), at(m.at, line+1.2))
		tick(g, at(m.at, line))
	}
	for i, f := range c.figs {
		if f.level > 0 && (f.level > 1 || !f.isName || math.Abs(f.at-f.tie) > 0.5) && !c.strikes(i) {
			end := line + float64(f.level)*dimLevel - 0.1 - dimSize*pt*0.75
			g.line(0.45*px, inkDim, at(f.tie, line+0.3), at(f.tie+(f.at-f.tie)*0.6, end))
		}
	}
	var boxes []rect
	for _, f := range c.figs {
		fc := face{dimSize, 400, black}
		if f.isName {
			fc = face{6.4, 400, inkSub}
		}
		base := line - 0.75
		if f.level > 0 {
			base = line + float64(f.level)*dimLevel - 0.1
		}
		p := at(f.at-f.half, base)
		g.add(item{text: f.text, at: p, size: fc.size * pt, weight: fc.weight, fill: fc.ink, turned: up, halo: 0.25})
		boxes = append(boxes, textBox(p, 2*f.half, fc.size*pt, up))
	}
	return boxes
}

// strikes reports whether the leader of a figure would go through lettering on its way.
func (c chain) strikes(i int) bool {
	f := c.figs[i]
	end := f.tie + (f.at-f.tie)*0.6
	for k, o := range c.figs {
		if k != i && o.level > 0 && o.level < f.level &&
			o.at-o.half < math.Max(f.tie, end) && o.at+o.half > math.Min(f.tie, end) {
			return true
		}
	}
	return false
}

// band returns the lines of the chain, which labels keep clear of.
func (c chain) band(x, y float64, up bool) []sub {
	if len(c.marks) < 2 {
		return nil
	}
	a, b := c.marks[0].at, c.marks[len(c.marks)-1].at
	if up {
		return []sub{{[]xy{{x + 3.6, y - a}, {x + 3.6, y - b}}, false}}
	}
	return []sub{{[]xy{{x + a, y + 3.6}, {x + b, y + 3.6}}, false}}
}

// textBox is the box that lettering takes.
func textBox(p xy, w, size float64, turned bool) rect {
	if turned {
		return rect{p.x - size*0.78, p.y - w, p.x + size*0.22, p.y}
	}
	return rect{p.x, p.y - size*0.78, p.x + w, p.y + size*0.22}
}

// tick is the 45° stroke at the end of a dimension.
func tick(g *page, p xy) {
	g.line(1.3*px, black, xy{p.x - dimTick, p.y - dimTick}, xy{p.x + dimTick, p.y + dimTick})
}

// span draws one dimension from a to b (horizontal or vertical) with its figure above or to the
// left.
func span(g *page, a, b xy, text string) rect {
	g.line(0.6*px, inkDim, a, b)
	tick(g, a)
	tick(g, b)
	if text == "" {
		return rect{}
	}
	f := face{dimSize, 400, black}
	w := f.width(text)
	var p xy
	upright := math.Abs(a.x-b.x) < 1e-9
	if upright {
		p = xy{a.x - 0.75, (a.y+b.y)/2 + w/2}
	} else {
		p = xy{(a.x+b.x)/2 - w/2, a.y - 0.75}
	}
	g.add(item{text: text, at: p, size: f.size * pt, weight: 400, fill: black, turned: upright, halo: 0.3})
	return textBox(p, w, f.size*pt, upright)
}

// cornerChain draws the dimensions between the corners of a room. A figure wider than its part is
// left out.
func cornerChain(g *page, marks []float64, at func(float64) xy, r ruler) []rect {
	var boxes []rect
	f := face{dimSize, 400, black}
	for i := 0; i+1 < len(marks); i++ {
		a, b := at(marks[i]), at(marks[i+1])
		text := r.length(marks[i+1] - marks[i])
		if f.width(text)+0.8 > b.sub(a).len() {
			text = ""
		}
		boxes = append(boxes, span(g, a, b, text))
	}
	return boxes
}
