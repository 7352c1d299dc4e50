package sheet

import "math"

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

// chain is a row of dimensions with its figures staggered where the parts are short.
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

// newChain merges marks that fall together and finds a level for every figure. Figures that fit between their ticks stand
// above the line, the others below it, tied to their part.
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
	lo, hi := 0.0, 0.0
	if n := len(c.marks); n > 0 {
		lo, hi = c.marks[0].at, c.marks[n-1].at
	}
	add := func(g fig) {
		g.at = math.Max(lo+math.Min(g.half, (hi-lo)/2), math.Min(hi-math.Min(g.half, (hi-lo)/2), g.at))
		for g.level = 1; ; g.level++ {
			free := true
			for _, o := range c.figs {
				if o.level == g.level && math.Abs(o.at-g.at) < o.half+g.half+0.6 {
					free = false
				}
				// The tie of a deeper figure must not run through a shallower one.
				if o.level > 0 && o.level < g.level && math.Abs(o.at-g.tie) < o.half+0.2 {
					free = free && g.level > 4
				}
			}
			if free || g.level > 6 {
				break
			}
		}
		c.levels = max(c.levels, g.level)
		c.figs = append(c.figs, g)
	}
	for i := 0; i+1 < len(c.marks); i++ {
		a, b := c.marks[i], c.marks[i+1]
		t := r.length(b.real - a.real)
		w := f.width(t) / 2
		mid := (a.at + b.at) / 2
		if 2*w+0.8 <= b.at-a.at {
			c.figs = append(c.figs, fig{text: t, at: mid, half: w})
			continue
		}
		add(fig{text: t, at: mid, half: w, tie: mid})
	}
	for _, m := range c.marks {
		if m.name != "" {
			add(fig{text: m.name, at: m.at, half: nf.width(m.name) / 2, tie: m.at, isName: true})
		}
	}
	return c
}

// depth is how far the row reaches from the side of the room outwards.
func (c chain) depth() float64 {
	if len(c.marks) < 2 {
		return 0
	}
	return 4.2 + float64(c.levels)*dimLevel
}

// drawAcross draws the row under y with its zero at x.
func (c chain) drawAcross(g *page, x, y float64) []rect { return c.draw(g, xy{x, y}, false) }

// drawUp draws the row to the right of x, counting upwards from y.
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
	var boxes []rect
	for _, f := range c.figs {
		fc := face{dimSize, 400, black}
		if f.isName {
			fc = face{6.4, 400, inkSub}
		}
		base := line - 0.75
		if f.level > 0 {
			base = line + float64(f.level)*dimLevel - 0.1
			if f.level > 1 || !f.isName {
				g.line(0.45*px, inkDim, at(f.tie, line+0.2), at(f.tie, base-dimSize*pt*0.78))
			}
		}
		p := at(f.at-f.half, base)
		g.add(item{text: f.text, at: p, size: fc.size * pt, weight: fc.weight, fill: fc.ink, turned: up, halo: 0.25})
		boxes = append(boxes, textBox(p, 2*f.half, fc.size*pt, up))
	}
	return boxes
}

// textBox is the room that lettering takes.
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

// span draws one dimension from a to b (level or upright) with its figure on the upper or left side.
func span(g *page, a, b xy, text string) rect {
	g.line(0.6*px, inkDim, a, b)
	tick(g, a)
	tick(g, b)
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
